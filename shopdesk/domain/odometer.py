"""Odometer readings: which ones to ask about, the distance run across instruments, the rate of use.

Readings are tenths of the dial's own unit ('mi' or 'km'). A replaced instrument starts a new
segment; a dial that ran over its last digit does not. The figures that call for a question
(400 mi a day, 60 mi a day without a history) are common practice, no source.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction
from gettext import gettext as _
from itertools import combinations
from statistics import median

from shopdesk.domain.unit_factors import FACTORS
from shopdesk.domain.unit_names import Dimension
from shopdesk.domain.words import N_

_MOST_A_DAY_MI = 400
_BUSY_A_DAY_MI = 60
_TIMES_OWN_RATE = 3
_LEAST_DAYS_APART = 30
# All pairs are looked at, so the oldest of a very long history are left out.
_MOST_READINGS = 60
_MILE_IN_KM = FACTORS[Dimension.DISTANCE]["mi"] / FACTORS[Dimension.DISTANCE]["km"]


class Doubt(StrEnum):
    """Why a reading is asked about instead of silently accepted."""

    LOWER = N_("lower")
    JUMP = N_("jump")
    TENFOLD = N_("tenfold")
    UNIT_MIXED = N_("unit mixed")
    ROLLOVER_POSSIBLE = N_("rollover")


@dataclass(frozen=True, kw_only=True, slots=True)
class OdometerFact:
    """What a dial showed on a day; a doubtful one is kept but nothing is worked out from it."""

    on: date
    tenths: int
    segment: int
    doubtful: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Segment:
    """The time one instrument was in the vehicle.

    ``base_tenths`` is the distance run before it started, minus what it showed then, so that
    base plus reading is the distance run.
    """

    number: int
    base_tenths: int


@dataclass(frozen=True, kw_only=True, slots=True)
class UseRate:
    """How far the vehicle runs in a day, in tenths of the dial's unit, with a likely range."""

    tenths_per_day: Fraction
    low: Fraction
    high: Fraction
    assumed: bool
    readings: int


def doubt_sentence(doubt: Doubt) -> str:
    """The question for the person, one sentence."""
    sentences = {
        Doubt.LOWER: _("This reading does not fit the order of the others: an odometer only goes up."),
        Doubt.JUMP: _("Since the reading before, that would be over 400 mi (644 km) a day."),
        Doubt.TENFOLD: _("One digit too many or too few would explain this reading."),
        Doubt.UNIT_MIXED: _(
            "Miles written as kilometers, or the other way round, would explain this reading."
        ),
        Doubt.ROLLOVER_POSSIBLE: _("The odometer may have run past its last digit and begun again at zero."),
    }
    return sentences[doubt]


def doubts(new: OdometerFact, history: Sequence[OdometerFact], unit: str) -> tuple[Doubt, ...]:
    """What there is to ask about ``new``; empty when nothing is.

    It is held against the trusted readings of the same instrument before and after it (by day);
    readings of one day stand in the order of ``history``. ``unit`` is the dial's.
    """
    trusted = [fact for fact in history if fact.segment == new.segment and not fact.doubtful]
    before = max((f for f in trusted if f.on <= new.on), key=lambda f: (f.on, f.tenths), default=None)
    after = min((f for f in trusted if f.on > new.on), key=lambda f: (f.on, f.tenths), default=None)
    found = [Doubt.LOWER] if after is not None and new.tenths > after.tenths else []
    if before is not None:
        found += _doubts_against(new, before, _usual_a_day(trusted, unit), unit)
    return tuple(dict.fromkeys(found))


def _doubts_against(new: OdometerFact, before: OdometerFact, usual: Fraction, unit: str) -> list[Doubt]:
    days = max(1, (new.on - before.on).days)
    run = new.tenths - before.tenths
    most = _in_dial(_MOST_A_DAY_MI, unit) * days
    found = [Doubt.LOWER] if run < 0 else [Doubt.JUMP] if run > most else []
    if not found and run <= usual * days:
        return []
    # A slip is offered only when the reading without it would be an ordinary one.
    if any(0 <= right - before.tenths <= usual * days for right in _without_digit_slip(new.tenths)):
        found.append(Doubt.TENFOLD)
    if any(0 <= right - before.tenths <= usual * days for right in _without_unit_slip(new.tenths)):
        found.append(Doubt.UNIT_MIXED)
    if run < 0 and _may_have_rolled_over(new.tenths, before.tenths, most):
        found.append(Doubt.ROLLOVER_POSSIBLE)
    return found


