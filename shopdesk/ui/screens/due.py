"""Due: what is overdue or falls due, each with its reason."""

from gettext import gettext as _

from shopdesk.services.duedates import DueRow
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.today import MARK_OF_DUE, days_words, due_by
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column, RowsQuery
from shopdesk.ui.widgets.segments import Segments
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

#: How far ahead each choice looks, in days.
AHEAD = {"overdue": -1, "two weeks": 14, "month": 30, "year": 366}


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
        columns = Columns(desk.look, main=7, side=3)
        columns.add_main(self._choice)
        columns.add_main(self._table, 1)
        columns.add_side(self._why)
        self.column.addWidget(columns)
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
                Column(title=_("Unit"), text=lambda row: row.unit_label, stretch=True, chars=16),
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
    """Why the chosen unit is due, in words."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk.look, _("Why"))
        self._work = work
        self._who = PlainLabel("", wrap=True)
        self._reason = PlainLabel(_("Choose a line to see what decided it."), tone="ink2", wrap=True)
        self.add(self._who)
        self.add(self._reason)

    def show_row(self, row: DueRow | None) -> None:
        """Show the reason of a line."""
        if row is None:
            return
        self._who.setText(f"{row.plate} · {row.vehicle}\n{row.customer} {row.phone}".strip())
        self._reason.setText(row.reason)
