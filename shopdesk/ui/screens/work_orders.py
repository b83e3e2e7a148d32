"""Work orders: by stage with counts, narrowed by plate or number; Enter opens the chosen one."""

from datetime import datetime
from gettext import gettext as _

from shopdesk.services.board import WorkOrderRow
from shopdesk.services.work import StageCount
from shopdesk.ui.actions import Verb
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.today import promised, stage_mark, waits_for
from shopdesk.ui.presenters.work_orders import OPEN, counted, filter_key, stage_choices, stages_of
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Scroll
from shopdesk.ui.widgets.rows_model import Column, RowsQuery
from shopdesk.ui.widgets.search_line import SearchLine
from shopdesk.ui.widgets.segments import Segments
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

_LEAST_HEIGHT = 190


class WorkOrdersScreen(Screen):
    """The list of work orders. The subject names a stage to begin with, if any."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Work orders"))
        self._work = work
        self.stages = Segments(desk.look, _("Stage"), stage_choices())
        self.line = SearchLine(desk.look, _("Narrow the list"), _("Plate or work order number"))
        self.table = self._make_table()
        self.stages.chosen.connect(self._choose)
        self.line.textChanged.connect(self._narrow)
        self.line.down.connect(self.table.setFocus)
        self.commands = {Verb.FILTER: self.line.setFocus}
        card = Card(desk.look)
        card.setAccessibleName(_("Work orders"))
        card.add(self.line)
        card.add(self.table, 1)
        self.table.setMinimumHeight(desk.look.px(_LEAST_HEIGHT))
        scroll = Scroll(desk.look)
        self.column.addWidget(scroll)
        scroll.add(self.stages)
        scroll.add(card, 1)
        self.set_actions(PageAction(words=_("New work order"), do=self._new, icon="plus", verb=Verb.NEW))
        self.listen(Topic.WORK, Topic.SERVICE, Topic.MONEY, Topic.VEHICLES, Topic.CUSTOMERS)
        self.table.ask(choice=OPEN)
        self.table.read_from(desk.background, self._rows)

    def open_at(self, subject: str) -> None:
        """Show the stage that is asked for, or stay where one was."""
        if subject:
            self.stages.choose(subject)
            self.table.ask(choice=subject)
        super().open_at(subject)

    def refresh(self) -> None:
        """Read the list and the counts again."""
        self.table.refresh()
        self.desk.background.read(self, "counts", self._work.rooms.board.counts, self._show_counts)

    def focus_first(self) -> None:
        """The list is what one comes for."""
        self.table.setFocus()

    def _rows(self, query: RowsQuery[WorkOrderRow]) -> tuple[WorkOrderRow, ...]:
        return self._work.rooms.board.work_orders(
            stages=stages_of(query.choice),
            contains=filter_key(query.text),
            before_id=query.after.id if query.after else None,
            most=query.limit,
        )

    def _show_counts(self, counts: tuple[StageCount, ...]) -> None:
        for key, words in counted(counts).items():
            self.stages.set_words(key, words)

    def _choose(self, key: str) -> None:
        self.table.ask(choice=key)

    def _narrow(self, text: str) -> None:
        self.table.ask(text=text)

    def _new(self) -> None:
        self.desk.ways.go("new work order")

    def _promised(self, row: WorkOrderRow) -> str:
        return promised(self._work.figures, row.promised_at, datetime.now().astimezone())

    def _make_table(self) -> RowTable[WorkOrderRow]:
        table: RowTable[WorkOrderRow] = RowTable(
            self.desk.look,
            _("Work orders"),
            [
                Column(title=_("Number"), text=lambda row: str(row.number), chars=6, strong=True),
                Column(title=_("Plate"), text=lambda row: row.plate, chars=9, strong=True),
                Column(
                    title=_("Vehicle"), text=lambda row: row.vehicle, chars=16, stretch=True, optional=True
                ),
                Column(
                    title=_("Customer"), text=lambda row: row.customer, chars=15, stretch=True, optional=True
                ),
                Column(title=_("Work"), text=lambda row: row.work, chars=14, stretch=True),
                Column(
                    title=_("Stage"),
                    text=waits_for,
                    chars=16,
                    state=lambda row: State(stage_mark(row.stage, waiting=bool(row.waiting_reason))),
                ),
                Column(title=_("Promised"), text=self._promised, chars=12, optional=True),
                Column(title=_("Bay"), text=lambda row: row.bay or "—", chars=4, optional=True),
            ],
            key=lambda row: row.id,
            empty=_("No work order fits."),
        )
        table.opened.connect(lambda row: self.desk.ways.go("work order", str(row.id)))
        return table