def _without_digit_slip(tenths: int) -> tuple[Fraction, ...]:
    """The reading with its last whole digit gone, or with any digit more at its end."""
    return (Fraction(tenths, 10), *(Fraction(tenths * 10 + 10 * digit) for digit in range(10)))


def _without_unit_slip(tenths: int) -> tuple[Fraction, ...]:
    return (tenths / _MILE_IN_KM, tenths * _MILE_IN_KM)


def _may_have_rolled_over(tenths: int, before_tenths: int, most: Fraction) -> bool:
    """Whether a dial of five or six digits near its end could show this a little later."""
    return any(
        full * 9 // 10 <= before_tenths < full and tenths + full - before_tenths <= most
        for full in (1_000_000, 10_000_000)
    )


def _usual_a_day(trusted: Sequence[OdometerFact], unit: str) -> Fraction:
    """The most that is taken for ordinary use, in tenths a day: from the history, else for a busy car."""
    slopes = _slopes([(fact.on.toordinal(), fact.tenths) for fact in trusted])
    busy = _in_dial(_BUSY_A_DAY_MI, unit)
    own = _TIMES_OWN_RATE * median(slopes) if slopes else busy
    return min(max(own, busy / _TIMES_OWN_RATE), _in_dial(_MOST_A_DAY_MI, unit))


def _in_dial(miles: int, unit: str) -> Fraction:
    return miles * 10 * FACTORS[Dimension.DISTANCE]["mi"] / FACTORS[Dimension.DISTANCE][unit]


def distance_run(facts: Sequence[OdometerFact], segments: Sequence[Segment] = ()) -> tuple[int, ...]:
    """The distance run at each fact, in tenths, across replaced instruments.

    A segment that is not given has base zero.
    """
    bases: Mapping[int, int] = {segment.number: segment.base_tenths for segment in segments}
    return tuple(bases.get(fact.segment, 0) + fact.tenths for fact in facts)


def next_segment(last: Segment, *, ended_tenths: int, starts_tenths: int) -> Segment:
    """The segment of a new instrument that shows ``starts_tenths`` when the old one ended."""
    run = last.base_tenths + ended_tenths
    return Segment(number=last.number + 1, base_tenths=run - starts_tenths)


def rate_of_use(
    facts: Sequence[OdometerFact], segments: Sequence[Segment] = (), *, assumed_tenths_per_year: int
) -> UseRate:
    """The rate of use: the median slope between trusted readings 30 days apart or more (Theil-Sen).

    Without two such readings it is the assumed one. The range is Sen's 95 % interval of ranks
    (Sen 1968, from memory); for fewer than three readings, which show no spread, and for the
    assumed rate it is half of that to one and a half times as much, a judgement.
    """
    trusted = sorted((fact for fact in facts if not fact.doubtful), key=lambda fact: fact.on)[
        -_MOST_READINGS:
    ]
    run = distance_run(trusted, segments)
    slopes = _slopes([(f.on.toordinal(), r) for f, r in zip(trusted, run, strict=True)])
    if not slopes:
        rate = Fraction(assumed_tenths_per_year, 365)
        return UseRate(
            tenths_per_day=rate, low=rate / 2, high=rate * 3 / 2, assumed=True, readings=len(trusted)
        )
    rate = max(Fraction(0), median(slopes))
    low, high = (rate / 2, rate * 3 / 2) if len(trusted) < 3 else _sen_range(slopes, len(trusted))
    return UseRate(tenths_per_day=rate, low=low, high=high, assumed=False, readings=len(trusted))


def _slopes(points: Sequence[tuple[int, int]]) -> list[Fraction]:
    """All slopes between points at least 30 days apart, sorted."""
    pairs = combinations(sorted(points), 2)
    return sorted(Fraction(y2 - y1, x2 - x1) for (x1, y1), (x2, y2) in pairs if x2 - x1 >= _LEAST_DAYS_APART)


def _sen_range(slopes: Sequence[Fraction], readings: int) -> tuple[Fraction, Fraction]:
    """The slopes at the ranks that hold the true one in 95 of 100 cases; not below zero."""
    spread = 1.96 * math.sqrt(readings * (readings - 1) * (2 * readings + 5) / 18)
    lower = max(0, math.floor((len(slopes) - spread) / 2))
    upper = min(len(slopes) - 1, math.ceil((len(slopes) + spread) / 2))
    return max(Fraction(0), slopes[lower]), max(Fraction(0), slopes[upper])
