"""Used oil: the vessels it is kept in, what jobs put into them, who took it away, and what the rules ask."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from gettext import gettext as _
from typing import Any

from sqlalchemy import ColumnElement, func, select

from shopdesk.domain import text
from shopdesk.domain.counting import Content, Shape, Stands, by_dip, check_size
from shopdesk.domain.dated_rules import RuleKey
from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.usedoil import CapacityTotal, Fill, Reconciliation, capacity_total, check_haul
from shopdesk.persistence import canonical
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.tables.shelf import container_card
from shopdesk.persistence.tables.shop import person
from shopdesk.persistence.tables.stock import container, item
from shopdesk.persistence.tables.used_oil import oil_move, oil_vessel
from shopdesk.persistence.tables.work import work_order
from shopdesk.services.acting import AnyRow, Command, Office, Reading, Writing
from shopdesk.services.chosen_rules import rule_on
from shopdesk.services.containers import GONE, pieces_and_shell, read_shape
from shopdesk.services.items import ItemKind
from shopdesk.services.plain import from_plain, to_plain
from shopdesk.services.typed import key_of

JOB, BY_HAND, HAUL, COUNT = "job", "by hand", "haul", "count"


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveVessel(Command):
    """A used-oil vessel as it is from now on; a new one has no ``vessel_id``. Sizes are text.

    ``stands``, ``height`` and ``brim`` let it be dipped; ``dip_now`` with ``content_now`` measure it up.
    """

    vessel_id: int | None = None
    version: int = 0
    name: str
    capacity: str
    place: str = ""
    stands: Stands | None = None
    height: str = ""
    brim: str = ""
    dip_now: str = ""
    content_now: str = ""
    active: bool = True


@dataclass(frozen=True, kw_only=True, slots=True)
class AddUsedOil(Command):
    """Used oil that came from no job of this program."""

    vessel_id: int
    quantity: str
    reason: str
    on: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Haul(Command):
    """Used oil that was taken away."""

    vessel_id: int
    quantity: str
    carrier: str = ""
    carrier_id: str = ""
    destination: str = ""
    own_vehicle: bool = False
    document_no: str = ""
    on: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class CountVessel(Command):
    """What is in a vessel: a ``dip`` read to ± ``within``, or a ``reading`` in volume to ± ``within``."""

    vessel_id: int
    dip: str = ""
    reading: str = ""
    within: str
    reason: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class VesselKept:
    """Which vessel, and what it should hold now (µL)."""

    vessel_id: int
    held_ul: int


@dataclass(frozen=True, kw_only=True, slots=True)
class VesselRow:
    """One vessel; µL. ``over_ul`` is what the books hold beyond its size: write the haul, or count it."""

    id: int
    version: int
    name: str
    place: str
    capacity_ul: int
    held_ul: int
    room_ul: int
    over_ul: int
    percent: int
    can_dip: bool
    active: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class OilMoveRow:
    """One line of a vessel's ledger with the level after it; µL."""

    id: int
    on_date: date
    kind: str
    quantity_ul: int
    level_after_ul: int
    counted_ul: int | None
    work_order_number: int | None
    carrier: str
    carrier_id: str
    destination: str
    document_no: str
    reason: str
    person: str


@dataclass(frozen=True, kw_only=True, slots=True)
class CapacityView:
    """The total of oil capacity against the chosen figure; None of them while none is chosen."""

    total: CapacityTotal | None
    citation: str
    remark: str


def save_vessel(writing: Writing, command: SaveVessel) -> VesselKept:
    """Keep a vessel, new or changed."""
    name = text.required(command.name, field="name", label=_("the vessel's name"), most=120)
    capacity = writing.typed_here().volume(command.capacity, "capacity").value
    if capacity <= 0:
        raise RuleBroken(_("A vessel holds more than nothing."), "capacity")
    shape = read_shape(
        writing,
        stands=command.stands,
        height=command.height,
        brim=command.brim,
        dip_now=command.dip_now,
        content_now=command.content_now,
    )
    values: dict[str, object] = {
        "name": name,
        "sort_key": _free_key(writing, name, command.vessel_id),
        "capacity_ul": capacity,
        "place_text": text.clean(command.place, field="place", most=120),
        "active": command.active,
    }
    if shape is not None:
        values["shape_text"] = canonical.canonical_json(to_plain(shape))
    if command.vessel_id is None:
        vessel_id = writing.add(oil_vessel, **values)
        return VesselKept(vessel_id=vessel_id, held_ul=0)
    row = _vessel(writing, command.vessel_id)
    if row.version != command.version:
        raise Conflict(_("Somebody else changed this vessel meanwhile; look at it again."))
    if not command.active and held_ul(writing, row.id):
        raise RuleBroken(_("It still holds used oil; write the haul or count it first."), "active")
    writing.change(oil_vessel, row.id, **values)
    return VesselKept(vessel_id=row.id, held_ul=held_ul(writing, row.id))


