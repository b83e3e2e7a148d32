"""A supplier's bill, typed against what was received; the difference stays beside the shelf's cost."""

from collections.abc import Sequence
from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.bills import BillKept, BillMatch
from shopdesk.services.desk import Desk as Rooms
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper
from shopdesk.ui.presenters.bills import (
    BillRow,
    bill_command,
    bill_field,
    bill_rows,
    bill_words,
    delivery_words,
    difference_words,
)
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.screens.buying.bill_form import BillForm
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.tokens import TextRole
from shopdesk.ui.widgets.card import Card, card_of
from shopdesk.ui.widgets.columns import Scroll
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.table import RowTable

SUPPLIER = "supplier:"
_MOST_ROWS = 10


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    supplier_id: int
    supplier: str
    order_number: int | None
    rows: tuple[BillRow, ...]
    bills: tuple[BillMatch, ...]


class BillScreen(Screen):
    """The subject is an order's id for what came of it, or "supplier:ID" for all that supplier delivered."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Supplier's bill"))
        self._work = work
        self._read: _Read | None = None
        self._begun = ""
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self._keeper: DraftKeeper | None = None
        self.form: BillForm | None = None
        self.form_card = Card(desk.look, _("The bill"))
        self.lines = self._line_table()
        self.bills = self._bill_table()
        self.differences = PlainLabel("", wrap=True, strong=True)
        decided = _(
            "The cost of the goods on the shelf stays as received. What bills say more or less is shown "
            "here, as the price difference of the delivery, and changes no cost."
        )
        scroll = Scroll(desk.look)
        scroll.add(self.form_card)
        note = PlainLabel(decided, TextRole.HELP, tone="ink2", wrap=True)
        scroll.add(card_of(desk.look, _("Against what was received"), self.lines, self.differences, note))
        scroll.add(card_of(desk.look, _("Bills so far"), self.bills))
        self.column.addWidget(scroll)
        self.listen(Topic.STOCK, Topic.SHOP)

    def refresh(self) -> None:
        """Read again what was received and billed; what is being typed stays."""
        rooms, subject = self._work.rooms, self.subject
        self.desk.background.read(self, "bill", lambda: _read(rooms, subject), self._show, self._gone)

    def focus_first(self) -> None:
        """The form, or what was received when all of it is billed."""
        if self.form is not None:
            self.form.focus_first()
        else:
            self.lines.setFocus()

    def save(self) -> None:
        """Keep the bill, or say beside a field what is wrong."""
        form, read = self.form, self._read
        if form is None or read is None or not form.check():
            return
        texts = form.texts()
        figures = self._work.figures
        uid = self._uids.of("bill", *sorted(texts.items()))
        on = form.on.day() or shop_day(figures)
        try:
            command, places = bill_command(
                texts, form.rows, read.supplier_id, figures, self._work.actor, uid, on=on
            )
        except RuleBroken as refusal:
            form.show_refusal(refusal)
            return
        room = self._work.rooms.bills
        self._sending.send(
            lambda: room.enter(command), self._saved, lambda refusal: self._refused(refusal, places)
        )

    def _refused(self, refusal: RuleBroken, places: tuple[int, ...]) -> None:
        refusal.field = bill_field(refusal.field, places)
        if self.form is not None:
            self.form.show_refusal(refusal)

    def _saved(self, _kept: BillKept) -> None:
        if self.form is not None:
            number = self.form.texts()["bill_no"].strip()
            self.desk.notices.tell(_("Bill {number} is kept.").format(number=number))
        self._uids.forget()
        if self._keeper is not None:
            self._keeper.forget()
        self._drop_form()
        self.refresh()

    def _show(self, read: _Read) -> None:
        self._read = read
        if self._begun != self.subject:
            self._drop_form()
        self._show_form(read.rows)
        figures = self._work.figures
        self.lines.set_rows(read.rows)
        self.bills.set_rows(read.bills)
        self.differences.setText("\n".join(delivery_words(read.rows, figures)))
        self.differences.setVisible(bool(self.differences.text()))
        number = read.order_number
        title = _("Bill for order {number}").format(number=number) if number else _("Supplier's bill")
        self.set_heading(title, read.supplier)
        if self._begun != self.subject:
            self._begun = self.subject
            self.focus_first()

    def _show_form(self, rows: Sequence[BillRow]) -> None:
        """Make the form for what is not billed yet; a line that was typed into stays in sight."""
        before = self.form
        typed = before.typed_lines() if before is not None else frozenset()
        wanted = tuple(row for row in rows if row.open or row.line.id in typed)
        if before is None or wanted != before.rows:
            texts = before.draft() if before is not None and before.touched else {}
            self._drop_form()
            if wanted:
                self._make_form(wanted, texts)
        self.form_card.setVisible(self.form is not None)
        keep = PageAction(words=_("Keep the bill"), do=self.save, icon="check")
        self.set_actions(keep if self.form is not None else None)

    def _make_form(self, rows: tuple[BillRow, ...], texts: dict[str, str]) -> None:
        form = BillForm(self.desk.look, self._work, rows)
        form.completed.connect(self.save)
        self.form = form
        self.form_card.add(form)
        if texts:
            form.restore(texts)
        self._keeper = self.desk.drafts.keep(form, "bill", self.subject, form)

    def _drop_form(self) -> None:
        if self.form is not None:
            if self._keeper is not None:
                self._keeper.flush_if_waiting()
            self.form.hide()
            self.form.deleteLater()
        self.form = self._keeper = None

    def _gone(self, refusal: RuleBroken) -> None:
        self.desk.ways.go("orders")
        self.desk.notices.refuse(refusal.sentence)

    def _line_table(self) -> RowTable[BillRow]:
        figures = self._work.figures

        def stock(row: BillRow, quantity: int) -> str:
            return figures.stock(row.line.base, quantity) if quantity else ""

        def difference(row: BillRow) -> str:
            if not row.billed.quantity:
                return ""
            return difference_words(figures, row.billed.difference_minor)

        def cost(minor: int) -> str:
            return figures.money(minor)

        def billed(row: BillRow) -> str:
            return cost(row.billed.amount_minor) if row.billed.quantity else ""

        def number(title: str, text: object, *, optional: bool = False) -> Column[BillRow]:
            return Column(title=title, text=text, chars=10, number=True, optional=optional)  # type: ignore[arg-type]

        table: RowTable[BillRow] = RowTable(
            self.desk.look,
            _("Against what was received"),
            [
                Column(title=_("Item"), text=lambda row: row.line.item, stretch=True, chars=14, strong=True),
                Column(
                    title=_("Delivery"), text=lambda row: row.delivery.document_no, chars=10, optional=True
                ),
                number(_("Received"), lambda row: stock(row, row.line.quantity)),
                number(_("Received at"), lambda row: cost(row.line.goods_minor)),
                number(_("Billed"), lambda row: stock(row, row.billed.quantity), optional=True),
                number(_("Billed at"), billed),
                number(_("Difference"), difference),
            ],
            key=lambda row: row.line.id,
            empty=_("Nothing was received yet."),
        )
        table.fit_rows(_MOST_ROWS)
        return table

    def _bill_table(self) -> RowTable[BillMatch]:
        figures = self._work.figures
        table: RowTable[BillMatch] = RowTable(
            self.desk.look,
            _("Bills so far"),
            [
                Column(title=_("Bill"), text=lambda row: row.bill_no, chars=10, strong=True),
                Column(title=_("Day"), text=lambda row: figures.day(row.billed_on), chars=11, optional=True),
                Column(title=_("What differs"), text=bill_words, stretch=True, chars=20),
                Column(
                    title=_("Total"),
                    text=lambda row: figures.money(row.total_minor),
                    chars=9,
                    number=True,
                ),
            ],
            key=lambda row: row.bill_id,
            empty=_("No bill was entered yet."),
            quiet=True,
        )
        table.fit_rows(_MOST_ROWS)
        return table


def _read(rooms: Rooms, subject: str) -> _Read:
    order = None if subject.startswith(SUPPLIER) else rooms.buying.order(int(subject))
    supplier_id = order.supplier.id if order is not None else int(subject.removeprefix(SUPPLIER))
    deliveries = rooms.deliveries.of_supplier(supplier_id)
    if order is not None:
        deliveries = tuple(each for each in deliveries if each.order_id == order.id)
    rows = bill_rows(deliveries, rooms.bills.so_far(supplier_id))
    mine = {row.line.id for row in rows}
    names = {row.id: row.name for row in rooms.buying.suppliers()}
    return _Read(
        supplier_id=supplier_id,
        supplier=names.get(supplier_id, ""),
        order_number=order.number if order is not None else None,
        rows=rows,
        bills=tuple(
            bill
            for bill in rooms.bills.of_supplier(supplier_id)
            if any(line.delivery_line_id in mine for line in bill.lines)
        ),
    )
