"""Texts of buying: what to order and why, how orders stand, and the commands of their forms."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from gettext import gettext as _
from gettext import ngettext

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.ledger import FreightBy
from shopdesk.domain.units import NumberStyle
from shopdesk.services.acting import Actor
from shopdesk.services.buying import (
    OrderLineTyped,
    OrderLineView,
    OrderRow,
    OrderState,
    OrderView,
    SaveOrder,
    SaveSupplier,
    SupplierRow,
)
from shopdesk.services.deliveries import DeliveryLineTyped, ReceiveDelivery
from shopdesk.services.figures import Figures
from shopdesk.services.items import ItemView
from shopdesk.services.ordering_hints import OrderHintRow
from shopdesk.services.typed import Typed
from shopdesk.ui.presenters.shelf import find_item

ORDER_PARTS = ("item", "packages", "price")


def to_order(rows: Iterable[OrderHintRow]) -> tuple[OrderHintRow, ...]:
    """Give what the owner's marks ask for, by supplier and name."""
    wanted = [row for row in rows if row.packages]
    return tuple(sorted(wanted, key=lambda row: (row.supplier or "\N{REPLACEMENT CHARACTER}", row.name)))


def marks_words(row: OrderHintRow, figures: Figures) -> str:
    """Say the owner's marks of an item."""
    at = figures.stock(row.base, row.order_at) if row.order_at is not None else ""
    full = figures.stock(row.base, row.fill_to) if row.fill_to is not None else ""
    return " – ".join(part for part in (at, full) if part)


def basis_words(row: OrderHintRow, figures: Figures) -> str:
    """Say what a suggestion rests on: the owner's marks first, the formula beside them."""
    held = figures.stock(row.base, row.usable - row.reserved)
    coming = figures.stock(row.base, row.on_order)
    sentence = _("{item}: your marks are {marks}; {held} free on the shelf, {coming} on order.")
    said = sentence.format(item=row.name, marks=marks_words(row, figures), held=held, coming=coming)
    if row.hint is None:
        return f"{said} {row.basis}"
    hint = _("By the formula one would order at {quantity}: {basis}")
    point = figures.stock(row.base, row.hint.point)
    return f"{said} {hint.format(quantity=point, basis=row.basis)}"


def order_stands(row: OrderRow) -> tuple[str, str]:
    """Say how an order stands: the key of its mark, and a word."""
    if row.overdue:
        return "late", _("Overdue")
    words = {
        OrderState.DRAFT: ("soon", _("Not sent")),
        OrderState.ORDERED: ("plain", _("On its way")),
        OrderState.CLOSED: ("fine", _("Came")),
        OrderState.CANCELLED: ("plain", _("Cancelled")),
    }
    return words[row.state]


def line_words(line: OrderLineView, figures: Figures) -> str:
    """Say what was ordered of an item, what came and what is still to come."""
    ordered = ngettext("{n} × {package}", "{n} × {package}", line.packages).format(
        n=figures.number(line.packages, 0), package=line.package_text
    )
    came = _("{quantity} came").format(quantity=figures.stock(line.base, line.received))
    waiting = _("{quantity} to come").format(quantity=figures.stock(line.base, line.open))
    return " · ".join((ordered, came, waiting)) if line.received else ordered


def supplier_choices(rows: Iterable[SupplierRow]) -> list[tuple[str, str]]:
    """Give the suppliers to choose from."""
    return [(str(row.id), row.name) for row in rows if row.active]


def supplier_command(texts: Mapping[str, str], actor: Actor, uid: str) -> SaveSupplier:
    """Give the command that puts a supplier on the list."""
    return SaveSupplier(actor=actor, uid=uid, **texts)  # type: ignore[arg-type]


def money_words(figures: Figures, text: str, field: str) -> str:
    """Read a typed amount and write it as the shop does."""
    return figures.money(Typed(shop=figures.shop, style=NumberStyle.PERSON).money(text, field))


def order_command(
    texts: Mapping[str, str],
    rows: int,
    items: Iterable[ItemView],
    actor: Actor,
    uid: str,
    *,
    expected_on: date | None,
    before: OrderView | None,
) -> tuple[SaveOrder, tuple[int, ...]]:
    """Give the command that keeps a draft, and which row of the form each of its lines is."""
    if not texts["supplier"]:
        raise RuleBroken(_("Put a supplier on the list first."), "supplier")
    known = tuple(items)
    lines, places = [], []
    for row in range(rows):
        name, packages, price = (texts[f"lines/{row}/{part}"] for part in ORDER_PARTS)
        if not (name.strip() or packages.strip()):
            continue
        try:
            goods = find_item(known, name)
        except RuleBroken as refusal:
            refusal.field = f"lines/{row}/item"
            raise
        lines.append(OrderLineTyped(item_id=goods.id, packages=packages, price=price or "0"))
        places.append(row)
    command = SaveOrder(
        actor=actor,
        uid=uid,
        order_id=before.id if before else None,
        version=before.version if before else 0,
        supplier_id=int(texts["supplier"]),
        expected_on=expected_on,
        note=texts["note"],
        lines=tuple(lines),
    )
    return command, tuple(places)


def field_in_form(field: str, places: Sequence[int]) -> str:
    """Give the form's own field for the one a command was refused for."""
    group, _slash, rest = field.partition("/")
    at, _slash, part = rest.partition("/")
    if group == "lines" and at.isdecimal() and int(at) < len(places):
        return f"lines/{places[int(at)]}/{part}"
    return "lines/0/item" if field == "lines" else field


def delivery_command(
    texts: Mapping[str, str],
    order: OrderView,
    items: Iterable[ItemView],
    actor: Actor,
    uid: str,
    *,
    on: date | None,
    best_before: Mapping[int, date | None],
) -> tuple[ReceiveDelivery, tuple[int, ...]]:
    """Give the command that receives an order, and which row of the form each of its lines is.

    A line for which something else came is received as that, under the line it was ordered by.
    """
    known = tuple(items)
    lines, places = [], []
    for row, line in enumerate(order.lines):
        cells = {
            part: texts[f"lines/{row}/{part}"] for part in ("packages", "damaged", "cost", "lot", "note")
        }
        if not (cells["packages"].strip() or cells["damaged"].strip()):
            continue
        item_id = _came(known, texts, row, line.item_id)
        lines.append(
            DeliveryLineTyped(
                item_id=item_id, purchase_line_id=line.id, best_before=best_before.get(row), **cells
            )
        )
        places.append(row)
    if not lines:
        raise RuleBroken(_("Write what came, such as 4 packages."), "lines/0/packages")
    command = ReceiveDelivery(
        actor=actor,
        uid=uid,
        supplier_id=order.supplier.id,
        order_id=order.id,
        document_no=texts["document_no"],
        on=on,
        freight=texts["freight"] or "0",
        freight_by=FreightBy(texts["freight_by"] or FreightBy.VALUE),
        lines=tuple(lines),
    )
    return command, tuple(places)


def _came(items: tuple[ItemView, ...], texts: Mapping[str, str], row: int, ordered: int) -> int:
    instead = f"lines/{row}/instead"
    if not texts[instead].strip():
        return ordered
    try:
        return find_item(items, texts[instead]).id
    except RuleBroken as refusal:
        refusal.field = instead
        raise
