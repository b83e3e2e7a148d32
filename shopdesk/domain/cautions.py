"""Cautions on job sheets and bay screens: one line each, and the sentence that every paper carries.

They never block an entry. Common practice, no source; where the maker, the data sheet or the law
says otherwise, that wins, which is what ``DEFERRAL`` says.
"""

from collections.abc import Iterable
from enum import StrEnum
from gettext import gettext as _

from shopdesk.domain.methods import HIGH_VOLTAGE_KINDS, SELECTOR_KINDS, LevelMethod, ServiceMethod, UnitKind
from shopdesk.domain.order import Step
from shopdesk.domain.words import N_

DEFERRAL = N_(
    "These reminders do not replace the vehicle maker's service information, the product's safety data "
    "sheet, or the rules where you work. If they differ, follow those."
)


class Caution(StrEnum):
    """The cautions, in the order of the work."""

    HIGH_VOLTAGE = "high voltage"
    RAISE = "raise"
    BEFORE_DRAINING = "before draining"
    DRAIN = "drain"
    INNER_TUBE = "inner tube"
    FILL = "fill"
    ENGINE_RUNNING = "engine running"
    UNDER_RUNNING = "under a running vehicle"
    SELECTOR = "selector"
    LEVEL = "level"
    PLUGS = "plugs"
    SPILL = "spill"
    WASTE = "waste"
    ROAD_TEST = "road test"


_TEXTS = {
    Caution.HIGH_VOLTAGE: N_(
        "High voltage. Trained people only. Make sure the vehicle is not ready to drive."
    ),
    Caution.RAISE: N_(
        "Lift only at the maker's points. Lock the lift or set stands; rock the vehicle before you go under. "
        "It must sit level for the level check."
    ),
    Caution.BEFORE_DRAINING: N_("Loosen the FILL plug first. If it will not come out, do not drain."),
    Caution.DRAIN: N_(
        "Fluid and pan may be hot. Gloves, sleeves, eye shield. Keep your face out from under the plug."
    ),
    Caution.INNER_TUBE: N_("The inner tube is soft. Right bit, hand tight only."),
    Caution.FILL: N_("Check the product against the specification before the pump starts. Label the jug."),
    Caution.ENGINE_RUNNING: N_(
        "Driver's door clear, parking brake set, wheels chocked, selector in P unless told otherwise, "
        "exhaust extraction on. One person in charge of the key."
    ),
    Caution.UNDER_RUNNING: N_(
        "Stay clear of fans, shafts and exhaust. No loose clothing. Never with driven wheels free to turn "
        "unless the procedure says so."
    ),
    Caution.SELECTOR: N_(
        "Nobody under the vehicle while the selector is cycled. Foot on the brake. "
        "No gear with a wheel off or hanging."
    ),
    Caution.LEVEL: N_(
        "Read the temperature on the tool now, not a minute ago. Close the plug before the upper limit."
    ),
    Caution.PLUGS: N_(
        "New washer unless the maker permits reuse. Torque to specification. Record the tool used."
    ),
    Caution.SPILL: N_("Spilled: stop, contain, absorb, log."),
    Caution.WASTE: N_("Used oil only. No coolant, no brake cleaner, no fuel."),
    Caution.ROAD_TEST: N_(
        "Shields back on, tools counted. Check for leaks after the run. Wheel nuts torqued again if a wheel "
        "was off."
    ),
}

_BY_STEP = {
    Step.FILL_PLUG_LOOSENED: (Caution.RAISE, Caution.BEFORE_DRAINING),
    Step.DRAINED: (Caution.BEFORE_DRAINING, Caution.DRAIN, Caution.SPILL, Caution.WASTE),
    Step.DRAIN_PLUG_TORQUED: (Caution.PLUGS,),
    Step.FILLED: (Caution.FILL, Caution.SPILL),
    Step.FILL_PLUG_TORQUED: (Caution.PLUGS,),
    Step.ENGINE_STARTED: (Caution.ENGINE_RUNNING, Caution.UNDER_RUNNING),
    Step.SELECTOR_CYCLED: (Caution.ENGINE_RUNNING, Caution.SELECTOR),
    Step.LEVEL_SET: (Caution.LEVEL, Caution.DRAIN, Caution.SPILL, Caution.WASTE),
    Step.LEVEL_PLUG_TORQUED: (Caution.PLUGS,),
    Step.LEAK_CHECKED: (Caution.UNDER_RUNNING, Caution.ROAD_TEST),
    Step.WHEEL_TORQUED: (Caution.ROAD_TEST,),
}
_TUBE_STEPS = (Step.DRAINED, Step.LEVEL_SET)


def caution_text(caution: Caution) -> str:
    """One line in the reader's language."""
    return _(_TEXTS[caution])


def deferral() -> str:
    """The sentence every paper and bay screen carries, in the reader's language."""
    return _(DEFERRAL)


def cautions_for_step(step: Step, *, kind: UnitKind, level_method: LevelMethod) -> tuple[Caution, ...]:
    """What to show when ``step`` of a unit of ``kind`` is at hand."""
    cautions = [*_BY_STEP[step]]
    if kind in HIGH_VOLTAGE_KINDS:
        cautions.append(Caution.HIGH_VOLTAGE)
    if level_method is LevelMethod.OVERFLOW_TUBE and step in _TUBE_STEPS:
        cautions.append(Caution.INNER_TUBE)
    return _in_order(cautions)


def cautions_for(
    kind: UnitKind, *, level_method: LevelMethod, service_method: ServiceMethod, wheel_off: bool = False
) -> tuple[Caution, ...]:
    """Every caution a job on this unit needs, each once, in the order of the work.

    The selector's is left out only where nothing is shifted: no such unit and no wheel off. A level
    check drains nothing, yet hot fluid runs out.
    """
    cautions = set(Caution)
    if kind not in SELECTOR_KINDS and not wheel_off:
        cautions.discard(Caution.SELECTOR)
    if kind not in HIGH_VOLTAGE_KINDS:
        cautions.discard(Caution.HIGH_VOLTAGE)
    if level_method is not LevelMethod.OVERFLOW_TUBE:
        cautions.discard(Caution.INNER_TUBE)
    if service_method is ServiceMethod.LEVEL_CHECK:
        cautions.discard(Caution.BEFORE_DRAINING)
    return _in_order(cautions)


def _in_order(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    wanted = set(cautions)
    return tuple(caution for caution in Caution if caution in wanted)
