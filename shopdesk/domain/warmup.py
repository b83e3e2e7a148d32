"""When a warming unit reaches the temperatures between which its level is set.

The default is a straight line through the last three readings, or through all readings of the last
two minutes when there are more. From six readings on a curve of Newton's law takes its place,
if it fits clearly better. Times are given with a range; a forecast never lies before the last
reading, and there is none while the temperature stands still or falls. Temperatures are
integers in 1/1000 °C, times milliseconds from any beginning.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from gettext import gettext as _
from itertools import groupby
from typing import Protocol

from shopdesk.domain.approach import Fit, fit_approach, guess
from shopdesk.domain.rounding import round_half_up
from shopdesk.domain.unit_factors import from_mc, to_mc
from shopdesk.domain.words import N_

STATED_RATE = 0.90
"""How often the true time lies in the range on the warm-ups of tests/speed/bench_forecast.py, at least."""

NOISE_MC = 500
"""Standard deviation of one reading when nothing better is known (common practice, no source)."""

_LINE_READINGS = 3
_LINE_MS = 120_000
_CURVE_READINGS = 6
_CURVE_BETTER = 12.0  # F of the curve's gain over the line's residuals
_WIDTH = 1.6  # standard deviations either side, tuned with the benchmark to STATED_RATE
_SLOWING_S = 550.0  # the quickest time constant that a slowing warm-up is expected to have, tuned likewise
_QUICKENING_S = 180.0  # the same for one that quickens, while the engine's heat is still coming
_STILL_MC_PER_S = 2.0  # 0.12 °C a minute: standing still
_FURTHEST_S = 3600.0
_GRID_S = 4.0


class Basis(StrEnum):
    """What a forecast was made from."""

    LINE = N_("line through the last readings")
    CURVE = N_("curve through all readings")
    NONE = N_("no forecast")


@dataclass(frozen=True, kw_only=True, slots=True)
class Reading:
    """One temperature: milliseconds from any beginning, 1/1000 °C."""

    at_ms: int
    mc: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Crossing:
    """When a bound is reached: the likeliest time and its range, in the readings' milliseconds.

    ``reached``: the last reading was already there. ``latest_ms`` is ``None`` when the readings
    do not show that it will be reached within the hour; then ``at_ms`` may be ``None`` too.
    """

    at_ms: int | None
    earliest_ms: int | None
    latest_ms: int | None
    reached: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Forecast:
    """Times at which the lower and the upper bound are reached, with what they were made from."""

    basis: Basis
    sentence: str
    opens: Crossing | None = None
    closes: Crossing | None = None
    mc_per_minute: int | None = None
    readings: int = 0

    _model: "_Model | None" = None

    def expected_mc(self, at_ms: int) -> int | None:
        """Give the temperature that is likeliest at a time, or None without a forecast."""
        return None if self._model is None else round(self._model.value(at_ms / 1000))

    def range_mc(self, at_ms: int) -> tuple[int, int] | None:
        """Give the range in which the temperature lies at a time, by the same rule as the crossings'."""
        if self._model is None:
            return None
        model, at_s = self._model, at_ms / 1000
        value = model.value(at_s)
        least = value - _reach(model, at_s, model.behind(at_s))
        return round(least), round(value + _reach(model, at_s, model.ahead(at_s)))


class _Model(Protocol):
    """A curve with the standard deviation of its value; seconds and 1/1000 °C."""

    def value(self, at_s: float) -> float: ...

    def spread(self, at_s: float) -> float: ...

    def ahead(self, at_s: float) -> float: ...

    def behind(self, at_s: float) -> float: ...


