"""Today: the bays, what falls due, the shelf, what to finish and what to collect."""

from datetime import datetime
from gettext import gettext as _
from gettext import ngettext

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QWidget

from shopdesk.services.board import TodayView, ToFinish, WorkOrderRow
from shopdesk.services.duedates import DueRow
from shopdesk.services.invoices import InvoiceRow
from shopdesk.services.stock import OnHandRow
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.sheet_words import capital
from shopdesk.ui.presenters.today import (
    MARK_OF_DUE,
    Known,
    age_words,
    by_promise,
    days_words,
    due_by,
    glass_text,
    promised,
    shelf_sentence,
    stage_mark,
    waits_for,
)
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.screens.beginning import BeginningCard, read_known
from shopdesk.ui.tab_order import follow_layout
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.card import card_of
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.sight_glass import Level, SightGlass
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

GLASS_WIDTH = 88
FEW_IN_A_ROW = 4
MOST_ROWS = 6


class TodayScreen(Screen):
    """The day at a glance; Enter on any line opens what it is about."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Today"))
        self._work = work
        self._bays = self._bays_table()
        self._due = self._due_table()
        self._finish = self._finish_table()
        self._collect = self._collect_table()
        self._shelf_words = PlainLabel("", wrap=True)
        self._glasses = _Glasses(desk)
        self._shelf_card = card_of(desk.look, _("On the shelf"), self._glasses, self._shelf_words)
        self._all_fluids = Button(desk.look, _("All fluids"), ButtonPart.QUIET)
        self._all_fluids.clicked.connect(lambda: desk.ways.go("fluids"))
        self._shelf_card.add_to_head(self._all_fluids)
        self.beginning = BeginningCard(desk)
        self._is_new = True
        self._due_card = card_of(desk.look, _("Due in the next 30 days"), self._due)
        self._lay_out()
        self.set_actions(PageAction(words=_("New work order"), do=self._new, icon="plus"))
        self.listen(*Topic)

    def _lay_out(self) -> None:
        look = self.desk.look
        columns = Columns(look)
        columns.add_main(card_of(look, _("In the bays"), self._bays))
        columns.add_main(self._due_card)
        columns.add_main(card_of(look, _("To finish"), self._finish))
        columns.add_side(self._shelf_card)
        columns.add_side(card_of(look, _("Money to collect"), self._collect))
        scroll = Scroll(look)
        self.column.addWidget(scroll)
        scroll.add(self.beginning)
        scroll.add(columns)

    def refresh(self) -> None:
        """Read the day again."""
        self.desk.background.read(self, "today", self._work.rooms.board.today, self._show)
        if self._is_new:
            rooms = self._work.rooms
            self.desk.background.read(self, "beginning", lambda: read_known(rooms), self._show_beginning)

    def focus_first(self) -> None:
        """The bays come first."""
        self._bays.setFocus()

    def _show_beginning(self, known: Known) -> None:
        """A shop that can write its first record is not asked again."""
        self._is_new = not known.ready
        self.beginning.show_known(known)
        follow_layout(self)

    def _new(self) -> None:
        self.desk.ways.go("new work order")

    def _show(self, view: TodayView) -> None:
        figures = self._work.figures
        self.set_heading(_("Today"), figures.long_day(view.today))
        self._today = view.today
        self._bays.set_rows(by_promise(view.in_the_bays))
        self._due.set_rows(view.due)
        self._finish.set_rows(view.to_finish)
        self._collect.set_rows(view.to_collect)
        self._glasses.show_rows(view.shelf, self._work)
        self._shelf_words.setText(shelf_sentence(view.shelf, figures))
        overdue = sum(row.state.value == "overdue" for row in view.due)
        note = ngettext("{n} overdue", "{n} overdue", overdue).format(n=overdue) if overdue else ""
        self._due_card.set_note(note)

    def _bays_table(self) -> RowTable[WorkOrderRow]:
        def promise(row: WorkOrderRow) -> str:
            return promised(self._work.figures, row.promised_at, datetime.now().astimezone())

        table: RowTable[WorkOrderRow] = RowTable(
            self.desk.look,
            _("In the bays"),
            [
                Column(title=_("Bay"), text=lambda row: row.bay or "—", chars=5),
                Column(title=_("Plate"), text=lambda row: row.plate, chars=10, strong=True),
                Column(title=_("Vehicle"), text=lambda row: row.vehicle, chars=16, optional=True),
                Column(title=_("Work"), text=lambda row: row.work, stretch=True, chars=20),
                Column(title=_("Promised"), text=promise, chars=9),
                Column(
                    title=_("State"),
                    text=waits_for,
                    chars=16,
                    state=lambda row: State(stage_mark(row.stage, waiting=bool(row.waiting_reason))),
                ),
            ],
            key=lambda row: row.id,
            empty=_("No vehicle is in the bays."),
            quiet=True,
        )
        table.fit_rows(MOST_ROWS)
        table.opened.connect(lambda row: self.desk.ways.go("work order", str(row.id)))
        return table

    def _due_table(self) -> RowTable[DueRow]:
        table: RowTable[DueRow] = RowTable(
            self.desk.look,
            _("Due in the next 30 days"),
            [
                Column(title=_("Plate"), text=lambda row: row.plate, chars=10, strong=True),
                Column(title=_("Unit"), text=lambda row: capital(row.unit_label), stretch=True, chars=16),
                Column(title=_("Customer"), text=lambda row: row.customer, chars=16, optional=True),
                Column(title=_("Phone"), text=lambda row: row.phone, chars=13, optional=True),
                Column(
                    title=_("At"), text=lambda row: due_by(self._work.figures, row), chars=10, number=True
                ),
                Column(title=_("When"), text=lambda row: days_words(row.days_left), chars=11),
                Column(
                    title=_("State"),
                    text=lambda row: _(row.state).capitalize(),
                    chars=10,
                    state=lambda row: State(MARK_OF_DUE[row.state]),
                ),
            ],
            key=lambda row: row.unit_id,
            empty=_("Nothing falls due in the next 30 days."),
            quiet=True,
        )
        table.fit_rows(MOST_ROWS)
        table.opened.connect(lambda row: self.desk.ways.go("vehicle", str(row.vehicle_id)))
        return table

    def _finish_table(self) -> RowTable[ToFinish]:
        table: RowTable[ToFinish] = RowTable(
            self.desk.look,
            _("To finish"),
            [
                Column(title=_("Work order"), text=lambda row: str(row.number), chars=7, strong=True),
                Column(title=_("What"), text=lambda row: row.what, stretch=True, chars=20),
            ],
            key=lambda row: row.work_order_id,
            empty=_("Nothing is left half done."),
            quiet=True,
        )
        table.fit_rows(MOST_ROWS)
        table.opened.connect(lambda row: self.desk.ways.go("work order", str(row.work_order_id)))
        return table

    def _collect_table(self) -> RowTable[InvoiceRow]:
        def still_open(row: InvoiceRow) -> str:
            return self._work.figures.money(row.open_minor)

        table: RowTable[InvoiceRow] = RowTable(
            self.desk.look,
            _("Money to collect"),
            [
                Column(title=_("Invoice"), text=lambda row: str(row.number), chars=6, strong=True),
                Column(title=_("Customer"), text=lambda row: row.customer, stretch=True, chars=14),
                Column(
                    title=_("Issued"), text=lambda row: age_words(row, self._today), chars=10, optional=True
                ),
                Column(title=_("Open"), text=still_open, chars=10, number=True),
            ],
            key=lambda row: row.id,
            empty=_("No invoice is open."),
            quiet=True,
        )
        table.fit_rows(MOST_ROWS)
        table.opened.connect(lambda row: self.desk.ways.go("invoice", str(row.id)))
        return table


class _Glasses(QWidget):
    """The shelf: a glass for each fluid, those to order first; as many as fit into a row, or into two."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._columns = 0
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(desk.look.px(8))
        self._levels: list[Level] = []
        self._glasses: list[SightGlass] = []
        desk.look.changed.connect(self._arrange)

    def show_rows(self, rows: tuple[OnHandRow, ...], work: AtWork) -> None:
        """Show these fluids; glasses that are there already move to their new level."""
        texts = sorted((glass_text(work.figures, row) for row in rows), key=lambda text: not text.low)
        self._levels = [
            Level(
                name=text.name,
                figure=text.figure,
                full=text.full,
                mark=text.mark,
                mark_words=text.mark_words,
                state=State.LATE if text.low else State.PLAIN,
            )
            for text in texts
        ]
        self._columns = 0
        self._arrange()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Show as many as there is room for."""
        super().resizeEvent(event)
        self._arrange()

    def _arrange(self) -> None:
        columns = max(1, self.width() // self._desk.look.px(GLASS_WIDTH))
        if columns == self._columns:
            return
        self._columns = columns
        levels = self._levels[: columns * (1 if columns >= FEW_IN_A_ROW else 2)]
        while len(self._glasses) > len(levels):
            gone = self._glasses.pop()
            gone.hide()
            gone.deleteLater()
        for at, level in enumerate(levels):
            if at == len(self._glasses):
                self._glasses.append(SightGlass(self._desk.look, parent=self))
            self._glasses[at].set_level(level)
            self._grid.addWidget(self._glasses[at], at // columns, at % columns)
            self._glasses[at].show()
