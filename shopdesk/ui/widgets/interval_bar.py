"""How much of an interval has been run: a plain bar, because a glass would read as a fluid level."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.state_mark import State, state_tone


def draw_interval(painter: QPainter, look: Look, box: QRectF, used: float | None, state: State) -> None:
    """Draw the share ``used`` of an interval (1.0 = all of it; more is drawn full; None = not known)."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    round_by = box.height() / 2
    line = Qt.PenStyle.DotLine if used is None else Qt.PenStyle.SolidLine
    painter.setPen(QPen(look.colour("edge"), 1, line))
    painter.setBrush(look.colour("sunken"))
    painter.drawRoundedRect(box, round_by, round_by)
    if used is not None and used > 0:
        part = QRectF(box)
        part.setWidth(max(box.height(), box.width() * min(used, 1.0)))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(look.colour(state_tone(state)))
        painter.drawRoundedRect(part, round_by, round_by)
    painter.restore()


class IntervalBar(QWidget):
    """An interval bar as a part of a page; ``words`` tell the same to a screen reader."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._used: float | None = None
        self._state = State.UNKNOWN
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        look.changed.connect(self.updateGeometry)

    def set_used(self, used: float | None, state: State, words: str) -> None:
        """Show the share of the interval that has been run."""
        self._used = used
        self._state = state
        self.setAccessibleName(words)
        self.update()

    def sizeHint(self) -> QSize:
        """A thin bar as long as there is room."""
        return QSize(self._look.px(120), self._look.px(8))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the bar."""
        painter = QPainter(self)
        box = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        draw_interval(painter, self._look, box, self._used, self._state)
        painter.end()
