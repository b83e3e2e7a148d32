"""The warm-up of a unit: temperatures typed, tapped or read from a log, and what to do with the plug."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from gettext import gettext as _
from typing import Any

from sqlalchemy import Table, select

from shopdesk.domain.errors import NotFound, RuleBroken
from shopdesk.domain.level_rules import Flow, Marks
from shopdesk.domain.level_temperature import per_degree_ul
from shopdesk.domain.record import ASSUMED_DENSITY_KG_M3, Facts
from shopdesk.domain.warmup import Forecast, Reading, forecast, stepped
from shopdesk.domain.window_advice import Advice, Window, advise
from shopdesk.domain.words import N_
from shopdesk.persistence.tables.evidence import warmup_log, warmup_reading
from shopdesk.persistence.tables.service import service_record
from shopdesk.persistence.tables.shop import person
from shopdesk.persistence.tables.stock import item
from shopdesk.services import acting
from shopdesk.services.acting import AnyRow, Command, Office, Writing
from shopdesk.services.bay import RecordView, record_view

#: A station's clock may be this much ahead of the one that wrote the reading.
AHEAD = timedelta(minutes=2)
MOST_TAPPED = 40

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MILLISECOND = timedelta(milliseconds=1)


class Source(StrEnum):
    """Where a temperature came from."""

    TYPED = N_("typed")
    TAPPED = N_("tapped")
    LOG = N_("scan tool's log")


@dataclass(frozen=True, kw_only=True, slots=True)
class AddReading(Command):
    """A temperature as typed, in the shop's unit unless it says another; ``at`` is now when not given."""

    record_id: int
    temperature: str
    at: datetime | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class TapReading(Command):
    """So many whole degrees of the shop's unit above (or below) the last reading, now."""

    record_id: int
    degrees: int


@dataclass(frozen=True, kw_only=True, slots=True)
class WithdrawReading(Command):
    """Takes back one typed or tapped reading."""

    reading_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class WithdrawLog(Command):
    """Takes back a whole log: it was of another vehicle, or read wrongly."""

    log_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class ReadingKept:
    """Which reading or log, and the temperature kept last in 1/1000 °C."""

    id: int
    temp_mc: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Warm:
    """One temperature in 1/1000 °C with when, where it came from and who brought it.

    ``reading_id`` names a typed or tapped one, ``log_id`` the log it stands in.
    """

    at: datetime
    mc: int
    source: Source
    person: str
    reading_id: int | None = None
    log_id: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class LogRow:
    """A log that was brought in and stands. ``start_known`` is false when it was taken to end then."""

    log_id: int
    name: str
    tool: str
    rows_read: int
    kept: int
    started_at: datetime
    start_known: bool
    person: str
    at_utc: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class WarmUp:
    """A unit's warm-up as it is known.

    ``window`` is None when the sheet has none; then there is no forecast. ``per_degree_ul``: what
    one °C is worth on this unit at its last temperature, None when its total capacity is not known.
    """

    record_id: int
    window: Window | None
    closing: frozenset[Flow]
    readings: tuple[Warm, ...]
    logs: tuple[LogRow, ...]
    forecast: Forecast | None
    per_degree_ul: int | None

    @property
    def last(self) -> Warm | None:
        """The last reading, or None."""
        return self.readings[-1] if self.readings else None

    def advice(self, now: datetime, *, plug_open: bool = False, flow: Flow | None = None) -> Advice | None:
        """Say what to do with the level plug at ``now``; None when the sheet has no window."""
        if self.window is None or self.forecast is None:
            return None
        last = None if self.last is None else as_reading(self.last)
        return advise(
            last,
            self.forecast,
            self.window,
            now_ms=to_ms(now),
            plug_open=plug_open,
            flow=flow,
            closing=self.closing,
        )


def to_ms(at: datetime) -> int:
    """Give an instant as milliseconds, as the rules of warming up count."""
    return (at - _EPOCH) // _MILLISECOND


def from_ms(at_ms: int) -> datetime:
    """Give the instant of some milliseconds."""
    return _EPOCH + at_ms * _MILLISECOND


def as_reading(warm: Warm) -> Reading:
    """Give a temperature as the rules of warming up take it."""
    return Reading(at_ms=to_ms(warm.at), mc=warm.mc)


def standing(reading: acting.Reading, table: Table, record_id: int) -> list[AnyRow]:
    """Give the rows of a record that were not taken back, with the person's name, oldest first."""
    taken_back = select(table.c.withdraws_id).where(table.c.withdraws_id.is_not(None))
    rows = reading.connection.execute(
        select(table, person.c.name.label("person"))
        .join(person, person.c.id == table.c.person_id)
        .where(table.c.record_id == record_id, table.c.withdraws_id.is_(None), table.c.id.not_in(taken_back))
        .order_by(table.c.id)
    )
    return list(rows)


def readings_of(reading: acting.Reading, record_id: int) -> tuple[Warm, ...]:
    """Give every temperature of a record's warm-up, by time."""
    found = [
        Warm(at=row.read_at, mc=row.temp_mc, source=Source(row.source), person=row.person, reading_id=row.id)
        for row in standing(reading, warmup_reading, record_id)
    ]
    for row in standing(reading, warmup_log, record_id):
        for after_ms, mc in json.loads(row.readings_text):
            at = row.started_at + after_ms * _MILLISECOND
            found.append(Warm(at=at, mc=mc, source=Source.LOG, person=row.person, log_id=row.id))
    return tuple(sorted(found, key=lambda warm: warm.at))


