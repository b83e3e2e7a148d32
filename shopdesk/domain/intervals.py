"""When a fluid service is next due: by distance or by date, whichever comes first.

Distances are tenths of the unit named beside them. Months are calendar months, always counted
from the day of the service itself, because adding them one after another loses days.
"""

import calendar
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from fractions import Fraction
from gettext import gettext as _
from gettext import ngettext

from shopdesk.domain.duty import DUTY_QUESTIONS, DutyAnswer, is_severe, severe_use_text
from shopdesk.domain.layers import Interval, Layer, deciding, is_longer_than_maker, step_on_dial
from shopdesk.domain.odometer import UseRate
from shopdesk.domain.rounding import round_half_up
from shopdesk.domain.words import N_

__all__ = [
    "DUTY_QUESTIONS",
    "DecidedBy",
    "DueState",
    "DutyAnswer",
    "Interval",
    "Layer",
    "NextDue",
    "add_months",
    "due_state",
    "is_severe",
    "next_due",
]

_FURTHEST_DAYS = 100 * 366


class DueState(StrEnum):
    """How a due date stands to today."""

    OVERDUE = N_("overdue")
    SOON = N_("soon")
    FINE = N_("fine")
    NONE = N_("none")


class DecidedBy(StrEnum):
    """Which of the two came first."""

    DISTANCE = N_("distance")
    TIME = N_("time")
    NONE = N_("none")


@dataclass(frozen=True, kw_only=True, slots=True)
class NextDue:
    """When the next service is due, and why.

    ``on_by_distance_low`` and ``_high`` are the earliest and latest date that the rate of use
    allows. ``odometer_tenths`` is in tenths of ``odometer_unit``.
    """

    odometer_tenths: int | None
    odometer_unit: str | None
    on_by_time: date | None
    on_by_distance: date | None
    on_by_distance_low: date | None
    on_by_distance_high: date | None
    due_on: date | None
    decided_by: DecidedBy
    layer: Layer | None
    severe: bool
    rule_fired: str | None
    reason: str
    assumed_rate: bool


