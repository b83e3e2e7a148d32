"""Taking in: customers, vehicles, their units, odometers and how they are driven; and looking them up."""

from dataclasses import dataclass
from datetime import date, datetime
from gettext import gettext as _
from zoneinfo import ZoneInfo

from sqlalchemy import ScalarSelect, exists, func, or_, select

from shopdesk.domain.duty import DutyAnswer
from shopdesk.domain.errors import NotFound
from shopdesk.domain.intervals import DueState, due_state
from shopdesk.domain.methods import UnitKind
from shopdesk.domain.odometer import UseRate
from shopdesk.persistence.tables.customers import address, contact, customer
from shopdesk.persistence.tables.service import next_due, service_record
from shopdesk.persistence.tables.units import unit, unit_sheet
from shopdesk.persistence.tables.vehicles import odometer_reading, odometer_segment, ownership, vehicle
from shopdesk.persistence.tables.work import work_order
from shopdesk.services import duedates
from shopdesk.services.acting import AnyRow, Office, Reading, Writing
from shopdesk.services.customers import (
    AddCustomer,
    CustomerKept,
    CustomerKind,
    EditCustomer,
    add_customer,
    edit_customer,
)
from shopdesk.services.odometers import OdometerKept, ReadOdometer, history, read_odometer, use_of
from shopdesk.services.vehicles import (
    AddUnit,
    AddVehicle,
    AnswerDuty,
    ChangeKeeper,
    EditUnit,
    EditVehicle,
    UnitKept,
    VehicleKept,
    add_unit,
    add_vehicle,
    answer_duty,
    change_keeper,
    edit_unit,
    edit_vehicle,
    vehicle_words,
)


@dataclass(frozen=True, kw_only=True, slots=True)
class CustomerRow:
    """One line of the customers' list. ``sort_key`` and ``id`` continue the list."""

    id: int
    sort_key: str
    name: str
    kind: CustomerKind
    phone: str
    vehicles: int


@dataclass(frozen=True, kw_only=True, slots=True)
class VehicleRow:
    """One line of the vehicles' list. ``plate_key`` and ``id`` continue the list."""

    id: int
    plate_key: str
    plate: str
    words: str
    vin: str
    keeper: str
    due_on: date | None
    due_state: DueState


