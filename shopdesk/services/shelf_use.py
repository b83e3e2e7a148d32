"""What a work order takes from the shelf: what is wanted, what has left, and what is left there."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from sqlalchemy import select

from shopdesk.domain.record import Facts
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.tables.service import service_record
from shopdesk.persistence.tables.stock import container, item, stock_move
from shopdesk.services.acting import Reading
from shopdesk.services.bay import kept_entries
from shopdesk.services.kits import parts_billed
from shopdesk.services.stock import on_hand


@dataclass(frozen=True, kw_only=True, slots=True)
class ShelfUse:
    """One item of a work order, in its base unit: what the work wants, what was drawn, what is left.

    ``record_id`` names the service record whose fluid it is; parts have none.
    """

    item_id: int
    name: str
    base: str
    record_id: int | None
    wanted: int
    drawn: int
    left: int
    lots: tuple[str, ...]


def shelf_uses(reading: Reading, work_order_id: int) -> tuple[ShelfUse, ...]:
    """Give the fluids of a work order's records, then its parts."""
    wanted = {**_fluids(reading, work_order_id), **_parts(reading, work_order_id)}
    drawn = _drawn(reading, work_order_id)
    return tuple(
        _use(reading, work_order_id, key, wanted.get(key, 0), drawn.get(key, 0))
        for key in dict.fromkeys([*wanted, *drawn])
    )


_Key = tuple[int, int | None]


def _fluids(reading: Reading, work_order_id: int) -> Mapping[_Key, int]:
    rows = reading.connection.execute(
        select(service_record.c.id, service_record.c.item_id)
        .where(service_record.c.work_order_id == work_order_id, service_record.c.item_id.is_not(None))
        .order_by(service_record.c.id)
    ).all()
    return {
        (row.item_id, row.id): Facts(each.entry for each in kept_entries(reading, row.id)).used_ul() or 0
        for row in rows
    }


def _parts(reading: Reading, work_order_id: int) -> Mapping[_Key, int]:
    return {(item_id, None): quantity for item_id, quantity in parts_billed(reading, work_order_id).items()}


def _drawn(reading: Reading, work_order_id: int) -> Mapping[_Key, int]:
    rows = reading.connection.execute(
        select(stock_move.c.item_id, stock_move.c.record_id, int_sum(stock_move.c.quantity).label("quantity"))
        .where(stock_move.c.work_order_id == work_order_id)
        .group_by(stock_move.c.item_id, stock_move.c.record_id)
    )
    found: dict[_Key, int] = defaultdict(int)
    for row in rows:
        found[row.item_id, row.record_id] = -int(row.quantity)
    return found


def _use(reading: Reading, work_order_id: int, key: _Key, wanted: int, drawn: int) -> ShelfUse:
    item_id, record_id = key
    row = reading.connection.execute(select(item.c.name, item.c.base).where(item.c.id == item_id)).one()
    lots = reading.connection.execute(
        select(container.c.lot)
        .join(stock_move, stock_move.c.container_id == container.c.id)
        .where(
            stock_move.c.work_order_id == work_order_id,
            stock_move.c.item_id == item_id,
            stock_move.c.record_id.is_not_distinct_from(record_id),
            container.c.lot != "",
        )
        .distinct()
        .order_by(container.c.lot)
    ).scalars()
    return ShelfUse(
        item_id=item_id,
        name=row.name,
        base=row.base,
        record_id=record_id,
        wanted=wanted,
        drawn=drawn,
        left=on_hand(reading, item_id),
        lots=tuple(lots),
    )
