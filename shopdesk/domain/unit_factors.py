"""Exact factors between the units that are typed and the integers that are kept.

By definition: 231 cubic inches to the US gallon, 2.54 cm to the inch, 4.54609 L to the imperial
gallon, 0.45359237 kg to the pound, 9.80665 m/s² (NIST SP 811 appendix B; NIST Handbook 44
appendix C).
"""

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType

from shopdesk.domain.rounding import round_half_up
from shopdesk.domain.unit_names import Dimension

_INCH_M = Fraction(254, 10_000)
_GALLON_UL = 231 * _INCH_M**3 * 10**9
_IMPERIAL_GALLON_UL = Fraction(4_546_090)
_POUND_MG = Fraction(45_359_237, 100)
_LBF_N = _POUND_MG / 10**6 * Fraction(980_665, 10**5)
_LBF_FT_MNM = _LBF_N * 12 * _INCH_M * 1000

FACTORS: Mapping[Dimension, Mapping[str, Fraction]] = MappingProxyType(
    {
        Dimension.VOLUME: MappingProxyType(
            {
                "ml": Fraction(1_000),
                "l": Fraction(1_000_000),
                "floz": _GALLON_UL / 128,
                "pt": _GALLON_UL / 8,
                "qt": _GALLON_UL / 4,
                "gal": _GALLON_UL,
                "imp floz": _IMPERIAL_GALLON_UL / 160,
                "imp pt": _IMPERIAL_GALLON_UL / 8,
                "imp qt": _IMPERIAL_GALLON_UL / 4,
                "imp gal": _IMPERIAL_GALLON_UL,
            }
        ),
        Dimension.TEMPERATURE: MappingProxyType({"degc": Fraction(1000), "degf": Fraction(5000, 9)}),
        Dimension.TORQUE: MappingProxyType(
            {
                "nm": Fraction(1000),
                "lbf*ft": _LBF_FT_MNM,
                "lbf*in": _LBF_FT_MNM / 12,
                "kgf*m": Fraction(980_665, 100),
            }
        ),
        Dimension.DISTANCE: MappingProxyType({"mi": Fraction(1_609_344), "km": Fraction(1_000_000)}),
        Dimension.DENSITY: MappingProxyType(
            {"kg/m3": Fraction(1), "g/l": Fraction(1), "kg/l": Fraction(1000)}
        ),
        Dimension.LENGTH: MappingProxyType(
            {"mm": Fraction(1000), "cm": Fraction(10_000), "in": _INCH_M * 10**6}
        ),
        Dimension.MASS: MappingProxyType({"kg": Fraction(10**6), "g": Fraction(1000), "lb": _POUND_MG}),
    }
)
"""What one unit is in the unit kept: µL, m°C (a step, not a reading), mN·m, mm, kg/m³, µm, mg."""

_FREEZING_F = 32


def to_ul(number: Fraction, unit: str) -> int:
    """``number`` of a volume unit in µL, rounded half up. KeyError for a unit not in the list."""
    return round_half_up(number * FACTORS[Dimension.VOLUME][unit])


def to_mc(number: Fraction, unit: str) -> int:
    """A temperature in 'degc' or 'degf' in m°C, rounded half up."""
    above_freezing = number - (_FREEZING_F if unit == "degf" else 0)
    return round_half_up(above_freezing * FACTORS[Dimension.TEMPERATURE][unit])


def from_ul(ul: int, unit: str) -> Fraction:
    """µL in a volume unit, exact. KeyError for a unit not in the list."""
    return ul / FACTORS[Dimension.VOLUME][unit]


def from_mc(mc: int, unit: str) -> Fraction:
    """m°C as a temperature in 'degc' or 'degf', exact."""
    return mc / FACTORS[Dimension.TEMPERATURE][unit] + (_FREEZING_F if unit == "degf" else 0)


def from_mnm(mnm: int, unit: str) -> Fraction:
    """mN·m in a torque unit, exact."""
    return mnm / FACTORS[Dimension.TORQUE][unit]


def from_um(um: int, unit: str) -> Fraction:
    """µm in 'mm', 'cm' or 'in', exact."""
    return um / FACTORS[Dimension.LENGTH][unit]


def convert_tenths(tenths: int, from_unit: str, to_unit: str, *, down: bool = False) -> int:
    """Tenths of 'mi' or 'km' in tenths of the other, rounded half up, or down if asked."""
    factors = FACTORS[Dimension.DISTANCE]
    exact = tenths * factors[from_unit] / factors[to_unit]
    return int(exact // 1) if down else round_half_up(exact)
