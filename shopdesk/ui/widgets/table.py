"""A list of rows: drawn plainly, read in windows, sorted and filtered by its source."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from gettext import gettext as _
from typing import Any, Generic, TypeVar

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRectF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QSizePolicy,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from shopdesk.ui.background import Background
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import BAY_ROW, FOCUS_RING, ROW_HEIGHT, TextRole
from shopdesk.ui.widgets.rows_model import Column, RowsModel, RowsQuery, Source
from shopdesk.ui.widgets.state_mark import badge_size, draw_badge

Row = TypeVar("Row")
_PAD = 10
_LEAST_COLUMN = 90


class RowDelegate(QStyledItemDelegate):
    """Draws a cell: words, or a badge; the chosen row on soft petrol with a bar at its start."""

    def __init__(self, look: Look, model: RowsModel[Any], view: QWidget, *, quiet: bool) -> None:
        super().__init__(view)
        self._look = look
        self._model = model
        self._view = view
        self._quiet = quiet

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Draw one cell."""
        look = self._look
        column = self._model.columns[index.column()]
        row = self._model.rows[index.row()]
        box = QRectF(option.rect)
        chosen = option.state & QStyle.StateFlag.State_Selected
        if chosen and (self._view.hasFocus() or not self._quiet):
            painter.fillRect(box, look.colour("accent_soft"))
            if index.column() == 0:
                painter.fillRect(QRectF(box.left(), box.top(), 3, box.height()), look.colour("accent"))
        room = box.adjusted(look.px(_PAD), 0, -look.px(_PAD), 0)
        words = column.text(row)
        if column.state is not None:
            self._badge(painter, room, column, row, words)
            return
        painter.setFont(look.font(TextRole.BODY, strong=column.strong))
        painter.setPen(look.colour("ink"))
        side = Qt.AlignmentFlag.AlignRight if column.number else Qt.AlignmentFlag.AlignLeft
        shown = painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, int(room.width()))
        painter.drawText(room, int(side | Qt.AlignmentFlag.AlignVCenter), shown)

    def _badge(self, painter: QPainter, room: QRectF, column: Column[Any], row: object, words: str) -> None:
        if not words or column.state is None:
            return
        state = column.state(row)
        size = badge_size(self._look, state, words, self._look.font(TextRole.HELP, strong=True))
        height = min(size.height(), room.height() - 2)
        top = room.center().y() - height / 2
        box = QRectF(room.left(), top, min(size.width(), room.width()), height)
        draw_badge(painter, self._look, box, state, words)


