"""What the shelf's books add up to: value, shrinkage, billed against used, a product's picture over time."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from sqlalchemy import func, select

from shopdesk.domain.counting import Shrinkage, shrinkage
from shopdesk.domain.intervals import add_months
from shopdesk.domain.rounding import round_half_up
from shopdesk.domain.stages import Stage
from shopdesk.domain.stock import CostMethod, MoveKind
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.tables.shelf import count_line
from shopdesk.persistence.tables.stock import item, stock_move
from shopdesk.persistence.tables.work import work_order, work_order_line
from shopdesk.services.acting import Office, Reading
from shopdesk.services.items import ItemKind
from shopdesk.services.ledger import layers, shortages
from shopdesk.services.reserving import sale_unit_quantity
from shopdesk.services.shelf_settings import shelf_settings
from shopdesk.services.stock import on_hand_rows


@dataclass(frozen=True, kw_only=True, slots=True)
class LayerRow:
    """What is left of one delivery: quantity in the base unit, money in minor units."""

    move_id: int
    quantity: int
    cost_minor: int


@dataclass(frozen=True, kw_only=True, slots=True)
class ValueRow:
    """An item's value: all cost that came in is what went out and what is left.

    ``used_minor`` is what jobs took, ``other_minor`` what left (or came) otherwise: counts, spills,
    own use. ``short`` is what was used beyond the shelf and no delivery has covered yet.
    """

    item_id: int
    name: str
    base: str
    on_hand: int
    short: int
    in_minor: int
    used_minor: int
    other_minor: int
    left_minor: int
    layers: tuple[LayerRow, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class StockValue:
    """The shelf's value by the shop's cost method."""

    method: CostMethod
    currency: str
    rows: tuple[ValueRow, ...]

    @property
    def left_minor(self) -> int:
        """What all that is left cost."""
        return sum(row.left_minor for row in self.rows)


@dataclass(frozen=True, kw_only=True, slots=True)
class ShrinkageRow:
    """One product in one month: what went missing against what counting can show."""

    item_id: int
    name: str
    base: str
    month: date
    counts: int
    cost_minor: int
    shrinkage: Shrinkage


@dataclass(frozen=True, kw_only=True, slots=True)
class BilledUsedRow:
    """One fluid on one job: billed on its lines against used in the bay, µL."""

    work_order_id: int
    work_order_number: int
    on_date: date
    item_id: int
    name: str
    billed_ul: int
    used_ul: int

    @property
    def difference_ul(self) -> int:
        """Billed less used."""
        return self.billed_ul - self.used_ul


@dataclass(frozen=True, kw_only=True, slots=True)
class LevelPoint:
    """The level at the end of a day."""

    on_date: date
    level: int


@dataclass(frozen=True, kw_only=True, slots=True)
class CountPoint:
    """What a day's counts of the product found altogether, with what they could show (twice u)."""

    on_date: date
    counted: int
    expected: int
    two_u: int


@dataclass(frozen=True, kw_only=True, slots=True)
class ProductHistory:
    """A product's picture over time: the level as a line, counts as dots; with its marks."""

    item_id: int
    name: str
    base: str
    order_at: int | None
    fill_to: int | None
    line: tuple[LevelPoint, ...]
    dots: tuple[CountPoint, ...]


_IN = (MoveKind.RECEIVE,)
_USED = (MoveKind.ISSUE, MoveKind.RETURN)


