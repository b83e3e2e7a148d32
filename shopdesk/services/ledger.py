"""The ledger: every way goods come onto the shelf or leave it, row by row, cost layer by cost layer.

A row without a layer that takes more than there was is a shortage. Rows that name a shortage as
their layer cover it; they come in pairs that leave every container as it was: one takes the goods
and their cost from a real layer, the other gives the quantity to the shortage. So layers less open
shortages is always what is on hand.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from gettext import gettext as _

from sqlalchemy import Subquery, func, select

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.ledger import (
    Placed,
    Pourable,
    Shortage,
    Source,
    found_cost,
    place,
    pouring_order,
    settle,
)
from shopdesk.domain.stock import Layer, MoveKind, share
from shopdesk.domain.stock import draw as take_from
from shopdesk.domain.words import N_
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.tables.shelf import item_card
from shopdesk.persistence.tables.stock import container, item, stock_move
from shopdesk.services.acting import AnyRow, Reading, Writing, new_uid

#: Marks a move that took more than the shelf was said to hold: the shelf wants counting.
SHORT_REASON = N_("more than the shelf held: count it")
#: Marks the pairs of rows by which a delivery or a count makes good what was short before.
COVER_REASON = N_("covers what the shelf did not hold before")
QUARANTINE = "quarantine"


@dataclass(frozen=True, kw_only=True, slots=True)
class Inflow:
    """Goods coming onto the shelf as a new cost layer."""

    item_id: int
    container_id: int | None
    kind: MoveKind
    quantity: int
    cost_minor: int
    on_date: date
    group_uid: str = ""
    document_no: str = ""
    reason: str = ""
    work_order_id: int | None = None
    record_id: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Outflow:
    """Goods leaving the shelf; without ``sources`` they are poured in the suggested order."""

    item_id: int
    kind: MoveKind
    quantity: int
    sources: tuple[Source, ...] = ()
    group_uid: str = ""
    document_no: str = ""
    reason: str = ""
    work_order_id: int | None = None
    record_id: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Left:
    """What an outflow cost, and how much of it the shelf did not hold."""

    cost_minor: int
    short: int


def wait_for_turn(writing: Writing, item_id: int) -> None:
    """Two stations never draw the same layer at once: the item's row is held until the commit."""
    writing.connection.execute(select(item.c.id).where(item.c.id == item_id).with_for_update())


def bring_in(writing: Writing, flow: Inflow) -> int:
    """Write goods that come in and make good what was short before; gives the move's id."""
    wait_for_turn(writing, flow.item_id)
    move_id = writing.add_chained(
        stock_move,
        group_uid=flow.group_uid or new_uid(),
        item_id=flow.item_id,
        container_id=flow.container_id,
        kind=flow.kind.value,
        quantity=flow.quantity,
        cost_minor=flow.cost_minor,
        work_order_id=flow.work_order_id,
        record_id=flow.record_id,
        on_date=flow.on_date,
        document_no=flow.document_no,
        reason=flow.reason,
    )
    settle_shortages(writing, flow.item_id)
    return move_id


def take_out(writing: Writing, flow: Outflow) -> Left:
    """Take goods off the shelf, layer by layer, with every penny of a layer leaving with it."""
    wait_for_turn(writing, flow.item_id)
    settle_shortages(writing, flow.item_id)
    takes, short = take_from(writing.shop.cost_method, layers(writing, flow.item_id), flow.quantity)
    sources = flow.sources or suggested(writing, flow.item_id)
    group = flow.group_uid or new_uid()
    for row in place(takes, short, sources):
        _write_row(writing, flow, group, row)
    return Left(cost_minor=sum(take.cost_minor for take in takes), short=short)


def _write_row(writing: Writing, flow: Outflow, group: str, row: Placed) -> None:
    writing.add_chained(
        stock_move,
        group_uid=group,
        item_id=flow.item_id,
        container_id=row.container_id,
        kind=flow.kind.value,
        quantity=-row.quantity,
        cost_minor=-row.cost_minor,
        layer_move_id=row.move_id,
        work_order_id=flow.work_order_id,
        record_id=flow.record_id,
        on_date=writing.today,
        document_no=flow.document_no,
        reason=SHORT_REASON if row.move_id is None else flow.reason,
    )


