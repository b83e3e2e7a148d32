"""A visit as it goes through the shop: taken in and quoted, into the bay, finished, billed and paid.

Every method is one moment. It is given an open write transaction and does in it what the shop's
rooms would do; the caller says when and by whom (:meth:`Crew.moment`).
"""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from random import Random
from typing import Any

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.stages import Stage
from shopdesk.services import duedates
from shopdesk.services.acting import Writing
from shopdesk.services.bay import Enter, FinishWork, OpenRecord, enter, finish_work, open_record
from shopdesk.services.billing import (
    InvoiceKept,
    IssueInvoice,
    TakePayment,
    Tender,
    issue_invoice,
    take_payment,
)
from shopdesk.services.demo import cast
from shopdesk.services.demo.crew import Crew
from shopdesk.services.demo.measuring import Course, entries, first_half
from shopdesk.services.demo.plan import PlannedCustomer, PlannedVehicle, Story, Visit
from shopdesk.services.demo.pricing import grown_line, lines_for
from shopdesk.services.lines import LineTyped
from shopdesk.services.odometers import ReadOdometer, read_odometer
from shopdesk.services.work import (
    ConsentHow,
    EditWorkOrder,
    MakeEstimate,
    MoveStage,
    OpenWorkOrder,
    PartsChoice,
    RecordConsent,
    SetLines,
    edit_work_order,
    make_estimate,
    move_stage_by_hand,
    open_work_order,
    record_consent,
    set_lines,
    the_work_order,
)

_KM_A_MILE = 1.609344
_HOWS = (ConsentHow.IN_PERSON, ConsentHow.PHONE, ConsentHow.SIGNATURE, ConsentHow.TEXT)
_TENDERS = (Tender.CARD, Tender.CARD, Tender.CASH, Tender.CHECK)
_CHOICES = (PartsChoice.DISCARD, PartsChoice.DISCARD, PartsChoice.INSPECT)


@dataclass(kw_only=True)
class Car:
    """A vehicle as it stands: its ids, who keeps it now, and what its dial showed last."""

    planned: PlannedVehicle
    vehicle_id: int
    unit_ids: tuple[int, ...]
    keeper: PlannedCustomer
    keeper_id: int
    shown: int
    seen_on: date
    shown_before: int = 0

    def drive_until(self, on: date, rng: Random) -> None:
        """Let the dial run on to a day, more or less at the vehicle's own pace."""
        days = max(0, (on - self.seen_on).days)
        pace = self.planned.a_day * (_KM_A_MILE if self.planned.model.dial == "km" else 1)
        self.shown_before = self.shown
        self.shown += round(days * pace * rng.uniform(0.88, 1.12))
        self.seen_on = on


