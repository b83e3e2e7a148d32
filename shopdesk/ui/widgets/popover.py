"""A small panel over the page, beside the thing it explains. Esc, Tab or a click elsewhere closes it."""

from PySide6.QtCore import QEvent, QObject, QPoint, Qt
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QApplication, QFrame, QLayout, QScrollArea, QVBoxLayout, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_WIDE

_WIDEST = 560
_FRAME = 8
_EDGE = 8


class Popover(QFrame):
    """Shows parts near a widget and goes away when it is left. Up and Down scroll it."""

    def __init__(self, look: Look, beside: QWidget, name: str) -> None:
        super().__init__(beside.window())
        self.setProperty("part", "floating")
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._look = look
        self._beside = beside
        self._page = QWidget()
        self._page.setProperty("part", "page")
        self._column = QVBoxLayout(self._page)
        self._column.setContentsMargins(*(look.px(GAP_WIDE),) * 4)
        self._column.setSpacing(look.px(GAP))
        self._area = QScrollArea()
        self._area.setFrameShape(QFrame.Shape.NoFrame)
        self._area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._area.setWidgetResizable(True)
        self._area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._area.setWidget(self._page)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(*(_FRAME // 2 - 1,) * 4)
        whole.addWidget(self._area)
        self.hide()

    def add(self, part: QWidget | QLayout) -> None:
        """Put a part beneath the others."""
        if isinstance(part, QWidget):
            self._column.addWidget(part)
        else:
            self._column.addLayout(part)

    def open(self) -> None:
        """Show the panel under its widget, or above it when there is no room below."""
        window = self.window()
        wanted = self._page.sizeHint().width() + _FRAME
        width = min(wanted, self._look.px(_WIDEST), window.width() - 2 * _EDGE)
        self._page.setFixedWidth(width - _FRAME)
        height = self._height(width)
        corner = self._beside.mapTo(window, QPoint(0, self._beside.height() + 4))
        if corner.y() + height > window.height() - _EDGE:
            above = corner.y() - self._beside.height() - height - 8
            corner.setY(max(_EDGE, min(above, window.height() - _EDGE - height)))
        corner.setX(max(_EDGE, min(corner.x(), window.width() - width - _EDGE)))
        self.setGeometry(corner.x(), corner.y(), width, height)
        self.show()
        self.raise_()
        self.setFocus(Qt.FocusReason.PopupFocusReason)
        app = QApplication.instance()
        if app is not None:
            app.installEventFilter(self)

    def _height(self, width: int) -> int:
        """Return the height that shows everything, or the window's if that is less."""
        most = self.window().height() - 2 * _EDGE
        self.resize(width, min(self._page.sizeHint().height() + _FRAME, most))
        self.ensurePolished()
        self._column.activate()
        high = max(self._column.minimumHeightForWidth(width - _FRAME), self._column.minimumSize().height())
        return min(max(self.height(), high + _FRAME), most)

    def dismiss(self, *, give_back: bool = True) -> None:
        """Close; the keyboard goes back to what was explained."""
        if self.isHidden():
            return
        self.hide()
        if give_back:
            self._beside.setFocus(Qt.FocusReason.PopupFocusReason)
        self.deleteLater()

    def event(self, event: QEvent) -> bool:
        """Keep Esc for itself."""
        override = event.type() is QEvent.Type.ShortcutOverride
        if override and isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Esc and Enter close, Up and Down scroll."""
        bar = self._area.verticalScrollBar()
        if event.key() in (Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.dismiss()
        elif event.key() == Qt.Key.Key_Down:
            bar.setValue(bar.value() + self._look.px(40))
        elif event.key() == Qt.Key.Key_Up:
            bar.setValue(bar.value() - self._look.px(40))
        else:
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Go away when the keyboard goes elsewhere in the window."""
        super().focusOutEvent(event)
        if event.reason() is not Qt.FocusReason.ActiveWindowFocusReason:
            self.dismiss(give_back=False)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Go away at a click elsewhere."""
        if isinstance(event, QMouseEvent) and event.type() is QEvent.Type.MouseButtonPress:
            inside = self.rect().contains(self.mapFromGlobal(event.globalPosition().toPoint()))
            if not inside and isinstance(watched, QWidget):
                self.dismiss(give_back=False)
        return super().eventFilter(watched, event)
