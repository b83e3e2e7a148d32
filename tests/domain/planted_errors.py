"""Service records with one error planted in each, and the rule that must find it. All invented."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from shopdesk.domain.level_rules import Stance
from shopdesk.domain.methods import LevelMethod, ServiceMethod
from shopdesk.domain.order import Step
from shopdesk.domain.record import Entry
from shopdesk.domain.verify import Evidence, Rule, Stated, Weight
from tests.domain.records_by_seed import BEGUN, METHODS, TOOLS, TORQUE_MNM


def entry_of(evidence: Evidence, field: str) -> Entry:
    return [entry for entry in evidence.entries if entry.field == field][-1]


def changed(evidence: Evidence, field: str, **changes: object) -> Evidence:
    wanted = entry_of(evidence, field)
    entries = tuple(
        replace(entry, **changes) if entry is wanted else entry  # type: ignore[arg-type]
        for entry in evidence.entries
    )
    return replace(evidence, entries=entries)


def without(evidence: Evidence, field: str) -> Evidence:
    return replace(evidence, entries=tuple(e for e in evidence.entries if e.field != field))


def added(evidence: Evidence, field: str, value: int | str, **more: object) -> Evidence:
    text = value if isinstance(value, str) else None
    number = value if isinstance(value, int) else None
    entry = Entry(
        id=max(e.id for e in evidence.entries) + 1,
        field=field,
        value_int=number,
        value_text=text,
        **more,  # type: ignore[arg-type]
    )
    return replace(evidence, entries=(*evidence.entries, entry))


def step_at(evidence: Evidence, step: Step, minutes: int) -> Evidence:
    """Move one step's time by so many minutes."""
    entries = tuple(
        replace(entry, measured_at=(entry.measured_at or BEGUN) + timedelta(minutes=minutes))
        if entry.field == "step" and entry.value_text == step.value
        else entry
        for entry in evidence.entries
    )
    return replace(evidence, entries=entries)


def setting(evidence: Evidence, **changes: object) -> Evidence:
    return replace(evidence, setting=replace(evidence.setting, **changes))  # type: ignore[arg-type]


def scaled(evidence: Evidence, field: str, factor: float) -> Evidence:
    return changed(evidence, field, value_int=round((entry_of(evidence, field).value_int or 0) * factor))


def consumed(evidence: Evidence, put_in: int) -> Evidence:
    """Put in another amount, with container and shelf in step, so that only the amount itself is odd."""
    after = (entry_of(evidence, "container_before").value_int or 0) - put_in
    found = changed(changed(evidence, "put_in", value_int=put_in), "container_after", value_int=after)
    return replace(found, fluid_taken_ul=put_in)


def put_in_of(evidence: Evidence) -> int:
    return entry_of(evidence, "put_in").value_int or 0


def found_otherwise(evidence: Evidence) -> Evidence:
    """A check as found that says 0.4 L low, while the volumes say 0.2 L high."""
    for field in ("found_ran_out", "found_temperature", "container_before", "container_after"):
        evidence = without(evidence, field)
    evidence = added(evidence, "found_temperature", 38_000)
    evidence = added(evidence, "found_added", 400_000, half_width=20_000, temp_mc=20_000)
    out = sum(entry_of(evidence, field).value_int or 0 for field in ("drained", "ran_out", "spilled"))
    return replace(changed(evidence, "put_in", value_int=out - 600_000), fluid_taken_ul=None)


def done_at(evidence: Evidence, field: str) -> datetime:
    return entry_of(evidence, field).measured_at or BEGUN


def warmed_too_fast(evidence: Evidence) -> Evidence:
    """From the lower to the upper bound in ten seconds."""
    hot = changed(evidence, "open_temperature", value_int=35_000)
    hot = changed(hot, "close_temperature", value_int=45_000)
    opened = done_at(hot, "close_temperature") - timedelta(seconds=10)
    return changed(hot, "open_temperature", measured_at=opened)


def cooled(evidence: Evidence) -> Evidence:
    hot = changed(evidence, "open_temperature", value_int=44_000)
    return changed(hot, "close_temperature", value_int=36_000)


def retimed(evidence: Evidence, field: str, delta: timedelta) -> Evidence:
    return changed(evidence, field, measured_at=(entry_of(evidence, field).measured_at or BEGUN) + delta)


TUBE, HOLE, STICK, REFILL, GLASS = METHODS


@dataclass(frozen=True)
class Planted:
    """One error: what is done to a clean record of which method, and the rule that must find it."""

    name: str
    rule: Rule
    method: LevelMethod
    plant: Callable[[Evidence], Evidence]
    weight: Weight = Weight.CONTRADICTS


