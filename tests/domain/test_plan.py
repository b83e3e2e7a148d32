"""Plans for new fluid: the cheapest way that is enough, proven by going through all of them."""

import math
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.plan import (
    MOST_ROUNDS,
    PlanFor,
    Way,
    plans,
    rounds_needed,
    share_after,
    step_by_step,
)

GIVEN = PlanFor(
    total_ul=10_000_000,
    refill_ul=4_000_000,
    fluid_minor_per_l=Fraction(1200),
    waste_minor_per_l=Fraction(50),
    round_minor=9_000,
    exchange_minor=22_000,
)


def test_that_three_drain_and_fills_of_four_in_ten_leave_a_fifth() -> None:
    # Computed: V = 10, v = 4: new share 0.4, 0.64, 0.784.
    assert [float(share_after(n, GIVEN)) for n in (0, 1, 2, 3)] == [0, 0.4, 0.64, 0.784]


def test_that_a_wanted_share_just_met_counts_as_met() -> None:
    assert rounds_needed(Fraction(784, 1000), GIVEN) == 3
    assert rounds_needed(Fraction(784_001, 1_000_000), GIVEN) == 4


def test_that_both_ways_are_priced_with_their_fluid_and_the_cheaper_stands_first() -> None:
    found = plans(Fraction(3, 4), GIVEN)
    by_way = {plan.way: plan for plan in found}
    drains, exchange = by_way[Way.DRAIN_AND_FILL], by_way[Way.FLOW_THROUGH]
    assert (drains.rounds, drains.fluid_ul, drains.cost_minor) == (3, 12_000_000, 27_000 + 12 * 1250)
    assert exchange.fluid_ul == math.ceil(10_000_000 * math.log(4))
    assert exchange.cost_minor == 22_000 + round(10 * math.log(4) * 1250)
    assert exchange.share == pytest.approx(0.75, abs=1e-6)
    assert exchange.share >= 0.75
    assert found[0] is exchange
    dearer = plans(Fraction(3, 4), replace(GIVEN, exchange_minor=40_000))
    assert dearer[0].way is Way.DRAIN_AND_FILL


def test_that_without_a_machine_there_is_no_exchange() -> None:
    assert [plan.way for plan in plans(Fraction(1, 2), replace(GIVEN, exchange_minor=None))] == [
        Way.DRAIN_AND_FILL
    ]


def test_that_what_is_new_already_saves_rounds_and_fluid() -> None:
    fresh = replace(GIVEN, already=Fraction(4, 10))
    assert rounds_needed(Fraction(784, 1000), fresh) == 2
    assert share_after(2, fresh) == share_after(3, GIVEN)
    assert all(plan.fluid_ul == 0 for plan in plans(Fraction(3, 10), fresh))


def test_that_out_of_reach_is_out_of_reach() -> None:
    drop = replace(GIVEN, refill_ul=100_000, exchange_minor=None)
    assert rounds_needed(Fraction(9, 10), drop) is None
    assert plans(Fraction(9, 10), drop) == ()


def test_that_the_table_adds_one_round_after_another() -> None:
    table = [*step_by_step(GIVEN, 3)]
    assert [plan.rounds for plan in table] == [1, 2, 3]
    assert [plan.share for plan in table] == [0.4, 0.64, 0.784]


@given(
    st.integers(500_000, 15_000_000),
    st.integers(1, 1000),
    st.integers(0, 900),
    st.integers(1, 999),
    st.integers(0, 3000),
    st.integers(0, 30_000),
    st.none() | st.integers(0, 60_000),
)
def test_that_going_through_all_plans_finds_none_cheaper(
    total: int, part: int, already: int, wanted_part: int, per_litre: int, work: int, machine: int | None
) -> None:
    made = PlanFor(
        total_ul=total,
        refill_ul=max(1, total * part // 1000),
        already=Fraction(already, 1000),
        fluid_minor_per_l=Fraction(per_litre),
        round_minor=work,
        exchange_minor=machine,
    )
    wanted = Fraction(wanted_part, 1000)
    found = plans(wanted, made)
    old = 1 - made.already

    def litres_cost(ul: int, fixed: int) -> int:
        return fixed + math.floor(Fraction(ul * per_litre, 1_000_000) + Fraction(1, 2))

    costs = []
    for rounds in range(MOST_ROUNDS + 1):
        left = old * (1 - Fraction(made.refill_ul, total)) ** rounds
        if 1 - left >= wanted:
            costs.append(litres_cost(rounds * made.refill_ul, rounds * work))
    if machine is not None:
        # In steps of a hundredth of the unit.
        for step in range(1200):
            ul = total * step // 100
            if 1 - float(old) * math.exp(-ul / total) >= wanted_part / 1000 - 1e-12:
                costs.append(litres_cost(ul, machine if ul else 0))
                break
    if not costs:
        assert found == ()
        return
    assert found[0].cost_minor <= min(costs)
    assert all(plan.share >= wanted_part / 1000 - 1e-9 for plan in found)


@given(st.integers(1, 99), st.integers(1, 8))
def test_that_an_exchange_of_the_same_fluid_renews_less_than_drain_and_fills(part: int, rounds: int) -> None:
    # (1 − v/C)ⁿ < exp(−nv/C) for 0 < v < C.
    made = replace(GIVEN, refill_ul=GIVEN.total_ul * part // 100)
    drained = share_after(rounds, made)
    assert float(drained) > 1 - math.exp(-rounds * part / 100)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"total_ul": 0}, "total"),
        ({"refill_ul": 0}, "refill"),
        ({"refill_ul": 10_000_001}, "refill"),
        ({"already": Fraction(2)}, "already"),
    ],
)
def test_that_impossible_units_are_refused(changes: dict[str, object], field: str) -> None:
    with pytest.raises(RuleBroken) as caught:
        replace(GIVEN, **changes)  # type: ignore[arg-type]
    assert caught.value.field == field


@pytest.mark.parametrize("wanted", [0, 1, 2])
def test_that_a_share_of_nothing_or_all_cannot_be_wanted(wanted: int) -> None:
    with pytest.raises(RuleBroken) as caught:
        plans(Fraction(wanted), GIVEN)
    assert caught.value.field == "wanted"