@dataclass(frozen=True, kw_only=True, slots=True)
class _Line:
    """Least squares through a few points; the readings' noise is known, not estimated from them.

    ``ahead`` and ``behind`` are how far the temperature may leave the line as warming quickens or
    slows down.
    """

    mean_s: float
    mean_mc: float
    slope: float
    sum_of_squares: float
    points: int
    last_s: float
    noise_mc: float

    def value(self, at_s: float) -> float:
        return self.mean_mc + self.slope * (at_s - self.mean_s)

    def spread(self, at_s: float) -> float:
        return self.noise_mc * math.sqrt(1 / self.points + (at_s - self.mean_s) ** 2 / self.sum_of_squares)

    def ahead(self, at_s: float) -> float:
        return self.slope * (at_s - self.mean_s) ** 2 / (2 * _QUICKENING_S)

    def behind(self, at_s: float) -> float:
        """Newton's law with the quickest time constant instead of the line."""
        after = at_s - self.mean_s
        return self.slope * (after + _SLOWING_S * math.expm1(-after / _SLOWING_S))


@dataclass(frozen=True, kw_only=True, slots=True)
class _Curve:
    fit: Fit
    line: _Line
    first_s: float
    noise_mc: float

    def value(self, at_s: float) -> float:
        return self.fit.curve.at(at_s - self.first_s)

    def spread(self, at_s: float) -> float:
        noise = max(self.noise_mc, self.fit.residual_sd)
        return noise * math.sqrt(max(0.0, self.fit.relative_variance(at_s - self.first_s)))

    def ahead(self, at_s: float) -> float:
        """The line may reach further: a curve found through noise bends too much rather than too little."""
        line = self.line
        return max(0.0, line.value(at_s) + line.ahead(at_s) - self.value(at_s))

    def behind(self, _at_s: float) -> float:
        return 0.0


def forecast(readings: Iterable[Reading], *, low_mc: int, high_mc: int, noise_mc: int = NOISE_MC) -> Forecast:
    """Say when the window opens and closes, from readings in any order.

    ``noise_mc`` is the standard deviation of one reading. Of several readings at one time the
    last given stands.
    """
    known = ordered(readings)
    if len(known) < 2:
        return Forecast(
            basis=Basis.NONE, sentence=_("No forecast: it takes two readings."), readings=len(known)
        )
    line = _line(known, noise_mc)
    if line.slope < _STILL_MC_PER_S:
        return Forecast(basis=Basis.NONE, sentence=_still_sentence(line.slope), readings=len(known))
    curve = _curve(known, line)
    model: _Model = line if curve is None else curve
    basis = Basis.LINE if curve is None else Basis.CURVE
    opens, closes = (_crossing(model, bound, known[-1]) for bound in (low_mc, high_mc))
    return Forecast(
        basis=basis,
        sentence=_sentence(opens),
        opens=opens,
        closes=closes,
        mc_per_minute=round(line.slope * 60),
        readings=len(known),
        _model=model,
    )


def ordered(readings: Iterable[Reading]) -> tuple[Reading, ...]:
    """Give the readings by time; of several at one time the last given stands."""
    by_time = sorted(readings, key=lambda reading: reading.at_ms)
    return tuple(tuple(same)[-1] for _at, same in groupby(by_time, key=lambda reading: reading.at_ms))


def stepped(last: Reading, *, at_ms: int, degrees: int, unit: str) -> Reading:
    """Give the reading of one tap: so many whole degrees of 'degc' or 'degf' above the last one.

    The last reading counts to a tenth of a degree, so that taps in °F stay whole degrees.
    """
    shown = Fraction(round_half_up(from_mc(last.mc, unit) * 10), 10)
    return Reading(at_ms=max(at_ms, last.at_ms), mc=to_mc(shown + degrees, unit))


def _still_sentence(slope: float) -> str:
    if slope < -_STILL_MC_PER_S:
        return _("No forecast: the temperature is falling.")
    return _("No forecast: the temperature stands still.")


def _sentence(opens: Crossing) -> str:
    if not opens.reached and opens.at_ms is None:
        return _("At this rate the window is not reached within the hour.")
    return _("Read the temperature again before opening the plug: a forecast is no reading.")


