"""When each unit's fluid is next due, and the list of what falls due.

``next_due`` is derived: it is worked out again whenever a record is finished or a reading comes in,
and ``shopdesk check`` proves that it equals what follows from the facts.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import Row, delete, insert, select

from shopdesk.domain.intervals import DueState, DutyAnswer, NextDue, due_state, is_severe, next_due
from shopdesk.domain.methods import ServiceMethod
from shopdesk.domain.odometer import OdometerFact, Segment
from shopdesk.persistence.tables.customers import contact, customer
from shopdesk.persistence.tables.service import next_due as due_table
from shopdesk.persistence.tables.service import service_record
from shopdesk.persistence.tables.units import unit
from shopdesk.persistence.tables.vehicles import (
    duty_answer,
    odometer_reading,
    odometer_segment,
    ownership,
    vehicle,
)
from shopdesk.services.acting import Office, Reading, Writing
from shopdesk.services.odometers import OdometerHistory, history, use_of
from shopdesk.services.sheets import sheet_view

FLUID = "fluid"


@dataclass(frozen=True, kw_only=True, slots=True)
class WorkedOutDue:
    """A unit's next due with the record it follows from."""

    unit_id: int
    record_id: int
    odometer_unit: str
    due: NextDue


@dataclass(frozen=True, kw_only=True, slots=True)
class DueRow:
    """One line of the due list."""

    unit_id: int
    vehicle_id: int
    customer_id: int
    customer: str
    phone: str
    plate: str
    vehicle: str
    unit_label: str
    odometer_tenths: int | None
    odometer_unit: str
    due_on: date
    days_left: int
    decided_by: str
    reason: str
    state: DueState


def work_out_due(reading: Reading, unit_id: int) -> WorkedOutDue | None:
    """Give a unit's next due from its last finished fluid change, or None when it never had one."""
    record = _last_change(reading, unit_id)
    return None if record is None else _due_from(reading, record)


def due_after(reading: Reading, record_id: int) -> WorkedOutDue | None:
    """Give what a unit's next due will be once this record is finished; None for a level check alone."""
    record = reading.connection.execute(
        select(service_record, unit.c.vehicle_id)
        .join(unit, unit.c.id == service_record.c.unit_id)
        .where(
            service_record.c.id == record_id,
            service_record.c.service_method != ServiceMethod.LEVEL_CHECK.value,
        )
    ).one_or_none()
    return None if record is None else _due_from(reading, record)


def due_by_papers(reading: Reading, record_id: int, unit_id: int) -> WorkedOutDue | None:
    """Give what a record's sticker and result say: what the record set, however often they are made again.

    A level check sets nothing, so there it is what the unit's last fluid change set.
    """
    return due_after(reading, record_id) or work_out_due(reading, unit_id)


def _due_from(reading: Reading, record: Row[tuple[object, ...]]) -> WorkedOutDue:
    known = history(reading, record.vehicle_id)
    answers = duty_answers(reading, record.vehicle_id)
    severe, fired = is_severe(answers)
    at_service = _service_fact(reading, record)
    latest = known.facts[-1] if known.facts else None
    due = next_due(
        serviced_on=record.done_on,
        odometer_tenths=at_service.tenths if at_service else None,
        odometer_unit=known.unit,
        odometer_actual=at_service is not None and not at_service.doubtful,
        intervals=sheet_view(reading, revision_id=record.sheet_revision_id).body.intervals(severe=severe),
        severe=severe,
        rule_fired=fired,
        rate=use_of(known),
        latest_on=latest.on if latest else None,
        run_since_tenths=_run_since(known, at_service, latest),
    )
    return WorkedOutDue(unit_id=record.unit_id, record_id=record.id, odometer_unit=known.unit, due=due)


def _last_change(reading: Reading, unit_id: int) -> Row[tuple[object, ...]] | None:
    """A level check alone renews nothing, so it sets no new date."""
    return reading.connection.execute(
        select(service_record, unit.c.vehicle_id)
        .join(unit, unit.c.id == service_record.c.unit_id)
        .where(
            service_record.c.unit_id == unit_id,
            service_record.c.finished_utc.is_not(None),
            service_record.c.service_method != ServiceMethod.LEVEL_CHECK.value,
        )
        .order_by(service_record.c.done_on.desc(), service_record.c.id.desc())
        .limit(1)
    ).one_or_none()


def _service_fact(reading: Reading, record: Row[tuple[object, ...]]) -> OdometerFact | None:
    if record.odometer_id is None:
        return None
    row = reading.connection.execute(
        select(odometer_reading, odometer_segment.c.number)
        .join(odometer_segment, odometer_segment.c.id == odometer_reading.c.segment_id)
        .where(odometer_reading.c.id == record.odometer_id)
    ).one()
    # A doubtful reading that was kept with a reason still counts from here; only "not actual" does not.
    return OdometerFact(on=row.on_date, tenths=row.value_tenths, segment=row.number, doubtful=not row.actual)


def _run_since(known: OdometerHistory, start: OdometerFact | None, latest: OdometerFact | None) -> int:
    if start is None or latest is None:
        return 0
    return max(0, _cumulative(latest, known.segments) - _cumulative(start, known.segments))


