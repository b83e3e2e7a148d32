"""Texts of suppliers' bills: what was received against what is billed, and the command of the form."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.units import NumberStyle
from shopdesk.services.acting import Actor
from shopdesk.services.bills import BilledSoFar, BillLineTyped, BillMatch, EnterBill, share_received
from shopdesk.services.deliveries import DeliveryLineRow, DeliveryView
from shopdesk.services.figures import Figures
from shopdesk.services.items import ItemKind
from shopdesk.services.typed import Typed
from shopdesk.ui.presenters.buying import money_words
from shopdesk.ui.presenters.shelf import base_of, quantity_words, signed_money

_NOT_BILLED = BilledSoFar(quantity=0, amount_minor=0, received_minor=0)
LINE_PARTS = ("quantity", "amount", "core")


@dataclass(frozen=True, kw_only=True, slots=True)
class BillRow:
    """One delivered line with what was billed of it over all bills."""

    delivery: DeliveryView
    line: DeliveryLineRow
    billed: BilledSoFar

    @property
    def open(self) -> int:
        """What was accepted and is not billed yet, in the base unit."""
        return max(self.line.quantity - self.billed.quantity, 0)


def bill_rows(deliveries: Iterable[DeliveryView], billed: Mapping[int, BilledSoFar]) -> tuple[BillRow, ...]:
    """Give every line of which something was accepted, the oldest delivery first."""
    return tuple(
        BillRow(delivery=delivery, line=line, billed=billed.get(line.id, _NOT_BILLED))
        for delivery in sorted(deliveries, key=lambda each: each.id)
        for line in delivery.lines
        if line.quantity
    )


def difference_words(figures: Figures, minor: int) -> str:
    """Write billed less received with its sign."""
    return signed_money(figures, minor) or figures.money(0)


def received_words(row: BillRow, figures: Figures) -> str:
    """Say what was received under which number, and what of it waits for a bill."""
    line, stock = row.line, figures.stock
    sentence = _("{item}: {quantity} received under {number} for {cost}")
    said = sentence.format(
        item=line.item,
        quantity=stock(line.base, line.quantity),
        number=row.delivery.document_no,
        cost=figures.money(line.goods_minor),
    )
    if line.core_minor:
        said += " · " + _("{deposit} core deposit").format(deposit=figures.money(line.core_minor))
    if row.billed.quantity:
        said += " · " + _("{quantity} not billed yet").format(quantity=stock(line.base, row.open))
    return said


def delivery_words(rows: Iterable[BillRow], figures: Figures) -> list[str]:
    """Say the price difference of each delivery of which something was billed."""
    groups: dict[int, list[BillRow]] = {}
    for row in rows:
        if row.billed.quantity:
            groups.setdefault(row.delivery.id, []).append(row)
    sentence = _(
        "Price difference of delivery {number}: {difference} (billed {billed}, received {received})."
    )
    return [
        sentence.format(
            number=group[0].delivery.document_no,
            difference=difference_words(figures, sum(row.billed.difference_minor for row in group)),
            billed=figures.money(sum(row.billed.amount_minor for row in group)),
            received=figures.money(sum(row.billed.received_minor for row in group)),
        )
        for group in groups.values()
    ]


def billed_quantity(row: BillRow, text: str, figures: Figures, field: str) -> int:
    """Read how much is billed; left empty, all that was accepted. Refuses it empty when a part was billed."""
    if text.strip():
        typed = Typed(shop=figures.shop, style=NumberStyle.PERSON)
        fluid = row.line.base == base_of(ItemKind.FLUID)
        return typed.volume(text, field).value if fluid else typed.pieces(text, field)
    if row.billed.quantity:
        sentence = _("A part was billed before; write how much this bill is for. {quantity} is open.")
        raise RuleBroken(sentence.format(quantity=figures.stock(row.line.base, row.open)), field)
    return row.line.quantity


def quantity_shown(row: BillRow, text: str, figures: Figures) -> str:
    """Read a typed quantity of a line and write it in the shop's unit."""
    fluid = row.line.base == base_of(ItemKind.FLUID)
    return quantity_words(figures, ItemKind.FLUID if fluid else ItemKind.PART, text)


