"""Receiving: what came of an order, or without one; short, over, damaged or something else.

What is accepted goes onto the shelf at its landed cost: the goods and their share of the freight. A
deposit for cores comes back, so it is no cost; it has its own books. Bulk packages become a
container each, small ones of one lot one row of several pieces.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction
from gettext import gettext as _

from sqlalchemy import func, select

from shopdesk.domain import text, units
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.ledger import FreightBy, share_freight
from shopdesk.domain.money import share_out
from shopdesk.domain.reorder import whole_packages
from shopdesk.domain.rounding import round_half_up
from shopdesk.domain.stock import MoveKind
from shopdesk.domain.words import N_
from shopdesk.persistence.tables.buying import delivery, delivery_line, purchase_line, purchase_order
from shopdesk.persistence.tables.stock import container, item
from shopdesk.services.acting import AnyRow, Command, Office, Reading, Writing, new_uid
from shopdesk.services.buying import MOST_PACKAGES, OrderState, order_view, the_supplier
from shopdesk.services.cards import card_of
from shopdesk.services.containers import IN_USE, keep_container_card
from shopdesk.services.cores import charge_cores
from shopdesk.services.items import ItemKind, ItemView, item_view, quantity_of
from shopdesk.services.kits import kit_ids
from shopdesk.services.ledger import Inflow, bring_in, newest_delivery, on_hand
from shopdesk.services.stock import next_label
from shopdesk.services.typed import under

#: A package of at least this much is a container of its own: a pail or more (common practice, no source).
BULK_UL = 10_000_000
#: A price per quantity so many times the last one, or so small a part of it, is asked about.
STRANGE_TIMES = 10


class LineCondition(StrEnum):
    """How a delivered line stands to the order."""

    AS_ORDERED = N_("as ordered")
    SUBSTITUTED = N_("substituted")
    NOT_ORDERED = N_("not ordered")


@dataclass(frozen=True, kw_only=True, slots=True)
class DeliveryLineTyped:
    """One delivered line: ``packages`` or ``quantity`` accepted, ``damaged`` packages not accepted.

    ``cost`` is for all that was accepted, before freight; empty takes the order's price. ``core`` is
    the deposit paid with it. More than ordered, something else than ordered, a date in the past, or a
    price far from the last one needs a ``note``.
    """

    item_id: int
    purchase_line_id: int | None = None
    packages: str = ""
    quantity: str = ""
    damaged: str = ""
    cost: str = ""
    core: str = ""
    lot: str = ""
    best_before: date | None = None
    container: str = ""
    note: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class ReceiveDelivery(Command):
    """A delivery under its document number, with its freight and how that is shared."""

    supplier_id: int
    order_id: int | None = None
    document_no: str
    on: date | None = None
    freight: str = "0"
    freight_by: FreightBy = FreightBy.VALUE
    lines: tuple[DeliveryLineTyped, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class LineReceived:
    """What one line put on the shelf, in the item's base unit, and at what landed cost."""

    delivery_line_id: int
    item_id: int
    container_ids: tuple[int, ...]
    quantity: int
    cost_minor: int
    condition: LineCondition
    on_hand: int


