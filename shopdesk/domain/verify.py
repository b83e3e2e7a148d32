"""A second technician's verdict on a record: consistent, incomplete or contradictory.

Everything is worked out anew from the facts; no figure that the record tells is believed. What
was done otherwise with its reason given is a deviation and no finding.
"""

from dataclasses import dataclass
from gettext import gettext as _
from gettext import ngettext

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.record import Facts, Outcome, work_out
from shopdesk.domain.verify_evidence import Case as Case
from shopdesk.domain.verify_evidence import Evidence as Evidence
from shopdesk.domain.verify_evidence import Finding as Finding
from shopdesk.domain.verify_evidence import Rule as Rule
from shopdesk.domain.verify_evidence import Stated as Stated
from shopdesk.domain.verify_evidence import Tool as Tool
from shopdesk.domain.verify_evidence import Verdict as Verdict
from shopdesk.domain.verify_evidence import Weight as Weight
from shopdesk.domain.verify_level import level_findings
from shopdesk.domain.verify_volumes import volume_findings
from shopdesk.domain.verify_work import work_findings


@dataclass(frozen=True, kw_only=True, slots=True)
class Verification:
    """The verdict, the rules behind it, and what follows from the facts."""

    verdict: Verdict
    findings: tuple[Finding, ...]
    outcome: Outcome
    sentence: str

    def finds(self, rule: Rule) -> bool:
        """Whether a rule was found broken."""
        return any(finding.rule is rule for finding in self.findings)


def verify(evidence: Evidence) -> Verification:
    """Hold a record against every rule. Raises nothing for what is absent: that is *incomplete*."""
    facts = Facts(evidence.entries)
    outcome = _worked_out(evidence)
    case = Case(evidence=evidence, facts=facts, outcome=outcome)
    findings = tuple(dict.fromkeys([*level_findings(case), *volume_findings(case), *work_findings(case)]))
    verdict = _verdict(findings)
    return Verification(
        verdict=verdict, findings=findings, outcome=outcome, sentence=_sentence(verdict, len(findings))
    )


def _worked_out(evidence: Evidence) -> Outcome:
    """What follows from the facts; of a volume that makes nonsense of the others, from the others."""
    try:
        return work_out(Facts(evidence.entries), evidence.setting)
    except RuleBroken as refusal:
        others = [entry for entry in evidence.entries if entry.field != refusal.field]
        return work_out(Facts(others), evidence.setting)


def _verdict(findings: tuple[Finding, ...]) -> Verdict:
    weights = {finding.weight for finding in findings}
    if Weight.CONTRADICTS in weights:
        return Verdict.CONTRADICTORY
    return Verdict.INCOMPLETE if weights else Verdict.CONSISTENT


def _sentence(verdict: Verdict, count: int) -> str:
    if verdict is Verdict.CONSISTENT:
        return _("Consistent: nothing in this record speaks against another part of it.")
    found = ngettext("{n} finding", "{n} findings", count).format(n=count)
    if verdict is Verdict.INCOMPLETE:
        return _("Incomplete: {found}.").format(found=found)
    return _("Contradictory: {found}.").format(found=found)