def stock_value(reading: Reading) -> StockValue:
    """Give every item's value and what became of the rest of its cost."""
    sums = reading.connection.execute(
        select(
            stock_move.c.item_id, stock_move.c.kind, int_sum(stock_move.c.cost_minor).label("cost_minor")
        ).group_by(stock_move.c.item_id, stock_move.c.kind)
    )
    costs: dict[tuple[int, str], int] = {(row.item_id, row.kind): int(row.cost_minor) for row in sums}

    def cost(item_id: int, kinds: Sequence[MoveKind]) -> int:
        return sum(costs.get((item_id, kind.value), 0) for kind in kinds)

    others = [kind for kind in MoveKind if kind not in (*_IN, *_USED)]
    rows = []
    for row in on_hand_rows(reading):
        held = tuple(
            LayerRow(move_id=each.move_id, quantity=each.quantity, cost_minor=each.cost_minor)
            for each in layers(reading, row.item_id)
        )
        rows.append(
            ValueRow(
                item_id=row.item_id,
                name=row.name,
                base=row.base,
                on_hand=row.on_hand,
                short=sum(each.quantity for each in shortages(reading, row.item_id)),
                in_minor=cost(row.item_id, _IN),
                used_minor=-cost(row.item_id, _USED),
                other_minor=-cost(row.item_id, others),
                left_minor=sum(each.cost_minor for each in held),
                layers=held,
            )
        )
    shop = reading.shop
    return StockValue(method=shop.cost_method, currency=shop.currency.code, rows=tuple(rows))


def shrinkage_rows(reading: Reading, month: date) -> tuple[ShrinkageRow, ...]:
    """Give what went missing in the month that ``month`` lies in, product by product."""
    first = month.replace(day=1)
    after = add_months(first, 1)
    share = shelf_settings(reading).shrinkage_ppm
    counts: Sequence[Any] = reading.connection.execute(
        select(count_line, item.c.name, item.c.base)
        .join(item, item.c.id == count_line.c.item_id)
        .where(count_line.c.on_date >= first, count_line.c.on_date < after)
        .order_by(item.c.sort_key, count_line.c.id)
    ).all()
    by_item: dict[int, list[Any]] = {}
    for row in counts:
        by_item.setdefault(row.item_id, []).append(row)
    return tuple(_shrinkage(reading, rows, first, after, share) for rows in by_item.values())


def _shrinkage(
    reading: Reading, rows: Sequence[Any], first: date, after: date, share_ppm: int
) -> ShrinkageRow:
    used = -_moved(reading, rows[0].item_id, first, after, _USED)
    widths = tuple(width for row in rows for width in (row.half_width, row.allowance))
    groups = [row.group_uid for row in rows]
    cost = reading.connection.execute(
        select(int_sum(stock_move.c.cost_minor)).where(
            stock_move.c.group_uid.in_(groups), stock_move.c.kind == MoveKind.COUNT.value
        )
    ).scalar_one()
    return ShrinkageRow(
        item_id=rows[0].item_id,
        name=rows[0].name,
        base=rows[0].base,
        month=first,
        counts=len(rows),
        cost_minor=-int(cost),
        shrinkage=shrinkage(
            expected=sum(row.expected for row in rows),
            counted=sum(row.counted for row in rows),
            used=used,
            half_widths=widths,
            share_ppm=share_ppm,
        ),
    )


def _moved(reading: Reading, item_id: int, first: date, after: date, kinds: Sequence[MoveKind]) -> int:
    return int(
        reading.connection.execute(
            select(int_sum(stock_move.c.quantity)).where(
                stock_move.c.item_id == item_id,
                stock_move.c.kind.in_([kind.value for kind in kinds]),
                stock_move.c.on_date >= first,
                stock_move.c.on_date < after,
            )
        ).scalar_one()
    )


_DONE = (Stage.FINISHED, Stage.INVOICED, Stage.COLLECTED)


def billed_against_used(reading: Reading, month: date) -> tuple[BilledUsedRow, ...]:
    """Give every fluid of every job whose fluid left the shelf in a month: billed against used."""
    first = month.replace(day=1)
    after = add_months(first, 1)
    rows: Sequence[Any] = reading.connection.execute(
        select(
            work_order.c.id,
            work_order.c.number,
            stock_move.c.item_id,
            item.c.name,
            item.c.sale_unit,
            func.min(stock_move.c.on_date).label("on_date"),
            (-int_sum(stock_move.c.quantity)).label("used"),
        )
        .join(work_order, work_order.c.id == stock_move.c.work_order_id)
        .join(item, item.c.id == stock_move.c.item_id)
        .where(item.c.base == "ul", work_order.c.stage.in_([stage.value for stage in _DONE]))
        .group_by(work_order.c.id, work_order.c.number, stock_move.c.item_id, item.c.name, item.c.sale_unit)
        .having(func.min(stock_move.c.on_date) >= first, func.min(stock_move.c.on_date) < after)
        .order_by(work_order.c.number, stock_move.c.item_id)
    ).all()
    return tuple(
        BilledUsedRow(
            work_order_id=row.id,
            work_order_number=row.number,
            on_date=row.on_date,
            item_id=row.item_id,
            name=row.name,
            billed_ul=_billed(reading, row),
            used_ul=int(row.used),
        )
        for row in rows
    )


