"""A shop with fluids and parts on its shelf, for tests of the shelf; and its ledger read in plain SQL."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from shopdesk.domain.methods import LevelMethod, UnitKind
from shopdesk.domain.pricing import LineKind
from shopdesk.domain.stock import CostMethod
from shopdesk.services.acting import Actor
from shopdesk.services.bay import Enter, EntryTyped, Finished, FinishWork, OpenRecord
from shopdesk.services.customers import AddCustomer
from shopdesk.services.desk import Desk
from shopdesk.services.items import Claim, ClaimBasis, ItemKind, SaveItem
from shopdesk.services.lines import LineTyped
from shopdesk.services.setup import FirstRun
from shopdesk.services.sheets import SaveSheet
from shopdesk.services.stock import Receive
from shopdesk.services.vehicles import AddUnit, AddVehicle
from shopdesk.services.work import ConsentHow, MakeEstimate, OpenWorkOrder, RecordConsent, SetLines
from tests.services.shopfloor import ask


@dataclass
class Stockroom:
    """The desk of a shop in litres and euros, with short words for what tests do again and again."""

    desk: Desk
    url: str
    actor: Actor

    def fluid(self, name: str = "Clear ATF", **more: Any) -> int:
        """Put a fluid on the list, sold by the litre in cans of one, and give its id."""
        values: dict[str, Any] = {
            "package": "1 l",
            "sale_unit": "l",
            "price": "12.00",
            "density": "850 kg/m3",
            "claims": (Claim(specification="TX-6", basis=ClaimBasis.CLAIMS),),
        }
        values |= more
        return self.desk.items.save(SaveItem(actor=self.actor, name=name, **values)).item_id

    def part(self, name: str = "Crush washer 14 x 20", **more: Any) -> int:
        """Put a part on the list and give its id."""
        values: dict[str, Any] = {"package": "1", "sale_unit": "each", "price": "1.90"} | more
        return self.desk.items.save(
            SaveItem(actor=self.actor, name=name, kind=ItemKind.PART, **values)
        ).item_id

    def receive(self, item_id: int, quantity: str, cost: str, **more: Any) -> int:
        """Receive a delivery and give its container's id."""
        command = Receive(actor=self.actor, item_id=item_id, quantity=quantity, cost=cost, **more)
        return self.desk.stock.receive(command).container_id

    def vehicle(self, plate: str = "AB 1234", name: str = "Ida Brook", phone: str = "+12025550143") -> Job:
        """Take a vehicle in with a customer and one gearbox, and open a work order for it."""
        desk, actor = self.desk, self.actor
        customer_id = desk.intake.add_customer(
            AddCustomer(actor=actor, name=name, phones=(phone,))
        ).customer_id
        vehicle_id = desk.intake.add_vehicle(
            AddVehicle(actor=actor, customer_id=customer_id, plate=plate, odometer_unit="km")
        ).vehicle_id
        unit = AddUnit(
            actor=actor, vehicle_id=vehicle_id, kind=UnitKind.MANUAL, sheet_id=self.sheet(), label="Gearbox"
        )
        unit_id = desk.intake.add_unit(unit).unit_id
        return Job(room=self, customer_id=customer_id, vehicle_id=vehicle_id, unit_id=unit_id).open()

    def sheet(self, specification: str = "TX-6") -> int:
        """Keep the gearbox's sheet and give its id."""
        sheet = SaveSheet(
            actor=self.actor,
            designation=f"Six-speed box {specification}",
            kind=UnitKind.MANUAL,
            specification=specification,
            level_method=LevelMethod.MEASURED_REFILL,
            service_fill="3.5 l",
            total="4 l",
            refill="3.5 l",
            refill_tolerance="0.1 l",
            source="the shop's own figures",
            checked_by="Owner",
        )
        return self.desk.sheets.save(sheet).sheet_id

    def ask(self, question: str) -> list[tuple[Any, ...]]:
        """Ask the database in SQL, past the program."""
        return ask(self.url, question)

    def faults(self) -> list[str]:
        """Give what the program's own check finds."""
        return [each.sentence for each in self.desk.safekeeping.check().findings]


@dataclass
class Job:
    """One vehicle with one gearbox, and the work order that is open on it."""

    room: Stockroom
    customer_id: int
    vehicle_id: int
    unit_id: int
    order_id: int = 0
    record_id: int = 0

    def open(self) -> Job:
        """Open another work order."""
        command = OpenWorkOrder(
            actor=self.room.actor, vehicle_id=self.vehicle_id, customer_id=self.customer_id
        )
        self.order_id = self.room.desk.work.open(command).work_order_id
        return self

    def priced(self, *lines: LineTyped) -> Job:
        """Put lines on the work order and have it agreed to."""
        desk, actor = self.room.desk, self.room.actor
        version = desk.board.work_order(self.order_id).version
        desk.work.set_lines(
            SetLines(actor=actor, work_order_id=self.order_id, version=version, lines=lines or (LABOUR,))
        )
        desk.work.estimate(MakeEstimate(actor=actor, work_order_id=self.order_id))
        desk.work.consent(
            RecordConsent(
                actor=actor,
                work_order_id=self.order_id,
                person="Ida Brook",
                how=ConsentHow.IN_PERSON,
                said="Yes, please.",
            )
        )
        return self

    def serviced(self, item_id: int | None, put_in: str, drained: str = "3.5 l", **more: Any) -> Job:
        """Record a service with this much put in."""
        desk, actor = self.room.desk, self.room.actor
        command = OpenRecord(
            actor=actor, work_order_id=self.order_id, unit_id=self.unit_id, item_id=item_id, **more
        )
        self.record_id = desk.bay.open(command).record_id
        self.entered(drained=drained, put_in=put_in, spilled="0 l")
        return self

    def entered(self, **values: str) -> None:
        """Enter volumes."""
        entries = tuple(
            EntryTyped(field=field, value=value, within="50 ml", temperature="20 degC")
            for field, value in values.items()
            if value
        )
        self.room.desk.bay.enter(Enter(actor=self.room.actor, record_id=self.record_id, entries=entries))

    def finished(self) -> Finished:
        """Finish the work."""
        return self.room.desk.bay.finish(FinishWork(actor=self.room.actor, work_order_id=self.order_id))


LABOUR = LineTyped(kind=LineKind.LABOUR, text="Gearbox fluid service", quantity="1", unit_price="90.00")


def stockroom(desk: Desk, url: str, **shop: Any) -> Stockroom:
    """Set a shop up on an empty desk."""
    values: dict[str, Any] = {
        "name": "Gearhouse",
        "owner": "Owner",
        "currency": "EUR",
        "place": "Freeland",
        "volume_unit": "l",
        "temperature_unit": "degc",
        "torque_unit": "nm",
        "distance_unit": "km",
        "paper_size": "A4",
        "label_size": "62x100 mm",
        "cost_method": CostMethod.FIFO,
    }
    command = FirstRun(actor=Actor(person_id=0, station_id=0), **(values | shop))
    return Stockroom(desk=desk, url=url, actor=desk.setup.first_run(command))