def _free_key(writing: Writing, name: str, vessel_id: int | None) -> str:
    key = key_of(name, field="name", most=120)
    other = writing.connection.execute(select(oil_vessel.c.id).where(oil_vessel.c.sort_key == key)).scalar()
    if other is not None and other != vessel_id:
        raise RuleBroken(_("There is already a vessel of this name."), "name")
    return key


def _vessel(reading: Reading, vessel_id: int) -> AnyRow:
    return reading.one(oil_vessel, vessel_id, _("That vessel is not there."))


def held_ul(reading: Reading, vessel_id: int) -> int:
    """Give what a vessel should hold; below nothing when more was hauled than the books knew of."""
    return int(
        reading.connection.execute(
            select(int_sum(oil_move.c.quantity_ul)).where(oil_move.c.vessel_id == vessel_id)
        ).scalar_one()
    )


def flow_in(writing: Writing, work_order_id: int, record_id: int, came_out: int) -> None:
    """Put what a service drained into the vessel in use; nothing to do in a shop without vessels.

    Work that is finished again moves only what differs from before.
    """
    before = writing.connection.execute(
        select(oil_move.c.vessel_id, int_sum(oil_move.c.quantity_ul).label("quantity_ul"))
        .where(oil_move.c.record_id == record_id)
        .group_by(oil_move.c.vessel_id)
        .order_by(func.max(oil_move.c.id).desc())
    ).all()
    rest = came_out - sum(int(row.quantity_ul) for row in before)
    vessel_id = before[0].vessel_id if before else vessel_in_use(writing, came_out)
    if rest == 0 or vessel_id is None:
        return
    _write(
        writing,
        vessel_id=vessel_id,
        kind=JOB,
        quantity_ul=rest,
        work_order_id=work_order_id,
        record_id=record_id,
        on_date=writing.today,
    )


def _write(writing: Writing, **values: Any) -> int:
    """Add one move; every column that the audit chain vouches for is written out."""
    nothing = dict.fromkeys(("carrier", "carrier_id", "destination", "document_no", "reason"), "")
    return writing.add_chained(oil_move, **(nothing | values))


def vessel_in_use(reading: Reading, wanted_ul: int) -> int | None:
    """Give the vessel to pour into: the fullest one that still has room, else the one with the most."""
    rows = [row for row in vessel_rows(reading) if row.active]
    fit = [row for row in rows if row.room_ul >= wanted_ul]
    if fit:
        return min(fit, key=lambda row: (row.room_ul, row.id)).id
    return max(rows, key=lambda row: (row.room_ul, -row.id)).id if rows else None


def add_used_oil(writing: Writing, command: AddUsedOil) -> VesselKept:
    """Add used oil by hand."""
    row = _vessel(writing, command.vessel_id)
    quantity = writing.typed_here().volume(command.quantity, "quantity").value
    if quantity <= 0:
        raise RuleBroken(_("Write a quantity above nothing."), "quantity")
    _write(
        writing,
        vessel_id=row.id,
        kind=BY_HAND,
        quantity_ul=quantity,
        on_date=command.on or writing.today,
        reason=text.required(command.reason, field="reason", label=_("where it came from"), most=500),
    )
    return VesselKept(vessel_id=row.id, held_ul=held_ul(writing, row.id))


def haul(writing: Writing, command: Haul) -> VesselKept:
    """Write down that used oil was taken away, with what the chosen rule asks for."""
    row = _vessel(writing, command.vessel_id)
    on = command.on or writing.today
    quantity = writing.typed_here().volume(command.quantity, "quantity").value
    carrier_id = text.clean(command.carrier_id, field="carrier_id", most=60)
    destination = text.clean(command.destination, field="destination", most=200)
    limit = rule_on(writing, RuleKey.SELF_HAUL_MOST, on)
    check_haul(
        quantity_ul=quantity,
        self_haul_most_ul=limit.value_ul if limit else None,
        carrier_id=carrier_id,
        destination=destination,
        own_vehicle=command.own_vehicle,
    )
    carrier = text.clean(command.carrier, field="carrier", most=200)
    if not command.own_vehicle and not carrier:
        raise RuleBroken(_("Write who took it away."), "carrier")
    _write(
        writing,
        vessel_id=row.id,
        kind=HAUL,
        quantity_ul=-quantity,
        on_date=on,
        carrier=carrier,
        carrier_id=carrier_id,
        destination=destination,
        own_vehicle=command.own_vehicle,
        document_no=text.clean(command.document_no, field="document_no", most=80),
    )
    return VesselKept(vessel_id=row.id, held_ul=held_ul(writing, row.id))


