"""What the shop is doing: work orders by stage, one work order whole, and the day at a glance."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from gettext import gettext as _
from typing import TYPE_CHECKING

from sqlalchemy import Select, func, select

from shopdesk.domain.stages import Stage
from shopdesk.persistence.tables.customers import customer
from shopdesk.persistence.tables.service import service_record
from shopdesk.persistence.tables.shop import person
from shopdesk.persistence.tables.units import unit
from shopdesk.persistence.tables.vehicles import odometer_reading, vehicle
from shopdesk.persistence.tables.work import consent, estimate, work_order, work_order_line
from shopdesk.services.acting import AnyRow, Office, Reading
from shopdesk.services.duedates import DueRow, due_rows
from shopdesk.services.invoices import InvoiceRow, invoice_rows
from shopdesk.services.items import ItemKind
from shopdesk.services.lines import LineRow, priced_work
from shopdesk.services.stock import OnHandRow, on_hand_rows
from shopdesk.services.vehicles import vehicle_words
from shopdesk.services.work import PartsChoice, StageCount

if TYPE_CHECKING:
    from shopdesk.services.intake import UnitView
    from shopdesk.services.shelf_use import ShelfUse


@dataclass(frozen=True, kw_only=True, slots=True)
class WorkOrderRow:
    """One line of the work orders' list. ``id`` continues the list, newest first."""

    id: int
    number: int
    stage: Stage
    waiting_reason: str
    plate: str
    vehicle: str
    customer: str
    work: str
    bay: str
    key_tag: str
    waits_here: bool
    promised_at: datetime | None
    opened_utc: datetime
    stage_utc: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class RecordRow:
    """One service record of a work order."""

    record_id: int
    unit_id: int
    unit_label: str
    method: str
    finished: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class EstimateRow:
    """One frozen estimate revision; money in minor units, before tax."""

    id: int
    revision: int
    net_minor: int
    at_utc: datetime
    valid_until: date | None


@dataclass(frozen=True, kw_only=True, slots=True)
class ConsentRow:
    """One recorded consent."""

    id: int
    person: str
    relation: str
    how: str
    reached_at: str
    said: str
    up_to_minor: int
    given_at: datetime
    taken_by: str


