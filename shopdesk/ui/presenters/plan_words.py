"""Plans for new fluid in words: how often, how much fluid, what is new then, what it costs."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from gettext import gettext as _
from gettext import ngettext

from shopdesk.domain import units
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.plan import MOST_ROUNDS, Plan, PlanFor, Way, plans, rounds_needed, step_by_step
from shopdesk.services.figures import Figures, shown_unit
from shopdesk.services.typed import Typed
from shopdesk.services.unit_history import UnitAbout
from shopdesk.ui.presenters.exact import exact_volume, plain_money

_UL_PER_L = 1_000_000


@dataclass(frozen=True, kw_only=True, slots=True)
class PlanRow:
    """One plan: way, fluid, what is new afterwards, cost; ``enough``: it reaches what is wanted."""

    words: str
    fluid: str
    share: str
    cost: str
    full: float
    enough: bool
    cheapest: bool = False
    rows: tuple[tuple[str, str], ...] = ()
    formula: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Planned:
    """The plans that reach the wanted share, cheapest first; every drain and fill on the way; a sentence."""

    reaching: tuple[PlanRow, ...]
    steps: tuple[PlanRow, ...]
    sentence: str


def start_texts(about: UnitAbout, figures: Figures) -> dict[str, str]:
    """Give what is known of the unit as texts for the form."""
    shop = figures.shop
    price = ""
    if about.fluid_minor_per_l is not None:
        per_unit = about.fluid_minor_per_l * _per_unit(figures) / _UL_PER_L
        price = plain_money(round(per_unit), shop.currency.digits)
    return {
        "wanted": "80",
        "total": exact_volume(about.total_ul, shop),
        "refill": exact_volume(about.refill_ul, shop),
        "already": "0",
        "fluid_price": price,
        "waste": "0",
        "round": "0",
        "exchange": "",
    }


def _per_unit(figures: Figures) -> int:
    """How many µL one of the shop's volume units is."""
    shop = figures.shop
    unit = f"imp {shop.volume_unit}" if shop.imperial and shop.volume_unit == "qt" else shop.volume_unit
    return units.to_ul(Fraction(1), unit)


def planned(texts: Mapping[str, str], typed: Typed, figures: Figures) -> Planned:
    """Work out the plans. Raises RuleBroken naming the field that stands in the way."""
    wanted = Fraction(_percent(texts["wanted"], "wanted"), 100)
    given = _given(texts, typed, figures)
    found = plans(wanted, given)
    needed = rounds_needed(wanted, given)
    shown = MOST_ROUNDS if needed is None else min(max(3, needed + 1), MOST_ROUNDS)
    steps = tuple(step_by_step(given, shown))
    reaching = tuple(
        _row(plan, given, wanted, figures, cheapest=number == 0 and len(found) > 1)
        for number, plan in enumerate(found)
    )
    return Planned(
        reaching=reaching,
        steps=tuple(_row(plan, given, wanted, figures) for plan in steps),
        sentence=_sentence(found, wanted, given, figures),
    )


def _given(texts: Mapping[str, str], typed: Typed, figures: Figures) -> PlanFor:
    for field in ("total", "refill"):
        if not texts[field].strip():
            raise RuleBroken(_("Write a volume; without it no plan can be made."), field)
    litres = Fraction(_per_unit(figures), _UL_PER_L)
    exchange = texts["exchange"].strip()
    return PlanFor(
        total_ul=typed.volume(texts["total"], "total").value,
        refill_ul=typed.volume(texts["refill"], "refill").value,
        already=Fraction(_percent(texts["already"], "already"), 100),
        fluid_minor_per_l=_money(texts, "fluid_price", typed) / litres,
        waste_minor_per_l=_money(texts, "waste", typed) / litres,
        round_minor=_money(texts, "round", typed),
        exchange_minor=typed.money(exchange, "exchange") if exchange else None,
    )


def _money(texts: Mapping[str, str], field: str, typed: Typed) -> int:
    text = texts[field].strip()
    return typed.money(text, field) if text else 0


def _percent(text: str, field: str) -> int:
    return units.read_whole(text.strip().rstrip("% ") or "0", field=field, least=0, most=100)


def _row(
    plan: Plan, given: PlanFor, wanted: Fraction, figures: Figures, *, cheapest: bool = False
) -> PlanRow:
    return PlanRow(
        words=plan.sentence[:1].upper() + plan.sentence[1:],
        fluid=figures.volume(plan.fluid_ul),
        share=figures.percent(plan.share),
        cost=figures.money(plan.cost_minor),
        full=plan.share,
        enough=plan.share >= float(wanted) - 1e-9,
        cheapest=cheapest,
        rows=_rows(plan, given, figures),
        formula=_formula(plan),
    )


def _rows(plan: Plan, given: PlanFor, figures: Figures) -> tuple[tuple[str, str], ...]:
    per = shown_unit(figures.shop.volume_unit)
    litres = Fraction(_per_unit(figures), _UL_PER_L)
    fluid = figures.money(round(given.fluid_minor_per_l * litres))
    waste = figures.money(round(given.waste_minor_per_l * litres))
    work = given.round_minor if plan.way is Way.DRAIN_AND_FILL else given.exchange_minor or 0
    rows = [(_("Total capacity"), figures.volume_both(given.total_ul))]
    if plan.way is Way.DRAIN_AND_FILL:
        rows.append((_("One drain and fill renews"), figures.volume_both(given.refill_ul)))
    rows += [
        (_("New before"), figures.percent(float(given.already))),
        (_("Fluid put in"), figures.volume_both(plan.fluid_ul)),
        (_("Fluid, each {unit}").format(unit=per), fluid),
        (_("Getting rid of the old, each {unit}").format(unit=per), waste),
        (_("Work, each time"), figures.money(work)),
        (_("Times"), str(plan.rounds)),
    ]
    return tuple(rows)


def _formula(plan: Plan) -> str:
    if plan.way is Way.FLOW_THROUGH:
        return _(
            "New = 1 − old before × exp(−fluid / total capacity), mixing fully; cost = fluid × both prices + "
            "work."
        )
    return _(
        "New = 1 − old before × (1 − one fill / total capacity)ⁿ, mixing fully; cost = fluid × both prices + "
        "n × work."
    )


def _sentence(found: tuple[Plan, ...], wanted: Fraction, given: PlanFor, figures: Figures) -> str:
    share = figures.percent(float(wanted))
    if wanted <= given.already:
        return _("{share} is new already: nothing need be done.").format(share=share)
    by_hand = [plan for plan in found if plan.way is Way.DRAIN_AND_FILL]
    if not by_hand:
        sentence = _("{most} drain and fills do not reach {share}.")
        return sentence.format(most=MOST_ROUNDS, share=share)
    n = by_hand[0].rounds
    words = ngettext("{n} drain and fill reaches {share}", "{n} drain and fills reach {share}", n)
    said = words.format(n=n, share=share)
    machine = [plan for plan in found if plan.way is Way.FLOW_THROUGH]
    if not machine:
        return _("{said}.").format(said=said)
    more = machine[0].cost_minor - by_hand[0].cost_minor
    amount = figures.money(abs(more))
    if more >= 0:
        return _("{said}, {amount} less than a full exchange.").format(said=said, amount=amount)
    return _("{said}, {amount} more than a full exchange.").format(said=said, amount=amount)
