"""Order marks, the hint beside them, and whole packages."""

from fractions import Fraction

import pytest

from shopdesk.domain.reorder import (
    days_of_cover,
    demand_of,
    packages_to_order,
    reorder_hint,
    whole_packages,
    z_of,
)
from shopdesk.domain.unit_factors import to_ul

QUART = to_ul(Fraction(1), "qt")
GALLON = to_ul(Fraction(1), "gal")
DRUM = to_ul(Fraction(55), "gal")


def test_that_the_owners_marks_decide() -> None:
    marks = {"order_at": 10, "fill_to": 40, "package": 12}
    assert packages_to_order(available=11, on_order=0, **marks) == 0
    assert packages_to_order(available=10, on_order=0, **marks) == 3  # 30 wanted, 36 come
    assert packages_to_order(available=10, on_order=1, **marks) == 0
    assert packages_to_order(available=-5, on_order=0, **marks) == 4
    assert packages_to_order(available=0, on_order=0, order_at=None, fill_to=40, package=12) == 0
    assert packages_to_order(available=10, on_order=0, order_at=10, fill_to=None, package=12) == 1


def test_that_packages_are_whole_and_a_millionth_is_no_package() -> None:
    assert whole_packages(0, 12) == whole_packages(-5, 12) == 0
    assert [whole_packages(n, 12) for n in (1, 12, 13)] == [1, 1, 2]
    assert whole_packages(DRUM, DRUM) == 1
    assert whole_packages(220 * QUART, DRUM) == 1  # 220 qt kept to the microlitre are 12 µL more than 55 gal
    assert whole_packages(60 * QUART, GALLON) == 15
    with pytest.raises(ValueError, match="holds something"):
        whole_packages(1, 0)


def test_that_demand_counts_days_without_use_as_zeros() -> None:
    demand = demand_of([0, 4, 0, 8])
    assert (demand.mean, demand.days, demand.days_with_demand) == (3, 4, 2)
    assert demand.sigma == pytest.approx((44 / 3) ** 0.5)
    assert demand_of([]).mean == 0
    assert demand_of([5]).sigma == 0


def test_that_a_hint_needs_some_history() -> None:
    assert reorder_hint(demand_of([5, 0, 5, 0, 5, 0, 5]), lead_days=4, service_level_ppm=950_000) is None
    hint = reorder_hint(demand_of([5, 0, 5, 0, 5, 0, 5, 0, 5]), lead_days=4, service_level_ppm=950_000)
    assert hint is not None
    assert hint.lead_demand == 12  # 25/9 a day, 11.1 in four days
    assert hint.point == hint.lead_demand + hint.safety
    assert reorder_hint(demand_of([5] * 9), lead_days=0, service_level_ppm=950_000) is None


def test_that_a_service_level_lies_below_certainty() -> None:
    with pytest.raises(ValueError, match="service level"):
        z_of(1_000_000)


def test_that_days_of_cover_are_whole_days_at_the_mean() -> None:
    assert days_of_cover(10, demand_of([3, 3])) == 3
    assert days_of_cover(-1, demand_of([3, 3])) == 0
    assert days_of_cover(10, demand_of([0, 0])) is None
