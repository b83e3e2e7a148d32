"""A second opinion in words: the verdict, its rules, what a code tells, whose key it is."""

from dataclasses import dataclass
from gettext import gettext as _
from gettext import ngettext

from shopdesk.domain.record import FIELDS
from shopdesk.domain.verify import Finding, Rule, Verdict, Verification, Weight
from shopdesk.services.figures import Figures
from shopdesk.services.verifying_files import Judged, RecordRow, Source
from shopdesk.ui.presenters.rule_words import asks
from shopdesk.ui.presenters.shown import label_of, told_words

Rows = tuple[tuple[str, str], ...]

#: Names of the drawn marks (State) by the verdict.
_MARK_OF_VERDICT = {
    Verdict.CONSISTENT: "fine",
    Verdict.INCOMPLETE: "unknown",
    Verdict.CONTRADICTORY: "late",
}
_MARK_OF_WEIGHT = {Weight.CONTRADICTS: "late", Weight.LACKS: "unknown"}


@dataclass(frozen=True, kw_only=True, slots=True)
class RuleWords:
    """One rule held against a record: its mark, its name, what was found, and what it opens."""

    mark: str
    name: str
    weight: str
    sentence: str
    asks: str
    rows: Rows = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class VerdictWords:
    """The verdict in a word and a sentence, and what was judged."""

    mark: str
    word: str
    sentence: str
    about: str


def verdict_words(judged: Judged) -> VerdictWords:
    """Say what was judged and how it came out."""
    found = judged.verification
    if found is None:
        sentence = _(
            "Not one letter of the code was changed since it was signed. It holds the record's main figures "
            "and no readings: bring the record's file to have them worked out anew."
        )
        return VerdictWords(mark="fine", word=_("As it was signed"), sentence=sentence, about=about(judged))
    return VerdictWords(
        mark=_MARK_OF_VERDICT[found.verdict],
        word=_(found.verdict.value).capitalize(),
        sentence=_found_words(found),
        about=about(judged),
    )


def _found_words(found: Verification) -> str:
    """Say how many rules speak against it and how many things are missing."""
    weights = [each.weight for each in found.findings]
    broken, missing = weights.count(Weight.CONTRADICTS), weights.count(Weight.LACKS)
    parts = []
    if broken:
        parts.append(ngettext("{n} rule is not kept", "{n} rules are not kept", broken).format(n=broken))
    if missing:
        parts.append(
            ngettext("{n} thing is not recorded", "{n} things are not recorded", missing).format(n=missing)
        )
    if not parts:
        return _("Nothing in this record speaks against another part of it.")
    return ", ".join(parts) + "."


def about(judged: Judged) -> str:
    """Say which record it is and where it comes from."""
    sources = {
        Source.KEPT: _("kept in this shop"),
        Source.FILE: _("from a record's file"),
        Source.JOB: _("from a job file"),
        Source.CODE: _("from the code on its paper"),
    }
    parts = (judged.number, judged.unit, judged.shop, sources[judged.source])
    return "  ·  ".join(part for part in parts if part)


def key_words(judged: Judged) -> tuple[str, str]:
    """Give the mark and the sentence about who signed it; no sentence where nobody did."""
    if judged.code is None:
        if judged.source is Source.FILE:
            return "unknown", _("This file is not signed: anybody may have changed it.")
        return "plain", ""
    key = judged.code.fingerprint
    if judged.own_key:
        return "fine", _("Signed with this shop's own key {key}.").format(key=key)
    sentence = _("Signed with the key {key}. Whose it is, ask the shop itself: it gives its key out.")
    return "plain", sentence.format(key=key)


def findings(judged: Judged, figures: Figures) -> tuple[RuleWords, ...]:
    """Give the rules that the record does not keep, what speaks against it first."""
    if judged.verification is None:
        return ()
    found = sorted(judged.verification.findings, key=lambda each: each.weight is not Weight.CONTRADICTS)
    return tuple(_finding(each, judged, figures) for each in found)


def _finding(found: Finding, judged: Judged, figures: Figures) -> RuleWords:
    return RuleWords(
        mark=_MARK_OF_WEIGHT[found.weight],
        name=_capital(_(found.rule.value)),
        weight=_(found.weight.value),
        sentence=found.sentence,
        asks=asks(found.rule),
        rows=_entries(found, judged, figures),
    )


def _entries(found: Finding, judged: Judged, figures: Figures) -> Rows:
    """The readings a finding is about, each with who and when; those not recorded by name."""
    rows: list[tuple[str, str]] = _told_and_found(judged, figures) if found.rule is Rule.STATED else []
    for field in dict.fromkeys(found.fields):
        told = [each for each in judged.entries if each.entry.field == field]
        rows += [(label_of(each.entry), told_words(each, figures)) for each in told]
        if not told:
            rows.append((_(FIELDS[field].label), _("not recorded")))
    return tuple(rows)


def _told_and_found(judged: Judged, figures: Figures) -> list[tuple[str, str]]:
    """Put the figures that were told beside those that follow from the facts."""
    stated = judged.evidence.stated if judged.evidence is not None else None
    outcome = judged.verification.outcome if judged.verification is not None else None
    if stated is None or outcome is None:
        return []
    share, delta = outcome.fresh.share, outcome.balance.delta_ul
    unknown = _("cannot be said")
    rows = []
    if stated.delta_ul is not None:
        rows.append((_("Came in low by, as told"), figures.volume(stated.delta_ul)))
        rows.append((_("as it follows"), unknown if delta is None else figures.volume(delta)))
    if stated.fresh_percent is not None:
        rows.append((_("New fluid, as told"), f"{stated.fresh_percent} %"))
        rows.append((_("as it follows"), unknown if share is None else figures.percent(share)))
    if stated.proven is not None:
        rows.append((_("Level, as told"), _("set") if stated.proven else _("not shown to be set")))
        rows.append((_("as it follows"), outcome.proof.sentence))
    return rows


def kept_rules(judged: Judged) -> tuple[RuleWords, ...]:
    """Give the rules that nothing in the record speaks against."""
    if judged.verification is None:
        return ()
    broken = {each.rule for each in judged.verification.findings}
    return tuple(
        RuleWords(
            mark="fine",
            name=_capital(_(rule.value)),
            weight=_("nothing against it"),
            sentence="",
            asks=asks(rule),
        )
        for rule in Rule
        if rule not in broken
    )


def kept_words(count: int) -> str:
    """Say how many rules have nothing against them."""
    words = ngettext("{n} rule has nothing against it", "{n} rules have nothing against them", count)
    return words.format(n=count)


def told_by_code(judged: Judged) -> Rows:
    """Give what a code tells, in both systems of units."""
    return judged.code.told() if judged.code is not None else ()


def record_state(row: RecordRow) -> str:
    """Say whether a record is finished."""
    return _("Finished") if row.finished else _("Begun")


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
