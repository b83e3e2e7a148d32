"""Money taken on an invoice: what it was paid with, and how much of what is open."""

from datetime import date
from gettext import gettext as _

from PySide6.QtCore import Signal

from shopdesk.services.billing import PaymentKept
from shopdesk.services.invoices import InvoiceRow
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.form_card import FormCard
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.money import amount_reader, payment_command, taken_sentence, tender_choices
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.fields import ChoiceField, DateField, NumberField, TextField
from shopdesk.ui.widgets.form import Form


class PaymentCard(FormCard):
    """Shows itself when a payment begins and goes away when it is taken; ``toggled`` tells of both."""

    toggled = Signal()

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk.look, _("Take payment"), _("Save payment"))
        self._desk = desk
        self._work = work
        self._row: InvoiceRow | None = None
        self._uids = Uids()
        self._sending = Sending(desk, self)
        look = desk.look
        self.form = Form(look, columns=2, least_width=150)
        self.form.add(ChoiceField(look, "tender", _("Paid by"), tender_choices()))
        self._amount = self.form.add(
            NumberField(look, "amount", _("Amount"), amount_reader(work.figures, self._open))
        )
        self.form.add(TextField(look, "note", _("Note"), help_line=_("Such as the check's number")))
        self._on = self.form.add(
            DateField(look, "on", _("Paid on"), self._today, help_line=_("Empty: today"))
        )
        self.add(self.form)
        self.end()
        self.form.completed.connect(self.take)
        self.wanted.connect(self.take)
        self.put_aside.connect(self.close_form)
        self.hide()

    @property
    def is_open(self) -> bool:
        """Whether a payment is being typed."""
        return not self.isHidden()

    def is_about(self, row: InvoiceRow) -> bool:
        """Whether the payment being typed is on this invoice."""
        return self._row is not None and self._row.id == row.id

    def begin(self, row: InvoiceRow) -> None:
        """Begin a payment on an invoice."""
        if not self.is_about(row):
            self.form.fill({"amount": "", "note": "", "on": ""})
            self._uids.forget()
        self._show_row(row)
        self.show()
        self.toggled.emit()
        self.form.focus_first()

    def follow(self, row: InvoiceRow) -> None:
        """Show what is open now on the invoice one is typing about."""
        if self.is_about(row):
            self._show_row(row)

    def close_form(self) -> None:
        """Put the form away."""
        self._row = None
        if self.is_open:
            self.hide()
            self.toggled.emit()

    def take(self) -> None:
        """Take the money, or say beside a field what is wrong."""
        row = self._row
        self.form.clear_errors()
        if row is None or not self.form.check():
            return
        texts = self.form.texts()
        uid = self._uids.of("payment", row.id, *sorted(texts.items()))
        command = payment_command(texts, row, self._work.actor, uid, self._on.day())
        room = self._work.rooms.billing
        self._sending.send(
            lambda: room.take_payment(command), lambda kept: self._taken(row, kept), self.form.show_refusal
        )

    def _show_row(self, row: InvoiceRow) -> None:
        self._row = row
        money = self._work.figures.money(row.open_minor)
        self.set_title(_("Take payment on invoice {number}").format(number=row.number))
        self._amount.set_help(_("Empty: all that is open, {money}").format(money=money))

    def _taken(self, row: InvoiceRow, kept: PaymentKept) -> None:
        self._desk.notices.tell(taken_sentence(row, kept, self._work.figures))
        self._uids.forget()
        self.form.fill({"amount": "", "note": "", "on": ""})
        self.close_form()

    def _open(self) -> int:
        return self._row.open_minor if self._row is not None else 0

    def _today(self) -> date:
        return shop_day(self._work.figures)
