"""Texts of invoices and of what was paid on them."""

from collections.abc import Callable, Mapping
from datetime import date
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.text import match_key
from shopdesk.domain.units import NumberStyle
from shopdesk.services.acting import Actor
from shopdesk.services.billing import PaymentKept, TakePayment, Tender
from shopdesk.services.figures import Figures
from shopdesk.services.invoices import InvoiceRow, InvoiceView, PaymentRow
from shopdesk.services.typed import Typed

_TENDERS = {
    Tender.CASH: lambda: _("Cash"),
    Tender.CARD: lambda: _("Card"),
    Tender.CHECK: lambda: _("Check"),
    Tender.TRANSFER: lambda: _("Bank transfer"),
}


def tender_words(tender: str) -> str:
    """Name what was paid with."""
    known = next((each for each in _TENDERS if each.value == tender), None)
    return _TENDERS[known]() if known is not None else tender


def tender_choices() -> list[tuple[str, str]]:
    """Give what can be paid with as key and words."""
    return [(tender.value, tender_words(tender)) for tender in Tender]


def list_filter(typed: str) -> str:
    """Give the key of a name, or the number, that a filter text asks for."""
    return match_key(typed.strip().removeprefix("#")[:200])


def stands(row: InvoiceRow) -> tuple[str, str]:
    """Say how an invoice stands: the key of its mark, and a word."""
    if row.open_minor == 0:
        return "fine", _("Paid")
    if row.open_minor != row.total_minor:
        return "soon", _("Part paid")
    return "plain", _("Open")


def open_words(row: InvoiceRow, figures: Figures) -> str:
    """Write what is still open, or that it is paid."""
    return figures.money(row.open_minor, sign=False) if row.open_minor else _("paid")


def amount_reader(figures: Figures, still_open: Callable[[], int]) -> Callable[[str], str]:
    """Give what reads an amount while it is typed and says what it leaves open."""

    def read(text: str) -> str:
        minor = Typed(shop=figures.shop, style=NumberStyle.PERSON).money(text, "amount")
        left = still_open() - minor
        if left < 0:
            sentence = _("Only {money} is open on this invoice.")
            raise RuleBroken(sentence.format(money=figures.money(still_open())), "amount")
        if left == 0:
            return _("{money}: paid in full").format(money=figures.money(minor))
        return _("{money}: leaves {left} open").format(money=figures.money(minor), left=figures.money(left))

    return read


def payment_command(
    texts: Mapping[str, str], row: InvoiceRow, actor: Actor, uid: str, on: date | None
) -> TakePayment:
    """Give the command that takes money on an invoice."""
    return TakePayment(
        actor=actor,
        uid=uid,
        invoice_id=row.id,
        tender=Tender(texts["tender"]),
        amount=texts["amount"],
        on=on,
        note=texts["note"],
    )


def taken_sentence(row: InvoiceRow, kept: PaymentKept, figures: Figures) -> str:
    """Say what was taken and what is left."""
    amount, number = figures.money(kept.amount_minor), row.number
    if kept.open_minor:
        sentence = _("{amount} taken on invoice {number}; {left} is still open.")
        return sentence.format(amount=amount, number=number, left=figures.money(kept.open_minor))
    return _("{amount} taken; invoice {number} is paid.").format(amount=amount, number=number)


def payment_words(row: PaymentRow) -> str:
    """Say what was paid with, and the note beside it."""
    words = tender_words(row.tender)
    return f"{words}, {row.note}" if row.note else words


def invoice_facts(view: InvoiceView, figures: Figures) -> list[tuple[str, str]]:
    """Give what is known of an invoice, as names and values."""
    row = view.row
    return [
        (_("Customer"), row.customer),
        (_("Plate"), row.plate),
        (_("Issued"), figures.day(row.issued_on)),
        (_("Work order"), str(row.work_order_number)),
    ]


def open_came_from(view: InvoiceView, figures: Figures) -> tuple[tuple[str, str], ...]:
    """Give what the open sum was worked out from."""
    row = view.row
    paid = [
        (
            _("{tender}, {day}").format(tender=tender_words(each.tender), day=figures.day(each.on_date)),
            "−" + figures.money(each.amount_minor),
        )
        for each in view.payments
    ]
    return (
        (_("Before tax"), figures.money(row.net_minor)),
        (_("Tax"), figures.money(row.tax_minor)),
        (_("Total"), figures.money(row.total_minor)),
        *paid,
    )
