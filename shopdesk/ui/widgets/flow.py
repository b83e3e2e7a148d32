"""Parts beside one another that go on in the next row when there is no room."""

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QWidget


class Flow(QLayout):
    """Lays parts out from the left at their own size; the height follows the width."""

    def __init__(self, gap: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._items: list[QLayoutItem] = []
        self._heights: dict[int, int] = {}
        self.setContentsMargins(0, 0, 0, 0)
        self.setSpacing(gap)

    def addItem(self, item: QLayoutItem, /) -> None:
        """Take a part."""
        self._items.append(item)

    def count(self) -> int:
        """How many parts there are."""
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:
        """The part at a place, or None."""
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        """Give a part back."""
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:
        """Takes no more than it needs."""
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        """Fewer parts fit a narrower row."""
        return True

    def heightForWidth(self, width: int, /) -> int:
        """The height of all rows at a width. A layout around this one asks for it again and again."""
        if width not in self._heights:
            self._heights[width] = self._lay(QRect(0, 0, width, 0), move=False)
        return self._heights[width]

    def invalidate(self) -> None:
        """Forget the heights, because a part has come, gone or changed."""
        self._heights.clear()
        super().invalidate()

    def setGeometry(self, rect: QRect, /) -> None:
        """Place the parts."""
        super().setGeometry(rect)
        self._lay(rect, move=True)

    def sizeHint(self) -> QSize:
        """Everything in one row."""
        hints = [item.sizeHint() for item in self._shown()]
        width = sum(hint.width() for hint in hints) + max(0, len(hints) - 1) * self.spacing()
        return QSize(width, max((hint.height() for hint in hints), default=0))

    def minimumSize(self) -> QSize:
        """The widest part alone."""
        least = QSize(0, 0)
        for item in self._shown():
            least = least.expandedTo(item.minimumSize())
        return least

    def _shown(self) -> list[QLayoutItem]:
        return [item for item in self._items if not item.isEmpty()]

    def _lay(self, rect: QRect, *, move: bool) -> int:
        x, y, high = rect.x(), rect.y(), 0
        for item in self._shown():
            size = item.sizeHint()
            if x > rect.x() and x + size.width() > rect.x() + rect.width():
                x, y, high = rect.x(), y + high + self.spacing(), 0
            if move:
                item.setGeometry(QRect(QPoint(x, y), size))
            x += size.width() + self.spacing()
            high = max(high, size.height())
        return y + high - rect.y()