LACKS = Weight.LACKS
PLANTED: tuple[Planted, ...] = (
    Planted("vehicle not level", Rule.ATTITUDE, TUBE, lambda e: changed(e, "vehicle_level", value_int=0)),
    Planted("attitude not noted", Rule.ATTITUDE, HOLE, lambda e: without(e, "vehicle_level"), LACKS),
    Planted(
        "wheels hanging", Rule.STANCE, HOLE, lambda e: changed(e, "stance", value_text=Stance.HANGING.value)
    ),
    Planted("engine off", Rule.ENGINE, TUBE, lambda e: changed(e, "engine", value_text="off")),
    Planted("engine idling", Rule.ENGINE, GLASS, lambda e: changed(e, "engine", value_text="idling")),
    Planted("dwell too short", Rule.SELECTOR, TUBE, lambda e: changed(e, "selector_dwell", value_int=1)),
    Planted(
        "opened too cold", Rule.WINDOW_OPEN, TUBE, lambda e: changed(e, "open_temperature", value_int=34_999)
    ),
    Planted(
        "closed too hot", Rule.WINDOW_CLOSE, TUBE, lambda e: changed(e, "close_temperature", value_int=45_001)
    ),
    Planted("closing not read", Rule.WINDOW_CLOSE, TUBE, lambda e: without(e, "close_temperature"), LACKS),
    Planted(
        "stick read too hot",
        Rule.WINDOW_READING,
        STICK,
        lambda e: changed(e, "reading_temperature", value_int=60_000),
    ),
    Planted(
        "nothing ran out", Rule.FLOW_OPEN, TUBE, lambda e: changed(e, "flow_at_opening", value_text="none")
    ),
    Planted(
        "closed in a stream",
        Rule.FLOW_CLOSE,
        TUBE,
        lambda e: changed(e, "flow_at_closing", value_text="stream"),
    ),
    Planted(
        "too far below the edge", Rule.EDGE, HOLE, lambda e: changed(e, "edge_distance", value_int=8_001)
    ),
    Planted("not between the marks", Rule.MARKS, GLASS, lambda e: changed(e, "between_marks", value_int=0)),
    Planted("marks not named", Rule.MARKS, STICK, lambda e: without(e, "marks_read"), LACKS),
    Planted("nothing drained", Rule.DRAINED, REFILL, lambda e: changed(e, "drained", value_int=0)),
    Planted("too little put in", Rule.QUANTITY, REFILL, lambda e: consumed(e, put_in_of(e) - 200_000)),
    Planted(
        "closed before opened",
        Rule.CLOSED_BEFORE_OPENED,
        TUBE,
        lambda e: retimed(e, "close_temperature", timedelta(minutes=-4)),
    ),
    Planted("cooled while idling", Rule.COOLED_WHILE_OPEN, TUBE, cooled),
    Planted("warmed too fast", Rule.WARMED_TOO_FAST, TUBE, warmed_too_fast),
    Planted(
        "97 °F typed as °C",
        Rule.DEGREES_TAKEN_FOR_OTHERS,
        TUBE,
        lambda e: changed(e, "open_temperature", value_int=97_000),
    ),
    Planted(
        "ran out, yet no flow",
        Rule.RAN_OUT_WITHOUT_FLOW,
        TUBE,
        lambda e: changed(e, "flow_at_opening", value_text="none"),
    ),
    Planted(
        "flow, yet nothing ran out",
        Rule.RAN_OUT_WITHOUT_FLOW,
        TUBE,
        lambda e: changed(e, "ran_out", value_int=0),
    ),
    Planted("as found disagrees", Rule.AS_FOUND, TUBE, found_otherwise),
    Planted("drained not measured", Rule.VOLUME_MISSING, TUBE, lambda e: without(e, "drained"), LACKS),
    Planted("spill not measured", Rule.VOLUME_MISSING, GLASS, lambda e: without(e, "spilled"), LACKS),
    Planted(
        "old filter not measured", Rule.VOLUME_MISSING, STICK, lambda e: added(e, "filter_renewed", 1), LACKS
    ),
    Planted("container lost more", Rule.CONTAINER, TUBE, lambda e: scaled(e, "container_after", 0.95)),
    Planted(
        "drained more than it holds",
        Rule.OVER_TOTAL,
        GLASS,
        lambda e: changed(e, "drained", value_int=(e.setting.total_ul or 0) + 1),
    ),
    Planted(
        "spilled more than put in",
        Rule.SPILLED_OVER_PUT_IN,
        TUBE,
        lambda e: changed(e, "spilled", value_int=put_in_of(e) + 1),
    ),
    Planted(
        "ran out more than put in",
        Rule.RAN_OUT_OVER_PUT_IN,
        TUBE,
        lambda e: changed(e, "ran_out", value_int=put_in_of(e) + 1),
    ),
    Planted(
        "quarts written as gallons",
        Rule.VOLUME_TAKEN_FOR_OTHER,
        GLASS,
        lambda e: consumed(e, 4 * (entry_of(e, "drained").value_int or 0)),
    ),
    Planted(
        "a decimal too many",
        Rule.VOLUME_TAKEN_FOR_OTHER,
        HOLE,
        lambda e: changed(e, "drained", value_int=put_in_of(e) // 10),
    ),
    Planted(
        "put in far too much",
        Rule.FAR_FROM_DRAINED,
        GLASS,
        lambda e: consumed(e, put_in_of(e) + (e.setting.total_ul or 0) // 2),
    ),
    Planted(
        "level check, yet drained", Rule.METHOD, GLASS, lambda e: setting(e, method=ServiceMethod.LEVEL_CHECK)
    ),
    Planted(
        "repeated, yet one filling", Rule.METHOD, TUBE, lambda e: setting(e, method=ServiceMethod.REPEATED)
    ),
    Planted("a round left out", Rule.ROUNDS, GLASS, lambda e: changed(e, "drained", round=2)),
    Planted("shelf gave less", Rule.SHELF, TUBE, lambda e: replace(e, fluid_taken_ul=put_in_of(e) - 500_000)),
    Planted(
        "drained before the fill plug was loosened",
        Rule.ORDER,
        TUBE,
        lambda e: step_at(e, Step.FILL_PLUG_LOOSENED, 30),
    ),
    Planted("level set before it was filled", Rule.ORDER, TUBE, lambda e: step_at(e, Step.FILLED, 200)),
    Planted(
        "torque not recorded", Rule.TORQUE_MISSING, TUBE, lambda e: without(e, "level_plug_torque"), LACKS
    ),
    Planted(
        "torque too high",
        Rule.TORQUE,
        HOLE,
        lambda e: changed(e, "drain_plug_torque", value_int=TORQUE_MNM + 4_001),
    ),
    Planted(
        "ft-lb for N·m",
        Rule.TORQUE_TAKEN_FOR_OTHER,
        TUBE,
        lambda e: changed(e, "drain_plug_torque", value_int=52_877),
    ),
    Planted(
        "a plug it has not",
        Rule.PLUG,
        GLASS,
        lambda e: setting(e, sheet=replace(e.setting.sheet, has_drain_plug=False)),
    ),
    Planted(
        "wrench overdue",
        Rule.CALIBRATION,
        TUBE,
        lambda e: replace(e, tools=(replace(TOOLS[1], due_on=date(2026, 3, 1)),)),
    ),
    Planted(
        "wrench calibrated afterwards",
        Rule.CALIBRATION,
        REFILL,
        lambda e: replace(e, tools=(replace(TOOLS[1], calibrated_on=date(2027, 1, 1)),)),
    ),
    Planted(
        "washer not recorded", Rule.WASHER_MISSING, TUBE, lambda e: without(e, "drain_plug_washer"), LACKS
    ),
    Planted(
        "washers not from the shelf",
        Rule.WASHERS_FROM_SHELF,
        TUBE,
        lambda e: replace(changed(e, "drain_plug_washer", value_text="new washer"), washers_taken=0),
    ),
    Planted("fluid not named", Rule.PRODUCT_MISSING, TUBE, lambda e: replace(e, claims=None), LACKS),
    Planted("wrong fluid", Rule.SPECIFICATION, STICK, lambda e: replace(e, claims=("KX-8",))),
    Planted("in the future", Rule.FUTURE, TUBE, lambda e: replace(e, now=BEGUN - timedelta(days=1))),
    Planted(
        "after the invoice",
        Rule.AFTER_INVOICE,
        GLASS,
        lambda e: replace(e, invoiced_at=BEGUN - timedelta(days=1)),
    ),
    Planted(
        "on another day", Rule.OTHER_DAY, TUBE, lambda e: replace(e, done_on=e.done_on - timedelta(days=3))
    ),
    Planted("went on with burnt fluid", Rule.STOP, TUBE, lambda e: changed(e, "odour", value_int=3)),
    Planted(
        "went on, consent only by word",
        Rule.STOP,
        HOLE,
        lambda e: added(changed(e, "particles", value_int=4), "stop_decision", "go on anyway"),
    ),
    Planted(
        "correction without a reason",
        Rule.CORRECTION,
        GLASS,
        lambda e: added(e, "ambient", 22_000, corrects_id=entry_of(e, "ambient").id),
        LACKS,
    ),
    Planted(
        "told a deficit of its own",
        Rule.STATED,
        TUBE,
        lambda e: replace(e, stated=Stated(delta_ul=1_000_000)),
    ),
    Planted(
        "told a share of its own", Rule.STATED, STICK, lambda e: replace(e, stated=Stated(fresh_percent=99))
    ),
)
