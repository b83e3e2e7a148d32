"""The level as found, checked before anything is drained: what ran out, or what had to be added.

The direct way to say how a unit came in: added − ran out, each at 15 °C and brought to the level's
temperature. It needs no drain pan, so its uncertainty is smaller than the volume balance's, and
the two check one another: the volumes of this check stand in both and fall out of the difference,
which therefore carries every other term of the balance and this check's own level terms.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from gettext import gettext as _

from shopdesk.domain.budget import (
    NO_VOLUME,
    BalanceTerm,
    LevelSetting,
    Term,
    VolumeReading,
    budget,
    root_sum_of_squares,
)
from shopdesk.domain.level import Arrived, Balance

_FOUND = (Term.FOUND_ADDED, Term.FOUND_RAN_OUT)


@dataclass(frozen=True, kw_only=True, slots=True)
class AsFound:
    """What was recorded at the check as found, and what the sheet asks of it. 1/1000 °C.

    ``None`` is *not recorded*; of the two volumes the one that was not needed may be absent.
    """

    added: VolumeReading | None
    ran_out: VolumeReading | None
    temp_mc: int | None
    window: tuple[int | None, int | None]
    attitude_level: bool | None


@dataclass(frozen=True, kw_only=True, slots=True)
class CrossCheck:
    """Balance less direct check, in µL, and whether that is no more than 2u."""

    difference_ul: int
    two_u_ul: int
    agrees: bool
    sentence: str


@dataclass(frozen=True, kw_only=True, slots=True)
class FoundLevel:
    """How the unit came in by the direct check; µL, positive = low, ``None`` when not to be said."""

    delta_ul: int | None
    two_u_ul: int | None
    arrived: Arrived
    reason: str
    terms: tuple[BalanceTerm, ...] = ()
    cross: CrossCheck | None = None


def check_as_found(found: AsFound, level: LevelSetting, balance: Balance) -> FoundLevel | None:
    """Say how the unit came in, or None when no check as found was recorded.

    ``level`` is the setting in which levels are read on this unit; its temperature is replaced by
    the one recorded at this check.
    """
    if found.added is None and found.ran_out is None and found.temp_mc is None:
        return None
    obstacle = _obstacle(found)
    if obstacle:
        return FoundLevel(delta_ul=None, two_u_ul=None, arrived=Arrived.CANNOT_SAY, reason=obstacle)
    own = level if found.temp_mc is None else replace(level, temp_mc=found.temp_mc)
    terms = budget(_measured(found), own)
    delta = math.fsum(term.v15_ul for term in terms) / own.factor
    two_u = 2 * root_sum_of_squares(term.u_ul for term in terms) / own.factor
    arrived = _arrived(delta, two_u)
    return FoundLevel(
        delta_ul=round(delta),
        two_u_ul=round(two_u),
        arrived=arrived,
        reason=_reason(arrived),
        terms=terms,
        cross=_cross(delta, terms, own, balance),
    )


def _measured(found: AsFound) -> Mapping[Term, VolumeReading]:
    named = {Term.FOUND_ADDED: found.added, Term.FOUND_RAN_OUT: found.ran_out}
    return {name: reading for name, reading in named.items() if reading is not None}


def _obstacle(found: AsFound) -> str:
    """Why the check as found says nothing; empty when nothing hinders."""
    added = 0 if found.added is None else found.added.ul
    if found.ran_out is None and not added:
        return _("Cannot be said: neither what ran out nor what was added as found was measured.")
    if found.ran_out is not None and found.ran_out.ul == 0 and found.added is None:
        return _("Nothing ran out as found, and how much was missing was not measured: it came in low.")
    if found.temp_mc is None:
        return _("Cannot be said: the temperature at the check as found was not recorded.")
    if _outside(found.temp_mc, *found.window):
        return _("Cannot be said: the check as found was made outside the level's window.")
    if not found.attitude_level:
        return _("Cannot be said: it is not recorded that the vehicle stood level.")
    return ""


def _outside(temp_mc: int, low: int | None, high: int | None) -> bool:
    return (low is not None and temp_mc < low) or (high is not None and temp_mc > high)


def _arrived(delta: float, two_u: float) -> Arrived:
    if abs(delta) < two_u or not delta:
        return Arrived.NO_DIFFERENCE
    return Arrived.LOW if delta > 0 else Arrived.HIGH


def _reason(arrived: Arrived) -> str:
    if arrived is Arrived.NO_DIFFERENCE:
        return _("As found, the difference is smaller than these measurements can show.")
    return _("Measured directly as found, before draining.")


def _cross(
    delta: float, terms: tuple[BalanceTerm, ...], own: LevelSetting, balance: Balance
) -> CrossCheck | None:
    if balance.delta_ul is None:
        return None
    parts = [*_all_but_found(balance.terms), *(t.u_ul for t in terms if t.name in NO_VOLUME)]
    two_u = 2 * root_sum_of_squares(parts) / own.factor
    difference = balance.delta_ul - delta
    agrees = abs(difference) <= two_u
    if agrees:
        sentence = _("The volume balance agrees with the check as found.")
    else:
        sentence = _("The volume balance does not agree with the check as found: read the volumes again.")
    return CrossCheck(
        difference_ul=round(difference), two_u_ul=round(two_u), agrees=agrees, sentence=sentence
    )


def _all_but_found(terms: tuple[BalanceTerm, ...]) -> Iterator[float]:
    return (term.u_ul for term in terms if term.name not in _FOUND)