def count_vessel(writing: Writing, command: CountVessel) -> VesselKept:
    """Set a vessel's books to what was read."""
    row = _vessel(writing, command.vessel_id)
    content = _read_vessel(writing, row, command)
    shape = _shape_of(row)
    check_size(content.quantity, max(row.capacity_ul, shape.brim_ul if shape else 0))
    expected = held_ul(writing, row.id)
    reason = text.clean(command.reason, field="reason", most=500)
    if abs(content.quantity - expected) > content.half_width and not reason:
        sentence = _("That differs by more than the reading can show; write the reason, or read again.")
        raise RuleBroken(sentence, "reason")
    _write(
        writing,
        vessel_id=row.id,
        kind=COUNT,
        quantity_ul=content.quantity - expected,
        counted_ul=content.quantity,
        half_width_ul=content.half_width,
        on_date=writing.today,
        reason=reason,
    )
    return VesselKept(vessel_id=row.id, held_ul=content.quantity)


def _shape_of(row: AnyRow) -> Shape | None:
    return from_plain(Shape, json.loads(row.shape_text)) if row.shape_text else None


def _read_vessel(writing: Writing, row: AnyRow, command: CountVessel) -> Content:
    typed = writing.typed_here()
    if not command.dip.strip():
        quantity = typed.volume(command.reading, "reading").value
        return Content(quantity=quantity, half_width=typed.volume(command.within, "within").value)
    shape = _shape_of(row)
    if shape is None:
        raise RuleBroken(_("This vessel was not measured up for the dip stick yet."), "dip")
    dip_um = typed.shelf_length(command.dip, "dip")
    return by_dip(shape, dip_um, typed.shelf_length(command.within, "within"))


def vessel_rows(reading: Reading) -> tuple[VesselRow, ...]:
    """Give every vessel with what it should hold."""
    sums = (
        select(oil_move.c.vessel_id, int_sum(oil_move.c.quantity_ul).label("held_ul"))
        .group_by(oil_move.c.vessel_id)
        .subquery()
    )
    rows = reading.connection.execute(
        select(oil_vessel, func.coalesce(sums.c.held_ul, 0).label("held_ul"))
        .outerjoin(sums, sums.c.vessel_id == oil_vessel.c.id)
        .order_by(oil_vessel.c.sort_key)
    )
    return tuple(_vessel_row(row) for row in rows)


def _vessel_row(row: AnyRow) -> VesselRow:
    fill = Fill(held_ul=int(row.held_ul), capacity_ul=row.capacity_ul)
    return VesselRow(
        id=row.id,
        version=row.version,
        name=row.name,
        place=row.place_text,
        capacity_ul=fill.capacity_ul,
        held_ul=fill.held_ul,
        room_ul=fill.room_ul,
        over_ul=fill.over_ul,
        percent=fill.percent,
        can_dip=bool(row.shape_text),
        active=row.active,
    )


def vessel_ledger(reading: Reading, vessel_id: int, most: int = 200) -> Sequence[OilMoveRow]:
    """Give a vessel's newest moves, each with the level after it."""
    level = (
        func.sum(oil_move.c.quantity_ul).over(order_by=oil_move.c.id, rows=(None, 0)).label("level_after_ul")
    )
    running = select(oil_move, level).where(oil_move.c.vessel_id == vessel_id).subquery()
    rows = reading.connection.execute(
        select(running, work_order.c.number.label("work_order_number"), person.c.name.label("person"))
        .join(person, person.c.id == running.c.person_id)
        .outerjoin(work_order, work_order.c.id == running.c.work_order_id)
        .order_by(running.c.id.desc())
        .limit(most)
    )
    return tuple(
        OilMoveRow(
            id=row.id,
            on_date=row.on_date,
            kind=row.kind,
            quantity_ul=row.quantity_ul,
            level_after_ul=int(row.level_after_ul),
            counted_ul=row.counted_ul,
            work_order_number=row.work_order_number,
            carrier=row.carrier,
            carrier_id=row.carrier_id,
            destination=row.destination,
            document_no=row.document_no,
            reason=row.reason,
            person=row.person,
        )
        for row in rows
    )


