"""Customers: the list, narrowed by a name or by a part of a telephone number."""

from gettext import gettext as _

from shopdesk.services.intake import CustomerRow
from shopdesk.ui.actions import Verb
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.customers import list_filter
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.widgets.rows_model import Column, RowsQuery
from shopdesk.ui.widgets.search_line import SearchLine
from shopdesk.ui.widgets.table import RowTable


class CustomersScreen(Screen):
    """The list. Enter opens a customer; letters typed in the field above narrow it."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Customers"))
        self._work = work
        self.filter = SearchLine(desk.look, _("Narrow the list"), _("Name, or a part of the phone number"))
        self.filter.setMaximumWidth(desk.look.px(420))
        self.table = self._make_table()
        self.filter.textChanged.connect(lambda text: self.table.ask(text=text))
        self.filter.down.connect(self.table.setFocus)
        self.filter.entered.connect(self.table.setFocus)
        self.column.addWidget(self.filter)
        self.column.addWidget(self.table, 1)
        self.commands = {Verb.FILTER: self.filter.setFocus, Verb.NEW: self._new_work}
        self.set_actions(PageAction(words=_("New customer"), do=self._new, icon="plus"))
        self.listen(Topic.CUSTOMERS, Topic.VEHICLES)
        self.table.read_from(desk.background, self._rows)

    def refresh(self) -> None:
        """Read the list again."""
        self.table.refresh()

    def focus_first(self) -> None:
        """One comes to look somebody up."""
        self.filter.setFocus()

    def _rows(self, query: RowsQuery[CustomerRow]) -> tuple[CustomerRow, ...]:
        key, digits = list_filter(query.text)
        after = (query.after.sort_key, query.after.id) if query.after else None
        return self._work.rooms.intake.customers(starts=key, digits=digits, after=after, most=query.limit)

    def _new(self) -> None:
        self.desk.ways.go("customer", "new")

    def _new_work(self) -> None:
        row = self.table.current() if self.table.hasFocus() else None
        self.desk.ways.go("new work order", f"customer:{row.id}" if row else "")

    def _make_table(self) -> RowTable[CustomerRow]:
        table: RowTable[CustomerRow] = RowTable(
            self.desk.look,
            _("Customers"),
            [
                Column(title=_("Name"), text=lambda row: row.name, chars=28, stretch=True, strong=True),
                Column(title=_("Phone"), text=lambda row: row.phone, chars=20),
                Column(title=_("Kind"), text=lambda row: _(row.kind).capitalize(), chars=12, optional=True),
                Column(title=_("Vehicles"), text=lambda row: str(row.vehicles or ""), chars=9, number=True),
            ],
            key=lambda row: row.id,
            empty=_("No customer fits. Ctrl+Return takes a new one in."),
        )
        table.opened.connect(lambda row: self.desk.ways.go("customer", str(row.id)))
        return table
