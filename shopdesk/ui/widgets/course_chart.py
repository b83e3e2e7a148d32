"""Something over a unit's services: marks by day, with their spread, over the sheet's window."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from shopdesk.ui.presenters.unit_words import Course, CoursePicture, Place
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import FOCUS_RING, RADIUS_SMALL, TextRole

_HIGH = 196
_MARK = 4.5


class CourseChart(QWidget):
    """Left and Right walk along the services; the one reached is told beneath."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._picture = CoursePicture(name="")
        self._at = -1
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        look.changed.connect(self.updateGeometry)

    def set_picture(self, picture: CoursePicture) -> None:
        """Show a picture; the last service is told first."""
        self._picture = picture
        self._at = len(picture.told) - 1
        self.setAccessibleName(picture.name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus if picture.courses else Qt.FocusPolicy.NoFocus)
        self._describe()

    def told(self) -> str:
        """Return the words of the service told beneath, or why there is none."""
        return self._picture.told[self._at] if self._picture.courses else self._picture.empty

    def sizeHint(self) -> QSize:
        """As wide as there is room."""
        return QSize(self._look.px(320), self._look.px(_HIGH))

    def minimumSizeHint(self) -> QSize:
        """Narrow still shows the course."""
        return QSize(self._look.px(200), self._look.px(_HIGH))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Walk along the services."""
        by = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()), 0)
        if not by or event.modifiers():
            super().keyPressEvent(event)
            return
        self._at = min(max(self._at + by, 0), len(self._picture.told) - 1)
        self._describe()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(self._look.font(TextRole.NOTE))
        if self._picture.courses:
            plot = self._plot(painter)
            self._draw_names(painter)
            self._draw_ground(painter, plot)
            self._draw_sides(painter, plot)
            for number, course in enumerate(self._picture.courses):
                self._draw_course(painter, plot, course, number)
        self._draw_told(painter)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(self._look.colour("accent"), FOCUS_RING))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), RADIUS_SMALL, RADIUS_SMALL)
        painter.end()

    def _plot(self, painter: QPainter) -> QRectF:
        metrics, px = painter.fontMetrics(), self._look.px
        widest = max(metrics.horizontalAdvance(words) for _at, words in self._picture.upward)
        line = metrics.height()
        return QRectF(self.rect()).adjusted(widest + px(14), line + px(12), -px(10), -(2 * line + px(14)))

    def _draw_names(self, painter: QPainter) -> None:
        """Each course's mark and name, at the top."""
        px, metrics = self._look.px, painter.fontMetrics()
        left, middle = float(px(8)), px(4) + metrics.height() / 2
        for number, course in enumerate(self._picture.courses):
            self._draw_mark(painter, QPointF(left + px(5), middle), course.tone, number)
            painter.setPen(self._look.colour("ink2"))
            left += px(14)
            room = QRectF(left, px(4), self.width() - left, metrics.height())
            painter.drawText(room, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, course.name)
            left += metrics.horizontalAdvance(course.name) + px(14)

    def _draw_ground(self, painter: QPainter, plot: QRectF) -> None:
        look, picture = self._look, self._picture
        painter.setPen(QPen(look.colour("line"), 1))
        painter.setBrush(look.colour("surface"))
        painter.drawRect(plot)
        if picture.band is not None:
            low, high = (_at(plot, (0.0, bound)).y() for bound in picture.band)
            band = QRectF(QPointF(plot.left(), high), QPointF(plot.right(), low))
            painter.fillRect(band, look.colour("ok_soft"))
            painter.setPen(QPen(look.colour("ok"), look.px(1.5)))
            painter.drawLine(band.topLeft(), band.topRight())
            painter.drawLine(band.bottomLeft(), band.bottomRight())
        if picture.zero is not None:
            painter.setPen(QPen(look.colour("edge"), 1, Qt.PenStyle.DashLine))
            painter.drawLine(_at(plot, (0.0, picture.zero)), _at(plot, (1.0, picture.zero)))
        if self.hasFocus() and self._picture.across:
            x = self._picture.across[self._at][0]
            painter.setPen(QPen(look.colour("accent"), 1))
            painter.drawLine(_at(plot, (x, 0.0)), _at(plot, (x, 1.0)))

    def _draw_sides(self, painter: QPainter, plot: QRectF) -> None:
        look, metrics = self._look, painter.fontMetrics()
        px, line = look.px, metrics.height()
        painter.setPen(look.colour("ink2"))
        for at, words in self._picture.upward:
            y = _at(plot, (0.0, at)).y()
            painter.drawLine(QPointF(plot.left() - px(4), y), QPointF(plot.left(), y))
            room = QRectF(0, y - line / 2, plot.left() - px(7), line)
            painter.drawText(room, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, words)
        right = 0.0
        for at, words in self._picture.across:
            x, half = _at(plot, (at, 0.0)).x(), metrics.horizontalAdvance(words) / 2
            painter.drawLine(QPointF(x, plot.bottom()), QPointF(x, plot.bottom() + px(4)))
            x = min(x, self.width() - half - px(2))
            if x - half > right + px(6):
                room = QRectF(x - half - 1, plot.bottom() + px(5), 2 * half + 2, line)
                painter.drawText(room, Qt.AlignmentFlag.AlignCenter, words)
                right = x + half

    def _draw_course(self, painter: QPainter, plot: QRectF, course: Course, number: int) -> None:
        look = self._look
        known = [_at(plot, place) for place in course.places if place is not None]
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(look.colour(course.tone), look.px(1.4)))
        painter.drawPolyline(known)
        for place, spread in zip(course.places, course.spread, strict=False):
            if place is not None and spread is not None:
                low, high = (_at(plot, (place[0], bound)) for bound in spread)
                painter.drawLine(low, high)
                for end in (low, high):
                    reach = QPointF(look.px(4), 0)
                    painter.drawLine(end - reach, end + reach)
        for point in known:
            self._draw_mark(painter, point, course.tone, number)

    def _draw_mark(self, painter: QPainter, point: QPointF, tone: str, number: int) -> None:
        """Courses are told apart by shape as well: a dot, an open ring, a square."""
        look = self._look
        half, colour = look.px(_MARK), look.colour(tone)
        painter.setPen(QPen(colour, look.px(1.6)))
        painter.setBrush(look.colour("surface") if number == 0 and len(self._picture.courses) > 1 else colour)
        if number == 2:
            painter.drawRect(QRectF(point.x() - half * 0.8, point.y() - half * 0.8, half * 1.6, half * 1.6))
        else:
            painter.drawEllipse(point, half, half)

    def _draw_told(self, painter: QPainter) -> None:
        look = self._look
        line = painter.fontMetrics().height()
        room = QRectF(look.px(8), self.height() - line - look.px(3), self.width() - look.px(16), line)
        painter.setPen(look.colour("ink2"))
        shown = painter.fontMetrics().elidedText(self.told(), Qt.TextElideMode.ElideRight, int(room.width()))
        painter.drawText(room, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, shown)

    def _describe(self) -> None:
        told = self.told()
        self.setAccessibleDescription(told)
        self.update()


def _at(plot: QRectF, place: Place) -> QPointF:
    return QPointF(plot.left() + plot.width() * place[0], plot.bottom() - plot.height() * place[1])
