"""What to order: the owner's marks first, the formula with its basis beside them; and days of cover."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from gettext import gettext as _

from sqlalchemy import select

from shopdesk.domain.reorder import (
    Demand,
    ReorderHint,
    days_of_cover,
    demand_of,
    packages_to_order,
    reorder_hint,
)
from shopdesk.domain.stock import MoveKind
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.tables.buying import supplier
from shopdesk.persistence.tables.shelf import item_card
from shopdesk.persistence.tables.stock import stock_move
from shopdesk.services.acting import Office, Reading
from shopdesk.services.buying import on_order
from shopdesk.services.figures import Figures
from shopdesk.services.reserving import reserved, usable
from shopdesk.services.shelf_settings import ShelfSettings, shelf_settings
from shopdesk.services.stock import OnHandRow, on_hand_rows

#: What counts as use: what jobs took, and what else left for good. Returns count against it.
USE_KINDS = (MoveKind.ISSUE, MoveKind.RETURN, MoveKind.OWN_USE)


@dataclass(frozen=True, kw_only=True, slots=True)
class OrderHintRow:
    """One item as the buyer sees it; quantities in its base unit.

    ``packages`` is what the owner's marks ask for. ``hint`` is the formula's mark, None with too
    little history; ``basis`` says in words what it rests on. ``cover_days`` is None when nothing was
    used, ``runs_out_on`` the day the shelf then ends.
    """

    item_id: int
    name: str
    base: str
    package_quantity: int
    on_hand: int
    usable: int
    reserved: int
    on_order: int
    order_at: int | None
    fill_to: int | None
    packages: int
    hint: ReorderHint | None
    basis: str
    cover_days: int | None
    runs_out_on: date | None
    supplier_id: int | None
    supplier: str


def daily_use(reading: Reading, item_id: int, days: int) -> Sequence[int]:
    """Give what was used on each of the last ``days`` days, today left out; days without use are zeros."""
    first = reading.today - timedelta(days=days)
    rows = reading.connection.execute(
        select(stock_move.c.on_date, int_sum(stock_move.c.quantity).label("quantity"))
        .where(
            stock_move.c.item_id == item_id,
            stock_move.c.kind.in_([kind.value for kind in USE_KINDS]),
            stock_move.c.on_date >= first,
            stock_move.c.on_date < reading.today,
        )
        .group_by(stock_move.c.on_date)
    )
    used = {row.on_date: -int(row.quantity) for row in rows}
    return [max(0, used.get(first + timedelta(days=at), 0)) for at in range(days)]


def demand_on(reading: Reading, item_id: int, days: int) -> Demand:
    """Give the demand of the last days, not reaching back before the item's first move."""
    first = reading.connection.execute(
        select(stock_move.c.on_date)
        .where(stock_move.c.item_id == item_id)
        .order_by(stock_move.c.on_date)
        .limit(1)
    ).scalar()
    if first is None:
        return demand_of(())
    return demand_of(daily_use(reading, item_id, min(days, max(1, (reading.today - first).days))))


def order_hints(reading: Reading) -> tuple[OrderHintRow, ...]:
    """Give every item with what its marks ask for and what the formula would say."""
    settings = shelf_settings(reading)
    coming, aside, suppliers = on_order(reading), reserved(reading), _suppliers(reading)
    return tuple(
        _row(reading, row, settings, coming.get(row.item_id, 0), aside.get(row.item_id, 0), suppliers)
        for row in on_hand_rows(reading)
    )


_Supplier = tuple[int | None, str, int | None]


def _suppliers(reading: Reading) -> Mapping[int, _Supplier]:
    """Give each item's usual supplier and its lead time: the item's own, else the supplier's."""
    rows = reading.connection.execute(
        select(
            item_card.c.item_id,
            item_card.c.supplier_id,
            item_card.c.lead_days,
            supplier.c.name,
            supplier.c.lead_days.label("supplier_days"),
        ).outerjoin(supplier, supplier.c.id == item_card.c.supplier_id)
    )
    return {
        row.item_id: (row.supplier_id, row.name or "", row.lead_days or row.supplier_days) for row in rows
    }


def _row(
    reading: Reading,
    row: OnHandRow,
    settings: ShelfSettings,
    coming: int,
    aside: int,
    suppliers: Mapping[int, _Supplier],
) -> OrderHintRow:
    supplier_id, name, lead_days = suppliers.get(row.item_id, (None, "", None))
    demand = demand_on(reading, row.item_id, settings.demand_days)
    hint = reorder_hint(
        demand, lead_days=lead_days or settings.lead_days, service_level_ppm=settings.service_level_ppm
    )
    held = usable(reading, row.item_id)
    cover = days_of_cover(held, demand)
    return OrderHintRow(
        item_id=row.item_id,
        name=row.name,
        base=row.base,
        package_quantity=row.package_quantity,
        on_hand=row.on_hand,
        usable=held,
        reserved=aside,
        on_order=coming,
        order_at=row.order_at,
        fill_to=row.fill_to,
        packages=packages_to_order(
            available=held - aside,
            on_order=coming,
            order_at=row.order_at,
            fill_to=row.fill_to,
            package=row.package_quantity,
        ),
        hint=hint,
        basis=_basis(reading, row, hint, demand),
        cover_days=cover,
        runs_out_on=reading.today + timedelta(days=cover) if cover is not None and cover < 3650 else None,
        supplier_id=supplier_id,
        supplier=name,
    )


def _basis(reading: Reading, row: OnHandRow, hint: ReorderHint | None, demand: Demand) -> str:
    figures = Figures(reading.shop)
    if hint is None:
        sentence = _("No hint: used on {days} of the last {all} days, which is too little to say anything.")
        return sentence.format(days=demand.days_with_demand, all=demand.days)
    sentence = _(
        "{lead} used in {lead_days} days of waiting on average, and {safety} so that it lasts "
        "{level} % of the time; from {days} days of use."
    )
    return sentence.format(
        lead=figures.stock(row.base, hint.lead_demand),
        lead_days=hint.lead_days,
        safety=figures.stock(row.base, hint.safety),
        level=figures.number(hint.service_level_ppm // 10_000, 0),
        days=demand.days,
    )


class OrderingHints:
    """The room where the buyer sees what to order."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def rows(self) -> tuple[OrderHintRow, ...]:
        """Give every item with what its marks ask for and what the formula would say."""
        with self._office.reading() as reading:
            return order_hints(reading)
