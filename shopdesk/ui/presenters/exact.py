"""Kept quantities as text that reads back as exactly what is kept, for fields that are edited again.

What a sheet or an item holds was typed once, in whatever unit its source used. The text given here is
the shortest that reads back as the same integer, so that saving what was only looked at changes nothing.
"""

from collections.abc import Callable, Sequence
from decimal import Decimal
from fractions import Fraction

from shopdesk.domain.rounding import round_half_up
from shopdesk.domain.unit_factors import FACTORS, from_mc, from_mnm, from_ul, from_um, to_mc, to_ul
from shopdesk.domain.unit_names import Dimension
from shopdesk.services.shopfacts import ShopFacts

_MOST_PLACES = 3

#: A unit as it is typed, the number kept as so many of it, and back to what is kept.
_Unit = tuple[str, Callable[[int], Fraction], Callable[[Fraction], int]]


def exact_volume(ul: int | None, shop: ShopFacts) -> str:
    """Give a volume in µL as "3.2 qt", "500 mL" or what else is shortest; nothing for None."""
    if ul is None:
        return ""
    country = "imp " if shop.imperial else ""
    quarts = (_volume(f"{country}qt", f"{country}qt"), _volume(f"{country}gal", f"{country}gal"))
    metric = (_volume("L", "l"), _volume("mL", "ml"))
    units = (*quarts, *metric) if shop.volume_unit == "qt" else (*metric, *quarts)
    return _shortest(ul, units, _volume("mL", "ml"))


def exact_temperature(mc: int | None, shop: ShopFacts) -> str:
    """Give a temperature in 1/1000 °C as "95 °F" or "35 °C"; nothing for None."""
    if mc is None:
        return ""
    units = [_temperature("°F", "degf"), _temperature("°C", "degc")]
    if shop.temperature_unit == "degc":
        units.reverse()
    return _shortest(mc, units, _temperature("°C", "degc"))


def exact_step(mc: int, shop: ShopFacts) -> str:
    """Give a difference of temperatures in 1/1000 °C as "2 °C" or "3.6 °F"."""
    units = [_step("°F", "degf"), _step("°C", "degc")]
    if shop.temperature_unit == "degc":
        units.reverse()
    return _shortest(mc, units, _step("°C", "degc"))


def exact_torque(mnm: int | None, shop: ShopFacts) -> str:
    """Give a torque in mN·m as "36 ft-lb" or "49 N·m"; nothing for None."""
    if mnm is None:
        return ""
    units = [_torque("ft-lb", "lbf*ft"), _torque("N·m", "nm"), _torque("in-lb", "lbf*in")]
    if shop.torque_unit == "nm":
        units[:2] = reversed(units[:2])
    return _shortest(mnm, units, _torque("N·m", "nm"))


def exact_length(um: int | None) -> str:
    """Give a length in µm as "6 mm" or "0.25 in"; nothing for None."""
    return "" if um is None else _shortest(um, (_length("mm"), _length("in")), _length("mm"))


def exact_distance(tenths: int | None, unit: str | None) -> str:
    """Give a distance in tenths of its own unit as "60000 mi"; nothing for None."""
    return "" if tenths is None or unit is None else f"{_decimal(Fraction(tenths, 10), 1)} {unit}"


def exact_pieces(milli: int | None) -> str:
    """Give thousandths of a piece as a count; nothing for None."""
    return "" if milli is None else _decimal(Fraction(milli, 1000), 3)


def plain_money(minor: int, digits: int) -> str:
    """Give an amount as it is typed: "11.40"."""
    return f"{Decimal(minor).scaleb(-digits):.{digits}f}"


def _shortest(kept: int, units: Sequence[_Unit], certain: _Unit) -> str:
    for places in range(_MOST_PLACES):
        for name, given, back in units:
            text = _decimal(given(kept), places)
            if back(Fraction(text)) == kept:
                return f"{text} {name}"
    name, given, _back = certain
    return f"{_decimal(given(kept), _MOST_PLACES)} {name}"


def _decimal(number: Fraction, places: int) -> str:
    """Give a number with at most ``places`` decimals, rounded half up, without needless zeros."""
    rounded = Decimal(round_half_up(number * 10**places)).scaleb(-places)
    return f"{rounded.normalize():f}"


def _volume(name: str, unit: str) -> _Unit:
    return name, lambda ul: from_ul(ul, unit), lambda number: to_ul(number, unit)


def _temperature(name: str, unit: str) -> _Unit:
    return name, lambda mc: from_mc(mc, unit), lambda number: to_mc(number, unit)


def _step(name: str, unit: str) -> _Unit:
    factor, zero = FACTORS[Dimension.TEMPERATURE][unit], to_mc(Fraction(0), unit)
    return name, lambda mc: mc / factor, lambda number: abs(to_mc(number, unit) - zero)


def _torque(name: str, unit: str) -> _Unit:
    factor = FACTORS[Dimension.TORQUE][unit]
    return name, lambda mnm: from_mnm(mnm, unit), lambda number: round_half_up(number * factor)


def _length(unit: str) -> _Unit:
    factor = FACTORS[Dimension.LENGTH][unit]
    return unit, lambda um: from_um(um, unit), lambda number: round_half_up(number * factor)
