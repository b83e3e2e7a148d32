"""Count sheets as they are walked along the shelf with: what should be where, and what was found."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from gettext import gettext as _
from typing import Any

from sqlalchemy import func, select

from shopdesk.persistence.tables.shelf import count_line, count_sheet
from shopdesk.persistence.tables.stock import container, item
from shopdesk.services.acting import AnyRow, Reading
from shopdesk.services.containers import ContainerView, container_view
from shopdesk.services.items import ItemKind
from shopdesk.services.kits import kit_ids
from shopdesk.services.ledger import held_by_container, on_hand


@dataclass(frozen=True, kw_only=True, slots=True)
class ToCount:
    """One line of a count sheet before it is counted; without ``container`` the item's pieces."""

    item_id: int
    item: str
    base: str
    kind: ItemKind
    container_id: int | None
    container: str
    lot: str
    expected: int
    capacity: int | None
    can_dip: bool
    counted: bool
    found: int | None = None
    difference: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class SheetRow:
    """A count sheet in a list, with how many of its lines were typed back."""

    sheet_id: int
    number: int
    opened_utc: datetime
    closed: bool
    note: str
    counts: int


@dataclass(frozen=True, kw_only=True, slots=True)
class CountSheetView:
    """A count sheet with what stands on it."""

    sheet_id: int
    number: int
    opened_utc: datetime
    closed: bool
    note: str
    lines: tuple[ToCount, ...]


_Found = tuple[int, int]


def sheet_view(reading: Reading, sheet_id: int) -> CountSheetView:
    """Give a count sheet: everything that should be somewhere, and whether it was counted."""
    row = reading.one(count_sheet, sheet_id, _("That count sheet is not there."))
    found: dict[tuple[int, int | None], _Found] = {}
    for line in reading.connection.execute(
        select(count_line).where(count_line.c.sheet_id == sheet_id).order_by(count_line.c.id)
    ):
        found[line.item_id, line.container_id] = (line.counted, line.counted - line.expected)
    return CountSheetView(
        sheet_id=row.id,
        number=row.number,
        opened_utc=row.opened_utc,
        closed=row.closed_utc is not None,
        note=row.note,
        lines=tuple(_to_count(reading, found)),
    )


def _to_count(reading: Reading, done: Mapping[tuple[int, int | None], _Found]) -> list[ToCount]:
    lines: list[ToCount] = []
    kits = kit_ids(reading)
    goods: Sequence[Any] = reading.connection.execute(
        select(item.c.id, item.c.name, item.c.base, item.c.kind)
        .where(item.c.active)
        .order_by(item.c.kind, item.c.sort_key)
    ).all()
    for row in goods:
        if row.kind == ItemKind.FLUID.value:
            lines += [_container_line(row, box, done) for box in _boxes(reading, row.id, done)]
        elif row.id not in kits:
            lines.append(_piece_line(reading, row, done))
    return lines


def _boxes(
    reading: Reading, item_id: int, done: Mapping[tuple[int, int | None], _Found]
) -> list[ContainerView]:
    """Give the containers that should hold something, or were counted on this sheet; first expiring first."""
    ids = reading.connection.execute(
        select(container.c.id)
        .where(container.c.item_id == item_id)
        .order_by(container.c.best_before.asc().nulls_last(), container.c.id)
    ).scalars()
    held = held_by_container(reading, item_id)
    known = tuple(ids)
    wanted = [each for each in known if held.get(each, 0) or (item_id, each) in done]
    if held.get(None, 0) and not wanted:
        wanted = list(known[-1:])  # jobs took more than any container held: look into the last one
    return [container_view(reading, each) for each in wanted]


def _container_line(
    row: AnyRow, box: ContainerView, done: Mapping[tuple[int, int | None], _Found]
) -> ToCount:
    return ToCount(
        item_id=row.id,
        item=row.name,
        base=row.base,
        kind=ItemKind(row.kind),
        container_id=box.id,
        container=box.label,
        lot=box.lot,
        expected=box.held,
        capacity=box.capacity,
        can_dip=box.shape is not None,
        counted=(row.id, box.id) in done,
        found=done.get((row.id, box.id), (None, 0))[0],
        difference=done.get((row.id, box.id), (None, 0))[1],
    )


def _piece_line(reading: Reading, row: AnyRow, done: Mapping[tuple[int, int | None], _Found]) -> ToCount:
    return ToCount(
        item_id=row.id,
        item=row.name,
        base=row.base,
        kind=ItemKind(row.kind),
        container_id=None,
        container="",
        lot="",
        expected=on_hand(reading, row.id),
        capacity=None,
        can_dip=False,
        counted=(row.id, None) in done,
        found=done.get((row.id, None), (None, 0))[0],
        difference=done.get((row.id, None), (None, 0))[1],
    )


def sheet_rows(reading: Reading, most: int) -> tuple[SheetRow, ...]:
    """Give the latest count sheets, the newest first."""
    lines = select(func.count()).where(count_line.c.sheet_id == count_sheet.c.id).scalar_subquery()
    rows = reading.connection.execute(
        select(count_sheet, lines.label("counts")).order_by(count_sheet.c.id.desc()).limit(most)
    )
    return tuple(
        SheetRow(
            sheet_id=row.id,
            number=row.number,
            opened_utc=row.opened_utc,
            closed=row.closed_utc is not None,
            note=row.note,
            counts=row.counts,
        )
        for row in rows
    )