def add_months(day: date, months: int) -> date:
    """The same day of the month ``months`` later (or earlier), or that month's last day."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(day.day, last))


def due_state(due_on: date | None, today: date, soon_days: int = 30) -> DueState:
    """Overdue from the day after; soon from ``soon_days`` before the day, the day itself included."""
    if due_on is None:
        return DueState.NONE
    if due_on < today:
        return DueState.OVERDUE
    return DueState.SOON if due_on <= today + timedelta(days=soon_days) else DueState.FINE


def next_due(
    *,
    serviced_on: date,
    odometer_tenths: int | None,
    odometer_unit: str,
    odometer_actual: bool,
    intervals: Sequence[Interval],
    severe: bool = False,
    rule_fired: str | None = None,
    rate: UseRate,
    latest_on: date | None = None,
    run_since_tenths: int = 0,
) -> NextDue:
    """Say when the service is next due: the strongest layer that speaks decides alone.

    ``intervals`` are those of the use there is (normal or severe), one per layer at most.
    ``latest_on`` and ``run_since_tenths`` are the last odometer reading since the service, as
    distance run across instruments. An odometer that is not actual leaves only the time. An
    interval in the other unit than the dial's is rounded down to whole units of the dial.
    """
    chosen = deciding(intervals)
    step = None
    if chosen is not None and odometer_actual and odometer_tenths is not None:
        step = step_on_dial(chosen, odometer_unit)
    silent = _why_no_date(chosen, step)
    if chosen is None or silent:
        return _no_date(chosen, silent, severe=severe, rule_fired=rule_fired)
    by_time = None if chosen.months is None else add_months(serviced_on, chosen.months)
    forecast = _forecast(step, latest_on or serviced_on, run_since_tenths, rate)
    decided_by = _decided_by(step, by_time, forecast.day)
    pace = _("At this rate of use the distance gives no date.")
    if forecast.day is not None:
        pace = _pace_text(decided_by, odometer_unit, rate, chosen.months is not None)
    reasons = [*_reasons(chosen, step, odometer_unit, pace)]
    if severe:
        reasons.insert(1, severe_use_text(rule_fired))
    if is_longer_than_maker(chosen, intervals):
        reasons.append(_("This is longer than the maker's interval."))
    return NextDue(
        odometer_tenths=None if step is None or odometer_tenths is None else odometer_tenths + step,
        odometer_unit=None if step is None else odometer_unit,
        on_by_time=by_time,
        on_by_distance=forecast.day,
        on_by_distance_low=forecast.earliest,
        on_by_distance_high=forecast.latest,
        due_on=forecast.day if decided_by is DecidedBy.DISTANCE else by_time,
        decided_by=decided_by,
        layer=chosen.layer,
        severe=severe,
        rule_fired=rule_fired,
        reason=" ".join(reasons),
        assumed_rate=step is not None and rate.assumed,
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class _Forecast:
    """The day the distance will have been run, at the rate of use, its high and its low end."""

    day: date | None = None
    earliest: date | None = None
    latest: date | None = None


def _forecast(step: int | None, latest_on: date, run_since_tenths: int, rate: UseRate) -> _Forecast:
    if step is None:
        return _Forecast()
    left = step - run_since_tenths
    slow, fast = sorted((rate.low, rate.high))
    return _Forecast(
        day=_day_after(latest_on, left, rate.tenths_per_day),
        earliest=_day_after(latest_on, left, fast if left >= 0 else slow),
        latest=_day_after(latest_on, left, slow if left >= 0 else fast),
    )


def _day_after(day: date, left_tenths: int, tenths_per_day: Fraction) -> date | None:
    """The last whole day on which the distance is not yet exceeded; None if it is never reached."""
    if tenths_per_day <= 0:
        return None
    days = left_tenths / tenths_per_day
    if abs(days) > _FURTHEST_DAYS:
        return None
    return day + timedelta(days=days.numerator // days.denominator)


def _decided_by(step: int | None, by_time: date | None, by_distance: date | None) -> DecidedBy:
    """Time unless the distance comes strictly sooner or is all there is."""
    if by_time is None:
        return DecidedBy.NONE if step is None else DecidedBy.DISTANCE
    return DecidedBy.DISTANCE if by_distance is not None and by_distance < by_time else DecidedBy.TIME


def _why_no_date(chosen: Interval | None, step: int | None) -> str:
    """The sentence for a service that has no due date; empty when there is one."""
    if chosen is None:
        return _("No interval is known: nothing is due until one is entered.")
    if chosen.none_needed:
        sentence = _("{layer}: no change is needed, so no date is set; inspect the fluid instead.")
        return sentence.format(layer=_capital(_(chosen.layer)))
    if step is None and chosen.months is None:
        return _("There is neither an actual odometer reading nor a number of months, so there is no date.")
    return ""


def _no_date(chosen: Interval | None, reason: str, *, severe: bool, rule_fired: str | None) -> NextDue:
    return NextDue(
        odometer_tenths=None,
        odometer_unit=None,
        on_by_time=None,
        on_by_distance=None,
        on_by_distance_low=None,
        on_by_distance_high=None,
        due_on=None,
        decided_by=DecidedBy.NONE,
        layer=None if chosen is None else chosen.layer,
        severe=severe,
        rule_fired=rule_fired,
        reason=reason,
        assumed_rate=False,
    )


def _reasons(chosen: Interval, step: int | None, unit: str, pace: str) -> Iterator[str]:
    """Whose interval it is, what does not count, and at what pace the distance was dated."""
    yield f"{_capital(_(chosen.layer))}: {_interval_text(chosen, step, unit)}."
    if chosen.distance_tenths is not None and step is None:
        yield _("There is no actual odometer reading, so only the time counts.")
    if step is not None:
        yield pace


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _interval_text(chosen: Interval, step: int | None, unit: str) -> str:
    months = chosen.months or 0
    time = ngettext("{months} month", "{months} months", months).format(months=months)
    if step is None:
        return time
    distance = f"{step // 10:,} {unit}"
    if chosen.months is None:
        return distance
    return _("{distance} or {time}, whichever comes first").format(distance=distance, time=time)


def _pace_text(decided_by: DecidedBy, unit: str, rate: UseRate, has_months: bool) -> str:
    """Say at what rate of use the distance was turned into a date, and which came first."""
    distance = f"{round_half_up(rate.tenths_per_day / 10):,} {unit}"
    pace = _("an assumed {distance} a day") if rate.assumed else _("about {distance} a day")
    if not has_months:
        sentence = _("Dated at {pace}.")
    elif decided_by is DecidedBy.DISTANCE:
        sentence = _("At {pace} the distance comes first.")
    else:
        sentence = _("At {pace} the time comes first.")
    return sentence.format(pace=pace.format(distance=distance))
