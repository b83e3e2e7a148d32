"""What a unit's and a designation's own history says: the shop's usual refill, and loss between services.

The usual refill is the median of the shop's own refills of one designation with their median
absolute deviation (MAD); from eight on, one that lies more than three MAD away is worth a second
look: a hidden tube, a wrong pan, a wrong unit. Loss is what was missing as found, over the
distance since the level was last set right.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from gettext import gettext as _
from statistics import median

from shopdesk.domain.record import ASSUMED_HALF_WIDTH_UL
from shopdesk.domain.unit_factors import convert_tenths

LEAST_REFILLS = 8
MOST_DEVIATIONS = 3
_THOUSAND_MILES_TENTHS = 10_000


@dataclass(frozen=True, kw_only=True, slots=True)
class UsualRefill:
    """The shop's own refills of a designation: median and median absolute deviation, µL, and how many."""

    median_ul: int
    mad_ul: int
    least_ul: int
    most_ul: int
    n: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Outlier:
    """A refill that lies far from the usual one; µL from the median (positive: more), and a sentence."""

    away_ul: int
    sentence: str


def usual_refill(refills_ul: Sequence[int]) -> UsualRefill | None:
    """Give the usual refill, or None without any."""
    if not refills_ul:
        return None
    middle = round(median(refills_ul))
    return UsualRefill(
        median_ul=middle,
        mad_ul=round(median(abs(each - middle) for each in refills_ul)),
        least_ul=min(refills_ul),
        most_ul=max(refills_ul),
        n=len(refills_ul),
    )


def outlier_hint(refill_ul: int, others_ul: Sequence[int]) -> Outlier | None:
    """Say that a refill is unusual, held against the shop's *other* ones; None below eight of them.

    What can be read off a pan at all (±50 mL where nothing better is known) is never called unusual.
    """
    usual = usual_refill(others_ul)
    if usual is None or usual.n < LEAST_REFILLS:
        return None
    away = refill_ul - usual.median_ul
    if abs(away) <= max(MOST_DEVIATIONS * usual.mad_ul, ASSUMED_HALF_WIDTH_UL):
        return None
    if away > 0:
        sentence = _(
            "More than this shop usually puts into this unit: was it read right, is it the right unit?"
        )
    else:
        sentence = _("Less than this shop usually puts into this unit: was all of it drained and measured?")
    return Outlier(away_ul=away, sentence=sentence)


@dataclass(frozen=True, kw_only=True, slots=True)
class FoundLow:
    """How low a unit came in (µL at the level's temperature, ±2u), and what it had run since before.

    ``proven_before``: the level was set and proven at the service before. Without it nothing can be
    said about what was lost in between. ``None`` where the deficit could not be said.
    """

    deficit_ul: int | None
    two_u_ul: int | None
    run_tenths: int | None
    unit: str
    proven_before: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Loss:
    """Loss in µL per 1,000 mi with its range (about 95 %), from ``n`` stretches; None when not to be said."""

    per_1000_mi_ul: int | None
    low_ul: int | None
    high_ul: int | None
    n: int
    shown: bool
    sentence: str


def loss_between(found: Sequence[FoundLow], *, set_two_u_ul: int = 0) -> Loss:
    """Give the loss over all stretches whose beginning and end are known.

    Total loss over total distance; each stretch adds the uncertainty of its deficit and that of the
    level set before (``set_two_u_ul``). ``shown`` is true when the range leaves out zero.
    """
    usable = [
        each for each in found if each.proven_before and each.deficit_ul is not None and each.run_tenths
    ]
    miles = sum(convert_tenths(each.run_tenths or 0, each.unit, "mi") for each in usable)
    if not usable or miles <= 0:
        sentence = _(
            "Cannot be said: it takes a proven level and the next level as found, with the distance between."
        )
        return Loss(per_1000_mi_ul=None, low_ul=None, high_ul=None, n=0, shown=False, sentence=sentence)
    scale = _THOUSAND_MILES_TENTHS / miles
    lost = sum(each.deficit_ul or 0 for each in usable) * scale
    spread = math.hypot(*(math.hypot(each.two_u_ul or 0, set_two_u_ul) for each in usable)) * scale
    shown = abs(lost) > spread
    return Loss(
        per_1000_mi_ul=round(lost),
        low_ul=round(lost - spread),
        high_ul=round(lost + spread),
        n=len(usable),
        shown=shown,
        sentence=_loss_sentence(lost, shown),
    )


def _loss_sentence(lost: float, shown: bool) -> str:
    if not shown:
        return _("No loss that these measurements can show.")
    if lost < 0:
        return _("It holds more than was left in it: was it topped up elsewhere?")
    return _("It loses fluid: look for where.")