def capacity_view(reading: Reading) -> CapacityView:
    """Add up shell capacities, new oil and used, full or empty, against the chosen figures."""
    most = rule_on(reading, RuleKey.CAPACITY_MOST, reading.today)
    least = rule_on(reading, RuleKey.CAPACITY_LEAST, reading.today)
    if most is None or least is None:
        return CapacityView(total=None, citation="", remark="")
    total = capacity_total(_shells(reading), least_ul=least.value_ul, most_ul=most.value_ul)
    citation = "; ".join(dict.fromkeys((most.citation, least.citation)))
    return CapacityView(total=total, citation=citation, remark=most.remark or least.remark)


def _shells(reading: Reading) -> list[int]:
    rows = reading.connection.execute(
        select(container.c.capacity, item.c.package_quantity, container_card.c.pieces, container_card.c.shell)
        .join(item, item.c.id == container.c.item_id)
        .outerjoin(container_card, container_card.c.container_id == container.c.id)
        .where(item.c.kind == ItemKind.FLUID.value, container.c.state != GONE)
    )
    shells: list[int] = []
    for row in rows:
        pieces, shell = pieces_and_shell(row.capacity, row.package_quantity, row.pieces, row.shell)
        shells += [shell] * pieces
    return shells + [row.capacity_ul for row in vessel_rows(reading) if row.active]


def reconcile(reading: Reading, vessel_id: int, from_on: date, to_on: date) -> Reconciliation:
    """Compare what went in and out of a vessel between two days with what was last read in them."""

    def total(*conditions: ColumnElement[bool]) -> int:
        query = select(int_sum(oil_move.c.quantity_ul)).where(oil_move.c.vessel_id == vessel_id, *conditions)
        return int(reading.connection.execute(query).scalar_one())

    between = (oil_move.c.on_date >= from_on, oil_move.c.on_date <= to_on)
    counted = reading.connection.execute(
        select(oil_move.c.id, oil_move.c.counted_ul)
        .where(oil_move.c.vessel_id == vessel_id, oil_move.c.kind == COUNT, *between)
        .order_by(oil_move.c.id.desc())
        .limit(1)
    ).one_or_none()
    until = (oil_move.c.id < counted.id,) if counted else ()
    return Reconciliation(
        opening_ul=total(oil_move.c.on_date < from_on),
        in_ul=total(*between, *until, oil_move.c.kind.in_((JOB, BY_HAND))),
        out_ul=-total(*between, *until, oil_move.c.kind == HAUL),
        counted_ul=counted.counted_ul if counted else None,
    )


class UsedOil:
    """The room where used oil is looked after."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def save_vessel(self, command: SaveVessel) -> VesselKept:
        """Keep a vessel."""
        return self._office.carry_out(command, lambda writing: save_vessel(writing, command), VesselKept)

    def add(self, command: AddUsedOil) -> VesselKept:
        """Add used oil by hand."""
        return self._office.carry_out(command, lambda writing: add_used_oil(writing, command), VesselKept)

    def haul(self, command: Haul) -> VesselKept:
        """Write down that used oil was taken away."""
        return self._office.carry_out(command, lambda writing: haul(writing, command), VesselKept)

    def count(self, command: CountVessel) -> VesselKept:
        """Set a vessel's books to what was read."""
        return self._office.carry_out(command, lambda writing: count_vessel(writing, command), VesselKept)

    def vessels(self) -> tuple[VesselRow, ...]:
        """Give every vessel."""
        with self._office.reading() as reading:
            return vessel_rows(reading)

    def ledger(self, vessel_id: int, most: int = 200) -> Sequence[OilMoveRow]:
        """Give a vessel's newest moves."""
        with self._office.reading() as reading:
            return vessel_ledger(reading, vessel_id, most)

    def capacity(self) -> CapacityView:
        """Give the total of oil capacity against the chosen figure."""
        with self._office.reading() as reading:
            return capacity_view(reading)

    def reconcile(self, vessel_id: int, from_on: date, to_on: date) -> Reconciliation:
        """Compare a vessel's books with what was read."""
        with self._office.reading() as reading:
            return reconcile(reading, vessel_id, from_on, to_on)
