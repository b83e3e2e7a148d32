"""Temperature against the clock: the window as a band, readings as dots, the forecast as a fan.

The fan is a range, never a promise; it begins at the last reading. Opening and closing of the level plug
are marked by a ring and a square. The same stands in words for those who cannot see it.
"""

from collections.abc import Sequence
from gettext import gettext as _

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from shopdesk.ui.presenters.window_band import BandPicture, Place, PlugMark
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import FOCUS_RING, RADIUS_SMALL, TextRole

_HIGH = 230
_LEAST_HIGH = 190
_FAN_ALPHA = 46


class WindowBand(QWidget):
    """Shows a picture made by the presenter. Left and Right walk along the readings, told beneath."""

    def __init__(self, look: Look, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._picture = BandPicture()
        self._at = -1
        self._follows = True
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        look.changed.connect(self.updateGeometry)

    @property
    def picture(self) -> BandPicture:
        """What is shown."""
        return self._picture

    def set_picture(self, picture: BandPicture) -> None:
        """Show another picture; the last reading is told beneath unless one has walked away from it."""
        self._picture = picture
        count = len(picture.dots)
        self._at = count - 1 if self._follows else min(self._at, count - 1)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus if picture.dots else Qt.FocusPolicy.NoFocus)
        self.setAccessibleDescription(" ".join(part for part in (picture.sentence, self.told()) if part))
        self.update()

    def told(self) -> str:
        """Return the words of the reading told beneath, or nothing."""
        return self._picture.dots[self._at].words if 0 <= self._at < len(self._picture.dots) else ""

    def sizeHint(self) -> QSize:
        """As wide as there is room."""
        return QSize(self._look.px(420), self._look.px(_HIGH))

    def minimumSizeHint(self) -> QSize:
        """Narrow still shows the course."""
        return QSize(self._look.px(220), self._look.px(_LEAST_HIGH))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Walk along the readings."""
        by = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()), 0)
        if not by or event.modifiers():
            super().keyPressEvent(event)
            return
        last = len(self._picture.dots) - 1
        self._at = min(max(self._at + by, 0), last)
        self._follows = self._at == last
        self.set_picture(self._picture)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(self._look.font(TextRole.NOTE))
        plot = self._plot(painter)
        painter.setPen(QPen(self._look.colour("line"), 1))
        painter.setBrush(self._look.colour("surface"))
        painter.drawRect(plot)
        painter.save()
        painter.setClipRect(plot)
        self._draw_window(painter, plot)
        self._draw_fan(painter, plot)
        painter.restore()
        self._draw_sides(painter, plot)
        self._draw_now(painter, plot)
        self._draw_bounds(painter, plot)
        self._draw_readings(painter, plot)
        self._draw_plug(painter, plot)
        self._draw_told(painter)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(self._look.colour("accent"), FOCUS_RING))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), RADIUS_SMALL, RADIUS_SMALL)
        painter.end()

    def _plot(self, painter: QPainter) -> QRectF:
        """The frame inside its texts: degrees at the left, the clock and the reading told beneath."""
        metrics, px = painter.fontMetrics(), self._look.px
        widest = max((metrics.horizontalAdvance(tick.text) for tick in self._picture.upward), default=0)
        line = metrics.height()
        return QRectF(self.rect()).adjusted(widest + px(14), line + px(6), -px(12), -(2 * line + px(16)))

    def _draw_window(self, painter: QPainter, plot: QRectF) -> None:
        low, high = self._picture.low, self._picture.high
        if low is None or high is None:
            return
        look = self._look
        band = QRectF(_at(plot, (0.0, high)), QPointF(plot.right(), _at(plot, (1.0, low)).y()))
        painter.fillRect(band, look.colour("ok_soft"))
        painter.setPen(QPen(look.colour("ok"), look.px(1.5)))
        painter.drawLine(band.topLeft(), band.topRight())
        painter.drawLine(band.bottomLeft(), band.bottomRight())

    def _draw_bounds(self, painter: QPainter, plot: QRectF) -> None:
        """The window's bounds in words, in the band's upper left corner."""
        high = self._picture.high
        if high is None or not self._picture.window:
            return
        look, metrics = self._look, painter.fontMetrics()
        wide = metrics.horizontalAdvance(self._picture.window) + look.px(4)
        corner = _at(plot, (0.0, high)) + QPointF(look.px(4), look.px(3))
        room = QRectF(corner.x(), corner.y(), wide, metrics.height())
        painter.fillRect(room, look.colour("ok_soft"))
        painter.setPen(look.colour("ink"))
        painter.drawText(room, Qt.AlignmentFlag.AlignCenter, self._picture.window)

    def _draw_fan(self, painter: QPainter, plot: QRectF) -> None:
        picture, look = self._picture, self._look
        if not picture.course:
            return
        shade = QColor(look.colour("ink2"))
        shade.setAlpha(_FAN_ALPHA)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(shade)
        painter.drawPolygon(QPolygonF(_places(plot, [*picture.upper, *reversed(picture.lower)])))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(look.colour("ink2"), look.px(2), Qt.PenStyle.DashLine))
        painter.drawPolyline(_places(plot, picture.course))

    def _draw_sides(self, painter: QPainter, plot: QRectF) -> None:
        look = self._look
        metrics, px = painter.fontMetrics(), look.px
        painter.setPen(look.colour("ink2"))
        line = metrics.height()
        for tick in self._picture.upward:
            y = _at(plot, (0.0, tick.at)).y()
            painter.drawLine(QPointF(plot.left() - px(4), y), QPointF(plot.left(), y))
            room = QRectF(0, y - line / 2, plot.left() - px(7), line)
            painter.drawText(room, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, tick.text)
        right = -1.0
        for tick in self._picture.across:
            x, half = _at(plot, (tick.at, 0.0)).x(), metrics.horizontalAdvance(tick.text) / 2
            painter.drawLine(QPointF(x, plot.bottom()), QPointF(x, plot.bottom() + px(4)))
            if x - half > right + px(6) and x + half <= self.width():
                room = QRectF(x - half - 1, plot.bottom() + px(5), 2 * half + 2, line)
                painter.drawText(room, Qt.AlignmentFlag.AlignCenter, tick.text)
                right = x + half

    def _draw_now(self, painter: QPainter, plot: QRectF) -> None:
        if self._picture.now is None or not 0 <= self._picture.now <= 1:
            return
        look = self._look
        x = _at(plot, (self._picture.now, 0.0)).x()
        painter.setPen(QPen(look.colour("ink"), look.px(1.5)))
        painter.drawLine(QPointF(x, plot.top() - look.px(3)), QPointF(x, plot.bottom()))
        words, line = _("now"), painter.fontMetrics().height()
        half = painter.fontMetrics().horizontalAdvance(words) / 2 + 1
        centre = min(max(x, plot.left() + half), plot.right() - half)
        room = QRectF(centre - half, plot.top() - look.px(4) - line, 2 * half, line)
        painter.drawText(room, Qt.AlignmentFlag.AlignCenter, words)

    def _draw_readings(self, painter: QPainter, plot: QRectF) -> None:
        look = self._look
        places = _places(plot, [dot.at for dot in self._picture.dots])
        many = len(places) > plot.width() / look.px(9)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(look.colour("ink"), look.px(1.6)))
        painter.drawPolyline(places)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(look.colour("ink"))
        side = look.px(2) if many else look.px(4)
        for place in places:
            painter.drawEllipse(place, side, side)
        if self.hasFocus() and 0 <= self._at < len(places):
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(look.colour("accent"), FOCUS_RING))
            painter.drawEllipse(places[self._at], look.px(8), look.px(8))

    def _draw_plug(self, painter: QPainter, plot: QRectF) -> None:
        named = self._picture.marks[-2:]
        for mark in self._picture.marks:
            self._draw_mark(painter, plot, mark, named=mark in named)

    def _draw_mark(self, painter: QPainter, plot: QRectF, mark: PlugMark, *, named: bool) -> None:
        look = self._look
        place, side = _at(plot, mark.at), look.px(6)
        painter.setPen(QPen(look.colour("ink"), look.px(2)))
        painter.setBrush(look.colour("ink" if mark.closes else "surface"))
        if mark.closes:
            painter.drawRect(QRectF(place.x() - side, place.y() - side, 2 * side, 2 * side))
        else:
            painter.drawEllipse(place, side, side)
        if not named:
            return
        metrics = painter.fontMetrics()
        wide, line = metrics.horizontalAdvance(mark.words) + look.px(6), metrics.height()
        left = min(max(place.x() - wide / 2, plot.left()), plot.right() - wide)
        top = place.y() - side - line - look.px(3) if mark.closes else place.y() + side + look.px(3)
        room = QRectF(left, min(max(top, plot.top()), plot.bottom() - line), wide, line)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(look.colour("surface"))
        painter.drawRoundedRect(room, RADIUS_SMALL, RADIUS_SMALL)
        painter.setPen(look.colour("ink"))
        painter.drawText(room, Qt.AlignmentFlag.AlignCenter, mark.words)

    def _draw_told(self, painter: QPainter) -> None:
        look = self._look
        line = painter.fontMetrics().height()
        room = QRectF(look.px(6), self.height() - line - look.px(4), self.width() - look.px(12), line)
        painter.setPen(look.colour("ink2"))
        words = self.told()
        shown = painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, int(room.width()))
        painter.drawText(room, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, shown)


def _at(plot: QRectF, place: Place) -> QPointF:
    return QPointF(plot.left() + plot.width() * place[0], plot.bottom() - plot.height() * place[1])


def _places(plot: QRectF, places: Sequence[Place]) -> list[QPointF]:
    return [_at(plot, place) for place in places]
