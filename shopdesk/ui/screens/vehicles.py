"""Vehicles: the list, narrowed by a plate or by a part of a VIN."""

from gettext import gettext as _

from shopdesk.services.intake import VehicleRow
from shopdesk.ui.actions import Verb
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.vehicles import MARK_OF_DUE, due_cell, list_filter
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.widgets.rows_model import Column, RowsQuery
from shopdesk.ui.widgets.search_line import SearchLine
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable


class VehiclesScreen(Screen):
    """The list. Enter opens a vehicle; letters typed in the field above narrow it."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Vehicles"))
        self._work = work
        self.filter = SearchLine(desk.look, _("Narrow the list"), _("Plate, or a part of the VIN"))
        self.filter.setMaximumWidth(desk.look.px(420))
        self.table = self._make_table()
        self.filter.textChanged.connect(lambda text: self.table.ask(text=text))
        self.filter.down.connect(self.table.setFocus)
        self.filter.entered.connect(self.table.setFocus)
        self.column.addWidget(self.filter)
        self.column.addWidget(self.table, 1)
        self.commands = {Verb.FILTER: self.filter.setFocus, Verb.NEW: self._new_work}
        self.set_actions(PageAction(words=_("New work order"), do=self._new_work, icon="plus", verb=Verb.NEW))
        self.listen(Topic.VEHICLES, Topic.CUSTOMERS, Topic.DUE)
        self.table.read_from(desk.background, self._rows)

    def refresh(self) -> None:
        """Read the list again."""
        self.table.refresh()

    def focus_first(self) -> None:
        """One comes to look a vehicle up."""
        self.filter.setFocus()

    def _rows(self, query: RowsQuery[VehicleRow]) -> tuple[VehicleRow, ...]:
        after = (query.after.plate_key, query.after.id) if query.after else None
        return self._work.rooms.intake.vehicles(
            contains=list_filter(query.text), after=after, most=query.limit
        )

    def _new_work(self) -> None:
        row = self.table.current() if self.table.hasFocus() else None
        self.desk.ways.go("new work order", f"vehicle:{row.id}" if row else "")

    def _make_table(self) -> RowTable[VehicleRow]:
        table: RowTable[VehicleRow] = RowTable(
            self.desk.look,
            _("Vehicles"),
            [
                Column(title=_("Plate"), text=lambda row: row.plate, chars=12, strong=True),
                Column(title=_("Vehicle"), text=lambda row: row.words, chars=14, stretch=True),
                Column(title=_("VIN"), text=lambda row: row.vin, chars=22, optional=True),
                Column(title=_("Keeper"), text=lambda row: row.keeper, chars=16, stretch=True, optional=True),
                Column(
                    title=_("Next due"),
                    text=lambda row: due_cell(row.due_on, self._work.figures),
                    chars=16,
                    state=lambda row: State(MARK_OF_DUE[row.due_state]),
                ),
            ],
            key=lambda row: row.id,
            empty=_("No vehicle fits. A new one is taken in with its work order, or on its customer's page."),
        )
        table.opened.connect(lambda row: self.desk.ways.go("vehicle", str(row.id)))
        return table
