"""What is in a container, and how surely: by dip stick, by weight, by sight glass, by counter, by pieces.

Every method gives a content with a half-width ("it lies within ±"). The stock is kept as it was
dispensed, so a count at another temperature differs by expansion alone; that too is a term of what
counting can show.
"""

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from gettext import gettext as _

from shopdesk.domain.budget import root_sum_of_squares, standard_uncertainty
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.expansion import vcf, vcf_per_degree
from shopdesk.domain.rounding import round_half_up
from shopdesk.domain.words import N_


class CountMethod(StrEnum):
    """How a content was found."""

    WHOLE = N_("whole containers")
    DIP = N_("dip stick")
    WEIGHT = N_("weight")
    SIGHT_GLASS = N_("sight glass")
    COUNTER = N_("pump counter")


class Stands(StrEnum):
    """How a drum or tank stands: a cylinder either way."""

    UPRIGHT = N_("upright")
    LYING = N_("lying")


@dataclass(frozen=True, kw_only=True, slots=True)
class Shape:
    """A cylinder as the dip stick sees it.

    ``height_um`` is the greatest dip: the inner height of an upright drum, the inner diameter of a
    lying one. ``brim_ul`` is what it holds when full to that height: brimful, which is more than
    its nominal content (a drum sold as 208 L holds about 218 L brimful).
    """

    stands: Stands
    height_um: int
    brim_ul: int

    def __post_init__(self) -> None:
        """A shape without size is a mistake."""
        if self.height_um <= 0 or self.brim_ul <= 0:
            raise ValueError("a container has a height and a content")


@dataclass(frozen=True, kw_only=True, slots=True)
class Content:
    """A counted content with its half-width, in the item's base unit."""

    quantity: int
    half_width: int


def lying_share(share_of_height: float) -> float:
    """Which part of a lying cylinder is full at h/(2r): the circle's segment over the circle.

    r²·acos((r−h)/r) − (r−h)·√(2rh−h²), over π·r². Exactly 0, 1/2 and 1 at h = 0, r and 2r.
    """
    if share_of_height <= 0:
        return 0.0
    if share_of_height >= 1:
        return 1.0
    depth = 2 * share_of_height  # h in units of r
    return (math.acos(1 - depth) - (1 - depth) * math.sqrt(depth * (2 - depth))) / math.pi


def cylinder_ul(diameter_um: int, length_um: int) -> int:
    """Give a cylinder's whole volume in µL (1 mm³ = 1 µL), rounded half up."""
    return round(math.pi * diameter_um**2 * length_um / 4 / 10**9)