@dataclass(frozen=True, kw_only=True, slots=True)
class WorkOrderView:
    """A work order with everything on its page; money in minor units."""

    id: int
    version: int
    number: int
    stage: Stage
    waiting_reason: str
    vehicle_id: int
    plate: str
    vehicle: str
    vehicle_warning: str
    odometer_unit: str
    customer_id: int
    customer: str
    customer_warning: str
    driver: str
    po_number: str
    complaint: str
    note: str
    promised_at: datetime | None
    bay: str
    key_tag: str
    parked: str
    waits_here: bool
    parts_choice: PartsChoice
    wheel_off: bool
    wheel_torque_mnm: int | None
    wheel_torque_typed: str
    odometer_in_tenths: int | None
    origin_number: int | None
    comeback_cause: str
    opened_utc: datetime
    units: tuple[UnitView, ...]
    records: tuple[RecordRow, ...]
    lines: tuple[LineRow, ...]
    net_minor: int
    tax_minor: int
    total_minor: int
    estimates: tuple[EstimateRow, ...]
    consents: tuple[ConsentRow, ...]
    agreed_minor: int | None
    invoice: InvoiceRow | None
    from_stock: tuple[ShelfUse, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class ToFinish:
    """Something begun and not ended, and the work order it is about."""

    work_order_id: int
    number: int
    what: str


@dataclass(frozen=True, kw_only=True, slots=True)
class TodayView:
    """The day at a glance."""

    today: date
    in_the_bays: tuple[WorkOrderRow, ...]
    due: tuple[DueRow, ...]
    shelf: tuple[OnHandRow, ...]
    to_finish: tuple[ToFinish, ...]
    to_collect: tuple[InvoiceRow, ...]
    counts: tuple[StageCount, ...]


def _rows_query() -> Select[tuple[object, ...]]:
    work = (
        select(func.min(work_order_line.c.text))
        .where(work_order_line.c.work_order_id == work_order.c.id, work_order_line.c.position == 1)
        .scalar_subquery()
    )
    return (
        select(
            work_order,
            vehicle.c.plate,
            vehicle.c.year,
            vehicle.c.make_text,
            vehicle.c.model_text,
            customer.c.name.label("customer"),
            work.label("work"),
        )
        .join(vehicle, vehicle.c.id == work_order.c.vehicle_id)
        .join(customer, customer.c.id == work_order.c.customer_id)
    )


def _row(row: AnyRow) -> WorkOrderRow:
    return WorkOrderRow(
        id=row.id,
        number=row.number,
        stage=Stage(row.stage),
        waiting_reason=row.waiting_reason,
        plate=row.plate,
        vehicle=vehicle_words(row),
        customer=row.customer,
        work=row.work or row.complaint,
        bay=row.bay,
        key_tag=row.key_tag,
        waits_here=row.waits_here,
        promised_at=row.promised_at,
        opened_utc=row.opened_utc,
        stage_utc=row.stage_utc,
    )


def work_order_rows(
    reading: Reading,
    *,
    stages: tuple[Stage, ...] = (),
    contains: str = "",
    vehicle_id: int | None = None,
    before_id: int | None = None,
    most: int = 100,
) -> tuple[WorkOrderRow, ...]:
    """Give work orders, newest first, from a window of rows. ``contains`` is a plate key or a number."""
    query = _rows_query().order_by(work_order.c.id.desc()).limit(most)
    if stages:
        query = query.where(work_order.c.stage.in_([stage.value for stage in stages]))
    if contains:
        plate = vehicle.c.plate_key.contains(contains, autoescape=True)
        number = work_order.c.number == int(contains) if contains.isdecimal() and len(contains) < 10 else None
        query = query.where(plate if number is None else plate | number)
    if vehicle_id is not None:
        query = query.where(work_order.c.vehicle_id == vehicle_id)
    if before_id is not None:
        query = query.where(work_order.c.id < before_id)
    return tuple(_row(row) for row in reading.connection.execute(query))


def stage_counts(reading: Reading) -> tuple[StageCount, ...]:
    """Give how many work orders stand at each stage."""
    counted = reading.connection.execute(
        select(work_order.c.stage, func.count().label("n")).group_by(work_order.c.stage)
    )
    rows = {row.stage: int(row.n) for row in counted}
    return tuple(StageCount(stage=stage, count=rows.get(stage.value, 0)) for stage in Stage)


def work_order_view(reading: Reading, work_order_id: int) -> WorkOrderView:
    """Give a work order with everything on its page."""
    from shopdesk.services.intake import unit_views  # the day at a glance, which is first in sight,
    from shopdesk.services.shelf_use import shelf_uses  # does without these two

    row = reading.one(work_order, work_order_id, _("That work order is not there."))
    car = reading.one(vehicle, row.vehicle_id, _("That vehicle is not there."))
    payer = reading.one(customer, row.customer_id, _("That customer is not there."))
    work = priced_work(reading, row.id)
    agreed = _consents(reading, row.id)
    billed = invoice_rows(reading, work_order_id=row.id, most=1)
    return WorkOrderView(
        id=row.id,
        version=row.version,
        number=row.number,
        stage=Stage(row.stage),
        waiting_reason=row.waiting_reason,
        vehicle_id=car.id,
        plate=car.plate,
        vehicle=vehicle_words(car),
        vehicle_warning=car.warning,
        odometer_unit=car.odometer_unit,
        customer_id=payer.id,
        customer=payer.name,
        customer_warning=payer.warning,
        driver=row.driver_text,
        po_number=row.po_number,
        complaint=row.complaint,
        note=row.note,
        promised_at=row.promised_at,
        bay=row.bay,
        key_tag=row.key_tag,
        parked=row.parked_text,
        waits_here=row.waits_here,
        parts_choice=PartsChoice(row.parts_choice),
        wheel_off=row.wheel_off,
        wheel_torque_mnm=row.wheel_torque_mnm,
        wheel_torque_typed=row.wheel_torque_typed,
        odometer_in_tenths=_tenths(reading, row.odometer_in_id),
        origin_number=_number_of(reading, row.origin_work_order_id),
        comeback_cause=row.comeback_cause,
        opened_utc=row.opened_utc,
        units=unit_views(reading, car.id),
        records=_records(reading, row.id),
        lines=work.lines,
        net_minor=work.totals.net_minor,
        tax_minor=work.totals.tax_minor,
        total_minor=work.totals.total_minor,
        estimates=_estimates(reading, row.id),
        consents=agreed,
        agreed_minor=max((each.up_to_minor for each in agreed), default=None),
        invoice=billed[0] if billed else None,
        from_stock=shelf_uses(reading, row.id),
    )


def _tenths(reading: Reading, odometer_id: int | None) -> int | None:
    if odometer_id is None:
        return None
    return reading.connection.execute(
        select(odometer_reading.c.value_tenths).where(odometer_reading.c.id == odometer_id)
    ).scalar()


def _number_of(reading: Reading, work_order_id: int | None) -> int | None:
    if work_order_id is None:
        return None
    return reading.connection.execute(
        select(work_order.c.number).where(work_order.c.id == work_order_id)
    ).scalar()


def _records(reading: Reading, work_order_id: int) -> tuple[RecordRow, ...]:
    rows = reading.connection.execute(
        select(
            service_record.c.id,
            service_record.c.unit_id,
            unit.c.label,
            service_record.c.service_method,
            service_record.c.finished_utc,
        )
        .join(unit, unit.c.id == service_record.c.unit_id)
        .where(service_record.c.work_order_id == work_order_id)
        .order_by(service_record.c.id)
    )
    return tuple(
        RecordRow(
            record_id=row.id,
            unit_id=row.unit_id,
            unit_label=row.label,
            method=row.service_method,
            finished=row.finished_utc is not None,
        )
        for row in rows
    )


def _estimates(reading: Reading, work_order_id: int) -> tuple[EstimateRow, ...]:
    rows = reading.connection.execute(
        select(
            estimate.c.id,
            estimate.c.revision,
            estimate.c.net_minor,
            estimate.c.at_utc,
            estimate.c.valid_until,
        )
        .where(estimate.c.work_order_id == work_order_id)
        .order_by(estimate.c.revision.desc())
    ).mappings()
    return tuple(EstimateRow(**row) for row in rows)


def _consents(reading: Reading, work_order_id: int) -> tuple[ConsentRow, ...]:
    rows = reading.connection.execute(
        select(consent, person.c.name.label("taken_by"))
        .join(person, person.c.id == consent.c.person_id)
        .where(consent.c.work_order_id == work_order_id)
        .order_by(consent.c.id)
    )
    return tuple(
        ConsentRow(
            id=row.id,
            person=row.person_text,
            relation=row.relation,
            how=row.how,
            reached_at=row.reached_at,
            said=row.said_text,
            up_to_minor=row.up_to_minor,
            given_at=row.given_at,
            taken_by=row.taken_by,
        )
        for row in rows
    )


#: How long a finished or an untouched quoted order may lie before it is listed as something to finish.
QUOTE_DAYS = 7


def to_finish(reading: Reading, most: int = 20) -> tuple[ToFinish, ...]:
    """Give what was begun and not ended: finished and not billed, quotes nobody answered."""
    old = reading.now - timedelta(days=QUOTE_DAYS)
    rows = reading.connection.execute(
        select(work_order.c.id, work_order.c.number, work_order.c.stage)
        .where(
            (work_order.c.stage == Stage.FINISHED.value)
            | ((work_order.c.stage == Stage.QUOTED.value) & (work_order.c.stage_utc < old))
        )
        .order_by(work_order.c.stage_utc)
        .limit(most)
    )
    words = {
        Stage.FINISHED: _("finished, not billed yet"),
        Stage.QUOTED: _("quoted, not answered yet"),
    }
    return tuple(
        ToFinish(work_order_id=row.id, number=row.number, what=words[Stage(row.stage)]) for row in rows
    )


def today_view(reading: Reading) -> TodayView:
    """Give the day at a glance; every list is short."""
    busy = (Stage.IN_THE_BAY, Stage.AUTHORISED)
    return TodayView(
        today=reading.today,
        in_the_bays=work_order_rows(reading, stages=busy, most=12),
        due=due_rows(reading, until=reading.today + timedelta(days=30), most=12),
        shelf=tuple(on_hand_rows(reading, ItemKind.FLUID)),
        to_finish=to_finish(reading),
        to_collect=invoice_rows(reading, only_open=True, most=12),
        counts=stage_counts(reading),
    )


class Board:
    """The room where it is seen what the shop is doing."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def today(self) -> TodayView:
        """Give the day at a glance."""
        with self._office.reading() as reading:
            return today_view(reading)

    def work_orders(
        self,
        *,
        stages: tuple[Stage, ...] = (),
        contains: str = "",
        vehicle_id: int | None = None,
        before_id: int | None = None,
        most: int = 100,
    ) -> tuple[WorkOrderRow, ...]:
        """Give a window of the work orders' list."""
        with self._office.reading() as reading:
            return work_order_rows(
                reading,
                stages=stages,
                contains=contains,
                vehicle_id=vehicle_id,
                before_id=before_id,
                most=most,
            )

    def work_order(self, work_order_id: int) -> WorkOrderView:
        """Give one work order whole."""
        with self._office.reading() as reading:
            return work_order_view(reading, work_order_id)

    def counts(self) -> tuple[StageCount, ...]:
        """Give how many work orders stand at each stage."""
        with self._office.reading() as reading:
            return stage_counts(reading)
