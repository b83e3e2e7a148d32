"""The priced lines of a work order: reading them as typed, keeping them, adding them up."""

from collections.abc import Sequence
from dataclasses import dataclass
from gettext import gettext as _
from typing import Any

from sqlalchemy import delete, select

from shopdesk.domain import text
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.pricing import LineKind, PricedLine, Totals, price
from shopdesk.domain.tax import TaxRate, rates_on
from shopdesk.persistence.tables.billing import tax_class
from shopdesk.persistence.tables.customers import customer
from shopdesk.persistence.tables.stock import item
from shopdesk.persistence.tables.work import work_order, work_order_line
from shopdesk.services.acting import AnyRow, Reading, Writing
from shopdesk.services.items import ItemView, item_by_name
from shopdesk.services.setup import FEES, LABOUR, PARTS, class_id_of, dated_rates
from shopdesk.services.typed import under

USUAL_CLASS = {
    LineKind.LABOUR: LABOUR,
    LineKind.FLUID: PARTS,
    LineKind.PART: PARTS,
    LineKind.FEE: FEES,
    LineKind.SUBLET: LABOUR,
}
CONDITIONS = ("", "new", "used", "rebuilt", "reconditioned")


@dataclass(frozen=True, kw_only=True, slots=True)
class LineTyped:
    """One line as typed. With an ``item`` its name, price, unit and tax class are the defaults.

    ``discount`` is money off the line; an empty ``unit_price`` without an item is refused.
    """

    kind: LineKind
    text: str = ""
    quantity: str = "1"
    quantity_unit: str = ""
    unit_price: str = ""
    discount: str = ""
    tax_class: str = ""
    item: str = ""
    condition: str = ""
    unit_id: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class LineRow:
    """One kept line; money in minor units, the quantity in thousandths of its unit."""

    position: int
    kind: LineKind
    text: str
    condition: str
    quantity_milli: int
    quantity_unit: str
    unit_price_minor: int
    discount_minor: int
    tax_class: str
    item_id: int | None
    item_name: str
    unit_id: int | None
    net_minor: int
    tax_minor: int


@dataclass(frozen=True, kw_only=True, slots=True)
class PricedWork:
    """A work order's lines with what they come to."""

    lines: tuple[LineRow, ...]
    totals: Totals
    rates: tuple[tuple[TaxRate, ...], ...]

    def rate_names(self, position: int) -> str:
        """Give the names of the rates on the line at this position, empty when it is not taxed."""
        return ", ".join(rate.name for rate in self.rates[position - 1])


def keep_lines(writing: Writing, work_order_id: int, lines: Sequence[LineTyped]) -> None:
    """Put these lines in the place of the work order's lines."""
    writing.connection.execute(
        delete(work_order_line).where(work_order_line.c.work_order_id == work_order_id)
    )
    rows = []
    for position, line in enumerate(lines, start=1):
        with under(f"lines/{position - 1}"):
            rows.append({"work_order_id": work_order_id, "position": position, **_values(writing, line)})
    writing.add_all(work_order_line, rows)


def _values(writing: Writing, line: LineTyped) -> dict[str, object]:
    typed = writing.typed_here()
    goods = item_by_name(writing, line.item, "item") if line.item.strip() else None
    class_name = line.tax_class or ("" if goods else USUAL_CLASS.get(line.kind, PARTS))
    if line.condition not in CONDITIONS:
        sentence = _("A part is new, used, rebuilt or reconditioned.")
        raise RuleBroken(sentence, "condition")
    quantity = typed.pieces(line.quantity, "quantity")
    if quantity <= 0:
        raise RuleBroken(_("A line has a quantity above nothing, such as 1 or 0.5."), "quantity")
    return {
        "unit_id": line.unit_id,
        "kind": line.kind.value,
        "text": text.required(
            line.text or (goods.name if goods else ""),
            field="text",
            label=_("what the line is for"),
            most=4000,
        ),
        "condition": line.condition or ("new" if line.kind is LineKind.PART else ""),
        "quantity_milli": quantity,
        "quantity_unit": text.clean(line.quantity_unit, field="quantity_unit", most=20) or _unit(line, goods),
        "unit_price_minor": _unit_price(writing, line, goods),
        "discount_minor": typed.money(line.discount, "discount") if line.discount.strip() else 0,
        "tax_class_id": class_id_of(writing, class_name, "tax_class") if class_name else goods.tax_class_id,  # type: ignore[union-attr]
        "item_id": goods.id if goods else None,
    }


def _unit(line: LineTyped, goods: ItemView | None) -> str:
    if goods is not None:
        return goods.sale_unit
    return "h" if line.kind is LineKind.LABOUR else ""


def _unit_price(writing: Writing, line: LineTyped, goods: ItemView | None) -> int:
    if line.unit_price.strip():
        return writing.typed_here().money(line.unit_price, "unit_price")
    if goods is None:
        raise RuleBroken(_("Write the price of one, such as 120.00."), "unit_price")
    return goods.price_minor


def priced_work(reading: Reading, work_order_id: int) -> PricedWork:
    """Give the work order's lines, taxed as of today, with their totals."""
    rows = _kept(reading, work_order_id)
    kind = reading.connection.execute(
        select(customer.c.kind)
        .join(work_order, work_order.c.customer_id == customer.c.id)
        .where(work_order.c.id == work_order_id)
    ).scalar_one()
    rates = dated_rates(reading)
    priced = [
        PricedLine(
            kind=LineKind(row.kind),
            text=row.text,
            quantity_milli=row.quantity_milli,
            unit_price_minor=row.unit_price_minor,
            discount_minor=row.discount_minor,
            rates=rates_on(
                rates, tax_class=row.tax_class, place=reading.shop.place, customer_kind=kind, on=reading.today
            ),
        )
        for row in rows
    ]
    totals = price(priced, reading.shop.tax_rounding)
    lines = tuple(
        LineRow(net_minor=total.net_minor, tax_minor=total.tax_minor, **_shown(row))
        for row, total in zip(rows, totals.lines, strict=True)
    )
    return PricedWork(lines=lines, totals=totals, rates=tuple(line.rates for line in priced))


def _kept(reading: Reading, work_order_id: int) -> Sequence[AnyRow]:
    return reading.connection.execute(
        select(
            work_order_line,
            tax_class.c.name.label("tax_class"),
            item.c.name.label("item_name"),
        )
        .join(tax_class, tax_class.c.id == work_order_line.c.tax_class_id)
        .outerjoin(item, item.c.id == work_order_line.c.item_id)
        .where(work_order_line.c.work_order_id == work_order_id)
        .order_by(work_order_line.c.position)
    ).all()


def _shown(row: AnyRow) -> dict[str, Any]:
    return {
        "position": row.position,
        "kind": LineKind(row.kind),
        "text": row.text,
        "condition": row.condition,
        "quantity_milli": row.quantity_milli,
        "quantity_unit": row.quantity_unit,
        "unit_price_minor": row.unit_price_minor,
        "discount_minor": row.discount_minor,
        "tax_class": row.tax_class,
        "item_id": row.item_id,
        "item_name": row.item_name or "",
        "unit_id": row.unit_id,
    }
