"""A shop at work, step by step through its rooms: for tests that need more than a job file says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shopdesk.domain.methods import LevelMethod, ServiceMethod, UnitKind
from shopdesk.domain.pricing import LineKind
from shopdesk.domain.stages import Stage
from shopdesk.domain.stock import CostMethod
from shopdesk.domain.tax import TaxRounding
from shopdesk.services.acting import Actor, new_uid
from shopdesk.services.bay import Enter, EntryTyped, Finished, FinishWork, OpenRecord
from shopdesk.services.billing import InvoiceKept, IssueInvoice
from shopdesk.services.customers import AddCustomer
from shopdesk.services.desk import Desk
from shopdesk.services.items import Claim, ClaimBasis, ItemKind, SaveItem
from shopdesk.services.lines import LineTyped
from shopdesk.services.setup import FirstRun
from shopdesk.services.sheets import IntervalTyped, SaveSheet
from shopdesk.services.stock import Receive
from shopdesk.services.vehicles import AddUnit, AddVehicle
from shopdesk.services.work import (
    ConsentHow,
    EditWorkOrder,
    MakeEstimate,
    MoveStage,
    OpenWorkOrder,
    RecordConsent,
    SetLines,
)

LABOUR = LineTyped(kind=LineKind.LABOUR, text="Fluid service", quantity="1", unit_price="100.00")


@dataclass(frozen=True, kw_only=True, slots=True)
class Car:
    """A vehicle, who keeps it, and its gearbox."""

    customer_id: int
    vehicle_id: int
    unit_id: int


class Counter:
    """Does what the counter and the bay do, as the owner of an American shop."""

    def __init__(
        self,
        desk: Desk,
        *,
        cost_method: CostMethod = CostMethod.FIFO,
        tax_rounding: TaxRounding = TaxRounding.RATE,
        tax: str = "8.25",
    ) -> None:
        self.desk = desk
        first = FirstRun(
            actor=Actor(person_id=0, station_id=0),
            name="Quillfern Driveline",
            owner="Rhea Sandoval",
            currency="USD",
            place="Marrow State",
            tax_on_parts=tax,
            cost_method=cost_method,
            tax_rounding=tax_rounding,
        )
        self.actor = desk.setup.first_run(first)

    def customer(self, name: str = "Imre Okonjo", address: str = "2 Weir Lane") -> int:
        """Take a customer in."""
        command = AddCustomer(actor=self.actor, name=name, address=address)
        return self.desk.intake.add_customer(command).customer_id

    def car(self, plate: str = "KT 4471") -> Car:
        """Take a vehicle with a gearbox in."""
        customer_id = self.customer()
        vehicle_id = self.desk.intake.add_vehicle(
            AddVehicle(actor=self.actor, customer_id=customer_id, plate=plate, odometer_unit="mi")
        ).vehicle_id
        return Car(customer_id=customer_id, vehicle_id=vehicle_id, unit_id=self.unit(vehicle_id))

    def unit(self, vehicle_id: int, kind: UnitKind = UnitKind.MANUAL, designation: str = "MG-5") -> int:
        """Note a unit whose sheet asks for a measured refill."""
        sheet = self.desk.sheets.save(
            SaveSheet(
                actor=self.actor,
                designation=designation,
                kind=kind,
                specification="MT-1",
                level_method=LevelMethod.MEASURED_REFILL,
                refill_tolerance="0.1 qt",
                total="3 qt",
                shop_normal=IntervalTyped(distance="30000 mi", months=24),
                source="Invented manual, page 3",
            )
        )
        command = AddUnit(actor=self.actor, vehicle_id=vehicle_id, kind=kind, sheet_id=sheet.sheet_id)
        return self.desk.intake.add_unit(command).unit_id

    def fluid(self, name: str = "Halden MT-1", price: str = "10.00") -> int:
        """Put a fluid for the gearbox on the list, sold by the litre."""
        claims = (Claim(specification="MT-1", basis=ClaimBasis.CLAIMS),)
        command = SaveItem(
            actor=self.actor, name=name, package="1 L", sale_unit="l", price=price, claims=claims
        )
        return self.desk.items.save(command).item_id

    def part(self, name: str = "Crush washer", price: str = "2.00") -> int:
        """Put a part on the list."""
        command = SaveItem(
            actor=self.actor, name=name, kind=ItemKind.PART, package="1", sale_unit="each", price=price
        )
        return self.desk.items.save(command).item_id

    def receive(self, item_id: int, quantity: str, cost: str) -> int:
        """Put a delivery on the shelf."""
        command = Receive(actor=self.actor, item_id=item_id, quantity=quantity, cost=cost)
        return self.desk.stock.receive(command).move_id

    def order(self, car: Car, lines: Sequence[LineTyped] = (LABOUR,), *, wheel_off: bool = False) -> int:
        """Open a work order with priced lines."""
        opened = self.desk.work.open(
            OpenWorkOrder(
                actor=self.actor,
                vehicle_id=car.vehicle_id,
                customer_id=car.customer_id,
                wheel_off=wheel_off,
            )
        )
        self.lines(opened.work_order_id, lines)
        return opened.work_order_id

    def version(self, work_order_id: int) -> int:
        """Give the version a screen would have read."""
        return self.desk.board.work_order(work_order_id).version

    def lines(self, work_order_id: int, lines: Sequence[LineTyped]) -> None:
        """Put these lines in the place of the order's lines."""
        command = SetLines(
            actor=self.actor,
            work_order_id=work_order_id,
            version=self.version(work_order_id),
            lines=tuple(lines),
        )
        self.desk.work.set_lines(command)

    def agree(self, work_order_id: int, up_to: str = "") -> int:
        """Freeze an estimate and record the customer's consent."""
        self.desk.work.estimate(MakeEstimate(actor=self.actor, work_order_id=work_order_id))
        return self.desk.work.consent(
            RecordConsent(
                actor=self.actor,
                work_order_id=work_order_id,
                person="Imre Okonjo",
                how=ConsentHow.PHONE,
                said="Go ahead.",
                up_to=up_to,
            )
        ).consent_id

    def record(
        self, work_order_id: int, unit_id: int, item_id: int | None = None, put_in: Sequence[str] = ()
    ) -> int:
        """Start a service record; with ``put_in`` also what went in, round by round."""
        opened = self.desk.bay.open(
            OpenRecord(
                actor=self.actor,
                work_order_id=work_order_id,
                unit_id=unit_id,
                item_id=item_id,
                service_method=ServiceMethod.SINGLE if len(put_in) < 2 else ServiceMethod.REPEATED,
            )
        )
        entries = [
            EntryTyped(field=field, value=value, round=at)
            for at, volume in enumerate(put_in, start=1)
            for field, value in (("drained", volume), ("put_in", volume), ("spilled", "0 mL"))
        ]
        if entries:
            self.enter(opened.record_id, *entries)
        return opened.record_id

    def enter(self, record_id: int, *entries: EntryTyped) -> None:
        """Keep entries of a record."""
        self.desk.bay.enter(Enter(actor=self.actor, record_id=record_id, entries=tuple(entries)))

    def wheel_torque(self, work_order_id: int, torque: str) -> None:
        """Note the torque of the wheel nuts."""
        command = EditWorkOrder(
            actor=self.actor,
            work_order_id=work_order_id,
            version=self.version(work_order_id),
            wheel_off=True,
            wheel_torque=torque,
        )
        self.desk.work.edit(command)

    def move(self, work_order_id: int, stage: Stage) -> None:
        """Move a work order to a stage by hand."""
        self.desk.work.move(MoveStage(actor=self.actor, work_order_id=work_order_id, stage=stage))

    def finish(self, work_order_id: int) -> Finished:
        """Finish a work order."""
        return self.desk.bay.finish(FinishWork(actor=self.actor, work_order_id=work_order_id))

    def bill(self, work_order_id: int, uid: str = "") -> InvoiceKept:
        """Issue the invoice of a finished work order."""
        command = IssueInvoice(actor=self.actor, uid=uid or new_uid(), work_order_id=work_order_id)
        return self.desk.billing.issue(command)

    def ready(self, car: Car, item_id: int, volume: str) -> int:
        """Bring a work order to where it can be finished: agreed to, with a fluid put in."""
        order_id = self.order(car)
        self.agree(order_id)
        self.record(order_id, car.unit_id, item_id, [volume])
        return order_id