@dataclass(kw_only=True)
class Order:
    """One work order of the demo. ``timed``: the technician noted when each step was done."""

    crew: Crew
    car: Car
    visit: Visit
    bay: int
    timed: bool
    work_order_id: int = 0
    record_ids: tuple[int, ...] = ()
    invoice: InvoiceKept | None = None
    origin: "Order | None" = None

    def take_in(
        self, writing: Writing, *, quoted: bool = True, agreed: bool = True, **particulars: Any
    ) -> None:
        """Read the odometer, open the work order, price it, and note the consent."""
        values = {
            "vehicle_id": self.car.vehicle_id,
            "customer_id": self.car.keeper_id,
            "odometer_id": self._read_odometer(writing),
            **self._particulars(writing.now),
            **particulars,
        }
        kept = open_work_order(writing, self.crew.command(OpenWorkOrder, **values))
        self.work_order_id = kept.work_order_id
        self._price(writing, self.lines(), quoted=quoted)
        if quoted and agreed:
            self._agree(writing, self.crew.rng.choice(_HOWS), self.crew.rng.choice(cast.SAID))

    def lines(self) -> tuple[LineTyped, ...]:
        """Give what the visit is priced at."""
        return lines_for(self.car.planned, self.visit, self.car.unit_ids)

    def _particulars(self, now: datetime) -> dict[str, Any]:
        rng, keeper = self.crew.rng, self.car.keeper
        first = self.car.planned.sheets[self.visit.services[0].unit]
        values: dict[str, Any] = {
            "complaint": rng.choice(cast.COMPLAINTS["transmission" if first.runs_out else "driveline"]),
            "promised_at": now + timedelta(hours=rng.choice((4, 5, 7, 26))),
            "bay": str(self.bay % len(self.crew.bays) + 1),
            "key_tag": str(rng.randint(1, 24)),
            "parts_choice": rng.choice(_CHOICES),
            "wheel_off": self.visit.story is Story.WHEEL_OFF,
        }
        if keeper.po_prefix:
            values["driver"] = rng.choice(keeper.drivers)
            values["po_number"] = f"{keeper.po_prefix}-{rng.randint(1000, 9999)}"
        if self.origin is not None:
            values["complaint"] = "Drops of oil on the garage floor since the last service."
            values["origin_work_order_id"] = self.origin.work_order_id
            values["comeback_cause"] = "Reused drain plug washer weeps."
        return values

    def _read_odometer(self, writing: Writing) -> int:
        self.car.drive_until(writing.today, self.crew.rng)
        more = self._odd_reading()
        reading = f"{self.car.shown} {self.car.planned.model.dial}"
        command = self.crew.command(ReadOdometer, vehicle_id=self.car.vehicle_id, reading=reading, **more)
        try:
            kept = read_odometer(writing, command)
        except RuleBroken:  # asked about, as at any counter: it is read again and kept with a reason
            kept = read_odometer(writing, replace(command, reason="Read twice; it is right."))
        duedates.refresh_vehicle(writing, self.car.vehicle_id)
        return kept.odometer_id

    def _odd_reading(self) -> dict[str, Any]:
        """Give what is noted with a reading that does not fit the ones before it."""
        if self.visit.story is Story.NEW_ODOMETER:
            reason = f"Instrument cluster replaced elsewhere; the old one stood at about {self.car.shown}."
            self.car.shown = self.crew.rng.randint(40, 900)
            return {"new_instrument": True, "reason": reason}
        if self.visit.story is Story.LOWER_READING:
            self.car.shown = self.car.shown_before - 120
            return {"reason": "The reading before was copied wrong; this one was read twice."}
        if self.visit.story is Story.COMEBACK:
            self.car.shown += 5400
            return {"reason": "A long delivery run to the coast and back; read twice."}
        return {}

    def _price(self, writing: Writing, lines: tuple[LineTyped, ...], *, quoted: bool) -> None:
        order_id = self.work_order_id
        version = the_work_order(writing, order_id).version
        set_lines(writing, self.crew.command(SetLines, work_order_id=order_id, version=version, lines=lines))
        if quoted:
            make_estimate(writing, self.crew.command(MakeEstimate, work_order_id=order_id))

    def _agree(self, writing: Writing, how: ConsentHow, said: str) -> None:
        keeper = self.car.keeper
        away = how in (ConsentHow.PHONE, ConsentHow.TEXT)
        command = self.crew.command(
            RecordConsent,
            work_order_id=self.work_order_id,
            person=self.crew.rng.choice(keeper.drivers) if keeper.drivers else keeper.fields["name"],
            relation="driver" if keeper.drivers else "owner",
            how=how,
            reached_at=keeper.fields["phones"][0] if away else "",
            said=said,
        )
        record_consent(writing, command)

    def cancel(self, writing: Writing) -> None:
        """The customer says no."""
        self._move(writing, Stage.CANCELLED)

    def _move(self, writing: Writing, stage: Stage) -> None:
        command = self.crew.command(MoveStage, work_order_id=self.work_order_id, stage=stage)
        move_stage_by_hand(writing, command)

    def into_the_bay(self, writing: Writing) -> None:
        """Open the service record of each unit, with enough on the shelf."""
        self.crew.shelf.restock(writing)
        self.record_ids = tuple(self._open_record(writing, at) for at in range(len(self.visit.services)))

    def _open_record(self, writing: Writing, at: int) -> int:
        planned = self.visit.services[at]
        sheet = self.car.planned.sheets[planned.unit]
        command = self.crew.command(
            OpenRecord,
            work_order_id=self.work_order_id,
            unit_id=self.car.unit_ids[planned.unit],
            service_method=planned.method,
            item_id=self.crew.shelf.ids[sheet.fluid],
        )
        return open_record(writing, command).record_id

    def grow(self, writing: Writing) -> None:
        """More is found in the bay: priced, estimated and agreed to by telephone."""
        self._price(writing, (*self.lines(), grown_line()), quoted=True)
        self._agree(writing, ConsentHow.PHONE, "Yes, do the hose as well while it is up.")

    def type_half(self, writing: Writing, began: datetime) -> None:
        """Keep what is measured of the first service while the unit warms up."""
        found = first_half(self._course(0, began), self.crew.rng)
        enter(writing, self.crew.command(Enter, record_id=self.record_ids[0], entries=found))

    def finish(self, writing: Writing, began: datetime) -> None:
        """Keep the records' entries, torque the wheel if one was off, and finish the work."""
        for at, record_id in enumerate(self.record_ids):
            found = entries(self._course(at, began), self.crew.rng)
            enter(writing, self.crew.command(Enter, record_id=record_id, entries=found))
        if self.visit.story is Story.WHEEL_OFF:
            self._edit(writing, wheel_torque="100 lbf*ft")
        command = self.crew.command(FinishWork, work_order_id=self.work_order_id)
        self.crew.shelf.took(finish_work(writing, command).drawn)

    def _course(self, at: int, began: datetime) -> Course:
        planned = self.visit.services[at]
        return Course(
            sheet=self.car.planned.sheets[planned.unit],
            planned=planned,
            begins=began,
            tools=self.crew.tools,
            timed=self.timed,
        )

    def wait(self, writing: Writing, reason: str) -> None:
        """Note what the work waits for."""
        self._edit(writing, waiting_reason=reason)

    def _edit(self, writing: Writing, **changes: Any) -> None:
        row = the_work_order(writing, self.work_order_id)
        same = ("complaint", "po_number", "promised_at", "bay", "key_tag", "waits_here", "wheel_off")
        command = self.crew.command(
            EditWorkOrder,
            work_order_id=row.id,
            version=row.version,
            driver=row.driver_text,
            parked=row.parked_text,
            parts_choice=PartsChoice(row.parts_choice),
            **{name: getattr(row, name) for name in same},
            **changes,
        )
        edit_work_order(writing, command)

    def bill(self, writing: Writing, *, paid: bool = True, collected: bool = True) -> None:
        """Issue the invoice; private customers pay and drive away."""
        issued = issue_invoice(writing, self.crew.command(IssueInvoice, work_order_id=self.work_order_id))
        self.invoice = issued
        if paid:
            self.pay(writing, self.crew.rng.choice(_TENDERS))
        if collected:
            self._move(writing, Stage.COLLECTED)

    def pay(self, writing: Writing, tender: Tender = Tender.TRANSFER) -> None:
        """Take what is open on the invoice; a comeback left nothing to pay."""
        if self.invoice is not None and self.invoice.total_minor:
            command = self.crew.command(TakePayment, invoice_id=self.invoice.invoice_id, tender=tender)
            take_payment(writing, command)
