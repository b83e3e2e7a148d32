"""Rules about volumes: none missing, none more than can be, and in step with container and shelf."""

import math
from collections.abc import Iterator
from fractions import Fraction
from gettext import gettext as _

from shopdesk.domain.budget import Term
from shopdesk.domain.methods import ServiceMethod
from shopdesk.domain.record import Facts
from shopdesk.domain.unit_factors import FACTORS
from shopdesk.domain.unit_names import Dimension
from shopdesk.domain.verify_evidence import Case, Finding, Rule, Weight
from shopdesk.domain.words import listed

_FIELD_OF = {
    Term.PUT_IN: "put_in",
    Term.SPILLED: "spilled",
    Term.RAN_OUT: "ran_out",
    Term.DRAINED: "drained",
    Term.OLD_FILTER: "old_filter",
}
_VOLUMES = FACTORS[Dimension.VOLUME]
#: Volumes are taken for one another in these ratios: litres and gallons, quarts and gallons, a decimal.
_SLIPS = (_VOLUMES["gal"] / _VOLUMES["l"], _VOLUMES["gal"] / _VOLUMES["qt"], Fraction(10))
_SLIP_WITHIN = Fraction(4, 100)
#: A unit further off than this part of what it holds does not drive in (common practice, no source).
_FAR = Fraction(40, 100)
_SHELF_WITHIN_UL = 1_000


def volume_findings(case: Case) -> Iterator[Finding]:
    """Give what the volumes' rules find."""
    yield from _missing(case)
    yield from _method(case)
    yield from _rounds(case.facts)
    yield from _container(case.facts)
    yield from _shelf(case)
    yield from _more_than_can_be(case)
    yield from _fit(case)


def _against(rule: Rule, sentence: str, *fields: str) -> Finding:
    return Finding(rule=rule, weight=Weight.CONTRADICTS, sentence=sentence, fields=fields)


def _missing(case: Case) -> Iterator[Finding]:
    missing = case.outcome.balance.missing
    if missing:
        yield Finding(
            rule=Rule.VOLUME_MISSING,
            weight=Weight.LACKS,
            sentence=_("Not measured: {what}.").format(what=listed(missing)),
            fields=tuple(_FIELD_OF[term] for term in missing),
        )


def _method(case: Case) -> Iterator[Finding]:
    method, facts = case.setting.method, case.facts
    if method is ServiceMethod.LEVEL_CHECK and (facts.total_ul("drained") or 0) > 0:
        yield _against(Rule.METHOD, _("A level check only, yet fluid was drained."), "drained")
    if method is ServiceMethod.REPEATED and len(facts.rounds("put_in")) == 1:
        yield _against(Rule.METHOD, _("Drained and filled repeatedly, yet only one filling."), "put_in")
    if method is ServiceMethod.SINGLE and len(facts.rounds("drained")) > 1:
        yield _against(Rule.METHOD, _("One drain and fill, yet drained more than once."), "drained")


def _rounds(facts: Facts) -> Iterator[Finding]:
    for field in ("drained", "put_in"):
        numbers = facts.rounds(field)
        if numbers and numbers != tuple(range(1, len(numbers) + 1)):
            yield _against(Rule.ROUNDS, _("A round is missing between those recorded."), field)


def _container(facts: Facts) -> Iterator[Finding]:
    before, after = facts.volume("container_before"), facts.volume("container_after")
    used, put_in = facts.used_ul(), facts.volume("put_in")
    if before is None or after is None or used is None or put_in is None:
        return
    within = math.hypot(before.half_width_ul, after.half_width_ul, put_in.half_width_ul)
    if abs(before.ul - after.ul - used) > within:
        sentence = _("The container lost another amount than was put in.")
        yield _against(Rule.CONTAINER, sentence, "container_before", "container_after", "put_in")


def _shelf(case: Case) -> Iterator[Finding]:
    taken, used = case.evidence.fluid_taken_ul, case.facts.used_ul()
    if taken is not None and abs(taken - (used or 0)) > _SHELF_WITHIN_UL:
        yield _against(Rule.SHELF, _("Another amount left the shelf than was put in."), "put_in")


def _more_than_can_be(case: Case) -> Iterator[Finding]:
    facts, total = case.facts, case.setting.total_ul
    drained = [entry.value_int or 0 for entry in facts.all("drained")]
    if total is not None and any(each > total for each in drained):
        yield _against(Rule.OVER_TOTAL, _("More was drained than the unit holds."), "drained")
    if case.setting.method is not ServiceMethod.FLOW_THROUGH and total is not None:
        net = [entry.value_int or 0 for entry in facts.all("put_in")]
        out = facts.total_ul("ran_out") or 0
        if any(each - out - (facts.total_ul("spilled") or 0) > total for each in net):
            yield _against(Rule.OVER_TOTAL, _("More was put in than the unit holds."), "put_in")
    put_in, spilled, ran_out = (facts.total_ul(field) for field in ("put_in", "spilled", "ran_out"))
    if put_in is not None and spilled is not None and spilled > put_in:
        yield _against(Rule.SPILLED_OVER_PUT_IN, _("More was spilled than was put in."), "spilled")
    changed = case.setting.method is not ServiceMethod.LEVEL_CHECK
    if changed and put_in is not None and ran_out is not None and ran_out > put_in:
        sentence = _("More ran out at the level check than was put in.")
        yield _against(Rule.RAN_OUT_OVER_PUT_IN, sentence, "ran_out")


def _fit(case: Case) -> Iterator[Finding]:
    """What was put in is held against what came out, unless it was a level check only."""
    facts, delta, total = case.facts, case.outcome.balance.delta_ul, case.setting.total_ul
    drained, put_in = facts.total_ul("drained"), facts.total_ul("put_in")
    if not drained or not put_in or case.setting.method is ServiceMethod.LEVEL_CHECK:
        return
    out = drained + sum(facts.total_ul(field) or 0 for field in ("spilled", "ran_out", "old_filter"))
    if _slipped(Fraction(put_in, drained)) or _slipped(Fraction(put_in, out)):
        sentence = _("What was put in and what was drained differ as liters, quarts and gallons do.")
        yield _against(Rule.VOLUME_TAKEN_FOR_OTHER, sentence, "put_in", "drained")
    if delta is not None and total is not None and abs(delta) > _FAR * total:
        sentence = _("What was put in and what came out are too far apart for a unit that drove in.")
        yield _against(Rule.FAR_FROM_DRAINED, sentence, "put_in", "drained")


def _slipped(ratio: Fraction) -> bool:
    return any(abs(way - 1) <= _SLIP_WITHIN for slip in _SLIPS for way in (ratio / slip, ratio * slip))
