"""The level of a product over time: a line of fluid with the owner's marks, and counts as dots."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from shopdesk.ui.presenters.history import Picture
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import TextRole

_WIDTH, _HEIGHT, _DOT = 320, 150, 4


class LevelChart(QWidget):
    """Draws a picture. What it shows is said in its accessible name."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._picture: Picture | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        look.changed.connect(self.updateGeometry)

    def show_picture(self, picture: Picture) -> None:
        """Show another picture."""
        self._picture = picture
        self.setAccessibleName(picture.words)
        self.update()

    def sizeHint(self) -> QSize:
        """Wide and low."""
        return QSize(self._look.px(_WIDTH), self._look.px(_HEIGHT))

    def minimumSizeHint(self) -> QSize:
        """It may be narrower, not lower."""
        return QSize(self._look.px(_WIDTH // 2), self._look.px(_HEIGHT))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the marks, the line and the dots, with the days beneath."""
        if self._picture is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(self._look.font(TextRole.HELP))
        line = painter.fontMetrics().height()
        box = QRectF(self.rect()).adjusted(1, line, -1, -line - self._look.px(2))
        self._draw_words(painter, box, self._picture)
        self._draw_level(painter, box, self._picture)
        self._draw_marks(painter, box, self._picture)
        self._draw_dots(painter, box, self._picture)
        painter.end()

    def _draw_words(self, painter: QPainter, box: QRectF, picture: Picture) -> None:
        painter.setPen(self._look.colour("ink2"))
        top, line = QRectF(self.rect()), painter.fontMetrics().height()
        left = int(Qt.AlignmentFlag.AlignLeft)
        beneath = QRectF(box.left(), box.bottom() + self._look.px(2), box.width(), line)
        painter.drawText(top, left | int(Qt.AlignmentFlag.AlignTop), picture.top)
        painter.drawText(beneath, left, picture.first)
        painter.drawText(beneath, int(Qt.AlignmentFlag.AlignRight), picture.last)

    def _draw_level(self, painter: QPainter, box: QRectF, picture: Picture) -> None:
        corners = [_at(box, *step) for step in picture.steps]
        ground = [_at(box, picture.steps[-1][0], picture.zero), _at(box, picture.steps[0][0], picture.zero)]
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._look.colour("fluid_soft"))
        painter.drawPolygon(QPolygonF([*corners, *ground]))
        painter.setPen(QPen(self._look.colour("edge"), 1))
        painter.drawLine(_at(box, 0, picture.zero), _at(box, 1, picture.zero))
        painter.setPen(QPen(self._look.colour("fluid"), 2))
        painter.drawPolyline(QPolygonF(corners))

    def _draw_marks(self, painter: QPainter, box: QRectF, picture: Picture) -> None:
        for mark, style in ((picture.order_at, Qt.PenStyle.DashLine), (picture.fill_to, Qt.PenStyle.DotLine)):
            if mark is not None:
                painter.setPen(QPen(self._look.colour("ink2"), 1.2, style))
                painter.drawLine(_at(box, 0, mark), _at(box, 1, mark))

    def _draw_dots(self, painter: QPainter, box: QRectF, picture: Picture) -> None:
        side = self._look.px(_DOT)
        painter.setPen(QPen(self._look.colour("ink"), 1.4))
        painter.setBrush(self._look.colour("surface"))
        for across, up, doubt in picture.dots:
            painter.drawLine(_at(box, across, up - doubt), _at(box, across, up + doubt))
            painter.drawEllipse(_at(box, across, up), side, side)


def _at(box: QRectF, across: float, up: float) -> QPointF:
    return QPointF(box.left() + across * box.width(), box.bottom() - up * box.height())
