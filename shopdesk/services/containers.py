"""Physical containers: opened, put aside, measured up for the dip stick, gone; and pouring between them."""

import json
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from gettext import gettext as _
from typing import Any

from sqlalchemy import Select, insert, select, update

from shopdesk.domain import text
from shopdesk.domain.counting import Shape, Stands, calibrated
from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.reorder import whole_packages
from shopdesk.domain.stock import MoveKind
from shopdesk.domain.words import N_
from shopdesk.persistence import canonical
from shopdesk.persistence.tables.buying import delivery, delivery_line, supplier
from shopdesk.persistence.tables.shelf import container_card, container_event
from shopdesk.persistence.tables.stock import container, item
from shopdesk.services.acting import AnyRow, Command, Office, Reading, Writing
from shopdesk.services.cards import card_of
from shopdesk.services.items import item_view, quantity_of
from shopdesk.services.ledger import (
    QUARANTINE,
    Outflow,
    give_back,
    good_until,
    held_by_container,
    on_hand,
    suggested,
    take_out,
    transfer,
)
from shopdesk.services.plain import from_plain, to_plain

IN_USE, GONE = "in use", "empty"


class EventKind(StrEnum):
    """What can befall a container."""

    OPENED = N_("opened")
    QUARANTINED = N_("put aside")
    RELEASED = N_("released")
    CALIBRATED = N_("measured up")
    GONE = N_("gone")


@dataclass(frozen=True, kw_only=True, slots=True)
class NoteContainer(Command):
    """Something befell a container; putting aside, releasing and calling it gone need a reason."""

    container_id: int
    kind: EventKind
    on: date | None = None
    reason: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class MeasureContainer(Command):
    """How a drum looks to the dip stick, read at ``version`` of its card (0: none yet).

    ``height`` is the greatest dip (an upright drum's inner height, a lying one's inner diameter),
    ``brim`` what it holds brimful. With ``dip_now`` and ``content_now`` (at receipt, say) the shape
    is calibrated: it then says that content at that dip. ``tare`` is the empty container's weight.
    """

    container_id: int
    version: int
    stands: Stands | None = None
    height: str = ""
    brim: str = ""
    dip_now: str = ""
    content_now: str = ""
    tare: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class TakeOff(Command):
    """Goods that leave the shelf for no job: spilled, thrown away, used by the shop, sent back."""

    item_id: int
    kind: MoveKind
    quantity: str
    container_id: int | None = None
    reason: str
    document_no: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class BringBack(Command):
    """Unused goods of a job that go back into a container they came from."""

    work_order_id: int
    item_id: int
    quantity: str
    container_id: int | None = None
    record_id: int | None = None
    reason: str


@dataclass(frozen=True, kw_only=True, slots=True)
class PourOver(Command):
    """Goods poured from one container into another of the same item."""

    from_id: int
    into_id: int
    quantity: str
    reason: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class ContainerKept:
    """Which container, and what is on hand of its item now, in its base unit."""

    container_id: int
    item_id: int
    on_hand: int


@dataclass(frozen=True, kw_only=True, slots=True)
class ContainerView:
    """One container. Quantities in the item's base unit; ``shell`` is what one piece of it can hold."""

    id: int
    item_id: int
    item: str
    label: str
    lot: str
    held: int
    pieces: int
    shell: int
    capacity: int
    tare_mg: int | None
    shape: Shape | None
    received_on: date
    opened_on: date | None
    good_until: date | None
    state: str
    supplier: str
    document_no: str
    card_version: int


OFF_KINDS = (MoveKind.SPILL, MoveKind.WASTE, MoveKind.OWN_USE, MoveKind.SUPPLIER_RETURN)
_NEEDS_REASON = (EventKind.QUARANTINED, EventKind.RELEASED, EventKind.GONE)


