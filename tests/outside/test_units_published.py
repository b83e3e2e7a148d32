"""Unit factors against published values."""

from fractions import Fraction

import pytest

from shopdesk.domain import units
from shopdesk.domain.unit_names import Dimension
from shopdesk.domain.units import FACTORS

# NIST Handbook 44 appendix C: 1 US gallon = 231 cubic inches, exactly; quart 57.75, pint 28.875
# cubic inches; 1 gallon = 128 fluid ounces. 1 inch = 2.54 cm exactly (NIST SP 811 appendix B).
# Imperial gallon 4.546 09 L exactly (NIST SP 811 appendix B.8, printed in bold).
LITRES = {
    "gal": "3.785411784",
    "qt": "0.946352946",
    "pt": "0.473176473",
    "floz": "0.0295735295625",
    "imp gal": "4.54609",
    "imp qt": "1.1365225",
    "imp floz": "0.0284130625",
}

# The same factors as NIST SP 811 appendix B.8 prints them, to seven digits.
PRINTED_LITRES = {"gal": "3.785412", "qt": "0.9463529", "pt": "0.4731765", "floz": "0.02957353"}


@pytest.mark.parametrize(("unit", "litres"), LITRES.items())
def test_that_volumes_follow_from_the_cubic_inch_and_the_imperial_gallon(unit: str, litres: str) -> None:
    assert FACTORS[Dimension.VOLUME][unit] == Fraction(litres) * 10**6


@pytest.mark.parametrize(("unit", "litres"), PRINTED_LITRES.items())
def test_that_volumes_agree_with_the_printed_table(unit: str, litres: str) -> None:
    ours = FACTORS[Dimension.VOLUME][unit] / 10**6
    last_digit = Fraction(1, 10 ** len(litres.partition(".")[2]))
    assert abs(ours - Fraction(litres)) <= last_digit / 2


def test_that_torque_follows_from_the_pound_force() -> None:
    # 1 lbf = 4.448 221 615 260 5 N exactly (NIST SP 811, footnote 23); times 0.3048 m, computed.
    foot_pound = Fraction("4.4482216152605") * Fraction("0.3048")
    assert FACTORS[Dimension.TORQUE]["lbf*ft"] == foot_pound * 1000
    # NIST SP 811 appendix B.8 prints 1.355 818 N·m.
    assert abs(foot_pound - Fraction("1.355818")) <= Fraction(1, 2_000_000)
    # Standard gravity 9.806 65 m/s² by definition, from memory.
    assert FACTORS[Dimension.TORQUE]["kgf*m"] == Fraction("9806.65")


def test_that_36_foot_pounds_are_48_81_newton_metres() -> None:
    # Common practice, no source; computed from the factor above: 48.809 446.
    assert units.read_torque("36 lbf*ft", field="f").value == 48_809


def test_that_3_2_us_quarts_are_kept_to_the_microlitre() -> None:
    # Common practice, no source; computed: 3.2 x 946 352.946 = 3 028 329.4272 µL.
    assert units.read_volume("3.2 qt", field="f").value == 3_028_329


def test_that_the_mile_is_1_609344_km() -> None:
    # NIST SP 811 appendix B.8, printed in bold (exact).
    assert FACTORS[Dimension.DISTANCE]["mi"] / FACTORS[Dimension.DISTANCE]["km"] == Fraction("1.609344")
    assert units.convert_tenths(1_000_000, "mi", "km") == 1_609_344


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"),
    [("32", "0"), ("212", "100"), ("-40", "-40"), ("104", "40"), ("194", "90"), ("98.6", "37")],
)
def test_that_fahrenheit_follows_the_formula(fahrenheit: str, celsius: str) -> None:
    # NIST SP 811 appendix B.9: t/°C = (t/°F - 32)/1.8.
    in_f = units.read_temperature(f"{fahrenheit} degF", field="f")
    assert in_f.value == Fraction(celsius) * 1000
    assert units.from_mc(in_f.value, "degf") == Fraction(fahrenheit)


def test_that_a_wrong_quart_would_be_noticed() -> None:
    # The US dry quart (1.101 220 942 715 L) and a truncated liquid quart (0.946 352 95 L) circulate.
    quart = FACTORS[Dimension.VOLUME]["qt"] / 10**6
    assert quart != Fraction("1.101220942715")
    assert quart != Fraction("0.94635295")
