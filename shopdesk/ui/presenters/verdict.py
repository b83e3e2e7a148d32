"""What follows from a service record, in words: the level, the balance, the new fluid, what is due next."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from gettext import gettext as _
from gettext import ngettext

from shopdesk.domain.budget import BalanceTerm, Term
from shopdesk.domain.deviations import Deviation, deviations
from shopdesk.domain.intervals import NextDue
from shopdesk.domain.level import Arrived, Balance, arrived_words
from shopdesk.domain.methods import ServiceMethod
from shopdesk.domain.proof import ConditionState, ProofVerdict
from shopdesk.domain.record import ASSUMED_DENSITY_KG_M3, Entry, Facts
from shopdesk.domain.stop_rule import Stop, stop_rule
from shopdesk.services.bay import RecordView
from shopdesk.services.figures import Figures
from shopdesk.ui.presenters.shown import Shown, facts_of, reading_rows

Rows = tuple[tuple[str, str], ...]

#: Names of the drawn marks (State) by what the record says of a condition.
MARK_OF_CONDITION: dict[ConditionState, str] = {
    ConditionState.MET: "fine",
    ConditionState.NOT_MET: "late",
    ConditionState.NOT_RECORDED: "unknown",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class ConditionWords:
    """One condition of the level: its mark, its words, what the record says, and by what it was judged."""

    mark: str
    text: str
    state: str
    detail: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Worked:
    """A derived figure: its name and words, its mark, and where it came from."""

    words: str
    label: str = ""
    mark: str = "plain"
    note: str = ""
    rows: Rows = ()
    formula: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class GlassWords:
    """One tube of the balance: how full against the largest, the quantity, and what it is."""

    name: str
    figure: str
    full: float


def conditions(view: Shown, figures: Figures) -> tuple[ConditionWords, ...]:
    """Give every condition of the sheet with what the record says of it."""
    from shopdesk.services.record_paper import condition_value

    return tuple(
        ConditionWords(
            mark=MARK_OF_CONDITION[each.state],
            text=each.text[:1].upper() + each.text[1:],
            state=_(each.state.value),
            detail=condition_value(figures, each) or _wanted(figures, each.low, each.high, each.key),
        )
        for each in view.outcome.proof.conditions
    )


def _wanted(figures: Figures, low: int | None, high: int | None, key: str) -> str:
    return figures.window(low, high) if key.startswith("window") else ""


def level_sentence(view: Shown) -> tuple[str, str]:
    """Give the mark and a short sentence on the level as a whole."""
    proof = view.outcome.proof
    counts = [each.state for each in proof.conditions]
    if proof.verdict is ProofVerdict.PROVEN:
        return "fine", proof.sentence
    if proof.verdict is ProofVerdict.TOO_LOW:
        return "late", proof.sentence
    not_met, unknown = counts.count(ConditionState.NOT_MET), counts.count(ConditionState.NOT_RECORDED)
    parts = []
    if not_met:
        parts.append(ngettext("{n} condition not met", "{n} conditions not met", not_met).format(n=not_met))
    if unknown:
        parts.append(ngettext("{n} not recorded yet", "{n} not recorded yet", unknown).format(n=unknown))
    return ("late" if not_met else "unknown"), ", ".join(parts)


_MARK_OF_ARRIVAL = {
    Arrived.LOW: "soon",
    Arrived.HIGH: "soon",
    Arrived.AT_LEAST_LOW: "soon",
    Arrived.NO_DIFFERENCE: "fine",
    Arrived.CANNOT_SAY: "unknown",
}


def balance(view: Shown, figures: Figures) -> Worked:
    """Say how the unit came in, with every term of the balance behind it."""
    found = view.outcome.balance
    label, words = _balance_words(found, figures)
    return Worked(
        label=label,
        words=words,
        mark=_MARK_OF_ARRIVAL[found.arrived],
        note=_balance_note(found),
        rows=(*_term_rows(found, figures), *reading_rows(view, _VOLUMES, figures)),
        formula=_(
            "put in − left in the hose − spilled − ran out − drained − left in the old filter, "
            "each brought to {reference}, the sum to the level's temperature; ± is twice the standard "
            "uncertainty."
        ).format(reference=figures.temperature(15_000)),
    )


def _balance_words(found: Balance, figures: Figures) -> tuple[str, str]:
    if found.missing:
        return _("How it came in"), _("Cannot be said yet")
    if found.arrived is Arrived.NO_DIFFERENCE:
        return _("How it came in"), _("No difference found")
    if found.arrived is Arrived.CANNOT_SAY or found.delta_ul is None:
        return _("How it came in"), _("Cannot be said")
    words = arrived_words(found.arrived)
    spread = f" ± {figures.volume(found.two_u_ul)}" if found.two_u_ul is not None else ""
    return f"{words[:1].upper()}{words[1:]}", f"{figures.volume(abs(found.delta_ul))}{spread}"


def _balance_note(found: Balance) -> str:
    if found.missing:
        return _("Not measured yet: {what}.").format(what=", ".join(_(term.value) for term in found.missing))
    return found.reason


_PLUS = (Term.PUT_IN, Term.FOUND_ADDED)
_MINUS = (
    Term.LEFT_IN_HOSE,
    Term.SPILLED,
    Term.RAN_OUT,
    Term.DRAINED,
    Term.OLD_FILTER,
    Term.FOUND_RAN_OUT,
)
_VOLUMES = (
    "found_added",
    "found_ran_out",
    "put_in",
    "left_in_hose",
    "spilled",
    "ran_out",
    "drained",
    "old_filter",
    "ambient",
    "open_temperature",
    "close_temperature",
)


def _term_rows(found: Balance, figures: Figures) -> Iterable[tuple[str, str]]:
    for term in found.terms:
        yield _(term.name.value).capitalize(), f"{_signed(term, figures)}± {_spread(term, figures)}"
    if found.delta_ul is not None and found.two_u_ul is not None:
        total = f"{figures.volume(found.delta_ul)} ± {figures.volume(found.two_u_ul, places=3)}"
        yield _("Difference at the level's temperature"), total
    if found.dominant:
        yield _("Largest part of the uncertainty"), _(str(found.dominant))
    for assumption in found.assumptions:
        yield _("Assumed"), assumption


def glasses(put_in: int | None, spilled: int | None, ran_out: int | None, drained: int | None,
            figures: Figures) -> tuple[GlassWords, ...]:  # fmt: skip
    """Give the four tubes: what came out and what went in, against the largest of them."""
    named = (
        (_("Drained"), drained),
        (_("Put in"), put_in),
        (_("Spilled"), spilled),
        (_("Ran out at level check"), ran_out),
    )
    top = max((value or 0 for _name, value in named), default=0)
    return tuple(
        GlassWords(
            name=name,
            figure="—" if value is None else figures.volume(value),
            full=0.0 if not value or not top else value / top,
        )
        for name, value in named
    )


def totals(view: Shown, live: Mapping[str, int]) -> dict[str, int | None]:
    """Give the volumes put in, spilled, run out and drained, ``live`` ones in place of kept ones."""
    facts = facts_of(view)
    found: dict[str, int | None] = {}
    for field in ("put_in", "spilled", "ran_out", "drained"):
        kept = {entry.round: entry.value_int or 0 for entry in facts.all(field)}
        for name, value in live.items():
            if name.split(":")[0] == field:
                kept[int(name.split(":")[1])] = value
        found[field] = sum(kept.values()) if kept else None
    return found


def fresh(view: Shown, figures: Figures) -> Worked:
    """Say how much of the fluid is new now, with its range."""
    found = view.outcome.fresh
    if found.share is None or found.low is None or found.high is None:
        return Worked(words=_("Cannot be said yet"), mark="unknown", note=found.reason)
    reach = _("{low} to {high}").format(low=figures.percent(found.low), high=figures.percent(found.high))
    rows = [
        (_("Mixed fully"), figures.percent(found.share)),
        (_least_words(view), figures.percent(found.low)),
        (_most_words(view), figures.percent(found.high)),
    ]
    if view.total_ul is not None:
        rows.append((_("Total capacity"), figures.volume_both(view.total_ul)))
    if view.outcome.assumed_density:
        rows.append((_("Density assumed"), f"{ASSUMED_DENSITY_KG_M3} kg/m³"))
    rows.append((_("How it was changed"), _(view.service_method.value)))
    return Worked(
        words=figures.percent(found.share),
        note=_("{reach}, by how old and new mix").format(reach=reach),
        rows=(*rows, *reading_rows(view, ("found_added", "put_in", "spilled", "ran_out"), figures)),
        formula=f"{_fresh_formula(view)}  {found.assumption}",
    )


def _fresh_formula(view: Shown) -> str:
    if view.service_method is ServiceMethod.FLOW_THROUGH:
        return _("1 − exp(−(put in − spilled) / total capacity).")
    if view.service_method is ServiceMethod.REPEATED:
        return _("1 − Π(1 − f), each filling's f = (put in − spilled) / (total capacity + ran out).")
    return _("(put in − spilled) / (total capacity + ran out).")


def _least_words(view: Shown) -> str:
    if view.service_method is ServiceMethod.FLOW_THROUGH:
        return _("At least: what ran out at the level check was new")
    return _("At least: only new fluid ran out")


def _most_words(view: Shown) -> str:
    if view.service_method is ServiceMethod.FLOW_THROUGH:
        return _("At most: old and new did not mix")
    return _("At most: only old fluid ran out")


def due(found: NextDue | None, figures: Figures, serviced: str = "") -> Worked:
    """Say when the unit is next due, whichever comes first, and why."""
    if found is None:
        return Worked(words=_("No new date"), mark="plain", note=_("A level check renews nothing."))
    parts = []
    if found.odometer_tenths is not None and found.odometer_unit is not None:
        parts.append(figures.distance(found.odometer_tenths, found.odometer_unit))
    if found.on_by_time is not None:
        parts.append(figures.day(found.on_by_time))
    if not parts:
        return Worked(words=_("Not due by a date"), mark="plain", note=found.reason)
    words = _(" or ").join(parts)
    note = _("whichever comes first") if len(parts) > 1 else ""
    rows = [
        (_("By distance about"), figures.day(found.on_by_distance) if found.on_by_distance else ""),
        (_("By time on"), figures.day(found.on_by_time) if found.on_by_time else ""),
        (_("Comes first"), _(found.decided_by.value)),
        (_("Interval from"), _(found.layer.value) if found.layer else ""),
        (_("Serviced"), serviced),
    ]
    return Worked(
        words=words,
        note=note,
        rows=tuple((name, value) for name, value in rows if value),
        formula=found.reason,
    )


def stop(view: RecordView, extra: Iterable[Entry] = ()) -> Stop:
    """Say whether the old fluid calls for a stop, typed and not kept grades counted too."""
    return stop_rule(Facts([*(each.entry for each in view.entries), *extra]))


def stop_lines(found: Stop) -> tuple[str, ...]:
    """Give the stop's sentence, why, and what is still to do."""
    reasons = "; ".join(found.reasons)
    lines = [found.sentence, reasons]
    if found.needed:
        needed = ", ".join(_(each.value) for each in found.needed)
        lines.append(_("Still to do: {what}.").format(what=needed))
    return tuple(line for line in lines if line)


