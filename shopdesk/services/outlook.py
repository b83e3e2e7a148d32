"""Is there enough for the work that is booked? By specification, with what may stand in for it.

Booked is work that is approved or in the bay, and quoted work promised for a day. Its lines say how
much of which fluid and part. Jobs are served in the order of their promised days, each first from
what it names, then from fluids that suit its unit by the rule that holds for that customer.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from fractions import Fraction
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import select

from shopdesk.domain.rounding import round_half_up
from shopdesk.domain.stages import Stage
from shopdesk.domain.words import N_
from shopdesk.persistence.tables.stock import item
from shopdesk.persistence.tables.work import work_order, work_order_line
from shopdesk.services.acting import Office, Reading
from shopdesk.services.items import ItemKind
from shopdesk.services.kits import parts_billed
from shopdesk.services.matching import (
    SuitableFluid,
    claims_of,
    specification_name,
    specification_of_unit,
    suitable_fluids,
)
from shopdesk.services.reserving import WAITING, sale_unit_quantity, usable


class Enough(StrEnum):
    """Whether the shelf reaches."""

    YES = N_("enough")
    WITH_SUBSTITUTE = N_("enough with another product")
    NO = N_("not enough")


@dataclass(frozen=True, kw_only=True, slots=True)
class Standing:
    """What another product gives to a job, in µL."""

    item_id: int
    name: str
    quantity: int
    sentence: str


@dataclass(frozen=True, kw_only=True, slots=True)
class NeedRow:
    """One item that a booked job wants, in its base unit, and where it comes from."""

    work_order_id: int
    work_order_number: int
    promised_on: date | None
    item_id: int
    item: str
    base: str
    specification: str
    wanted: int
    from_shelf: int
    instead: tuple[Standing, ...]
    lacking: int
    verdict: Enough


@dataclass(frozen=True, kw_only=True, slots=True)
class Outlook:
    """Every booked need up to a day, and whether all of it is there."""

    until: date
    rows: tuple[NeedRow, ...]

    @property
    def verdict(self) -> Enough:
        """The worst of all."""
        found = {row.verdict for row in self.rows}
        return next((each for each in (Enough.NO, Enough.WITH_SUBSTITUTE) if each in found), Enough.YES)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Need:
    order_id: int
    number: int
    customer_id: int
    promised_on: date | None
    item_id: int
    unit_id: int | None
    quantity: int


def outlook(reading: Reading, until: date) -> Outlook:
    """Serve every booked job up to ``until`` from the shelf as it is now, the earliest first."""
    pool: dict[int, int] = {}
    rows = [_serve(reading, need, pool) for need in _needs(reading, until)]
    return Outlook(until=until, rows=tuple(rows))


def _needs(reading: Reading, until: date) -> Sequence[_Need]:
    stages = [stage.value for stage in WAITING]
    orders: Sequence[Any] = reading.connection.execute(
        select(
            work_order.c.id,
            work_order.c.number,
            work_order.c.customer_id,
            work_order.c.promised_at,
            work_order.c.stage,
        ).where(work_order.c.stage.in_(stages))
    ).all()
    zone = ZoneInfo(reading.shop.zone)
    booked = []
    for row in orders:
        on = _day(row.promised_at, zone)
        if (on is None and Stage(row.stage) is not Stage.QUOTED) or (on is not None and on <= until):
            booked.append((on or reading.today, row.id, row, on))
    needs: list[_Need] = []
    for _turn, _id, row, on in sorted(booked, key=lambda each: each[:2]):
        needs += _of_order(reading, row, on)
    return needs


def _day(at: datetime | None, zone: ZoneInfo) -> date | None:
    return at.astimezone(zone).date() if at is not None else None


def _of_order(reading: Reading, order: Any, on: date | None) -> list[_Need]:
    """Give an order's fluids, each with the unit its line is for, then its parts."""
    lines = reading.connection.execute(
        select(
            work_order_line.c.item_id,
            work_order_line.c.unit_id,
            work_order_line.c.quantity_milli,
            item.c.sale_unit,
        )
        .join(item, item.c.id == work_order_line.c.item_id)
        .where(work_order_line.c.work_order_id == order.id, item.c.base == "ul")
        .order_by(work_order_line.c.position)
    )
    shared: dict[str, Any] = {
        "order_id": order.id,
        "number": order.number,
        "customer_id": order.customer_id,
        "promised_on": on,
    }
    needs = [
        _Need(
            item_id=line.item_id,
            unit_id=line.unit_id,
            quantity=_in_ul(reading, line.sale_unit, line.quantity_milli),
            **shared,
        )
        for line in lines
    ]
    parts = parts_billed(reading, order.id)
    return needs + [
        _Need(item_id=item_id, unit_id=None, quantity=quantity, **shared)
        for item_id, quantity in parts.items()
    ]


def _in_ul(reading: Reading, sale_unit: str, quantity_milli: int) -> int:
    unit = sale_unit_quantity(reading.shop, ItemKind.FLUID, sale_unit)
    return round_half_up(Fraction(quantity_milli * unit, 1000))


def _serve(reading: Reading, need: _Need, pool: dict[int, int]) -> NeedRow:
    row = reading.connection.execute(select(item.c.name, item.c.base).where(item.c.id == need.item_id)).one()
    taken = _take(reading, pool, need.item_id, need.quantity)
    lacking = need.quantity - taken
    fluids = _substitutes(reading, need) if row.base == "ul" and lacking else ()
    instead = []
    for each in fluids:
        part = _take(reading, pool, each.item_id, lacking)
        if part:
            lacking -= part
            instead.append(
                Standing(item_id=each.item_id, name=each.name, quantity=part, sentence=each.sentence)
            )
    return NeedRow(
        work_order_id=need.order_id,
        work_order_number=need.number,
        promised_on=need.promised_on,
        item_id=need.item_id,
        item=row.name,
        base=row.base,
        specification=_specification(reading, need),
        wanted=need.quantity,
        from_shelf=taken,
        instead=tuple(instead),
        lacking=lacking,
        verdict=Enough.NO if lacking else Enough.WITH_SUBSTITUTE if instead else Enough.YES,
    )


def _take(reading: Reading, pool: dict[int, int], item_id: int, wanted: int) -> int:
    if item_id not in pool:
        pool[item_id] = max(0, usable(reading, item_id))
    part = min(pool[item_id], wanted)
    pool[item_id] -= part
    return part


def _substitutes(reading: Reading, need: _Need) -> Sequence[SuitableFluid]:
    """Give what may stand in without asking."""
    specification_id = _specification_id(reading, need)
    if specification_id is None:
        return ()
    found = suitable_fluids(reading, specification_id, need.customer_id)
    return [each for each in found if each.item_id != need.item_id and not each.match.needs_reason]


def _specification_id(reading: Reading, need: _Need) -> int | None:
    """Give the specification of the unit the line is for, else the first one the product itself claims."""
    if need.unit_id is not None:
        return specification_of_unit(reading, need.unit_id)
    return next((claim.specification_id for claim in claims_of(reading, need.item_id)), None)


def _specification(reading: Reading, need: _Need) -> str:
    return specification_name(reading, _specification_id(reading, need))


class Outlooks:
    """The room where the coming days are looked at."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def until(self, day: date) -> Outlook:
        """Say whether the shelf reaches for the work booked up to a day."""
        with self._office.reading() as reading:
            return outlook(reading, day)