def line_difference(row: BillRow, quantity: str, amount: str, figures: Figures) -> int:
    """Give what a typed line is billed more than it was received at, beside what was billed before."""
    billed = billed_quantity(row, quantity, figures, "quantity") + row.billed.quantity
    typed = Typed(shop=figures.shop, style=NumberStyle.PERSON).money(amount, "amount")
    received = share_received(row.line.goods_minor, row.line.quantity, billed) - row.billed.received_minor
    return typed - received


def amount_words(row: BillRow, quantity: str, amount: str, figures: Figures) -> str:
    """Say beneath an amount how it stands to what was received."""
    shown = money_words(figures, amount, "amount")
    try:
        difference = line_difference(row, quantity, amount, figures)
    except RuleBroken:  # the quantity says by itself what is wrong with it
        return shown
    if not difference:
        return _("as received")
    return _("{difference} against what was received").format(
        difference=difference_words(figures, difference)
    )


def sums_words(rows: Iterable[BillRow], texts: Mapping[str, str], figures: Figures) -> str:
    """Say what the typed bill comes to and its difference in total; nothing until it can be read."""
    typed = Typed(shop=figures.shop, style=NumberStyle.PERSON)
    total = difference = 0
    try:
        for row in rows:
            quantity, amount, core = (texts[f"{row.line.id}/{part}"] for part in LINE_PARTS)
            if amount.strip():
                total += typed.money(amount, "amount") + typed.money(core.strip() or "0", "core")
                difference += line_difference(row, quantity, amount, figures)
        total += sum(typed.money(texts[name].strip() or "0", name) for name in ("freight", "tax"))
    except RuleBroken:
        return ""
    sentence = _("Lines, freight and tax come to {sum}. Goods against what was received: {difference}.")
    return sentence.format(sum=figures.money(total), difference=difference_words(figures, difference))


def bill_command(
    texts: Mapping[str, str],
    rows: Iterable[BillRow],
    supplier_id: int,
    figures: Figures,
    actor: Actor,
    uid: str,
    *,
    on: date,
) -> tuple[EnterBill, tuple[int, ...]]:
    """Give the command that keeps a bill, and which delivered line each of its lines is."""
    lines = []
    for row in rows:
        cells = {part: texts[f"{row.line.id}/{part}"].strip() for part in LINE_PARTS}
        if not any(cells.values()):
            continue
        if not cells["amount"]:
            raise RuleBroken(_("Write what is billed for it."), f"{row.line.id}/amount")
        billed_quantity(row, cells["quantity"], figures, f"{row.line.id}/quantity")
        core = cells.pop("core") or "0"
        lines.append(BillLineTyped(delivery_line_id=row.line.id, core=core, **cells))
    if not lines:
        raise RuleBroken(_("Write what is billed, at least for one line."), "")
    command = EnterBill(
        actor=actor,
        uid=uid,
        supplier_id=supplier_id,
        bill_no=texts["bill_no"],
        billed_on=on,
        lines=tuple(lines),
        freight=texts["freight"].strip() or "0",
        tax=texts["tax"].strip() or "0",
        total=texts["total"],
        note=texts["note"],
    )
    return command, tuple(line.delivery_line_id for line in lines)


def bill_field(field: str, places: tuple[int, ...]) -> str:
    """Give the form's own field for the one a bill was refused for."""
    group, _slash, rest = field.partition("/")
    at, _slash, part = rest.partition("/")
    if group == "lines" and at.isdecimal() and int(at) < len(places):
        return f"{places[int(at)]}/{part}"
    return field


def bill_words(bill: BillMatch) -> str:
    """Say what differs of a kept bill, line by line, or that it agrees."""
    said = [f"{line.item}: {remark}" for line in bill.lines for remark in line.remarks]
    return " · ".join([*said, *bill.remarks]) or _("Order, delivery and bill agree.")