def dip_ul(shape: Shape, dip_um: int) -> int:
    """Give the content at a dip; RuleBroken when the dip is more than the container is high."""
    if dip_um < 0 or dip_um > shape.height_um:
        sentence = _("The stick cannot be wet higher than the container is: at most {most} mm.")
        raise RuleBroken(sentence.format(most=shape.height_um // 1000), "dip")
    if shape.stands is Stands.UPRIGHT:
        return round_half_up(Fraction(shape.brim_ul * dip_um, shape.height_um))
    return round(shape.brim_ul * lying_share(dip_um / shape.height_um))


def by_dip(shape: Shape, dip_um: int, half_width_um: int) -> Content:
    """Give the content at a dip that can be read to ± ``half_width_um``."""
    content = dip_ul(shape, dip_um)
    low = dip_ul(shape, max(0, dip_um - half_width_um))
    high = dip_ul(shape, min(shape.height_um, dip_um + half_width_um))
    return Content(quantity=content, half_width=max(content - low, high - content))


def calibrated(shape: Shape, dip_um: int, content_ul: int) -> Shape:
    """Make the shape say ``content_ul`` at this dip: done once at receipt, when the content is known."""
    share = dip_ul(replace(shape, brim_ul=10**12), dip_um)
    if share <= 0 or content_ul <= 0:
        raise RuleBroken(_("A container is calibrated when it is not empty."), "dip")
    brim = round_half_up(Fraction(content_ul * 10**12, share))
    if not shape.brim_ul // 2 <= brim <= shape.brim_ul * 2:
        sentence = _(
            "With this dip the container would hold {litres} L; its size says otherwise. Read again."
        )
        raise RuleBroken(sentence.format(litres=brim // 1_000_000), "dip")
    return replace(shape, brim_ul=brim)


#: A density typed from a product's paper, or a scale's drift: taken as ± 0.5 % (common practice, no source).
DENSITY_PART = Fraction(5, 1000)
TEMPERATURE_HALF_WIDTH_MC = 3_000


def by_weight(
    *, gross_mg: int, tare_mg: int, half_width_mg: int, density15_kg_m3: int, temp_mc: int
) -> Content:
    """Give the content from its weight: (gross - tare) / density at the fluid's temperature.

    1 kg/m³ is 1 mg/µL over 1000, so V = m·1000/ρ. The half-width takes in the scale, the density
    typed from the product's paper and the temperature.
    """
    if gross_mg < tare_mg:
        raise RuleBroken(_("The full weight is less than the empty container's."), "gross")
    density = density15_kg_m3 * vcf(density15_kg_m3, temp_mc)
    volume = (gross_mg - tare_mg) * 1000 / density
    slope = vcf_per_degree(density15_kg_m3, temp_mc)
    half_width = math.hypot(
        half_width_mg * 1000 / density,
        volume * float(DENSITY_PART),
        volume * slope * TEMPERATURE_HALF_WIDTH_MC / 1000,
    )
    return Content(quantity=round(volume), half_width=round(half_width))


def by_counter(*, held_then_ul: int, dispensed_ul: int, half_width_ul: int) -> Content:
    """Give what is left: what was there when the counter was last set, less what it has counted."""
    if dispensed_ul > held_then_ul:
        sentence = _("The counter has passed more than the container held when it was set.")
        raise RuleBroken(sentence, "counter")
    return Content(quantity=held_then_ul - dispensed_ul, half_width=half_width_ul)


def check_size(quantity: int, capacity: int | None) -> None:
    """Refuse a count that is more than the container can hold."""
    if quantity < 0:
        raise RuleBroken(_("A container holds nothing or more."), "reading")
    if capacity is not None and quantity > capacity:
        raise RuleBroken(_("That is more than the container can hold; read again."), "reading")


#: Between the coldest and the warmest day in the shop, when nobody wrote the temperature: 5 to 30 °C.
UNKNOWN_RANGE_MC = 25_000


def expansion_allowance_ul(
    volume_ul: int, density15_kg_m3: int | None, temp_mc: int | None, before_mc: int | None
) -> int:
    """Give by how much the same fluid may look more or less than at the count before.

    Both temperatures known: the difference between them. One unknown: half of a year's range.
    Unknown density: that of a middling oil, 860 kg/m³ (about 0.07 % a degree).
    """
    density = density15_kg_m3 or 860
    if temp_mc is None or before_mc is None:
        return round(volume_ul * vcf_per_degree(density, 15_000) * UNKNOWN_RANGE_MC / 2000)
    return round(volume_ul * abs(vcf(density, temp_mc) - vcf(density, before_mc)))


@dataclass(frozen=True, kw_only=True, slots=True)
class Shrinkage:
    """What went missing of a product in a month, against what counting can show, in its base unit.

    ``lost`` is expected less counted: positive when there was less than the ledger said. ``limit``
    is the larger of the shop's share of what was used and twice the counting's uncertainty.
    """

    expected: int
    counted: int
    used: int
    two_u: int
    limit: int

    @property
    def lost(self) -> int:
        """Expected less counted."""
        return self.expected - self.counted

    @property
    def alarming(self) -> bool:
        """Say whether more is missing (or too much is there) than counting and the shop's share allow."""
        return abs(self.lost) > self.limit


def shrinkage(
    *, expected: int, counted: int, used: int, half_widths: tuple[int, ...], share_ppm: int
) -> Shrinkage:
    """Compare; ``half_widths`` are all readings' and their expansion allowances, u = a/√3 each."""
    two_u = round(2 * root_sum_of_squares(standard_uncertainty(half) for half in half_widths))
    by_share = used * share_ppm // 1_000_000
    return Shrinkage(expected=expected, counted=counted, used=used, two_u=two_u, limit=max(two_u, by_share))
