"""New fluid's share and average age."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.methods import LevelMethod, ServiceMethod
from shopdesk.domain.renewal import FreshShare, Round, average_age, fresh_share, settled_age

# Computed, no source: C 7.0 L, P − S 3.74 L, O 0.50 L.
ONE = Round(pumped_ul=3_785_000, spilled_ul=45_000, overflow_ul=500_000)
TOTAL_UL = 7_000_000


def told(share: FreshShare) -> tuple[float, float, float]:
    assert share.share is not None
    assert share.low is not None
    assert share.high is not None
    return share.low, share.share, share.high


def drain_and_fill(*rounds: Round, total_ul: int | None = TOTAL_UL, fill_ul: int | None = None) -> FreshShare:
    method = ServiceMethod.SINGLE if len(rounds) == 1 else ServiceMethod.REPEATED
    return fresh_share(method=method, rounds=rounds, total_ul=total_ul, service_fill_ul=fill_ul)


def test_that_one_drain_and_fill_renews_about_half_with_its_bounds() -> None:
    low, share, high = told(drain_and_fill(ONE))
    assert [round(each, 3) for each in (low, share, high)] == [0.463, 0.499, 0.534]


def test_that_two_rounds_are_not_the_sum_of_two() -> None:
    half = Round(pumped_ul=3_500_000, spilled_ul=0, overflow_ul=0)
    assert told(drain_and_fill(half, half)) == (0.75, 0.75, 0.75)


def test_that_a_small_units_bounds_stay_between_nothing_and_all() -> None:
    small = Round(pumped_ul=1_000_000, spilled_ul=0, overflow_ul=120_000)
    low, share, high = told(drain_and_fill(small, total_ul=900_000))
    assert 0 <= low <= share <= high == 1.0
    mostly_out = Round(pumped_ul=100_000, spilled_ul=0, overflow_ul=300_000)
    assert told(drain_and_fill(mostly_out))[0] == 0.0


def test_that_twelve_litres_through_nine_renew_less_than_all() -> None:
    through = Round(pumped_ul=12_000_000, spilled_ul=0, overflow_ul=0)
    share = fresh_share(method=ServiceMethod.FLOW_THROUGH, rounds=[through], total_ul=9_000_000)
    low, middle, high = told(share)
    assert math.isclose(middle, 1 - math.exp(-12 / 9))
    assert math.isclose(low, middle)
    assert high == 1.0


def test_that_what_ran_out_lowers_the_low_bound_of_a_flow_through() -> None:
    through = Round(pumped_ul=5_000_000, spilled_ul=0, overflow_ul=1_000_000)
    share = fresh_share(method=ServiceMethod.FLOW_THROUGH, rounds=[through], total_ul=10_000_000)
    low, middle, high = told(share)
    assert (round(low, 4), round(middle, 4), high) == (0.3297, 0.3935, 0.5)


def test_that_a_level_check_tells_the_share_of_its_top_up() -> None:
    top_up = Round(pumped_ul=700_000, spilled_ul=0, overflow_ul=0)
    share = fresh_share(method=ServiceMethod.LEVEL_CHECK, rounds=[top_up], total_ul=TOTAL_UL)
    assert told(share) == pytest.approx((0.1, 0.1, 0.1))


@pytest.mark.parametrize(
    ("each", "word"),
    [
        (Round(pumped_ul=None, spilled_ul=0, overflow_ul=0), "put in"),
        (Round(pumped_ul=3_000_000, spilled_ul=None, overflow_ul=0), "spilled"),
        (Round(pumped_ul=3_000_000, spilled_ul=0, overflow_ul=None), "ran out at level check"),
    ],
)
def test_that_a_missing_volume_is_named(each: Round, word: str) -> None:
    share = drain_and_fill(each)
    assert share.share is None
    assert share.reason == f"Cannot be said; not measured: {word}."


def test_that_nothing_runs_out_of_a_measured_refill() -> None:
    each = Round(pumped_ul=1_000_000, spilled_ul=0, overflow_ul=None)
    share = fresh_share(
        method=ServiceMethod.SINGLE,
        rounds=[each],
        total_ul=2_000_000,
        level_method=LevelMethod.MEASURED_REFILL,
    )
    assert told(share) == (0.5, 0.5, 0.5)


@pytest.mark.parametrize(
    ("total_ul", "fill_ul", "words"),
    [
        (None, None, "total capacity is not known"),
        (0, None, "total capacity is not known"),
        (3_000_000, 3_000_000, "no more than the service refill"),
    ],
)
def test_that_no_share_is_told_without_a_true_total(
    total_ul: int | None, fill_ul: int | None, words: str
) -> None:
    share = drain_and_fill(ONE, total_ul=total_ul, fill_ul=fill_ul)
    assert (share.share, share.low, share.high) == (None, None, None)
    assert words in share.reason


def test_that_no_share_is_told_when_nothing_was_put_in() -> None:
    assert "nothing was put in" in drain_and_fill().reason


def test_that_spilling_more_than_was_put_in_is_refused() -> None:
    with pytest.raises(RuleBroken) as refusal:
        drain_and_fill(Round(pumped_ul=100, spilled_ul=101, overflow_ul=0))
    assert refusal.value.field == "spilled"


volumes = st.integers(0, 20_000_000)


@given(
    st.sampled_from(ServiceMethod),
    st.lists(st.tuples(volumes, volumes), min_size=1, max_size=5),
    st.integers(1, 20_000_000),
)
def test_that_the_share_always_lies_between_its_bounds_and_they_between_0_and_1(
    method: ServiceMethod, fillings: list[tuple[int, int]], total_ul: int
) -> None:
    rounds = [Round(pumped_ul=put, spilled_ul=0, overflow_ul=out) for put, out in fillings]
    low, share, high = told(fresh_share(method=method, rounds=rounds, total_ul=total_ul))
    assert 0 <= low <= share + 1e-12
    assert share <= high + 1e-12
    assert high <= 1


@given(
    st.integers(2, 10_000_000).flatmap(lambda v: st.tuples(st.integers(1, v - 1), st.just(v))),
    st.integers(1, 8),
)
def test_that_draining_first_renews_more_than_flowing_through(part: tuple[int, int], times: int) -> None:
    put_ul, total_ul = part
    each = Round(pumped_ul=put_ul, spilled_ul=0, overflow_ul=0)
    repeated = fresh_share(method=ServiceMethod.REPEATED, rounds=[each] * times, total_ul=total_ul)
    through = fresh_share(method=ServiceMethod.FLOW_THROUGH, rounds=[each] * times, total_ul=total_ul)
    # (1 − v/V)^n < exp(−nv/V) for 0 < v < V; told apart only as far as a float can.
    assert told(repeated)[1] >= told(through)[1] - 1e-12
    if put_ul / total_ul > 1e-3 and times * put_ul / total_ul < 20:
        assert told(repeated)[1] > told(through)[1]


def test_that_the_average_age_shrinks_by_the_new_share_and_at_most_uses_its_low_bound() -> None:
    age = average_age(35_000, drain_and_fill(ONE))
    assert age.average is not None
    assert age.at_most is not None
    # Computed, no source: 35,000 mi with a share of 0.463 to 0.534.
    assert round(age.average, -2) == 17_500
    # 35,000 · (7 − 3.24)/7 and 35,000 · (7 − 3.74)/7 are whole miles.
    assert (age.at_least, age.at_most) == (16_300, 18_800)


def test_that_an_unknown_history_is_bounded_only_by_the_vehicles_own() -> None:
    bounded = average_age(None, drain_and_fill(ONE), at_most_before=35_000)
    assert (bounded.average, bounded.at_least, bounded.at_most) == (None, None, 18_800)
    assert "at most the vehicle's own" in bounded.reason
    unbounded = average_age(None, drain_and_fill(ONE))
    assert unbounded.at_most is None
    assert "nothing bounds it" in unbounded.reason


def test_that_an_age_is_not_told_when_the_share_is_not() -> None:
    unknown = drain_and_fill(ONE, total_ul=None)
    age = average_age(35_000, unknown)
    assert (age.average, age.at_most) == (None, None)
    assert age.reason == unknown.reason


def test_that_the_age_before_each_service_settles_at_interval_over_share() -> None:
    age = 0.0
    for _ in range(200):
        age = (1 - 0.43) * age + 30_000
    assert math.isclose(settled_age(30_000, 0.43), age)
    assert round(settled_age(30_000, 0.43), -3) == 70_000
    for share in (0.0, 1.01):
        with pytest.raises(ValueError, match="share"):
            settled_age(30_000, share)