def settle_shortages(writing: Writing, item_id: int) -> None:
    """Cover what was short from the layers there are now, the oldest shortage first."""
    open_ones = shortages(writing, item_id)
    if not open_ones:
        return
    held = layers(writing, item_id)
    for cover in settle(writing.shop.cost_method, held, open_ones):
        short = writing.one(stock_move, cover.shortage_id, _("That move is not there."))
        shared = {
            "group_uid": short.group_uid,
            "item_id": item_id,
            "container_id": short.container_id,
            "kind": short.kind,
            "work_order_id": short.work_order_id,
            "record_id": short.record_id,
            "on_date": writing.today,
            "document_no": "",
            "reason": COVER_REASON,
            "corrects_id": short.id,
        }
        take = cover.take
        writing.add_chained(
            stock_move,
            **shared,
            quantity=-take.quantity,
            cost_minor=-take.cost_minor,
            layer_move_id=take.move_id,
        )
        writing.add_chained(
            stock_move, **shared, quantity=take.quantity, cost_minor=0, layer_move_id=short.id
        )


def give_back(writing: Writing, flow: Outflow) -> Left:
    """Put back unused goods of a job, into the containers they came from and at what they cost it.

    ``quantity`` is what comes back (> 0), at most what the job (or its record) took.
    """
    wait_for_turn(writing, flow.item_id)
    taken = _taken_by(writing, flow)
    whole, cost = sum(each.quantity for each in taken), sum(each.cost_minor for each in taken)
    if flow.quantity > whole:
        raise RuleBroken(_("The job did not take that much from the shelf."), "quantity")
    wanted, cost_left, quantity_left = flow.quantity, cost, whole
    for each in taken:
        part = min(wanted, each.quantity)
        if part <= 0:
            continue
        part_cost = share(cost_left, part, quantity_left)
        wanted, cost_left, quantity_left = wanted - part, cost_left - part_cost, quantity_left - part
        bring_in(
            writing,
            Inflow(
                item_id=flow.item_id,
                container_id=each.container_id,
                kind=MoveKind.RETURN,
                quantity=part,
                cost_minor=part_cost,
                on_date=writing.today,
                reason=flow.reason,
                work_order_id=flow.work_order_id,
                record_id=flow.record_id,
            ),
        )
    return Left(cost_minor=cost_left - cost, short=0)


def _taken_by(reading: Reading, flow: Outflow) -> Sequence[AnyRow]:
    """Give what a job took net of what it gave back, container by container, the last one first."""
    rows = reading.connection.execute(
        select(
            stock_move.c.container_id,
            (-int_sum(stock_move.c.quantity)).label("quantity"),
            (-int_sum(stock_move.c.cost_minor)).label("cost_minor"),
        )
        .where(
            stock_move.c.work_order_id == flow.work_order_id,
            stock_move.c.item_id == flow.item_id,
            stock_move.c.record_id.is_not_distinct_from(flow.record_id),
        )
        .group_by(stock_move.c.container_id)
        .order_by(func.max(stock_move.c.id).desc())
    ).all()
    wanted = {container_id for container_id, _quantity in flow.sources}
    return [row for row in rows if row.quantity > 0 and (not wanted or row.container_id in wanted)]


def transfer(writing: Writing, item_id: int, quantity: int, *, out_of: int, into: int, reason: str) -> None:
    """Pour from one container into another: the layer and its cost stay where they are."""
    wait_for_turn(writing, item_id)
    settle_shortages(writing, item_id)
    held = layers(writing, item_id)
    if not held:
        raise RuleBroken(_("Nothing of it is on the shelf."), "quantity")
    shared = {
        "group_uid": new_uid(),
        "item_id": item_id,
        "kind": MoveKind.TRANSFER.value,
        "cost_minor": 0,
        "layer_move_id": held[0].move_id,
        "on_date": writing.today,
        "document_no": "",
        "reason": reason,
    }
    writing.add_chained(stock_move, **shared, container_id=out_of, quantity=-quantity)
    writing.add_chained(stock_move, **shared, container_id=into, quantity=quantity)


def layers(reading: Reading, item_id: int) -> tuple[Layer, ...]:
    """Give what is left of everything that came in, oldest first."""
    taken = _naming(item_id)
    rows = reading.connection.execute(
        select(
            stock_move.c.id,
            (stock_move.c.quantity + func.coalesce(taken.c.quantity, 0)).label("quantity"),
            (stock_move.c.cost_minor + func.coalesce(taken.c.cost_minor, 0)).label("cost_minor"),
        )
        .outerjoin(taken, taken.c.move_id == stock_move.c.id)
        .where(
            stock_move.c.item_id == item_id,
            stock_move.c.layer_move_id.is_(None),
            stock_move.c.quantity > 0,
        )
        .order_by(stock_move.c.on_date, stock_move.c.id)
    )
    return tuple(
        Layer(move_id=row.id, quantity=int(row.quantity), cost_minor=int(row.cost_minor))
        for row in rows
        if row.quantity or row.cost_minor
    )


