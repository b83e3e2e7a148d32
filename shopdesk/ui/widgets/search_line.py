"""A field that narrows a list while one types."""

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.controls import Line


class SearchLine(Line):
    """A line with the looking glass before it. Esc empties it first; ``down`` asks for the list below."""

    down = Signal()

    def __init__(self, look: Look, name: str, hint: str, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._look = look
        self.setPlaceholderText(hint)
        self.setAccessibleName(name)
        self.setClearButtonEnabled(True)
        self._glass = QAction(self)
        self.addAction(self._glass, QLineEdit.ActionPosition.LeadingPosition)
        look.changed.connect(self._draw)
        self._draw()

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

    def _draw(self) -> None:
        self._glass.setIcon(self._look.icon("search", "ink2", 16))
