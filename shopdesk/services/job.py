"""One whole service from a file: everything in it is kept in one transaction, or nothing is.

The file's sections are the commands of the rooms, with the same field names; quantities and money
are text. Refusals name the place in the file as a JSON path. Papers are made afterwards from what
was kept.
"""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from gettext import gettext as _
from typing import Any, TypeVar

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.intervals import NextDue
from shopdesk.domain.methods import ServiceMethod, UnitKind
from shopdesk.domain.numerals import NumberStyle
from shopdesk.domain.record import Outcome
from shopdesk.persistence import canonical
from shopdesk.persistence.tables.shop import station
from shopdesk.persistence.tables.units import unit
from shopdesk.services.acting import Actor, Command, Office, Writing
from shopdesk.services.bay import Enter, FinishWork, OpenRecord, enter, finish_work, open_record, record_view
from shopdesk.services.billing import (
    InvoiceKept,
    IssueInvoice,
    TakePayment,
    Tender,
    issue_invoice,
    take_payment,
)
from shopdesk.services.customers import AddCustomer, add_customer, find_same_customer
from shopdesk.services.duedates import due_by_papers, refresh_vehicle
from shopdesk.services.items import ItemKind, SaveItem, item_by_name, item_view, save_item
from shopdesk.services.job_entries import service_entries
from shopdesk.services.lines import LineRow, LineTyped, priced_work
from shopdesk.services.odometers import ReadOdometer, read_odometer
from shopdesk.services.plain import fields_from_plain
from shopdesk.services.setup import FirstRun, known_actor, set_up
from shopdesk.services.sheets import SaveSheet, save_sheet
from shopdesk.services.shopfacts import is_set_up
from shopdesk.services.stock import Drawn, Receive, on_hand, receive
from shopdesk.services.typed import under
from shopdesk.services.vehicles import (
    AddUnit,
    AddVehicle,
    AnswerDuty,
    DutyTyped,
    add_unit,
    add_vehicle,
    answer_duty,
    find_same_vehicle,
    find_unit,
)
from shopdesk.services.work import (
    EditWorkOrder,
    MakeEstimate,
    OpenWorkOrder,
    RecordConsent,
    SetLines,
    edit_work_order,
    make_estimate,
    open_work_order,
    record_consent,
    set_lines,
    the_work_order,
)

C = TypeVar("C", bound=Command)


@dataclass(frozen=True, kw_only=True, slots=True)
class RunJob(Command):
    """A job file's content, already checked against its schema."""

    document: Mapping[str, Any]


@dataclass(frozen=True, kw_only=True, slots=True)
class StockLeft:
    """What is on hand of an item after the job, in its base unit (µL, or thousandths of a piece)."""

    item: str
    base: str
    drawn: int
    left: int
    short: int
    cost_minor: int


