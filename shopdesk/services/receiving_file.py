"""Receiving from a CSV file: every line is read before any is kept, and a refusal names line and field.

Columns (the first row names them, in any order): ``item`` and one of ``packages`` or ``quantity``;
``cost`` unless an order says it; further ``document_no``, ``lot``, ``best_before`` (YYYY-MM-DD),
``container``, ``damaged``, ``core``, ``note``. Lines with one document number are one delivery.
"""

import csv
import io
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from functools import partial
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.ledger import FreightBy
from shopdesk.services.acting import Command, Office, Writing
from shopdesk.services.buying import OrderView, order_view
from shopdesk.services.deliveries import (
    DeliveryLineTyped,
    DeliveryReceived,
    ReceiveDelivery,
    receive_delivery,
)
from shopdesk.services.items import item_by_name

MOST_CHARACTERS = 2_000_000
MOST_LINES = 5_000
#: A preview names so many lines in trouble; who has more sends the file back.
MOST_TROUBLES = 20
NEEDED = ("item",)
KNOWN = (
    "item", "packages", "quantity", "cost", "document_no", "lot", "best_before", "container", "damaged",
    "core", "note",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True, slots=True)
class ReceiveFile(Command):
    """A CSV file's text. ``document_no`` stands for lines that name none; with an order its lines are met."""

    supplier_id: int
    order_id: int | None = None
    content: str
    document_no: str = ""
    on: date | None = None
    freight: str = "0"
    freight_by: FreightBy = FreightBy.VALUE


