"""Core charges: a deposit on the old part (or the drum), paid with the new one and back on its return."""

from dataclasses import dataclass
from datetime import date
from gettext import gettext as _

from sqlalchemy import select

from shopdesk.domain import text, units
from shopdesk.domain.errors import RuleBroken
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.tables.buying import core_move, supplier
from shopdesk.persistence.tables.stock import item
from shopdesk.services.acting import Command, Office, Reading, Writing

CHARGED, RETURNED = "charged", "returned"


@dataclass(frozen=True, kw_only=True, slots=True)
class ReturnCores(Command):
    """Old parts (or empty drums) that went back; an empty ``amount`` is the deposit's share."""

    supplier_id: int
    item_id: int
    pieces: str
    amount: str = ""
    document_no: str = ""
    on: date | None = None
    reason: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class CoresKept:
    """What is still owed after a return: pieces in thousandths, money in minor units."""

    move_id: int
    pieces_milli: int
    amount_minor: int


@dataclass(frozen=True, kw_only=True, slots=True)
class CoreRow:
    """What a supplier still owes for cores of one item: bring them back.

    ``since`` is the day of the oldest deposit not come back, the oldest going back first; None if only
    money is open.
    """

    supplier_id: int
    supplier: str
    item_id: int
    item: str
    pieces_milli: int
    amount_minor: int
    since: date | None


def charge_cores(
    writing: Writing,
    *,
    supplier_id: int,
    item_id: int,
    delivery_line_id: int,
    quantity: int,
    amount_minor: int,
    document_no: str,
    on: date,
) -> None:
    """Write down a deposit that was paid with a delivery."""
    writing.add_chained(
        core_move,
        supplier_id=supplier_id,
        item_id=item_id,
        delivery_line_id=delivery_line_id,
        kind=CHARGED,
        quantity=quantity,
        amount_minor=amount_minor,
        on_date=on,
        document_no=document_no,
        reason="",
    )


def return_cores(writing: Writing, command: ReturnCores) -> CoresKept:
    """Write down cores that went back and the deposit that came for them."""
    pieces = units.read_count(command.pieces, field="pieces", style=command.style)
    if pieces <= 0:
        raise RuleBroken(_("Write how many went back."), "pieces")
    owed = next(
        (
            row
            for row in core_rows(writing)
            if (row.supplier_id, row.item_id) == (command.supplier_id, command.item_id)
        ),
        None,
    )
    if owed is None or pieces > owed.pieces_milli:
        raise RuleBroken(_("The supplier holds no deposit for that many."), "pieces")
    typed = command.amount.strip()
    usual = (owed.amount_minor * pieces * 2 + owed.pieces_milli) // (2 * owed.pieces_milli)
    amount = writing.typed_here().money(typed, "amount") if typed else usual
    if amount > owed.amount_minor:
        raise RuleBroken(_("That is more than the deposit."), "amount")
    move_id = writing.add_chained(
        core_move,
        supplier_id=command.supplier_id,
        item_id=command.item_id,
        kind=RETURNED,
        quantity=-pieces,
        amount_minor=-amount,
        on_date=command.on or writing.today,
        document_no=text.clean(command.document_no, field="document_no", most=80),
        reason=text.clean(command.reason, field="reason", most=500),
    )
    return CoresKept(
        move_id=move_id, pieces_milli=owed.pieces_milli - pieces, amount_minor=owed.amount_minor - amount
    )


def core_rows(reading: Reading) -> tuple[CoreRow, ...]:
    """Give what is owed for cores, by supplier and item; settled ones are left out."""
    sums = (
        select(
            core_move.c.supplier_id,
            core_move.c.item_id,
            int_sum(core_move.c.quantity).label("pieces_milli"),
            int_sum(core_move.c.amount_minor).label("amount_minor"),
        )
        .group_by(core_move.c.supplier_id, core_move.c.item_id)
        .subquery()
    )
    rows = reading.connection.execute(
        select(sums, supplier.c.name.label("supplier"), item.c.name.label("item"))
        .join(supplier, supplier.c.id == sums.c.supplier_id)
        .join(item, item.c.id == sums.c.item_id)
        .order_by(supplier.c.sort_key, item.c.sort_key)
    )
    return tuple(
        CoreRow(
            supplier_id=row.supplier_id,
            supplier=row.supplier,
            item_id=row.item_id,
            item=row.item,
            pieces_milli=int(row.pieces_milli),
            amount_minor=int(row.amount_minor),
            since=_since(reading, row.supplier_id, row.item_id, int(row.pieces_milli)),
        )
        for row in rows
        if row.pieces_milli or row.amount_minor
    )


def _since(reading: Reading, supplier_id: int, item_id: int, open_milli: int) -> date | None:
    """Give the day of the oldest deposit among the newest that make up what is open."""
    charges = reading.connection.execute(
        select(core_move.c.on_date, core_move.c.quantity)
        .where(
            core_move.c.supplier_id == supplier_id,
            core_move.c.item_id == item_id,
            core_move.c.kind == CHARGED,
        )
        .order_by(core_move.c.on_date.desc(), core_move.c.id.desc())
    )
    since, left = None, open_milli
    for charge in charges:
        if left <= 0:
            break
        since, left = charge.on_date, left - charge.quantity
    return since


class Cores:
    """The room where deposits for old parts are kept in mind."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def give_back(self, command: ReturnCores) -> CoresKept:
        """Write down cores that went back."""
        return self._office.carry_out(command, lambda writing: return_cores(writing, command), CoresKept)

    def owed(self) -> tuple[CoreRow, ...]:
        """Give what is owed for cores."""
        with self._office.reading() as reading:
            return core_rows(reading)