@dataclass(frozen=True, kw_only=True, slots=True)
class JobDone:
    """What a job came to. Volumes in µL, money in minor units."""

    work_order_id: int
    work_order_number: int
    customer_id: int
    vehicle_id: int
    unit_id: int
    record_id: int
    invoice: InvoiceKept
    paid_minor: int
    stock: tuple[StockLeft, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class JobView:
    """A job's computed figures, worked out from what is kept."""

    done: JobDone
    outcome: Outcome
    due: NextDue | None
    lines: tuple[LineRow, ...]


@contextmanager
def _placed(places: Mapping[str, str]) -> Iterator[None]:
    """Name the place in the file that a refused field of a later step comes from."""
    try:
        yield
    except RuleBroken as refusal:
        refusal.field = places.get(refusal.field, refusal.field)
        raise


class Job:
    """One job file being kept: its sections, in the order of the work."""

    def __init__(self, writing: Writing, document: Mapping[str, Any], station: tuple[str, str]) -> None:
        self._writing = writing
        self._station = station
        self._document = document
        self._notes: list[str] = []

    def _command(self, command: type[C], values: Mapping[str, Any], /, **more: Any) -> C:
        """Give a section as the command it stands for."""
        given = fields_from_plain(command, values)
        return command(actor=self._writing.actor, style=NumberStyle.STRICT, **given, **more)

    def keep(self) -> JobDone:
        """Keep all of the file."""
        self._shop()
        self._catalogue()
        customer_id = self._customer()
        vehicle_id = self._vehicle(customer_id)
        odometer_id = self._odometer(vehicle_id)
        unit_id = self._unit(vehicle_id)
        order_id = self._work_order(vehicle_id, customer_id, odometer_id)
        self._prices_and_consent(order_id)
        record_id = self._service(order_id, unit_id)
        with _placed({"wheel_torque": "/work_order/wheel_torque", "item": "/service/fluid"}):
            finished = finish_work(self._writing, self._command(FinishWork, {}, work_order_id=order_id))
        with _placed({"consent": "/consent/up_to", "lines": "/lines"}):
            billed = issue_invoice(self._writing, self._command(IssueInvoice, {}, work_order_id=order_id))
        return JobDone(
            work_order_id=order_id,
            work_order_number=the_work_order(self._writing, order_id).number,
            customer_id=customer_id,
            vehicle_id=vehicle_id,
            unit_id=unit_id,
            record_id=record_id,
            invoice=billed,
            paid_minor=self._payment(billed.invoice_id),
            stock=tuple(self._left(drawn) for drawn in finished.drawn),
            notes=tuple(self._notes),
        )

    def _section(self, name: str) -> dict[str, Any]:
        return dict(self._document.get(name, {}))

    def _shop(self) -> None:
        if is_set_up(self._writing.connection):
            self._at_station()
            return
        if "shop" not in self._document:
            sentence = _("This database holds no shop yet: set it up, or add a shop section to the file.")
            raise RuleBroken(sentence, "/shop")
        with under("/shop"):
            set_up(self._writing, self._command(FirstRun, self._section("shop")))

    def _at_station(self) -> None:
        """A station that was not here before is noted with the job, so that a refused one leaves no trace."""
        uid, name = self._station
        actor = known_actor(self._writing, uid)
        station_id = actor.station_id or self._writing.add(station, uid=uid, name=name)
        self._writing.actor = Actor(person_id=actor.person_id, station_id=station_id)

    def _catalogue(self) -> None:
        for at, values in enumerate(self._document.get("items", ())):
            with under(f"/items/{at}"):
                save_item(self._writing, self._command(SaveItem, values))
        for at, values in enumerate(self._document.get("deliveries", ())):
            with under(f"/deliveries/{at}"):
                item_id = item_by_name(self._writing, values["item"], "item").id
                rest = {key: value for key, value in values.items() if key != "item"}
                receive(self._writing, self._command(Receive, rest, item_id=item_id))

    def _customer(self) -> int:
        with under("/customer"):
            command = self._command(AddCustomer, self._section("customer"))
            same = find_same_customer(self._writing, command)
            if same is not None:
                return int(same)
            kept = add_customer(self._writing, command)
        self._notes += kept.notes
        return kept.customer_id

    def _vehicle(self, customer_id: int) -> int:
        with under("/vehicle"):
            command = self._command(AddVehicle, self._section("vehicle"), customer_id=customer_id)
            same = find_same_vehicle(self._writing, command)
            if same is not None:
                return int(same)
            kept = add_vehicle(self._writing, command, customer_id)
        self._notes += kept.notes
        return kept.vehicle_id

    def _odometer(self, vehicle_id: int) -> int | None:
        answers = tuple(DutyTyped(question=key, yes=yes) for key, yes in self._section("duty").items())
        if answers:
            with under("/duty"):
                answer_duty(
                    self._writing, self._command(AnswerDuty, {}, vehicle_id=vehicle_id, answers=answers)
                )
        odometer_id = self._reading(vehicle_id)
        refresh_vehicle(self._writing, vehicle_id)  # its other units follow its use and its duty too
        return odometer_id

    def _reading(self, vehicle_id: int) -> int | None:
        values = self._section("odometer")
        if not values:
            return None
        with under("/odometer"):
            reading = self._command(ReadOdometer, values, vehicle_id=vehicle_id)
            kept = read_odometer(self._writing, reading)
        self._notes += kept.doubts
        return kept.odometer_id

    def _unit(self, vehicle_id: int) -> int:
        with under("/sheet"):
            sheet = save_sheet(self._writing, self._command(SaveSheet, self._section("sheet")))
        kind = UnitKind(self._document["sheet"]["kind"])
        values = self._section("unit")
        with under("/unit"):
            known = find_unit(self._writing, vehicle_id, kind, values.get("position", ""))
            if known is not None:
                return self._with_sheet(int(known), sheet.sheet_id)
            command = self._command(
                AddUnit, values, vehicle_id=vehicle_id, kind=kind, sheet_id=sheet.sheet_id
            )
            return add_unit(self._writing, command).unit_id

    def _with_sheet(self, unit_id: int, sheet_id: int) -> int:
        """The file says by which sheet the work was done; a unit kept under another goes over to it."""
        if self._writing.one(unit, unit_id, _("That unit is not there any more.")).sheet_id != sheet_id:
            self._writing.change(unit, unit_id, sheet_id=sheet_id)
        return unit_id

    def _work_order(self, vehicle_id: int, customer_id: int, odometer_id: int | None) -> int:
        values = self._section("work_order")
        wheel_torque = values.pop("wheel_torque", "")
        with under("/work_order"):
            command = self._command(
                OpenWorkOrder,
                values,
                vehicle_id=vehicle_id,
                customer_id=customer_id,
                odometer_id=odometer_id,
            )
            order_id = open_work_order(self._writing, command).work_order_id
            if wheel_torque:
                version = the_work_order(self._writing, order_id).version
                edit_work_order(
                    self._writing,
                    self._command(
                        EditWorkOrder,
                        values,
                        work_order_id=order_id,
                        version=version,
                        wheel_torque=wheel_torque,
                    ),
                )
        return order_id

    def _prices_and_consent(self, order_id: int) -> None:
        lines = tuple(LineTyped(**fields_from_plain(LineTyped, line)) for line in self._document["lines"])
        version = the_work_order(self._writing, order_id).version
        with under(""):
            set_lines(
                self._writing,
                self._command(SetLines, {}, work_order_id=order_id, version=version, lines=lines),
            )
        make_estimate(self._writing, self._command(MakeEstimate, {}, work_order_id=order_id))
        with under("/consent"):
            record_consent(
                self._writing, self._command(RecordConsent, self._section("consent"), work_order_id=order_id)
            )

    def _service(self, order_id: int, unit_id: int) -> int:
        service = self._section("service")
        fluid = service.get("fluid", "")
        with _placed({"/service/match_reason": "/service/fluid_reason"}), under("/service"):
            item_id = item_by_name(self._writing, fluid, "fluid").id if fluid else None
            done_on = date.fromisoformat(service["done_on"]) if "done_on" in service else None
            opened = open_record(
                self._writing,
                self._command(
                    OpenRecord,
                    {},
                    work_order_id=order_id,
                    unit_id=unit_id,
                    service_method=ServiceMethod(service["method"]),
                    item_id=item_id,
                    done_on=done_on,
                    match_reason=service.get("fluid_reason", ""),
                ),
            )
        self._enter(opened.record_id, service)
        return opened.record_id

    def _enter(self, record_id: int, service: Mapping[str, Any]) -> None:
        placed = service_entries(service)
        entries = tuple(each.entry for each in placed)
        try:
            enter(self._writing, self._command(Enter, {}, record_id=record_id, entries=entries))
        except RuleBroken as refusal:
            group, _slash, rest = refusal.field.partition("/")
            at, _slash, field = rest.partition("/")
            refusal.field = placed[int(at)].place_of(field) if group == "entries" else f"/service/{group}"
            raise

    def _payment(self, invoice_id: int) -> int:
        values = self._section("payment")
        if not values:
            return 0
        with under("/payment"):
            command = self._command(
                TakePayment,
                {key: value for key, value in values.items() if key != "tender"},
                invoice_id=invoice_id,
                tender=Tender(values["tender"]),
            )
            return take_payment(self._writing, command).amount_minor

    def _left(self, drawn: Drawn) -> StockLeft:
        goods = item_view(self._writing, drawn.item_id)
        return StockLeft(
            item=goods.name,
            base="ul" if goods.kind is ItemKind.FLUID else "milli_each",
            drawn=drawn.quantity,
            left=on_hand(self._writing, drawn.item_id),
            short=drawn.short,
            cost_minor=drawn.cost_minor,
        )


class Jobs:
    """The room where whole services come in from files."""

    def __init__(self, office: Office, station: tuple[str, str]) -> None:
        self._office = office
        self._station = station

    def run(self, document: Mapping[str, Any]) -> tuple[JobDone, bool]:
        """Keep a job file once; also says whether it had been kept before.

        The shop's first person does it, at this station. Raises RuleBroken with a JSON path, and
        then nothing of the file is kept.
        """
        nobody_yet = Actor(person_id=0, station_id=0)
        command = RunJob(
            actor=nobody_yet, uid=document["id"].lower(), style=NumberStyle.STRICT, document=document
        )
        kept_before = self._office.knows(command.uid)
        content = canonical.canonical_json(document)

        def keep(writing: Writing) -> JobDone:
            return Job(writing, document, self._station).keep()

        with _placed({"id": "/id"}):
            done = self._office.carry_out(command, keep, JobDone, content=content)
        return done, kept_before

    def view(self, done: JobDone) -> JobView:
        """Give what follows from a job's facts as they are kept now."""
        with self._office.reading() as reading:
            due = due_by_papers(reading, done.record_id, done.unit_id)
            return JobView(
                done=done,
                outcome=record_view(reading, done.record_id).outcome,
                due=due.due if due else None,
                lines=priced_work(reading, done.work_order_id).lines,
            )
