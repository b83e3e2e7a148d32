"""Next due: which layer decides, which comes first, and the sentence that says so."""

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.intervals import (
    DUTY_QUESTIONS,
    DecidedBy,
    DueState,
    DutyAnswer,
    Interval,
    Layer,
    NextDue,
    due_state,
    is_severe,
    next_due,
)
from shopdesk.domain.odometer import UseRate

SERVICE = date(2026, 3, 31)
MAKER = Interval(layer=Layer.MAKER, distance_tenths=600_000, distance_unit="mi", months=60)
SHOP = Interval(layer=Layer.SHOP, distance_tenths=300_000, distance_unit="mi", months=24)
CUSTOMER = Interval(layer=Layer.CUSTOMER, distance_tenths=250_000, distance_unit="mi", months=18)


def rate(a_day: int, *, assumed: bool = False) -> UseRate:
    """A rate in whole units a day, likely between half and twice as much."""
    tenths = Fraction(a_day * 10)
    return UseRate(tenths_per_day=tenths, low=tenths / 2, high=tenths * 2, assumed=assumed, readings=5)


def due(*intervals: Interval, a_day: int = 50, **changes: object) -> NextDue:
    facts: dict[str, object] = {
        "serviced_on": SERVICE,
        "odometer_tenths": 843_100,
        "odometer_unit": "mi",
        "odometer_actual": True,
        "intervals": intervals,
        "rate": rate(a_day),
    }
    return next_due(**(facts | changes))  # type: ignore[arg-type]


def test_that_the_distance_decides_when_it_comes_first() -> None:
    found = due(SHOP, MAKER)
    assert found.odometer_tenths == 1_143_100
    assert found.on_by_time == date(2028, 3, 31)
    assert found.on_by_distance == SERVICE + timedelta(days=600)
    assert found.due_on == found.on_by_distance
    assert found.decided_by is DecidedBy.DISTANCE
    assert found.layer is Layer.SHOP
    assert found.reason == (
        "Shop policy: 30,000 mi or 24 months, whichever comes first. "
        "At about 50 mi a day the distance comes first."
    )


def test_that_the_time_decides_when_it_comes_first_or_on_the_same_day() -> None:
    found = due(SHOP, a_day=20)
    assert found.due_on == date(2028, 3, 31)
    assert found.decided_by is DecidedBy.TIME
    assert "the time comes first" in found.reason
    days = (date(2028, 3, 31) - SERVICE).days
    same_day = due(replace(SHOP, distance_tenths=days * 500))
    assert same_day.on_by_distance == same_day.on_by_time
    assert same_day.decided_by is DecidedBy.TIME


def test_that_the_strongest_layer_that_speaks_decides_alone() -> None:
    assert due(MAKER, SHOP, CUSTOMER).layer is Layer.CUSTOMER
    assert due(MAKER, SHOP).layer is Layer.SHOP
    silent = Interval(layer=Layer.CUSTOMER)
    assert due(silent, MAKER).layer is Layer.MAKER
    assert due(silent, MAKER).on_by_time == date(2031, 3, 31)


def test_that_stretching_the_makers_interval_is_said() -> None:
    longer = replace(CUSTOMER, months=72)
    assert "longer than the maker's" in due(MAKER, longer).reason
    in_km = Interval(layer=Layer.SHOP, distance_tenths=970_000, distance_unit="km", months=12)
    assert "longer than the maker's" in due(MAKER, in_km).reason
    assert "longer than the maker's" in due(MAKER, replace(SHOP, months=None)).reason
    assert "longer" not in due(MAKER, SHOP).reason
    assert "longer" not in due(MAKER).reason


def test_that_no_change_needed_forces_no_date() -> None:
    found = due(Interval(layer=Layer.MAKER, none_needed=True))
    assert (found.due_on, found.odometer_tenths, found.decided_by) == (None, None, DecidedBy.NONE)
    assert "no change is needed" in found.reason
    assert due(SHOP, Interval(layer=Layer.MAKER, none_needed=True)).layer is Layer.SHOP


def test_that_without_any_interval_nothing_is_due() -> None:
    found = due()
    assert (found.due_on, found.layer) == (None, None)
    assert "No interval is known" in found.reason


@pytest.mark.parametrize("changes", [{"odometer_actual": False}, {"odometer_tenths": None}])
def test_that_without_an_actual_odometer_only_the_time_counts(changes: dict[str, object]) -> None:
    found = due(SHOP, **changes)
    assert (found.odometer_tenths, found.on_by_distance) == (None, None)
    assert found.due_on == date(2028, 3, 31)
    assert found.decided_by is DecidedBy.TIME
    assert "only the time counts" in found.reason
    nothing = due(replace(SHOP, months=None), **changes)
    assert nothing.due_on is None
    assert "neither" in nothing.reason


