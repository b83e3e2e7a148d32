"""A field that narrows a list while one types."""

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.controls import Line

_GLASS = 16
_PADDING = 26


class SearchLine(Line):
    """A line with the looking glass before it. Esc empties it first; ``down`` asks for the list below."""

    down = Signal()

    def __init__(self, look: Look, name: str, hint: str, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._look = look
        self._hint = hint
        self.setPlaceholderText(hint)
        self.setAccessibleName(name)
        look.changed.connect(self._fit)
        self._fit()

    def event(self, event: QEvent) -> bool:
        """Keep Esc for itself while there is something to empty."""
        override = event.type() is QEvent.Type.ShortcutOverride and bool(self.text())
        if override and isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Down goes to the list; Esc empties the field, and means "back" only when it is empty."""
        if event.key() == Qt.Key.Key_Down:
            self.down.emit()
        elif event.key() == Qt.Key.Key_Escape and self.text():
            self.clear()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the looking glass before the text."""
        super().paintEvent(event)
        side = self._look.px(_GLASS)
        painter = QPainter(self)
        icon = self._look.icon("search", "ink2", _GLASS)
        icon.paint(painter, self._look.px(10), (self.height() - side) // 2, side, side)
        painter.end()

    def _room(self) -> int:
        """Give the width there is for text, in pixels."""
        sides = self.textMargins()
        return self.width() - sides.left() - sides.right() - self._look.px(_PADDING)

    def _fit(self) -> None:
        self.setTextMargins(self._look.px(_GLASS + 8), 0, 0, 0)
