"""Counts: a sheet to walk along the shelf with, typed back line by line; and what went missing in a month."""

from dataclasses import dataclass
from gettext import gettext as _

from PySide6.QtWidgets import QVBoxLayout

from shopdesk.services.count_sheets import CountSheetView, SheetRow, ToCount
from shopdesk.services.counting import CloseSheet, OpenSheet, SheetOpened
from shopdesk.services.desk import Desk as Rooms
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.counts import (
    ALL,
    FLUIDS,
    LEFT,
    PARTS,
    chosen_lines,
    container_number,
    in_order,
    line_state,
    sheet_line,
    sheet_note,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.screens.counts.card import CountCard
from shopdesk.ui.screens.counts.missing import MissingCard
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.empty import EmptyState
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.segments import Segments
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

_MOST_LINES, _MOST_SHEETS = 14, 6


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    sheets: tuple[SheetRow, ...]
    view: CountSheetView | None
    flagged: frozenset[int]


class CountsScreen(Screen):
    """The subject is nothing (the sheet that is open) or a count sheet's id."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Counts"))
        self._work = work
        self._view: CountSheetView | None = None
        self._flagged: frozenset[int] = frozenset()
        self._keyboard_waits = False
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.card: CountCard | None = None
        self.choice = Segments(
            desk.look,
            _("What to count"),
            [
                (ALL, _("Everything")),
                (LEFT, _("Not counted yet")),
                (FLUIDS, _("Fluids")),
                (PARTS, _("Parts")),
            ],
        )
        self.choice.chosen.connect(lambda _key: self._show_lines())
        self.lines = self._lines_table()
        self.sheets = self._sheets_table()
        self.missing = MissingCard(desk, work)
        sentence = _(
            "No count sheet is open. Open one, print it, walk along the shelf, and type it back here."
        )
        self._empty = EmptyState(desk.look, sentence)
        self._lay_out()
        self._show_actions()
        self.listen(Topic.STOCK)

    def refresh(self) -> None:
        """Read the sheet again."""
        rooms, subject = self._work.rooms, self.subject
        self.desk.background.read(self, "sheet", lambda: _read(rooms, subject), self._show)
        self.missing.refresh()

    def focus_first(self) -> None:
        """The lines of the sheet that is open, else the sheets."""
        self._keyboard_waits = self._view is None
        part = self.lines if self._view is not None else self.sheets
        part.setFocus()

    def _lay_out(self) -> None:
        look = self.desk.look
        self._sheet = Card(look, _("To count"))
        self._sheet.add(self.choice)
        self._sheet.add(self.lines)
        self._sheet.add(self._empty)
        self._others = Card(look, _("Count sheets"))
        self._others.add(self.sheets)
        scroll = Scroll(look)
        self.column.addWidget(scroll)
        columns = Columns(look, main=7, side=5)
        scroll.add(columns)
        columns.add_main(self._sheet)
        columns.add_main(self.missing)
        self._holder = Card(look, _("Type back"))
        hint = _("Choose a line and press Enter to type what was read.")
        self._holder.add(PlainLabel(hint, tone="ink2", wrap=True))
        columns.add_side(self._holder)
        self._place = QVBoxLayout()
        columns.add_side(self._place)
        columns.add_side(self._others)

    def _show(self, read: _Read) -> None:
        self._view, self._flagged = read.view, read.flagged
        self.sheets.set_rows(read.sheets)
        open_here = read.view is not None
        self.choice.setVisible(open_here)
        self.lines.setVisible(open_here)
        self._empty.setVisible(not open_here)
        self._holder.setVisible(self.card is None and open_here and not self._closed())
        self.set_heading(_("Counts"), sheet_note(read.view) if read.view else "")
        self._show_lines()
        self._show_actions()
        if self._keyboard_waits and open_here:
            self._keyboard_waits = False
            self.lines.setFocus()

    def _show_lines(self) -> None:
        lines = in_order(self._view.lines, self._flagged) if self._view else ()
        self.lines.set_rows(chosen_lines(lines, self.choice.choice()))

    def _closed(self) -> bool:
        return self._view is None or self._view.closed

    def _show_actions(self) -> None:
        new = PageAction(words=_("New count sheet"), do=self._new, icon="plus")
        if self._view is None:
            self.set_actions(new)
            return
        printed = PageAction(words=_("Print the sheet"), do=self._print, icon="printer")
        if self._closed():
            self.set_actions(new, printed)
            return
        close = PageAction(words=_("Close the sheet"), do=self._close, icon="check")
        if self.card is not None:
            self.set_actions(PageAction(words=_("Keep the count"), do=self.card.keep, icon="check"), printed)
        else:
            self.set_actions(printed, close)

    def _new(self) -> None:
        command = OpenSheet(actor=self._work.actor, uid=self._uids.of("open"))
        room = self._work.rooms.counting
        self._sending.send(lambda: room.open_sheet(command), self._opened)

    def _opened(self, opened: SheetOpened) -> None:
        self._uids.forget()
        self._put_aside()
        self.subject = str(opened.sheet_id)
        self._keyboard_waits = True
        self.desk.notices.tell(_("Count sheet {number} is open.").format(number=opened.number))
        self.refresh()

    def _close(self) -> None:
        if self._view is None:
            return
        command = CloseSheet(
            actor=self._work.actor,
            sheet_id=self._view.sheet_id,
            uid=self._uids.of("close", self._view.sheet_id),
        )
        room = self._work.rooms.counting
        self._sending.send(lambda: room.close_sheet(command), self._is_closed)

    def _is_closed(self, closed: SheetOpened) -> None:
        self._uids.forget()
        self.subject = str(closed.sheet_id)
        self.desk.notices.tell(_("Count sheet {number} is closed.").format(number=closed.number))
        self.refresh()

    def _print(self) -> None:
        if self._view is not None:
            self.desk.ways.go("paper", f"count sheet:{self._view.sheet_id}")

    def _type_back(self, line: ToCount) -> None:
        if self._view is None or self._view.closed:
            self.desk.notices.refuse(_("That count sheet is closed; open another."))
            return
        self._put_aside()
        card = self.card = CountCard(self.desk, self._work, line, self._view.sheet_id)
        card.put_aside.connect(self._cancel)
        card.counted.connect(self._go_on)
        self._holder.hide()
        self._place.addWidget(card)
        card.show()
        card.begin()
        self._show_actions()

    def _put_aside(self) -> None:
        card, self.card = self.card, None
        if card is not None:
            card.hide()
            card.deleteLater()

    def _cancel(self) -> None:
        self._put_aside()
        self._holder.setVisible(not self._closed())
        self._show_actions()
        self.lines.setFocus()

    def _go_on(self) -> None:
        """Go to the next line that was not counted yet."""
        done = self.card.line if self.card else None
        rows = list(self.lines.rows)
        self._put_aside()
        places = [number for number, row in enumerate(rows) if done is not None and _same(row, done)]
        after = rows[places[0] + 1 :] if places else rows
        following = next((row for row in after if not row.counted), None)
        if following is None:
            self._cancel()
        else:
            self._type_back(following)

    def _lines_table(self) -> RowTable[ToCount]:
        figures = self._work.figures

        def state(line: ToCount) -> tuple[str, str]:
            return line_state(line, self._flagged, figures)

        def stock(line: ToCount, quantity: int | None) -> str:
            return figures.stock(line.base, quantity) if quantity is not None else ""

        def expected(row: ToCount) -> str:
            return stock(row, row.expected)

        table: RowTable[ToCount] = RowTable(
            self.desk.look,
            _("To count"),
            [
                Column(title=_("Item"), text=lambda row: row.item, stretch=True, chars=16, strong=True),
                Column(title=_("Container"), text=container_number, chars=9),
                Column(title=_("Lot"), text=lambda row: row.lot, chars=9, optional=True),
                Column(
                    title=_("Ledger says"), text=lambda row: stock(row, row.expected), chars=9, number=True
                ),
                Column(title=_("Counted"), text=lambda row: stock(row, row.found), chars=9, number=True),
                Column(
                    title=_("State"),
                    text=lambda row: state(row)[1],
                    chars=12,
                    state=lambda row: State(state(row)[0]),
                ),
            ],
            key=lambda row: (row.item_id, row.container_id),
            empty=_("Nothing of this is to count."),
        )
        table.fit_rows(_MOST_LINES)
        table.opened.connect(self._type_back)
        return table

    def _sheets_table(self) -> RowTable[SheetRow]:
        table: RowTable[SheetRow] = RowTable(
            self.desk.look,
            _("Count sheets"),
            [
                Column(title=_("Sheet"), text=lambda row: str(row.number), chars=6, strong=True),
                Column(
                    title=_("Opened"),
                    text=lambda row: sheet_line(row, self._work.figures),
                    stretch=True,
                    chars=18,
                ),
                Column(
                    title="",
                    text=lambda row: _("Closed") if row.closed else _("Open"),
                    chars=7,
                    state=lambda row: State.PLAIN if row.closed else State.SOON,
                ),
            ],
            key=lambda row: row.sheet_id,
            empty=_("Nothing was counted yet."),
            quiet=True,
        )
        table.fit_rows(_MOST_SHEETS)
        table.opened.connect(self._see)
        return table

    def _see(self, row: SheetRow) -> None:
        self._put_aside()
        self._keyboard_waits = True
        self.open_at(str(row.sheet_id))


def _same(one: ToCount, other: ToCount) -> bool:
    return (one.item_id, one.container_id) == (other.item_id, other.container_id)


def _read(rooms: Rooms, subject: str) -> _Read:
    sheets = rooms.counting.sheets()
    open_ones = [row.sheet_id for row in sheets if not row.closed]
    wanted = int(subject) if subject.isdecimal() else next(iter(open_ones), None)
    return _Read(
        sheets=sheets,
        view=rooms.counting.sheet(wanted) if wanted is not None else None,
        flagged=frozenset(row.item_id for row in rooms.stock.on_hand() if row.count_due),
    )