def _cumulative(fact: OdometerFact, segments: Sequence[Segment]) -> int:
    base = next((segment.base_tenths for segment in segments if segment.number == fact.segment), 0)
    return fact.tenths + base


def duty_answers(reading: Reading, vehicle_id: int) -> tuple[DutyAnswer, ...]:
    """Give the newest answer to each question about how a vehicle is driven."""
    rows = reading.connection.execute(
        select(duty_answer.c.question, duty_answer.c.answer)
        .where(duty_answer.c.vehicle_id == vehicle_id)
        .order_by(duty_answer.c.id)
    )
    newest = {row.question: row.answer for row in rows}
    return tuple(DutyAnswer(question=question, yes=bool(yes)) for question, yes in newest.items())


def refresh(writing: Writing, unit_id: int) -> WorkedOutDue | None:
    """Write a unit's next due again from the facts."""
    writing.connection.execute(delete(due_table).where(due_table.c.unit_id == unit_id))
    worked_out = work_out_due(writing, unit_id)
    if worked_out is not None:
        writing.connection.execute(insert(due_table).values(**due_row(worked_out)))
        writing.touched.add("next_due")
    return worked_out


def refresh_vehicle(writing: Writing, vehicle_id: int) -> None:
    """Write the next due of all of a vehicle's units again: its use or its duty changed."""
    units = writing.connection.execute(
        select(unit.c.id).where(unit.c.vehicle_id == vehicle_id, unit.c.removed_on.is_(None))
    ).scalars()
    for unit_id in units.all():
        refresh(writing, unit_id)


def due_row(worked_out: WorkedOutDue) -> dict[str, object]:
    """Give the row that ``next_due`` keeps for what was worked out."""
    due = worked_out.due
    return {
        "unit_id": worked_out.unit_id,
        "service_kind": FLUID,
        "record_id": worked_out.record_id,
        "odometer_tenths": due.odometer_tenths,
        "odometer_unit": worked_out.odometer_unit,
        "by_time_on": due.on_by_time,
        "by_distance_on": due.on_by_distance,
        "due_on": due.due_on,
        "decided_by": due.decided_by.value,
        "reason_text": due.reason,
    }


def due_rows(
    reading: Reading, *, until: date, after: tuple[date, int] | None = None, most: int = 200
) -> tuple[DueRow, ...]:
    """Give what is due until a day, earliest first; ``after`` (date, unit id) continues a list."""
    phone = (
        select(contact.c.typed)
        .where(contact.c.customer_id == customer.c.id, contact.c.kind == "phone", contact.c.position == 0)
        .scalar_subquery()
    )
    query = (
        select(
            due_table,
            unit.c.label,
            unit.c.vehicle_id,
            vehicle.c.plate,
            vehicle.c.year,
            vehicle.c.make_text,
            vehicle.c.model_text,
            customer.c.id.label("customer_id"),
            customer.c.name.label("customer"),
            phone.label("phone"),
        )
        .join(unit, unit.c.id == due_table.c.unit_id)
        .join(vehicle, vehicle.c.id == unit.c.vehicle_id)
        .join(ownership, (ownership.c.vehicle_id == vehicle.c.id) & ownership.c.to_on.is_(None))
        .join(customer, customer.c.id == ownership.c.customer_id)
        .where(due_table.c.due_on <= until, unit.c.removed_on.is_(None))
        .order_by(due_table.c.due_on, due_table.c.unit_id)
        .limit(most)
    )
    if after is not None:
        later = due_table.c.due_on > after[0]
        same_day = (due_table.c.due_on == after[0]) & (due_table.c.unit_id > after[1])
        query = query.where(later | same_day)
    return tuple(_due_row(row, reading.today) for row in reading.connection.execute(query))


def _due_row(row: Row[tuple[object, ...]], today: date) -> DueRow:
    words = " ".join(str(part) for part in (row.year, row.make_text, row.model_text) if part)
    return DueRow(
        unit_id=row.unit_id,
        vehicle_id=row.vehicle_id,
        customer_id=row.customer_id,
        customer=row.customer,
        phone=row.phone or "",
        plate=row.plate,
        vehicle=words,
        unit_label=row.label,
        odometer_tenths=row.odometer_tenths,
        odometer_unit=row.odometer_unit,
        due_on=row.due_on,
        days_left=(row.due_on - today).days,
        decided_by=row.decided_by,
        reason=row.reason_text,
        state=due_state(row.due_on, today),
    )


class Due:
    """The room where it is known what falls due."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def within(
        self, days: int, *, after: tuple[date, int] | None = None, most: int = 200
    ) -> tuple[DueRow, ...]:
        """Give what is overdue or falls due within so many days, earliest first."""
        with self._office.reading() as reading:
            until = reading.today + timedelta(days=days)
            return due_rows(reading, until=until, after=after, most=most)

    def of_unit(self, unit_id: int) -> WorkedOutDue | None:
        """Give a unit's next due with its reason, worked out now."""
        with self._office.reading() as reading:
            return work_out_due(reading, unit_id)

    def after(self, record_id: int) -> WorkedOutDue | None:
        """Give a unit's next due as it will be once a service record is finished."""
        with self._office.reading() as reading:
            return due_after(reading, record_id)
