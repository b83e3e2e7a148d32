"""Used oil: room, hauls, the total of capacities, and whether the books agree."""

from fractions import Fraction

import pytest

from shopdesk.domain.dated_rules import OFFERED, RuleKey
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.unit_factors import to_ul
from shopdesk.domain.usedoil import Fill, Reconciliation, came_out_ul, capacity_total, check_haul


def gallons(number: int) -> int:
    return to_ul(Fraction(number), "gal")


FIGURE = {rule.key: rule.value_ul for rule in OFFERED}
DRUM = gallons(55)


def test_that_twenty_four_drums_are_exactly_the_figure_and_not_over_it() -> None:
    # 40 CFR 112.1(d)(2)(ii): "greater than 1,320 U.S. gallons", 55 x 24 = 1,320.
    limits = {"least_ul": FIGURE[RuleKey.CAPACITY_LEAST], "most_ul": FIGURE[RuleKey.CAPACITY_MOST]}
    exact = capacity_total([DRUM] * 24, **limits)
    assert (exact.over, exact.near, exact.counted) == (False, True, 24)
    assert capacity_total([DRUM] * 25, **limits).over
    assert capacity_total([*[DRUM] * 24, gallons(56)], **limits).over
    one_more_gallon = capacity_total([*[DRUM] * 23, gallons(56)], **limits)
    assert one_more_gallon.over


def test_that_small_containers_do_not_count() -> None:
    limits = {"least_ul": DRUM, "most_ul": gallons(1320)}
    assert capacity_total([gallons(54)] * 100, **limits).counted == 0
    assert capacity_total([gallons(54)] * 100, **limits).total_ul == 0
    assert not capacity_total([DRUM] * 19, **limits).near
    assert capacity_total([DRUM] * 20, **limits).near  # 1,100 of 1,056 gallons, which are 80 %


def test_that_a_haul_above_the_limit_needs_a_carrier_with_its_number() -> None:
    most = FIGURE[RuleKey.SELF_HAUL_MOST]
    own = {"self_haul_most_ul": most, "carrier_id": "", "destination": "County yard", "own_vehicle": True}
    check_haul(quantity_ul=DRUM, **own)
    with pytest.raises(RuleBroken, match="name a carrier"):
        check_haul(quantity_ul=DRUM + 1, **own)
    carried = {"self_haul_most_ul": most, "destination": "", "own_vehicle": False}
    with pytest.raises(RuleBroken, match="id number"):
        check_haul(quantity_ul=DRUM + 1, carrier_id="", **carried)
    check_haul(quantity_ul=DRUM + 1, carrier_id="XYR000000001", **carried)
    with pytest.raises(RuleBroken, match="where you take it"):
        check_haul(quantity_ul=1, **{**own, "destination": ""})


def test_that_without_a_chosen_rule_nothing_is_asked_but_a_quantity() -> None:
    free = {"self_haul_most_ul": None, "carrier_id": "", "destination": "", "own_vehicle": True}
    check_haul(quantity_ul=10 * DRUM, **free)
    with pytest.raises(RuleBroken, match="more than nothing"):
        check_haul(quantity_ul=0, **free)


def test_that_what_came_out_is_what_was_drained_and_ran_out() -> None:
    assert came_out_ul(3_000, 500) == 3_500
    assert came_out_ul(None, 500, 200) == 700
    assert came_out_ul(None, None) == 0


def test_that_a_vessel_says_its_room_and_what_the_books_hold_too_much() -> None:
    assert (Fill(held_ul=30, capacity_ul=100).room_ul, Fill(held_ul=30, capacity_ul=100).percent) == (70, 30)
    over = Fill(held_ul=130, capacity_ul=100)
    assert (over.room_ul, over.over_ul, over.percent) == (0, 30, 130)


@pytest.mark.parametrize(
    ("counted", "agrees"), [(90, True), (89, False), (None, None), (110, True), (111, False)]
)
def test_that_the_books_agree_within_a_tenth_of_what_moved(counted: int | None, agrees: bool | None) -> None:
    found = Reconciliation(opening_ul=20, in_ul=80, out_ul=0, counted_ul=counted)
    assert found.expected_ul == 100
    assert found.agrees is agrees
