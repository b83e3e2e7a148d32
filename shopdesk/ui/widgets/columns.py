"""Two columns that become one when the page is narrow or the text large; and a page that scrolls."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QFrame, QLayout, QScrollArea, QVBoxLayout, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP_WIDE


class Columns(QWidget):
    """A main column and a side column; the side goes beneath the main one when there is no room."""

    def __init__(
        self,
        look: Look,
        *,
        main: int = 7,
        side: int = 4,
        break_at: int = 780,
        parent: QWidget | None = None,
    ) -> None:
        """``main`` and ``side`` are shares of the width; below ``break_at`` pixels there is one column."""
        super().__init__(parent)
        self._look = look
        self._break_at = break_at
        self._box = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._box.setSpacing(look.px(GAP_WIDE))
        self._main = self._column(main)
        self._side = self._column(side)
        look.changed.connect(self._turn)

    @property
    def is_one(self) -> bool:
        """Whether there is one column only."""
        return self._box.direction() is QBoxLayout.Direction.TopToBottom

    def add_main(self, part: QWidget | QLayout, stretch: int = 0) -> None:
        """Put a part into the main column."""
        _put(self._main, part, stretch)

    def add_side(self, part: QWidget | QLayout, stretch: int = 0) -> None:
        """Put a part into the side column."""
        _put(self._side, part, stretch)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Turn one column into two or back."""
        super().resizeEvent(event)
        self._turn()

    def _column(self, share: int) -> QVBoxLayout:
        column = QVBoxLayout()
        column.setSpacing(self._look.px(GAP_WIDE))
        column.addStretch()
        self._box.addLayout(column, share)
        return column

    def _turn(self) -> None:
        narrow = self.width() < self._look.px(self._break_at)
        direction = QBoxLayout.Direction
        self._box.setDirection(direction.TopToBottom if narrow else direction.LeftToRight)


class Scroll(QScrollArea):
    """A page higher than the window: it scrolls, and follows the keyboard.

    Put it into the page before its parts: parts that move with it are dressed by the style sheet anew.
    """

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        page = QWidget()
        page.setProperty("part", "page")
        self._column = QVBoxLayout(page)
        self._column.setContentsMargins(0, 0, look.px(4), look.px(GAP_WIDE))
        self._column.setSpacing(look.px(GAP_WIDE))
        self._column.addStretch()
        self.setWidget(page)

    def add(self, part: QWidget | QLayout, stretch: int = 0) -> None:
        """Put a part beneath the others."""
        _put(self._column, part, stretch)


def _put(column: QVBoxLayout, part: QWidget | QLayout, stretch: int) -> None:
    """Put a part before the empty space at the end.

    Empty space, not an alignment: a layout that is aligned never grows for text that wraps.
    """
    if isinstance(part, QWidget):
        column.insertWidget(column.count() - 1, part, stretch)
    else:
        column.insertLayout(column.count() - 1, part, stretch)