def _line(known: Sequence[Reading], noise_mc: int) -> _Line:
    recent = [each for each in known if each.at_ms >= known[-1].at_ms - _LINE_MS]
    used = recent if len(recent) >= _LINE_READINGS else known[-_LINE_READINGS:]
    seconds, degrees = [each.at_ms / 1000 for each in used], [each.mc for each in used]
    mean_s, mean_mc = math.fsum(seconds) / len(used), math.fsum(degrees) / len(used)
    squares = math.fsum((s - mean_s) ** 2 for s in seconds)
    products = math.fsum((s - mean_s) * (mc - mean_mc) for s, mc in zip(seconds, degrees, strict=True))
    return _Line(
        mean_s=mean_s,
        mean_mc=mean_mc,
        slope=products / squares,
        sum_of_squares=squares,
        points=len(used),
        last_s=seconds[-1],
        noise_mc=noise_mc,
    )


def _curve(known: Sequence[Reading], line: _Line) -> _Curve | None:
    """The curve through all readings, if there are enough and it fits clearly better than a line."""
    if len(known) < _CURVE_READINGS:
        return None
    first_s = known[0].at_ms / 1000
    xs, ys = [each.at_ms / 1000 - first_s for each in known], [float(each.mc) for each in known]
    start = guess(xs, ys)
    fit = None if start is None else fit_approach(xs, ys, start)
    if fit is None or fit.curve.rise <= 0:
        return None
    straight = _rss_of_line(xs, ys)
    better = (straight - fit.rss) / max(fit.rss / fit.degrees_of_freedom, line.noise_mc**2 / 4)
    return (
        _Curve(fit=fit, line=line, first_s=first_s, noise_mc=line.noise_mc)
        if better > _CURVE_BETTER
        else None
    )


def _rss_of_line(xs: Sequence[float], ys: Sequence[float]) -> float:
    mean_x, mean_y = math.fsum(xs) / len(xs), math.fsum(ys) / len(ys)
    squares = math.fsum((x - mean_x) ** 2 for x in xs)
    slope = math.fsum((x - mean_x) * (y - mean_y) for x, y in zip(xs, ys, strict=True)) / squares
    return math.fsum((y - mean_y - slope * (x - mean_x)) ** 2 for x, y in zip(xs, ys, strict=True))


def _crossing(model: _Model, bound_mc: int, last: Reading) -> Crossing:
    if last.mc >= bound_mc:
        return Crossing(at_ms=last.at_ms, earliest_ms=last.at_ms, latest_ms=last.at_ms, reached=True)
    start = last.at_ms / 1000
    times = (
        _first(lambda s: model.value(s) - bound_mc, start),
        _first(lambda s: model.value(s) + _reach(model, s, model.ahead(s)) - bound_mc, start),
        _first(lambda s: model.value(s) - _reach(model, s, model.behind(s)) - bound_mc, start),
    )
    at_ms, earliest_ms, latest_ms = (None if s is None else max(last.at_ms, round(s * 1000)) for s in times)
    return Crossing(at_ms=at_ms, earliest_ms=earliest_ms, latest_ms=latest_ms)


def _reach(model: _Model, at_s: float, bend: float) -> float:
    """How far the temperature may lie from the model: noise and bend are independent of one another."""
    return math.hypot(_WIDTH * model.spread(at_s), bend)


def _first(above: Callable[[float], float], start: float) -> float | None:
    """The first time from ``start`` on at which ``above`` is not below zero, within the furthest look."""
    if above(start) >= 0:
        return start
    before = start
    while before < start + _FURTHEST_S:
        after = before + _GRID_S
        if above(after) >= 0:
            return _between(above, before, after)
        before = after
    return None


def _between(above: Callable[[float], float], below_s: float, above_s: float) -> float:
    for _halving in range(12):  # to a thousandth of a second
        middle = (below_s + above_s) / 2
        if above(middle) >= 0:
            above_s = middle
        else:
            below_s = middle
    return above_s
