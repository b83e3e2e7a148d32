"""Rules about the work: order, torques and tools, washers, fluid, times, and what was told of it."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from gettext import gettext as _

from shopdesk.domain.deviations import torque_is_off
from shopdesk.domain.methods import LevelMethod, ServiceMethod
from shopdesk.domain.order import Step, out_of_order, usual_order
from shopdesk.domain.proof import ProofVerdict
from shopdesk.domain.record import Entry, Facts, level_facts
from shopdesk.domain.sheet import Plug
from shopdesk.domain.stop_rule import StopState, stop_rule
from shopdesk.domain.text import match_key
from shopdesk.domain.torque import Calibration, calibration_on, slip_question, unit_slip
from shopdesk.domain.verify_evidence import Case, Finding, Rule, Weight

#: Clocks of two stations may differ by that much (common practice, no source).
_CLOCKS_APART = timedelta(minutes=5)
_STATED_WITHIN_UL = 1_000


def work_findings(case: Case) -> Iterator[Finding]:
    """Give what the work's rules find."""
    yield from _order(case)
    yield from _torques(case)
    yield from _tools(case)
    yield from _washers(case)
    yield from _fluid(case)
    yield from _times(case)
    yield from _stopped(case)
    yield from _corrections(case.evidence.entries)
    yield from _stated(case)


def _against(rule: Rule, sentence: str, *fields: str) -> Finding:
    return Finding(rule=rule, weight=Weight.CONTRADICTS, sentence=sentence, fields=fields)


def _lacks(rule: Rule, sentence: str, *fields: str) -> Finding:
    return Finding(rule=rule, weight=Weight.LACKS, sentence=sentence, fields=fields)


def _order(case: Case) -> Iterator[Finding]:
    """Steps by the times they were done; an exchange of two that gives a reason is a deviation."""
    sheet = case.setting.sheet
    rules = usual_order(
        sheet.level.method, case.setting.kind, sheet.has_drain_plug, service_method=case.setting.method
    )
    explained = {entry.value_text for entry in case.facts.all("step") if entry.reason}
    for deviation in out_of_order(_steps(case.facts), rules):
        if not {deviation.before, deviation.after} & explained:
            yield _against(Rule.ORDER, deviation.sentence, "step")


def _steps(facts: Facts) -> Mapping[Step, Sequence[datetime] | None]:
    """The steps, with the level plug's closing as the level's time where that step was not noted."""
    closed = level_facts(facts).last.closed_at
    steps = dict(facts.steps())
    if closed is not None and Step.LEVEL_SET not in steps:
        steps[Step.LEVEL_SET] = (closed,)
    return steps


def _opened_plugs(case: Case) -> Iterator[Plug]:
    """Plugs that this service must have opened: each has its torque and washer to record."""
    sheet, method = case.setting.sheet, case.setting.method
    if method is not ServiceMethod.LEVEL_CHECK:
        yield Plug.FILL
        if sheet.has_drain_plug:
            yield Plug.DRAIN
    if sheet.level.method is LevelMethod.OVERFLOW_TUBE:
        yield Plug.LEVEL


def _field(plug: Plug, what: str) -> str:
    return f"{plug.value.replace(' ', '_')}_{what}"


def _torques(case: Case) -> Iterator[Finding]:
    sheet = case.setting.sheet
    recorded = {closed.plug for closed in case.outcome.plugs if closed.torque_mnm is not None}
    for plug in _opened_plugs(case):
        if sheet.torque_of(plug) is not None and plug not in recorded:
            sentence = _("No torque is recorded for the {plug}.").format(plug=_(plug.value))
            yield _lacks(Rule.TORQUE_MISSING, sentence, _field(plug, "torque"))
    if not sheet.has_drain_plug and Plug.DRAIN in recorded:
        sentence = _("A drain plug was closed on a unit that has none.")
        yield _against(Rule.PLUG, sentence, _field(Plug.DRAIN, "torque"))
    for closed in case.outcome.plugs:
        field = _field(closed.plug, "torque")
        entry = case.facts.last(field)
        if entry is None or entry.reason or not torque_is_off(closed, sheet):
            continue
        wanted = sheet.torque_of(closed.plug)
        slip = unit_slip(closed.torque_mnm or 0, wanted.torque_mnm) if wanted is not None else None
        if slip is not None:
            yield _against(Rule.TORQUE_TAKEN_FOR_OTHER, slip_question(slip), field)
        sentence = _("The {plug}'s torque differs from the sheet's.").format(plug=_(closed.plug.value))
        yield _against(Rule.TORQUE, sentence, field)


