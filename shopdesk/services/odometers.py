"""Odometer readings: kept as read, doubted aloud, never silently accepted."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from gettext import gettext as _

from sqlalchemy import select

from shopdesk.domain import text
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.odometer import (
    Doubt,
    OdometerFact,
    Segment,
    UseRate,
    doubt_sentence,
    doubts,
    next_segment,
    rate_of_use,
)
from shopdesk.domain.stages import Stage
from shopdesk.domain.units import convert_tenths
from shopdesk.domain.words import N_
from shopdesk.persistence.tables.service import service_record
from shopdesk.persistence.tables.vehicles import odometer_reading, odometer_segment, vehicle
from shopdesk.persistence.tables.work import work_order
from shopdesk.services.acting import Command, Reading, Writing


class OdometerSource(StrEnum):
    """Where a reading comes from."""

    READ = N_("read")
    STATED = N_("stated")


@dataclass(frozen=True, kw_only=True, slots=True)
class ReadOdometer(Command):
    """A reading as typed. A doubtful one, and one that corrects another, is kept only with a reason."""

    vehicle_id: int
    reading: str
    on: date | None = None
    source: OdometerSource = OdometerSource.READ
    actual: bool = True
    reason: str = ""
    new_instrument: bool = False
    corrects_id: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class OdometerKept:
    """A kept reading in tenths of the dial's unit, and what is doubtful about it."""

    odometer_id: int
    tenths: int
    unit: str
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class OdometerHistory:
    """What a vehicle's odometers showed; ``facts`` leave corrected readings out."""

    unit: str
    facts: tuple[OdometerFact, ...]
    segments: tuple[Segment, ...]


def history(reading: Reading, vehicle_id: int, *, leaving_out: int | None = None) -> OdometerHistory:
    """Give every standing reading of a vehicle, oldest first; ``leaving_out`` is about to be corrected."""
    unit = reading.one(vehicle, vehicle_id, _("That vehicle is not there any more.")).odometer_unit
    corrected = select(odometer_reading.c.corrects_id).where(odometer_reading.c.corrects_id.is_not(None))
    rows = reading.connection.execute(
        select(odometer_reading, odometer_segment.c.number)
        .join(odometer_segment, odometer_segment.c.id == odometer_reading.c.segment_id)
        .where(
            odometer_reading.c.vehicle_id == vehicle_id,
            odometer_reading.c.id.not_in(corrected),
            odometer_reading.c.id != (leaving_out or 0),
        )
        .order_by(odometer_reading.c.on_date, odometer_reading.c.id)
    )
    segments = reading.connection.execute(
        select(odometer_segment).where(odometer_segment.c.vehicle_id == vehicle_id).order_by("number")
    )
    return OdometerHistory(
        unit=unit,
        facts=tuple(
            OdometerFact(
                on=row.on_date,
                tenths=row.value_tenths,
                segment=row.number,
                doubtful=bool(row.doubt) or not row.actual,
            )
            for row in rows
        ),
        segments=tuple(Segment(number=row.number, base_tenths=row.base_tenths) for row in segments),
    )


def read_odometer(writing: Writing, command: ReadOdometer) -> OdometerKept:
    """Keep a reading; a doubtful one without a reason is refused with what is doubtful about it."""
    known = history(writing, command.vehicle_id, leaving_out=command.corrects_id)
    measured = writing.typed_here().distance(command.reading, "reading", known.unit)
    if measured.unit != known.unit:
        sentence = _("This odometer counts {unit}; write the number it shows.")
        raise RuleBroken(sentence.format(unit=known.unit), "reading")
    on = command.on or writing.today
    if on > writing.today:
        raise RuleBroken(_("A reading cannot be from a day that is still to come."), "on")
    if command.corrects_id is not None:
        _check_corrected(writing, command.vehicle_id, command.corrects_id)
    if command.new_instrument:
        segment_id, number = _start_segment(writing, command, known, measured.value, on)
    else:
        segment_id, number = _segment(writing, command.vehicle_id, on)
    fact = OdometerFact(on=on, tenths=measured.value, segment=number)
    found = doubts(fact, known.facts, known.unit)
    sentences = tuple(doubt_sentence(each) for each in found)
    reason = text.clean(command.reason, field="reason", most=500)
    if found and not reason:
        raise RuleBroken(" ".join((*sentences, _("Give a reason to keep it as it is."))), "reading")
    if command.corrects_id is not None:
        text.required(reason, field="reason", label=_("why the reading is corrected"), most=500)
    kept = _keep(writing, command, fact, segment_id, known.unit, found, reason)
    if command.corrects_id is not None:
        _stand_in(writing, command.corrects_id, kept.odometer_id)
    return kept


