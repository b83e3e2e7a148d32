"""Texts of what was billed against what was used, and of whether the shelf reaches for booked work."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from gettext import gettext as _

from shopdesk.services.figures import Figures
from shopdesk.services.outlook import Enough, NeedRow, Outlook
from shopdesk.services.shelf_reports import BilledUsedRow
from shopdesk.ui.presenters.shelf import signed_stock

TOMORROW, WEEK = "tomorrow", "week"


@dataclass(frozen=True, kw_only=True, slots=True)
class ProductTotal:
    """One fluid in a month, µL."""

    item_id: int
    name: str
    jobs: int
    billed_ul: int
    used_ul: int

    @property
    def difference_ul(self) -> int:
        """Billed less used."""
        return self.billed_ul - self.used_ul


def product_totals(rows: Sequence[BilledUsedRow]) -> tuple[ProductTotal, ...]:
    """Add a month's jobs up by fluid, in the order of their names."""
    by_item: dict[int, list[BilledUsedRow]] = {}
    for row in rows:
        by_item.setdefault(row.item_id, []).append(row)
    made = [
        ProductTotal(
            item_id=item_id,
            name=each[0].name,
            jobs=len({row.work_order_id for row in each}),
            billed_ul=sum(row.billed_ul for row in each),
            used_ul=sum(row.used_ul for row in each),
        )
        for item_id, each in by_item.items()
    ]
    return tuple(sorted(made, key=lambda total: total.name.casefold()))


def difference_words(row: BilledUsedRow | ProductTotal, figures: Figures) -> str:
    """Say how much more (or less) was billed than used."""
    return signed_stock(figures, "ul", row.difference_ul)


def last_day(choice: str, today: date) -> date:
    """Give the last day that is looked at: tomorrow, or the Sunday of this week (tomorrow at least)."""
    tomorrow = today + timedelta(days=1)
    return tomorrow if choice == TOMORROW else max(tomorrow, today + timedelta(days=6 - today.weekday()))


def outlook_words(found: Outlook) -> str:
    """Say whether the shelf reaches for all of it."""
    if not found.rows:
        return _("No booked work wants anything of the shelf.")
    return {
        Enough.YES: _("Enough for all of it."),
        Enough.WITH_SUBSTITUTE: _("Enough, with another product for some of it."),
        Enough.NO: _("Not enough for all of it."),
    }[found.verdict]


def need_state(row: NeedRow) -> tuple[str, str]:
    """Say how a need stands: the key of its mark, and words."""
    mark = {Enough.YES: "fine", Enough.WITH_SUBSTITUTE: "soon", Enough.NO: "late"}[row.verdict]
    return mark, _(row.verdict).capitalize()


def need_source(row: NeedRow, figures: Figures) -> str:
    """Say where a need comes from, and what is lacking."""
    parts = [
        _("{quantity} of {name}").format(quantity=figures.stock(row.base, each.quantity), name=each.name)
        for each in row.instead
    ]
    if row.lacking:
        parts.append(_("{quantity} lacking").format(quantity=figures.stock(row.base, row.lacking)))
    return "; ".join(parts)


def booked_warning(found: Outlook, figures: Figures) -> str:
    """Say what booked work lacks altogether, item by item; nothing where the shelf reaches."""
    lacking: dict[str, tuple[str, int]] = {}
    for row in found.rows:
        if row.lacking:
            lacking[row.item] = (row.base, lacking.get(row.item, ("", 0))[1] + row.lacking)
    if not lacking:
        return ""
    items = ", ".join(f"{name} {figures.stock(base, quantity)}" for name, (base, quantity) in lacking.items())
    sentence = _("The shelf does not reach until {day}. Lacking: {items}.")
    return sentence.format(day=figures.day(found.until), items=items)
