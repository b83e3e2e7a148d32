"""The invoice and its payments on a work order's page, in words; and which papers there are."""

from collections.abc import Mapping
from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.domain.stages import Stage
from shopdesk.services.acting import Actor
from shopdesk.services.billing import TakePayment, Tender
from shopdesk.services.board import RecordRow, WorkOrderView
from shopdesk.services.figures import Figures
from shopdesk.services.invoices import InvoiceRow, PaymentRow


@dataclass(frozen=True, kw_only=True, slots=True)
class PaperLine:
    """A paper that can be opened: its words, what it is about, and the page's subject."""

    words: str
    about: str
    subject: str


def papers_of(view: WorkOrderView) -> tuple[PaperLine, ...]:
    """Give the papers of a work order that can be made now."""
    lines = []
    if view.estimates:
        revision = max(row.revision for row in view.estimates)
        about = _("revision {n}").format(n=revision)
        lines.append(PaperLine(words=_("Estimate"), about=about, subject=f"estimate:{view.id}"))
    for record in view.records:
        lines += _papers_of_record(record)
    if view.invoice is not None:
        about = str(view.invoice.number)
        lines.append(PaperLine(words=_("Invoice"), about=about, subject=f"invoice:{view.invoice.id}"))
    return tuple(lines)


def _papers_of_record(record: RecordRow) -> list[PaperLine]:
    number, unit = record.record_id, record.unit_label
    lines = [PaperLine(words=_("Job sheet"), about=unit, subject=f"job sheet:{number}")]
    if record.finished:
        without = f"service record without names:{number}"
        lines += [
            PaperLine(words=_("Service record"), about=unit, subject=f"service record:{number}"),
            PaperLine(words=_("Service record without names"), about=unit, subject=without),
            PaperLine(words=_("Sticker"), about=unit, subject=f"sticker:{number}"),
        ]
    return lines


def invoice_facts(row: InvoiceRow, figures: Figures) -> tuple[tuple[str, str], ...]:
    """Give an invoice's facts."""
    return (
        (_("Invoice"), str(row.number)),
        (_("Issued"), figures.day(row.issued_on)),
        (_("Total"), figures.money(row.total_minor)),
        (_("Still open"), figures.money(row.open_minor)),
    )


def payment_words(row: PaymentRow, figures: Figures) -> str:
    """Give a payment in one line."""
    words = _("{amount} by {tender} on {day}, taken by {person}").format(
        amount=figures.money(row.amount_minor),
        tender=_(row.tender),
        day=figures.day(row.on_date),
        person=row.taken_by,
    )
    return f"{words}, {row.note}" if row.note else words


def bill_sentence(view: WorkOrderView) -> str:
    """Say what stands before an invoice can be issued, or nothing once there is one."""
    if view.invoice is not None:
        return ""
    if view.stage is not Stage.FINISHED:
        return _("An invoice is issued when the work is finished.")
    return _("The work is finished and not billed yet.")


def tender_choices() -> list[tuple[str, str]]:
    """Give what may be paid with."""
    return [(tender.value, _(tender.value).capitalize()) for tender in Tender]


def payment_command(actor: Actor, uid: str, invoice_id: int, texts: Mapping[str, str]) -> TakePayment:
    """Give the command that takes a payment."""
    return TakePayment(
        actor=actor,
        uid=uid,
        invoice_id=invoice_id,
        tender=Tender(texts["tender"]),
        amount=texts["amount"],
        note=texts["note"],
    )
