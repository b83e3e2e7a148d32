"""Recall: which vehicles had a lot, whom to call, and what of it is still here."""

from dataclasses import dataclass
from datetime import date
from gettext import gettext as _

from sqlalchemy import func, select

from shopdesk.domain import text
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.tables.customers import contact, customer
from shopdesk.persistence.tables.stock import container, item, stock_move
from shopdesk.persistence.tables.vehicles import ownership, vehicle
from shopdesk.persistence.tables.work import work_order
from shopdesk.services.acting import AnyRow, Command, Office, Reading, Writing
from shopdesk.services.containers import GONE, EventKind, NoteContainer, note_container
from shopdesk.services.ledger import QUARANTINE, held_by_container

_LEAST_TYPED = 2


@dataclass(frozen=True, kw_only=True, slots=True)
class RecalledVehicle:
    """A vehicle that had some of the lot. ``customer`` keeps it today; quantities in the base unit.

    ``order_customer`` paid then, where that was somebody else.
    """

    vehicle_id: int
    plate: str
    vin: str
    vehicle: str
    customer_id: int
    customer: str
    phones: tuple[str, ...]
    emails: tuple[str, ...]
    order_customer: str
    work_order_number: int
    on_date: date
    item: str
    base: str
    quantity: int
    lot: str


