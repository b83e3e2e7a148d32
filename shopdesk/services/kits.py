"""Kits: an item that is sold as one line and leaves the shelf as its parts, one by one."""

from collections.abc import Mapping
from dataclasses import dataclass
from gettext import gettext as _

from sqlalchemy import delete, func, insert, select

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.stock import share
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.tables.shelf import kit_part
from shopdesk.persistence.tables.stock import item, stock_move
from shopdesk.persistence.tables.work import work_order_line
from shopdesk.services.acting import Command, Office, Reading, Writing
from shopdesk.services.items import ItemKind, item_view, quantity_of
from shopdesk.services.typed import under


@dataclass(frozen=True, kw_only=True, slots=True)
class KitPartTyped:
    """One part of a kit: how many pieces (or how much of a sealant sold as a fluid) one kit holds."""

    item_id: int
    quantity: str


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveKit(Command):
    """The parts of a kit from now on; none make it a plain part again."""

    item_id: int
    parts: tuple[KitPartTyped, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class KitKept:
    """Which kit."""

    item_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class KitPartRow:
    """A part of a kit, in the part's base unit."""

    item_id: int
    name: str
    base: str
    quantity: int


def save_kit(writing: Writing, command: SaveKit) -> KitKept:
    """Keep a kit's parts. A kit holds no other kit and was never itself on the shelf."""
    kit = item_view(writing, command.item_id)
    if kit.kind is not ItemKind.PART:
        raise RuleBroken(_("A kit is kept as a part."), "item_id")
    moved = select(stock_move.c.id).where(stock_move.c.item_id == kit.id).limit(1)
    if command.parts and writing.connection.execute(moved).first() is not None:
        raise RuleBroken(_("This item was on the shelf by itself; make another item for the kit."), "item_id")
    writing.connection.execute(delete(kit_part).where(kit_part.c.kit_item_id == kit.id))
    kits = kit_ids(writing)
    seen: set[int] = set()
    for position, part in enumerate(command.parts, start=1):
        with under(f"parts/{position - 1}"):
            values = _part(writing, kit.id, part, kits, seen)
        writing.connection.execute(insert(kit_part).values(kit_item_id=kit.id, position=position, **values))
    writing.touched.add(kit_part.name)
    return KitKept(item_id=kit.id)


def _part(
    writing: Writing, kit_id: int, part: KitPartTyped, kits: frozenset[int], seen: set[int]
) -> dict[str, int]:
    goods = item_view(writing, part.item_id)
    if goods.id == kit_id or goods.id in kits:
        raise RuleBroken(_("A kit holds parts, not kits."), "item_id")
    if goods.id in seen:
        raise RuleBroken(_("This part stands in the kit twice; write its number once."), "item_id")
    seen.add(goods.id)
    quantity = quantity_of(writing, goods.kind, part.quantity, "quantity")
    if quantity <= 0:
        raise RuleBroken(_("Write how many of it one kit holds."), "quantity")
    return {"item_id": goods.id, "quantity": quantity}


def kit_ids(reading: Reading) -> frozenset[int]:
    """Give the items that are kits."""
    return frozenset(reading.connection.execute(select(kit_part.c.kit_item_id).distinct()).scalars())


def kit_parts(reading: Reading, kit_item_id: int) -> tuple[KitPartRow, ...]:
    """Give a kit's parts in their order; none for an item that is no kit."""
    rows = reading.connection.execute(
        select(kit_part.c.item_id, item.c.name, item.c.base, kit_part.c.quantity)
        .join(item, item.c.id == kit_part.c.item_id)
        .where(kit_part.c.kit_item_id == kit_item_id)
        .order_by(kit_part.c.position)
    )
    return tuple(KitPartRow(**row._mapping) for row in rows)


def parts_billed(reading: Reading, work_order_id: int) -> Mapping[int, int]:
    """Give what a work order's lines take off the shelf apart from fluids, kits as their parts.

    Fluids on lines of their own leave the shelf as they were put in, not as they were billed.
    """
    rows = reading.connection.execute(
        select(work_order_line.c.item_id, func.sum(work_order_line.c.quantity_milli).label("quantity"))
        .join(item, item.c.id == work_order_line.c.item_id)
        .where(work_order_line.c.work_order_id == work_order_id, item.c.base == "milli_each")
        .group_by(work_order_line.c.item_id)
        .order_by(work_order_line.c.item_id)
    ).all()
    wanted: dict[int, int] = {}
    for row in rows:
        billed = int(row.quantity)
        parts = kit_parts(reading, row.item_id)
        for part in parts:
            wanted[part.item_id] = wanted.get(part.item_id, 0) + part.quantity * billed // 1000
        if not parts:
            wanted[row.item_id] = wanted.get(row.item_id, 0) + billed
    return wanted


def kit_cost(reading: Reading, work_order_id: int, kit_item_id: int, quantity_milli: int) -> int:
    """Give what a kit's parts cost a work order: of each part the share that this kit line took."""
    billed = parts_billed(reading, work_order_id)
    cost = 0
    for part in kit_parts(reading, kit_item_id):
        spent = -int(
            reading.connection.execute(
                select(int_sum(stock_move.c.cost_minor)).where(
                    stock_move.c.work_order_id == work_order_id,
                    stock_move.c.item_id == part.item_id,
                    stock_move.c.record_id.is_(None),
                )
            ).scalar_one()
        )
        took = part.quantity * quantity_milli // 1000
        cost += share(spent, took, billed[part.item_id]) if took else 0
    return cost


def own_cost(reading: Reading, work_order_id: int, item_id: int, own: int, spent: int) -> int:
    """Give of what an item cost a work order the share that was not taken by its kits."""
    billed = parts_billed(reading, work_order_id).get(item_id, own)
    return spent - (share(spent, billed - own, billed) if billed > own else 0)


class Kits:
    """The room where kits are put together."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def save(self, command: SaveKit) -> KitKept:
        """Keep a kit's parts."""
        return self._office.carry_out(command, lambda writing: save_kit(writing, command), KitKept)

    def parts(self, kit_item_id: int) -> tuple[KitPartRow, ...]:
        """Give a kit's parts."""
        with self._office.reading() as reading:
            return kit_parts(reading, kit_item_id)
