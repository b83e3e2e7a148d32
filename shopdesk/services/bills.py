"""Suppliers' bills, matched three ways: what was ordered, what was accepted, what is billed."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from gettext import gettext as _

from sqlalchemy import func, insert, select

from shopdesk.domain import text
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.rounding import round_half_up
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.tables.buying import (
    bill_line,
    delivery,
    delivery_line,
    purchase_line,
    supplier_bill,
)
from shopdesk.persistence.tables.stock import item
from shopdesk.services.acting import AnyRow, Command, Office, Reading, Writing
from shopdesk.services.buying import the_supplier
from shopdesk.services.figures import Figures
from shopdesk.services.items import ItemKind, quantity_of
from shopdesk.services.shelf_settings import shelf_settings
from shopdesk.services.typed import under


@dataclass(frozen=True, kw_only=True, slots=True)
class BillLineTyped:
    """One billed line: which delivered line, how much of it (empty: as accepted), for how much."""

    delivery_line_id: int
    quantity: str = ""
    amount: str
    core: str = "0"


@dataclass(frozen=True, kw_only=True, slots=True)
class EnterBill(Command):
    """A supplier's bill as it stands on its paper."""

    supplier_id: int
    bill_no: str
    billed_on: date
    lines: tuple[BillLineTyped, ...]
    freight: str = "0"
    tax: str = "0"
    total: str
    note: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class BillKept:
    """Which bill."""

    bill_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class BillLineMatch:
    """One billed line beside its order and delivery; quantities in the base unit.

    ``remarks`` say what differs by more than the shop lets pass.
    """

    delivery_line_id: int
    item: str
    base: str
    ordered: int | None
    accepted: int
    billed: int
    billed_before: int
    order_minor: int | None
    delivered_minor: int
    billed_minor: int
    remarks: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class BillMatch:
    """A bill against what was ordered and what came; it may be paid as it is when nothing is remarked."""

    bill_id: int
    bill_no: str
    supplier: str
    billed_on: date
    total_minor: int
    lines: tuple[BillLineMatch, ...]
    remarks: tuple[str, ...]

    @property
    def agrees(self) -> bool:
        """Say whether order, delivery and bill agree within the shop's tolerance."""
        return not self.remarks and not any(line.remarks for line in self.lines)


@dataclass(frozen=True, kw_only=True, slots=True)
class BilledSoFar:
    """All that was billed of one delivered line; ``received_minor`` is what that part was received at.

    What is billed beyond the accepted quantity was received at nothing.
    """

    quantity: int
    amount_minor: int
    received_minor: int

    @property
    def difference_minor(self) -> int:
        """Billed less received: a price difference of the delivery, which changes no cost on the shelf."""
        return self.amount_minor - self.received_minor


def enter_bill(writing: Writing, command: EnterBill) -> BillKept:
    """Keep a bill; one that does not add up, or was entered before, is refused."""
    the_supplier(writing, command.supplier_id)
    number = text.required(command.bill_no, field="bill_no", label=_("the bill's number"), most=80)
    known = select(supplier_bill.c.id).where(
        supplier_bill.c.supplier_id == command.supplier_id,
        func.lower(supplier_bill.c.bill_no) == number.lower(),
    )
    if writing.connection.execute(known).first() is not None:
        raise RuleBroken(
            _("This supplier's bill {number} was entered already.").format(number=number), "bill_no"
        )
    money = writing.typed_here().money
    freight, tax = money(command.freight, "freight"), money(command.tax, "tax")
    total = money(command.total, "total")
    read = [_read_line(writing, command, at, line) for at, line in enumerate(command.lines)]
    lines_minor = sum(int(each["amount_minor"]) + int(each["core_minor"]) for each in read)
    if lines_minor + freight + tax != total:
        shown = Figures(writing.shop).money(lines_minor + freight + tax)
        sentence = _("The bill does not add up: its lines, freight and tax come to {sum}.")
        raise RuleBroken(sentence.format(sum=shown), "total")
    bill_id = writing.add_chained(
        supplier_bill,
        supplier_id=command.supplier_id,
        bill_no=number,
        billed_on=command.billed_on,
        freight_minor=freight,
        tax_minor=tax,
        billed_minor=total,
        note=text.clean(command.note, field="note", most=1000, lines=True),
    )
    for position, values in enumerate(read, start=1):
        writing.connection.execute(insert(bill_line).values(bill_id=bill_id, position=position, **values))
    return BillKept(bill_id=bill_id)