@dataclass(frozen=True, kw_only=True, slots=True)
class CustomerView:
    """A customer with ways to reach them and their vehicles."""

    id: int
    version: int
    kind: CustomerKind
    name: str
    phones: tuple[str, ...]
    emails: tuple[str, ...]
    address: str
    warning: str
    note: str
    vehicles: tuple[VehicleRow, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class UnitView:
    """One unit of a vehicle, with its sheet and when it is next due.

    ``used_share`` is the part of its distance interval that is used up (0 to 1 and above), None when
    it cannot be said. ``decided_by`` says whether ``due_on`` follows from the distance or from the time.
    """

    id: int
    version: int
    kind: UnitKind
    position: str
    label: str
    power_order: int
    sheet_id: int | None
    designation: str
    total_ul: int | None
    due_on: date | None
    due_tenths: int | None
    due_unit: str
    due_reason: str
    decided_by: str
    due_state: DueState
    used_share: float | None
    last_done_on: date | None


@dataclass(frozen=True, kw_only=True, slots=True)
class OdometerRow:
    """One odometer reading as kept."""

    id: int
    on_date: date
    tenths: int
    segment: int
    source: str
    doubt: str
    reason: str
    actual: bool
    corrected: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class ServiceRow:
    """One service of one unit."""

    record_id: int
    unit_id: int
    unit_label: str
    work_order_id: int
    work_order_number: int
    done_on: date
    tenths: int | None
    method: str
    finished: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class VehicleView:
    """A vehicle with its keeper, units, readings and history; ``today`` is the shop's day it was read on."""

    id: int
    version: int
    today: date
    plate: str
    plate_place: str
    vin: str
    vin_note: str
    make: str
    model: str
    year: int | None
    words: str
    odometer_unit: str
    warning: str
    note: str
    keeper_id: int
    keeper: str
    keeper_warning: str
    units: tuple[UnitView, ...]
    readings: tuple[OdometerRow, ...]
    services: tuple[ServiceRow, ...]
    duty: tuple[DutyAnswer, ...]
    use: UseRate


def _first_phone() -> ScalarSelect[str]:
    return (
        select(contact.c.typed)
        .where(contact.c.customer_id == customer.c.id, contact.c.kind == "phone", contact.c.position == 0)
        .scalar_subquery()
    )


def customer_rows(
    reading: Reading,
    *,
    starts: str = "",
    digits: str = "",
    after: tuple[str, int] | None = None,
    most: int = 100,
) -> tuple[CustomerRow, ...]:
    """Give customers by name from a window of rows.

    ``starts`` is a match key that the name contains, ``digits`` a part of a telephone number; with both,
    one of them is enough.
    """
    kept = (
        select(func.count())
        .where(ownership.c.customer_id == customer.c.id, ownership.c.to_on.is_(None))
        .scalar_subquery()
    )
    query = (
        select(
            customer.c.id,
            customer.c.sort_key,
            customer.c.name,
            customer.c.kind,
            _first_phone().label("phone"),
            kept.label("vehicles"),
        )
        .where(customer.c.erased_at.is_(None))
        .order_by(customer.c.sort_key, customer.c.id)
        .limit(most)
    )
    wanted = [customer.c.sort_key.contains(starts, autoescape=True)] if starts else []
    if digits:
        called = (contact.c.customer_id == customer.c.id) & (contact.c.kind == "phone")
        wanted.append(exists().where(called, contact.c.normal.contains(digits, autoescape=True)))
    if wanted:
        query = query.where(or_(*wanted))
    if after is not None:
        same = (customer.c.sort_key == after[0]) & (customer.c.id > after[1])
        query = query.where((customer.c.sort_key > after[0]) | same)
    return tuple(
        CustomerRow(
            id=row.id,
            sort_key=row.sort_key,
            name=row.name,
            kind=CustomerKind(row.kind),
            phone=row.phone or "",
            vehicles=row.vehicles,
        )
        for row in reading.connection.execute(query)
    )


def vehicle_rows(
    reading: Reading,
    *,
    contains: str = "",
    customer_id: int | None = None,
    after: tuple[str, int] | None = None,
    most: int = 100,
) -> tuple[VehicleRow, ...]:
    """Give vehicles by plate from a window of rows; ``contains`` is a part of a plate's key or of a VIN."""
    soonest = (
        select(func.min(next_due.c.due_on))
        .join(unit, unit.c.id == next_due.c.unit_id)
        .where(unit.c.vehicle_id == vehicle.c.id, unit.c.removed_on.is_(None))
        .scalar_subquery()
    )
    query = (
        select(vehicle, customer.c.name.label("keeper"), soonest.label("due_on"))
        .join(ownership, (ownership.c.vehicle_id == vehicle.c.id) & ownership.c.to_on.is_(None))
        .join(customer, customer.c.id == ownership.c.customer_id)
        .order_by(vehicle.c.plate_key, vehicle.c.id)
        .limit(most)
    )
    if contains:
        plate = vehicle.c.plate_key.contains(contains, autoescape=True)
        query = query.where(plate | vehicle.c.vin.contains(contains, autoescape=True))
    if customer_id is not None:
        query = query.where(customer.c.id == customer_id)
    if after is not None:
        same = (vehicle.c.plate_key == after[0]) & (vehicle.c.id > after[1])
        query = query.where((vehicle.c.plate_key > after[0]) | same)
    return tuple(_vehicle_row(row, reading.today) for row in reading.connection.execute(query))


def _vehicle_row(row: AnyRow, today: date) -> VehicleRow:
    due = date.fromisoformat(row.due_on) if isinstance(row.due_on, str) else row.due_on
    return VehicleRow(
        id=row.id,
        plate_key=row.plate_key,
        plate=row.plate,
        words=vehicle_words(row),
        vin=row.vin,
        keeper=row.keeper,
        due_on=due,
        due_state=due_state(due, today),
    )


def customer_view(reading: Reading, customer_id: int) -> CustomerView:
    """Give a customer with everything on their page."""
    row = reading.one(customer, customer_id, _("That customer is not there any more."))
    ways = reading.connection.execute(
        select(contact.c.kind, contact.c.typed)
        .where(contact.c.customer_id == customer_id)
        .order_by(contact.c.position)
    ).all()
    places = reading.connection.execute(
        select(address.c.lines).where(address.c.customer_id == customer_id).order_by(address.c.position)
    ).scalars()
    return CustomerView(
        id=row.id,
        version=row.version,
        kind=CustomerKind(row.kind),
        name=row.name,
        phones=tuple(way.typed for way in ways if way.kind == "phone"),
        emails=tuple(way.typed for way in ways if way.kind == "email"),
        address="\n".join(places),
        warning=row.warning,
        note=row.note,
        vehicles=vehicle_rows(reading, customer_id=customer_id),
    )


def unit_views(reading: Reading, vehicle_id: int) -> tuple[UnitView, ...]:
    """Give the units that are in a vehicle now, in power order."""
    last = (
        select(func.max(service_record.c.done_on))
        .where(service_record.c.unit_id == unit.c.id, service_record.c.finished_utc.is_not(None))
        .scalar_subquery()
    )
    rows = reading.connection.execute(
        select(
            unit,
            unit_sheet.c.designation,
            next_due.c.due_on,
            next_due.c.odometer_tenths,
            next_due.c.odometer_unit,
            next_due.c.reason_text,
            next_due.c.decided_by,
            next_due.c.record_id,
            last.label("last_done_on"),
        )
        .outerjoin(unit_sheet, unit_sheet.c.id == unit.c.sheet_id)
        .outerjoin(next_due, next_due.c.unit_id == unit.c.id)
        .where(unit.c.vehicle_id == vehicle_id, unit.c.removed_on.is_(None))
        .order_by(unit.c.power_order, unit.c.id)
    ).all()
    known = history(reading, vehicle_id)
    now = known.facts[-1].tenths if known.facts else None
    return tuple(_unit_view(reading, row, now) for row in rows)


def _unit_view(reading: Reading, row: AnyRow, now_tenths: int | None) -> UnitView:
    last = date.fromisoformat(row.last_done_on) if isinstance(row.last_done_on, str) else row.last_done_on
    return UnitView(
        id=row.id,
        version=row.version,
        kind=UnitKind(row.kind),
        position=row.position,
        label=row.label,
        power_order=row.power_order,
        sheet_id=row.sheet_id,
        designation=row.designation or "",
        total_ul=row.total_ul,
        due_on=row.due_on,
        due_tenths=row.odometer_tenths,
        due_unit=row.odometer_unit or "",
        due_reason=row.reason_text or "",
        decided_by=row.decided_by or "",
        due_state=due_state(row.due_on, reading.today),
        used_share=_used_share(reading, row, now_tenths),
        last_done_on=last,
    )


def _used_share(reading: Reading, row: AnyRow, now_tenths: int | None) -> float | None:
    """Give how much of the distance from the last service to the next is behind the vehicle."""
    if row.record_id is None or row.odometer_tenths is None or now_tenths is None:
        return None
    done = reading.connection.execute(
        select(odometer_reading.c.value_tenths)
        .join(service_record, service_record.c.odometer_id == odometer_reading.c.id)
        .where(service_record.c.id == row.record_id)
    ).scalar()
    if done is None or row.odometer_tenths <= done:
        return None
    return max(0.0, float(now_tenths - done) / float(row.odometer_tenths - done))


def odometer_rows(reading: Reading, vehicle_id: int) -> tuple[OdometerRow, ...]:
    """Give every reading of a vehicle as kept, newest first."""
    rows = reading.connection.execute(
        select(odometer_reading, odometer_segment.c.number)
        .join(odometer_segment, odometer_segment.c.id == odometer_reading.c.segment_id)
        .where(odometer_reading.c.vehicle_id == vehicle_id)
        .order_by(odometer_reading.c.on_date.desc(), odometer_reading.c.id.desc())
    ).all()
    corrected = {row.corrects_id for row in rows}
    return tuple(
        OdometerRow(
            id=row.id,
            on_date=row.on_date,
            tenths=row.value_tenths,
            segment=row.number,
            source=row.source,
            doubt=row.doubt,
            reason=row.reason,
            actual=row.actual,
            corrected=row.id in corrected,
        )
        for row in rows
    )


def service_rows(reading: Reading, vehicle_id: int) -> tuple[ServiceRow, ...]:
    """Give every service on a vehicle's units, newest first."""
    rows = reading.connection.execute(
        select(
            service_record.c.id,
            service_record.c.unit_id,
            unit.c.label,
            service_record.c.work_order_id,
            work_order.c.number,
            service_record.c.done_on,
            odometer_reading.c.value_tenths,
            service_record.c.service_method,
            service_record.c.finished_utc,
        )
        .join(unit, unit.c.id == service_record.c.unit_id)
        .join(work_order, work_order.c.id == service_record.c.work_order_id)
        .outerjoin(odometer_reading, odometer_reading.c.id == service_record.c.odometer_id)
        .where(unit.c.vehicle_id == vehicle_id)
        .order_by(service_record.c.done_on.desc(), service_record.c.id.desc())
    )
    return tuple(
        ServiceRow(
            record_id=row.id,
            unit_id=row.unit_id,
            unit_label=row.label,
            work_order_id=row.work_order_id,
            work_order_number=row.number,
            done_on=row.done_on,
            tenths=row.value_tenths,
            method=row.service_method,
            finished=row.finished_utc is not None,
        )
        for row in rows
    )


def vehicle_view(reading: Reading, vehicle_id: int) -> VehicleView:
    """Give a vehicle with everything on its page."""
    row = reading.one(vehicle, vehicle_id, _("That vehicle is not there any more."))
    keeper = reading.connection.execute(
        select(customer.c.id, customer.c.name, customer.c.warning)
        .join(ownership, ownership.c.customer_id == customer.c.id)
        .where(ownership.c.vehicle_id == vehicle_id, ownership.c.to_on.is_(None))
        .order_by(ownership.c.id.desc())
        .limit(1)
    ).one()
    return VehicleView(
        id=row.id,
        version=row.version,
        today=reading.today,
        plate=row.plate,
        plate_place=row.plate_place,
        vin=row.vin,
        vin_note=row.vin_note,
        make=row.make_text,
        model=row.model_text,
        year=row.year,
        words=vehicle_words(row),
        odometer_unit=row.odometer_unit,
        warning=row.warning,
        note=row.note,
        keeper_id=keeper.id,
        keeper=keeper.name,
        keeper_warning=keeper.warning,
        units=unit_views(reading, vehicle_id),
        readings=odometer_rows(reading, vehicle_id),
        services=service_rows(reading, vehicle_id),
        duty=duedates.duty_answers(reading, vehicle_id),
        use=use_of(history(reading, vehicle_id)),
    )


class Intake:
    """The room where customers and vehicles are taken in and looked up."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def add_customer(self, command: AddCustomer) -> CustomerKept:
        """Take a new customer in."""
        return self._office.carry_out(command, lambda writing: add_customer(writing, command), CustomerKept)

    def edit_customer(self, command: EditCustomer) -> CustomerKept:
        """Change a customer's particulars."""
        return self._office.carry_out(command, lambda writing: edit_customer(writing, command), CustomerKept)

    def add_vehicle(self, command: AddVehicle) -> VehicleKept:
        """Take a vehicle in."""
        return self._office.carry_out(
            command, lambda writing: add_vehicle(writing, command, command.customer_id), VehicleKept
        )

    def edit_vehicle(self, command: EditVehicle) -> VehicleKept:
        """Change a vehicle's particulars."""
        return self._office.carry_out(command, lambda writing: edit_vehicle(writing, command), VehicleKept)

    def change_keeper(self, command: ChangeKeeper) -> VehicleKept:
        """Note that a vehicle changed hands."""
        return self._office.carry_out(command, lambda writing: change_keeper(writing, command), VehicleKept)

    def add_unit(self, command: AddUnit) -> UnitKept:
        """Note a unit of a vehicle."""
        return self._office.carry_out(command, lambda writing: add_unit(writing, command), UnitKept)

    def edit_unit(self, command: EditUnit) -> UnitKept:
        """Change a unit."""

        def work(writing: Writing) -> UnitKept:
            kept = edit_unit(writing, command)
            duedates.refresh(writing, command.unit_id)
            return kept

        return self._office.carry_out(command, work, UnitKept)

    def read_odometer(self, command: ReadOdometer) -> OdometerKept:
        """Keep an odometer reading; what is due by distance follows it."""

        def work(writing: Writing) -> OdometerKept:
            kept = read_odometer(writing, command)
            duedates.refresh_vehicle(writing, command.vehicle_id)
            return kept

        return self._office.carry_out(command, work, OdometerKept)

    def answer_duty(self, command: AnswerDuty) -> VehicleKept:
        """Keep how a vehicle is driven; what is due follows it."""

        def work(writing: Writing) -> VehicleKept:
            kept = answer_duty(writing, command)
            duedates.refresh_vehicle(writing, command.vehicle_id)
            return kept

        return self._office.carry_out(command, work, VehicleKept)

    def now(self) -> datetime:
        """Give the present instant in the shop's own zone."""
        with self._office.reading() as reading:
            return reading.now.astimezone(ZoneInfo(reading.shop.zone))

    def customers(
        self, *, starts: str = "", digits: str = "", after: tuple[str, int] | None = None, most: int = 100
    ) -> tuple[CustomerRow, ...]:
        """Give a window of the customers' list."""
        with self._office.reading() as reading:
            return customer_rows(reading, starts=starts, digits=digits, after=after, most=most)

    def vehicles(
        self, *, contains: str = "", after: tuple[str, int] | None = None, most: int = 100
    ) -> tuple[VehicleRow, ...]:
        """Give a window of the vehicles' list."""
        with self._office.reading() as reading:
            return vehicle_rows(reading, contains=contains, after=after, most=most)

    def customer(self, customer_id: int) -> CustomerView:
        """Give a customer's page."""
        with self._office.reading() as reading:
            return customer_view(reading, customer_id)

    def vehicle(self, vehicle_id: int) -> VehicleView:
        """Give a vehicle's page."""
        with self._office.reading() as reading:
            return vehicle_view(reading, vehicle_id)

    def unit(self, unit_id: int) -> UnitView:
        """Give one unit of a vehicle."""
        with self._office.reading() as reading:
            row = reading.one(unit, unit_id, _("That unit is not there any more."))
            found = next((each for each in unit_views(reading, row.vehicle_id) if each.id == unit_id), None)
            if found is None:
                raise NotFound(_("That unit was taken out of its vehicle."), "unit")
            return found
