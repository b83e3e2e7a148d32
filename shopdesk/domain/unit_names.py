"""The closed lists of unit names, one per kind of quantity, and how a typed name is looked up.

Small and capital letters are not told apart: within one list no two units differ only in case.
"""

from collections.abc import Iterable, Iterator, Mapping
from enum import StrEnum
from types import MappingProxyType

from shopdesk.domain.words import N_


class Dimension(StrEnum):
    """The kinds of quantity that are read with a unit."""

    VOLUME = "volume"
    TEMPERATURE = "temperature"
    TORQUE = "torque"
    DISTANCE = "distance"
    DENSITY = "density"
    LENGTH = "length"
    MASS = "mass"


_SAME_MARKS = str.maketrans(
    {"⋅": "·", "∙": "·", "•": "·", "×": "*", "º": "°", "℃": "°c", "℉": "°f", "³": "3", "^": "", ".": ""}
)
_ANY_JOIN = ("", " ", "-", "·", "*")
_TRADE_JOIN = ("", " ", "-", "·")


def normalised(name: str) -> str:
    """Bring a typed unit name to the spelling of the lists: lower case, single spaces, no dots."""
    return " ".join(name.translate(_SAME_MARKS).lower().split())


def _joined(first: Iterable[str], second: Iterable[str], joins: Iterable[str]) -> Iterator[str]:
    """All spellings of a product of two units, either one first."""
    return (spelling for a in first for b in second for j in joins for spelling in (a + j + b, b + j + a))


def _with_countries(names: Mapping[str, str]) -> dict[str, str]:
    """Add the spellings that say whose quart is meant."""
    spelled = dict(names)
    for name, unit in names.items():
        spelled |= {f"us {name}": f"us {unit}", f"us liquid {name}": f"us {unit}"}
        spelled |= {f"{country} {name}": f"imp {unit}" for country in ("imp", "imperial", "uk")}
    return spelled


_COUNTRY_VOLUMES = {
    **dict.fromkeys(("qt", "qts", "quart", "quarts"), "qt"),
    **dict.fromkeys(("pt", "pts", "pint", "pints"), "pt"),
    **dict.fromkeys(("gal", "gals", "gallon", "gallons"), "gal"),
    **dict.fromkeys(("floz", "fl oz", "fl-oz", "fluid ounce", "fluid ounces"), "floz"),
}
_VOLUMES = {
    **dict.fromkeys(("l", "ltr", "liter", "liters", "litre", "litres"), "l"),
    **dict.fromkeys(("ml", "cc", "cm3", "milliliter", "milliliters", "millilitre", "millilitres"), "ml"),
    **_with_countries(_COUNTRY_VOLUMES),
}
_TEMPERATURES = {
    **dict.fromkeys(("degc", "deg c", "°c", "° c", "c", "celsius"), "degc"),
    **dict.fromkeys(("degf", "deg f", "°f", "° f", "f", "fahrenheit"), "degf"),
}
_TORQUES = {
    **dict.fromkeys(_joined(("n",), ("m",), _ANY_JOIN), "nm"),
    **dict.fromkeys(_joined(("newton",), ("meter", "meters", "metre", "metres"), (" ", "-")), "nm"),
    **dict.fromkeys(_joined(("lbf",), ("ft",), _ANY_JOIN), "lbf*ft"),
    **dict.fromkeys(_joined(("lb", "lbs"), ("ft",), _TRADE_JOIN), "lbf*ft"),
    **dict.fromkeys(_joined(("pound", "pounds"), ("foot", "feet"), (" ", "-")), "lbf*ft"),
    **dict.fromkeys(_joined(("lbf",), ("in",), _ANY_JOIN), "lbf*in"),
    **dict.fromkeys(_joined(("lb", "lbs"), ("in",), _TRADE_JOIN), "lbf*in"),
    **dict.fromkeys(_joined(("pound", "pounds"), ("inch",), (" ", "-")), "lbf*in"),
    **dict.fromkeys(_joined(("kgf",), ("m",), _ANY_JOIN), "kgf*m"),
}
# "mn" would be a meganewton or nothing; the metre comes second.
_TORQUES = {name: unit for name, unit in _TORQUES.items() if name not in ("mn", "m n")}
_DISTANCES = {
    **dict.fromkeys(("mi", "mile", "miles"), "mi"),
    **dict.fromkeys(("km", "kms", "kilometer", "kilometers", "kilometre", "kilometres"), "km"),
}
_DENSITIES = {
    "kg/m3": "kg/m3",
    "g/l": "g/l",
    **dict.fromkeys(("kg/l", "kg/dm3", "g/ml", "g/cm3", "g/cc"), "kg/l"),
}

_LENGTHS = {
    **dict.fromkeys(("mm", "millimeter", "millimeters", "millimetre", "millimetres"), "mm"),
    **dict.fromkeys(("cm", "centimeter", "centimeters", "centimetre", "centimetres"), "cm"),
    **dict.fromkeys(("in", "inch", "inches"), "in"),
}
_MASSES = {
    **dict.fromkeys(("kg", "kilogram", "kilograms"), "kg"),
    **dict.fromkeys(("g", "gram", "grams"), "g"),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), "lb"),
}

UNIT_NAMES: Mapping[Dimension, Mapping[str, str]] = MappingProxyType(
    {
        Dimension.VOLUME: MappingProxyType(_VOLUMES),
        Dimension.TEMPERATURE: MappingProxyType(_TEMPERATURES),
        Dimension.TORQUE: MappingProxyType(_TORQUES),
        Dimension.DISTANCE: MappingProxyType(_DISTANCES),
        Dimension.DENSITY: MappingProxyType(_DENSITIES),
        Dimension.LENGTH: MappingProxyType(_LENGTHS),
        Dimension.MASS: MappingProxyType(_MASSES),
    }
)
"""Typed name (normalised) to short name, per dimension; "us qt" and "imp qt" say whose quart."""

_OUNCE = N_("a weight (fluid ounces are written fl oz)")
_MASS_TIMES_LENGTH = N_("a mass times a length (the torque is written lbf*ft)")
OTHER_MEASURES: Mapping[str, str] = MappingProxyType(
    {
        **dict.fromkeys(("oz", "ounce", "ounces"), _OUNCE),
        **dict.fromkeys(_joined(("lb", "lbs", "kg"), ("ft", "in", "m"), ("*",)), _MASS_TIMES_LENGTH),
        **dict.fromkeys(("psi", "bar", "kpa"), N_("a pressure")),
        **dict.fromkeys(("m", "ft", "feet"), N_("a length")),
        **dict.fromkeys(("s", "min", "h", "hour", "hours"), N_("a time")),
    }
)
"""Names that are understood but read nowhere, with what they are; translated where shown."""

SHOWN: Mapping[str, str] = MappingProxyType(
    {
        "ml": "mL",
        "l": "L",
        "floz": "fl oz",
        "imp floz": "imp fl oz",
        "degc": "°C",
        "degf": "°F",
        "nm": "N·m",
        "lbf*ft": "ft-lb",
        "lbf*in": "in-lb",
        "kgf*m": "kgf·m",
        "kg/m3": "kg/m³",
        "g/l": "g/L",
        "kg/l": "kg/L",
    }
)
"""How a short name is shown to people, where that differs from the short name itself."""


def shown_unit(unit: str) -> str:
    """The unit as the trade writes it: "lbf*ft" is shown as "ft-lb"."""
    return SHOWN.get(unit, unit)
