"""Quantities with units: read exactly, kept as integers, given back as fractions.

Kept are microlitres (_ul), thousandths of a degree Celsius (_mc), millinewton metres (_mnm),
tenths of the odometer's own unit (_tenths) and whole kg/m³, each rounded half up from the exact
fraction. pint gives a second opinion on the factors; it never sees what a person typed.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cache, partial
from gettext import gettext as _
from types import MappingProxyType

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.numerals import NumberStyle, Threes, Written, read_number
from shopdesk.domain.numerals import read_whole as read_whole
from shopdesk.domain.rounding import round_half_up
from shopdesk.domain.unit_factors import (
    FACTORS,
    convert_tenths,
    from_mc,
    from_mnm,
    from_ul,
    from_um,
    to_mc,
    to_ul,
)
from shopdesk.domain.unit_names import OTHER_MEASURES, UNIT_NAMES, Dimension, normalised, shown_unit

__all__ = [
    "FACTORS",
    "Measured",
    "NumberStyle",
    "convert_tenths",
    "factor_disagreements",
    "from_mc",
    "from_mnm",
    "from_ul",
    "from_um",
    "read_count",
    "read_density",
    "read_distance",
    "read_length",
    "read_mass",
    "read_temperature",
    "read_torque",
    "read_volume",
    "read_whole",
    "shown_unit",
    "to_mc",
    "to_ul",
]

_COLDEST_MC, _HOTTEST_MC = -60_000, 250_000
_PIECES = frozenset({"", "pc", "pcs", "ea", "each", "piece", "pieces"})


@dataclass(frozen=True, kw_only=True, slots=True)
class Measured:
    """A quantity as kept and as typed; ``unit`` is the short name of the unit it was typed in."""

    typed: str
    value: int
    unit: str


class _Example(StrEnum):
    """How each dimension is asked for; English here, translated where shown."""

    VOLUME = "3.2 qt"
    TEMPERATURE = "97 degF"
    TORQUE = "36 lbf*ft"
    DISTANCE = "84310 mi"
    DENSITY = "860 kg/m3"
    LENGTH = "5 mm"
    MASS = "18.4 kg"


def _noun(dimension: Dimension) -> str:
    nouns = {
        Dimension.VOLUME: _("a volume"),
        Dimension.TEMPERATURE: _("a temperature"),
        Dimension.TORQUE: _("a torque"),
        Dimension.DISTANCE: _("a distance"),
        Dimension.DENSITY: _("a density"),
        Dimension.LENGTH: _("a length"),
        Dimension.MASS: _("a weight"),
    }
    return nouns[dimension]


def _wanted(dimension: Dimension) -> str:
    example = _Example[dimension.name].value
    return _("{noun} such as {example}").format(noun=_noun(dimension), example=example)


def _lookup(written: Written, dimension: Dimension, default: str | None, field: str) -> str:
    """The short name of the unit typed, or ``default`` when none was."""
    name = normalised(written.rest)
    if not name and default is not None:
        return default
    unit = UNIT_NAMES[dimension].get(name)
    if unit is not None:
        return unit
    raise RuleBroken(_unit_sentence(written, name, dimension), field)


def _unit_sentence(written: Written, name: str, dimension: Dimension) -> str:
    """Say what is wrong with a unit: none, one of another kind, or one nobody knows."""
    if not name:
        sentence = _('"{typed}" has no unit. Please write {wanted}.')
        return sentence.format(typed=written.typed, wanted=_wanted(dimension))
    kinds = [_noun(other) for other, names in UNIT_NAMES.items() if name in names]
    kinds += [_(OTHER_MEASURES[name])] if name in OTHER_MEASURES else []
    if kinds:
        return _("{typed} is {kind}; {noun} is wanted here, such as {example}.").format(
            typed=f'"{written.typed}"',
            kind=kinds[0],
            noun=_noun(dimension),
            example=_Example[dimension.name].value,
        )
    return _('"{unit}" in "{typed}" is not a unit known here. Please write {wanted}.').format(
        unit=written.rest, typed=written.typed, wanted=_wanted(dimension)
    )


def _refuse_outside(
    written: Written,
    value: int,
    bounds: tuple[int, int],
    field: str,
    shown: Callable[[int], Fraction],
    unit: str = "",
) -> None:
    """Refuse a kept value outside ``bounds``; ``shown`` turns a kept value into the unit typed."""
    least, most = bounds
    if written.number < 0 <= least:
        raise RuleBroken(_('"{typed}" is below zero.').format(typed=written.typed), field)
    if not least <= value <= most:
        low, high = -int(-shown(least) // 1), int(shown(most) // 1)
        sentence = _('"{typed}" is outside what is possible here ({low} to {high}{unit}).')
        name = f" {shown_unit(unit)}" if unit else ""
        raise RuleBroken(sentence.format(typed=written.typed, low=low, high=high, unit=name), field)


def read_volume(
    text: str,
    *,
    field: str,
    default: str | None = None,
    style: NumberStyle = NumberStyle.STRICT,
    imperial: bool = False,
    most_ul: int = 20_000_000_000,
) -> Measured:
    """Read a volume, at least zero, into µL.

    ``default`` is the unit when none is typed. Quarts, pints, gallons and fluid ounces are US
    liquid ones unless ``imperial`` or unless the text says whose they are ("imp qt", "US qt").
    """
    written = read_number(text, field=field, wanted=partial(_wanted, Dimension.VOLUME), style=style)
    unit = _lookup(written, Dimension.VOLUME, default, field)
    if imperial and unit in ("floz", "pt", "qt", "gal"):
        unit = f"imp {unit}"
    unit = unit.removeprefix("us ")
    value = to_ul(written.number, unit)
    _refuse_outside(written, value, (0, most_ul), field, lambda ul: from_ul(ul, unit), unit)
    return Measured(typed=written.typed, value=value, unit=unit)


def read_temperature(
    text: str, *, field: str, default: str | None = None, style: NumberStyle = NumberStyle.STRICT
) -> Measured:
    """Read a temperature from -60 to 250 °C into m°C (thousandths of a degree Celsius)."""
    written = read_number(text, field=field, wanted=partial(_wanted, Dimension.TEMPERATURE), style=style)
    unit = _lookup(written, Dimension.TEMPERATURE, default, field)
    value = to_mc(written.number, unit)
    _refuse_outside(written, value, (_COLDEST_MC, _HOTTEST_MC), field, lambda mc: from_mc(mc, unit), unit)
    return Measured(typed=written.typed, value=value, unit=unit)


def read_torque(
    text: str,
    *,
    field: str,
    default: str | None = None,
    style: NumberStyle = NumberStyle.STRICT,
    most_mnm: int = 3_000_000,
) -> Measured:
    """Read a torque, at least zero, into mN·m.

    "ft-lb" and "lb-ft" are the trade's words for the pound-force foot and read as such; a
    product written out with a mass in it ("lb*ft") is refused.
    """
    written = read_number(text, field=field, wanted=partial(_wanted, Dimension.TORQUE), style=style)
    unit = _lookup(written, Dimension.TORQUE, default, field)
    value = round_half_up(written.number * FACTORS[Dimension.TORQUE][unit])
    _refuse_outside(written, value, (0, most_mnm), field, lambda mnm: from_mnm(mnm, unit), unit)
    return Measured(typed=written.typed, value=value, unit=unit)


def read_distance(
    text: str,
    *,
    field: str,
    default: str | None = None,
    style: NumberStyle = NumberStyle.STRICT,
    most: int = 9_999_999,
) -> Measured:
    """Read a distance into tenths of the unit typed, from 0 to ``most`` whole units.

    No odometer shows more than tenths, so further decimals are refused, and for a person one
    comma before three digits groups thousands.
    """
    written = read_number(
        text, field=field, wanted=partial(_wanted, Dimension.DISTANCE), style=style, threes=Threes.GROUP
    )
    unit = _lookup(written, Dimension.DISTANCE, default, field)
    tenths = written.number * 10
    if tenths.denominator != 1:
        sentence = _('"{typed}" has more than one decimal; an odometer shows tenths at most.')
        raise RuleBroken(sentence.format(typed=written.typed), field)
    value = int(tenths)
    _refuse_outside(written, value, (0, most * 10), field, lambda tenths: Fraction(tenths, 10), unit)
    return Measured(typed=written.typed, value=value, unit=unit)


def read_density(
    text: str,
    *,
    field: str,
    default: str | None = None,
    style: NumberStyle = NumberStyle.STRICT,
    least: int = 600,
    most: int = 1300,
) -> Measured:
    """Read the density of a liquid into whole kg/m³, from ``least`` to ``most``."""
    written = read_number(text, field=field, wanted=partial(_wanted, Dimension.DENSITY), style=style)
    unit = _lookup(written, Dimension.DENSITY, default, field)
    value = round_half_up(written.number * FACTORS[Dimension.DENSITY][unit])
    _refuse_outside(written, value, (least, most), field, Fraction, "kg/m3")
    return Measured(typed=written.typed, value=value, unit=unit)


def read_length(
    text: str,
    *,
    field: str,
    style: NumberStyle = NumberStyle.STRICT,
    least_um: int = -200_000,
    most_um: int = 500_000,
) -> Measured:
    """Read a length into µm: by default how far the fluid stands below an edge, below zero above it.

    The unit is always typed: millimetres and inches are both usual, and 25 times apart.
    """
    written = read_number(text, field=field, wanted=partial(_wanted, Dimension.LENGTH), style=style)
    unit = _lookup(written, Dimension.LENGTH, None, field)
    value = round_half_up(written.number * FACTORS[Dimension.LENGTH][unit])
    _refuse_outside(written, value, (least_um, most_um), field, lambda um: from_um(um, unit), unit)
    return Measured(typed=written.typed, value=value, unit=unit)


def read_mass(
    text: str, *, field: str, style: NumberStyle = NumberStyle.STRICT, most_mg: int = 5_000_000_000
) -> Measured:
    """Read what a scale shows, at least zero, into mg. Its unit is always typed."""
    written = read_number(text, field=field, wanted=partial(_wanted, Dimension.MASS), style=style)
    unit = _lookup(written, Dimension.MASS, None, field)
    factor = FACTORS[Dimension.MASS][unit]
    value = round_half_up(written.number * factor)
    _refuse_outside(written, value, (0, most_mg), field, lambda mg: mg / factor, unit)
    return Measured(typed=written.typed, value=value, unit=unit)


def read_count(
    text: str, *, field: str, style: NumberStyle = NumberStyle.STRICT, most_milli: int = 1_000_000_000
) -> int:
    """Read a number of pieces, at least zero and to three decimals, into thousandths."""

    def wanted() -> str:
        return _("a number of pieces such as 2")

    written = read_number(text, field=field, wanted=wanted, style=style)
    if normalised(written.rest) not in _PIECES:
        sentence = _('"{rest}" in "{typed}" is not read here. Please write {wanted}.')
        raise RuleBroken(sentence.format(rest=written.rest, typed=written.typed, wanted=wanted()), field)
    if written.decimals > 3:
        sentence = _('"{typed}" has more than three decimals. Please write {wanted}.')
        raise RuleBroken(sentence.format(typed=written.typed, wanted=wanted()), field)
    value = int(written.number * 1000)
    _refuse_outside(written, value, (0, most_milli), field, lambda milli: Fraction(milli, 1000))
    return value


_IN_PINT: Mapping[Dimension, tuple[str, int, Mapping[str, str]]] = MappingProxyType(
    {
        Dimension.VOLUME: (
            "liter",
            1_000_000,
            {
                "ml": "milliliter",
                "l": "liter",
                "floz": "US_fluid_ounce",
                "pt": "liquid_pint",
                "qt": "US_liquid_quart",
                "gal": "US_liquid_gallon",
                "imp floz": "imperial_fluid_ounce",
                "imp pt": "imperial_pint",
                "imp qt": "imperial_quart",
                "imp gal": "imperial_gallon",
            },
        ),
        Dimension.TEMPERATURE: (
            "delta_degree_Celsius",
            1000,
            {"degc": "delta_degree_Celsius", "degf": "delta_degree_Fahrenheit"},
        ),
        Dimension.TORQUE: (
            "newton * meter",
            1000,
            {
                "nm": "newton * meter",
                "lbf*ft": "force_pound * foot",
                "lbf*in": "force_pound * inch",
                "kgf*m": "force_kilogram * meter",
            },
        ),
        Dimension.DISTANCE: ("kilometer", 1_000_000, {"mi": "mile", "km": "kilometer"}),
        Dimension.DENSITY: (
            "kilogram / meter ** 3",
            1,
            {"kg/m3": "kilogram / meter ** 3", "g/l": "gram / liter", "kg/l": "kilogram / liter"},
        ),
        Dimension.LENGTH: ("meter", 1_000_000, {"mm": "millimeter", "cm": "centimeter", "in": "inch"}),
        Dimension.MASS: ("kilogram", 1_000_000, {"kg": "kilogram", "g": "gram", "lb": "pound"}),
    }
)
"""Per dimension: pint's name of a larger unit, how many kept units it has, pint's names of ours."""


@cache
def factor_disagreements() -> tuple[str, ...]:
    """Short names whose factor differs from pint's by any amount; empty when all agree.

    A self-check, not a conversion; slow the first time, because pint builds its registry.
    """
    import pint

    registry: pint.UnitRegistry[Fraction] = pint.UnitRegistry(non_int_type=Fraction)
    differing = []
    for dimension, (base, scale, names) in _IN_PINT.items():
        for unit, factor in FACTORS[dimension].items():
            one = registry.Quantity(Fraction(1), names[unit]) if unit in names else None
            if one is None or one.to(base).magnitude * scale != factor:
                differing.append(unit)
    return tuple(differing)
