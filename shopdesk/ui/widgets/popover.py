"""A small panel beside the thing it explains. Esc or a click elsewhere closes it."""

from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QFrame, QLayout, QVBoxLayout, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_WIDE


class Popover(QFrame):
    """Shows a layout near a widget and deletes itself when closed."""

    def __init__(self, look: Look, beside: QWidget, name: str) -> None:
        super().__init__(beside.window(), Qt.WindowType.Popup | Qt.WindowType.FramelessWindowHint)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setProperty("part", "floating")
        self.setAccessibleName(name)
        self._beside = beside
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(*(look.px(GAP_WIDE),) * 4)
        self._column.setSpacing(look.px(GAP))
        self.setMaximumWidth(look.px(460))

    def add(self, part: QWidget | QLayout) -> None:
        """Put a part beneath the others."""
        if isinstance(part, QWidget):
            self._column.addWidget(part)
        else:
            self._column.addLayout(part)

    def open(self) -> None:
        """Show the panel under its widget, or above it when there is no room below."""
        self.adjustSize()
        corner = self._beside.mapToGlobal(QPoint(0, self._beside.height() + 4))
        screen = self._beside.screen().availableGeometry()
        if corner.y() + self.height() > screen.bottom():
            corner.setY(max(screen.top(), corner.y() - self._beside.height() - self.height() - 8))
        corner.setX(max(screen.left(), min(corner.x(), screen.right() - self.width())))
        self.move(corner)
        self.show()
        self.setFocus()
