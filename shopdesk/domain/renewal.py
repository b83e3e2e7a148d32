"""How much of the fluid is new after a service, and how old it is on average.

One drain and fill: f = (P − S)/(C + O) with full mixing, what runs out leaving as mixture; bounds
(P − S − O)/C (all that ran out was new) and (P − S)/C (all of it was old). Repeated drain and
fill goes round by round, old share = Π(1 − f). A flow-through exchange leaves exp(−v/C) old with
full mixing; without any mixing v/C would be new. C is the total capacity, not the service refill.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.domain.budget import Term
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.methods import LevelMethod, ServiceMethod, lets_fluid_run_out
from shopdesk.domain.words import listed

_DIGITS = 6
"""Ages are rounded here before they are rounded up or down, lest a float's last digit adds a whole one."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Round:
    """One filling, volumes in µL and all at one temperature (bring them to 15 °C first).

    ``None`` is not measured. What was drained is not needed: at the right level the unit holds
    C whatever came out.
    """

    pumped_ul: int | None
    spilled_ul: int | None
    overflow_ul: int | None = None
    drained_ul: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class FreshShare:
    """New fluid now in the unit, 0 to 1, with its bounds; all ``None`` when it cannot be said."""

    share: float | None
    low: float | None
    high: float | None
    assumption: str
    reason: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class AgeRange:
    """Average age of the fluid in the unit the caller used (days, tenths of a mile ...).

    ``average`` and ``at_least`` are ``None`` when the age before the service was not known;
    ``at_most`` too when nothing bounds it.
    """

    average: int | None
    at_least: int | None
    at_most: int | None
    reason: str


def fresh_share(
    *,
    method: ServiceMethod,
    rounds: Sequence[Round],
    total_ul: int | None,
    service_fill_ul: int | None = None,
    level_method: LevelMethod = LevelMethod.OVERFLOW_TUBE,
) -> FreshShare:
    """The new share after ``rounds``. A top-up of a level check counts as one round.

    With a ``level_method`` that lets nothing run out, an unmeasured overflow is none. Raises
    RuleBroken (field ``spilled``) when more was spilled than put in.
    """
    if not lets_fluid_run_out(level_method):
        rounds = [_without_overflow(each) for each in rounds]
    obstacle = _obstacle(rounds, total_ul, service_fill_ul)
    if obstacle or total_ul is None:
        return FreshShare(share=None, low=None, high=None, assumption="", reason=obstacle)
    through = method is ServiceMethod.FLOW_THROUGH
    shares = [(_flow_through if through else _drain_and_fill)(each, total_ul) for each in rounds]
    share, low, high = (_together(column) for column in zip(*shares, strict=True))
    return FreshShare(share=share, low=low, high=high, assumption=_assumption(method))


def average_age(before: int | None, share: FreshShare, *, at_most_before: int | None = None) -> AgeRange:
    """Age after = (1 − f)·age before; "at most" uses the low bound of the new share.

    ``at_most_before``: the vehicle's own age or distance, given only when the unit is the one it
    was built with and its odometer is actual; it bounds an unknown history.
    """
    if share.share is None or share.low is None or share.high is None:
        return AgeRange(average=None, at_least=None, at_most=None, reason=share.reason)
    bound = at_most_before if before is None else before
    at_most = None if bound is None else math.ceil(round((1 - share.low) * bound, _DIGITS))
    if before is None:
        return AgeRange(average=None, at_least=None, at_most=at_most, reason=_unknown(at_most))
    average = math.floor((1 - share.share) * before + 0.5)
    at_least = math.floor(round((1 - share.high) * before, _DIGITS))
    return AgeRange(average=average, at_least=at_least, at_most=at_most, reason=share.assumption)


def settled_age(interval: int, share: float) -> float:
    """The age just before each service tends to L/f. Raises ValueError unless 0 < share <= 1."""
    if not 0 < share <= 1:
        raise ValueError("the share renewed at each service lies above 0 and at most at 1")
    return interval / share


def _without_overflow(each: Round) -> Round:
    if each.overflow_ul is not None:
        return each
    return Round(
        pumped_ul=each.pumped_ul, spilled_ul=each.spilled_ul, overflow_ul=0, drained_ul=each.drained_ul
    )


def _obstacle(rounds: Sequence[Round], total_ul: int | None, service_fill_ul: int | None) -> str:
    """Why the share cannot be said; empty when nothing hinders."""
    if not rounds:
        return _("Cannot be said: nothing was put in.")
    missing = _missing(rounds)
    if missing:
        return _("Cannot be said; not measured: {what}.").format(what=listed(missing))
    if not total_ul:
        return _("Cannot be said: the unit's total capacity is not known.")
    if service_fill_ul is not None and total_ul <= service_fill_ul:
        return _("Cannot be said: the total capacity is no more than the service refill.")
    return ""


def _missing(rounds: Sequence[Round]) -> list[str]:
    volumes = {
        Term.PUT_IN: [each.pumped_ul for each in rounds],
        Term.SPILLED: [each.spilled_ul for each in rounds],
        Term.RAN_OUT: [each.overflow_ul for each in rounds],
    }
    return [name.value for name, values in volumes.items() if None in values]


def _net(each: Round) -> tuple[int, int]:
    """What reached the unit, and what ran out of it again, in µL."""
    net_ul = (each.pumped_ul or 0) - (each.spilled_ul or 0)
    if net_ul < 0:
        raise RuleBroken(_("More was spilled than was put in."), field="spilled")
    return net_ul, each.overflow_ul or 0


def _drain_and_fill(each: Round, total_ul: int) -> tuple[float, float, float]:
    net_ul, overflow_ul = _net(each)
    share = net_ul / (total_ul + overflow_ul)
    return _clamped(share), _clamped((net_ul - overflow_ul) / total_ul), _clamped(net_ul / total_ul)


def _flow_through(each: Round, total_ul: int) -> tuple[float, float, float]:
    """Full mixing; low: what ran out at the level check was new; high: no mixing at all."""
    net_ul, overflow_ul = _net(each)
    low = -math.expm1(-max(0, net_ul - overflow_ul) / total_ul)
    return -math.expm1(-net_ul / total_ul), low, _clamped(net_ul / total_ul)


def _together(shares: Iterable[float]) -> float:
    return 1 - math.prod(1 - share for share in shares)


def _clamped(share: float) -> float:
    return min(1.0, max(0.0, share))


def _assumption(method: ServiceMethod) -> str:
    if method is ServiceMethod.FLOW_THROUGH:
        return _("New and old fluid mix fully while they flow; upper bound: they do not mix at all.")
    return _("New and old fluid mix fully before any runs out; bounds: only new or only old runs out.")


def _unknown(at_most: int | None) -> str:
    if at_most is None:
        return _("The fluid's history is not known, and nothing bounds it.")
    return _("The fluid's history is not known; it is at most the vehicle's own.")
