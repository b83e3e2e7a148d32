"""Packages of the trade in litres, against published figures.

Sources. NIST Handbook 44, appendix C: 1 US gallon = 3.785 411 784 L exactly, 1 liquid quart =
0.946 352 946 L, 1 fluid ounce = 29.573 53 mL. 40 CFR 112.1(d)(2)(ii): 1,320 US gallons; 55 x 24 is that
number. Package sizes themselves: common practice, no source.
"""

from fractions import Fraction

import pytest

from shopdesk.domain.reorder import whole_packages
from shopdesk.domain.unit_factors import to_ul


@pytest.mark.parametrize(
    ("number", "unit", "microlitres"),
    [
        (1, "gal", 3_785_412),
        (1, "qt", 946_353),
        (12, "floz", 354_882),
        (5, "gal", 18_927_059),
        (16, "gal", 60_566_589),
        (55, "gal", 208_197_648),
        (275, "gal", 1_040_988_241),
        (1320, "gal", 4_996_743_555),
    ],
)
def test_that_a_package_holds_what_the_tables_say(number: int, unit: str, microlitres: int) -> None:
    assert to_ul(Fraction(number), unit) == microlitres


@pytest.mark.parametrize(
    ("wanted", "unit", "package", "packages"),
    [(220, "qt", 55, 1), (221, "qt", 55, 2), (60, "qt", 5, 3), (61, "qt", 5, 4), (1320, "gal", 55, 24)],
)
def test_that_whole_packages_are_counted_without_a_rest_of_rounding(
    wanted: int, unit: str, package: int, packages: int
) -> None:
    assert whole_packages(to_ul(Fraction(wanted), unit), to_ul(Fraction(package), "gal")) == packages
