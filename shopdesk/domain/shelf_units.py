"""Lengths and masses as they are read at the shelf: a dip stick's mark, a scale's figure.

Kept are whole micrometres (_um) and milligrams (_mg), rounded half up from the exact fraction. The
names are a closed list; by definition 25.4 mm to the inch and 0.45359237 kg to the pound (NIST
SP 811 appendix B).
"""

from collections.abc import Callable, Mapping
from fractions import Fraction
from gettext import gettext as _
from types import MappingProxyType

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.numerals import NumberStyle, read_number
from shopdesk.domain.rounding import round_half_up
from shopdesk.domain.unit_names import normalised

LENGTHS: Mapping[str, Fraction] = MappingProxyType(
    {
        **dict.fromkeys(("mm", "millimeter", "millimetre", "millimeters", "millimetres"), Fraction(1_000)),
        **dict.fromkeys(("cm", "centimeter", "centimetre", "centimeters", "centimetres"), Fraction(10_000)),
        **dict.fromkeys(("in", "inch", "inches"), Fraction(25_400)),
    }
)
"""What one unit is in µm."""

MASSES: Mapping[str, Fraction] = MappingProxyType(
    {
        **dict.fromkeys(("kg", "kilogram", "kilograms"), Fraction(1_000_000)),
        **dict.fromkeys(("g", "gram", "grams"), Fraction(1_000)),
        **dict.fromkeys(("lb", "lbs", "pound", "pounds"), Fraction(45_359_237, 100)),
    }
)
"""What one unit is in mg."""

_MOST_UM = 10_000_000
_MOST_MG = 5_000_000_000


def read_length(text: str, *, field: str, style: NumberStyle = NumberStyle.STRICT) -> int:
    """Read a length from 0 to 10 m with its unit into µm."""
    return _read(text, LENGTHS, _MOST_UM, lambda: _("a length such as 412 mm or 16.25 in"), field, style)


def read_mass(text: str, *, field: str, style: NumberStyle = NumberStyle.STRICT) -> int:
    """Read a mass from 0 to 5 t with its unit into mg."""
    return _read(text, MASSES, _MOST_MG, lambda: _("a weight such as 18.4 kg or 40.5 lb"), field, style)


def _read(
    text: str,
    names: Mapping[str, Fraction],
    most: int,
    wanted: Callable[[], str],
    field: str,
    style: NumberStyle,
) -> int:
    written = read_number(text, field=field, wanted=wanted, style=style)
    factor = names.get(normalised(written.rest))
    if factor is None:
        sentence = _('"{typed}" needs its unit. Please write {wanted}.')
        raise RuleBroken(sentence.format(typed=written.typed, wanted=wanted()), field)
    value = round_half_up(written.number * factor)
    if written.number < 0 or value > most:
        sentence = _('"{typed}" is outside what is possible here. Please write {wanted}.')
        raise RuleBroken(sentence.format(typed=written.typed, wanted=wanted()), field)
    return value
