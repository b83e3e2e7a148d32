"""Plans for new fluid: how many drain and fills reach a wanted share, and what each way costs.

A drain and fill of v in a unit that holds C leaves (1 − v/C) of the old fluid; n of them leave
(1 − v/C)ⁿ. A flow-through exchange of w leaves exp(−w/C) if both mix fully. Shares of drain and
fills are exact fractions, so a wanted share that is just met counts as met.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from gettext import gettext as _
from gettext import ngettext

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.rounding import round_half_up
from shopdesk.domain.words import N_

MOST_ROUNDS = 12
"""Nobody drains and fills more often than that for one service (common practice, no source)."""


class Way(StrEnum):
    """How the fluid is changed."""

    DRAIN_AND_FILL = N_("drain and fill")
    FLOW_THROUGH = N_("flow-through exchange")


@dataclass(frozen=True, kw_only=True, slots=True)
class PlanFor:
    """What the plans are for. Volumes in µL; money in minor units.

    ``total_ul`` is what the unit holds, ``refill_ul`` what one drain and fill renews, ``already`` the
    share that is new before the first round. ``fluid_minor_per_l`` covers buying (or selling) a
    litre of fluid, ``waste_minor_per_l`` getting rid of one; ``round_minor`` is the work of one drain
    and fill with its washers, ``exchange_minor`` that of one exchange. Without ``exchange_minor`` the
    shop has no machine.
    """

    total_ul: int
    refill_ul: int
    already: Fraction = Fraction(0)
    fluid_minor_per_l: Fraction = Fraction(0)
    waste_minor_per_l: Fraction = Fraction(0)
    round_minor: int = 0
    exchange_minor: int | None = None

    def __post_init__(self) -> None:
        """Refuse what nothing follows from."""
        if self.total_ul <= 0:
            raise RuleBroken(_("The unit's total capacity must be known for a plan."), "total")
        if not 0 < self.refill_ul <= self.total_ul:
            sentence = _(
                "What one drain and fill renews lies above nothing and at most at the total capacity."
            )
            raise RuleBroken(sentence, "refill")
        if not 0 <= self.already <= 1:
            raise RuleBroken(_("The share that is new already lies between 0 and 1."), "already")


@dataclass(frozen=True, kw_only=True, slots=True)
class Plan:
    """One way: how often, how much fluid, which share is new afterwards, what it costs."""

    way: Way
    rounds: int
    fluid_ul: int
    share: float
    cost_minor: int
    sentence: str


def plans(wanted: Fraction, given: PlanFor) -> tuple[Plan, ...]:
    """Every plan that reaches the wanted share of new fluid, cheapest first, then least fluid.

    The fewest drain and fills that are enough, and the smallest full exchange. Raises RuleBroken
    (field ``wanted``) unless the share lies above 0 and below 1.
    """
    if not 0 < wanted < 1:
        raise RuleBroken(_("The wanted share of new fluid lies above 0 and below 1."), "wanted")
    found = [*_drain_and_fills(wanted, given), *_exchange(wanted, given)]
    return tuple(sorted(found, key=lambda plan: (plan.cost_minor, plan.fluid_ul, plan.rounds)))


def share_after(rounds: int, given: PlanFor) -> Fraction:
    """The share that is new after so many drain and fills, exact."""
    left = 1 - Fraction(given.refill_ul, given.total_ul)
    return 1 - (1 - given.already) * left**rounds


def step_by_step(given: PlanFor, most: int = MOST_ROUNDS) -> Iterator[Plan]:
    """One drain and fill after another, for a table of what each adds."""
    return (_drain_and_fill(rounds, given) for rounds in range(1, most + 1))


def rounds_needed(wanted: Fraction, given: PlanFor) -> int | None:
    """The fewest drain and fills that reach a share; None when :data:`MOST_ROUNDS` are not enough."""
    enough: Iterable[int] = (n for n in range(MOST_ROUNDS + 1) if share_after(n, given) >= wanted)
    return next(iter(enough), None)


def _drain_and_fills(wanted: Fraction, given: PlanFor) -> Iterator[Plan]:
    rounds = rounds_needed(wanted, given)
    if rounds is not None:
        yield _drain_and_fill(rounds, given)


def _drain_and_fill(rounds: int, given: PlanFor) -> Plan:
    fluid = rounds * given.refill_ul
    sentence = ngettext("{n} drain and fill", "{n} drain and fills", rounds).format(n=rounds)
    return Plan(
        way=Way.DRAIN_AND_FILL,
        rounds=rounds,
        fluid_ul=fluid,
        share=float(share_after(rounds, given)),
        cost_minor=_cost(fluid, rounds * given.round_minor, given),
        sentence=sentence,
    )


def _exchange(wanted: Fraction, given: PlanFor) -> Iterator[Plan]:
    """The smallest full exchange: exp(−w/C) of the old is left, so w = C·ln(old now / old wanted)."""
    if given.exchange_minor is None:
        return
    old_now, old_wanted = 1 - given.already, 1 - wanted
    fluid = max(0, math.ceil(given.total_ul * math.log(old_now / old_wanted))) if old_now else 0
    yield Plan(
        way=Way.FLOW_THROUGH,
        rounds=1 if fluid else 0,
        fluid_ul=fluid,
        share=1 - float(old_now) * math.exp(-fluid / given.total_ul),
        cost_minor=_cost(fluid, given.exchange_minor if fluid else 0, given),
        sentence=_("flow-through exchange with full mixing"),
    )


def _cost(fluid_ul: int, work_minor: int, given: PlanFor) -> int:
    litres = Fraction(fluid_ul, 1_000_000)
    return work_minor + round_half_up(litres * (given.fluid_minor_per_l + given.waste_minor_per_l))
