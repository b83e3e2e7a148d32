"""Intervals and whose they are: the maker's, the shop's policy, an agreement with the customer."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from shopdesk.domain.unit_factors import FACTORS, convert_tenths
from shopdesk.domain.unit_names import Dimension
from shopdesk.domain.words import N_


class Layer(StrEnum):
    """Who asks for an interval."""

    MAKER = N_("maker")
    SHOP = N_("shop policy")
    CUSTOMER = N_("agreed with customer")


_STRENGTH = (Layer.CUSTOMER, Layer.SHOP, Layer.MAKER)


@dataclass(frozen=True, kw_only=True, slots=True)
class Interval:
    """How far and how many months a fluid is used; both may be None when this layer is silent.

    ``none_needed``: the layer says that no change is needed, so no date is forced.
    """

    layer: Layer
    distance_tenths: int | None = None
    distance_unit: str | None = None
    months: int | None = None
    none_needed: bool = False

    @property
    def speaks(self) -> bool:
        """Whether the layer says anything."""
        return self.none_needed or self.distance_tenths is not None or self.months is not None


def deciding(intervals: Sequence[Interval]) -> Interval | None:
    """The strongest layer that says anything; it decides alone."""
    speaking = {interval.layer: interval for interval in reversed(intervals) if interval.speaks}
    return next((speaking[layer] for layer in _STRENGTH if layer in speaking), None)


def step_on_dial(interval: Interval, unit: str) -> int | None:
    """The interval's distance in tenths of the dial's unit; converted ones in whole units."""
    if interval.distance_tenths is None:
        return None
    given = interval.distance_unit or unit
    if given == unit:
        return interval.distance_tenths
    return convert_tenths(interval.distance_tenths, given, unit, down=True) // 10 * 10


def is_longer_than_maker(chosen: Interval, intervals: Sequence[Interval]) -> bool:
    """Whether a stronger layer stretches what the maker asks for, in distance or in time."""
    maker = next((each for each in intervals if each.layer is Layer.MAKER), None)
    if maker is None or chosen.layer is Layer.MAKER or maker.none_needed:
        return False
    return _exceeds(_millimeters(chosen), _millimeters(maker)) or _exceeds(chosen.months, maker.months)


def _exceeds(length: Fraction | int | None, makers: Fraction | int | None) -> bool:
    """A limit that the maker sets and the other leaves out is exceeded too."""
    return makers is not None and (length is None or length > makers)


def _millimeters(interval: Interval) -> Fraction | None:
    if interval.distance_tenths is None or interval.distance_unit is None:
        return None
    return interval.distance_tenths * FACTORS[Dimension.DISTANCE][interval.distance_unit] / 10