def test_that_an_interval_in_the_other_unit_is_rounded_down_on_the_dial() -> None:
    # 30,000 mi = 48,280.32 km and 60,000 km = 37,282.27 mi (computed from 1.609344).
    assert due(SHOP, odometer_unit="km").odometer_tenths == 843_100 + 482_800
    in_km = Interval(layer=Layer.SHOP, distance_tenths=600_000, distance_unit="km")
    assert due(in_km).odometer_tenths == 843_100 + 372_820


def test_that_a_later_reading_moves_the_date_by_distance() -> None:
    later = SERVICE + timedelta(days=100)
    found = due(SHOP, latest_on=later, run_since_tenths=200_000)
    assert found.odometer_tenths == 1_143_100
    assert found.on_by_distance == later + timedelta(days=200)
    passed = due(SHOP, latest_on=later, run_since_tenths=310_000)
    assert passed.on_by_distance == later - timedelta(days=20)


def test_that_a_car_that_does_not_run_is_due_by_time_or_by_distance_without_a_date() -> None:
    idle = UseRate(tenths_per_day=Fraction(0), low=Fraction(0), high=Fraction(0), assumed=False, readings=4)
    found = due(SHOP, rate=idle)
    assert found.decided_by is DecidedBy.TIME
    assert "no date" in found.reason
    undated = due(replace(SHOP, months=None), rate=idle)
    assert (undated.decided_by, undated.due_on) == (DecidedBy.DISTANCE, None)
    assert undated.odometer_tenths == 1_143_100


def test_that_an_assumed_rate_is_called_assumed() -> None:
    found = due(SHOP, rate=rate(50, assumed=True))
    assert found.assumed_rate
    assert "an assumed 50 mi a day" in found.reason
    assert not due(SHOP, rate=rate(50, assumed=True), odometer_actual=False).assumed_rate


def test_that_severe_use_is_said_with_the_question_that_fired() -> None:
    found = due(SHOP, severe=True, rule_fired="loads")
    assert (found.severe, found.rule_fired) == (True, "loads")
    assert "Severe use: towing or heavy loads." in found.reason


@given(st.integers(0, 5_000_000), st.integers(-1_000_000, 6_000_000), st.integers(0, 400))
def test_that_due_is_never_later_than_either_and_the_range_holds_the_date(
    odometer: int, run_since: int, a_day: int
) -> None:
    found = due(SHOP, a_day=a_day, odometer_tenths=odometer, run_since_tenths=run_since)
    assert found.due_on is not None
    assert found.on_by_time is not None
    assert found.due_on <= found.on_by_time
    if found.on_by_distance is not None:
        assert found.due_on <= found.on_by_distance
        assert found.on_by_distance_low is None or found.on_by_distance_low <= found.on_by_distance
        assert found.on_by_distance_high is None or found.on_by_distance_high >= found.on_by_distance


def test_that_any_yes_makes_the_use_severe_and_the_first_asked_is_named() -> None:
    keys = [key for key, _question in DUTY_QUESTIONS]
    assert len(set(keys)) == 6
    assert is_severe(()) == (False, None)
    assert is_severe([DutyAnswer(question=key, yes=False) for key in keys]) == (False, None)
    for key in keys:
        assert is_severe([DutyAnswer(question=key, yes=True)]) == (True, key)
    both = [DutyAnswer(question=keys[4], yes=True), DutyAnswer(question=keys[1], yes=True)]
    assert is_severe(both) == (True, keys[1])


def test_that_every_question_that_fires_is_explained() -> None:
    reasons = {due(SHOP, severe=True, rule_fired=key).reason for key, _question in DUTY_QUESTIONS}
    assert len(reasons) == len(DUTY_QUESTIONS)
    assert not any(key in reason for key, _question in DUTY_QUESTIONS for reason in reasons if "_" in key)


def test_that_a_due_date_is_overdue_only_from_the_next_day() -> None:
    today = date(2026, 11, 25)
    assert due_state(None, today) is DueState.NONE
    assert due_state(today - timedelta(days=1), today) is DueState.OVERDUE
    assert due_state(today, today) is DueState.SOON
    assert due_state(today + timedelta(days=30), today) is DueState.SOON
    assert due_state(today + timedelta(days=31), today) is DueState.FINE
