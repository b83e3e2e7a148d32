"""The priced lines of a work order as texts to type into, and what they come to while one types."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.pricing import LineKind, PricedLine, price
from shopdesk.domain.tax import TaxRounding
from shopdesk.domain.text import match_key
from shopdesk.services.board import WorkOrderView
from shopdesk.services.figures import Figures, shown_unit
from shopdesk.services.items import ItemKind, ItemView
from shopdesk.services.lines import CONDITIONS, LineRow, LineTyped
from shopdesk.services.paper_parts import LINE_KIND_WORDS
from shopdesk.services.typed import Typed
from shopdesk.ui.presenters.exact import exact_pieces, plain_money

Choices = list[tuple[str, str]]

#: Names of a line's cells; a refusal calls them by other names.
CELL_OF_FIELD = {
    "text": "text",
    "item": "text",
    "quantity": "quantity",
    "quantity_unit": "unit",
    "unit_price": "price",
    "discount": "discount",
    "condition": "condition",
    "kind": "kind",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class LineTexts:
    """One line as it stands in the editor. ``item`` names the item it came from, if it did."""

    kind: str = LineKind.LABOUR.value
    text: str = ""
    quantity: str = "1"
    unit: str = "h"
    price: str = ""
    discount: str = ""
    condition: str = ""
    item: str = ""
    tax_class: str = ""
    unit_id: str = ""


NAMES = tuple(field.name for field in fields(LineTexts))


def texts_of_row(row: LineRow, figures: Figures) -> LineTexts:
    """Give a kept line as texts that read back as the same line."""
    digits = figures.shop.currency.digits
    return LineTexts(
        kind=row.kind.value,
        text=row.text,
        quantity=exact_pieces(row.quantity_milli),
        unit=row.quantity_unit,
        price=plain_money(row.unit_price_minor, digits),
        discount=plain_money(row.discount_minor, digits) if row.discount_minor else "",
        condition=row.condition,
        item=row.item_name,
        tax_class=row.tax_class,
        unit_id=str(row.unit_id or ""),
    )


def lines_of(view: WorkOrderView, figures: Figures) -> tuple[LineTexts, ...]:
    """Give all kept lines of a work order."""
    return tuple(texts_of_row(row, figures) for row in view.lines)


def typed_line(line: LineTexts) -> LineTyped:
    """Give the line as a command takes it."""
    return LineTyped(
        kind=LineKind(line.kind),
        text=line.text,
        quantity=line.quantity or "1",
        quantity_unit=line.unit,
        unit_price=line.price,
        discount=line.discount,
        tax_class=line.tax_class,
        item=line.item,
        condition=line.condition if line.kind == LineKind.PART.value else "",
        unit_id=int(line.unit_id) if line.unit_id else None,
    )


def is_blank(line: LineTexts) -> bool:
    """Whether nothing was written into a line yet."""
    return not (line.text.strip() or line.price.strip() or line.discount.strip() or line.item)


def kind_choices() -> Choices:
    """Give the kinds of line. A discount is taken off another line, so it is not one of its own."""
    return [(kind.value, _(LINE_KIND_WORDS[kind])) for kind in LineKind if kind is not LineKind.DISCOUNT]


def condition_choices() -> Choices:
    """Give the conditions of a part."""
    return [
        (word, _("{condition} part").format(condition=_(word).capitalize())) for word in CONDITIONS if word
    ]


def by_key(goods: Iterable[ItemView]) -> dict[str, ItemView]:
    """Give items by the form in which names are compared."""
    return {match_key(item.name): item for item in goods}


def from_item(line: LineTexts, item: ItemView, figures: Figures) -> LineTexts:
    """Give a line with an item's kind, unit and price."""
    kind = LineKind.FLUID if item.kind is ItemKind.FLUID else LineKind.PART
    return LineTexts(
        kind=kind.value,
        text=item.name,
        quantity=line.quantity or "1",
        unit=item.sale_unit,
        price=plain_money(item.price_minor, figures.shop.currency.digits),
        discount=line.discount,
        condition="new" if kind is LineKind.PART else "",
        item=item.name,
        unit_id=line.unit_id,
    )


def usual_unit(kind: str) -> str:
    """Give the unit a line of a kind is counted in when it comes from no item."""
    return "h" if kind == LineKind.LABOUR.value else ""


def net_of(line: LineTexts, typed: Typed) -> int | None:
    """Give what a line comes to before tax, in minor units; None while it cannot be read."""
    try:
        priced = PricedLine(
            kind=LineKind(line.kind),
            text=line.text,
            quantity_milli=typed.pieces(line.quantity or "1", "quantity"),
            unit_price_minor=typed.money(line.price, "unit_price"),
            discount_minor=typed.money(line.discount, "discount") if line.discount.strip() else 0,
        )
        return price([priced], TaxRounding.RATE).net_minor
    except RuleBroken:
        return None


def net_of_all(lines: Iterable[LineTexts], typed: Typed) -> tuple[int, int]:
    """Give the sum before tax of the lines that can be read, and how many cannot."""
    nets = [net_of(line, typed) for line in lines if not is_blank(line)]
    return sum(net for net in nets if net is not None), nets.count(None)


def flat(lines: Sequence[LineTexts]) -> dict[str, str]:
    """Give lines as the texts of a draft."""
    texts = {"lines": str(len(lines))}
    for number, line in enumerate(lines):
        texts |= {f"{number}:{name}": getattr(line, name) for name in NAMES}
    return texts


def unflat(texts: Mapping[str, str]) -> tuple[LineTexts, ...]:
    """Give the lines of a draft."""
    count = texts.get("lines", "0")
    number = int(count) if count.isdecimal() and len(count) < 5 else 0
    return tuple(LineTexts(**{name: texts.get(f"{at}:{name}", "") for name in NAMES}) for at in range(number))


def place_of(path: str) -> tuple[int, str] | None:
    """Give the line and cell a refusal is about: ``lines/2/unit_price`` is the third one's price."""
    parts = path.strip("/").split("/")
    if len(parts) < 3 or parts[0] != "lines" or not parts[1].isdecimal():
        return None
    return int(parts[1]), CELL_OF_FIELD.get(parts[2], "text")


def line_words(line: LineTexts) -> str:
    """Give a line in words, to show beside another version of it."""
    unit = shown_unit(line.unit)
    parts = [line.text, f"{line.quantity} {unit}".strip(), f"× {line.price}"]
    if line.discount:
        parts.append(_("less {amount}").format(amount=line.discount))
    return "  ".join(parts)


def sums(view: WorkOrderView, figures: Figures) -> tuple[tuple[str, str], ...]:
    """Give what the kept lines come to."""
    by_kind: dict[LineKind, int] = {}
    for row in view.lines:
        by_kind[row.kind] = by_kind.get(row.kind, 0) + row.net_minor
    named = [(_(LINE_KIND_WORDS[kind]), figures.money(minor, sign=False)) for kind, minor in by_kind.items()]
    return (
        *named,
        (_("Net"), figures.money(view.net_minor, sign=False)),
        (_("Tax"), figures.money(view.tax_minor, sign=False)),
        (_("Total"), figures.money(view.total_minor)),
    )