def shortages(reading: Reading, item_id: int) -> tuple[Shortage, ...]:
    """Give what was used beyond what was held and is not covered yet, oldest first."""
    covered = _naming(item_id)
    rows = reading.connection.execute(
        select(
            stock_move.c.id,
            (-stock_move.c.quantity - func.coalesce(covered.c.quantity, 0)).label("quantity"),
        )
        .outerjoin(covered, covered.c.move_id == stock_move.c.id)
        .where(
            stock_move.c.item_id == item_id,
            stock_move.c.layer_move_id.is_(None),
            stock_move.c.quantity < 0,
        )
        .order_by(stock_move.c.id)
    )
    return tuple(Shortage(move_id=row.id, quantity=int(row.quantity)) for row in rows if row.quantity > 0)


def _naming(item_id: int) -> Subquery:
    """Rows that name another as their layer: what a layer gave, or what a shortage got."""
    return (
        select(
            stock_move.c.layer_move_id.label("move_id"),
            int_sum(stock_move.c.quantity).label("quantity"),
            int_sum(stock_move.c.cost_minor).label("cost_minor"),
        )
        .where(stock_move.c.item_id == item_id, stock_move.c.layer_move_id.is_not(None))
        .group_by(stock_move.c.layer_move_id)
        .subquery()
    )


def pourables(reading: Reading, item_id: int) -> tuple[Pourable, ...]:
    """Give an item's containers with what each should hold; an opened one may expire earlier."""
    held = held_by_container(reading, item_id)
    opened_days = reading.connection.execute(
        select(item_card.c.opened_days).where(item_card.c.item_id == item_id)
    ).scalar()
    rows = reading.connection.execute(
        select(
            container.c.id,
            container.c.received_on,
            container.c.opened_on,
            container.c.best_before,
            container.c.state,
        )
        .where(container.c.item_id == item_id)
        .order_by(container.c.id)
    )
    return tuple(
        Pourable(
            container_id=row.id,
            held=held.get(row.id, 0),
            received_on=row.received_on,
            opened_on=row.opened_on,
            best_before=good_until(row.best_before, row.opened_on, opened_days),
            quarantined=row.state == QUARANTINE,
        )
        for row in rows
    )


def good_until(best_before: date | None, opened_on: date | None, opened_days: int | None) -> date | None:
    """Give the last good day: the package's own, or the end of its life once opened, the earlier."""
    ends = [best_before] if best_before else []
    if opened_on is not None and opened_days is not None:
        ends.append(opened_on + timedelta(days=opened_days))
    return min(ends, default=None)


def held_by_container(reading: Reading, item_id: int) -> dict[int | None, int]:
    """Give what each container of an item should hold; None stands for "not said which"."""
    rows = reading.connection.execute(
        select(stock_move.c.container_id, int_sum(stock_move.c.quantity).label("quantity"))
        .where(stock_move.c.item_id == item_id)
        .group_by(stock_move.c.container_id)
    )
    return {row.container_id: int(row.quantity) for row in rows}


def suggested(reading: Reading, item_id: int) -> tuple[Source, ...]:
    """Give the containers to pour from, first expiring first, each with what it holds."""
    order = pouring_order(pourables(reading, item_id), reading.today)
    return tuple((each.container_id, each.held) for each in order)


def newest_delivery(reading: Reading, item_id: int) -> Layer | None:
    """Give the newest delivery as it came, whole: its cost is what found goods come in at."""
    row = reading.connection.execute(
        select(stock_move.c.id, stock_move.c.quantity, stock_move.c.cost_minor)
        .where(
            stock_move.c.item_id == item_id,
            stock_move.c.kind == MoveKind.RECEIVE.value,
            stock_move.c.quantity > 0,
        )
        .order_by(stock_move.c.id.desc())
        .limit(1)
    ).one_or_none()
    if row is None:
        return None
    return Layer(move_id=row.id, quantity=int(row.quantity), cost_minor=int(row.cost_minor))


def found_cost_of(reading: Reading, item_id: int, quantity: int) -> int:
    """Give the cost at which ``quantity`` found in a count comes in."""
    return found_cost(quantity, newest_delivery(reading, item_id))


def on_hand(reading: Reading, item_id: int) -> int:
    """Give the sum of all moves of an item, in its base unit; it may be below nothing."""
    return int(
        reading.connection.execute(
            select(int_sum(stock_move.c.quantity)).where(stock_move.c.item_id == item_id)
        ).scalar_one()
    )
