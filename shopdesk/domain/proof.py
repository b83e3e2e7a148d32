"""Whether the record shows that the level was set as the unit sheet asks.

Each condition of the sheet is met, not met or not recorded; the level is proven only when all are
met. Temperatures are integers in 1/1000 °C and are compared as such, bounds included: 113 °F is
exactly 45 °C here, and 34.96 °C is below 35 °C. Only the last opening counts; earlier ones were
repeats after adding fluid.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from gettext import gettext as _
from gettext import ngettext

from shopdesk.domain.level_rules import EngineState as EngineState
from shopdesk.domain.level_rules import Flow as Flow
from shopdesk.domain.level_rules import LevelFacts as LevelFacts
from shopdesk.domain.level_rules import LevelRules as LevelRules
from shopdesk.domain.level_rules import Marks as Marks
from shopdesk.domain.level_rules import Opening as Opening
from shopdesk.domain.level_rules import Stance as Stance
from shopdesk.domain.methods import LevelMethod as LevelMethod
from shopdesk.domain.words import N_, listed


class ConditionState(StrEnum):
    """What the record says about one condition."""

    MET = N_("met")
    NOT_MET = N_("not met")
    NOT_RECORDED = N_("not recorded")


class ConditionKey(StrEnum):
    """Names of the conditions, the same in results, papers and tests."""

    ATTITUDE = "attitude"
    STANCE = "stance"
    ENGINE = "engine"
    SELECTOR = "selector"
    WINDOW_OPEN = "window_open"
    WINDOW_CLOSE = "window_close"
    WINDOW_READING = "window_reading"
    FLOW_OPEN = "flow_open"
    FLOW_CLOSE = "flow_close"
    EDGE = "edge"
    MARKS = "marks"
    DRAINED = "drained"
    QUANTITY = "quantity"


class ProofVerdict(StrEnum):
    """What all conditions together say."""

    PROVEN = N_("proven")
    NOT_PROVEN = N_("not proven")
    TOO_LOW = N_("too low: add fluid and repeat")


@dataclass(frozen=True, kw_only=True, slots=True)
class Condition:
    """One condition, in words without figures, and the figures apart for the reader's own units.

    ``measured``, ``low`` and ``high`` are 1/1000 °C for the window, seconds for the selector, µm for
    the edge, µL for quantities; ``None`` where there is no such figure.
    """

    key: str
    text: str
    state: ConditionState
    detail: str = ""
    measured: int | None = None
    low: int | None = None
    high: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Proof:
    """The verdict on one level, and what the volume balance needs to know about it.

    ``attitude`` says whether the vehicle was recorded to stand level, also when the sheet does not
    ask. ``nothing_ran_out``: every opening was recorded with no flow. ``absolute`` is false when
    the level was only brought back to what came out, which repeats the level it came with.
    """

    verdict: ProofVerdict
    conditions: tuple[Condition, ...]
    sentence: str
    method: LevelMethod
    attitude: ConditionState
    nothing_ran_out: bool = False
    absolute: bool = True

    def state_of(self, key: str) -> ConditionState | None:
        """The state of the condition ``key``, or None when the sheet does not ask for it."""
        return next((each.state for each in self.conditions if each.key == key), None)


def prove_level(rules: LevelRules, facts: LevelFacts) -> Proof:
    """Hold the record against the sheet. Raises nothing: what is absent is *not recorded*."""
    conditions = tuple(_conditions(rules, facts))
    verdict = _verdict(rules, facts, conditions)
    return Proof(
        verdict=verdict,
        conditions=conditions,
        sentence=_sentence(verdict, conditions),
        method=rules.method,
        attitude=_yes(facts.attitude_level),
        nothing_ran_out=bool(facts.openings) and all(o.flow_open is Flow.NONE for o in facts.openings),
        absolute=rules.method is not LevelMethod.MEASURED_REFILL or rules.refill_ul is not None,
    )


def _verdict(rules: LevelRules, facts: LevelFacts, conditions: tuple[Condition, ...]) -> ProofVerdict:
    if rules.method is LevelMethod.OVERFLOW_TUBE and _too_low(rules, facts.last.flow_open):
        return ProofVerdict.TOO_LOW
    if all(each.state is ConditionState.MET for each in conditions):
        return ProofVerdict.PROVEN
    return ProofVerdict.NOT_PROVEN


def _too_low(rules: LevelRules, flow: Flow | None) -> bool:
    """No flow, or a mere drip that the sheet does not accept: the tube itself empties a little."""
    return flow in (Flow.NONE, Flow.DRIP) and flow not in rules.flow_at_opening


def _sentence(verdict: ProofVerdict, conditions: tuple[Condition, ...]) -> str:
    if verdict is ProofVerdict.TOO_LOW:
        return _("Too low at the last opening: add fluid and repeat.")
    if verdict is ProofVerdict.PROVEN:
        return ngettext(
            "Level set: its {count} condition recorded as met.",
            "Level set: all {count} conditions recorded as met.",
            len(conditions),
        ).format(count=len(conditions))
    return " ".join(_shortcomings(conditions))


def _shortcomings(conditions: tuple[Condition, ...]) -> Iterator[str]:
    yield _("The record does not show that the level was set.")
    not_met = [each.text for each in conditions if each.state is ConditionState.NOT_MET]
    if not_met:
        yield _("Not met: {conditions}.").format(conditions=", ".join(not_met))
    unknown = [each.text for each in conditions if each.state is ConditionState.NOT_RECORDED]
    if unknown:
        yield _("Not recorded: {conditions}.").format(conditions=", ".join(unknown))


def _conditions(rules: LevelRules, facts: LevelFacts) -> Iterator[Condition]:
    yield from _vehicle_conditions(rules, facts)
    if rules.method is LevelMethod.OVERFLOW_TUBE:
        yield from _tube_conditions(rules, facts.last)
        return
    if rules.window() != (None, None) or facts.marks_read is Marks.COLD:
        text = _("temperature at reading inside the window")
        window = rules.window(facts.marks_read)
        yield _in_window(ConditionKey.WINDOW_READING, text, facts.last.open_mc, window)
    if rules.method is LevelMethod.MEASURED_REFILL:
        yield from _refill_conditions(rules, facts)
    elif rules.method is LevelMethod.FILL_HOLE:
        yield _edge_condition(rules, facts)
    else:
        yield _marks_condition(rules, facts)


def _marks_condition(rules: LevelRules, facts: LevelFacts) -> Condition:
    """A stick with two pairs of marks says nothing until it is known which pair was read."""
    state = _yes(facts.between_marks)
    text = _("level between the marks")
    if rules.method is LevelMethod.SIGHT_GLASS:
        text = _("level between the marks of the sight glass")
    two_pairs = rules.cold_low_mc is not None or rules.cold_high_mc is not None
    if two_pairs and facts.marks_read is None and state is ConditionState.MET:
        detail = _("which marks were read, hot or cold, is not recorded")
        return Condition(key=ConditionKey.MARKS, text=text, state=ConditionState.NOT_RECORDED, detail=detail)
    return Condition(key=ConditionKey.MARKS, text=text, state=state)


def _vehicle_conditions(rules: LevelRules, facts: LevelFacts) -> Iterator[Condition]:
    if rules.attitude_level:
        state = _yes(facts.attitude_level)
        yield Condition(key=ConditionKey.ATTITUDE, text=_("vehicle standing level"), state=state)
    if rules.stance is not None:
        met = None if facts.stance is None else facts.stance is rules.stance
        on_wheels = rules.stance is Stance.ON_WHEELS
        text = _("vehicle on its wheels") if on_wheels else _("vehicle raised, wheels hanging")
        yield Condition(key=ConditionKey.STANCE, text=text, state=_yes(met))
    if rules.engine is not None:
        idling = rules.engine is EngineState.IDLING
        text = _("engine idling") if idling else _("engine off")
        met = None if facts.engine is None else facts.engine == rules.engine
        yield Condition(key=ConditionKey.ENGINE, text=text, state=_yes(met))
    if rules.selector_cycled:
        yield _selector_condition(rules.selector_dwell_s, facts)


def _selector_condition(wanted_s: int | None, facts: LevelFacts) -> Condition:
    key, text = ConditionKey.SELECTOR, _("selector cycled")
    if wanted_s is None or not facts.selector_cycled:
        return Condition(key=key, text=text, state=_yes(facts.selector_cycled))
    text = _("selector cycled, long enough in each position")
    return _between(key, text, facts.dwell_s, wanted_s, None)


def _tube_conditions(rules: LevelRules, last: Opening) -> Iterator[Condition]:
    at_opening = _("temperature at opening inside the window")
    at_closing = _("temperature at closing inside the window")
    yield _in_window(ConditionKey.WINDOW_OPEN, at_opening, last.open_mc, rules.window())
    yield _in_window(ConditionKey.WINDOW_CLOSE, at_closing, last.close_mc, rules.window())
    opening, closing = _("flow at opening"), _("flow at closing")
    yield _flow_condition(ConditionKey.FLOW_OPEN, opening, last.flow_open, rules.flow_at_opening)
    yield _flow_condition(ConditionKey.FLOW_CLOSE, closing, last.flow_close, rules.flow_at_closing)


def _flow_condition(key: ConditionKey, text: str, seen: Flow | None, wanted: frozenset[Flow]) -> Condition:
    allowed = listed(flow.value for flow in Flow if flow in wanted)
    text = _("{where}: {allowed}").format(where=text, allowed=allowed)
    if seen is None:
        return Condition(key=key, text=text, state=ConditionState.NOT_RECORDED)
    detail = _("seen: {flow}").format(flow=_(seen.value))
    return Condition(key=key, text=text, state=_yes(seen in wanted), detail=detail)


def _in_window(
    key: ConditionKey, text: str, measured: int | None, window: tuple[int | None, int | None]
) -> Condition:
    if window == (None, None):
        detail = _("the unit sheet gives no window")
        return Condition(
            key=key, text=text, state=ConditionState.NOT_RECORDED, detail=detail, measured=measured
        )
    return _between(key, text, measured, *window)


def _edge_condition(rules: LevelRules, facts: LevelFacts) -> Condition:
    key, text = ConditionKey.EDGE, _("fluid at its distance from the edge")
    offset, tolerance = rules.edge_offset_um, rules.edge_tolerance_um
    if offset is None or tolerance is None:
        detail = _("the unit sheet gives no distance and tolerance")
        return Condition(key=key, text=text, state=ConditionState.NOT_RECORDED, detail=detail)
    return _between(key, text, facts.edge_um, offset - tolerance, offset + tolerance)


def _refill_conditions(rules: LevelRules, facts: LevelFacts) -> Iterator[Condition]:
    some = None if facts.drained_ul is None else facts.drained_ul > 0
    drained = _("fluid drained and measured")
    yield Condition(key=ConditionKey.DRAINED, text=drained, state=_yes(some), measured=facts.drained_ul)
    by_sheet = rules.refill_ul is not None
    text = _("quantity put in as on the sheet") if by_sheet else _("quantity put in as came out")
    wanted = rules.refill_ul if by_sheet else facts.drained_ul
    yield _quantity_condition(text, wanted, rules.refill_tolerance_ul, facts)


def _quantity_condition(
    text: str, wanted_ul: int | None, tolerance_ul: int | None, facts: LevelFacts
) -> Condition:
    key = ConditionKey.QUANTITY
    if tolerance_ul is None or wanted_ul is None:
        detail = _("there is no quantity with a tolerance to compare with")
        return Condition(key=key, text=text, state=ConditionState.NOT_RECORDED, detail=detail)
    if facts.pumped_ul is None or facts.spilled_ul is None:
        detail = _("what was put in and what was spilled must both be recorded")
        return Condition(key=key, text=text, state=ConditionState.NOT_RECORDED, detail=detail)
    net_ul = facts.pumped_ul - facts.spilled_ul
    return _between(key, text, net_ul, wanted_ul - tolerance_ul, wanted_ul + tolerance_ul)


def _between(
    key: ConditionKey, text: str, measured: int | None, low: int | None, high: int | None
) -> Condition:
    """Compare exact integers, both bounds included."""
    state, detail = ConditionState.MET, ""
    if measured is None:
        state = ConditionState.NOT_RECORDED
    elif low is not None and measured < low:
        state, detail = ConditionState.NOT_MET, _("below the lower bound")
    elif high is not None and measured > high:
        state, detail = ConditionState.NOT_MET, _("above the upper bound")
    return Condition(key=key, text=text, state=state, detail=detail, measured=measured, low=low, high=high)


def _yes(answer: bool | None) -> ConditionState:
    if answer is None:
        return ConditionState.NOT_RECORDED
    return ConditionState.MET if answer else ConditionState.NOT_MET
