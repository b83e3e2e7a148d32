"""How sure a balance is, what would make it surer, and what a degree is worth at the level."""

from fractions import Fraction
from gettext import gettext as _

from shopdesk.domain.budget import NO_VOLUME, LevelSetting, Term
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.improvement import Improvement, Share, dominating, improvements, usual_offers
from shopdesk.domain.level_temperature import per_degree_ul, what_if_ul
from shopdesk.domain.record import Setting, level_setting
from shopdesk.domain.units import from_ul
from shopdesk.services.bay import RecordView
from shopdesk.services.figures import Figures, shown_unit
from shopdesk.services.typed import Typed
from shopdesk.ui.presenters.shown import Shown, reading_rows
from shopdesk.ui.presenters.verdict import Worked

#: Which entries a term of the balance was read from.
FIELD_OF_TERM: dict[Term, str] = {
    Term.PUT_IN: "put_in",
    Term.LEFT_IN_HOSE: "left_in_hose",
    Term.SPILLED: "spilled",
    Term.RAN_OUT: "ran_out",
    Term.DRAINED: "drained",
    Term.OLD_FILTER: "old_filter",
    Term.FOUND_ADDED: "found_added",
    Term.FOUND_RAN_OUT: "found_ran_out",
}
_LEVEL_FIELDS = ("open_temperature", "close_temperature", "reading_temperature")


def largest_part(view: Shown, figures: Figures) -> Worked:
    """Say which instrument, or which part of the level, makes most of the balance's uncertainty."""
    shares = dominating(view.outcome.balance.terms)
    shares = tuple(share for share in shares if share.share > 0)
    if not shares:
        return Worked(words=_("Not known yet"), mark="unknown", note=_("It takes every volume, measured."))
    first = shares[0]
    fields = [FIELD_OF_TERM[term] for term in first.terms if term in FIELD_OF_TERM]
    rows = [(_name(share), figures.percent(share.share)) for share in shares]
    return Worked(
        words=f"{_name(first)}, {figures.percent(first.share)}",
        rows=(*rows, *reading_rows(view, fields or _LEVEL_FIELDS, figures)),
        formula=_("Each part's u² over the sum of all u²; u is half of the ± beside the balance."),
    )


def _name(share: Share) -> str:
    """Give the tool's name as the shop wrote it, or that of the term it stands under."""
    terms = {term.value for term in Term}
    name = _(share.instrument) if share.instrument in terms else share.instrument
    return name[:1].upper() + name[1:]


def best_help(view: Shown, figures: Figures) -> Worked:
    """Say what would make the balance surest for the money, and how sure it would be then."""
    balance = view.outcome.balance
    found = improvements(balance, usual_offers())
    if not balance.terms:
        return Worked(words=_("Not known yet"), mark="unknown")
    if not found:
        return Worked(words=_("Nothing more to gain"), note=_("Every volume was read as well as can be."))
    first = found[0]
    note = _("{term}: {what}").format(term=_(first.offer.term.value).capitalize(), what=first.offer.what)
    return Worked(
        words=_gain(first, figures),
        note=f"{note}. {_limit(view)}".strip(),
        rows=tuple((_offer(each), _gain(each, figures)) for each in found),
        formula=_(
            "√(u² − u of that reading² + u read better²), twice; how well each way reads is common "
            "practice, without a source."
        ),
    )


def _gain(found: Improvement, figures: Figures) -> str:
    before, then = (figures.volume(each, places=3) for each in (found.two_u_ul, found.two_u_then_ul))
    return f"± {before} → ± {then}"


def _offer(found: Improvement) -> str:
    return _("{term}: {what}").format(term=_(found.offer.term.value).capitalize(), what=found.offer.what)


def _limit(view: Shown) -> str:
    """The level's own part stays, however well volumes are read."""
    shares = dominating(view.outcome.balance.terms)
    if shares and all(term in NO_VOLUME for term in shares[0].terms):
        return _("Most of what is left is how well the level itself repeats: no better pan changes that.")
    return ""


def level_now(view: RecordView) -> LevelSetting | None:
    """Give at what temperature the level was set; None where that is not recorded."""
    known = any(view.facts.last(field) is not None for field in _LEVEL_FIELDS)
    return level_setting(view.facts, view.setting) if known else None


def degree(view: RecordView, level: LevelSetting | None, figures: Figures) -> Worked:
    """Say what one degree of the shop's is worth where the level was set."""
    if level is None:
        return Worked(words=_("Not known yet"), mark="unknown", note=_("It takes the level's temperature."))
    unit = figures.shop.temperature_unit
    ul = per_degree_ul(level.total_ul, level.density15, level.temp_mc)
    per = Fraction(ul) * (Fraction(5, 9) if unit == "degf" else 1)
    words = _("{amount} for 1 {unit}").format(amount=_small(per, figures), unit=shown_unit(unit))
    return Worked(
        words=words,
        rows=level_rows(view.setting, level, view.total_ul, figures)
        + tuple(reading_rows(view, _LEVEL_FIELDS, figures)),
        formula=_("total capacity × change of VCF for one degree / VCF at the level's temperature"),
    )


def what_if(
    view: RecordView, level: LevelSetting | None, text: str, typed: Typed, figures: Figures
) -> Worked | None:
    """Say how the level would stand had it been set at another temperature; None for nothing typed.

    Raises RuleBroken (field ``other``) for what is no temperature.
    """
    if not text.strip():
        return None
    if level is None:
        raise RuleBroken(_("The temperature at which the level was set is not recorded yet."), "other")
    other = typed.temperature(text, "other").value
    ul = what_if_ul(level.total_ul, level.density15, set_at_mc=level.temp_mc, other_mc=other)
    amount = _small(Fraction(abs(ul)), figures)
    if ul == 0:
        words = _("No difference")
    elif ul > 0:
        words = _("{amount} lower").format(amount=amount)
    else:
        words = _("{amount} higher").format(amount=amount)
    note = _("Set at {now}. Had it been set at {other}, it would stand so at {now}.").format(
        now=figures.temperature(level.temp_mc), other=figures.temperature(other)
    )
    return Worked(
        words=words,
        note=note,
        rows=(
            *level_rows(view.setting, level, view.total_ul, figures),
            (_("Set at instead"), figures.temperature(other)),
            *reading_rows(view, _LEVEL_FIELDS, figures),
        ),
        formula=_(
            "total capacity × (VCF where it was set − VCF at the other temperature) / VCF where it was set"
        ),
    )


def level_rows(
    setting: Setting, level: LevelSetting, total_ul: int | None, figures: Figures
) -> tuple[tuple[str, str], ...]:
    """Give what the level's arithmetic rests on; what stood in for an unknown figure is said."""
    assumed = _("{value}, assumed")
    total, density = figures.volume_both(level.total_ul), f"{level.density15} kg/m³"
    return (
        (_("Total capacity"), total if total_ul is not None else assumed.format(value=total)),
        (
            _("Fluid's density at {temperature}").format(temperature=figures.temperature(15_000)),
            density if setting.density_kg_m3 else assumed.format(value=density),
        ),
        (_("Level set at"), figures.temperature(level.temp_mc)),
    )


def _small(ul: Fraction, figures: Figures) -> str:
    """Write a small volume in mL with the shop's unit beside it."""
    whole = round(ul)
    ml = figures.number(from_ul(whole, "ml"), 1 if whole < 100_000 else 0)
    return f"{ml} mL ({figures.volume(whole, places=3)})"
