"""Buying: suppliers, orders in whole packages, and what to order by the owner's marks."""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from gettext import gettext as _

from sqlalchemy import delete, insert, select

from shopdesk.domain import text, units
from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.words import N_
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.numbers import next_number
from shopdesk.persistence.tables.buying import (
    delivery_line,
    purchase_line,
    purchase_order,
    supplier,
)
from shopdesk.persistence.tables.stock import item
from shopdesk.persistence.tables.work import work_order
from shopdesk.services.acting import AnyRow, Command, Office, Reading, Writing
from shopdesk.services.items import item_view
from shopdesk.services.kits import kit_ids
from shopdesk.services.typed import key_of, under


class OrderState(StrEnum):
    """Where an order stands; what came of it is worked out from the deliveries."""

    DRAFT = N_("draft")
    ORDERED = N_("ordered")
    CLOSED = N_("closed")
    CANCELLED = N_("cancelled")


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveSupplier(Command):
    """A supplier as it is from now on; a new one has no ``supplier_id``."""

    supplier_id: int | None = None
    version: int = 0
    name: str
    address: str = ""
    phone: str = ""
    email: str = ""
    account_no: str = ""
    lead_days: str = ""
    note: str = ""
    active: bool = True


@dataclass(frozen=True, kw_only=True, slots=True)
class OrderLineTyped:
    """Whole packages of one item at a price for one package; a special order names its work order."""

    item_id: int
    packages: str
    price: str = "0"
    supplier_code: str = ""
    work_order_id: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveOrder(Command):
    """A draft order as it is from now on; a new one has no ``order_id``."""

    order_id: int | None = None
    version: int = 0
    supplier_id: int
    expected_on: date | None = None
    note: str = ""
    lines: tuple[OrderLineTyped, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class MoveOrder(Command):
    """Sends a draft (ordered), closes an order whose rest will not come, or cancels one."""

    order_id: int
    version: int
    state: OrderState
    on: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class SupplierKept:
    """Which supplier."""

    supplier_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class OrderKept:
    """Which order, its number and where it stands."""

    order_id: int
    number: int
    state: OrderState


@dataclass(frozen=True, kw_only=True, slots=True)
class SupplierRow:
    """A supplier."""

    id: int
    version: int
    name: str
    address: str
    phone: str
    email: str
    account_no: str
    lead_days: int | None
    note: str
    active: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class OrderLineView:
    """One line of an order. ``quantity``, ``received``, ``damaged`` and ``open`` in the item's base unit."""

    id: int
    item_id: int
    item: str
    base: str
    part_number: str
    supplier_code: str
    packages: int
    package_text: str
    package_quantity: int
    price_minor: int
    amount_minor: int
    quantity: int
    received: int
    damaged: int
    open: int
    work_order_number: int | None


@dataclass(frozen=True, kw_only=True, slots=True)
class OrderView:
    """An order with what came of it."""

    id: int
    version: int
    number: int
    supplier: SupplierRow
    state: OrderState
    ordered_on: date | None
    expected_on: date | None
    note: str
    lines: tuple[OrderLineView, ...]

    @property
    def total_minor(self) -> int:
        """What the ordered packages come to."""
        return sum(line.amount_minor for line in self.lines)

    @property
    def complete(self) -> bool:
        """Say whether nothing is still to come."""
        return all(line.open == 0 for line in self.lines)


@dataclass(frozen=True, kw_only=True, slots=True)
class OrderRow:
    """An order in a list; ``overdue`` when its expected day has passed and something is still to come."""

    id: int
    number: int
    supplier: str
    state: OrderState
    ordered_on: date | None
    expected_on: date | None
    overdue: bool
    total_minor: int


MOST_PACKAGES = 10_000


def save_supplier(writing: Writing, command: SaveSupplier) -> SupplierKept:
    """Keep a supplier, new or changed."""
    name = text.required(command.name, field="name", label=_("the supplier's name"), most=200)
    key = key_of(name, field="name", most=200)
    other = writing.connection.execute(select(supplier.c.id).where(supplier.c.sort_key == key)).scalar()
    if other is not None and other != command.supplier_id:
        raise RuleBroken(_("There is already a supplier of this name."), "name")
    lead = command.lead_days.strip()
    values = {
        "name": name,
        "sort_key": key,
        "address": text.clean(command.address, field="address", most=1000, lines=True),
        "phone": text.clean(command.phone, field="phone", most=60),
        "email": text.clean(command.email, field="email", most=200),
        "account_no": text.clean(command.account_no, field="account_no", most=60),
        "lead_days": units.read_whole(lead, field="lead_days", least=1, most=365) if lead else None,
        "note": text.clean(command.note, field="note", most=2000, lines=True),
        "active": command.active,
    }
    if command.supplier_id is None:
        return SupplierKept(supplier_id=writing.add(supplier, **values))
    row = the_supplier(writing, command.supplier_id)
    if row.version != command.version:
        raise Conflict(_("Somebody else changed this supplier meanwhile; look at it again."))
    writing.change(supplier, row.id, **values)
    return SupplierKept(supplier_id=row.id)


def the_supplier(reading: Reading, supplier_id: int) -> AnyRow:
    """Give a supplier's row, or refuse."""
    return reading.one(supplier, supplier_id, _("That supplier is not there."))


def save_order(writing: Writing, command: SaveOrder) -> OrderKept:
    """Keep a draft order; one that was sent does not change any more."""
    the_supplier(writing, command.supplier_id)
    if not command.lines:
        raise RuleBroken(_("An order has at least one line."), "lines")
    values = {
        "supplier_id": command.supplier_id,
        "expected_on": command.expected_on,
        "note": text.clean(command.note, field="note", most=2000, lines=True),
    }
    if command.order_id is None:
        number = next_number(writing.connection, "purchase order")
        order_id = writing.add(
            purchase_order,
            number=number,
            state=OrderState.DRAFT.value,
            made_utc=writing.now,
            person_id=writing.actor.person_id,
            **values,
        )
    else:
        row = _order_at(writing, command.order_id, command.version)
        if OrderState(row.state) is not OrderState.DRAFT:
            raise RuleBroken(_("This order was sent; it does not change any more."), "state")
        order_id, number = row.id, row.number
        writing.change(purchase_order, order_id, **values)
    _keep_lines(writing, order_id, command.lines)
    return OrderKept(order_id=order_id, number=number, state=OrderState.DRAFT)


def _order_at(reading: Reading, order_id: int, version: int) -> AnyRow:
    row = reading.one(purchase_order, order_id, _("That order is not there."))
    if row.version != version:
        raise Conflict(_("Somebody else changed this order meanwhile; look at it again."))
    return row


def _keep_lines(writing: Writing, order_id: int, lines: Sequence[OrderLineTyped]) -> None:
    writing.connection.execute(delete(purchase_line).where(purchase_line.c.order_id == order_id))
    kits = kit_ids(writing)
    for position, line in enumerate(lines, start=1):
        with under(f"lines/{position - 1}"):
            values = _line(writing, line, kits)
        writing.connection.execute(
            insert(purchase_line).values(order_id=order_id, position=position, **values)
        )
    writing.touched.add(purchase_line.name)


def _line(writing: Writing, line: OrderLineTyped, kits: frozenset[int]) -> dict[str, object]:
    goods = item_view(writing, line.item_id)
    if goods.id in kits:
        raise RuleBroken(_("Order the parts of a kit, not the kit."), "item_id")
    if line.work_order_id is not None:
        writing.one(work_order, line.work_order_id, _("That work order is not there."))
    return {
        "item_id": goods.id,
        "packages": units.read_whole(line.packages, field="packages", least=1, most=MOST_PACKAGES),
        "package_quantity": goods.package_quantity,
        "package_text": goods.package_text,
        "price_minor": writing.typed_here().money(line.price, "price"),
        "supplier_code": text.clean(line.supplier_code, field="supplier_code", most=60),
        "work_order_id": line.work_order_id,
    }


_FOLLOWS = {
    OrderState.DRAFT: (OrderState.ORDERED, OrderState.CANCELLED),
    OrderState.ORDERED: (OrderState.CLOSED, OrderState.CANCELLED),
    OrderState.CLOSED: (OrderState.ORDERED,),
    OrderState.CANCELLED: (),
}


def move_order(writing: Writing, command: MoveOrder) -> OrderKept:
    """Send, close, reopen or cancel an order; one of which something came cannot be cancelled."""
    row = _order_at(writing, command.order_id, command.version)
    state = OrderState(row.state)
    if command.state not in _FOLLOWS[state]:
        sentence = _("An order that is {now} cannot become {wanted}.")
        raise RuleBroken(sentence.format(now=_(state), wanted=_(command.state)), "state")
    view = order_view(writing, row.id)
    if command.state is OrderState.CANCELLED and any(line.received for line in view.lines):
        raise RuleBroken(_("Something of this order came already; close it instead."), "state")
    ordered_on = (command.on or writing.today) if command.state is OrderState.ORDERED else row.ordered_on
    writing.change(purchase_order, row.id, state=command.state.value, ordered_on=ordered_on)
    return OrderKept(order_id=row.id, number=row.number, state=command.state)


def supplier_row(row: AnyRow) -> SupplierRow:
    """Give a supplier's row as a view."""
    return SupplierRow(
        id=row.id,
        version=row.version,
        name=row.name,
        address=row.address,
        phone=row.phone,
        email=row.email,
        account_no=row.account_no,
        lead_days=row.lead_days,
        note=row.note,
        active=row.active,
    )


def order_view(reading: Reading, order_id: int) -> OrderView:
    """Give an order with what was received on each line."""
    row = reading.one(purchase_order, order_id, _("That order is not there."))
    came = (
        select(
            delivery_line.c.purchase_line_id,
            int_sum(delivery_line.c.quantity).label("received"),
            int_sum(delivery_line.c.damaged).label("damaged"),
        )
        .group_by(delivery_line.c.purchase_line_id)
        .subquery()
    )
    rows = reading.connection.execute(
        select(
            purchase_line,
            item.c.name.label("item"),
            item.c.base,
            item.c.part_number,
            came.c.received,
            came.c.damaged,
            work_order.c.number.label("work_order_number"),
        )
        .join(item, item.c.id == purchase_line.c.item_id)
        .outerjoin(came, came.c.purchase_line_id == purchase_line.c.id)
        .outerjoin(work_order, work_order.c.id == purchase_line.c.work_order_id)
        .where(purchase_line.c.order_id == order_id)
        .order_by(purchase_line.c.position)
    )
    return OrderView(
        id=row.id,
        version=row.version,
        number=row.number,
        supplier=supplier_row(the_supplier(reading, row.supplier_id)),
        state=OrderState(row.state),
        ordered_on=row.ordered_on,
        expected_on=row.expected_on,
        note=row.note,
        lines=tuple(_line_view(line, OrderState(row.state)) for line in rows),
    )


def _line_view(row: AnyRow, state: OrderState) -> OrderLineView:
    quantity, received = row.packages * row.package_quantity, int(row.received or 0)
    waiting = state in (OrderState.DRAFT, OrderState.ORDERED)
    return OrderLineView(
        id=row.id,
        item_id=row.item_id,
        item=row.item,
        base=row.base,
        part_number=row.part_number,
        supplier_code=row.supplier_code,
        packages=row.packages,
        package_text=row.package_text,
        package_quantity=row.package_quantity,
        price_minor=row.price_minor,
        amount_minor=row.packages * row.price_minor,
        quantity=quantity,
        received=received,
        damaged=int(row.damaged or 0),
        open=max(0, quantity - received) if waiting else 0,
        work_order_number=row.work_order_number,
    )


def on_order(reading: Reading) -> dict[int, int]:
    """Give what is still to come of each item on sent orders, in its base unit."""
    ids = reading.connection.execute(
        select(purchase_order.c.id).where(purchase_order.c.state == OrderState.ORDERED.value)
    ).scalars()
    coming: dict[int, int] = {}
    for order_id in ids.all():
        for line in order_view(reading, order_id).lines:
            coming[line.item_id] = coming.get(line.item_id, 0) + line.open
    return coming


def order_rows(reading: Reading, state: OrderState | None = None) -> tuple[OrderRow, ...]:
    """Give the orders, the newest first."""
    query = select(purchase_order.c.id).order_by(purchase_order.c.id.desc())
    if state is not None:
        query = query.where(purchase_order.c.state == state.value)
    views = [order_view(reading, order_id) for order_id in reading.connection.execute(query).scalars().all()]
    return tuple(
        OrderRow(
            id=view.id,
            number=view.number,
            supplier=view.supplier.name,
            state=view.state,
            ordered_on=view.ordered_on,
            expected_on=view.expected_on,
            overdue=_overdue(view, reading.today),
            total_minor=view.total_minor,
        )
        for view in views
    )


def _overdue(view: OrderView, today: date) -> bool:
    waits = view.state is OrderState.ORDERED and not view.complete
    return waits and view.expected_on is not None and view.expected_on < today


def order_csv(view: OrderView) -> str:
    """Write an order as CSV for a supplier's own program; text that a spreadsheet would run is quoted."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\r\n")
    rows.writerow(["order", "position", "code", "part_number", "item", "packages", "package"])
    for position, line in enumerate(view.lines, start=1):
        cells = (line.supplier_code, line.part_number, line.item)
        code, number, name = (plain_cell(cell) for cell in cells)
        rows.writerow(
            [view.number, position, code, number, name, line.packages, plain_cell(line.package_text)]
        )
    return out.getvalue()


def plain_cell(cell: str) -> str:
    """Give a cell that no spreadsheet takes for a formula."""
    return f"'{cell}" if cell[:1] in ("=", "+", "-", "@", "\t", "\r") else cell


class Buying:
    """The room where goods are ordered."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def save_supplier(self, command: SaveSupplier) -> SupplierKept:
        """Keep a supplier."""
        return self._office.carry_out(command, lambda writing: save_supplier(writing, command), SupplierKept)

    def save_order(self, command: SaveOrder) -> OrderKept:
        """Keep a draft order."""
        return self._office.carry_out(command, lambda writing: save_order(writing, command), OrderKept)

    def move_order(self, command: MoveOrder) -> OrderKept:
        """Send, close, reopen or cancel an order."""
        return self._office.carry_out(command, lambda writing: move_order(writing, command), OrderKept)

    def suppliers(self) -> tuple[SupplierRow, ...]:
        """Give the suppliers, by name."""
        with self._office.reading() as reading:
            rows = reading.connection.execute(select(supplier).order_by(supplier.c.sort_key))
            return tuple(supplier_row(row) for row in rows)

    def order(self, order_id: int) -> OrderView:
        """Give an order with what came of it."""
        with self._office.reading() as reading:
            return order_view(reading, order_id)

    def orders(self, state: OrderState | None = None) -> tuple[OrderRow, ...]:
        """Give the orders, the newest first."""
        with self._office.reading() as reading:
            return order_rows(reading, state)

    def order_csv(self, order_id: int) -> str:
        """Give an order as CSV."""
        return order_csv(self.order(order_id))
