"""Forecasts of a warming unit: times, ranges, and when there is none."""

import math
import random
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.level_rules import Flow
from shopdesk.domain.warmup import Basis, Forecast, Reading, forecast, ordered, stepped
from shopdesk.domain.window_advice import Advice, Say, Window, advise

LOW_MC, HIGH_MC = 35_000, 45_000
WINDOW = Window(low_mc=LOW_MC, high_mc=HIGH_MC)


def readings(*pairs: tuple[float, float]) -> tuple[Reading, ...]:
    """Readings from (minutes, degrees Celsius)."""
    return tuple(Reading(at_ms=round(minutes * 60_000), mc=round(c * 1000)) for minutes, c in pairs)


def of(*pairs: tuple[float, float]) -> Forecast:
    return forecast(readings(*pairs), low_mc=LOW_MC, high_mc=HIGH_MC)


def sampled(truth: Callable[[float], float], minutes: list[float]) -> list[tuple[float, float]]:
    return [(minute, truth(minute)) for minute in minutes]


def test_that_three_readings_on_a_line_give_the_times_of_the_line() -> None:
    found = of((0, 20), (1, 23), (2, 26))
    assert found.basis is Basis.LINE
    assert found.mc_per_minute == 3000
    assert found.opens is not None
    assert found.closes is not None
    assert found.opens.at_ms == pytest.approx(5 * 60_000, abs=5)
    assert found.closes.at_ms == pytest.approx((8 + 20 / 60) * 60_000, abs=5)


def test_that_the_range_holds_the_likeliest_time_and_closing_follows_opening() -> None:
    found = of((0, 20), (1, 23.4), (2, 25.8))
    assert found.opens is not None
    assert found.closes is not None
    for crossing in (found.opens, found.closes):
        assert crossing.at_ms is not None
        assert crossing.earliest_ms is not None
        assert crossing.latest_ms is None or crossing.earliest_ms <= crossing.at_ms <= crossing.latest_ms
    assert (found.opens.at_ms or 0) < (found.closes.at_ms or 0)


def test_that_noisier_readings_widen_the_range() -> None:
    pairs = readings((0, 20), (1, 23), (2, 26))
    quiet = forecast(pairs, low_mc=LOW_MC, high_mc=HIGH_MC, noise_mc=100).opens
    loud = forecast(pairs, low_mc=LOW_MC, high_mc=HIGH_MC, noise_mc=500).opens
    assert quiet is not None
    assert loud is not None
    assert (loud.earliest_ms or 0) < (quiet.earliest_ms or 0)
    assert loud.latest_ms is None or loud.latest_ms > (quiet.latest_ms or 0)


def test_that_only_the_last_three_readings_make_the_line() -> None:
    assert of((0, 5), (1, 30), (10, 24), (11, 26), (12, 28)) == forecast(
        readings((0, 5), (1, 30), (10, 24), (11, 26), (12, 28)), low_mc=LOW_MC, high_mc=HIGH_MC
    )
    found, alone = of((0, 5), (1, 30), (10, 24), (11, 26), (12, 28)), of((10, 24), (11, 26), (12, 28))
    assert found.opens == alone.opens


def test_that_many_readings_of_the_last_two_minutes_all_count() -> None:
    steady = [(second / 60, 20 + second / 20) for second in range(200)]
    jumpy = [(t, c + (0.5 if at % 2 else -0.5)) for at, (t, c) in enumerate(steady)]
    found = of(*jumpy).opens
    assert found is not None
    assert found.at_ms == pytest.approx(300_000, abs=3_000)


@pytest.mark.parametrize(
    "pairs",
    [
        [(0, 30), (1, 30), (2, 30)],
        [(0, 30), (1, 30.05), (2, 30.1)],
        [(0, 33), (1, 32), (2, 31)],
        [(0, 50), (1, 48), (2, 46)],
    ],
)
def test_that_there_is_no_forecast_while_the_temperature_stands_still_or_falls(
    pairs: list[tuple[float, float]],
) -> None:
    found = of(*pairs)
    assert found.basis is Basis.NONE
    assert found.sentence.startswith("No forecast")
    assert found.opens is None
    assert found.closes is None


