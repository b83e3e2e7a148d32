"""Rules about the level: the sheet's conditions, temperatures against the clock, flow against volume."""

from collections.abc import Iterator
from gettext import gettext as _

from shopdesk.domain.deviations import REASON_FIELD
from shopdesk.domain.level_rules import EngineState, Flow, Opening
from shopdesk.domain.proof import Condition, ConditionKey, ConditionState, ProofVerdict
from shopdesk.domain.record import OPENING_FIELDS, Facts, openings
from shopdesk.domain.unit_factors import from_mc, to_mc
from shopdesk.domain.verify_evidence import Case, Finding, Rule, Weight

#: No unit warms faster than that, 1/1000 °C a minute (common practice, no source).
_FASTEST_MC_PER_MINUTE = 15_000
#: A drop below that while open is within what a thermometer shows (common practice, no source).
_COOLED_MC = 2_000


def level_findings(case: Case) -> Iterator[Finding]:
    """Give what the level's rules find."""
    yield from _conditions(case)
    for opening in openings(case.facts):
        yield from _opening(case, opening)
    yield from _degrees(case)
    yield from _flow_against_volume(case)
    found = case.outcome.found
    if found is not None and found.cross is not None and not found.cross.agrees:
        yield Finding(
            rule=Rule.AS_FOUND,
            weight=Weight.CONTRADICTS,
            sentence=found.cross.sentence,
            fields=("found_added", "found_ran_out"),
        )


def _conditions(case: Case) -> Iterator[Finding]:
    """A condition that is not met is no fault when its reason was given: it is a deviation then."""
    for condition in case.outcome.proof.conditions:
        fields = _fields_of(condition)
        if condition.state is ConditionState.NOT_RECORDED:
            yield _finding(condition, Weight.LACKS, _("Not recorded: {condition}."), fields)
        elif condition.state is ConditionState.NOT_MET and not _explained(case.facts, *fields):
            sentence = _("Not as the sheet asks, without a reason: {condition}.")
            yield _finding(condition, Weight.CONTRADICTS, sentence, fields)
    if case.outcome.proof.verdict is ProofVerdict.TOO_LOW and not _explained(case.facts, "flow_at_opening"):
        sentence = _("Too low at the last opening, and the level was not set again.")
        yield Finding(
            rule=Rule.FLOW_OPEN, weight=Weight.CONTRADICTS, sentence=sentence, fields=("flow_at_opening",)
        )


def _fields_of(condition: Condition) -> tuple[str, ...]:
    """The entries a condition is judged by; a reason may stand with any of them."""
    if condition.key == ConditionKey.SELECTOR:
        return ("selector_cycled", "selector_dwell")
    field = REASON_FIELD.get(condition.key, "")
    return (field,) if field else ()


def _finding(condition: Condition, weight: Weight, sentence: str, fields: tuple[str, ...]) -> Finding:
    return Finding(
        rule=Rule[condition.key.upper()],
        weight=weight,
        sentence=sentence.format(condition=condition.text),
        fields=fields,
    )


def _explained(facts: Facts, *fields: str) -> bool:
    entries = [facts.last(field) for field in fields]
    return any(entry is not None and entry.reason for entry in entries)


def _opening(case: Case, opening: Opening) -> Iterator[Finding]:
    opened, closed = opening.opened_at, opening.closed_at
    if opened is not None and closed is not None and closed < opened:
        sentence = _("The level plug is recorded as closed before it was opened.")
        yield Finding(
            rule=Rule.CLOSED_BEFORE_OPENED,
            weight=Weight.CONTRADICTS,
            sentence=sentence,
            fields=OPENING_FIELDS,
        )
        return
    if opening.open_mc is None or opening.close_mc is None:
        return
    rise = opening.close_mc - opening.open_mc
    idling = case.facts.word("engine") == EngineState.IDLING
    if idling and rise < -_COOLED_MC:
        sentence = _("The fluid is recorded as colder at closing than at opening, with the engine idling.")
        yield Finding(
            rule=Rule.COOLED_WHILE_OPEN, weight=Weight.CONTRADICTS, sentence=sentence, fields=OPENING_FIELDS
        )
    if (
        opened is not None
        and closed is not None
        and rise > _COOLED_MC + _most_rise(closed.timestamp() - opened.timestamp())
    ):
        sentence = _("The fluid is recorded as warming faster than a unit can.")
        yield Finding(
            rule=Rule.WARMED_TOO_FAST, weight=Weight.CONTRADICTS, sentence=sentence, fields=OPENING_FIELDS
        )


def _most_rise(seconds: float) -> float:
    return seconds / 60 * _FASTEST_MC_PER_MINUTE


def _degrees(case: Case) -> Iterator[Finding]:
    """A temperature outside the window that would lie inside it in the other scale."""
    rules = case.setting.sheet.level
    for field in ("open_temperature", "close_temperature", "reading_temperature"):
        for entry in case.facts.all(field):
            if entry.value_int is not None and _would_fit(entry.value_int, rules.window()):
                sentence = _("Outside the window, but inside it in the other scale: was °C taken for °F?")
                yield Finding(
                    rule=Rule.DEGREES_TAKEN_FOR_OTHERS,
                    weight=Weight.CONTRADICTS,
                    sentence=sentence,
                    fields=(field,),
                )


def _would_fit(mc: int, window: tuple[int | None, int | None]) -> bool:
    low, high = window
    if low is None or high is None or low <= mc <= high:
        return False
    other_ways = (to_mc(from_mc(mc, "degc"), "degf"), to_mc(from_mc(mc, "degf"), "degc"))
    return any(low <= other <= high for other in other_ways)


def _flow_against_volume(case: Case) -> Iterator[Finding]:
    ran_out = case.facts.total_ul("ran_out")
    flows = [opening.flow_open for opening in openings(case.facts)]
    if ran_out is None or not flows or None in flows:
        return
    nothing_seen = all(flow is Flow.NONE for flow in flows)
    if nothing_seen == (ran_out > 0):
        sentence = _("What ran out does not agree with the flow seen at opening.")
        yield Finding(
            rule=Rule.RAN_OUT_WITHOUT_FLOW,
            weight=Weight.CONTRADICTS,
            sentence=sentence,
            fields=("ran_out", "flow_at_opening"),
        )
