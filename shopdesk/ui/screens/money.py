"""Money: invoices with what is open, the paper of the chosen one beside, and payments."""

from gettext import gettext as _

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.invoices import InvoiceRow
from shopdesk.services.papers import PaperBytes
from shopdesk.ui.actions import Verb
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.payment_card import PaymentCard
from shopdesk.ui.presenters.money import list_filter, open_words, stands
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.theme.tokens import GAP
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.pdf_view import PdfView
from shopdesk.ui.widgets.rows_model import Column, RowsQuery
from shopdesk.ui.widgets.search_line import SearchLine
from shopdesk.ui.widgets.segments import Segments
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

OPEN, ALL = "open", "all"
_LEAST_LIST, _LEAST_PAPER = 200, 360


class MoneyScreen(Screen):
    """The subject is nothing, or "open" for what is to collect."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Money"))
        self._work = work
        self._shown_paper = 0
        self.line = SearchLine(desk.look, _("Narrow the list"), _("Customer or number"))
        self.choice = Segments(
            desk.look, _("Which invoices"), [(ALL, _("All invoices")), (OPEN, _("To collect"))]
        )
        self.table = self._make_table()
        self.payment = PaymentCard(desk, work)
        self.paper = PdfView(desk.look, desk.background, desk.ask, desk.printing)
        self._lay_out()
        self._connect()
        self.commands = {Verb.FILTER: self.line.setFocus, Verb.PRINT: self.paper.print_paper}
        self._show_actions()
        self.listen(Topic.MONEY, Topic.CUSTOMERS, Topic.SHOP)
        self.table.ask(choice=ALL)
        self.table.read_from(desk.background, self._rows)

    def open_at(self, subject: str) -> None:
        """Show the invoices; "open" shows what is to collect."""
        if subject == OPEN:
            self.choice.choose(OPEN)
            self.table.ask(choice=OPEN)
        super().open_at(subject)

    def refresh(self) -> None:
        """Read the list again."""
        self.table.refresh()

    def focus_first(self) -> None:
        """The list is what one comes for."""
        self.table.setFocus()

    def _lay_out(self) -> None:
        look = self.desk.look
        head = QHBoxLayout()
        head.setSpacing(look.px(GAP))
        head.addWidget(self.choice, 3, Qt.AlignmentFlag.AlignTop)
        head.addWidget(self.line, 2, Qt.AlignmentFlag.AlignTop)
        paper = Card(look)
        self.paper.setMinimumHeight(look.px(_LEAST_PAPER))
        paper.add(self.paper, 1)
        listed = Card(look)
        listed.add(head)
        listed.add(self.table, 1)
        columns = Columns(look, main=7, side=5, break_at=940)
        columns.add_main(listed, 1)
        columns.add_side(self.payment)
        columns.add_side(paper, 1)
        scroll = Scroll(look)
        self.column.addWidget(scroll)
        scroll.add(columns, 1)

    def _connect(self) -> None:
        self.line.textChanged.connect(lambda text: self.table.ask(text=text))
        self.line.down.connect(self.table.setFocus)
        self.choice.chosen.connect(lambda key: self.table.ask(choice=key))
        self.table.chosen.connect(self._chosen)
        self.table.opened.connect(lambda row: self.desk.ways.go("invoice", str(row.id)))
        self.table.shown.connect(self._read_again)
        self.payment.toggled.connect(self._toggled)
        self.paper.said.connect(self.desk.notices.tell)

    def _rows(self, query: RowsQuery[InvoiceRow]) -> tuple[InvoiceRow, ...]:
        return self._work.rooms.invoices.list(
            only_open=query.choice == OPEN,
            contains=list_filter(query.text),
            before_id=query.after.id if query.after else None,
            most=query.limit,
        )

    def _read_again(self) -> None:
        row = self.table.current()
        if row is None:
            self._shown_paper = 0
            self.paper.clear(_("No invoice is chosen."))
        else:
            self.payment.follow(row)
        self._show_actions()

    def _chosen(self, row: InvoiceRow) -> None:
        if self.payment.is_open and not self.payment.is_about(row):
            self.payment.close_form()
        self._show_actions()
        if row.id == self._shown_paper:
            return
        self._shown_paper = row.id
        papers = self._work.rooms.papers
        self.desk.background.paper(
            self, "invoice", lambda: papers.invoice(row.id), self._show_paper, self._no_paper
        )

    def _show_paper(self, paper: PaperBytes) -> None:
        self.paper.show_pdf(paper.content, paper.name.removesuffix(".pdf"))

    def _no_paper(self, refusal: RuleBroken) -> None:
        self._shown_paper = 0
        self.paper.clear(refusal.sentence)

    def _show_actions(self) -> None:
        if self.payment.is_open:
            self.set_actions(PageAction(words=_("Save payment"), do=self.payment.take, icon="check"))
            return
        row = self.table.current()
        to_pay = row is not None and row.open_minor > 0
        self.set_actions(
            PageAction(words=_("Take payment"), do=self._take_payment, icon="receipt", enabled=to_pay)
        )

    def _take_payment(self) -> None:
        row = self.table.current()
        if row is not None:
            self.payment.begin(row)

    def _toggled(self) -> None:
        self._show_actions()
        if not self.payment.is_open:
            self.table.setFocus()

    def _make_table(self) -> RowTable[InvoiceRow]:
        def total(row: InvoiceRow) -> str:
            return self._work.figures.money(row.total_minor, sign=False)

        table: RowTable[InvoiceRow] = RowTable(
            self.desk.look,
            _("Invoices"),
            [
                Column(title=_("Invoice"), text=lambda row: str(row.number), chars=7, strong=True),
                Column(title=_("Issued"), text=lambda row: self._work.figures.day(row.issued_on), chars=11),
                Column(title=_("Customer"), text=lambda row: row.customer, stretch=True, chars=14),
                Column(title=_("Plate"), text=lambda row: row.plate, chars=8, optional=True),
                Column(title=_("Total"), text=total, chars=8, number=True),
                Column(
                    title=_("Open"),
                    text=lambda row: open_words(row, self._work.figures),
                    chars=8,
                    number=True,
                    strong=True,
                ),
                Column(
                    title=_("State"),
                    text=lambda row: stands(row)[1],
                    chars=10,
                    state=lambda row: State(stands(row)[0]),
                    optional=True,
                ),
            ],
            key=lambda row: row.id,
            empty=_("No invoice fits."),
        )
        table.setMinimumHeight(self.desk.look.px(_LEAST_LIST))
        return table
