"""Volume balance of a level: how low or high the unit came in, and how sure that is.

    delta15 = put in - left in the hose - spilled - ran out - drained - left in the old filter
              + added - ran out when the level was checked as found, before draining

every volume at 15 °C; the as-found figure at the level temperature is delta15 / VCF(level). The
new filter fills inside the unit and is no term. Each reading has a half-width a ("you can read it
to ±"), u = a/√3; its temperature adds V·dVCF/dt·u(t); the level temperature acts on the whole
fill; attitude, tube lip and what one calls a drip are the level's repeatability. u = √Σu², ±2u.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from gettext import gettext as _

from shopdesk.domain.budget import BalanceTerm as BalanceTerm
from shopdesk.domain.budget import LevelSetting, budget, root_sum_of_squares
from shopdesk.domain.budget import Term as Term
from shopdesk.domain.budget import VolumeReading as VolumeReading
from shopdesk.domain.budget import half_width_of_resolution as half_width_of_resolution
from shopdesk.domain.expansion import vcf as vcf
from shopdesk.domain.methods import LevelMethod as LevelMethod
from shopdesk.domain.methods import ServiceMethod as ServiceMethod
from shopdesk.domain.methods import lets_fluid_run_out
from shopdesk.domain.proof import ConditionKey, ConditionState, Proof, ProofVerdict
from shopdesk.domain.words import N_, listed

ASSUMED_REPEATABILITY_UL = 100_000
"""Half-width used when the sheet gives none (common practice, no source): cautious, never zero."""

ASSUMED_TOTAL_UL = 12_000_000
"""Total used for the level-temperature term when the sheet gives none (common practice, no source):
the large end of what passenger vehicles hold, so that the term is rather too large."""


class Arrived(StrEnum):
    """What can be said about the level the unit came with."""

    LOW = N_("low")
    HIGH = N_("high")
    NO_DIFFERENCE = N_("no difference")
    AT_LEAST_LOW = N_("at least low")
    CANNOT_SAY = N_("cannot be said")


@dataclass(frozen=True, kw_only=True, slots=True)
class Balance:
    """The outcome. Volumes in µL, positive = low; ``None`` where a term is missing.

    With ``arrived`` *cannot be said* and figures present, the figures are the plain sum of what
    was measured: no finding about the level the unit came with. ``assumptions`` are sentences on
    what stood in for a figure that was not recorded.
    """

    delta_ul: int | None
    delta15_ul: int | None
    u_ul: int | None
    two_u_ul: int | None
    arrived: Arrived
    reason: str
    missing: tuple[Term, ...] = ()
    terms: tuple[BalanceTerm, ...] = ()
    dominant: str = ""
    assumptions: tuple[str, ...] = ()


def arrived_words(arrived: Arrived) -> str:
    """The words that stand before the figure, or alone where there is none."""
    words = {
        Arrived.LOW: _("came in low by"),
        Arrived.HIGH: _("came in high by"),
        Arrived.NO_DIFFERENCE: _("no difference that these measurements can show"),
        Arrived.AT_LEAST_LOW: _("came in low by at least"),
        Arrived.CANNOT_SAY: _("cannot be said"),
    }
    return words[arrived]


def work_out_balance(
    *,
    pumped: VolumeReading | None,
    spilled: VolumeReading | None,
    overflow: VolumeReading | None,
    drained: VolumeReading | None,
    old_filter: VolumeReading | None = None,
    left_in_hose: VolumeReading | None = None,
    found_added: VolumeReading | None = None,
    found_ran_out: VolumeReading | None = None,
    density15: int,
    total_ul: int | None,
    level_temp_mc: int | None,
    level_temp_half_width_mc: int,
    level_repeatability_ul: int | None,
    ambient_mc: int,
    proof: Proof,
    method: ServiceMethod,
    filter_renewed: bool = False,
) -> Balance:
    """Balance what went in against what came out. µL, 1/1000 °C, kg/m³ at 15 °C.

    A term that was not measured makes the answer *cannot be said*, naming it; a spill is never a
    silent zero. ``filter_renewed``: what left in the old filter is then needed too.
    ``level_repeatability_ul`` is the sheet's ± figure; without it a cautious one is assumed, said.
    ``found_added`` and ``found_ran_out`` changed the level before draining and belong to how it came.
    Low, high and no difference need a proven level and a vehicle recorded as standing level.
    Raises RuleBroken (field ``density``) for a density outside the correction's range.
    """
    volumes = {
        Term.PUT_IN: pumped,
        Term.FOUND_ADDED: found_added,
        Term.FOUND_RAN_OUT: found_ran_out,
        Term.LEFT_IN_HOSE: left_in_hose,
        Term.SPILLED: spilled,
        Term.RAN_OUT: overflow,
        Term.DRAINED: drained,
        Term.OLD_FILTER: old_filter,
    }
    missing = tuple(_missing(volumes, proof, method, filter_renewed))
    if missing:
        return _nothing_to_say(missing)
    level = LevelSetting(
        density15=density15,
        temp_mc=ambient_mc if level_temp_mc is None else level_temp_mc,
        half_width_mc=level_temp_half_width_mc,
        ambient_mc=ambient_mc,
        total_ul=ASSUMED_TOTAL_UL if total_ul is None else total_ul,
        repeatability_ul=ASSUMED_REPEATABILITY_UL
        if level_repeatability_ul is None
        else level_repeatability_ul,
    )
    measured = {name: reading for name, reading in volumes.items() if reading is not None}
    terms = budget(measured, level)
    assumptions = tuple(_assumptions(measured, level_temp_mc, total_ul, level_repeatability_ul))
    return _balance(terms, level, proof, method, assumptions)


def _missing(
    volumes: Mapping[Term, VolumeReading | None], proof: Proof, method: ServiceMethod, filter_renewed: bool
) -> Iterator[Term]:
    needed = {
        Term.PUT_IN: True,
        Term.SPILLED: True,
        Term.RAN_OUT: lets_fluid_run_out(proof.method) and not proof.nothing_ran_out,
        Term.DRAINED: method is not ServiceMethod.LEVEL_CHECK,
        Term.OLD_FILTER: filter_renewed,
    }
    return (name for name, wanted in needed.items() if wanted and volumes[name] is None)


def _nothing_to_say(missing: tuple[Term, ...]) -> Balance:
    reason = _("Cannot be said; not measured: {what}.").format(what=listed(missing))
    return Balance(
        delta_ul=None,
        delta15_ul=None,
        u_ul=None,
        two_u_ul=None,
        arrived=Arrived.CANNOT_SAY,
        reason=reason,
        missing=missing,
    )


def _assumptions(
    measured: Mapping[Term, VolumeReading],
    level_temp_mc: int | None,
    total_ul: int | None,
    level_repeatability_ul: int | None,
) -> Iterator[str]:
    unknown = [name for name, reading in measured.items() if reading.temp_mc is None and reading.ul]
    if unknown:
        sentence = _("Fluid temperature not recorded, the shop's was used: {what}.")
        yield sentence.format(what=listed(unknown))
    if level_temp_mc is None:
        yield _("Temperature of the level not recorded, the shop's was used.")
    if total_ul is None:
        yield _("Total capacity not known: a large unit was assumed for the level temperature's effect.")
    if level_repeatability_ul is None:
        yield _("The unit sheet does not say how well the level repeats: a cautious figure was assumed.")


def _balance(
    terms: tuple[BalanceTerm, ...],
    level: LevelSetting,
    proof: Proof,
    method: ServiceMethod,
    assumptions: tuple[str, ...],
) -> Balance:
    delta15 = math.fsum(term.v15_ul for term in terms)
    u_ul = root_sum_of_squares([term.u_ul for term in terms]) / level.factor
    delta_ul = _rounded(delta15 / level.factor)
    arrived, reason = _verdict(delta_ul, 2 * u_ul, proof, method)
    largest = max(terms, key=lambda term: term.u_ul)
    return Balance(
        delta_ul=delta_ul,
        delta15_ul=_rounded(delta15),
        u_ul=_rounded(u_ul),
        two_u_ul=_rounded(2 * u_ul),
        arrived=arrived,
        reason=reason,
        terms=terms,
        dominant=largest.name if largest.u_ul else "",
        assumptions=assumptions,
    )


def _verdict(delta_ul: int, two_u_ul: float, proof: Proof, method: ServiceMethod) -> tuple[Arrived, str]:
    shown = delta_ul != 0 and abs(delta_ul) >= two_u_ul
    if proof.verdict is ProofVerdict.TOO_LOW and _is_lower_bound(proof) and shown and delta_ul > 0:
        return Arrived.AT_LEAST_LOW, _("Nothing ran out at the last opening: it came in at least this low.")
    obstacle = _obstacle(proof, method)
    if obstacle:
        return Arrived.CANNOT_SAY, obstacle
    if not shown:
        return Arrived.NO_DIFFERENCE, _("The difference is smaller than these measurements can show.")
    reason = _("The level was set, and the difference is larger than these measurements' uncertainty.")
    return (Arrived.LOW if delta_ul > 0 else Arrived.HIGH), reason


def _is_lower_bound(proof: Proof) -> bool:
    """Whether a missing flow shows a low level: all but flow and closing must be as the sheet asks.

    A tilted or cold unit shows no flow either.
    """
    of_no_matter = (ConditionKey.FLOW_OPEN, ConditionKey.FLOW_CLOSE, ConditionKey.WINDOW_CLOSE)
    others = (each for each in proof.conditions if each.key not in of_no_matter)
    return _stands_level(proof) and all(each.state is ConditionState.MET for each in others)


def _stands_level(proof: Proof) -> bool:
    """A measured refill has no edge that attitude could shift, unless the sheet asks for it."""
    return proof.attitude is ConditionState.MET or proof.method is LevelMethod.MEASURED_REFILL


def _obstacle(proof: Proof, method: ServiceMethod) -> str:
    """Why nothing can be said about the level the unit came with; empty when nothing hinders."""
    if proof.method is LevelMethod.MEASURED_REFILL and method is ServiceMethod.LEVEL_CHECK:
        return _("Cannot be said: with nothing drained, a measured refill says nothing about the level.")
    if proof.verdict is ProofVerdict.TOO_LOW:
        return _("Cannot be said: nothing ran out at the last opening, so the level was not set.")
    if proof.verdict is not ProofVerdict.PROVEN:
        return _unproven(proof)
    if not _stands_level(proof):
        return _("Cannot be said: it is not recorded that the vehicle stood level.")
    if not proof.absolute:
        return _("Cannot be said: putting in what came out only repeats the level it came with.")
    return ""


def _unproven(proof: Proof) -> str:
    window = (ConditionKey.WINDOW_OPEN, ConditionKey.WINDOW_CLOSE, ConditionKey.WINDOW_READING)
    if any(proof.state_of(key) is ConditionState.NOT_MET for key in window):
        return _("Cannot be said: the level was not set in its window.")
    lacking = [each.text for each in proof.conditions if each.state is not ConditionState.MET]
    sentence = _("Cannot be said: the record does not show that the level was set ({lacking}).")
    return sentence.format(lacking=", ".join(lacking))


def _rounded(value: float) -> int:
    return math.floor(value + 0.5)
