"""What "Find or do" lists: things found and things that can be done."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QPoint,
    QRectF,
    QSize,
    Qt,
)
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import TextRole

ROW = 44
WIDTH = 460


@dataclass(frozen=True, kw_only=True, slots=True)
class FindHit:
    """Something found: ``kind`` in words, and the page and subject that show it."""

    kind: str
    title: str
    detail: str
    page: str
    subject: str
    icon: str = "file-text"


@dataclass(frozen=True, kw_only=True, slots=True)
class Deed:
    """Something that can be done, with its key in words."""

    words: str
    key: str
    do: Callable[[], None]
    icon: str = "corner-down-left"


Entry = FindHit | Deed
_Index = QModelIndex | QPersistentModelIndex


class Entries(QAbstractListModel):
    """What is listed, as one line of words each."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.entries: tuple[Entry, ...] = ()

    def show(self, entries: Sequence[Entry]) -> None:
        self.beginResetModel()
        self.entries = tuple(entries)
        self.endResetModel()

    def rowCount(self, parent: _Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self.entries)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if role not in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return None
        return " ".join(_words(self.entries[index.row()]))


def _words(entry: Entry) -> tuple[str, str, str]:
    if isinstance(entry, Deed):
        return entry.words, "", entry.key
    return entry.title, entry.detail, entry.kind


class EntryDelegate(QStyledItemDelegate):
    """Draws an entry: icon, title, detail beneath, kind or key at the right."""

    def __init__(self, look: Look, entries: Entries, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self._entries = entries

    def sizeHint(self, _option: QStyleOptionViewItem, _index: _Index) -> QSize:
        return QSize(1, self._look.px(ROW))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        look = self._look
        entry = self._entries.entries[index.row()]
        title, detail, kind = _words(entry)
        box = QRectF(option.rect)
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(box, look.colour("accent_soft"))
            painter.fillRect(QRectF(box.left(), box.top(), 3, box.height()), look.colour("accent"))
        side = look.px(18)
        place = QPoint(int(box.left()) + look.px(12), int(box.center().y() - side / 2))
        look.icon(entry.icon, "ink2").paint(painter, place.x(), place.y(), side, side)
        room = box.adjusted(look.px(40), look.px(4), -look.px(12), -look.px(4))
        right = _draw(painter, look, room, TextRole.HELP, "ink2", kind, Qt.AlignmentFlag.AlignRight)
        room.setRight(room.right() - right - look.px(10))
        upper = room if not detail else QRectF(room.left(), room.top(), room.width(), room.height() / 2)
        _draw(painter, look, upper, TextRole.BODY, "ink", title, Qt.AlignmentFlag.AlignLeft)
        if detail:
            lower = QRectF(room.left(), room.center().y(), room.width(), room.height() / 2)
            _draw(painter, look, lower, TextRole.HELP, "ink2", detail, Qt.AlignmentFlag.AlignLeft)


def _draw(
    painter: QPainter, look: Look, room: QRectF, role: TextRole, tone: str, words: str, side: Qt.AlignmentFlag
) -> int:
    painter.setFont(look.font(role, strong=role is TextRole.BODY))
    painter.setPen(look.colour(tone))
    metrics = painter.fontMetrics()
    shown = metrics.elidedText(words, Qt.TextElideMode.ElideRight, int(room.width()))
    painter.drawText(room, int(side | Qt.AlignmentFlag.AlignVCenter), shown)
    return metrics.horizontalAdvance(shown)