class RowTable(QTableView, Generic[Row]):
    """``opened`` tells the row on Enter or a double click, ``chosen`` the row the keyboard is on."""

    opened = Signal(object)
    chosen = Signal(object)
    shown = Signal()

    def __init__(
        self,
        look: Look,
        name: str,
        columns: Sequence[Column[Row]],
        *,
        key: Callable[[Row], object] | None = None,
        empty: str = "",
        bay: bool = False,
        quiet: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        """``key`` tells rows apart across readings; ``empty`` is said when there are none.

        A ``quiet`` list shows the chosen row only while it has the keyboard: for lists among lists, beside
        which nothing is shown about the row.
        """
        super().__init__(parent)
        self._look = look
        self._rows: RowsModel[Row] = RowsModel(columns, self)
        self._key = key or (lambda row: row)
        self._empty = empty
        self._height = BAY_ROW if bay else ROW_HEIGHT
        self._query: RowsQuery[Row] = RowsQuery()
        self._background: Background | None = None
        self._source: Source[Row] | None = None
        self._fit_most = 0
        self._read_once = False
        self.setAccessibleName(name)
        self.setModel(self._rows)
        self.setItemDelegate(RowDelegate(look, self._rows, self, quiet=quiet))
        self._rows.wanted.connect(self._read_next)
        self._set_up_view()
        look.changed.connect(self._measure)
        self._measure()

    @property
    def rows(self) -> Sequence[Row]:
        """The rows seen so far."""
        return self._rows.rows

    @property
    def query(self) -> RowsQuery[Row]:
        """The filter and order in force."""
        return self._query

    def current(self) -> Row | None:
        """Return the row the keyboard is on."""
        number = self.currentIndex().row()
        return self._rows.rows[number] if 0 <= number < len(self._rows.rows) else None

    def set_rows(self, rows: Sequence[Row]) -> None:
        """Show a few rows that are already there (lines of one invoice, say)."""
        self._show_first(rows, self.current(), more=False)

    def read_from(self, background: Background, source: Source[Row]) -> None:
        """Read windows of rows from ``source``, off the window's thread, beginning now."""
        self._background = background
        self._source = source
        self.refresh()

    def refresh(self) -> None:
        """Read again; the row the keyboard is on stays if it is still there."""
        self._read(self._rows.first_query(self._query), self.current)

    def ask(self, *, text: str | None = None, choice: str | None = None) -> None:
        """Ask for other rows, from the first."""
        query = self._query
        self._query = replace(
            query,
            text=query.text if text is None else text,
            choice=query.choice if choice is None else choice,
        )
        self._read(replace(self._query, offset=0, after=None), lambda: None)

    def sort_by(self, column: int) -> None:
        """Ask for the rows in the order of a column; once more turns the order round."""
        key = self._rows.columns[column].key
        if not key:
            return
        turned = self._query.order == key and not self._query.descending
        self._query = replace(self._query, order=key, descending=turned)
        order = Qt.SortOrder.DescendingOrder if turned else Qt.SortOrder.AscendingOrder
        self.horizontalHeader().setSortIndicatorShown(True)
        self.horizontalHeader().setSortIndicator(column, order)
        self._read(replace(self._query, offset=0, after=None), lambda: None)

    def fit_rows(self, most: int) -> None:
        """Be as high as the rows, up to ``most`` of them, instead of taking what room there is."""
        self._fit_most = most
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self._fit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter opens the row."""
        row = self.current()
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and row is not None:
            if event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
                event.ignore()
                return
            self.opened.emit(row)
            return
        super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Leave out what may be left out when there is no room."""
        super().resizeEvent(event)
        self._choose_columns()
        self._fit()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Say that there is nothing, if there is nothing."""
        super().paintEvent(event)
        if self._rows.rows or not self._empty or not self._read_once:
            return
        painter = QPainter(self.viewport())
        painter.setFont(self._look.font(TextRole.BODY))
        painter.setPen(self._look.colour("ink2"))
        box = QRectF(self.viewport().rect()).adjusted(_PAD, _PAD, -_PAD, -_PAD)
        painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap), self._empty)
        painter.end()

    def _read(self, query: RowsQuery[Row], stay_at: Callable[[], Row | None] | None) -> None:
        """Read a window; ``stay_at`` gives the row to stay at, or is None for a window that follows."""
        source, background = self._source, self._background
        if source is None or background is None:
            return
        background.read(
            self, "rows", lambda: source(query), lambda rows: self._take(rows, query.limit, stay_at)
        )

    def _read_next(self) -> None:
        self._read(self._rows.next_query(self._query), None)

    def _take(self, rows: Sequence[Row], limit: int, stay_at: Callable[[], Row | None] | None) -> None:
        more = len(rows) >= limit
        if stay_at is None:
            self._rows.show_next(rows, more=more)
        else:
            self._show_first(rows, stay_at(), more=more)
        self.shown.emit()

    def _show_first(self, rows: Sequence[Row], before: Row | None, *, more: bool) -> None:
        self._read_once = True
        self._rows.show_first(rows, more=more)
        self.setAccessibleDescription("" if rows else self._empty)
        self._choose_columns()
        self._fit()
        if rows:
            self.selectRow(self._place_of(before))

    def _place_of(self, row: Row | None) -> int:
        if row is None:
            return 0
        wanted = self._key(row)
        return next((n for n, each in enumerate(self._rows.rows) if self._key(each) == wanted), 0)

    def _set_up_view(self) -> None:
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setCornerButtonEnabled(False)
        self.verticalHeader().hide()
        head = self.horizontalHeader()
        head.setAccessibleName(_("Columns"))
        head.setHighlightSections(False)
        head.setSectionsClickable(True)
        head.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        head.sectionClicked.connect(self.sort_by)
        self.doubleClicked.connect(self._open)
        self.selectionModel().currentRowChanged.connect(self._tell_chosen)

    def _open(self, index: QModelIndex) -> None:
        self.opened.emit(self._rows.rows[index.row()])

    def _tell_chosen(self, current: QModelIndex, _before: QModelIndex) -> None:
        if current.isValid():
            self.chosen.emit(self._rows.rows[current.row()])

    def _measure(self) -> None:
        look = self._look
        rows = self.verticalHeader()
        rows.setMinimumSectionSize(look.px(self._height))
        rows.setDefaultSectionSize(look.px(self._height))
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.horizontalHeader().setFixedHeight(look.px(ROW_HEIGHT))
        for number in range(len(self._rows.columns)):
            self.setColumnWidth(number, self._wish(number))
        self._choose_columns()
        self._fit()

    def _wish(self, number: int) -> int:
        look, column = self._look, self._rows.columns[number]
        letter = look.font_metrics(TextRole.BODY).averageCharWidth()
        title = look.font_metrics(TextRole.BODY).horizontalAdvance(column.title)
        return max(column.chars * letter, title + look.px(6)) + 2 * look.px(_PAD)

    def _choose_columns(self) -> None:
        columns = self._rows.columns
        room = self.viewport().width()
        tight = sum(self._wish(number) for number in range(len(columns))) > room
        for number, column in enumerate(columns):
            self.setColumnHidden(number, tight and column.optional)
        wide = [number for number in range(len(columns)) if not self.isColumnHidden(number)]
        spare = room - sum(self._wish(number) for number in wide)
        takers = [number for number in wide if columns[number].stretch]
        least = self._look.px(_LEAST_COLUMN)
        for number in wide:
            share = spare // len(takers) if number in takers else 0
            self.setColumnWidth(number, max(least if share else 0, self._wish(number) + share))

    def _fit(self) -> None:
        if not self._fit_most:
            return
        shown = min(max(1, len(self._rows.rows)), self._fit_most)
        height = self._look.px(ROW_HEIGHT) + shown * self._look.px(self._height) + 2 * FOCUS_RING
        if self.horizontalHeader().length() > self.viewport().width():
            height += self.horizontalScrollBar().sizeHint().height()
        if height != self.height():
            self.setFixedHeight(height)