def _read_line(writing: Writing, command: EnterBill, at: int, line: BillLineTyped) -> dict[str, int]:
    with under(f"lines/{at}"):
        row = writing.connection.execute(
            select(delivery_line, delivery.c.supplier_id, item.c.kind)
            .join(delivery, delivery.c.id == delivery_line.c.delivery_id)
            .join(item, item.c.id == delivery_line.c.item_id)
            .where(delivery_line.c.id == line.delivery_line_id)
        ).one_or_none()
        if row is None or row.supplier_id != command.supplier_id:
            raise RuleBroken(_("That delivered line is not of this supplier."), "delivery_line_id")
        typed = line.quantity.strip()
        quantity = quantity_of(writing, ItemKind(row.kind), typed, "quantity") if typed else row.quantity
        money = writing.typed_here().money
        return {
            "delivery_line_id": row.id,
            "quantity": quantity,
            "amount_minor": money(line.amount, "amount"),
            "core_minor": money(line.core, "core"),
        }


def match_bill(reading: Reading, bill_id: int) -> BillMatch:
    """Put a bill beside its orders and deliveries."""
    bill = reading.one(supplier_bill, bill_id, _("That bill is not there."))
    rows = reading.connection.execute(
        select(
            bill_line.c.quantity.label("billed"),
            bill_line.c.amount_minor,
            bill_line.c.core_minor.label("core_billed"),
            bill_line.c.delivery_line_id,
            delivery_line,
            item.c.name.label("item"),
            item.c.base,
            purchase_line.c.packages,
            purchase_line.c.package_quantity,
            purchase_line.c.price_minor,
        )
        .join(delivery_line, delivery_line.c.id == bill_line.c.delivery_line_id)
        .join(item, item.c.id == delivery_line.c.item_id)
        .outerjoin(purchase_line, purchase_line.c.id == delivery_line.c.purchase_line_id)
        .where(bill_line.c.bill_id == bill_id)
        .order_by(bill_line.c.position)
    ).all()
    tolerance = shelf_settings(reading).bill_tolerance_ppm
    return BillMatch(
        bill_id=bill.id,
        bill_no=bill.bill_no,
        supplier=the_supplier(reading, bill.supplier_id).name,
        billed_on=bill.billed_on,
        total_minor=bill.billed_minor,
        lines=tuple(_match(reading, bill_id, row, tolerance) for row in rows),
        remarks=tuple(_freight_remark(reading, bill, [row.delivery_id for row in rows])),
    )


def _match(reading: Reading, bill_id: int, row: AnyRow, tolerance_ppm: int) -> BillLineMatch:
    ordered = row.packages * row.package_quantity if row.packages is not None else None
    order_minor = None
    if row.packages is not None:
        order_minor = round_half_up(Fraction(row.price_minor * row.billed, row.package_quantity))
    before = _billed_before(reading, bill_id, row.delivery_line_id)
    return BillLineMatch(
        delivery_line_id=row.delivery_line_id,
        item=row.item,
        base=row.base,
        ordered=ordered,
        accepted=row.quantity,
        billed=row.billed,
        billed_before=before,
        order_minor=order_minor,
        delivered_minor=row.goods_minor,
        billed_minor=row.amount_minor,
        remarks=tuple(_remarks(reading, row, order_minor, before, tolerance_ppm)),
    )


def _billed_before(reading: Reading, bill_id: int, line_id: int) -> int:
    return int(
        reading.connection.execute(
            select(int_sum(bill_line.c.quantity)).where(
                bill_line.c.delivery_line_id == line_id, bill_line.c.bill_id < bill_id
            )
        ).scalar_one()
    )