@dataclass(frozen=True, kw_only=True, slots=True)
class RecalledContainer:
    """A container of the lot, with what it should still hold."""

    container_id: int
    label: str
    item: str
    base: str
    held: int
    state: str
    lot: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Recall:
    """Everything about a lot in one step."""

    lot: str
    vehicles: tuple[RecalledVehicle, ...]
    containers: tuple[RecalledContainer, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class PutLotAside(Command):
    """Puts every container of a lot aside, so that nothing more is poured from it."""

    lot: str
    reason: str


@dataclass(frozen=True, kw_only=True, slots=True)
class PutAside:
    """The containers that a command put aside."""

    container_ids: tuple[int, ...]


def _wanted(lot: str) -> str:
    return text.required(lot, field="lot", label=_("the lot number"), most=60).lower()


def recall(reading: Reading, lot: str) -> Recall:
    """Give the vehicles and containers of a lot; small and capital letters are not told apart."""
    wanted = _wanted(lot)
    return Recall(
        lot=lot.strip(),
        vehicles=tuple(_vehicle(reading, row) for row in _used(reading, wanted)),
        containers=_containers(reading, wanted),
    )


def _used(reading: Reading, wanted: str) -> list[AnyRow]:
    """Give what each job took from the lot, net of what went back."""
    quantity = (-int_sum(stock_move.c.quantity)).label("quantity")
    rows = reading.connection.execute(
        select(
            work_order.c.id,
            work_order.c.number,
            work_order.c.vehicle_id,
            work_order.c.customer_id,
            item.c.name.label("item"),
            item.c.base,
            container.c.lot,
            func.min(stock_move.c.on_date).label("on_date"),
            quantity,
        )
        .join(container, container.c.id == stock_move.c.container_id)
        .join(item, item.c.id == stock_move.c.item_id)
        .join(work_order, work_order.c.id == stock_move.c.work_order_id)
        .where(func.lower(container.c.lot) == wanted)
        .group_by(
            work_order.c.id,
            work_order.c.number,
            work_order.c.vehicle_id,
            work_order.c.customer_id,
            item.c.name,
            item.c.base,
            container.c.lot,
        )
        .order_by(work_order.c.id)
    )
    return [row for row in rows if row.quantity > 0]


def _vehicle(reading: Reading, row: AnyRow) -> RecalledVehicle:
    found = reading.one(vehicle, row.vehicle_id, _("That vehicle is not there."))
    keeper_id = reading.connection.execute(
        select(ownership.c.customer_id)
        .where(ownership.c.vehicle_id == found.id, ownership.c.to_on.is_(None))
        .order_by(ownership.c.id.desc())
        .limit(1)
    ).scalar()
    who = keeper_id or row.customer_id
    names = {each: _name(reading, each) for each in {who, row.customer_id}}
    return RecalledVehicle(
        vehicle_id=found.id,
        plate=found.plate,
        vin=found.vin,
        vehicle=" ".join(str(part) for part in (found.year, found.make_text, found.model_text) if part),
        customer_id=who,
        customer=names[who],
        phones=_ways(reading, who, "phone"),
        emails=_ways(reading, who, "email"),
        order_customer=names[row.customer_id] if row.customer_id != who else "",
        work_order_number=row.number,
        on_date=row.on_date,
        item=row.item,
        base=row.base,
        quantity=int(row.quantity),
        lot=row.lot,
    )


def _name(reading: Reading, customer_id: int) -> str:
    return str(reading.one(customer, customer_id, _("That customer is not there.")).name)


def _ways(reading: Reading, customer_id: int, kind: str) -> tuple[str, ...]:
    return tuple(
        reading.connection.execute(
            select(contact.c.typed)
            .where(contact.c.customer_id == customer_id, contact.c.kind == kind)
            .order_by(contact.c.position)
        ).scalars()
    )


def _containers(reading: Reading, wanted: str) -> tuple[RecalledContainer, ...]:
    rows = reading.connection.execute(
        select(container, item.c.name.label("item"), item.c.base)
        .join(item, item.c.id == container.c.item_id)
        .where(func.lower(container.c.lot) == wanted)
        .order_by(container.c.id)
    ).all()
    held = {row.item_id: held_by_container(reading, row.item_id) for row in rows}
    return tuple(
        RecalledContainer(
            container_id=row.id,
            label=row.label,
            item=row.item,
            base=row.base,
            held=held[row.item_id].get(row.id, 0),
            state=row.state,
            lot=row.lot,
        )
        for row in rows
    )


def put_lot_aside(writing: Writing, command: PutLotAside) -> PutAside:
    """Put every container of a lot aside that is not yet."""
    reason = text.required(command.reason, field="reason", label=_("the reason"), most=500)
    ids = []
    for each in _containers(writing, _wanted(command.lot)):
        if each.state not in (QUARANTINE, GONE):
            note_container(
                writing,
                NoteContainer(
                    actor=writing.actor,
                    container_id=each.container_id,
                    kind=EventKind.QUARANTINED,
                    reason=reason,
                ),
            )
            ids.append(each.container_id)
    return PutAside(container_ids=tuple(ids))


class Recalls:
    """The room where a lot is looked after that should not have been used."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def recall(self, lot: str) -> Recall:
        """Give the vehicles, telephones and containers of a lot."""
        with self._office.reading() as reading:
            return recall(reading, lot)

    def put_aside(self, command: PutLotAside) -> PutAside:
        """Put every container of a lot aside."""
        return self._office.carry_out(command, lambda writing: put_lot_aside(writing, command), PutAside)

    def lots(self) -> tuple[str, ...]:
        """Give every lot that was ever on the shelf, the latest first."""
        with self._office.reading() as reading:
            latest = func.max(container.c.id)
            query = select(container.c.lot).where(container.c.lot != "").group_by(container.c.lot)
            return tuple(reading.connection.execute(query.order_by(latest.desc())).scalars())

    def lots_from(self, typed: str, most: int = 5) -> tuple[str, ...]:
        """Give the latest lots that begin with what was typed, capitals or not; none below two characters."""
        begun = typed.strip()
        if len(begun) < _LEAST_TYPED:
            return ()
        with self._office.reading() as reading:
            latest = func.max(container.c.id)
            fitting = container.c.lot.istartswith(begun, autoescape=True)
            query = select(container.c.lot).where(fitting).group_by(container.c.lot)
            return tuple(reading.connection.execute(query.order_by(latest.desc()).limit(most)).scalars())