def test_that_one_reading_gives_no_forecast_and_none_neither() -> None:
    assert of((0, 20)).basis is Basis.NONE
    assert of().basis is Basis.NONE


def test_that_a_bound_that_was_reached_is_reached_at_the_last_reading() -> None:
    found = of((0, 30), (1, 33), (2, 36))
    assert found.opens is not None
    assert found.opens.reached
    assert found.opens.at_ms == 120_000
    assert found.closes is not None
    assert not found.closes.reached


def newton(minute: float) -> float:
    return 60 - 42 * math.exp(-minute / 10)  # made up: 18 to 60 degrees, 10 minutes


def test_that_the_curve_takes_over_where_it_fits_clearly_better() -> None:
    found = of(*sampled(newton, [0, 1.5, 3, 4.5, 6]))
    assert found.basis is Basis.LINE  # five are too few
    minutes = [0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0]
    curved = forecast(readings(*sampled(newton, minutes)), low_mc=45_000, high_mc=50_000, noise_mc=50)
    assert curved.basis is Basis.CURVE
    assert curved.opens is not None
    truth = -10 * math.log((60 - 45) / 42)
    assert curved.opens.at_ms == pytest.approx(truth * 60_000, rel=1e-3)


def test_that_a_curve_that_levels_off_below_the_window_gives_no_time() -> None:
    minutes = [float(minute) for minute in range(12)]
    low = [(m, 33 - 15 * math.exp(-m / 4)) for m in minutes]
    found = forecast(readings(*low), low_mc=LOW_MC, high_mc=HIGH_MC, noise_mc=50)
    assert found.basis is Basis.CURVE
    assert found.opens is not None
    assert found.opens.at_ms is None
    assert "not reached" in found.sentence


@given(
    st.lists(st.tuples(st.integers(0, 3_600_000), st.integers(-40_000, 150_000)), min_size=0, max_size=12),
    st.integers(0, 80_000),
)
def test_that_no_forecast_lies_before_the_last_reading(pairs: list[tuple[int, int]], low_mc: int) -> None:
    given_readings = [Reading(at_ms=at, mc=mc) for at, mc in pairs]
    found = forecast(given_readings, low_mc=low_mc, high_mc=low_mc + 10_000)
    last = max((at for at, _mc in pairs), default=0)
    for crossing in (found.opens, found.closes):
        for at in () if crossing is None else (crossing.at_ms, crossing.earliest_ms, crossing.latest_ms):
            assert at is None or at >= last


def test_that_the_true_time_lies_in_the_range_as_often_as_is_stated() -> None:
    # Simulated, no source; the benchmark does the same with more warm-ups and of two families.
    dice = random.Random(4)
    inside = 0
    for _nth in range(400):
        end, tau, start = dice.uniform(65, 105), dice.uniform(8, 25), dice.uniform(12, 24)
        true_ms = -tau * math.log((end - 35) / (end - start)) * 60_000
        shown = [
            Reading(
                at_ms=minute * 60_000,
                mc=round((end - (end - start) * math.exp(-minute / tau) + dice.gauss(0, 0.5)) * 1000),
            )
            for minute in range(max(2, math.ceil(true_ms / 60_000 * 0.7)))
        ]
        found = forecast(shown, low_mc=LOW_MC, high_mc=HIGH_MC).opens
        assert found is not None
        early = found.earliest_ms is None or true_ms < found.earliest_ms
        late = found.latest_ms is not None and true_ms > found.latest_ms
        inside += not early and not late
    assert 0.87 <= inside / 400 <= 0.98


