"""Used oil: what may still go into a vessel, who may take it away, and whether the books agree.

The figures of the rules are dated data of the shop's place (:mod:`shopdesk.domain.dated_rules`),
off until the shop chooses them.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken


@dataclass(frozen=True, kw_only=True, slots=True)
class Fill:
    """How full a vessel is; µL. ``room`` is never below zero, ``over`` says what the books hold too much."""

    held_ul: int
    capacity_ul: int

    @property
    def room_ul(self) -> int:
        """What still goes in."""
        return max(0, self.capacity_ul - self.held_ul)

    @property
    def over_ul(self) -> int:
        """What the books say beyond the vessel's size: a haul or a count was not written down."""
        return max(0, self.held_ul - self.capacity_ul)

    @property
    def percent(self) -> int:
        """Whole per cent, rounded down."""
        return self.held_ul * 100 // self.capacity_ul


def came_out_ul(*volumes_ul: int | None) -> int:
    """Give what a service adds to the used oil: drained, run out at a level check, drained from a filter.

    What was not recorded is not known, and counts as nothing here: the reconciliation shows it.
    """
    return sum(each or 0 for each in volumes_ul)


def check_haul(
    *,
    quantity_ul: int,
    self_haul_most_ul: int | None,
    carrier_id: str,
    destination: str,
    own_vehicle: bool,
) -> None:
    """Refuse a haul without the names the chosen rule asks for.

    ``self_haul_most_ul`` is the rule's figure, None while no rule is chosen. Exactly the limit is
    still within it.
    """
    if quantity_ul <= 0:
        raise RuleBroken(_("A haul takes more than nothing."), "quantity")
    if self_haul_most_ul is None:
        return
    if quantity_ul > self_haul_most_ul and own_vehicle:
        sentence = _("That is more than the chosen rule lets a shop take away itself; name a carrier.")
        raise RuleBroken(sentence, "own_vehicle")
    if quantity_ul > self_haul_most_ul and not carrier_id:
        raise RuleBroken(_("Above the chosen rule's limit the carrier's id number is needed."), "carrier_id")
    if own_vehicle and not destination:
        raise RuleBroken(_("Say where you take it: a collection or aggregation point."), "destination")


@dataclass(frozen=True, kw_only=True, slots=True)
class CapacityTotal:
    """The shell capacities that count, added up, against the rule's figure; µL."""

    total_ul: int
    counted: int
    most_ul: int
    warn_ul: int

    @property
    def over(self) -> bool:
        """Say whether the total exceeds the figure; exactly the figure does not."""
        return self.total_ul > self.most_ul

    @property
    def near(self) -> bool:
        """Say whether the total has reached the share at which the shop wants to be told."""
        return self.total_ul >= self.warn_ul


#: A capacity kept to the microlitre may miss its gallons by less than one; so many a container are let pass.
GRACE_UL = 1


def capacity_total(
    shells_ul: Iterable[int], *, least_ul: int, most_ul: int, warn_ppm: int = 800_000
) -> CapacityTotal:
    """Add up containers of at least ``least_ul``: shell capacity, full or empty, new oil or used."""
    counted = [shell for shell in shells_ul if shell + GRACE_UL >= least_ul]
    grace = GRACE_UL * len(counted)
    total = sum(counted)
    return CapacityTotal(
        total_ul=min(total, most_ul) if most_ul < total <= most_ul + grace else total,
        counted=len(counted),
        most_ul=most_ul,
        warn_ul=most_ul * warn_ppm // 1_000_000,
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class Reconciliation:
    """What went in and out of the vessels between two days, against what was measured; µL."""

    opening_ul: int
    in_ul: int
    out_ul: int
    counted_ul: int | None
    within_ppm: int = 100_000

    @property
    def expected_ul(self) -> int:
        """What the books say is there."""
        return self.opening_ul + self.in_ul - self.out_ul

    @property
    def difference_ul(self) -> int | None:
        """Counted less expected; None when nobody measured."""
        return None if self.counted_ul is None else self.counted_ul - self.expected_ul

    @property
    def agrees(self) -> bool | None:
        """Say whether they agree within ± 10 % of what moved (common practice, no source)."""
        if self.difference_ul is None:
            return None
        moved = max(self.opening_ul + self.in_ul, self.out_ul)
        return abs(self.difference_ul) * 1_000_000 <= moved * self.within_ppm
