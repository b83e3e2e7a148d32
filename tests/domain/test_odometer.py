"""Odometers: what is asked about, what has been run, how fast it goes."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.odometer import (
    Doubt,
    OdometerFact,
    Segment,
    distance_run,
    doubt_sentence,
    doubts,
    next_segment,
    rate_of_use,
)

START = date(2024, 3, 1)


def fact(days: int, whole: float, segment: int = 1, *, doubtful: bool = False) -> OdometerFact:
    """A reading in whole units, ``days`` after the start."""
    return OdometerFact(
        on=START + timedelta(days=days), tenths=round(whole * 10), segment=segment, doubtful=doubtful
    )


#: A car that runs 30 a day.
HISTORY = tuple(fact(days, 80_000 + 30 * days) for days in (0, 100, 200, 300))


def found(days: int, whole: float, unit: str = "mi") -> tuple[Doubt, ...]:
    return doubts(fact(days, whole), HISTORY, unit)


def test_that_an_ordinary_reading_raises_no_question() -> None:
    assert found(400, 92_000) == ()
    assert found(300, 89_000) == ()
    assert found(301, 89_380) == ()
    assert doubts(fact(0, 12), (), "mi") == ()


def test_that_a_lower_reading_is_asked_about() -> None:
    assert Doubt.LOWER in found(400, 88_999)
    assert Doubt.LOWER in found(400, 88_999.9)


def test_that_a_reading_entered_late_is_held_against_the_ones_after_it() -> None:
    assert found(150, 84_500) == ()
    assert Doubt.LOWER in found(150, 86_500)


def test_that_over_400_miles_a_day_is_asked_about_and_400_is_not() -> None:
    # Common practice, no source.
    assert Doubt.JUMP not in found(310, 89_000 + 4_000)
    assert Doubt.JUMP in found(310, 89_000 + 4_000.1)
    assert Doubt.JUMP not in found(310, 89_000 + 6_437.3, "km")
    assert Doubt.JUMP in found(310, 89_000 + 6_437.4, "km")
    assert Doubt.JUMP in found(300, 89_401)


@pytest.mark.parametrize("slipped", [920_000, 920_007, 9_200])
def test_that_a_digit_too_many_or_too_few_is_recognised(slipped: int) -> None:
    assert Doubt.TENFOLD in found(400, slipped)


def test_that_a_tenfold_slip_is_recognised_years_later_too() -> None:
    young = (fact(0, 8_000), fact(100, 8_100))
    assert Doubt.TENFOLD in doubts(fact(1_200, 92_000), young, "mi")


def test_that_miles_written_as_kilometres_are_recognised_both_ways() -> None:
    assert Doubt.UNIT_MIXED in found(400, 92_000 * 1.609344)
    assert Doubt.UNIT_MIXED in found(400, 92_000 / 1.609344)
    assert Doubt.UNIT_MIXED not in found(400, 92_000)


def test_that_a_hard_working_car_is_not_suspected_without_a_likely_slip() -> None:
    assert found(400, 89_000 + 200 * 100) == ()


def test_that_a_five_digit_dial_may_have_run_over() -> None:
    old = (fact(0, 97_000), fact(100, 99_500))
    assert Doubt.ROLLOVER_POSSIBLE in doubts(fact(150, 400), old, "mi")
    assert Doubt.ROLLOVER_POSSIBLE not in found(400, 400)
    six = (fact(0, 997_000), fact(100, 999_500))
    assert Doubt.ROLLOVER_POSSIBLE in doubts(fact(150, 400), six, "km")


def test_that_doubtful_readings_and_other_instruments_are_not_held_against_it() -> None:
    slipped = (*HISTORY, fact(350, 905_000, doubtful=True))
    assert doubts(fact(400, 92_000), slipped, "mi") == ()
    assert doubts(fact(400, 10, segment=2), HISTORY, "mi") == ()


def test_that_every_doubt_has_its_sentence() -> None:
    sentences = {doubt_sentence(doubt) for doubt in Doubt}
    assert len(sentences) == len(Doubt)
    assert all(sentence.endswith(".") for sentence in sentences)
    assert len(",".join(Doubt)) <= 40


def test_that_distance_runs_on_across_a_replaced_instrument() -> None:
    first = Segment(number=1, base_tenths=0)
    second = next_segment(first, ended_tenths=890_000, starts_tenths=120)
    facts = (fact(0, 80_000), fact(300, 89_000), fact(300, 12, 2), fact(400, 3_012, 2))
    assert distance_run(facts, (first, second)) == (800_000, 890_000, 890_000, 920_000)
    assert distance_run(facts[:2]) == (800_000, 890_000)
    third = next_segment(second, ended_tenths=30_120, starts_tenths=0)
    assert distance_run((fact(500, 5, 3),), (first, second, third)) == (920_050,)


def test_that_the_rate_runs_on_across_a_replaced_instrument() -> None:
    second = Segment(number=2, base_tenths=890_000)
    rate = rate_of_use((*HISTORY, fact(400, 3_000, 2)), (second,), assumed_tenths_per_year=1)
    assert rate.tenths_per_day == 300


@given(
    st.lists(st.integers(0, 4_000), min_size=2, max_size=12, unique=True),
    st.integers(0, 5_000),
    st.integers(0, 10**7),
)
def test_that_readings_on_a_line_give_the_lines_slope(days: list[int], slope: int, start: int) -> None:
    facts = [
        OdometerFact(on=START + timedelta(days=day), tenths=start + slope * day, segment=1) for day in days
    ]
    rate = rate_of_use(facts, assumed_tenths_per_year=36_500)
    assert rate.readings == len(days)
    if max(days) - min(days) < 30:
        assert rate.assumed
        assert rate.tenths_per_day == 100
    else:
        assert not rate.assumed
        assert rate.tenths_per_day == slope


@given(st.integers(0, 400), st.integers(0, 20))
def test_that_one_wild_reading_of_twenty_one_hardly_moves_the_rate(wild_a_day: int, place: int) -> None:
    # A property of the Theil-Sen estimator: it stands up to 29 % of wild points.
    facts = [fact(100 * number, 80_000 + 3_000 * number) for number in range(21)]
    facts[place] = fact(100 * place, 80_000 + wild_a_day * 100 * place)
    rate = rate_of_use(facts, assumed_tenths_per_year=1)
    assert rate.tenths_per_day == 300
    assert rate.low <= 300 <= rate.high


@given(st.lists(st.tuples(st.integers(0, 3_000), st.integers(0, 200_000)), max_size=10))
def test_that_the_range_always_holds_the_rate_and_nothing_runs_backwards(
    readings: list[tuple[int, int]],
) -> None:
    rate = rate_of_use([fact(*reading) for reading in readings], assumed_tenths_per_year=100)
    assert Fraction(0) <= rate.low <= rate.tenths_per_day <= rate.high


def test_that_readings_less_than_30_days_apart_give_an_assumed_rate() -> None:
    near = (fact(0, 80_000), fact(29, 82_000))
    rate = rate_of_use(near, assumed_tenths_per_year=120_000)
    assert rate.assumed
    assert rate.tenths_per_day == Fraction(120_000, 365)
    assert not rate_of_use((*near, fact(30, 82_050)), assumed_tenths_per_year=1).assumed


def test_that_doubtful_readings_do_not_count() -> None:
    rate = rate_of_use((*HISTORY, fact(500, 950_000, doubtful=True)), assumed_tenths_per_year=1)
    assert (rate.tenths_per_day, rate.readings) == (300, 4)
