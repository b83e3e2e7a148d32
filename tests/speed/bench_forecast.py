"""How often the true opening time lies in the forecast's range, and how far the forecast is off.

Run by hand: python -m tests.speed.bench_forecast [warm-ups]. Simulated, no source: start 12 to 30 °C,
end 65 to 105 °C, time constant 8 to 25 min; window 35 to 45 °C. Two families: Newton's law itself, and a
unit whose heat comes late (the engine warms first). Read by hand (every 20 to 90 s, 0.5 °C of noise as one
standard deviation, shown to 0.1 °C; a forecast after each reading below the window), and by scan tool
(every second, the same noise, whole degrees; a forecast every half minute).
"""

from __future__ import annotations

import math
import random
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from shopdesk.domain.warmup import STATED_RATE, Basis, Forecast, Reading, forecast

Truth = Callable[[float], float]
Seen = tuple[int, float, Forecast]

LOW_MC, HIGH_MC = 35_000, 45_000
NOISE_C = 0.5


@dataclass
class Tally:
    """What is counted for one kind of forecast."""

    inside: int = 0
    early: int = 0
    late: int = 0
    open_ended: int = 0
    errors: list[float] = field(default_factory=list)
    widths: list[float] = field(default_factory=list)

    @property
    def seen(self) -> int:
        return self.inside + self.early + self.late


def newton(dice: random.Random) -> Truth:
    start, end, tau = dice.uniform(12, 30), dice.uniform(65, 105), dice.uniform(8, 25) * 60
    return lambda s: end - (end - start) * math.exp(-s / tau)


def heat_comes_late(dice: random.Random) -> Truth:
    """Two bodies in a row: the engine warms by Newton's law, the unit follows it."""
    start, end = dice.uniform(12, 30), dice.uniform(75, 100)
    first, second = dice.uniform(2, 4) * 60, dice.uniform(6, 14) * 60
    at_s = dice.uniform(1, 4) * 60  # the readings begin after the engine has run a while
    return lambda s: (
        end
        - (end - start)
        * (second * math.exp(-(s + at_s) / second) - first * math.exp(-(s + at_s) / first))
        / (second - first)
    )


def when(truth: Truth, degrees: float) -> float:
    low, high = 0.0, 7200.0
    for _step in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if truth(middle) >= degrees else (middle, high)
    return high


def by_scan_tool(truth: Truth, dice: random.Random) -> Iterator[Seen]:
    """A reading every second in whole degrees (one byte less 40), a forecast every half minute."""
    opens = when(truth, LOW_MC / 1000)
    readings: list[Reading] = []
    for second in range(math.ceil(opens)):
        readings.append(Reading(at_ms=second * 1000, mc=round(truth(second) + dice.gauss(0, NOISE_C)) * 1000))
        if second % 30 == 29:
            yield len(readings), second, forecast(readings, low_mc=LOW_MC, high_mc=HIGH_MC)


def by_hand(truth: Truth, dice: random.Random) -> Iterator[Seen]:
    """Every forecast of one warm-up: readings so far, time of the last one, the forecast."""
    opens, step = when(truth, LOW_MC / 1000), dice.uniform(20, 90)
    readings: list[Reading] = []
    at = 0.0
    while at < opens:
        shown = round(truth(at) + dice.gauss(0, NOISE_C), 1)
        readings.append(Reading(at_ms=round(at * 1000), mc=round(shown * 1000)))
        yield len(readings), at, forecast(readings, low_mc=LOW_MC, high_mc=HIGH_MC)
        at += step * dice.uniform(0.8, 1.2)


def count(tally: Tally, last_s: float, true_s: float, found: Forecast) -> None:
    crossing = found.opens
    if crossing is None or crossing.reached:  # a noisy reading may already be in the window
        return
    earliest = math.inf if crossing.earliest_ms is None else crossing.earliest_ms / 1000
    latest = math.inf if crossing.latest_ms is None else crossing.latest_ms / 1000
    if true_s < earliest:
        tally.early += 1
    elif true_s > latest:
        tally.late += 1
    else:
        tally.inside += 1
    tally.open_ended += math.isinf(latest)
    if crossing.at_ms is not None:
        assert crossing.at_ms / 1000 >= last_s - 0.001
        tally.errors.append(abs(crossing.at_ms / 1000 - true_s))
    if math.isfinite(latest - earliest):
        tally.widths.append(latest - earliest)


def run(
    family: Callable[[random.Random], Truth],
    read: Callable[[Truth, random.Random], Iterator[Seen]],
    warm_ups: int,
) -> dict[str, Tally]:
    dice = random.Random(20261125)
    tallies: dict[str, Tally] = defaultdict(Tally)
    for _nth in range(warm_ups):
        truth = family(dice)
        opens = when(truth, LOW_MC / 1000)
        for number, last_s, found in read(truth, dice):
            if found.basis is Basis.NONE:
                tallies["no forecast"].inside += number > 2
                continue
            keys = ("all", found.basis.name.lower(), f"after {min(number, 9)}{'+' if number > 8 else ''}")
            for key in keys:
                count(tallies[key], last_s, opens, found)
    return tallies


def told(name: str, tally: Tally) -> str:
    errors, widths = sorted(tally.errors), sorted(tally.widths)
    middle = errors[len(errors) // 2] if errors else math.nan
    nine = errors[len(errors) * 9 // 10] if errors else math.nan
    width = widths[len(widths) // 2] if widths else math.nan
    share = tally.inside / tally.seen if tally.seen else math.nan
    return (
        f"  {name:12} {tally.seen:6}  inside {share:6.1%}  before {tally.early / tally.seen:5.1%}"
        f"  after {tally.late / tally.seen:5.1%}  off by {middle:4.0f} s (p90 {nine:4.0f})"
        f"  range {width:4.0f} s wide, open-ended {tally.open_ended / tally.seen:5.1%}"
    )


def main() -> None:
    warm_ups = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    print(f"stated: the true opening time lies in the range in at least {STATED_RATE:.0%} of forecasts")
    for family in (newton, heat_comes_late):
        for read, some in ((by_hand, warm_ups), (by_scan_tool, warm_ups // 10)):
            begun = time.perf_counter()
            tallies = run(family, read, some)
            print(f"{family.__name__}, {read.__name__}, {some} warm-ups, {time.perf_counter() - begun:.1f} s")
            print(f"  no forecast after the third or later: {tallies.pop('no forecast', Tally()).inside}")
            for name in sorted(tallies):
                print(told(name, tallies[name]))


if __name__ == "__main__":
    main()
