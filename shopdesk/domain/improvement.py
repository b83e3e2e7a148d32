"""Which instrument makes a balance uncertain, and what would improve it most for the money.

With u² = Σuᵢ², replacing one reading's uᵢ by vᵢ gives √(u² − uᵢ² + vᵢ²): the gain follows from
the budget alone, and for small steps of equal size ranks as the derivative ∂u/∂uᵢ = uᵢ/u does.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.domain.budget import BalanceTerm, Term, standard_uncertainty
from shopdesk.domain.level import Balance


@dataclass(frozen=True, kw_only=True, slots=True)
class Share:
    """One instrument's part of the variance, 0 to 1, and the terms read with it."""

    instrument: str
    share: float
    terms: tuple[Term, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Offer:
    """A way to read a term better: to ± ``half_width_ul``, for ``cost_minor`` (0: only more care)."""

    term: Term
    half_width_ul: int
    what: str
    cost_minor: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class Improvement:
    """What an offer would do: 2u before and after, in µL."""

    offer: Offer
    two_u_ul: int
    two_u_then_ul: int


def dominating(terms: Sequence[BalanceTerm]) -> tuple[Share, ...]:
    """Parts of the variance by instrument, largest first; unnamed ones stand under their term."""
    parts: dict[str, list[BalanceTerm]] = defaultdict(list)
    for term in terms:
        parts[term.instrument or term.name.value].append(term)
    shares = [
        Share(
            instrument=name,
            share=math.fsum(each.share_of_variance for each in each_of),
            terms=tuple(each.name for each in each_of),
        )
        for name, each_of in parts.items()
    ]
    return tuple(sorted(shares, key=lambda share: -share.share))


def usual_offers() -> tuple[Offer, ...]:
    """What any shop can do without buying much (common practice, no source), volumes in µL."""
    weighed = _("weigh it and divide by the density instead of reading the marks")
    jug = _("read it in a narrow measuring jug")
    return (
        Offer(term=Term.DRAINED, half_width_ul=15_000, what=weighed),
        Offer(term=Term.PUT_IN, half_width_ul=10_000, what=_("weigh the container before and after")),
        Offer(term=Term.RAN_OUT, half_width_ul=10_000, what=jug),
        Offer(term=Term.FOUND_RAN_OUT, half_width_ul=10_000, what=jug),
        Offer(term=Term.FOUND_ADDED, half_width_ul=10_000, what=jug),
        Offer(term=Term.SPILLED, half_width_ul=5_000, what=_("catch the spill on a weighed pad")),
        Offer(term=Term.OLD_FILTER, half_width_ul=20_000, what=_("let the old filter drip off and weigh it")),
        Offer(term=Term.LEFT_IN_HOSE, half_width_ul=10_000, what=_("prime the hose before measuring")),
    )


def improvements(balance: Balance, offers: Iterable[Offer]) -> tuple[Improvement, ...]:
    """What each offer would do to a balance, best first: most gained, then cheapest.

    Only the reading's part of a term gets better; what its temperature adds stays. Offers that
    read no better than was read are left out.
    """
    known = {term.name: term for term in balance.terms}
    at_15 = math.hypot(*(term.u_ul for term in balance.terms))
    scale = (balance.u_ul or 0) / at_15 if at_15 else 0.0  # the balance stands at the level's temperature
    found = []
    for offer in offers:
        term = known.get(offer.term)
        then = standard_uncertainty(offer.half_width_ul)
        if term is not None and then < term.reading_u_ul * scale:
            others = max(0.0, at_15**2 - term.reading_u_ul**2) * scale**2
            better = round(2 * math.sqrt(others + then**2))
            found.append(Improvement(offer=offer, two_u_ul=round(2 * at_15 * scale), two_u_then_ul=better))
    return tuple(sorted(found, key=lambda each: (each.two_u_then_ul, each.offer.cost_minor)))


def cheapest(found: Iterable[Improvement], *, wanted_two_u_ul: int) -> Improvement | None:
    """The cheapest single offer that brings 2u down to what is wanted, or None."""
    enough = [each for each in found if each.two_u_then_ul <= wanted_two_u_ul]
    return min(enough, key=lambda each: (each.offer.cost_minor, each.two_u_then_ul), default=None)