def note_container(writing: Writing, command: NoteContainer) -> ContainerKept:
    """Write down what befell a container, and let its row say so."""
    row = the_container(writing, command.container_id)
    on = command.on or writing.today
    reason = text.clean(command.reason, field="reason", most=500)
    if command.kind is EventKind.CALIBRATED:
        raise RuleBroken(_("Measure it up with its dip and content."), "kind")
    if command.kind in _NEEDS_REASON and not reason:
        raise RuleBroken(_("Write the reason."), "reason")
    if command.kind is EventKind.OPENED and not row.received_on <= on <= writing.today:
        raise RuleBroken(_("It was opened between its receipt and today."), "on")
    if command.kind is EventKind.GONE and held_by_container(writing, row.item_id).get(row.id, 0):
        sentence = _("The ledger says that it still holds something; count it to nothing first.")
        raise RuleBroken(sentence, "container_id")
    writing.add_chained(
        container_event, container_id=row.id, kind=command.kind.value, on_date=on, reason=reason
    )
    writing.change(container, row.id, **_after(command.kind, on, row))
    return ContainerKept(container_id=row.id, item_id=row.item_id, on_hand=on_hand(writing, row.item_id))


def _after(kind: EventKind, on: date, row: AnyRow) -> dict[str, object]:
    changes: dict[EventKind, dict[str, object]] = {
        EventKind.OPENED: {"opened_on": row.opened_on or on},
        EventKind.QUARANTINED: {"state": QUARANTINE},
        EventKind.RELEASED: {"state": IN_USE},
        EventKind.GONE: {"state": GONE},
        EventKind.CALIBRATED: {},
    }
    return changes[kind]


def the_container(reading: Reading, container_id: int) -> AnyRow:
    """Give a container's row, or refuse."""
    return reading.one(container, container_id, _("That container is not there."))


def measure_container(writing: Writing, command: MeasureContainer) -> ContainerKept:
    """Keep a container's shape and empty weight, and calibrate the shape where a dip is known."""
    row = the_container(writing, command.container_id)
    view = container_view(writing, row.id)
    if view.card_version != command.version:
        raise Conflict(_("Somebody else changed this container meanwhile; look at it again."))
    shape = _shape(writing, command)
    typed = writing.typed_here()
    tare = typed.mass(command.tare, "tare") if command.tare.strip() else view.tare_mg
    keep_container_card(writing, row.id, pieces=view.pieces, shell=view.shell, tare_mg=tare)
    if shape is not None:
        writing.change(container, row.id, shape_text=canonical.canonical_json(to_plain(shape)))
        writing.add_chained(
            container_event,
            container_id=row.id,
            kind=EventKind.CALIBRATED.value,
            on_date=writing.today,
            reason=_("{stands}, {brim} mL brimful").format(
                stands=_(shape.stands), brim=shape.brim_ul // 1000
            ),
        )
    return ContainerKept(container_id=row.id, item_id=row.item_id, on_hand=on_hand(writing, row.item_id))


def _shape(writing: Writing, command: MeasureContainer) -> Shape | None:
    return read_shape(
        writing,
        stands=command.stands,
        height=command.height,
        brim=command.brim,
        dip_now=command.dip_now,
        content_now=command.content_now,
    )


def read_shape(
    writing: Writing, *, stands: Stands | None, height: str, brim: str, dip_now: str, content_now: str
) -> Shape | None:
    """Read a shape as typed, None when none was; calibrated when a dip and its content are given."""
    if stands is None:
        return None
    typed = writing.typed_here()
    height_um = typed.shelf_length(height, "height")
    brim_ul = typed.volume(brim, "brim").value
    if height_um <= 0 or brim_ul <= 0:
        raise RuleBroken(_("A container has a height and a content."), "height")
    shape = Shape(stands=stands, height_um=height_um, brim_ul=brim_ul)
    if bool(dip_now.strip()) != bool(content_now.strip()):
        raise RuleBroken(_("To measure it up, write both the dip and what is in it."), "dip_now")
    if not dip_now.strip():
        return shape
    dip_um = typed.shelf_length(dip_now, "dip_now")
    return calibrated(shape, dip_um, typed.volume(content_now, "content_now").value)


def keep_container_card(
    writing: Writing,
    container_id: int,
    *,
    pieces: int,
    shell: int | None,
    tare_mg: int | None = None,
    delivery_line_id: int | None = None,
) -> None:
    """Keep what a container's row has no column for."""
    known = writing.connection.execute(
        select(container_card.c.version).where(container_card.c.container_id == container_id)
    ).scalar()
    if known is None:
        writing.connection.execute(
            insert(container_card).values(
                container_id=container_id,
                pieces=pieces,
                shell=shell,
                tare_mg=tare_mg,
                delivery_line_id=delivery_line_id,
            )
        )
    else:
        writing.connection.execute(
            update(container_card)
            .where(container_card.c.container_id == container_id)
            .values(version=container_card.c.version + 1, pieces=pieces, shell=shell, tare_mg=tare_mg)
        )
    writing.touched.add(container_card.name)