@dataclass(frozen=True, kw_only=True, slots=True)
class FileReceived:
    """Every delivery of a file, in the order of their first lines."""

    deliveries: tuple[DeliveryReceived, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class FileTrouble:
    """What is wrong in a file: its line (0: the file as a whole), the column, and the sentence."""

    line: int
    column: str
    sentence: str


@dataclass(frozen=True, kw_only=True, slots=True)
class FilePreview:
    """What a file would put on the shelf, with the landed cost of each line; nothing was kept.

    The file is kept only when ``troubles`` is empty; the lines in trouble are not among the others.
    """

    deliveries: tuple[DeliveryReceived, ...]
    troubles: tuple[FileTrouble, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Row:
    number: int  # of the line in the file, its head being line 1
    cells: Mapping[str, str]


def receive_file(
    writing: Writing, command: ReceiveFile, left_out: frozenset[int] = frozenset()
) -> FileReceived:
    """Keep all of a file, or nothing of it; a preview leaves out the lines already found wrong."""
    rows = [row for row in _rows(command.content) if row.number not in left_out]
    if not rows and left_out:
        return FileReceived(deliveries=())
    if not rows:
        raise RuleBroken(_("The file has no lines below its head."), _place(1, ""))
    _check_repeated_lots(rows, command)
    groups: dict[str, list[_Row]] = {}
    for row in rows:
        groups.setdefault(row.cells.get("document_no", "") or command.document_no, []).append(row)
    if command.freight.strip() not in ("", "0") and len(groups) > 1:
        raise RuleBroken(_("Freight belongs to one delivery; this file holds several."), "freight")
    order = order_view(writing, command.order_id) if command.order_id is not None else None
    return FileReceived(
        deliveries=tuple(_receive(writing, command, number, group, order) for number, group in groups.items())
    )


def preview_file(office: Office, command: ReceiveFile) -> FilePreview:
    """Read a file without keeping anything, and name everything that is wrong, line by line."""
    troubles: list[FileTrouble] = []
    while len(troubles) < MOST_TROUBLES:
        left_out = frozenset(trouble.line for trouble in troubles)
        try:
            kept = office.rehearse(command, partial(_received_without, command=command, left_out=left_out))
        except RuleBroken as refusal:
            troubles.append(_trouble(refusal))
            if troubles[-1].line in (0, 1):  # the file as a whole or its head: no line can be read
                break
            continue
        return FilePreview(deliveries=kept.deliveries, troubles=tuple(troubles))
    return FilePreview(deliveries=(), troubles=tuple(troubles))


def _received_without(writing: Writing, *, command: ReceiveFile, left_out: frozenset[int]) -> FileReceived:
    return receive_file(writing, command, left_out)


def _trouble(refusal: RuleBroken) -> FileTrouble:
    place, _slash, column = refusal.field.partition("/")
    word, _gap, number = place.partition(" ")
    if word == "line" and number.isdecimal():
        return FileTrouble(line=int(number), column=column, sentence=refusal.sentence)
    return FileTrouble(line=0, column=refusal.field, sentence=refusal.sentence)


def _place(line: int, column: str) -> str:
    return f"line {line}/{column}" if column else f"line {line}"


@contextmanager
def _at(rows: list[_Row]) -> Iterator[None]:
    """Name the line and column of the file that a refused field comes from."""
    try:
        yield
    except RuleBroken as refusal:
        group, _slash, rest = refusal.field.partition("/")
        at, _slash, field = rest.partition("/")
        if group == "lines" and at.isdecimal():
            refusal.field = _place(rows[int(at)].number, _COLUMN_OF.get(field, field))
        elif refusal.field == "document_no":
            refusal.field = _place(rows[0].number, "document_no")
        raise


_COLUMN_OF = {"item_id": "item", "purchase_line_id": "item"}


def _rows(content: str) -> Iterator[_Row]:
    if len(content) > MOST_CHARACTERS:
        raise RuleBroken(_("The file is too large to be a delivery."), "content")
    if "\0" in content:
        raise RuleBroken(_("The file is not text."), "content")
    lines = content.removeprefix("\N{BYTE ORDER MARK}")
    reader = csv.reader(io.StringIO(lines, newline=""), delimiter=_delimiter(lines), strict=True)
    try:
        head = [cell.strip().lower() for cell in next(reader, [])]
        _check_head(head)
        for cells in reader:
            number = reader.line_num
            if not any(cell.strip() for cell in cells):
                continue
            if number > MOST_LINES:
                raise RuleBroken(_("The file has too many lines for a delivery."), _place(number, ""))
            if len(cells) > len(head):
                sentence = _("This line has more cells than the head has columns.")
                raise RuleBroken(sentence, _place(number, ""))
            yield _Row(
                number=number, cells={name: cell.strip() for name, cell in zip(head, cells, strict=False)}
            )
    except csv.Error as trouble:
        raise RuleBroken(_("This line cannot be read as CSV."), _place(reader.line_num, "")) from trouble


def _delimiter(content: str) -> str:
    head = content.split("\n", 1)[0]
    return max((",", ";", "\t"), key=head.count)


def _check_head(head: list[str]) -> None:
    for name in head:
        if name not in KNOWN:
            sentence = _("The column {name} is not known; there are {known}.")
            raise RuleBroken(sentence.format(name=name[:40], known=", ".join(KNOWN)), _place(1, name[:40]))
    if len(set(head)) < len(head):
        raise RuleBroken(_("A column stands in the head twice."), _place(1, ""))
    for name in NEEDED:
        if name not in head:
            raise RuleBroken(_("The column {name} is missing.").format(name=name), _place(1, name))


def _check_repeated_lots(rows: list[_Row], command: ReceiveFile) -> None:
    """The same lot of the same item twice in one delivery is a line pasted twice."""
    seen: dict[tuple[str, str, str], int] = {}
    for row in rows:
        lot = row.cells.get("lot", "")
        key = (
            row.cells.get("document_no", "") or command.document_no,
            row.cells["item"].lower(),
            lot.lower(),
        )
        if lot and key in seen:
            sentence = _("The lot {lot} of this item stands on line {line} already.")
            raise RuleBroken(sentence.format(lot=lot[:60], line=seen[key]), _place(row.number, "lot"))
        seen[key] = row.number


def _receive(
    writing: Writing, command: ReceiveFile, document_no: str, rows: list[_Row], order: OrderView | None
) -> DeliveryReceived:
    lines = tuple(_line(writing, row, order) for row in rows)
    with _at(rows):
        return receive_delivery(
            writing,
            ReceiveDelivery(
                actor=command.actor,
                style=command.style,
                supplier_id=command.supplier_id,
                order_id=command.order_id,
                document_no=document_no,
                on=command.on,
                freight=command.freight or "0",
                freight_by=command.freight_by,
                lines=lines,
            ),
        )


def _line(writing: Writing, row: _Row, order: OrderView | None) -> DeliveryLineTyped:
    cells = row.cells
    try:
        goods = item_by_name(writing, cells.get("item", ""), "item")
    except RuleBroken as refusal:
        refusal.field = _place(row.number, "item")
        raise
    met = None
    if order is not None:
        met = next((line.id for line in order.lines if line.item_id == goods.id), None)
    return DeliveryLineTyped(
        item_id=goods.id,
        purchase_line_id=met,
        packages=cells.get("packages", ""),
        quantity=cells.get("quantity", ""),
        damaged=cells.get("damaged", ""),
        cost=cells.get("cost", ""),
        core=cells.get("core", ""),
        lot=cells.get("lot", ""),
        best_before=_day(cells.get("best_before", ""), row.number),
        container=cells.get("container", ""),
        note=cells.get("note", ""),
    )


def _day(typed: str, line: int) -> date | None:
    if not typed:
        return None
    try:
        day = date.fromisoformat(typed) if len(typed) == 10 else None
    except ValueError:
        day = None
    if day is None or not 2000 <= day.year <= 2100:
        raise RuleBroken(_("Write the day as 2027-03-31."), _place(line, "best_before"))
    return day


class ReceivingFiles:
    """The room where deliveries come in from files."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def preview(self, command: ReceiveFile) -> FilePreview:
        """Say what a file would do and everything that is wrong in it; nothing is kept."""
        return preview_file(self._office, command)

    def receive(self, command: ReceiveFile) -> FileReceived:
        """Keep all of a file, or nothing of it."""
        return self._office.carry_out(command, lambda writing: receive_file(writing, command), FileReceived)
