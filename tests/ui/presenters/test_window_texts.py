"""The window band's places and words, and the advice's."""

from datetime import datetime

import pytest

from shopdesk.domain.level_rules import Flow
from shopdesk.domain.window_advice import Say
from shopdesk.services.warmup import WarmUp
from shopdesk.ui.presenters.window_band import BandPicture, band_picture
from shopdesk.ui.presenters.window_words import (
    AdviceWords,
    advice_words,
    countdown,
    rate_words,
    short_time,
    worth_words,
)
from tests.ui.presenters.shops import METRIC_FIGURES, US_FIGURES
from tests.ui.warm_ups import after, record_with, warm_up

RISING = ((0, 26_000), (60, 27_800), (120, 29_600), (180, 31_400))  # 1.8 °C a minute: 35 °C after 5 min


def said(warm: WarmUp, now: datetime) -> AdviceWords:
    return advice_words(warm, warm.advice(now), now, US_FIGURES)


def picture(warm: WarmUp, now: datetime) -> BandPicture:
    return band_picture(warm, record_with(), now, US_FIGURES)


def test_that_waiting_tells_when_it_opens_and_for_how_long() -> None:
    words = said(warm_up(*RISING), after(180))
    assert (words.say, words.word) == (Say.WAIT, "Wait")
    assert words.left == "Open in 2:00 min, then 6 min to close"
    assert words.reach.startswith("between ")
    assert words.rests_on == "Last reading 88.52 °F at 10:03 AM."


def test_that_the_time_counts_down_between_readings_and_says_on_what_it_rests() -> None:
    words = said(warm_up(*RISING), after(240))
    assert words.left == "Open in 1:00 min, then 6 min to close"
    assert words.rests_on == "Last reading 88.52 °F at 10:03 AM; about 92 °F by now."


def test_that_inside_the_window_the_time_left_is_told() -> None:
    words = said(warm_up(*RISING, (300, 35_000)), after(300))
    assert words.word == "Open now"
    assert words.left == "5:33 min left in the window"


def test_that_an_old_reading_is_asked_for_again() -> None:
    words = said(warm_up(*RISING), after(180 + 200))
    assert words.stale
    assert words.rests_on == "Last reading 88.52 °F at 10:03 AM: old, read again."


def test_that_no_forecast_says_why() -> None:
    assert said(warm_up(), after(0)).word == "Take a reading"
    assert said(warm_up((0, 26_000)), after(5)).reach == "No forecast: it takes two readings."
    still = warm_up((0, 30_000), (60, 30_000), (120, 30_000))
    falling = warm_up((0, 32_000), (60, 31_000), (120, 30_000))
    assert said(still, after(125)).reach == "No forecast: the temperature stands still."
    assert said(falling, after(125)).reach == "No forecast: the temperature is falling."


def test_that_too_hot_tells_no_time() -> None:
    words = said(warm_up((0, 44_000), (60, 46_000), (120, 48_000)), after(125))
    assert (words.word, words.left, words.reach) == ("Too hot: let it cool", "", "")


def test_that_without_a_window_there_is_nothing_to_wait_for() -> None:
    words = said(warm_up((0, 30_000), window=None), after(0))
    assert words.word == "No window"


def test_that_the_open_plug_is_told_when_to_close() -> None:
    warm = warm_up(*RISING, (300, 35_000))
    dripping = advice_words(
        warm, warm.advice(after(310), plug_open=True, flow=Flow.DRIP), after(310), US_FIGURES
    )
    assert dripping.word == "Close now"
    running = advice_words(
        warm, warm.advice(after(310), plug_open=True, flow=Flow.STREAM), after(310), US_FIGURES
    )
    assert running.word == "Let it run"


@pytest.mark.parametrize(
    ("ms", "words"), [(0, "0:00 min"), (65_900, "1:05 min"), (599_999, "9:59 min"), (600_000, "10 min")]
)
def test_that_a_countdown_shows_seconds_below_ten_minutes(ms: int, words: str) -> None:
    assert countdown(ms) == words


def test_that_short_times_are_whole() -> None:
    assert [short_time(ms) for ms in (20_400, 60_000, 89_000, 90_000)] == ["20 s", "1 min", "1 min", "2 min"]


def test_that_a_degree_is_told_in_millilitres_of_the_shops_own_degrees() -> None:
    warm = warm_up(*RISING)
    assert worth_words(warm, METRIC_FIGURES) == "1 °C is worth about 5,3 mL on this unit"
    assert worth_words(warm, US_FIGURES) == "1 °F is worth about 2.9 mL on this unit"
    assert worth_words(warm_up(*RISING, per_degree_ul=None), US_FIGURES) == ""


def test_that_the_rate_is_told_with_its_basis() -> None:
    assert rate_words(warm_up(*RISING), US_FIGURES) == "3.2 °F a minute, line through the last readings"
    assert rate_words(warm_up((0, 30_000)), US_FIGURES) == ""


def test_that_the_fan_begins_at_the_last_reading_and_holds_the_likeliest_course() -> None:
    shown = picture(warm_up(*RISING), after(200))
    assert shown.now is not None
    assert shown.course[0][0] == pytest.approx(shown.dots[-1].at[0])
    assert shown.course[0][0] < shown.now
    for low, likely, high in zip(shown.lower, shown.course, shown.upper, strict=True):
        assert low[1] <= likely[1] <= high[1]


def test_that_the_fan_reaches_the_bounds_when_the_forecast_says() -> None:
    warm = warm_up(*RISING)
    found = warm.forecast
    assert found is not None
    assert found.opens is not None
    for at_ms, side in ((found.opens.earliest_ms, 1), (found.opens.latest_ms, 0)):
        assert at_ms is not None
        reach = found.range_mc(at_ms)
        assert reach is not None
        assert reach[side] == pytest.approx(35_000, abs=20)


def test_that_without_a_forecast_there_is_no_fan() -> None:
    shown = picture(warm_up((0, 30_000), (60, 30_000)), after(65))
    assert (shown.course, shown.upper, shown.lower) == ((), (), ())
    assert len(shown.dots) == 2


def test_that_the_window_and_all_readings_lie_in_the_frame() -> None:
    shown = picture(warm_up(*RISING), after(180))
    assert shown.low is not None
    assert shown.high is not None
    assert 0 < shown.low < shown.high < 1
    assert all(0 <= side <= 1 for dot in shown.dots for side in dot.at)
    assert [tick.text for tick in shown.across][:2] == ["10:00 AM", "10:05 AM"]
    assert "100 °F" in [tick.text for tick in shown.upward]
    assert shown.window == "95–113 °F / 35–45 °C"


def test_that_a_warm_up_of_the_past_has_no_now_and_tells_its_course() -> None:
    plug = record_with(("open_temperature", 36_000, 330), ("close_temperature", 41_000, 500))
    shown = band_picture(warm_up(*RISING), plug, after(4000), US_FIGURES)
    assert shown.now is None
    assert shown.course == ()
    assert [mark.closes for mark in shown.marks] == [False, True]
    assert shown.sentence == (
        "From 78.8 °F at 10:00 AM to 88.52 °F at 10:03 AM. "
        "Opened 10:05 AM at 96.8 °F. Closed 10:08 AM at 105.8 °F."
    )


def test_that_a_mark_alone_is_a_picture_too() -> None:
    shown = band_picture(warm_up(), record_with(("open_temperature", 36_000, 0)), after(4000), US_FIGURES)
    assert len(shown.marks) == 1
