"""Reserving: what work orders want of the shelf, set aside so that two jobs never count on the same litre.

Reserving beyond what is free is refused with what is left, unless somebody says why it is reserved
anyway. The item's row is locked while that is decided, so two stations cannot both get the last of it.
Taking what was used at the end of a job asks nobody: that is the ledger's business.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from gettext import gettext as _

from sqlalchemy import delete, insert, select, update

from shopdesk.domain import text
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.rounding import round_half_up
from shopdesk.domain.stages import Stage
from shopdesk.domain.unit_factors import to_ul
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.tables.shelf import reservation
from shopdesk.persistence.tables.stock import item
from shopdesk.persistence.tables.work import work_order, work_order_line
from shopdesk.services.acting import Command, Office, Reading, Writing
from shopdesk.services.figures import Figures
from shopdesk.services.items import ItemKind, item_view, quantity_of
from shopdesk.services.kits import parts_billed
from shopdesk.services.ledger import on_hand, pourables, wait_for_turn
from shopdesk.services.shopfacts import ShopFacts
from shopdesk.services.work import the_work_order

#: Work whose goods are still to leave the shelf.
WAITING = (Stage.QUOTED, Stage.AUTHORISED, Stage.IN_THE_BAY)


@dataclass(frozen=True, kw_only=True, slots=True)
class Reserve(Command):
    """Sets goods of one item aside for a work order; an empty ``quantity`` is what its lines say."""

    work_order_id: int
    item_id: int
    quantity: str = ""
    anyway_reason: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class ReserveWork(Command):
    """Sets everything aside that a work order's lines want: all of it or, without a reason, none."""

    work_order_id: int
    anyway_reason: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Release(Command):
    """Gives back what was set aside for a work order."""

    work_order_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Reserved:
    """What is set aside for a work order of one item, and what of it is still free for others."""

    work_order_id: int
    item_id: int
    quantity: int
    free: int


@dataclass(frozen=True, kw_only=True, slots=True)
class WorkReserved:
    """Everything set aside for a work order."""

    rows: tuple[Reserved, ...]


def sale_unit_quantity(shop: ShopFacts, kind: ItemKind, sale_unit: str) -> int:
    """Give one sale unit in the item's base unit."""
    if kind is not ItemKind.FLUID:
        return 1000
    imperial = shop.imperial and sale_unit in ("qt", "gal")
    return to_ul(Fraction(1), f"imp {sale_unit}" if imperial else sale_unit)


def fluids_on_lines(reading: Reading, work_order_id: int) -> Mapping[int, int]:
    """Give the fluids on a work order's lines, in µL."""
    rows = reading.connection.execute(
        select(work_order_line.c.item_id, item.c.sale_unit, work_order_line.c.quantity_milli)
        .join(item, item.c.id == work_order_line.c.item_id)
        .where(work_order_line.c.work_order_id == work_order_id, item.c.base == "ul")
        .order_by(work_order_line.c.position)
    )
    wanted: dict[int, int] = {}
    for row in rows:
        unit = sale_unit_quantity(reading.shop, ItemKind.FLUID, row.sale_unit)
        quantity = round_half_up(Fraction(row.quantity_milli * unit, 1000))
        wanted[row.item_id] = wanted.get(row.item_id, 0) + quantity
    return wanted


def wanted_by(reading: Reading, work_order_id: int) -> Mapping[int, int]:
    """Give everything a work order's lines want of the shelf, in base units."""
    wanted = dict(parts_billed(reading, work_order_id))
    for item_id, quantity in fluids_on_lines(reading, work_order_id).items():
        wanted[item_id] = wanted.get(item_id, 0) + quantity
    return wanted


def reserved(reading: Reading, *, but_for: int | None = None) -> Mapping[int, int]:
    """Give what is set aside of each item for work still waiting, one work order left out if asked."""
    query = (
        select(reservation.c.item_id, int_sum(reservation.c.quantity).label("quantity"))
        .join(work_order, work_order.c.id == reservation.c.work_order_id)
        .where(work_order.c.stage.in_([stage.value for stage in WAITING]))
        .group_by(reservation.c.item_id)
    )
    if but_for is not None:
        query = query.where(reservation.c.work_order_id != but_for)
    return {row.item_id: int(row.quantity) for row in reading.connection.execute(query)}


def usable(reading: Reading, item_id: int) -> int:
    """Give what may be promised: on hand, less what was put aside or is past its day."""
    barred = sum(
        each.held
        for each in pourables(reading, item_id)
        if each.held > 0 and (each.quarantined or each.expired(reading.today))
    )
    return on_hand(reading, item_id) - barred


def free(reading: Reading, item_id: int, *, but_for: int | None = None) -> int:
    """Give what is usable and not set aside for others; it may be below nothing."""
    return usable(reading, item_id) - reserved(reading, but_for=but_for).get(item_id, 0)