def take_off(writing: Writing, command: TakeOff) -> ContainerKept:
    """Take goods off the shelf for another reason than a job."""
    if command.kind not in OFF_KINDS:
        raise RuleBroken(_("Choose spilled, thrown away, used by the shop or sent back."), "kind")
    goods = item_view(writing, command.item_id)
    quantity = _some(quantity_of(writing, goods.kind, command.quantity, "quantity"))
    _check_holds(writing, goods.id, command.container_id)
    take_out(
        writing,
        Outflow(
            item_id=goods.id,
            kind=command.kind,
            quantity=quantity,
            sources=((command.container_id, quantity),) if command.container_id else (),
            reason=text.required(command.reason, field="reason", label=_("the reason"), most=500),
            document_no=text.clean(command.document_no, field="document_no", most=80),
        ),
    )
    left = on_hand(writing, goods.id)
    return ContainerKept(container_id=command.container_id or 0, item_id=goods.id, on_hand=left)


def bring_back(writing: Writing, command: BringBack) -> ContainerKept:
    """Put unused goods of a job back, at what they cost the job."""
    goods = item_view(writing, command.item_id)
    quantity = _some(quantity_of(writing, goods.kind, command.quantity, "quantity"))
    give_back(
        writing,
        Outflow(
            item_id=goods.id,
            kind=MoveKind.RETURN,
            quantity=quantity,
            sources=((command.container_id, quantity),) if command.container_id else (),
            reason=text.required(command.reason, field="reason", label=_("the reason"), most=500),
            work_order_id=command.work_order_id,
            record_id=command.record_id,
        ),
    )
    left = on_hand(writing, goods.id)
    return ContainerKept(container_id=command.container_id or 0, item_id=goods.id, on_hand=left)


def pour_over(writing: Writing, command: PourOver) -> ContainerKept:
    """Pour from one container into another of the same item; a lot is never mixed unseen."""
    out_of, into = the_container(writing, command.from_id), the_container(writing, command.into_id)
    if out_of.id == into.id or out_of.item_id != into.item_id:
        raise RuleBroken(_("Pour into another container of the same item."), "into_id")
    if out_of.state == QUARANTINE or into.state == QUARANTINE:
        raise RuleBroken(_("A container that was put aside is not poured from or into."), "into_id")
    reason = text.clean(command.reason, field="reason", most=500)
    if out_of.lot != into.lot and not reason:
        raise RuleBroken(_("That would mix two lots; write why."), "reason")
    goods = item_view(writing, out_of.item_id)
    quantity = _some(quantity_of(writing, goods.kind, command.quantity, "quantity"))
    held = held_by_container(writing, goods.id)
    room = container_view(writing, into.id).capacity - held.get(into.id, 0)
    if quantity > held.get(out_of.id, 0) or quantity > room:
        raise RuleBroken(_("That is more than the one holds or the other takes."), "quantity")
    transfer(writing, goods.id, quantity, out_of=out_of.id, into=into.id, reason=reason)
    return ContainerKept(container_id=into.id, item_id=goods.id, on_hand=on_hand(writing, goods.id))


def _some(quantity: int) -> int:
    if quantity <= 0:
        raise RuleBroken(_("Write a quantity above nothing."), "quantity")
    return quantity


def _check_holds(reading: Reading, item_id: int, container_id: int | None) -> None:
    if container_id is not None and the_container(reading, container_id).item_id != item_id:
        raise RuleBroken(_("That container holds something else."), "container_id")


def _boxes() -> Select[Any]:
    """Ask for containers with their item, their card and their delivery."""
    return (
        select(
            container,
            item.c.name.label("item_name"),
            item.c.package_quantity,
            container_card.c.pieces,
            container_card.c.shell,
            container_card.c.tare_mg,
            container_card.c.version.label("card_version"),
            supplier.c.name.label("supplier"),
            delivery.c.document_no,
        )
        .join(item, item.c.id == container.c.item_id)
        .outerjoin(container_card, container_card.c.container_id == container.c.id)
        .outerjoin(delivery_line, delivery_line.c.id == container_card.c.delivery_line_id)
        .outerjoin(delivery, delivery.c.id == delivery_line.c.delivery_id)
        .outerjoin(supplier, supplier.c.id == delivery.c.supplier_id)
    )


