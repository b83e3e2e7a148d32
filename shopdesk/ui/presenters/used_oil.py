"""Texts of used oil: how full each vessel is, what moved, whether the books agree, what the rules ask."""

from collections.abc import Iterable, Mapping
from datetime import date
from gettext import gettext as _

from shopdesk.domain.dated_rules import OfferedRule
from shopdesk.domain.units import NumberStyle
from shopdesk.domain.usedoil import Reconciliation
from shopdesk.services.acting import Actor
from shopdesk.services.chosen_rules import ChosenRule
from shopdesk.services.figures import Figures
from shopdesk.services.typed import Typed
from shopdesk.services.used_oil import (
    AddUsedOil,
    CapacityView,
    CountVessel,
    Haul,
    OilMoveRow,
    SaveVessel,
    VesselRow,
)

NEARLY_FULL = 80
"""From so many per cent on a pick-up is to be ordered (common practice, no source)."""


def vessel_stands(row: VesselRow) -> tuple[str, str]:
    """Say how a vessel stands: the key of its mark, and a word."""
    if not row.active:
        return "plain", _("Not in use")
    if row.over_ul or row.held_ul < 0:
        return "late", _("Count it")
    if row.percent >= NEARLY_FULL:
        return "soon", _("Order a pick-up")
    return "plain", ""


def vessel_choices(rows: Iterable[VesselRow]) -> list[tuple[str, str]]:
    """Give the vessels in use to choose from."""
    return [(str(row.id), row.name) for row in rows if row.active]


def move_words(row: OilMoveRow) -> str:
    """Say what a move of used oil was."""
    kinds = {
        "job": _("From work"),
        "by hand": _("Put in by hand"),
        "haul": _("Oil pick-up"),
        "count": _("Counted"),
    }
    job = _("work order {number}").format(number=row.work_order_number) if row.work_order_number else ""
    parts = (kinds[row.kind], job, row.carrier, row.carrier_id, row.destination, row.document_no, row.reason)
    return ", ".join(part for part in parts if part)


def volume_words(figures: Figures, text: str) -> str:
    """Read a typed volume and write it in the shop's unit."""
    typed = Typed(shop=figures.shop, style=NumberStyle.PERSON)
    return figures.volume_both(typed.volume(text, "quantity").value)


def reconciled_words(found: Reconciliation, figures: Figures) -> str:
    """Say whether what was measured agrees with what went in and out."""
    sentence = _("At first {opening}, in {came}, picked up {gone}: {expected} expected.")
    said = sentence.format(
        opening=figures.volume(found.opening_ul),
        came=figures.volume(found.in_ul),
        gone=figures.volume(found.out_ul),
        expected=figures.volume(found.expected_ul),
    )
    if found.counted_ul is None or found.difference_ul is None:
        return f"{said} " + _("Nobody measured it in that time.")
    more = _("{counted} measured, {difference} {side} than expected: {verdict}.")
    return f"{said} " + more.format(
        counted=figures.volume(found.counted_ul),
        difference=figures.volume(abs(found.difference_ul)),
        side=_("more") if found.difference_ul >= 0 else _("less"),
        verdict=_("within what is usual") if found.agrees else _("look into it"),
    )


def capacity_words(view: CapacityView, figures: Figures) -> str:
    """Say how the oil capacity stands against the chosen figure, or that none was chosen."""
    if view.total is None:
        return _(
            "No rule on the total oil capacity is chosen, so nothing is compared. "
            "Choose below if one holds here."
        )
    total = view.total
    verdict = _("above the figure") if total.over else _("not above the figure")
    sentence = _("{n} containers that count hold {total} when full; the chosen figure is {most}: {verdict}.")
    said = sentence.format(
        n=total.counted,
        total=figures.tank(total.total_ul),
        most=figures.tank(total.most_ul),
        verdict=verdict,
    )
    return " ".join(part for part in (said, f"({view.citation})", view.remark) if part)


def rule_words(rule: OfferedRule, chosen: ChosenRule | None, figures: Figures) -> str:
    """Say what a rule asks, where it is written, and whether the shop follows it."""
    head = f"{_(rule.key.value).capitalize()}: {figures.tank(chosen.value_ul if chosen else rule.value_ul)}."
    source = _("{citation}, {place}.").format(citation=rule.citation, place=rule.place)
    if chosen is None:
        return " ".join((head, _(rule.text), source, _("Not followed here.")))
    since = _("Followed since {day}.").format(day=figures.day(chosen.from_on))
    return " ".join(part for part in (head, _(rule.text), source, since, chosen.remark) if part)


def oil_command(
    verb: str, texts: Mapping[str, str], actor: Actor, uid: str, on: date | None
) -> SaveVessel | AddUsedOil | CountVessel | Haul:
    """Give the command of the form ``verb``: vessel, add, count or haul."""
    if verb == "vessel":
        return SaveVessel(
            actor=actor, uid=uid, name=texts["name"], capacity=texts["capacity"], place=texts["place"]
        )
    vessel_id = int(texts["vessel"] or 0)
    if verb == "add":
        return AddUsedOil(
            actor=actor,
            uid=uid,
            vessel_id=vessel_id,
            quantity=texts["quantity"],
            reason=texts["reason"],
            on=on,
        )
    if verb == "count":
        return CountVessel(
            actor=actor,
            uid=uid,
            vessel_id=vessel_id,
            reading=texts["reading"],
            within=texts["within"],
            reason=texts["reason"],
        )
    return Haul(
        actor=actor,
        uid=uid,
        vessel_id=vessel_id,
        quantity=texts["quantity"],
        carrier=texts["carrier"],
        carrier_id=texts["carrier_id"],
        destination=texts["destination"],
        own_vehicle=texts["own_vehicle"] == "yes",
        document_no=texts["document_no"],
        on=on,
    )
