"""Counting: a sheet to walk along the shelf with, and what was read typed back, each with its uncertainty.

A count is of one container, or of an item that is kept in pieces. The difference to what the ledger
says is booked at once as a move with its reason; what the ledger could not place in any container is
set right when all of an item's containers have been counted on one sheet.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from gettext import gettext as _

from sqlalchemy import select

from shopdesk.domain import text, units
from shopdesk.domain.counting import (
    Content,
    CountMethod,
    by_counter,
    by_dip,
    by_weight,
    check_size,
    expansion_allowance_ul,
)
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.stock import MoveKind
from shopdesk.persistence import canonical
from shopdesk.persistence.numbers import next_number
from shopdesk.persistence.tables.shelf import count_line, count_sheet
from shopdesk.persistence.tables.stock import container
from shopdesk.services.acting import AnyRow, Command, Office, Reading, Writing, new_uid
from shopdesk.services.containers import ContainerView, container_view
from shopdesk.services.count_sheets import CountSheetView, SheetRow, sheet_rows, sheet_view
from shopdesk.services.items import ItemKind, ItemView, item_view, quantity_of
from shopdesk.services.ledger import (
    Inflow,
    Outflow,
    bring_in,
    found_cost_of,
    held_by_container,
    on_hand,
    take_out,
)


@dataclass(frozen=True, kw_only=True, slots=True)
class OpenSheet(Command):
    """A new count sheet."""

    note: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class CloseSheet(Command):
    """The sheet is done; nothing more is typed back on it."""

    sheet_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Count(Command):
    """What was read of one container, or of an item without one (parts). All readings are text.

    By method: WHOLE ``whole`` unopened packages and ``rest`` in an opened one (``rest_within``);
    DIP ``dip``, read to ± ``within``; WEIGHT ``gross``, read to ± ``within`` (the empty weight from the
    container's card, else ``tare``) and ``temperature``; SIGHT_GLASS ``reading`` to ± ``within``;
    COUNTER ``reading`` dispensed since the container was full, to ± ``within``.
    A difference beyond what the reading can show needs a ``reason``.
    """

    item_id: int
    container_id: int | None = None
    sheet_id: int | None = None
    method: CountMethod
    whole: str = ""
    rest: str = ""
    rest_within: str = ""
    dip: str = ""
    gross: str = ""
    tare: str = ""
    reading: str = ""
    within: str = ""
    temperature: str = ""
    reason: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class SheetOpened:
    """Which count sheet."""

    sheet_id: int
    number: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Counted:
    """A kept count in the item's base unit; ``difference`` is counted less expected and was booked."""

    line_id: int
    item_id: int
    expected: int
    counted: int
    half_width: int
    difference: int
    cost_minor: int
    on_hand: int


@dataclass(frozen=True, kw_only=True, slots=True)
class CountReading:
    """What a count would show before it is kept, in the item's base unit.

    ``allowance`` is what expansion alone may explain beside the reading's own half-width.
    """

    expected: int
    content: Content
    allowance: int
    temp_mc: int | None

    @property
    def difference(self) -> int:
        """Counted less expected."""
        return self.content.quantity - self.expected

    @property
    def needs_reason(self) -> bool:
        """Say whether it differs by more than the reading can show."""
        return abs(self.difference) > self.content.half_width + self.allowance


def open_sheet(writing: Writing, command: OpenSheet) -> SheetOpened:
    """Start a count sheet with the next number."""
    number = next_number(writing.connection, "count sheet")
    sheet_id = writing.add(
        count_sheet,
        uid=new_uid(),
        number=number,
        opened_utc=writing.now,
        opened_by=writing.actor.person_id,
        note=text.clean(command.note, field="note", most=1000),
    )
    return SheetOpened(sheet_id=sheet_id, number=number)


def close_sheet(writing: Writing, command: CloseSheet) -> SheetOpened:
    """End a count sheet."""
    row = _open_sheet_row(writing, command.sheet_id)
    writing.change(count_sheet, row.id, closed_utc=writing.now)
    return SheetOpened(sheet_id=row.id, number=row.number)


def _open_sheet_row(reading: Reading, sheet_id: int) -> AnyRow:
    row = reading.one(count_sheet, sheet_id, _("That count sheet is not there."))
    if row.closed_utc is not None:
        raise RuleBroken(_("That count sheet is closed; open another."), "sheet_id")
    return row


def count(writing: Writing, command: Count) -> Counted:
    """Keep a count and book its difference."""
    if command.sheet_id is not None:
        _open_sheet_row(writing, command.sheet_id)
    goods = item_view(writing, command.item_id)
    read = read_count(writing, command)
    reason = text.clean(command.reason, field="reason", most=500)
    if read.needs_reason and not reason:
        sentence = _("That differs by more than the reading can show; write the reason, or read again.")
        raise RuleBroken(sentence, "reason")
    line_id, cost = _keep(
        writing,
        goods,
        command,
        expected=read.expected,
        content=read.content,
        container_id=command.container_id,
        temp_mc=read.temp_mc,
        allowance=read.allowance,
        reason=reason,
    )
    if command.sheet_id is not None and command.container_id is not None:
        cost += _place_the_rest(writing, goods, command)
    return Counted(
        line_id=line_id,
        item_id=goods.id,
        expected=read.expected,
        counted=read.content.quantity,
        half_width=read.content.half_width,
        difference=read.difference,
        cost_minor=cost,
        on_hand=on_hand(writing, goods.id),
    )


def read_count(writing: Writing, command: Count) -> CountReading:
    """Read what was typed against what the ledger says; writes nothing."""
    goods = item_view(writing, command.item_id)
    box = _box(writing, goods, command)
    content = _READERS[command.method](writing, command, goods, box)
    check_size(content.quantity, box.capacity if box else None)
    temperature = command.temperature.strip()
    typed = writing.typed_here()
    temp_mc = typed.temperature(temperature, "temperature").value if temperature else None
    return CountReading(
        expected=box.held if box else on_hand(writing, goods.id),
        content=content,
        allowance=_allowance(writing, goods, box, content, temp_mc),
        temp_mc=temp_mc,
    )


def _keep(
    writing: Writing,
    goods: ItemView,
    command: Count,
    *,
    expected: int,
    content: Content,
    container_id: int | None,
    temp_mc: int | None,
    allowance: int,
    reason: str,
) -> tuple[int, int]:
    """Book the difference and keep the count; gives its id and what the difference cost."""
    group = new_uid()
    cost = _book(writing, goods, container_id, content.quantity - expected, group, reason)
    line_id = writing.add_chained(
        count_line,
        sheet_id=command.sheet_id,
        item_id=goods.id,
        container_id=container_id,
        method=command.method.value,
        reading_text=canonical.canonical_json(_typed_readings(command)),
        temp_mc=temp_mc,
        expected=expected,
        counted=content.quantity,
        half_width=content.half_width,
        allowance=allowance,
        group_uid=group,
        on_date=writing.today,
        reason=reason,
    )
    return line_id, cost


def _typed_readings(command: Count) -> dict[str, str]:
    names = ("whole", "rest", "rest_within", "dip", "gross", "tare", "reading", "within", "temperature")
    return {
        name: text.clean(getattr(command, name), field=name, most=60)
        for name in names
        if getattr(command, name).strip()
    }


def _box(writing: Writing, goods: ItemView, command: Count) -> ContainerView | None:
    if command.container_id is None:
        if goods.kind is ItemKind.FLUID:
            raise RuleBroken(_("Say which container was counted."), "container_id")
        return None
    box = container_view(writing, command.container_id)
    if box.item_id != goods.id:
        raise RuleBroken(_("That container holds something else."), "container_id")
    return box


def _within(writing: Writing, goods: ItemView, typed: str, field: str) -> int:
    return quantity_of(writing, goods.kind, typed, field)


def _whole(writing: Writing, command: Count, goods: ItemView, box: ContainerView | None) -> Content:
    package = box.shell if box else goods.package_quantity
    whole = units.read_whole(command.whole or "0", field="whole", least=0, most=1_000_000)
    rest = quantity_of(writing, goods.kind, command.rest, "rest") if command.rest.strip() else 0
    if rest and not command.rest_within.strip() and goods.kind is ItemKind.FLUID:
        raise RuleBroken(_("Write how closely the opened one can be read, such as 100 ml."), "rest_within")
    half_width = _within(writing, goods, command.rest_within, "rest_within") if command.rest_within else 0
    if rest > package:
        raise RuleBroken(_("The opened one cannot hold more than a whole one."), "rest")
    return Content(quantity=whole * package + rest, half_width=half_width)


def _dip(writing: Writing, command: Count, _goods: ItemView, box: ContainerView | None) -> Content:
    if box is None or box.shape is None:
        raise RuleBroken(_("This container was not measured up for the dip stick yet."), "dip")
    typed = writing.typed_here()
    dip_um = typed.shelf_length(command.dip, "dip")
    return by_dip(box.shape, dip_um, typed.shelf_length(command.within, "within"))


def _weight(writing: Writing, command: Count, goods: ItemView, box: ContainerView | None) -> Content:
    if goods.density_kg_m3 is None or goods.kind is not ItemKind.FLUID:
        raise RuleBroken(_("Write the fluid's density on the list first."), "gross")
    typed = writing.typed_here()
    tare = typed.mass(command.tare, "tare") if command.tare.strip() else box.tare_mg if box else None
    if tare is None:
        raise RuleBroken(_("Write what the empty container weighs."), "tare")
    return by_weight(
        gross_mg=typed.mass(command.gross, "gross"),
        tare_mg=tare,
        half_width_mg=typed.mass(command.within, "within"),
        density15_kg_m3=goods.density_kg_m3,
        temp_mc=typed.temperature(command.temperature, "temperature").value,
    )


def _sight_glass(writing: Writing, command: Count, goods: ItemView, _box: ContainerView | None) -> Content:
    quantity = quantity_of(writing, goods.kind, command.reading, "reading")
    return Content(quantity=quantity, half_width=_within(writing, goods, command.within, "within"))


def _counter(writing: Writing, command: Count, goods: ItemView, box: ContainerView | None) -> Content:
    if box is None:
        raise RuleBroken(_("A pump counter belongs to a container."), "container_id")
    full = writing.one(container, box.id, _("That container is not there.")).capacity
    if full is None:
        raise RuleBroken(_("It is not known what this container held when it was full."), "reading")
    return by_counter(
        held_then_ul=full,
        dispensed_ul=quantity_of(writing, goods.kind, command.reading, "reading"),
        half_width_ul=_within(writing, goods, command.within, "within"),
    )


_READERS: Mapping[CountMethod, Callable[[Writing, Count, ItemView, ContainerView | None], Content]] = {
    CountMethod.WHOLE: _whole,
    CountMethod.DIP: _dip,
    CountMethod.WEIGHT: _weight,
    CountMethod.SIGHT_GLASS: _sight_glass,
    CountMethod.COUNTER: _counter,
}


def _allowance(
    reading: Reading, goods: ItemView, box: ContainerView | None, content: Content, temp_mc: int | None
) -> int:
    """Give how much of a difference may be expansion: bulk only, for a closed bottle is as it was filled."""
    if goods.kind is not ItemKind.FLUID or box is None or box.pieces > 1:
        return 0
    before = reading.connection.execute(
        select(count_line.c.temp_mc)
        .where(count_line.c.container_id == box.id)
        .order_by(count_line.c.id.desc())
        .limit(1)
    ).scalar()
    return expansion_allowance_ul(content.quantity, goods.density_kg_m3, temp_mc, before)


def _book(
    writing: Writing, goods: ItemView, container_id: int | None, difference: int, group: str, reason: str
) -> int:
    """Book a difference; gives what it cost (positive: cost came in).

    Without a container the difference stays where nobody said which.
    """
    why = reason or _("within what the reading can show")
    if difference > 0:
        cost = found_cost_of(writing, goods.id, difference)
        bring_in(
            writing,
            Inflow(
                item_id=goods.id,
                container_id=container_id,
                kind=MoveKind.COUNT,
                quantity=difference,
                cost_minor=cost,
                on_date=writing.today,
                group_uid=group,
                reason=why,
            ),
        )
        return cost
    if difference < 0:
        left = take_out(
            writing,
            Outflow(
                item_id=goods.id,
                kind=MoveKind.COUNT,
                quantity=-difference,
                sources=((container_id, -difference),),
                group_uid=group,
                reason=why,
            ),
        )
        return -left.cost_minor
    return 0


def _place_the_rest(writing: Writing, goods: ItemView, command: Count) -> int:
    """Set right what no container was named for, once every container of the item is on the sheet.

    It is a count of its own: nothing is to be found in no container.
    """
    held = held_by_container(writing, goods.id)
    nowhere = held.get(None, 0)
    if nowhere == 0:
        return 0
    counted = set(
        writing.connection.execute(
            select(count_line.c.container_id).where(
                count_line.c.sheet_id == command.sheet_id, count_line.c.item_id == goods.id
            )
        ).scalars()
    )
    if any(quantity and box not in counted for box, quantity in held.items() if box is not None):
        return 0
    _line_id, cost = _keep(
        writing,
        goods,
        command,
        expected=nowhere,
        content=Content(quantity=0, half_width=0),
        container_id=None,
        temp_mc=None,
        allowance=0,
        reason=_("all containers were counted; this stood in none of them"),
    )
    return cost


class Counting:
    """The room where the shelf is counted."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def open_sheet(self, command: OpenSheet) -> SheetOpened:
        """Start a count sheet."""
        return self._office.carry_out(command, lambda writing: open_sheet(writing, command), SheetOpened)

    def close_sheet(self, command: CloseSheet) -> SheetOpened:
        """End a count sheet."""
        return self._office.carry_out(command, lambda writing: close_sheet(writing, command), SheetOpened)

    def count(self, command: Count) -> Counted:
        """Keep a count and book its difference."""
        return self._office.carry_out(command, lambda writing: count(writing, command), Counted)

    def sheet(self, sheet_id: int) -> CountSheetView:
        """Give a count sheet with everything that should be somewhere."""
        with self._office.reading() as reading:
            return sheet_view(reading, sheet_id)

    def read(self, command: Count) -> CountReading:
        """Give what a count would show, before it is kept; nothing is written."""
        with self._office.reading() as reading:
            return read_count(Writing(reading.connection, reading.now, command), command)

    def sheets(self, most: int = 20) -> tuple[SheetRow, ...]:
        """Give the latest count sheets, the newest first."""
        with self._office.reading() as reading:
            return sheet_rows(reading, most)
