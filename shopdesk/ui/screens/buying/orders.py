"""What to order by the owner's marks, with the basis of each; the orders; and the suppliers."""

from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.services.buying import OrderRow, SupplierKept
from shopdesk.services.cores import CoreRow
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.ordering_hints import OrderHintRow
from shopdesk.ui.actions import Verb
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.form_card import FormCard
from shopdesk.ui.presenters.buying import basis_words, marks_words, order_stands, supplier_command, to_order
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.screens.buying.cores import CoresPart
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.tokens import TextRole
from shopdesk.ui.widgets.card import card_of
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.fields import NumberField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

_MOST_ROWS = 12


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    hints: tuple[OrderHintRow, ...]
    orders: tuple[OrderRow, ...]
    cores: tuple[CoreRow, ...]


class OrdersScreen(Screen):
    """The subject is nothing, or "supplier" for the form of a new one."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Orders"))
        self._work = work
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.suggested = self._suggested_table()
        self.orders = self._orders_table()
        self.cores = CoresPart(desk, work)
        self.basis = PlainLabel("", TextRole.HELP, tone="ink2", wrap=True)
        self.supplier = FormCard(desk.look, _("A new supplier"), _("Save supplier"))
        self.form = self._supplier_form()
        self._lay_out()
        self.suggested.chosen.connect(self._show_basis)
        self.suggested.opened.connect(lambda row: desk.ways.go("order", f"new:{row.item_id}"))
        self.orders.opened.connect(lambda row: desk.ways.go("order", str(row.id)))
        self.commands = {Verb.FILTER: self.orders.setFocus}
        self._show_supplier(False)
        self.listen(Topic.STOCK, Topic.WORK, Topic.SHOP)

    def open_at(self, subject: str) -> None:
        """Show what to order; with "supplier" the form of a new supplier as well."""
        super().open_at(subject)
        self._show_supplier(subject == "supplier")

    def refresh(self) -> None:
        """Read suggestions and orders again."""
        rooms = self._work.rooms
        self.desk.background.read(self, "orders", lambda: _read(rooms), self._show)

    def focus_first(self) -> None:
        """What is to order; the form of a supplier if it is open."""
        if self.supplier.isHidden():
            self.suggested.setFocus()
        else:
            self.form.focus_first()

    def save_supplier(self) -> None:
        """Keep the supplier, or say beside a field what is wrong."""
        self.form.clear_errors()
        texts = self.form.texts()
        uid = self._uids.of("supplier", *sorted(texts.items()))
        command = supplier_command(texts, self._work.actor, uid)
        room = self._work.rooms.buying
        self._sending.send(lambda: room.save_supplier(command), self._supplier_saved, self.form.show_refusal)

    def _supplier_saved(self, _kept: SupplierKept) -> None:
        self.desk.notices.tell(_("{name} is saved.").format(name=self.form.texts()["name"].strip()))
        self._uids.forget()
        self._keeper.forget()
        self.form.fill(dict.fromkeys(self.form.texts(), ""))
        self._show_supplier(False)
        self.suggested.setFocus()

    def _lay_out(self) -> None:
        look = self.desk.look
        columns = Columns(look, main=7, side=5, break_at=900)
        columns.add_main(card_of(look, _("To order"), self.suggested, self.basis))
        columns.add_main(self.cores)
        columns.add_side(self.supplier)
        columns.add_side(card_of(look, _("Orders"), self.orders))
        scroll = Scroll(look)
        scroll.add(columns)
        self.column.addWidget(scroll)

    def _show(self, read: _Read) -> None:
        wanted = to_order(read.hints)
        self.suggested.set_rows(wanted)
        self.orders.set_rows(read.orders)
        self.cores.show_owed(read.cores)
        row = self.suggested.current()
        self.basis.setText(basis_words(row, self._work.figures) if row else "")
        self.set_heading(_("Orders"), _("{n} to order").format(n=len(wanted)) if wanted else "")

    def _show_basis(self, row: OrderHintRow) -> None:
        self.basis.setText(basis_words(row, self._work.figures))

    def _show_supplier(self, shown: bool) -> None:
        self.supplier.setVisible(shown)
        if shown:
            self.set_actions(PageAction(words=_("Save supplier"), do=self.save_supplier, icon="check"))
            return
        new = PageAction(words=_("New order"), do=lambda: self.desk.ways.go("order", "new"), icon="plus")
        self.set_actions(
            new,
            PageAction(words=_("New supplier"), do=self._new_supplier, icon="plus"),
            PageAction(words=_("Receive from a file"), do=lambda: self.desk.ways.go("receiving file")),
        )

    def _new_supplier(self) -> None:
        self._show_supplier(True)
        self.form.focus_first()

    def _put_aside(self) -> None:
        self._show_supplier(False)
        self.suggested.setFocus()

    def _supplier_form(self) -> Form:
        look = self.desk.look
        form = Form(look, columns=2, least_width=150)
        form.add(TextField(look, "name", _("Name")), 0)
        form.add(TextField(look, "phone", _("Phone")))
        form.add(TextField(look, "email", _("E-mail")))
        form.add(TextField(look, "account_no", _("Our account number")))
        form.add(NumberField(look, "lead_days", _("Days to deliver"), help_line=_("From order to delivery")))
        form.completed.connect(self.save_supplier)
        self.supplier.add(form)
        self.supplier.end()
        self.supplier.wanted.connect(self.save_supplier)
        self.supplier.put_aside.connect(self._put_aside)
        self._keeper = self.desk.drafts.keep(form, "supplier", "", self)
        self._keeper.restored.connect(lambda: self._show_supplier(True))
        return form

    def _suggested_table(self) -> RowTable[OrderHintRow]:
        def free(row: OrderHintRow) -> str:
            return self._work.figures.stock(row.base, row.usable - row.reserved)

        table: RowTable[OrderHintRow] = RowTable(
            self.desk.look,
            _("To order"),
            [
                Column(title=_("Item"), text=lambda row: row.name, stretch=True, chars=14, strong=True),
                Column(title=_("Free"), text=free, chars=8, number=True),
                Column(
                    title=_("Your marks"),
                    text=lambda row: marks_words(row, self._work.figures),
                    chars=16,
                    number=True,
                    optional=True,
                ),
                Column(
                    title=_("Packages"),
                    text=lambda row: self._work.figures.number(row.packages, 0),
                    chars=7,
                    number=True,
                    strong=True,
                ),
                Column(title=_("Supplier"), text=lambda row: row.supplier, chars=12, optional=True),
            ],
            key=lambda row: row.item_id,
            empty=_("Nothing is at its order mark."),
        )
        table.fit_rows(_MOST_ROWS)
        return table

    def _orders_table(self) -> RowTable[OrderRow]:
        def expected(row: OrderRow) -> str:
            return self._work.figures.day(row.expected_on) if row.expected_on else ""

        table: RowTable[OrderRow] = RowTable(
            self.desk.look,
            _("Orders"),
            [
                Column(title=_("Order"), text=lambda row: str(row.number), chars=5, strong=True),
                Column(title=_("Supplier"), text=lambda row: row.supplier, stretch=True, chars=10),
                Column(title=_("Expected"), text=expected, chars=11, optional=True),
                Column(
                    title=_("Total"),
                    text=lambda row: self._work.figures.money(row.total_minor),
                    chars=8,
                    number=True,
                    optional=True,
                ),
                Column(
                    title=_("State"),
                    text=lambda row: order_stands(row)[1],
                    chars=10,
                    state=lambda row: State(order_stands(row)[0]),
                ),
            ],
            key=lambda row: row.id,
            empty=_("No order was written yet."),
            quiet=True,
        )
        table.fit_rows(_MOST_ROWS)
        return table


def _read(rooms: Rooms) -> _Read:
    return _Read(hints=rooms.ordering_hints.rows(), orders=rooms.buying.orders(), cores=rooms.cores.owed())
