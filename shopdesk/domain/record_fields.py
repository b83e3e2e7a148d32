"""What a service record can hold: one rule for each field, and the words to choose from.

Whatever is not entered is *not recorded*, never a silent yes, no or zero.
"""

from dataclasses import dataclass
from enum import StrEnum

from shopdesk.domain.level_rules import EngineState, Flow, Marks, Stance
from shopdesk.domain.order import Step
from shopdesk.domain.words import N_


class EntryKind(StrEnum):
    """How an entry's value is read and kept."""

    VOLUME = "volume"  # value_int in µL, with its half-width in µL and the fluid's temperature
    TEMPERATURE = "temperature"  # value_int in 1/1000 °C
    TORQUE = "torque"  # value_int in mN·m
    LENGTH = "length"  # value_int in µm
    SECONDS = "seconds"
    YES_NO = "yes or no"  # value_int 1 or 0
    CHOICE = "choice"  # value_text, one of the field's choices
    GRADE = "grade"  # value_int, an index into the field's choices
    STEP = "step"  # value_text names the step, measured_at says when it was done
    TEXT = "text"


@dataclass(frozen=True, kw_only=True, slots=True)
class EntryRule:
    """What a field holds. ``rounds``: it may stand once for each round or opening."""

    kind: EntryKind
    label: str
    choices: tuple[str, ...] = ()
    rounds: bool = False


WASHERS = (N_("new washer"), N_("reused"), N_("none"))
APPEARANCE = (
    N_("as new"),
    N_("slightly darker, clear"),
    N_("brown, transparent"),
    N_("dark, opaque in a thin film"),
    N_("black or milky"),
)
ODOUR = (N_("none"), N_("mild"), N_("scorched"), N_("burnt"))
PARTICLES = (
    N_("none"),
    N_("fine paste on the magnet"),
    N_("visible flecks in the fluid"),
    N_("flakes or chips"),
    N_("hard pieces"),
)


class StopDecision(StrEnum):
    """What was decided after the old fluid called for a stop."""

    GO_ON = N_("go on anyway")
    NO_SERVICE = N_("no service")


FIELDS: dict[str, EntryRule] = {
    "drained": EntryRule(kind=EntryKind.VOLUME, label=N_("Drained"), rounds=True),
    "put_in": EntryRule(kind=EntryKind.VOLUME, label=N_("Put in"), rounds=True),
    "spilled": EntryRule(kind=EntryKind.VOLUME, label=N_("Spilled"), rounds=True),
    "ran_out": EntryRule(kind=EntryKind.VOLUME, label=N_("Ran out at level check"), rounds=True),
    "old_filter": EntryRule(kind=EntryKind.VOLUME, label=N_("Left in the old filter")),
    "left_in_hose": EntryRule(kind=EntryKind.VOLUME, label=N_("Left in the hose")),
    "found_temperature": EntryRule(
        kind=EntryKind.TEMPERATURE, label=N_("Temperature when the level was checked as found")
    ),
    "found_ran_out": EntryRule(kind=EntryKind.VOLUME, label=N_("Ran out at the check as found")),
    "found_added": EntryRule(
        kind=EntryKind.VOLUME, label=N_("Added at the check as found, until it was right")
    ),
    "container_before": EntryRule(kind=EntryKind.VOLUME, label=N_("In the container before")),
    "container_after": EntryRule(kind=EntryKind.VOLUME, label=N_("In the container after")),
    "filter_renewed": EntryRule(kind=EntryKind.YES_NO, label=N_("New filter fitted")),
    "ambient": EntryRule(kind=EntryKind.TEMPERATURE, label=N_("Temperature in the shop")),
    "open_temperature": EntryRule(
        kind=EntryKind.TEMPERATURE, label=N_("Temperature when the level plug was opened"), rounds=True
    ),
    "close_temperature": EntryRule(
        kind=EntryKind.TEMPERATURE, label=N_("Temperature when the level plug was closed"), rounds=True
    ),
    "flow_at_opening": EntryRule(
        kind=EntryKind.CHOICE, label=N_("Flow at opening"), choices=tuple(Flow), rounds=True
    ),
    "flow_at_closing": EntryRule(
        kind=EntryKind.CHOICE, label=N_("Flow at closing"), choices=tuple(Flow), rounds=True
    ),
    "reading_temperature": EntryRule(
        kind=EntryKind.TEMPERATURE, label=N_("Fluid temperature when the level was read"), rounds=True
    ),
    "edge_distance": EntryRule(
        kind=EntryKind.LENGTH, label=N_("Fluid below the edge of the hole"), rounds=True
    ),
    "between_marks": EntryRule(kind=EntryKind.YES_NO, label=N_("Level between the marks"), rounds=True),
    "marks_read": EntryRule(kind=EntryKind.CHOICE, label=N_("Marks that were read"), choices=tuple(Marks)),
    "engine": EntryRule(
        kind=EntryKind.CHOICE, label=N_("Engine while the level was set"), choices=tuple(EngineState)
    ),
    "selector_cycled": EntryRule(kind=EntryKind.YES_NO, label=N_("Selector cycled")),
    "selector_dwell": EntryRule(kind=EntryKind.SECONDS, label=N_("Seconds in each position")),
    "vehicle_level": EntryRule(kind=EntryKind.YES_NO, label=N_("Vehicle stood level")),
    "stance": EntryRule(kind=EntryKind.CHOICE, label=N_("How the vehicle stood"), choices=tuple(Stance)),
    "fill_plug_torque": EntryRule(kind=EntryKind.TORQUE, label=N_("Fill plug torque")),
    "drain_plug_torque": EntryRule(kind=EntryKind.TORQUE, label=N_("Drain plug torque")),
    "level_plug_torque": EntryRule(kind=EntryKind.TORQUE, label=N_("Level plug torque")),
    "fill_plug_washer": EntryRule(kind=EntryKind.CHOICE, label=N_("Fill plug washer"), choices=WASHERS),
    "drain_plug_washer": EntryRule(kind=EntryKind.CHOICE, label=N_("Drain plug washer"), choices=WASHERS),
    "level_plug_washer": EntryRule(kind=EntryKind.CHOICE, label=N_("Level plug washer"), choices=WASHERS),
    "appearance": EntryRule(kind=EntryKind.GRADE, label=N_("How the old fluid looked"), choices=APPEARANCE),
    "odour": EntryRule(kind=EntryKind.GRADE, label=N_("How the old fluid smelled"), choices=ODOUR),
    "particles": EntryRule(kind=EntryKind.GRADE, label=N_("Magnet and pan"), choices=PARTICLES),
    "milky": EntryRule(kind=EntryKind.YES_NO, label=N_("Milky: water in the fluid")),
    "picture_taken": EntryRule(kind=EntryKind.YES_NO, label=N_("Picture taken of what was found")),
    "customer_called": EntryRule(kind=EntryKind.YES_NO, label=N_("Customer told what was found")),
    "stop_decision": EntryRule(
        kind=EntryKind.CHOICE, label=N_("What was decided"), choices=tuple(StopDecision)
    ),
    "stop_consent": EntryRule(kind=EntryKind.TEXT, label=N_("Consent in writing to go on")),
    "step": EntryRule(kind=EntryKind.STEP, label=N_("Done"), choices=tuple(Step), rounds=True),
    "deviation": EntryRule(kind=EntryKind.TEXT, label=N_("Done otherwise"), rounds=True),
    "note": EntryRule(kind=EntryKind.TEXT, label=N_("Note"), rounds=True),
}
