"""Due: what is overdue or falls due, each with its reason."""

from gettext import gettext as _

from shopdesk.services.duedates import DueRow, WorkedOutDue
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.due_reason import due_rows
from shopdesk.ui.presenters.sheet_words import capital
from shopdesk.ui.presenters.today import MARK_OF_DUE, days_words, due_by
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.figure import CameFrom, Figure
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column, RowsQuery
from shopdesk.ui.widgets.segments import Segments
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

#: How far ahead each choice looks, in days.
AHEAD = {"overdue": -1, "two weeks": 14, "month": 30, "year": 366}

_LEAST_LIST = 220


class DueScreen(Screen):
    """The due list; the reason of the chosen line stands at the right."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Due"))
        self._work = work
        self._choice = Segments(
            desk.look,
            _("How far ahead"),
            [
                ("month", _("Next 30 days")),
                ("overdue", _("Overdue")),
                ("two weeks", _("Two weeks")),
                ("year", _("A year")),
            ],
        )
        self._choice.chosen.connect(self._choose)
        self._table = self._make_table()
        self._why = _Why(desk, work)
        listed = Card(desk.look)
        listed.add(self._choice)
        listed.add(self._table, 1)
        columns = Columns(desk.look, main=8, side=3)
        columns.add_main(listed, 1)
        columns.add_side(self._why)
        self._table.setMinimumHeight(desk.look.px(_LEAST_LIST))
        scroll = Scroll(desk.look)
        self.column.addWidget(scroll)
        scroll.add(columns, 1)
        self.set_heading(_("Due"), _("Estimated from each vehicle's own odometer readings"))
        self.set_actions(PageAction(words=_("New work order"), do=self._new, icon="plus"))
        self.listen(Topic.DUE, Topic.VEHICLES, Topic.CUSTOMERS)
        self._table.ask(choice="month")
        self._table.read_from(desk.background, self._rows)

    def refresh(self) -> None:
        """Read the list again."""
        self._table.refresh()

    def focus_first(self) -> None:
        """The list is what one comes for."""
        self._table.setFocus()

    def _rows(self, query: RowsQuery[DueRow]) -> tuple[DueRow, ...]:
        after = (query.after.due_on, query.after.unit_id) if query.after else None
        return self._work.rooms.due.within(AHEAD[query.choice], after=after, most=query.limit)

    def _choose(self, key: str) -> None:
        self._table.ask(choice=key)

    def _new(self) -> None:
        row = self._table.current()
        self.desk.ways.go("new work order", f"vehicle:{row.vehicle_id}" if row else "")

    def _make_table(self) -> RowTable[DueRow]:
        table: RowTable[DueRow] = RowTable(
            self.desk.look,
            _("Due"),
            [
                Column(
                    title=_("State"),
                    text=lambda row: _(row.state).capitalize(),
                    chars=10,
                    state=lambda row: State(MARK_OF_DUE[row.state]),
                ),
                Column(title=_("Due"), text=lambda row: self._work.figures.day(row.due_on), chars=12),
                Column(
                    title=_("When"),
                    text=lambda row: days_words(row.days_left),
                    chars=12,
                    optional=True,
                ),
                Column(title=_("Plate"), text=lambda row: row.plate, chars=10, strong=True),
                Column(title=_("Unit"), text=lambda row: capital(row.unit_label), stretch=True, chars=16),
                Column(
                    title=_("At"), text=lambda row: due_by(self._work.figures, row), chars=10, number=True
                ),
                Column(title=_("Customer"), text=lambda row: row.customer, chars=18),
                Column(title=_("Phone"), text=lambda row: row.phone, chars=14, optional=True),
            ],
            key=lambda row: row.unit_id,
            empty=_("Nothing falls due."),
        )
        table.opened.connect(lambda row: self.desk.ways.go("vehicle", str(row.vehicle_id)))
        table.chosen.connect(lambda row: self._why.show_row(row))
        return table


class _Why(Card):
    """Why the chosen unit is due: when, in words, and what that was worked out from."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk.look, _("Why"))
        self._desk = desk
        self._work = work
        self._row: DueRow | None = None
        self._unit = PlainLabel("", wrap=True, strong=True)
        self._who = PlainLabel(_("Choose a line to see what decided it."), tone="ink2", wrap=True)
        self._when = Figure(desk.look, _("Due on"), big=True)
        self._when.hide()
        self._reason = PlainLabel("", wrap=True)
        for part in (self._unit, self._who, self._when, self._reason):
            self.add(part)

    def show_row(self, row: DueRow) -> None:
        """Show the reason of a line."""
        self._row = row
        self._unit.setText(f"{row.plate} · {row.unit_label}")
        self._who.setText("\n".join(part for part in (row.vehicle, row.customer, row.phone) if part))
        self._when.set_value(self._work.figures.day(row.due_on), state=State(MARK_OF_DUE[row.state]))
        self._when.show()
        self._reason.setText(row.reason)
        room = self._work.rooms.due
        self._desk.background.read(self, "why", lambda: room.of_unit(row.unit_id), self._explain)

    def _explain(self, worked_out: WorkedOutDue | None) -> None:
        row = self._row
        if worked_out is None or row is None:
            return
        came_from = CameFrom(rows=due_rows(worked_out, self._work.figures), formula=row.reason)
        state = State(MARK_OF_DUE[row.state])
        self._when.set_value(self._work.figures.day(row.due_on), came_from=came_from, state=state)
