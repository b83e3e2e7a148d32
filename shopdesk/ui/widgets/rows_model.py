"""A list read page by page. It never asks how long the list is, and never for all of it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt, Signal

from shopdesk.ui.widgets.state_mark import State

Row = TypeVar("Row")
Index = QModelIndex | QPersistentModelIndex

PAGE = 100
MOST_REREAD = 400


@dataclass(frozen=True, kw_only=True)  # a frozen generic with slots cannot be subscripted when called
class Column(Generic[Row]):
    """One column. ``key`` is what the source sorts by (empty: not sortable); ``chars`` the usual width
    in characters; ``state`` makes a badge of the text; ``optional`` columns go when there is no room."""

    title: str
    text: Callable[[Row], str]
    key: str = ""
    chars: int = 12
    stretch: bool = False
    number: bool = False
    strong: bool = False
    optional: bool = False
    state: Callable[[Row], State] | None = None


@dataclass(frozen=True, kw_only=True)  # a frozen generic with slots cannot be subscripted when called
class RowsQuery(Generic[Row]):
    """What a source is asked: a filter text, a choice beside it, an order, and which window of rows.

    ``after`` is the last row of the page before, for sources that go on from a key; others use ``offset``.
    """

    text: str = ""
    choice: str = ""
    order: str = ""
    descending: bool = False
    offset: int = 0
    limit: int = PAGE
    after: Row | None = None


Source = Callable[[RowsQuery[Row]], Sequence[Row]]


class RowsModel(QAbstractTableModel, Generic[Row]):
    """Rows seen so far. ``wanted`` asks for the next window when the view comes near the end."""

    wanted = Signal()

    def __init__(self, columns: Sequence[Column[Row]], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.columns = tuple(columns)
        self.rows: list[Row] = []
        self._more = False
        self._asked = False

    def show_first(self, rows: Sequence[Row], *, more: bool) -> None:
        """Show these rows in place of all before."""
        self.beginResetModel()
        self.rows = list(rows)
        self._more = more
        self._asked = False
        self.endResetModel()

    def show_next(self, rows: Sequence[Row], *, more: bool) -> None:
        """Show these rows after those before."""
        self._asked = False
        self._more = more
        if not rows:
            return
        first = len(self.rows)
        self.beginInsertRows(QModelIndex(), first, first + len(rows) - 1)
        self.rows.extend(rows)
        self.endInsertRows()

    def rowCount(self, parent: Index | None = None) -> int:
        """Rows seen so far."""
        return 0 if parent is not None and parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index | None = None) -> int:
        """All columns, shown or not."""
        return 0 if parent is not None and parent.isValid() else len(self.columns)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Words only; everything else is drawn by the delegate."""
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return self.columns[index.column()].text(self.rows[index.row()])
        return None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        """Titles, over figures at the right."""
        if orientation is not Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self.columns[section].title
        if role == Qt.ItemDataRole.TextAlignmentRole:
            side = Qt.AlignmentFlag.AlignRight if self.columns[section].number else Qt.AlignmentFlag.AlignLeft
            return int(side | Qt.AlignmentFlag.AlignVCenter)
        return None

    def canFetchMore(self, parent: Index) -> bool:
        """Whether there may be rows after the last seen."""
        return not parent.isValid() and self._more and not self._asked

    def fetchMore(self, parent: Index) -> None:
        """Ask for the next window once."""
        if self.canFetchMore(parent):
            self._asked = True
            self.wanted.emit()

    def first_query(self, query: RowsQuery[Row]) -> RowsQuery[Row]:
        """Return the question for the first window, as long as what has been seen (within reason)."""
        limit = min(max(PAGE, len(self.rows)), MOST_REREAD)
        return replace(query, offset=0, limit=limit, after=None)

    def next_query(self, query: RowsQuery[Row]) -> RowsQuery[Row]:
        """Return the question for the window after the last row seen."""
        last = self.rows[-1] if self.rows else None
        return replace(query, offset=len(self.rows), limit=PAGE, after=last)
