"""Short facts beside one another, each under its name, in as many columns as there is room for."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_WIDE, RADIUS, TextRole
from shopdesk.ui.widgets.plain_label import PlainLabel

_LEAST = 104


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
        columns = max(1, min(room // (self._look.px(_LEAST) + self._look.px(GAP_WIDE)), 9))
        if columns == self._columns:
            return
        for number in range(max(columns, self._columns)):
            self._grid.setColumnStretch(number, 1 if number < columns else 0)
        self._columns = columns
        for number, cell in enumerate(self._cells):
            self._grid.addWidget(cell, number // columns, number % columns, Qt.AlignmentFlag.AlignTop)


class Sign(QWidget):
    """An icon beside words."""

    def __init__(
        self, look: Look, icon: str, tone: str, side: int = 16, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._look = look
        self._icon = icon
        self._tone = tone
        self._side = side
        look.changed.connect(self._fit)
        self._fit()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the icon."""
        side = self._look.px(self._side)
        painter = QPainter(self)
        icon = self._look.icon(self._icon, self._tone, self._side)
        icon.paint(painter, 0, (self.height() - side) // 2, side, side)
        painter.end()

    def _fit(self) -> None:
        side = self._look.px(self._side)
        self.setFixedSize(side, side + self._look.px(3))


class WarningLine(QWidget):
    """A warning that must be seen: a triangle, what it is about, and the words as they were typed."""

    def __init__(self, look: Look, about: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._about = about
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self._words = PlainLabel("", wrap=True)
        row = QHBoxLayout(self)
        row.setContentsMargins(look.px(GAP), look.px(5), look.px(GAP), look.px(5))
        row.setSpacing(look.px(GAP))
        top = Qt.AlignmentFlag.AlignTop
        row.addWidget(Sign(look, "triangle-alert", "soon"), 0, top)
        row.addWidget(PlainLabel(about, strong=True), 0, top)
        row.addWidget(self._words, 1, top)
        self.hide()

    def show_warning(self, words: str) -> None:
        """Show a warning, or nothing where there is none."""
        self._words.setText(words)
        self.setAccessibleName(f"{self._about}: {words}" if words else "")
        self.setVisible(bool(words))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the ground."""
        look = self._look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(look.colour("soon"))
        painter.setBrush(look.colour("soon_soft"))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), RADIUS, RADIUS)
        painter.end()
