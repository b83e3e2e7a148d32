"""The shelf and its ledger: what came in, what jobs drew, what it cost.

A job draws what was put in (and spilled), not what was billed. Recording what was used is never
refused: what the shelf did not hold is written as a move without a layer, and flagged for counting.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from gettext import gettext as _
from typing import Any

from sqlalchemy import RowMapping, Select, func, select

from shopdesk.domain import text
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.ledger import Source
from shopdesk.domain.stock import MoveKind
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.tables.shelf import count_line, kit_part
from shopdesk.persistence.tables.shop import person
from shopdesk.persistence.tables.stock import container, item, stock_move
from shopdesk.persistence.tables.work import work_order
from shopdesk.services.acting import AnyRow, Command, Office, Reading, Writing
from shopdesk.services.items import ItemKind, ItemView, item_view, quantity_of
from shopdesk.services.kits import kit_ids
from shopdesk.services.ledger import SHORT_REASON as SHORT_REASON
from shopdesk.services.ledger import Inflow, Outflow, bring_in, give_back, take_out
from shopdesk.services.ledger import on_hand as on_hand


@dataclass(frozen=True, kw_only=True, slots=True)
class Receive(Command):
    """A delivery of one item. ``quantity`` is text in the item's kind; ``cost`` is for all of it."""

    item_id: int
    quantity: str
    cost: str
    lot: str = ""
    container: str = ""
    document_no: str = ""
    best_before: date | None = None
    on: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Draw:
    """What a job takes of one item, in the item's base unit; ``sources`` say out of which containers."""

    item_id: int
    quantity: int
    work_order_id: int
    record_id: int | None = None
    sources: tuple[Source, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Drawn:
    """What a draw did: its cost, how much the shelf did not hold, and what is left now."""

    item_id: int
    quantity: int
    cost_minor: int
    short: int
    left: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Received:
    """The move and container of a delivery, and what is on hand now."""

    move_id: int
    container_id: int
    on_hand: int


@dataclass(frozen=True, kw_only=True, slots=True)
class OnHandRow:
    """One item on the shelf; quantities in its base unit, ``cost_minor`` of what is left."""

    item_id: int
    kind: ItemKind
    name: str
    base: str
    on_hand: int
    cost_minor: int
    order_at: int | None
    fill_to: int | None
    package_quantity: int
    sale_unit: str
    count_due: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class MoveRow:
    """One line of the ledger with the level after it."""

    id: int
    on_date: date
    kind: MoveKind
    quantity: int
    cost_minor: int
    level_after: int
    work_order_number: int | None
    lot: str
    container: str
    document_no: str
    reason: str
    person: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ContainerRow:
    """One physical container and what it should hold."""

    id: int
    label: str
    lot: str
    on_hand: int
    capacity: int | None
    received_on: date
    best_before: date | None
    state: str


def receive(writing: Writing, command: Receive) -> Received:
    """Put a delivery on the shelf as a new container and cost layer."""
    goods = item_view(writing, command.item_id)
    if goods.id in kit_ids(writing):
        raise RuleBroken(_("Receive the parts of a kit, not the kit."), "item_id")
    quantity = quantity_of(writing, goods.kind, command.quantity, "quantity")
    if quantity <= 0:
        raise RuleBroken(_("A delivery holds more than nothing."), "quantity")
    on = command.on or writing.today
    container_id = writing.add(
        container,
        item_id=goods.id,
        label=text.clean(command.container, field="container", most=60) or next_label(writing, goods),
        lot=text.clean(command.lot, field="lot", most=60),
        capacity=quantity,
        received_on=on,
        best_before=command.best_before,
        state="in use",
    )
    move_id = bring_in(
        writing,
        Inflow(
            item_id=goods.id,
            container_id=container_id,
            kind=MoveKind.RECEIVE,
            quantity=quantity,
            cost_minor=writing.typed_here().money(command.cost, "cost"),
            on_date=on,
            document_no=text.clean(command.document_no, field="document_no", most=80),
        ),
    )
    return Received(move_id=move_id, container_id=container_id, on_hand=on_hand(writing, goods.id))


def next_label(writing: Writing, goods: ItemView) -> str:
    """Give the name of the next container of an item."""
    count = writing.connection.execute(
        select(func.count()).select_from(container).where(container.c.item_id == goods.id)
    ).scalar_one()
    return f"{goods.name[:40]} #{int(count) + 1}"


def draw(writing: Writing, wanted: Draw) -> Drawn:
    """Take what a job used off the shelf; what the shelf did not hold is written down and flagged."""
    left = take_out(writing, _outflow(wanted, wanted.quantity))
    return Drawn(
        item_id=wanted.item_id,
        quantity=wanted.quantity,
        cost_minor=left.cost_minor,
        short=left.short,
        left=on_hand(writing, wanted.item_id),
    )


def undraw(writing: Writing, wanted: Draw) -> Drawn:
    """Put back what a job took beyond what it turned out to have used; the quantity counts below zero."""
    left = give_back(writing, _outflow(wanted, wanted.quantity))
    return Drawn(
        item_id=wanted.item_id,
        quantity=-wanted.quantity,
        cost_minor=left.cost_minor,
        short=0,
        left=on_hand(writing, wanted.item_id),
    )


def _outflow(wanted: Draw, quantity: int) -> Outflow:
    return Outflow(
        item_id=wanted.item_id,
        kind=MoveKind.ISSUE,
        quantity=quantity,
        sources=wanted.sources,
        work_order_id=wanted.work_order_id,
        record_id=wanted.record_id,
    )


def drawn_before(reading: Reading, wanted: Draw) -> int:
    """Give how much of the item left the shelf for this record (or the work order's parts) so far."""
    return -int(
        reading.connection.execute(
            select(int_sum(stock_move.c.quantity)).where(
                stock_move.c.work_order_id == wanted.work_order_id,
                stock_move.c.item_id == wanted.item_id,
                stock_move.c.record_id.is_not_distinct_from(wanted.record_id),
            )
        ).scalar_one()
    )


def drawn_without_record(reading: Reading, work_order_id: int) -> frozenset[int]:
    """Give the items that a work order took as parts, net of what went back."""
    rows = reading.connection.execute(
        select(stock_move.c.item_id, int_sum(stock_move.c.quantity).label("quantity"))
        .where(stock_move.c.work_order_id == work_order_id, stock_move.c.record_id.is_(None))
        .group_by(stock_move.c.item_id)
    )
    return frozenset(row.item_id for row in rows if row.quantity)


def on_hand_rows(reading: Reading, kind: ItemKind | None = None) -> Sequence[OnHandRow]:
    """Give every item on the list with what is on hand and what it cost; a kit has only its parts."""
    sums = (
        select(
            stock_move.c.item_id,
            int_sum(stock_move.c.quantity).label("on_hand"),
            int_sum(stock_move.c.cost_minor).label("cost_minor"),
        )
        .group_by(stock_move.c.item_id)
        .subquery()
    )
    query = (
        select(
            item.c.id.label("item_id"),
            item.c.kind,
            item.c.name,
            item.c.base,
            func.coalesce(sums.c.on_hand, 0).label("on_hand"),
            func.coalesce(sums.c.cost_minor, 0).label("cost_minor"),
            item.c.order_at,
            item.c.fill_to,
            item.c.package_quantity,
            item.c.sale_unit,
        )
        .outerjoin(sums, sums.c.item_id == item.c.id)
        .where(item.c.active, item.c.id.not_in(select(kit_part.c.kit_item_id)))
        .order_by(item.c.sort_key)
    )
    if kind is not None:
        query = query.where(item.c.kind == kind.value)
    due = counts_due(reading)
    return tuple(_on_hand_row(row, due) for row in reading.connection.execute(query).mappings())


def _on_hand_row(row: RowMapping, due: frozenset[int]) -> OnHandRow:
    values: dict[str, Any] = {**row, "kind": ItemKind(row["kind"]), "on_hand": int(row["on_hand"])}
    return OnHandRow(**values, count_due=values["item_id"] in due)


def counts_due(reading: Reading) -> frozenset[int]:
    """Give the items that want counting.

    A fluid: a container gave more than it held, or nobody said which one gave. Anything else: more
    was used than the shelf held since it was last counted.
    """
    held = (
        select(
            stock_move.c.item_id,
            stock_move.c.container_id,
            int_sum(stock_move.c.quantity).label("quantity"),
        )
        .join(item, item.c.id == stock_move.c.item_id)
        .where(item.c.base == "ul")
        .group_by(stock_move.c.item_id, stock_move.c.container_id)
        .subquery()
    )
    nowhere = held.c.container_id.is_(None) & (held.c.quantity != 0)
    fluids = select(held.c.item_id).where(nowhere | (held.c.quantity < 0)).distinct()
    last_count = (
        select(func.max(count_line.c.at_utc))
        .where(count_line.c.item_id == stock_move.c.item_id)
        .scalar_subquery()
    )
    pieces = (
        select(stock_move.c.item_id)
        .join(item, item.c.id == stock_move.c.item_id)
        .where(
            item.c.base != "ul",
            stock_move.c.layer_move_id.is_(None),
            stock_move.c.quantity < 0,
            last_count.is_(None) | (stock_move.c.at_utc > last_count),
        )
        .distinct()
    )
    found = [*reading.connection.execute(fluids).scalars(), *reading.connection.execute(pieces).scalars()]
    return frozenset(found)


def ledger(
    reading: Reading, item_id: int, *, before_id: int | None = None, most: int = 100
) -> Sequence[MoveRow]:
    """Give the newest moves of an item, each with the level after it; ``before_id`` goes further back."""
    return tuple(
        _move_row(row) for row in reading.connection.execute(_ledger_query(item_id, before_id, most))
    )


def _ledger_query(item_id: int, before_id: int | None, most: int) -> Select[tuple[object, ...]]:
    level = func.sum(stock_move.c.quantity).over(order_by=stock_move.c.id).label("level_after")
    running = select(stock_move, level).where(stock_move.c.item_id == item_id).subquery()
    query = (
        select(
            running,
            work_order.c.number.label("work_order_number"),
            container.c.lot,
            container.c.label.label("container"),
            person.c.name.label("person"),
        )
        .join(person, person.c.id == running.c.person_id)
        .outerjoin(work_order, work_order.c.id == running.c.work_order_id)
        .outerjoin(container, container.c.id == running.c.container_id)
        .order_by(running.c.id.desc())
        .limit(most)
    )
    return query.where(running.c.id < before_id) if before_id is not None else query


def _move_row(row: AnyRow) -> MoveRow:
    return MoveRow(
        id=row.id,
        on_date=row.on_date,
        kind=MoveKind(row.kind),
        quantity=row.quantity,
        cost_minor=row.cost_minor,
        level_after=int(row.level_after),
        work_order_number=row.work_order_number,
        lot=row.lot or "",
        container=row.container or "",
        document_no=row.document_no,
        reason=row.reason,
        person=row.person,
    )


def containers(reading: Reading, item_id: int) -> Sequence[ContainerRow]:
    """Give the containers of an item with what each should hold, newest first."""
    sums = (
        select(stock_move.c.container_id, int_sum(stock_move.c.quantity).label("on_hand"))
        .where(stock_move.c.item_id == item_id)
        .group_by(stock_move.c.container_id)
        .subquery()
    )
    rows = reading.connection.execute(
        select(container, func.coalesce(sums.c.on_hand, 0).label("on_hand"))
        .outerjoin(sums, sums.c.container_id == container.c.id)
        .where(container.c.item_id == item_id)
        .order_by(container.c.id.desc())
    )
    return tuple(
        ContainerRow(
            id=row.id,
            label=row.label,
            lot=row.lot,
            on_hand=int(row.on_hand),
            capacity=row.capacity,
            received_on=row.received_on,
            best_before=row.best_before,
            state=row.state,
        )
        for row in rows
    )


class Stock:
    """The room where the shelf and its ledger are."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def receive(self, command: Receive) -> Received:
        """Put a delivery on the shelf."""
        return self._office.carry_out(command, lambda writing: receive(writing, command), Received)

    def on_hand(self, kind: ItemKind | None = None) -> Sequence[OnHandRow]:
        """Give the shelf."""
        with self._office.reading() as reading:
            return on_hand_rows(reading, kind)

    def ledger(self, item_id: int, *, before_id: int | None = None, most: int = 100) -> Sequence[MoveRow]:
        """Give an item's newest moves."""
        with self._office.reading() as reading:
            return ledger(reading, item_id, before_id=before_id, most=most)

    def containers(self, item_id: int) -> Sequence[ContainerRow]:
        """Give an item's containers."""
        with self._office.reading() as reading:
            return containers(reading, item_id)