def as_found(view: Shown, figures: Figures) -> Worked | None:
    """Say what the direct check of the level showed, with its terms; None where none was made."""
    found = view.outcome.found
    if found is None:
        return None
    label = _("By the check before draining")
    if found.delta_ul is None or found.two_u_ul is None or found.arrived is Arrived.CANNOT_SAY:
        return Worked(label=label, words=_("Cannot be said"), mark="unknown", note=found.reason)
    words = arrived_words(found.arrived)
    amount = f"{figures.volume(abs(found.delta_ul))} ± {figures.volume(found.two_u_ul)}"
    same = found.arrived is Arrived.NO_DIFFERENCE
    rows = [
        (_(term.name.value).capitalize(), f"{_signed(term, figures)}± {_spread(term, figures)}")
        for term in found.terms
    ]
    return Worked(
        label=label,
        words=_("No difference found") if same else f"{words[:1].upper()}{words[1:]} {amount}",
        mark=_MARK_OF_ARRIVAL[found.arrived],
        note=found.cross.sentence if found.cross is not None else "",
        rows=(*rows, (_("Difference"), amount), *reading_rows(view, _FOUND, figures)),
        formula=_("added − ran out, each brought to {reference}, the sum to the level's temperature.").format(
            reference=figures.temperature(15_000)
        ),
    )


_FOUND = ("found_added", "found_ran_out", "found_temperature")


def _signed(term: BalanceTerm, figures: Figures) -> str:
    sign = "+" if term.name in _PLUS else "−" if term.name in _MINUS else ""
    return f"{sign} {figures.volume(abs(round(term.v15_ul)))} " if sign else ""


def _spread(term: BalanceTerm, figures: Figures) -> str:
    return figures.volume(round(2 * term.u_ul), places=3)


def done_otherwise(view: RecordView, extra: Iterable[Entry] = ()) -> tuple[Deviation, ...]:
    """Give everything done otherwise than the sheet says, whether its reason is known or not."""
    facts = Facts([*(each.entry for each in view.entries), *extra])
    return deviations(facts, view.outcome, view.sheet.body)