def reserve(writing: Writing, command: Reserve) -> Reserved:
    """Set goods of one item aside."""
    order = the_work_order(writing, command.work_order_id)
    goods = item_view(writing, command.item_id)
    if command.quantity.strip():
        quantity = quantity_of(writing, goods.kind, command.quantity, "quantity")
    else:
        quantity = wanted_by(writing, order.id).get(goods.id, 0)
    if quantity <= 0:
        raise RuleBroken(_("Write how much to set aside."), "quantity")
    (row,) = _reserve_all(writing, order.id, {goods.id: quantity}, command.anyway_reason)
    return row


def reserve_work(writing: Writing, command: ReserveWork) -> WorkReserved:
    """Set everything aside that a work order's lines want."""
    order = the_work_order(writing, command.work_order_id)
    wanted = wanted_by(writing, order.id)
    if not wanted:
        raise RuleBroken(_("Its lines want nothing of the shelf."), "lines")
    return WorkReserved(rows=tuple(_reserve_all(writing, order.id, wanted, command.anyway_reason)))


def _reserve_all(
    writing: Writing, work_order_id: int, wanted: Mapping[int, int], anyway_reason: str
) -> Iterable[Reserved]:
    if Stage(the_work_order(writing, work_order_id).stage) not in WAITING:
        raise RuleBroken(_("Nothing is set aside for work that is finished or cancelled."), "stage")
    reason = text.clean(anyway_reason, field="anyway_reason", most=500)
    for item_id in sorted(wanted):
        wait_for_turn(writing, item_id)
    lacking = {
        item_id: left
        for item_id, quantity in wanted.items()
        if (left := free(writing, item_id, but_for=work_order_id)) < quantity
    }
    if lacking and not reason:
        raise RuleBroken(_lacking_sentence(writing, wanted, lacking), "quantity")
    for item_id, quantity in wanted.items():
        _keep(writing, work_order_id, item_id, quantity, reason if item_id in lacking else "")
    writing.touched.add(reservation.name)
    return [
        Reserved(work_order_id=work_order_id, item_id=item_id, quantity=quantity, free=free(writing, item_id))
        for item_id, quantity in wanted.items()
    ]


def _lacking_sentence(reading: Reading, wanted: Mapping[int, int], lacking: Mapping[int, int]) -> str:
    figures = Figures(reading.shop)
    parts = []
    for item_id, left in lacking.items():
        goods = item_view(reading, item_id)
        base = "ul" if goods.kind is ItemKind.FLUID else "milli_each"
        sentence = _("{item}: {wanted} wanted, {left} free")
        parts.append(
            sentence.format(
                item=goods.name,
                wanted=figures.stock(base, wanted[item_id]),
                left=figures.stock(base, max(left, 0)),
            )
        )
    return _("The shelf has not enough. {items}.").format(items="; ".join(parts))


def _keep(writing: Writing, work_order_id: int, item_id: int, quantity: int, reason: str) -> None:
    here = (reservation.c.work_order_id == work_order_id) & (reservation.c.item_id == item_id)
    changed = writing.connection.execute(
        update(reservation)
        .where(here)
        .values(quantity=quantity, anyway_reason=reason, version=reservation.c.version + 1)
    )
    if changed.rowcount == 0:
        writing.connection.execute(
            insert(reservation).values(
                work_order_id=work_order_id,
                item_id=item_id,
                quantity=quantity,
                anyway_reason=reason,
                made_utc=writing.now,
                person_id=writing.actor.person_id,
            )
        )


def release(writing: Writing, command: Release) -> WorkReserved:
    """Give back what was set aside for a work order."""
    writing.connection.execute(
        delete(reservation).where(reservation.c.work_order_id == command.work_order_id)
    )
    writing.touched.add(reservation.name)
    return WorkReserved(rows=())


def reservations_of(reading: Reading, work_order_id: int) -> tuple[Reserved, ...]:
    """Give what is set aside for a work order."""
    rows = reading.connection.execute(
        select(reservation.c.item_id, reservation.c.quantity)
        .where(reservation.c.work_order_id == work_order_id)
        .order_by(reservation.c.id)
    ).all()
    return tuple(
        Reserved(
            work_order_id=work_order_id,
            item_id=row.item_id,
            quantity=row.quantity,
            free=free(reading, row.item_id),
        )
        for row in rows
    )


class Reserving:
    """The room where goods are set aside for work."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def reserve(self, command: Reserve) -> Reserved:
        """Set goods of one item aside."""
        return self._office.carry_out(command, lambda writing: reserve(writing, command), Reserved)

    def reserve_work(self, command: ReserveWork) -> WorkReserved:
        """Set aside what a work order wants."""
        return self._office.carry_out(command, lambda writing: reserve_work(writing, command), WorkReserved)

    def release(self, command: Release) -> WorkReserved:
        """Give back what was set aside."""
        return self._office.carry_out(command, lambda writing: release(writing, command), WorkReserved)

    def of(self, work_order_id: int) -> tuple[Reserved, ...]:
        """Give what is set aside for a work order."""
        with self._office.reading() as reading:
            return reservations_of(reading, work_order_id)
