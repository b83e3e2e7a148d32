"""Thermal expansion of lubricating oils against outside figures.

Sources. Formula and constants: generalised lubricating oils of API MPMS chapter 11.1 / ASTM D1250 (1980
tables 54D, base 15 °C, K1 = 0.6278; and the 2004 form, base 60 °F, K1 = 0.34878), read in two secondary
sources, chemost.com/calculators/density-vcf for the 60 °F form; the primary standard was not at hand.
The table below was computed from the 15 °C form; the 60 °F form, worked here apart from the program,
corroborates it. Rule of thumb: engineeringtoolbox.com/volumetric-temperature-expansion-d_315.html.
"""

import math

import pytest

from shopdesk.domain.expansion import vcf, vcf_per_degree

TABLE = {
    840: (1.011172, 0.996259, 0.981215, 0.966053, 0.950785, 0.943115, 0.935423),
    850: (1.011041, 0.996303, 0.981437, 0.966455, 0.951370, 0.943793, 0.936194),
    860: (1.010913, 0.996346, 0.981654, 0.966849, 0.951942, 0.944454, 0.936946),
    870: (1.010788, 0.996388, 0.981866, 0.967233, 0.952501, 0.945101, 0.937680),
}
TEMPERATURES = (0, 20, 40, 60, 80, 90, 100)
ROWS = [
    (density, celsius, factor)
    for density, factors in TABLE.items()
    for celsius, factor in zip(TEMPERATURES, factors, strict=True)
]


@pytest.mark.parametrize(("density", "celsius", "factor"), ROWS)
def test_that_the_correction_table_is_met(density: int, celsius: int, factor: float) -> None:
    assert vcf(density, celsius * 1000) == pytest.approx(factor, abs=6e-7)


@pytest.mark.parametrize("density", [840, 850, 860, 870])
def test_that_nothing_is_corrected_at_15_degrees(density: int) -> None:
    assert vcf(density, 15_000) == 1.0


def sixty_fahrenheit_form(density60: float, fahrenheit: float) -> float:
    alpha = 0.34878 / density60
    rise = fahrenheit - 60
    return math.exp(-alpha * rise * (1 + 0.8 * alpha * rise))


@pytest.mark.parametrize("density", [850, 860, 870])
@pytest.mark.parametrize("celsius", [15, 20, 40, 60, 80, 90])
def test_that_the_form_based_on_60_fahrenheit_agrees(density: int, celsius: int) -> None:
    fahrenheit = celsius * 1.8 + 32
    # The 60 °F form needs the density at 60 °F (15.56 °C) and gives volumes there: go round through 15 °C.
    density60 = density / sixty_fahrenheit_form(density, 59)
    to_15 = sixty_fahrenheit_form(density60, fahrenheit) / sixty_fahrenheit_form(density60, 59)
    assert vcf(density, celsius * 1000) == pytest.approx(to_15, rel=2e-5)


def test_that_a_hundred_litres_grow_as_the_rule_of_thumb_says_within_a_thousandth() -> None:
    # Rule of thumb: 0.00070 per °C, 100 L from 20 to 40 °C grow by 1.4 L. The full method gives 1.50 L.
    grown = 100 * vcf(860, 20_000) / vcf(860, 40_000)
    assert grown == pytest.approx(101.4, rel=1e-3)
    assert grown == pytest.approx(101.497, abs=5e-4)


def test_that_seven_litres_change_by_about_5_millilitres_per_degree() -> None:
    # Computed, no source: 7 L at 40 °C.
    per_degree_ml = 7000 * vcf_per_degree(860, 40_000) / vcf(860, 40_000)
    assert per_degree_ml == pytest.approx(5.26, abs=0.01)
    stepped = 7000 * (vcf(860, 39_500) - vcf(860, 40_500)) / vcf(860, 40_000)
    assert per_degree_ml == pytest.approx(stepped, rel=1e-6)
