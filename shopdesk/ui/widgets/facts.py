"""Short facts beside one another, each under its name, in as many columns as there is room for."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_WIDE, RADIUS, TextRole
from shopdesk.ui.widgets.plain_label import PlainLabel

_LEAST = 130
_MARK = 18


class Facts(QWidget):
    """Names with their values. Empty ones are left out."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._cells: list[QWidget] = []
        self._columns = 0
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(look.px(GAP_WIDE))
        self._grid.setVerticalSpacing(look.px(GAP))
        look.changed.connect(self._arrange)

    def show_facts(self, facts: Sequence[tuple[str, str]]) -> None:
        """Show these (name, value) pairs in place of the ones before."""
        for cell in self._cells:
            self._grid.removeWidget(cell)
            cell.hide()
            cell.deleteLater()
        self._cells = [self._cell(name, value) for name, value in facts if value]
        self._columns = 0
        self._arrange()

    def texts(self) -> list[str]:
        """Return every fact in one line each."""
        return [cell.accessibleName() for cell in self._cells]

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Take another number of columns when the width asks for it."""
        super().resizeEvent(event)
        self._arrange()

    def _cell(self, name: str, value: str) -> QWidget:
        cell = QWidget(self)
        cell.setAccessibleName(f"{name}: {value}")
        column = QVBoxLayout(cell)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(PlainLabel(name, TextRole.HELP, tone="ink2"))
        column.addWidget(PlainLabel(value, wrap=True))
        column.addStretch(1)
        cell.show()
        return cell

    def _arrange(self) -> None:
        room = self.width() + self._look.px(GAP_WIDE)
        columns = max(1, min(room // (self._look.px(_LEAST) + self._look.px(GAP_WIDE)), 8))
        if columns == self._columns:
            return
        for number in range(max(columns, self._columns)):
            self._grid.setColumnStretch(number, 1 if number < columns else 0)
        self._columns = columns
        for number, cell in enumerate(self._cells):
            self._grid.addWidget(cell, number // columns, number % columns, Qt.AlignmentFlag.AlignTop)


class WarningLine(QWidget):
    """A warning that must be seen: a triangle, what it is about, and the words as they were typed."""

    def __init__(self, look: Look, about: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._about = about
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self._name = PlainLabel(about, strong=True)
        self._name.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._words = PlainLabel("", wrap=True)
        row = QHBoxLayout(self)
        row.setContentsMargins(look.px(GAP_WIDE + _MARK), look.px(6), look.px(GAP_WIDE), look.px(6))
        row.setSpacing(look.px(GAP))
        row.addWidget(self._name, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self._words, 1)
        self.hide()

    def show_warning(self, words: str) -> None:
        """Show a warning, or nothing where there is none."""
        self._words.setText(words)
        self.setAccessibleName(f"{self._about}: {words}" if words else "")
        self.setVisible(bool(words))

    def minimumSizeHint(self) -> QSize:
        """One line at least."""
        return QSize(self._look.px(120), self._look.px(30))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the ground and the triangle."""
        look = self._look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(look.colour("soon"))
        painter.setBrush(look.colour("soon_soft"))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), RADIUS, RADIUS)
        side = look.px(16)
        icon = look.icon("triangle-alert", "soon", 16)
        icon.paint(painter, look.px(10), look.px(8), side, side)
        painter.end()
