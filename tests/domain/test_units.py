"""Quantities with units: exact integers, closed lists of names, sentences that say what is wanted."""

import time
from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain import units
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.unit_names import UNIT_NAMES, Dimension
from shopdesk.domain.units import FACTORS, Measured, NumberStyle

PERSON = NumberStyle.PERSON
READERS: tuple[Callable[[str, NumberStyle], Measured | int], ...] = (
    lambda text, style: units.read_volume(text, field="f", style=style),
    lambda text, style: units.read_temperature(text, field="f", style=style),
    lambda text, style: units.read_torque(text, field="f", style=style),
    lambda text, style: units.read_distance(text, field="f", style=style),
    lambda text, style: units.read_density(text, field="f", style=style),
    lambda text, style: units.read_count(text, field="f", style=style),
)


def refusal(read: Callable[..., Measured | int], text: str, **options: object) -> str:
    with pytest.raises(RuleBroken) as refused:
        read(text, field="service.pumped", **options)
    assert refused.value.field == "service.pumped"
    return refused.value.sentence


def test_that_what_was_typed_and_its_unit_are_kept() -> None:
    measured = units.read_volume(" 3.2 Quarts ", field="f")
    assert measured == Measured(typed="3.2 Quarts", value=3_028_329, unit="qt")


@pytest.mark.parametrize(
    "name", ["lbf*ft", "lbf·ft", "ft-lb", "ft·lb", "lb-ft", "ft lb", "ftlb", "ft-lbs", "foot-pounds", "FT-LB"]
)
def test_that_the_trades_words_for_the_pound_force_foot_are_read(name: str) -> None:
    assert units.read_torque(f"36 {name}", field="f") == Measured(
        typed=f"36 {name}", value=48_809, unit="lbf*ft"
    )


@pytest.mark.parametrize("name", ["N*m", "N·m", "Nm", "N m", "nm", "newton meters", "newton-metres"])
def test_that_newton_metres_are_read(name: str) -> None:
    assert units.read_torque(f"48.81 {name}", field="f").value == 48_810


@pytest.mark.parametrize("name", ["degC", "°C", "° C", "ºC", "℃", "deg. C", "C", "celsius"])
def test_that_degrees_celsius_are_read(name: str) -> None:
    assert units.read_temperature(f"35 {name}", field="f") == Measured(
        typed=f"35 {name}", value=35_000, unit="degc"
    )


@pytest.mark.parametrize("name", ["degF", "°F", "F", "Fahrenheit", "℉"])
def test_that_degrees_fahrenheit_are_read(name: str) -> None:
    assert units.read_temperature(f"95 {name}", field="f").value == 35_000


def test_that_a_printed_bound_is_met_in_both_units_exactly() -> None:
    # 95-113 °F = 35-45 °C, bounds included: common practice, no source.
    for fahrenheit, celsius in ((95, 35), (113, 45), (104, 40), (212, 100), (-40, -40)):
        in_f = units.read_temperature(f"{fahrenheit} degF", field="f").value
        assert in_f == units.read_temperature(f"{celsius} degC", field="f").value == celsius * 1000


def test_that_imperial_units_are_never_guessed() -> None:
    assert units.read_volume("1 qt", field="f").unit == "qt"
    assert units.read_volume("1 qt", field="f", imperial=True) == Measured(
        typed="1 qt", value=1_136_523, unit="imp qt"
    )
    assert units.read_volume("1 US qt", field="f", imperial=True).unit == "qt"
    assert units.read_volume("1 imp qt", field="f").unit == "imp qt"
    assert units.read_volume("1", field="f", default="qt", imperial=True).unit == "imp qt"


def test_that_a_default_unit_is_used_only_when_none_is_typed() -> None:
    assert units.read_volume("3.2", field="f", default="qt").unit == "qt"
    assert units.read_volume("3.2 L", field="f", default="qt").unit == "l"
    assert "has no unit" in refusal(units.read_volume, "3.2")


def test_that_a_quantity_of_another_kind_is_named() -> None:
    sentence = refusal(units.read_volume, "36 lbf*ft")
    assert "is a torque; a volume is wanted here, such as 3.2 qt" in sentence
    assert "is a volume" in refusal(units.read_torque, "3 qt")
    assert "is a weight" in refusal(units.read_volume, "5 lb")
    assert "fl oz" in refusal(units.read_volume, "5 oz")
    assert "is a temperature" in refusal(units.read_distance, "97 F")


def test_that_a_mass_times_a_length_is_no_torque() -> None:
    for text in ("36 lb*ft", "36 ft*lb", "36 kg*m"):
        assert "lbf*ft" in refusal(units.read_torque, text)


def test_that_unknown_units_are_quoted() -> None:
    assert '"QTT"' in refusal(units.read_volume, "3.2 QTT")
    assert '"qt 5"' in refusal(units.read_volume, "3.2 qt 5")
    assert '"mN"' in refusal(units.read_torque, "3 mN")


def test_that_what_cannot_be_is_refused_with_the_bounds() -> None:
    assert "below zero" in refusal(units.read_volume, "-1 qt")
    assert "0 to 20000 L" in refusal(units.read_volume, "99999999999999999999 l")
    assert "-76 to 482 °F" in refusal(units.read_temperature, "2000 degF")
    assert "-60 to 250 °C" in refusal(units.read_temperature, "-61 degC")
    assert "0 to 9999999 mi" in refusal(units.read_distance, "10000000 mi")
    assert "600 to 1300" in refusal(units.read_density, "0.86 kg/m3")
    assert "0 to 1000000" in refusal(units.read_count, "1000001")