def _tools(case: Case) -> Iterator[Finding]:
    by_name = {tool.name: tool for tool in case.evidence.tools}
    used = {entry.instrument: entry.field for field in _measured(case) for entry in case.facts.all(field)}
    for name, field in used.items():
        tool = by_name.get(name)
        if tool is None:
            continue
        state = calibration_on(case.evidence.done_on, calibrated_on=tool.calibrated_on, due_on=tool.due_on)
        if state in (Calibration.OVERDUE, Calibration.NOT_YET):
            sentence = _("{tool}: {state} on the day of the work.").format(tool=name, state=_(state.value))
            yield _against(Rule.CALIBRATION, sentence, field)


def _measured(case: Case) -> Sequence[str]:
    return tuple(dict.fromkeys(entry.field for entry in case.evidence.entries if entry.instrument))


def _washers(case: Case) -> Iterator[Finding]:
    needed = {washer.plug for washer in case.setting.sheet.washers}
    told = {closed.plug: closed.washer for closed in case.outcome.plugs}
    for plug in _opened_plugs(case):
        if plug in needed and not told.get(plug):
            sentence = _("No washer is recorded for the {plug}.").format(plug=_(plug.value))
            yield _lacks(Rule.WASHER_MISSING, sentence, _field(plug, "washer"))
    new = sum(washer == "new washer" for washer in told.values())
    taken = case.evidence.washers_taken
    if taken is not None and taken < 1000 * new:
        sentence = _("More new washers are recorded than left the shelf.")
        yield _against(Rule.WASHERS_FROM_SHELF, sentence, *(_field(plug, "washer") for plug in told))


def _fluid(case: Case) -> Iterator[Finding]:
    if not case.facts.used_ul():
        return
    claims = case.evidence.claims
    if claims is None:
        yield _lacks(Rule.PRODUCT_MISSING, _("The fluid that was put in is not named."), "put_in")
    elif match_key(case.evidence.specification) not in map(match_key, claims):
        sentence = _("The fluid does not claim the unit's specification.")
        yield _against(Rule.SPECIFICATION, sentence, "put_in")


def _times(case: Case) -> Iterator[Finding]:
    evidence = case.evidence
    for entry in evidence.entries:
        at = entry.measured_at
        if at is None:
            continue
        if at > evidence.now + _CLOCKS_APART:
            yield _against(Rule.FUTURE, _("A time lies in the future."), entry.field)
        elif evidence.invoiced_at is not None and at > evidence.invoiced_at + _CLOCKS_APART:
            yield _against(Rule.AFTER_INVOICE, _("Work is recorded after the invoice."), entry.field)
        if abs((at.date() - evidence.done_on).days) > 1:  # a day's tolerance covers every zone
            yield _against(Rule.OTHER_DAY, _("A time lies on another day than the work."), entry.field)


def _stopped(case: Case) -> Iterator[Finding]:
    stop = stop_rule(case.facts)
    went_on = bool(case.facts.total_ul("put_in"))
    if went_on and stop.holds:
        sentence = _("The work went on although the old fluid called for a stop.")
        yield _against(Rule.STOP, sentence, "appearance", "odour", "particles", "stop_decision")
    elif stop.state is StopState.STOPPED:
        sentence = _("The old fluid called for a stop, and what was decided is not recorded.")
        yield _lacks(Rule.STOP, sentence, "stop_decision")


def _corrections(entries: Sequence[Entry]) -> Iterator[Finding]:
    for entry in entries:
        if entry.corrects_id is not None and not entry.reason:
            yield _lacks(Rule.CORRECTION, _("A correction gives no reason."), entry.field)


def _stated(case: Case) -> Iterator[Finding]:
    stated, outcome = case.evidence.stated, case.outcome
    if stated is None:
        return
    delta, share = outcome.balance.delta_ul, outcome.fresh.share
    differs = (
        stated.proven is not None and stated.proven != (outcome.proof.verdict is ProofVerdict.PROVEN),
        stated.delta_ul is not None and (delta is None or abs(stated.delta_ul - delta) > _STATED_WITHIN_UL),
        stated.fresh_percent is not None and (share is None or abs(stated.fresh_percent - share * 100) > 1),
    )
    if any(differs):
        yield _against(Rule.STATED, _("A figure that was told does not follow from the facts."))
