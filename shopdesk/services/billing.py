"""Billing: the invoice with the next number of a gapless series, and what was paid on it.

An issued invoice is a frozen snapshot; the database itself refuses to change it. Its bytes are
made from the snapshot and kept with their hash.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from gettext import gettext as _

from sqlalchemy import select

from shopdesk.domain import text
from shopdesk.domain.consent import Tolerance, check_charge
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.stages import Stage
from shopdesk.domain.words import N_
from shopdesk.persistence import canonical
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.numbers import next_number
from shopdesk.persistence.tables.billing import invoice, invoice_line, payment, payment_part
from shopdesk.persistence.tables.stock import stock_move
from shopdesk.services import finding
from shopdesk.services.acting import Command, Office, Reading, Writing
from shopdesk.services.invoice_paper import invoice_paper
from shopdesk.services.kits import kit_cost, kit_parts, own_cost
from shopdesk.services.lines import LineRow, PricedWork, priced_work
from shopdesk.services.plain import to_plain
from shopdesk.services.work import authorised_minor, move_stage, the_work_order


class Tender(StrEnum):
    """What was paid with."""

    CASH = N_("cash")
    CARD = N_("card")
    CHECK = N_("check")
    TRANSFER = N_("bank transfer")


@dataclass(frozen=True, kw_only=True, slots=True)
class IssueInvoice(Command):
    """Bills a finished work order."""

    work_order_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class TakePayment(Command):
    """Money received on an invoice. An empty amount is all that is open."""

    invoice_id: int
    tender: Tender
    amount: str = ""
    on: date | None = None
    note: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class InvoiceKept:
    """An issued invoice; money in minor units."""

    invoice_id: int
    number: int
    net_minor: int
    tax_minor: int
    total_minor: int
    currency: str


@dataclass(frozen=True, kw_only=True, slots=True)
class PaymentKept:
    """A payment and what is still open on its invoice, in minor units."""

    payment_id: int
    amount_minor: int
    open_minor: int


#: Nothing may be charged above the agreed sum until a place with a tolerance is chosen.
NO_TOLERANCE = Tolerance()


def issue_invoice(writing: Writing, command: IssueInvoice) -> InvoiceKept:
    """Issue the invoice of a finished work order with the next number."""
    row = the_work_order(writing, command.work_order_id)
    if Stage(row.stage) is not Stage.FINISHED:
        sentence = _("Work order {number} is {stage}; an invoice is issued when the work is finished.")
        raise RuleBroken(sentence.format(number=row.number, stage=_(row.stage)), "stage")
    work = priced_work(writing, row.id)
    _check_agreed(writing, row.id, work)
    number = next_number(writing.connection, "invoice")
    paper = invoice_paper(writing, row, work, number)
    snapshot = canonical.canonical_json(to_plain(paper))
    invoice_id = writing.add_chained(
        invoice,
        kind="invoice",
        series="invoice",
        number=number,
        work_order_id=row.id,
        customer_id=row.customer_id,
        issued_on=writing.today,
        net_minor=work.totals.net_minor,
        tax_minor=work.totals.tax_minor,
        total_minor=work.totals.total_minor,
        currency=writing.shop.currency.code,
        snapshot=snapshot,
        sha=canonical.sha256_text(snapshot),
    )
    writing.add_all(invoice_line, [_line(writing, invoice_id, row.id, line, work) for line in work.lines])
    move_stage(writing, row.id, Stage.INVOICED)
    finding.index_invoice(writing, invoice_id)
    return InvoiceKept(
        invoice_id=invoice_id,
        number=number,
        net_minor=work.totals.net_minor,
        tax_minor=work.totals.tax_minor,
        total_minor=work.totals.total_minor,
        currency=writing.shop.currency.code,
    )


def _check_agreed(reading: Reading, work_order_id: int, work: PricedWork) -> None:
    if not work.lines:
        raise RuleBroken(_("There is nothing to bill: the work order has no lines."), "lines")
    agreed = authorised_minor(reading, work_order_id)
    if agreed is None:
        sentence = _("The customer's consent is not recorded; record it before the invoice is issued.")
        raise RuleBroken(sentence, "consent")
    check_charge(work.totals.net_minor, agreed, NO_TOLERANCE, currency=reading.shop.currency, field="consent")


def _line(
    reading: Reading, invoice_id: int, work_order_id: int, line: LineRow, work: PricedWork
) -> dict[str, object]:
    return {
        "invoice_id": invoice_id,
        "position": line.position,
        "kind": line.kind.value,
        "text": line.text,
        "quantity_milli": line.quantity_milli,
        "quantity_unit": line.quantity_unit,
        "unit_price_minor": line.unit_price_minor,
        "net_minor": line.net_minor,
        "tax_minor": line.tax_minor,
        "rate_text": work.rate_names(line.position),
        "cost_minor": _cost_of(reading, work_order_id, line, work),
    }


def _cost_of(reading: Reading, work_order_id: int, line: LineRow, work: PricedWork) -> int | None:
    """Give what the line's goods cost; the first line of an item carries all that was drawn of it."""
    first = next((each for each in work.lines if each.item_id == line.item_id), line)
    if line.item_id is None or first.position != line.position:
        return None
    billed = sum(each.quantity_milli for each in work.lines if each.item_id == line.item_id)
    if kit_parts(reading, line.item_id):
        return kit_cost(reading, work_order_id, line.item_id, billed)
    spent = reading.connection.execute(
        select(int_sum(stock_move.c.cost_minor)).where(
            stock_move.c.work_order_id == work_order_id, stock_move.c.item_id == line.item_id
        )
    ).scalar_one()
    return own_cost(reading, work_order_id, line.item_id, billed, -int(spent))


def open_minor(reading: Reading, invoice_id: int) -> int:
    """Give what is still to be paid on an invoice, in minor units."""
    total = reading.connection.execute(
        select(invoice.c.total_minor).where(invoice.c.id == invoice_id)
    ).scalar_one()
    paid = reading.connection.execute(
        select(int_sum(payment_part.c.amount_minor)).where(payment_part.c.invoice_id == invoice_id)
    ).scalar_one()
    return int(total) - int(paid)


def take_payment(writing: Writing, command: TakePayment) -> PaymentKept:
    """Take money on an invoice, at most what is open."""
    billed = writing.one(invoice, command.invoice_id, _("That invoice is not there."))
    still_open = open_minor(writing, billed.id)
    amount = writing.typed_here().money(command.amount, "amount") if command.amount.strip() else still_open
    if amount <= 0:
        raise RuleBroken(_("Nothing is open on this invoice."), "amount")
    if amount > still_open:
        raise RuleBroken(_("That is more than is open on this invoice."), "amount")
    payment_id = writing.add_chained(
        payment,
        kind="payment",
        tender=command.tender.value,
        amount_minor=amount,
        currency=billed.currency,
        customer_id=billed.customer_id,
        on_date=command.on or writing.today,
        note=text.clean(command.note, field="note", most=200),
    )
    writing.add(payment_part, payment_id=payment_id, invoice_id=billed.id, amount_minor=amount)
    return PaymentKept(payment_id=payment_id, amount_minor=amount, open_minor=still_open - amount)


class Billing:
    """The room where work is billed and money is taken."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def issue(self, command: IssueInvoice) -> InvoiceKept:
        """Issue an invoice."""
        return self._office.carry_out(command, lambda writing: issue_invoice(writing, command), InvoiceKept)

    def take_payment(self, command: TakePayment) -> PaymentKept:
        """Take money on an invoice."""
        return self._office.carry_out(command, lambda writing: take_payment(writing, command), PaymentKept)
