"""Papers to open, the invoice and the money taken on it."""

from gettext import gettext as _

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.units import NumberStyle
from shopdesk.services.billing import InvoiceKept, IssueInvoice, PaymentKept
from shopdesk.services.board import WorkOrderView
from shopdesk.services.invoices import InvoiceView
from shopdesk.services.typed import Typed
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper
from shopdesk.ui.presenters.billing import (
    PaperLine,
    bill_sentence,
    invoice_facts,
    papers_of,
    payment_command,
    payment_words,
    tender_choices,
)
from shopdesk.ui.presenters.consents import agreed_state
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.tokens import GAP, GAP_TIGHT
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns
from shopdesk.ui.widgets.facts import Facts
from shopdesk.ui.widgets.fields import ChoiceField, NumberField, TextField, reading
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.state_mark import State, StateBadge
from shopdesk.ui.widgets.table import RowTable

_MOST_PAPERS = 10


class MoneyPane(QWidget):
    """The last part of a work order: what is printed, billed and paid."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._view: WorkOrderView | None = None
        self._draft: DraftKeeper | None = None
        self._uids = Uids()
        self._sending = Sending(desk, self)
        look = desk.look
        self.papers = self._make_papers()
        self.words = PlainLabel("", tone="ink2", wrap=True)
        self.agreed = StateBadge(look, State.UNKNOWN, _("Not agreed yet"))
        self.facts = Facts(look)
        self.payments = QVBoxLayout()
        self.payments.setSpacing(look.px(GAP_TIGHT))
        self._paid: list[PlainLabel] = []
        self.form = self._make_form()
        self.take = Button(look, _("Take payment"), icon="check")
        self.take.clicked.connect(self.take_payment)
        self._lay_out()

    def show_order(self, view: WorkOrderView) -> None:
        """Show a work order's papers and its invoice."""
        other = self._view is None or self._view.id != view.id
        self._view = view
        self.papers.set_rows(papers_of(view))
        sentence = bill_sentence(view)
        self.words.setText(sentence)
        self.words.setVisible(bool(sentence))
        mark, words = agreed_state(view, self._work.figures)
        self.agreed.set_state(State(mark), words)
        self.agreed.setVisible(view.invoice is None)
        self.facts.setVisible(view.invoice is not None)
        is_open = view.invoice is not None and view.invoice.open_minor > 0
        self.form.setVisible(is_open)
        self.take.setVisible(is_open)
        if other:
            self._begin(view)
        if view.invoice is None:
            self._show_payments([])
            return
        self.facts.show_facts(invoice_facts(view.invoice, self._work.figures))
        still = self._work.figures.money(view.invoice.open_minor)
        self.form.field("amount").set_help(_("Empty: all that is open, {amount}").format(amount=still))
        number, rooms = view.invoice.id, self._work.rooms
        self._desk.background.read(
            self, "payments", lambda: rooms.invoices.invoice(number), self._show_invoice
        )

    def issue(self) -> None:
        """Issue the invoice of the finished work."""
        if self._view is None:
            return
        command = IssueInvoice(actor=self._work.actor, work_order_id=self._view.id)
        self._sending.send(lambda: self._work.rooms.billing.issue(command), self._issued)

    def take_payment(self) -> None:
        """Take what the form says on the invoice."""
        view = self._view
        if view is None or view.invoice is None or not self.form.check():
            return
        texts = self.form.texts()
        uid = self._uids.of("payment", texts, view.invoice.id)
        command = payment_command(self._work.actor, uid, view.invoice.id, texts)
        self._sending.send(
            lambda: self._work.rooms.billing.take_payment(command), self._taken, self._not_taken
        )

    def focus_first(self) -> None:
        """Money first where some is open, else the papers."""
        if self.form.isVisibleTo(self):
            self.form.focus_first()
        else:
            self.papers.setFocus()

    def _issued(self, kept: InvoiceKept) -> None:
        total = self._work.figures.money(kept.total_minor)
        sentence = _("Invoice {number} over {total} is issued.").format(number=kept.number, total=total)
        self._desk.notices.tell(sentence)

    def _taken(self, kept: PaymentKept) -> None:
        self._uids.forget()
        if self._draft is not None:
            self._draft.forget()
        self._fill_form()
        figures = self._work.figures
        sentence = _("{amount} taken, {still} still open.").format(
            amount=figures.money(kept.amount_minor), still=figures.money(kept.open_minor)
        )
        self._desk.notices.tell(sentence)

    def _not_taken(self, refusal: RuleBroken) -> None:
        self.form.show_refusal(refusal)

    def _begin(self, view: WorkOrderView) -> None:
        if self._draft is not None:
            self._draft.flush_if_waiting()
            self._draft.deleteLater()
        self._fill_form()
        self._draft = self._desk.drafts.keep(self.form, "payment", str(view.id), self)

    def _fill_form(self) -> None:
        self.form.fill({"tender": "card", "amount": "", "note": ""})

    def _show_invoice(self, found: InvoiceView) -> None:
        self._show_payments([payment_words(row, self._work.figures) for row in found.payments])

    def _show_payments(self, words: list[str]) -> None:
        for label in self._paid:
            self.payments.removeWidget(label)
            label.hide()
            label.deleteLater()
        self._paid = [PlainLabel(text, wrap=True) for text in words]
        for label in self._paid:
            self.payments.addWidget(label)

    def _amount(self, text: str) -> str:
        typed = Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)
        return reading(self._work.figures.money(typed.money(text, "amount")))

    def _make_form(self) -> Form:
        look = self._desk.look
        form = Form(look, columns=2, least_width=140)
        form.add(ChoiceField(look, "tender", _("Paid with"), tender_choices()))
        form.add(NumberField(look, "amount", _("Amount"), self._amount))
        form.add(TextField(look, "note", _("Note, such as the check's number")), 0)
        form.completed.connect(self.take_payment)
        return form

    def _make_papers(self) -> RowTable[PaperLine]:
        table: RowTable[PaperLine] = RowTable(
            self._desk.look,
            _("Papers"),
            [
                Column(title=_("Paper"), text=lambda row: row.words, chars=29, strong=True),
                Column(title=_("About"), text=lambda row: row.about, chars=16, stretch=True),
            ],
            key=lambda row: row.subject,
            empty=_("No paper can be made yet."),
        )
        table.fit_rows(_MOST_PAPERS)
        table.opened.connect(lambda row: self._desk.ways.go("paper", row.subject))
        return table

    def _lay_out(self) -> None:
        look = self._desk.look
        papers = Card(look, _("Papers"), _("Enter opens one"))
        papers.add(self.papers)
        bill = Card(look, _("Invoice and payment"))
        bill.add(self.words)
        bill.add(self.agreed)
        bill.add(self.facts)
        bill.add(self.payments)
        bill.add(self.form)
        row = QHBoxLayout()
        row.setSpacing(look.px(GAP))
        row.addWidget(self.take)
        row.addStretch(1)
        bill.add(row)
        columns = Columns(look, main=6, side=5)
        columns.add_main(papers)
        columns.add_side(bill)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(columns)