@dataclass(frozen=True, kw_only=True, slots=True)
class DeliveryReceived:
    """A kept delivery; ``notes`` say what came otherwise than ordered."""

    delivery_id: int
    lines: tuple[LineReceived, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class DeliveryLineRow:
    """One delivered line; quantities in the base unit, money in minor units."""

    id: int
    item_id: int
    item: str
    base: str
    condition: LineCondition
    ordered: int | None
    quantity: int
    damaged: int
    goods_minor: int
    freight_minor: int
    core_minor: int
    lot: str
    best_before: date | None
    note: str


@dataclass(frozen=True, kw_only=True, slots=True)
class DeliveryView:
    """A delivery with its lines."""

    id: int
    supplier_id: int
    order_id: int | None
    document_no: str
    on_date: date
    freight_minor: int
    lines: tuple[DeliveryLineRow, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    """A line as read, before freight is shared."""

    goods: ItemView
    typed: DeliveryLineTyped
    ordered: AnyRow | None
    quantity: int
    damaged: int
    goods_minor: int
    core_minor: int
    condition: LineCondition
    lot: str
    note: str


def receive_delivery(writing: Writing, command: ReceiveDelivery) -> DeliveryReceived:
    """Keep a delivery and put what was accepted on the shelf; nothing is kept when a line is refused."""
    the_supplier(writing, command.supplier_id)
    _check_order(writing, command)
    number = text.required(
        command.document_no, field="document_no", label=_("the delivery's document number"), most=80
    )
    _check_new(writing, command.supplier_id, number)
    on = command.on or writing.today
    if on > writing.today:
        raise RuleBroken(_("A delivery cannot come later than today."), "on")
    read = _read_lines(writing, command)
    freight = writing.typed_here().money(command.freight, "freight")
    shares = _freight_shares(freight, command.freight_by, read)
    delivery_id = writing.add_chained(
        delivery,
        supplier_id=command.supplier_id,
        order_id=command.order_id,
        document_no=number,
        on_date=on,
        freight_minor=freight,
        freight_by=command.freight_by.value,
    )
    kept = tuple(
        _keep_line(writing, command, delivery_id, position, line, share, on)
        for position, (line, share) in enumerate(zip(read, shares, strict=True), start=1)
    )
    notes = tuple(_notes(writing, command, read))
    if command.order_id is not None and order_view(writing, command.order_id).complete:
        writing.change(purchase_order, command.order_id, state=OrderState.CLOSED.value)
    return DeliveryReceived(delivery_id=delivery_id, lines=kept, notes=notes)


def _freight_shares(freight_minor: int, by: FreightBy, read: Sequence[_Read]) -> list[int]:
    """Share the freight among the lines of which something was accepted."""
    taken = [line for line in read if line.quantity]
    if freight_minor and not taken:
        raise RuleBroken(_("Nothing was accepted that could bear the freight."), "freight")
    shares = iter(
        share_freight(
            freight_minor,
            by,
            [line.goods_minor for line in taken],
            [line.quantity if line.goods.kind is ItemKind.FLUID else None for line in taken],
        )
    )
    return [next(shares) if line.quantity else 0 for line in read]


def _check_order(writing: Writing, command: ReceiveDelivery) -> None:
    if command.order_id is None:
        return
    order = writing.one(purchase_order, command.order_id, _("That order is not there."))
    if order.supplier_id != command.supplier_id:
        raise RuleBroken(_("That order went to another supplier."), "order_id")
    if OrderState(order.state) is not OrderState.ORDERED:
        sentence = _("That order is not on its way: it is {state}.")
        raise RuleBroken(sentence.format(state=_(order.state)), "order_id")


def _check_new(writing: Writing, supplier_id: int, number: str) -> None:
    known = select(delivery.c.id).where(
        delivery.c.supplier_id == supplier_id, func.lower(delivery.c.document_no) == number.lower()
    )
    if writing.connection.execute(known).first() is not None:
        sentence = _("The delivery {number} of this supplier was received already.")
        raise RuleBroken(sentence.format(number=number), "document_no")


def _read_lines(writing: Writing, command: ReceiveDelivery) -> list[_Read]:
    if not command.lines:
        raise RuleBroken(_("A delivery has at least one line."), "lines")
    kits = kit_ids(writing)
    came: dict[int, int] = {}
    read = []
    for at, line in enumerate(command.lines):
        with under(f"lines/{at}"):
            if line.item_id in kits:
                raise RuleBroken(_("Receive the parts of a kit, not the kit."), "item_id")
            read.append(_read_line(writing, command, line, came))
    return read


def _read_line(
    writing: Writing, command: ReceiveDelivery, line: DeliveryLineTyped, came: dict[int, int]
) -> _Read:
    goods = item_view(writing, line.item_id)
    ordered = _ordered(writing, command, line)
    package = ordered.package_quantity if ordered and ordered.item_id == goods.id else goods.package_quantity
    quantity = _accepted(writing, goods, line, package)
    damaged = _packages(line.damaged, "damaged") * package if line.damaged.strip() else 0
    if quantity + damaged <= 0:
        raise RuleBroken(_("Write what came, such as 4 packages."), "packages")
    note = text.clean(line.note, field="note", most=500)
    condition = _condition(command, ordered, goods)
    if condition is LineCondition.SUBSTITUTED and not note:
        raise RuleBroken(_("That is not what was ordered; write why it is taken."), "note")
    if ordered is not None:
        _check_over(writing, ordered, quantity, came, note)
    goods_minor = _goods_minor(writing, line, ordered, quantity, package)
    _check_price(writing, goods, quantity, goods_minor, note)
    if line.best_before is not None and line.best_before < writing.today and not note:
        raise RuleBroken(_("Its best-before day has passed; write why it is taken."), "best_before")
    return _Read(
        goods=goods,
        typed=line,
        ordered=ordered,
        quantity=quantity,
        damaged=damaged,
        goods_minor=goods_minor,
        core_minor=_core_minor(writing, goods, line, quantity),
        condition=condition,
        lot=text.clean(line.lot, field="lot", most=60),
        note=note,
    )


def _ordered(writing: Writing, command: ReceiveDelivery, line: DeliveryLineTyped) -> AnyRow | None:
    if line.purchase_line_id is None:
        return None
    row = writing.one(purchase_line, line.purchase_line_id, _("That line of the order is not there."))
    if row.order_id != command.order_id:
        raise RuleBroken(_("That line belongs to another order."), "purchase_line_id")
    return row


def _packages(typed: str, field: str) -> int:
    return units.read_whole(typed, field=field, least=0, most=MOST_PACKAGES)


def _accepted(writing: Writing, goods: ItemView, line: DeliveryLineTyped, package: int) -> int:
    if bool(line.packages.strip()) == bool(line.quantity.strip()):
        if line.damaged.strip() and not line.packages.strip():
            return 0
        raise RuleBroken(_("Write packages or a quantity, one of the two."), "packages")
    if line.packages.strip():
        return _packages(line.packages, "packages") * package
    quantity = quantity_of(writing, goods.kind, line.quantity, "quantity")
    if quantity > MOST_PACKAGES * package:
        raise RuleBroken(_("That is more than a delivery can be; read it again."), "quantity")
    return quantity


def _condition(command: ReceiveDelivery, ordered: AnyRow | None, goods: ItemView) -> LineCondition:
    if ordered is None:
        return LineCondition.NOT_ORDERED if command.order_id is not None else LineCondition.AS_ORDERED
    return LineCondition.AS_ORDERED if ordered.item_id == goods.id else LineCondition.SUBSTITUTED


def _check_over(writing: Writing, ordered: AnyRow, quantity: int, came: dict[int, int], note: str) -> None:
    line = next(each for each in order_view(writing, ordered.order_id).lines if each.id == ordered.id)
    came[ordered.id] = came.get(ordered.id, 0) + quantity
    if came[ordered.id] > line.open and not note:
        raise RuleBroken(_("That is more than was ordered; write why it is taken."), "note")


def _goods_minor(
    writing: Writing, line: DeliveryLineTyped, ordered: AnyRow | None, quantity: int, package: int
) -> int:
    if line.cost.strip():
        cost = writing.typed_here().money(line.cost, "cost")
        if cost and not quantity:
            raise RuleBroken(_("What was not taken costs nothing."), "cost")
        return cost
    if quantity == 0:
        return 0
    if ordered is None:
        raise RuleBroken(_("Write what the goods cost."), "cost")
    return round_half_up(Fraction(ordered.price_minor * quantity, package))


def _check_price(writing: Writing, goods: ItemView, quantity: int, goods_minor: int, note: str) -> None:
    """Ask about a price that is ten times the last one, or a tenth of it: a slip of a digit or a unit."""
    last = newest_delivery(writing, goods.id)
    if last is None or not quantity or note:
        return
    now, before = goods_minor * last.quantity, last.cost_minor * quantity
    if now >= before * STRANGE_TIMES > 0 or 0 < now * STRANGE_TIMES <= before:
        sentence = _("For {item} that is far from what it cost last time; write a note if it is right.")
        raise RuleBroken(sentence.format(item=goods.name), "cost")


def _core_minor(writing: Writing, goods: ItemView, line: DeliveryLineTyped, quantity: int) -> int:
    if line.core.strip():
        return writing.typed_here().money(line.core, "core")
    return round_half_up(Fraction(card_of(writing, goods.id).core_minor * quantity, _one(goods)))


def _one(goods: ItemView) -> int:
    """A core deposit is for one piece; for a fluid, for one package (the drum)."""
    return goods.package_quantity if goods.kind is ItemKind.FLUID else 1000


def _keep_line(
    writing: Writing,
    command: ReceiveDelivery,
    delivery_id: int,
    position: int,
    line: _Read,
    freight_minor: int,
    on: date,
) -> LineReceived:
    group = new_uid()
    line_id = writing.add(
        delivery_line,
        delivery_id=delivery_id,
        position=position,
        purchase_line_id=line.ordered.id if line.ordered else None,
        item_id=line.goods.id,
        condition=line.condition.value,
        quantity=line.quantity,
        damaged=line.damaged,
        goods_minor=line.goods_minor,
        freight_minor=freight_minor,
        core_minor=line.core_minor,
        lot=line.lot,
        best_before=line.typed.best_before,
        note=line.note,
        group_uid=group,
    )
    cost = line.goods_minor + freight_minor
    container_ids = _shelve(writing, command, line, cost, line_id, group, on)
    if line.core_minor:
        charge_cores(
            writing,
            supplier_id=command.supplier_id,
            item_id=line.goods.id,
            delivery_line_id=line_id,
            quantity=_cores(line),
            amount_minor=line.core_minor,
            document_no=command.document_no.strip()[:80],
            on=on,
        )
    return LineReceived(
        delivery_line_id=line_id,
        item_id=line.goods.id,
        container_ids=container_ids,
        quantity=line.quantity,
        cost_minor=cost,
        condition=line.condition,
        on_hand=on_hand(writing, line.goods.id),
    )


def _cores(line: _Read) -> int:
    """How many pieces (in thousandths) a deposit was paid for: parts, or the packages of a fluid."""
    if line.goods.kind is not ItemKind.FLUID:
        return line.quantity
    return max(1, whole_packages(line.quantity, line.goods.package_quantity)) * 1000


def _shelve(
    writing: Writing,
    command: ReceiveDelivery,
    line: _Read,
    cost_minor: int,
    line_id: int,
    group: str,
    on: date,
) -> tuple[int, ...]:
    """Make the containers of a line and bring its goods in; the pennies are shared without a rest."""
    parts = _parts(line)
    costs = share_out(cost_minor, parts)
    ids = []
    for number, (quantity, cost) in enumerate(zip(parts, costs, strict=True), start=1):
        container_id = _container(writing, line, quantity, number, len(parts), line_id, on)
        bring_in(
            writing,
            Inflow(
                item_id=line.goods.id,
                container_id=container_id,
                kind=MoveKind.RECEIVE,
                quantity=quantity,
                cost_minor=cost,
                on_date=on,
                group_uid=group,
                document_no=command.document_no.strip()[:80],
                reason=line.note,
            ),
        )
        ids.append(container_id)
    return tuple(ids)


def _parts(line: _Read) -> list[int]:
    """Give the contents of the containers a line makes."""
    package = line.goods.package_quantity
    if line.quantity == 0:
        return []
    if line.goods.kind is not ItemKind.FLUID or package < BULK_UL:
        return [line.quantity]
    count = max(1, whole_packages(line.quantity, package))
    return [*[package] * (count - 1), line.quantity - package * (count - 1)]


def _container(
    writing: Writing, line: _Read, quantity: int, number: int, of: int, line_id: int, on: date
) -> int:
    typed = text.clean(line.typed.container, field="container", most=50)
    label = f"{typed} {number}" if typed and of > 1 else typed
    container_id = writing.add(
        container,
        item_id=line.goods.id,
        label=label or next_label(writing, line.goods),
        lot=line.lot,
        capacity=quantity,
        received_on=on,
        best_before=line.typed.best_before,
        state=IN_USE,
    )
    package = line.goods.package_quantity
    pieces = 1 if of > 1 or quantity <= package else whole_packages(quantity, package)
    shell = max(package, quantity) if pieces == 1 else package
    keep_container_card(writing, container_id, pieces=pieces, shell=shell, delivery_line_id=line_id)
    return container_id


def _notes(writing: Writing, command: ReceiveDelivery, read: Sequence[_Read]) -> list[str]:
    notes = []
    for line in read:
        name = line.goods.name
        if line.damaged:
            notes.append(_("{item}: some came damaged and was not taken.").format(item=name))
        if line.condition is LineCondition.SUBSTITUTED:
            notes.append(_("{item} came in place of what was ordered.").format(item=name))
        if line.condition is LineCondition.NOT_ORDERED:
            notes.append(_("{item} was not on the order.").format(item=name))
    if command.order_id is not None:
        for waiting in order_view(writing, command.order_id).lines:
            if waiting.open:
                notes.append(_("{item}: the rest is still to come.").format(item=waiting.item))
    return notes


def delivery_view(reading: Reading, delivery_id: int) -> DeliveryView:
    """Give a delivery with its lines."""
    row = reading.one(delivery, delivery_id, _("That delivery is not there."))
    lines = reading.connection.execute(
        select(
            delivery_line,
            item.c.name.label("item"),
            item.c.base,
            (purchase_line.c.packages * purchase_line.c.package_quantity).label("ordered"),
        )
        .join(item, item.c.id == delivery_line.c.item_id)
        .outerjoin(purchase_line, purchase_line.c.id == delivery_line.c.purchase_line_id)
        .where(delivery_line.c.delivery_id == delivery_id)
        .order_by(delivery_line.c.position)
    )
    return DeliveryView(
        id=row.id,
        supplier_id=row.supplier_id,
        order_id=row.order_id,
        document_no=row.document_no,
        on_date=row.on_date,
        freight_minor=row.freight_minor,
        lines=tuple(_line_row(line) for line in lines),
    )


def _line_row(row: AnyRow) -> DeliveryLineRow:
    return DeliveryLineRow(
        id=row.id,
        item_id=row.item_id,
        item=row.item,
        base=row.base,
        condition=LineCondition(row.condition),
        ordered=row.ordered,
        quantity=row.quantity,
        damaged=row.damaged,
        goods_minor=row.goods_minor,
        freight_minor=row.freight_minor,
        core_minor=row.core_minor,
        lot=row.lot,
        best_before=row.best_before,
        note=row.note,
    )


class Deliveries:
    """The room where goods come in."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def receive(self, command: ReceiveDelivery) -> DeliveryReceived:
        """Keep a delivery."""
        return self._office.carry_out(
            command, lambda writing: receive_delivery(writing, command), DeliveryReceived
        )

    def delivery(self, delivery_id: int) -> DeliveryView:
        """Give a delivery with its lines."""
        with self._office.reading() as reading:
            return delivery_view(reading, delivery_id)

    def of_supplier(self, supplier_id: int) -> tuple[DeliveryView, ...]:
        """Give a supplier's deliveries, the newest first."""
        with self._office.reading() as reading:
            ids = reading.connection.execute(
                select(delivery.c.id)
                .where(delivery.c.supplier_id == supplier_id)
                .order_by(delivery.c.id.desc())
            ).scalars()
            return tuple(delivery_view(reading, delivery_id) for delivery_id in ids.all())