#: Work that has not been finished with the reading it came in with.
_OPEN = (Stage.QUOTED, Stage.AUTHORISED, Stage.IN_THE_BAY)


def _stand_in(writing: Writing, wrong_id: int, right_id: int) -> None:
    """Work and records that are not finished go on with the corrected reading.

    What is finished keeps the reading it was finished with, as its papers do.
    """
    orders, records = work_order.c, service_record.c
    open_work = (orders.odometer_in_id == wrong_id, orders.stage.in_(_OPEN))
    for key in writing.connection.execute(select(orders.id).where(*open_work)).scalars().all():
        writing.change(work_order, key, odometer_in_id=right_id)
    unfinished = (records.odometer_id == wrong_id, records.finished_utc.is_(None))
    for key in writing.connection.execute(select(records.id).where(*unfinished)).scalars().all():
        writing.change(service_record, key, odometer_id=right_id)


def _keep(
    writing: Writing,
    command: ReadOdometer,
    fact: OdometerFact,
    segment_id: int,
    unit: str,
    found: tuple[Doubt, ...],
    reason: str,
) -> OdometerKept:
    odometer_id = writing.add_chained(
        odometer_reading,
        segment_id=segment_id,
        vehicle_id=command.vehicle_id,
        on_date=fact.on,
        value_tenths=fact.tenths,
        typed=command.reading.strip()[:60],
        source=command.source.value,
        doubt=",".join(each.value for each in found)[:40],
        reason=reason,
        actual=command.actual,
        corrects_id=command.corrects_id,
    )
    return OdometerKept(
        odometer_id=odometer_id,
        tenths=fact.tenths,
        unit=unit,
        doubts=tuple(doubt_sentence(each) for each in found),
    )


def _check_corrected(writing: Writing, vehicle_id: int, corrects_id: int) -> None:
    """Only a standing reading of the same vehicle is corrected, and only once."""
    readings = odometer_reading.c
    stands = select(readings.id).where(readings.id == corrects_id, readings.vehicle_id == vehicle_id)
    again = select(readings.id).where(readings.corrects_id == corrects_id)
    if writing.connection.execute(stands).first() is None or writing.connection.execute(again).first():
        sentence = _("The reading to be corrected is not one of this vehicle's standing readings.")
        raise RuleBroken(sentence, "corrects_id")


def _segment(writing: Writing, vehicle_id: int, on: date) -> tuple[int, int]:
    """The instrument that was in the vehicle that day; the first one begins with the first reading."""
    newest_first = writing.connection.execute(
        select(odometer_segment.c.id, odometer_segment.c.number, odometer_segment.c.started_on)
        .where(odometer_segment.c.vehicle_id == vehicle_id)
        .order_by(odometer_segment.c.number.desc())
    ).all()
    if newest_first:
        then = next((row for row in newest_first if row.started_on <= on), newest_first[-1])
        return int(then.id), int(then.number)
    key = writing.add(
        odometer_segment, vehicle_id=vehicle_id, number=1, started_on=on, base_tenths=0, reason=""
    )
    return key, 1


def _start_segment(
    writing: Writing, command: ReadOdometer, known: OdometerHistory, shown: int, on: date
) -> tuple[int, int]:
    """A replaced instrument starts at what it shows; the distance run so far goes on."""
    reason = text.required(command.reason, field="reason", label=_("why the odometer was replaced"), most=500)
    new = Segment(number=1, base_tenths=0)
    if known.segments:
        old = known.segments[-1]
        shown_by_it = [fact for fact in known.facts if fact.segment == old.number]
        if not shown_by_it:  # its only reading was corrected to a day before it was put in
            sentence = _("Nothing that stands was read at the odometer of now; keep a reading of it first.")
            raise RuleBroken(sentence, "reading")
        ended = next((fact for fact in reversed(shown_by_it) if not fact.doubtful), shown_by_it[-1])
        new = next_segment(old, ended_tenths=ended.tenths, starts_tenths=shown)
    key = writing.add(
        odometer_segment,
        vehicle_id=command.vehicle_id,
        number=new.number,
        started_on=on,
        base_tenths=new.base_tenths,
        reason=reason,
    )
    return key, new.number


#: What a vehicle is taken to run while its own history is too short: 12,000 mi a year, common
#: practice, no source. Shown as *assumed* wherever it decides.
ASSUMED_MILES_A_YEAR = 12_000


def use_of(known: OdometerHistory) -> UseRate:
    """Give the vehicle's rate of use from its own readings, or the assumed one."""
    a_year = convert_tenths(ASSUMED_MILES_A_YEAR * 10, "mi", known.unit)
    return rate_of_use(known.facts, known.segments, assumed_tenths_per_year=a_year)