def test_that_the_bounds_themselves_are_accepted() -> None:
    assert units.read_temperature("-60 degC", field="f").value == -60_000
    assert units.read_temperature("482 degF", field="f").value == 250_000
    assert units.read_volume("20000 L", field="f").value == 20_000_000_000
    assert units.read_volume("0 L", field="f").value == 0


def test_that_an_odometer_has_tenths_and_a_person_may_group_thousands() -> None:
    assert units.read_distance("84310.4 mi", field="f").value == 843_104
    assert units.read_distance("84,310 mi", field="f", style=PERSON).value == 843_100
    assert units.read_distance("84 310,4 km", field="f", style=PERSON).value == 843_104
    assert "comma" in refusal(units.read_distance, "84,310 mi")
    assert "84310" in refusal(units.read_distance, "84.310 km", style=PERSON)
    assert "one decimal" in refusal(units.read_distance, "84310.45 mi")


def test_that_densities_come_out_in_kilograms_per_cubic_metre() -> None:
    for text in ("860 kg/m3", "860 kg/m³", "0.86 g/cm3", "0.860 kg/l", "860 g/L", "0.86 g/ml"):
        assert units.read_density(text, field="f").value == 860


def test_that_pieces_are_counted_in_thousandths() -> None:
    assert units.read_count("2", field="f") == 2000
    assert units.read_count("1.5 pcs", field="f") == 1500
    assert units.read_count("0,25", field="f", style=PERSON) == 250
    assert "three decimals" in refusal(units.read_count, "0.1234")
    assert '"qt"' in refusal(units.read_count, "2 qt")


def test_that_every_name_in_the_lists_is_one_that_can_be_read() -> None:
    for dimension, names in UNIT_NAMES.items():
        for unit in names.values():
            assert unit.removeprefix("us ") in FACTORS[dimension]
    for name in UNIT_NAMES[Dimension.VOLUME]:
        assert units.read_volume(f"1 {name}", field="f").value > 0


def test_that_no_name_stands_for_two_kinds_of_quantity() -> None:
    names = [name for listed in UNIT_NAMES.values() for name in listed]
    assert len(names) == len(set(names))


def test_that_our_factors_are_those_of_pint_to_the_last_digit() -> None:
    assert units.factor_disagreements() == ()


def answer(
    read: Callable[[str, NumberStyle], Measured | int], text: str, style: NumberStyle
) -> Measured | int | RuleBroken:
    try:
        return read(text, style)
    except RuleBroken as refused:
        return refused


@given(st.sampled_from(READERS), st.text(max_size=60), st.sampled_from(NumberStyle))
def test_that_any_text_gives_an_integer_or_a_refusal_in_milliseconds(
    read: Callable[[str, NumberStyle], Measured | int], text: str, style: NumberStyle
) -> None:
    began = time.perf_counter()
    given_back = answer(read, text, style)
    assert time.perf_counter() - began < 0.1
    if isinstance(given_back, RuleBroken):
        assert given_back.sentence
        assert given_back.field == "f"
    else:
        assert isinstance(given_back if isinstance(given_back, int) else given_back.value, int)


@pytest.mark.parametrize("read", READERS)
@pytest.mark.parametrize(
    "text", ["9**9**9 qt", "9" * 10_000 + " qt", "q" * 10_000, "1e5 qt", "1_000 qt", "NaN qt"]
)
def test_that_hostile_text_is_refused_at_once(
    read: Callable[[str, NumberStyle], Measured | int], text: str
) -> None:
    began = time.perf_counter()
    for style in NumberStyle:
        with pytest.raises(RuleBroken):
            read(text, style)
    assert time.perf_counter() - began < 0.1


@given(
    st.sampled_from(sorted(UNIT_NAMES[Dimension.VOLUME].values())),
    st.integers(0, 10**6),
)
def test_that_volumes_return_to_what_was_typed_within_half_a_microlitre(unit: str, thousandths: int) -> None:
    text = f"{thousandths // 1000}.{thousandths % 1000:03d} {unit}"
    measured = units.read_volume(text, field="f")
    exact = Fraction(thousandths, 1000)
    in_ul = FACTORS[Dimension.VOLUME][measured.unit]
    assert abs(units.from_ul(measured.value, measured.unit) - exact) * in_ul <= Fraction(1, 2)


@given(st.integers(-60_000, 250_000))
def test_that_temperatures_return_from_fahrenheit(mc: int) -> None:
    assert units.to_mc(units.from_mc(mc, "degf"), "degf") == mc
    assert units.to_mc(units.from_mc(mc, "degc"), "degc") == mc


@given(st.integers(0, 10**8))
def test_that_distances_return_from_the_other_unit(tenths: int) -> None:
    assert units.convert_tenths(units.convert_tenths(tenths, "mi", "km"), "km", "mi") == tenths
    assert units.convert_tenths(tenths, "mi", "mi", down=True) == tenths
    assert units.convert_tenths(tenths, "mi", "km", down=True) <= units.convert_tenths(tenths, "mi", "km")


def test_that_units_are_shown_in_the_trades_words() -> None:
    assert units.shown_unit("lbf*ft") == "ft-lb"
    assert units.shown_unit("degf") == "°F"
    assert units.shown_unit("qt") == "qt"