def container_views(reading: Reading, *, gone: bool) -> tuple[ContainerView, ...]:
    """Give every container that is still here, or those that are gone: item by item, first expiring first."""
    rows = reading.connection.execute(
        _boxes()
        .where(container.c.state == GONE if gone else container.c.state != GONE)
        .order_by(item.c.kind, item.c.sort_key, container.c.best_before.asc().nulls_last(), container.c.id)
    ).all()
    items = {row.item_id for row in rows}
    held = {each: held_by_container(reading, each) for each in items}
    days = {each: card_of(reading, each).opened_days for each in items}
    return tuple(_view(row, held[row.item_id].get(row.id, 0), days[row.item_id]) for row in rows)


def container_view(reading: Reading, container_id: int) -> ContainerView:
    """Give one container with what it should hold and what it can hold."""
    row = reading.connection.execute(_boxes().where(container.c.id == container_id)).one_or_none()
    if row is None:
        raise RuleBroken(_("That container is not there."), "container_id")
    held = held_by_container(reading, row.item_id).get(row.id, 0)
    return _view(row, held, card_of(reading, row.item_id).opened_days)


def _view(row: AnyRow, held: int, opened_days: int | None) -> ContainerView:
    pieces, shell = pieces_and_shell(row.capacity, row.package_quantity, row.pieces, row.shell)
    shape = from_plain(Shape, json.loads(row.shape_text)) if row.shape_text else None
    return ContainerView(
        id=row.id,
        item_id=row.item_id,
        item=row.item_name,
        label=row.label,
        lot=row.lot,
        held=held,
        pieces=pieces,
        shell=shell,
        capacity=max(pieces * shell, shape.brim_ul if shape and pieces == 1 else 0),
        tare_mg=row.tare_mg,
        shape=shape,
        received_on=row.received_on,
        opened_on=row.opened_on,
        good_until=good_until(row.best_before, row.opened_on, opened_days),
        state=row.state,
        supplier=row.supplier or "",
        document_no=row.document_no or "",
        card_version=row.card_version or 0,
    )


def pieces_and_shell(
    capacity: int | None, package_quantity: int, pieces: int | None, shell: int | None
) -> tuple[int, int]:
    """Give how many pieces a container's row stands for and what one of them can hold.

    A delivery written as one row holds as many packages as are needed for it.
    """
    if pieces is not None and shell is not None:
        return pieces, shell
    whole = capacity or package_quantity
    if whole <= package_quantity:
        return 1, whole
    return whole_packages(whole, package_quantity), package_quantity


class Containers:
    """The room where physical containers are looked after."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def note(self, command: NoteContainer) -> ContainerKept:
        """Write down that a container was opened, put aside, released, or is gone."""
        return self._office.carry_out(
            command, lambda writing: note_container(writing, command), ContainerKept
        )

    def measure(self, command: MeasureContainer) -> ContainerKept:
        """Keep a container's shape and empty weight."""
        return self._office.carry_out(
            command, lambda writing: measure_container(writing, command), ContainerKept
        )

    def take_off(self, command: TakeOff) -> ContainerKept:
        """Take goods off the shelf for another reason than a job."""
        return self._office.carry_out(command, lambda writing: take_off(writing, command), ContainerKept)

    def bring_back(self, command: BringBack) -> ContainerKept:
        """Put unused goods of a job back."""
        return self._office.carry_out(command, lambda writing: bring_back(writing, command), ContainerKept)

    def pour_over(self, command: PourOver) -> ContainerKept:
        """Pour from one container into another."""
        return self._office.carry_out(command, lambda writing: pour_over(writing, command), ContainerKept)

    def container(self, container_id: int) -> ContainerView:
        """Give one container."""
        with self._office.reading() as reading:
            return container_view(reading, container_id)

    def suggestion(self, item_id: int) -> tuple[ContainerView, ...]:
        """Give the containers to pour from, first expiring first."""
        with self._office.reading() as reading:
            return tuple(
                container_view(reading, container_id)
                for container_id, _held in suggested(reading, item_id)
                if container_id is not None
            )

    def all(self, *, gone: bool = False) -> tuple[ContainerView, ...]:
        """Give every container that is still here, or those that are gone; item by item."""
        with self._office.reading() as reading:
            return container_views(reading, gone=gone)