def logs_of(reading: acting.Reading, record_id: int) -> tuple[LogRow, ...]:
    """Give the logs of a record that stand."""
    return tuple(
        LogRow(
            log_id=row.id,
            name=row.name,
            tool=row.tool,
            rows_read=row.rows_read,
            kept=len(json.loads(row.readings_text)),
            started_at=row.started_at,
            start_known=row.start_known,
            person=row.person,
            at_utc=row.at_utc,
        )
        for row in standing(reading, warmup_log, record_id)
    )


def warm_up(reading: acting.Reading, record_id: int) -> WarmUp:
    """Give a record's warm-up with its forecast."""
    view = record_view(reading, record_id)
    window = window_of(view)
    readings = readings_of(reading, record_id)
    return WarmUp(
        record_id=record_id,
        window=window,
        closing=view.sheet.body.level.flow_at_closing,
        readings=readings,
        logs=logs_of(reading, record_id),
        forecast=None if window is None else _forecast(readings, window),
        per_degree_ul=_per_degree(reading, view, readings, window),
    )


def window_of(view: RecordView) -> Window | None:
    """Give the window of the marks that are read, None when the sheet gives none."""
    marks = Facts(each.entry for each in view.entries).word("marks_read")
    low, high = view.sheet.body.level.window(Marks(marks) if marks else None)
    return None if low is None or high is None else Window(low_mc=low, high_mc=high)


def _forecast(readings: tuple[Warm, ...], window: Window) -> Forecast:
    return forecast(map(as_reading, readings), low_mc=window.low_mc, high_mc=window.high_mc)


def _per_degree(
    reading: acting.Reading, view: RecordView, readings: tuple[Warm, ...], window: Window | None
) -> int | None:
    if view.total_ul is None or (not readings and window is None):
        return None
    mc = readings[-1].mc if readings or window is None else (window.low_mc + window.high_mc) // 2
    density = None
    if view.item_id is not None:
        density = reading.one(item, view.item_id, _("That fluid is not there any more.")).density_kg_m3
    return per_degree_ul(view.total_ul, density or ASSUMED_DENSITY_KG_M3, mc)


def _keep(writing: Writing, record_id: int, at: datetime, mc: int, source: Source) -> ReadingKept:
    writing.one(service_record, record_id, _("That service record is not there."))
    row_id = writing.add_chained(
        warmup_reading, record_id=record_id, read_at=at, temp_mc=mc, source=source.value
    )
    return ReadingKept(id=row_id, temp_mc=mc)


def add_reading(writing: Writing, command: AddReading) -> ReadingKept:
    """Keep a typed temperature."""
    mc = writing.typed_here().temperature(command.temperature, "temperature").value
    at = writing.now if command.at is None else command.at
    if at.tzinfo is None:
        raise RuleBroken(_("The time it was read needs its time zone."), "at")
    if at > writing.now + AHEAD:
        raise RuleBroken(_("That time is still to come."), "at")
    return _keep(writing, command.record_id, at, mc, Source.TYPED)


def tap_reading(writing: Writing, command: TapReading) -> ReadingKept:
    """Keep a temperature some degrees from the last one."""
    if not 1 <= abs(command.degrees) <= MOST_TAPPED:
        raise RuleBroken(_("So many degrees at once are typed, not tapped."), "degrees")
    known = readings_of(writing, command.record_id)
    if not known:
        raise RuleBroken(_("Type the first temperature; the next ones can be tapped."), "degrees")
    unit = writing.shop.temperature_unit
    tapped = stepped(as_reading(known[-1]), at_ms=to_ms(writing.now), degrees=command.degrees, unit=unit)
    return _keep(writing, command.record_id, from_ms(tapped.at_ms), tapped.mc, Source.TAPPED)


def _withdraw(writing: Writing, table: Table, row_id: int, names: tuple[str, ...]) -> ReadingKept:
    row = writing.one(table, row_id, _("That reading is not there any more."))
    again = select(table.c.id).where(table.c.withdraws_id == row_id)
    if row.withdraws_id is not None or writing.connection.execute(again).first() is not None:
        raise NotFound(_("That reading was taken back already."))
    values: dict[str, Any] = {name: getattr(row, name) for name in names}
    new_id = writing.add_chained(table, **values, withdraws_id=row.id)
    return ReadingKept(id=new_id, temp_mc=getattr(row, "temp_mc", 0))


_READING_VALUES = ("record_id", "read_at", "temp_mc", "source")
_LOG_VALUES = ("record_id", "tool", "name", "sha", "started_at", "start_known", "rows_read", "readings_text")


class WarmUps:
    """The room where temperatures against the clock are kept."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def view(self, record_id: int) -> WarmUp:
        """Give a record's warm-up with its forecast."""
        with self._office.reading() as reading:
            return warm_up(reading, record_id)

    def add(self, command: AddReading) -> ReadingKept:
        """Keep a typed temperature."""
        return self._carry_out(command, lambda writing: add_reading(writing, command))

    def tap(self, command: TapReading) -> ReadingKept:
        """Keep a temperature some whole degrees from the last one."""
        return self._carry_out(command, lambda writing: tap_reading(writing, command))

    def withdraw(self, command: WithdrawReading) -> ReadingKept:
        """Take back a typed or tapped reading."""
        return self._carry_out(
            command,
            lambda writing: _withdraw(writing, warmup_reading, command.reading_id, _READING_VALUES),
        )

    def withdraw_log(self, command: WithdrawLog) -> ReadingKept:
        """Take back a log with all its readings."""
        return self._carry_out(
            command, lambda writing: _withdraw(writing, warmup_log, command.log_id, _LOG_VALUES)
        )

    def _carry_out(self, command: Command, work: Callable[[Writing], ReadingKept]) -> ReadingKept:
        return self._office.carry_out(command, work, ReadingKept)