def _remarks(
    reading: Reading, row: AnyRow, order_minor: int | None, before: int, tolerance_ppm: int
) -> list[str]:
    figures = Figures(reading.shop)
    said = []
    if row.billed + before > row.quantity:
        sentence = _("{billed} billed, {accepted} accepted")
        said.append(
            sentence.format(
                billed=figures.stock(row.base, row.billed + before),
                accepted=figures.stock(row.base, row.quantity),
            )
        )
    for what, expected in ((_("order"), order_minor), (_("delivery"), _due(row))):
        if expected is not None and _differs(row.amount_minor, expected, tolerance_ppm):
            sentence = _("{billed} billed, {expected} by the {what}")
            said.append(
                sentence.format(
                    billed=figures.money(row.amount_minor), expected=figures.money(expected), what=what
                )
            )
    if row.core_billed != row.core_minor:
        said.append(_("The core deposit differs from the delivery's."))
    return said


def _due(row: AnyRow) -> int | None:
    """What the billed quantity came to at the delivery's own price."""
    if row.quantity == 0:
        return None
    return round_half_up(Fraction(row.goods_minor * row.billed, row.quantity))


def _differs(billed: int, expected: int, tolerance_ppm: int) -> bool:
    return abs(billed - expected) * 1_000_000 > expected * tolerance_ppm


def _freight_remark(reading: Reading, bill: AnyRow, delivery_ids: list[int]) -> list[str]:
    noted = int(
        reading.connection.execute(
            select(int_sum(delivery.c.freight_minor)).where(delivery.c.id.in_(set(delivery_ids)))
        ).scalar_one()
    )
    if noted == bill.freight_minor:
        return []
    figures = Figures(reading.shop)
    sentence = _("Freight: {billed} billed, {noted} noted with the delivery")
    return [sentence.format(billed=figures.money(bill.freight_minor), noted=figures.money(noted))]


def billed_so_far(reading: Reading, supplier_id: int) -> dict[int, BilledSoFar]:
    """Give what a supplier billed over all bills, by delivered line; lines not billed are left out."""
    rows = reading.connection.execute(
        select(
            delivery_line.c.id,
            delivery_line.c.quantity.label("accepted"),
            delivery_line.c.goods_minor,
            int_sum(bill_line.c.quantity).label("billed"),
            int_sum(bill_line.c.amount_minor).label("amount_minor"),
        )
        .join(bill_line, bill_line.c.delivery_line_id == delivery_line.c.id)
        .join(delivery, delivery.c.id == delivery_line.c.delivery_id)
        .where(delivery.c.supplier_id == supplier_id)
        .group_by(delivery_line.c.id, delivery_line.c.quantity, delivery_line.c.goods_minor)
    )
    return {
        row.id: BilledSoFar(
            quantity=int(row.billed),
            amount_minor=int(row.amount_minor),
            received_minor=share_received(row.goods_minor, row.accepted, int(row.billed)),
        )
        for row in rows
    }


def share_received(goods_minor: int, accepted: int, billed: int) -> int:
    """Give what a billed quantity was received at; all of it when all or more is billed."""
    if billed >= accepted:
        return goods_minor
    return round_half_up(Fraction(goods_minor * billed, accepted))


class Bills:
    """The room where suppliers' bills are looked through."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def enter(self, command: EnterBill) -> BillKept:
        """Keep a bill."""
        return self._office.carry_out(command, lambda writing: enter_bill(writing, command), BillKept)

    def match(self, bill_id: int) -> BillMatch:
        """Put a bill beside its orders and deliveries."""
        with self._office.reading() as reading:
            return match_bill(reading, bill_id)

    def so_far(self, supplier_id: int) -> dict[int, BilledSoFar]:
        """Give what a supplier billed over all bills, by delivered line."""
        with self._office.reading() as reading:
            return billed_so_far(reading, supplier_id)

    def of_supplier(self, supplier_id: int) -> tuple[BillMatch, ...]:
        """Give a supplier's bills with their match, the newest first."""
        with self._office.reading() as reading:
            ids = reading.connection.execute(
                select(supplier_bill.c.id)
                .where(supplier_bill.c.supplier_id == supplier_id)
                .order_by(supplier_bill.c.id.desc())
            )
            return tuple(match_bill(reading, bill_id) for bill_id in ids.scalars().all())

    def all(self) -> tuple[BillMatch, ...]:
        """Give every bill with its match, the newest first."""
        with self._office.reading() as reading:
            ids = reading.connection.execute(select(supplier_bill.c.id).order_by(supplier_bill.c.id.desc()))
            return tuple(match_bill(reading, bill_id) for bill_id in ids.scalars().all())
