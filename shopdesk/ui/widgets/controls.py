"""Qt's own inputs with the few habits the program wants of them.

Each offers the same: ``typed`` gives its text, ``put`` sets it without telling, ``changed`` tells of a
change by the person, ``entered`` that Enter was pressed.
"""

from collections.abc import Sequence

from PySide6.QtCore import QPoint, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QPlainTextEdit, QSizePolicy, QWidget

from shopdesk.ui.theme.tokens import FOCUS_RING

#: Ways for the keyboard to come that leave the place in the text open.
_GO_ON = (Qt.FocusReason.OtherFocusReason, Qt.FocusReason.ShortcutFocusReason)
_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class Line(QLineEdit):
    """One line. With ``select_all`` a click into it selects everything, as the Tab key does."""

    entered = Signal()
    changed = Signal()

    def __init__(self, *, select_all: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._select_all = select_all
        self._fresh = False
        self.returnPressed.connect(self.entered)
        self.textChanged.connect(lambda _text: self.changed.emit())

    def typed(self) -> str:
        """Return the text."""
        return self.text()

    def put(self, text: str) -> None:
        """Set the text without telling."""
        self.blockSignals(True)
        self.setText(text)
        if not self.hasFocus():
            self.setCursorPosition(0)  # what is too long for the field shows its beginning
        self.blockSignals(False)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Remember that the field was just entered by a click; else typing goes on at the end."""
        super().focusInEvent(event)
        self._fresh = event.reason() is Qt.FocusReason.MouseFocusReason
        if event.reason() in _GO_ON and not self.hasSelectedText():
            self.end(False)
        if self._select_all:
            self.selectAll()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Select everything at the first click, unless a part was marked with the mouse."""
        super().mouseReleaseEvent(event)
        if self._select_all and self._fresh and not self.hasSelectedText():
            self.selectAll()
        self._fresh = False


class Pick(QComboBox):
    """A list to pick from. Enter goes on; the wheel turns it only while it has the keyboard.

    ``picked`` tells that a choice was taken from the open list, by a click or by Enter.
    """

    entered = Signal()
    changed = Signal()
    picked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(6)
        self._listed = False
        self.currentIndexChanged.connect(lambda _place: self.changed.emit())
        self.activated.connect(self._tell_picked)

    def offer(self, choices: Sequence[tuple[str, str]]) -> None:
        """Offer other choices (key, words); the one chosen stays if it is among them."""
        chosen = self.typed()
        self.blockSignals(True)
        self.clear()
        for key, words in choices:
            self.addItem(words, key)
        self.setCurrentIndex(max(0, self.findData(chosen)))
        self.blockSignals(False)

    def typed(self) -> str:
        """Return the key of the choice."""
        return str(self.currentData() or "")

    def put(self, text: str) -> None:
        """Choose a key without telling; an unknown key leaves the choice as it is."""
        place = self.findData(text)
        if place >= 0:
            self.blockSignals(True)
            self.setCurrentIndex(place)
            self.blockSignals(False)

    def showPopup(self) -> None:
        """Open the list."""
        self._listed = True
        super().showPopup()

    def _tell_picked(self, _place: int) -> None:
        if self._listed:
            self._listed = False
            self.picked.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter goes on to the next field."""
        self._listed = False  # a list left without a choice is no longer asked
        if event.key() in _ENTER:
            self.entered.emit()
            return
        super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the arrow that a style sheet leaves out."""
        super().paintEvent(event)
        side = self.fontMetrics().height() * 0.22
        centre = QPointF(self.width() - 4 * side - 4, self.height() / 2)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self.palette().text().color(), max(1.6, side / 2.5)))
        painter.drawPolyline(
            [
                centre + QPointF(-side, -side / 2),
                centre + QPointF(0, side / 2),
                centre + QPointF(side, -side / 2),
            ]
        )
        painter.end()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to the page while another field has the keyboard."""
        if self.hasFocus():
            self._listed = False
            super().wheelEvent(event)
        else:
            event.ignore()


class Notes(QPlainTextEdit):
    """Several lines. Tab leaves it; Enter makes a new line."""

    entered = Signal()
    changed = Signal()

    def __init__(self, lines: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lines = lines
        self.setTabChangesFocus(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.textChanged.connect(self._tell)
        self._quiet = False
        self.fit()

    def typed(self) -> str:
        """Return the text."""
        return self.toPlainText()

    def put(self, text: str) -> None:
        """Set the text without telling."""
        self._quiet = True
        self.setPlainText(text)
        self._quiet = False

    def _tell(self) -> None:
        if not self._quiet:
            self.changed.emit()

    def fit(self) -> None:
        """Take the height of its lines at the text size in force."""
        self.setFixedHeight(self.fontMetrics().lineSpacing() * self._lines + 22)


class Check(QCheckBox):
    """A tick: "yes" or nothing. Enter goes on, Space ticks."""

    entered = Signal()
    changed = Signal()

    def __init__(self, words: str, parent: QWidget | None = None) -> None:
        super().__init__(words, parent)
        self.toggled.connect(lambda _on: self.changed.emit())

    def sizeHint(self) -> QSize:
        """The box and its words."""
        metrics = self.fontMetrics()
        words = metrics.size(Qt.TextFlag.TextShowMnemonic, self.text())
        return QSize(metrics.height() + words.width() + 18, round(metrics.height() * 1.9))

    def hitButton(self, pos: QPoint) -> bool:
        """The words tick as well as the box."""
        return self.rect().contains(pos)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the box in the look's own colours, so that it can be seen on dark ground too."""
        palette = self.palette()
        side = self.fontMetrics().height() * 0.95
        box = QRectF(2.5, (self.height() - side) / 2, side, side)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        on = self.isChecked()
        painter.setPen(QPen(palette.highlight().color() if on else palette.dark().color(), 1.4))
        painter.setBrush(palette.highlight() if on else palette.base())
        painter.drawRoundedRect(box, 4, 4)
        if on:
            painter.setPen(QPen(palette.highlightedText().color(), side / 8))
            steps = [(0.24, 0.52), (0.43, 0.7), (0.76, 0.32)]
            painter.drawPolyline([box.topLeft() + QPointF(x * side, y * side) for x, y in steps])
        words = QRectF(box.right() + 9, 0, self.width() - box.right() - 9, self.height())
        painter.setPen(palette.windowText().color())
        flags = Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextShowMnemonic
        painter.drawText(words, int(flags), self.text())
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(palette.highlight().color(), FOCUS_RING))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 4, 4)
        painter.end()

    def typed(self) -> str:
        """Return "yes" or nothing."""
        return "yes" if self.isChecked() else ""

    def put(self, text: str) -> None:
        """Tick or clear without telling."""
        self.blockSignals(True)
        self.setChecked(bool(text))
        self.blockSignals(False)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter goes on to the next field."""
        if event.key() in _ENTER:
            self.entered.emit()
            return
        super().keyPressEvent(event)


Control = Line | Pick | Notes | Check