def _billed(reading: Reading, row: Any) -> int:
    milli = reading.connection.execute(
        select(int_sum(work_order_line.c.quantity_milli)).where(
            work_order_line.c.work_order_id == row.id, work_order_line.c.item_id == row.item_id
        )
    ).scalar_one()
    unit = sale_unit_quantity(reading.shop, ItemKind.FLUID, row.sale_unit)
    return round_half_up(Fraction(int(milli) * unit, 1000))


def product_history(reading: Reading, item_id: int, from_on: date) -> ProductHistory:
    """Give a product's level at the end of every day it moved, from a day on, and its counts."""
    goods = next(row for row in on_hand_rows(reading) if row.item_id == item_id)
    opening = int(
        reading.connection.execute(
            select(int_sum(stock_move.c.quantity)).where(
                stock_move.c.item_id == item_id, stock_move.c.on_date < from_on
            )
        ).scalar_one()
    )
    days = reading.connection.execute(
        select(stock_move.c.on_date, int_sum(stock_move.c.quantity).label("quantity"))
        .where(stock_move.c.item_id == item_id, stock_move.c.on_date >= from_on)
        .group_by(stock_move.c.on_date)
        .order_by(stock_move.c.on_date)
    )
    line = [LevelPoint(on_date=from_on, level=opening)]
    for day in days:
        line.append(LevelPoint(on_date=day.on_date, level=line[-1].level + int(day.quantity)))
    return ProductHistory(
        item_id=item_id,
        name=goods.name,
        base=goods.base,
        order_at=goods.order_at,
        fill_to=goods.fill_to,
        line=tuple(line),
        dots=_dots(reading, item_id, from_on),
    )


def _dots(reading: Reading, item_id: int, from_on: date) -> tuple[CountPoint, ...]:
    rows: Sequence[Any] = reading.connection.execute(
        select(count_line)
        .where(count_line.c.item_id == item_id, count_line.c.on_date >= from_on)
        .order_by(count_line.c.on_date, count_line.c.id)
    ).all()
    by_day: dict[date, list[Any]] = {}
    for row in rows:
        by_day.setdefault(row.on_date, []).append(row)
    return tuple(_dot(day, counts) for day, counts in by_day.items())


def _dot(day: date, counts: Sequence[Any]) -> CountPoint:
    found = shrinkage(
        expected=sum(row.expected for row in counts),
        counted=sum(row.counted for row in counts),
        used=0,
        half_widths=tuple(width for row in counts for width in (row.half_width, row.allowance)),
        share_ppm=0,
    )
    return CountPoint(on_date=day, counted=found.counted, expected=found.expected, two_u=found.two_u)


class ShelfReports:
    """The room where the shelf's books are added up."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def value(self) -> StockValue:
        """Give the shelf's value."""
        with self._office.reading() as reading:
            return stock_value(reading)

    def shrinkage(self, month: date) -> tuple[ShrinkageRow, ...]:
        """Give what went missing in a month."""
        with self._office.reading() as reading:
            return shrinkage_rows(reading, month)

    def billed_against_used(self, month: date) -> tuple[BilledUsedRow, ...]:
        """Give billed against used, job by job."""
        with self._office.reading() as reading:
            return billed_against_used(reading, month)

    def history(self, item_id: int, from_on: date) -> ProductHistory:
        """Give a product's picture over time."""
        with self._office.reading() as reading:
            return product_history(reading, item_id, from_on)