def test_that_readings_stand_in_order_of_time_and_the_last_given_at_one_time_stands() -> None:
    one, two, three = Reading(at_ms=5, mc=1), Reading(at_ms=3, mc=2), Reading(at_ms=5, mc=3)
    assert ordered([one, two, three]) == (two, three)


def test_that_taps_in_fahrenheit_stay_whole_degrees() -> None:
    reading = Reading(at_ms=0, mc=36_111)  # 97 degF, rounded
    for tap in range(1, 17):
        reading = stepped(reading, at_ms=tap * 1000, degrees=1, unit="degf")
    assert reading == Reading(at_ms=16_000, mc=45_000)  # 113 degF is exactly 45 degC
    assert stepped(Reading(at_ms=0, mc=36_500), at_ms=9, degrees=2, unit="degc").mc == 38_500


def advice(last_c: float, *, after_s: float = 0, rising: bool = True, **more: object) -> Advice:
    pairs = [(0, last_c - 6), (1, last_c - 3), (2, last_c)] if rising else [(1, last_c), (2, last_c)]
    given_readings = readings(*pairs)
    found = forecast(given_readings, low_mc=LOW_MC, high_mc=HIGH_MC)
    now = 120_000 + round(after_s * 1000)
    return advise(given_readings[-1], found, WINDOW, now_ms=now, **more)  # type: ignore[arg-type]


def test_that_the_word_follows_the_last_reading_with_both_bounds_inside() -> None:
    assert advice(34.999).say is Say.WAIT
    assert advice(35).say is Say.OPEN_NOW
    assert advice(45).say is Say.OPEN_NOW
    assert advice(45.001).say is Say.TOO_HOT


def test_that_time_left_runs_to_the_lower_bound_while_waiting_and_then_to_the_upper() -> None:
    waiting, ready = advice(32), advice(36)
    assert waiting.left is not None
    assert waiting.left.likely_ms == pytest.approx(60_000, abs=5)
    assert ready.left is not None
    assert ready.left.likely_ms == pytest.approx(180_000, abs=5)
    assert (ready.left.least_ms or 0) < 180_000


def test_that_between_readings_the_forecast_moves_the_word_and_says_so() -> None:
    later = advice(34, after_s=40)
    assert later.say is Say.OPEN_NOW
    assert not later.measured
    assert advice(34, after_s=8).say is Say.WAIT
    assert advice(34, after_s=300).say is Say.TOO_HOT
    assert advice(34, after_s=300).stale


def test_that_without_a_forecast_an_old_reading_still_counts() -> None:
    still = advice(40, rising=False, after_s=100)
    assert (still.say, still.measured, still.left) == (Say.OPEN_NOW, True, None)


def test_that_an_open_plug_is_closed_at_the_drip_or_before_the_window_ends() -> None:
    assert advice(40, plug_open=True, flow=Flow.STREAM).say is Say.LET_RUN
    assert advice(40, plug_open=True, flow=Flow.DRIP).say is Say.CLOSE_NOW
    assert advice(40, plug_open=True, flow=Flow.NONE).say is Say.CLOSE_NOW
    assert advice(40, plug_open=True, flow=Flow.PULSE).say is Say.LET_RUN
    pulsing = frozenset({Flow.DRIP, Flow.PULSE})
    assert advice(40, plug_open=True, flow=Flow.PULSE, closing=pulsing).say is Say.CLOSE_NOW
    assert advice(44.2, plug_open=True, flow=Flow.STREAM).say is Say.CLOSE_NOW
    assert advice(45.5, plug_open=True, flow=Flow.DRIP).say is Say.TOO_HOT
    assert advice(33, plug_open=True, flow=Flow.STREAM).say is Say.CLOSE_NOW


def test_that_without_a_reading_one_is_asked_for() -> None:
    nothing = forecast((), low_mc=LOW_MC, high_mc=HIGH_MC)
    assert advise(None, nothing, WINDOW, now_ms=0).say is Say.READ
