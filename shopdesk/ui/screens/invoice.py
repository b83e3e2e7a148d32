"""One invoice: its paper, what was paid on it, and what is still open."""

from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.invoices import InvoiceView, PaymentRow
from shopdesk.services.papers import KeptPaperRow, PaperBytes
from shopdesk.ui.actions import Verb
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.payment_card import PaymentCard
from shopdesk.ui.presenters.money import invoice_facts, open_came_from, payment_words, stands
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.facts import Facts
from shopdesk.ui.widgets.figure import CameFrom, Figure
from shopdesk.ui.widgets.pdf_view import PdfView
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.state_mark import State, StateBadge
from shopdesk.ui.widgets.table import RowTable

_MOST_PAYMENTS = 6
_LEAST_PAPER = 420


class InvoiceScreen(Screen):
    """The subject is an invoice's id."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Invoice"))
        self._work = work
        self._view: InvoiceView | None = None
        self._shown_paper = ""
        self.paper = PdfView(desk.look, desk.background, desk.ask, desk.printing)
        self.payment = PaymentCard(desk, work)
        self.payments = self._payments_table()
        self.still_open = Figure(desk.look, _("Still open"), big=True)
        self._state = StateBadge(desk.look)
        self._facts = Facts(desk.look)
        self._kept = PlainLabel("", tone="ink2", wrap=True)
        self._lay_out()
        self.paper.said.connect(desk.notices.tell)
        self.payment.toggled.connect(self._toggled)
        self.commands = {Verb.PRINT: self.paper.print_paper}
        self.listen(Topic.MONEY, Topic.PAPERS, Topic.CUSTOMERS, Topic.SHOP)

    def open_at(self, subject: str) -> None:
        """Show an invoice."""
        if subject != self.subject:
            self._view = None
            self.payment.close_form()
            self.payments.set_rows(())
            self.set_actions(None)
        super().open_at(subject)

    def refresh(self) -> None:
        """Read the invoice again; its paper never changes."""
        rooms, invoice_id = self._work.rooms, int(self.subject)
        self.desk.background.read(self, "invoice", lambda: _read(rooms, invoice_id), self._show, self._gone)
        if self._shown_paper != self.subject:
            self._shown_paper = self.subject
            self.desk.background.paper(
                self, "paper", lambda: rooms.papers.invoice(invoice_id), self._show_paper, self._no_paper
            )

    def focus_first(self) -> None:
        """What is open comes first."""
        if self.payment.is_open:
            self.payment.form.focus_first()
        elif self._columns.is_one:
            self.paper.focus_pages()
        else:
            self.payments.setFocus()

    def _lay_out(self) -> None:
        look = self.desk.look
        paper = Card(look)
        self.paper.setMinimumHeight(look.px(_LEAST_PAPER))
        paper.add(self.paper, 1)
        money = Card(look, _("Money"))
        money.add_to_head(self._state)
        money.add(self.still_open)
        money.add(self.payments)
        facts = Card(look, _("About"))
        facts.add(self._facts)
        facts.add(self._kept)
        columns = self._columns = Columns(look, main=6, side=5)
        columns.add_main(paper, 1)
        columns.add_side(self.payment)
        columns.add_side(money)
        columns.add_side(facts)
        scroll = Scroll(look)
        self.column.addWidget(scroll)
        scroll.add(columns, 1)

    def _show(self, read: "tuple[InvoiceView, tuple[KeptPaperRow, ...]]") -> None:
        view, kept = read
        if str(view.row.id) != self.subject:
            return
        figures, self._view = self._work.figures, view
        title = _("Invoice {number}").format(number=view.row.number)
        self.set_heading(title, f"{view.row.customer} · {view.row.plate}".strip(" ·"))
        self.still_open.set_value(
            figures.money(view.row.open_minor),
            came_from=CameFrom(
                rows=open_came_from(view, figures), formula=_("The total less what was paid.")
            ),
        )
        mark, word = stands(view.row)
        self._state.set_state(State(mark), word)
        self._facts.show_facts(invoice_facts(view, figures))
        self.payments.set_rows(view.payments)
        self.payment.follow(view.row)
        self._kept.setText(_kept_words(kept, self._work))
        self._kept.setVisible(bool(kept))
        self._show_actions()

    def _gone(self, refusal: RuleBroken) -> None:
        self.desk.ways.go("money")
        self.desk.notices.refuse(refusal.sentence)

    def _show_paper(self, paper: PaperBytes) -> None:
        self.paper.show_pdf(paper.content, paper.name.removesuffix(".pdf"))

    def _no_paper(self, refusal: RuleBroken) -> None:
        self._shown_paper = ""
        self.paper.clear(refusal.sentence)

    def _show_actions(self) -> None:
        if self._view is None:
            return
        order = PageAction(words=_("Work order"), do=self._open_work_order, icon="clipboard-list")
        printing = PageAction(words=_("Print"), do=self.paper.print_paper, icon="printer", verb=Verb.PRINT)
        if self.payment.is_open:
            self.set_actions(PageAction(words=_("Save payment"), do=self.payment.take, icon="check"), order)
        elif self._view.row.open_minor > 0:
            take = PageAction(words=_("Take payment"), do=self._take_payment, icon="receipt")
            self.set_actions(take, order)
        else:
            self.set_actions(printing, order)

    def _take_payment(self) -> None:
        if self._view is not None:
            self.payment.begin(self._view.row)

    def _toggled(self) -> None:
        self._show_actions()
        if not self.payment.is_open and self.isVisible():
            self.payments.setFocus()

    def _open_work_order(self) -> None:
        if self._view is not None:
            self.desk.ways.go("work order", str(self._view.row.work_order_id))

    def _payments_table(self) -> RowTable[PaymentRow]:
        table: RowTable[PaymentRow] = RowTable(
            self.desk.look,
            _("Payments"),
            [
                Column(title=_("Paid on"), text=lambda row: self._work.figures.day(row.on_date), chars=11),
                Column(title=_("By"), text=payment_words, stretch=True, chars=12),
                Column(title=_("Taken by"), text=lambda row: row.taken_by, chars=12, optional=True),
                Column(
                    title=_("Amount"),
                    text=lambda row: self._work.figures.money(row.amount_minor, sign=False),
                    chars=8,
                    number=True,
                    strong=True,
                ),
            ],
            key=lambda row: row.id,
            empty=_("Nothing has been paid yet."),
            quiet=True,
        )
        table.fit_rows(_MOST_PAYMENTS)
        return table


def _read(rooms: Rooms, invoice_id: int) -> tuple[InvoiceView, tuple[KeptPaperRow, ...]]:
    return rooms.invoices.invoice(invoice_id), tuple(rooms.papers.kept("invoice", invoice_id))


def _kept_words(kept: tuple[KeptPaperRow, ...], work: AtWork) -> str:
    if not kept:
        return ""
    words = _("The paper as issued is kept since {day}; a reprint is the same to the last dot.")
    return words.format(day=work.figures.stamp(kept[0].at_utc))
