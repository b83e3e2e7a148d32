"""Reorder points and quantiles, against published examples.

Sources. Reorder point with 24 units of lead-time demand, sigma 20 and z 1.64: 56.8
(tutorsglobe.com, question 5202848). Sand, mean 50 t, sigma 5 t, risk 3 %, z 1.88: safety stock
9.40, reorder point 59.40 t (Stevenson, Operations Management, 14th edition, example 8, as read at
fliphtml5.com, cviyu/vkrs, p. 557). Quantiles: tables of the normal distribution; computed with the
standard library: 0.95 1.644854, 0.97 1.880794, 0.99 2.326348.
"""

from fractions import Fraction

import pytest

from shopdesk.domain.reorder import reorder_point, z_of


def test_that_the_question_gives_56_8() -> None:
    lead_demand = Fraction(500, 250) * 12
    assert reorder_point(lead_demand, 20, 1.64) == pytest.approx(56.8)


def test_that_the_sand_example_gives_59_40() -> None:
    assert reorder_point(Fraction(50), 5, 1.88) == pytest.approx(59.40)
    assert reorder_point(Fraction(50), 5, z_of(970_000)) == pytest.approx(59.40, abs=0.005)


@pytest.mark.parametrize(
    ("level", "z"), [(900_000, 1.281552), (950_000, 1.644854), (970_000, 1.880794), (990_000, 2.326348)]
)
def test_that_the_quantiles_are_those_of_the_tables(level: int, z: float) -> None:
    assert z_of(level) == pytest.approx(z, abs=5e-7)
