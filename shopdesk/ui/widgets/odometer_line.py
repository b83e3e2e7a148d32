"""Odometer readings over time. Doubtful ones are open diamonds off the line, with their reason in words."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from gettext import gettext as _

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from shopdesk.ui.presenters.dates import show_date
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import FOCUS_RING, RADIUS_SMALL, TextRole

_HIGH, _LOW = 150, 72


@dataclass(frozen=True, kw_only=True, slots=True)
class OdometerPoint:
    """One reading: ``distance`` is where it is drawn, ``shown`` its words with the unit; a ``doubt`` in
    words takes it off the line; a new ``segment`` (another instrument) begins a new line; ``key``
    names the reading."""

    on: date
    distance: float
    shown: str
    doubt: str = ""
    segment: int = 0
    key: int = 0

    def words(self) -> str:
        """Return the reading in one line."""
        return ", ".join(part for part in (show_date(self.on), self.shown, self.doubt) if part)


class OdometerLine(QWidget):
    """The readings as a line. Left and Right walk along it, a click picks the nearest; each is said beneath.

    ``walked``: another reading is said now.
    """

    walked = Signal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._points: tuple[OdometerPoint, ...] = ()
        self._at = -1
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(_("Odometer readings"))
        look.changed.connect(self.updateGeometry)

    def set_points(self, points: Sequence[OdometerPoint]) -> None:
        """Show these readings."""
        self._points = tuple(sorted(points, key=lambda point: point.on))
        self._at = len(self._points) - 1
        self.updateGeometry()
        self._describe()

    def current(self) -> OdometerPoint | None:
        """Return the reading said beneath the line."""
        return self._points[self._at] if self._points else None

    def sizeHint(self) -> QSize:
        """As wide as there is room; one reading has no course to show."""
        return QSize(self._look.px(320), self._look.px(_HIGH if len(self._points) > 1 else _LOW))

    def minimumSizeHint(self) -> QSize:
        """Narrow still shows the course."""
        return QSize(self._look.px(180), self.sizeHint().height())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Walk along the readings."""
        steps = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}
        by = steps.get(Qt.Key(event.key()), 0)
        if not by or event.modifiers():
            super().keyPressEvent(event)
            return
        self._at = min(max(self._at + by, 0), len(self._points) - 1)
        self._describe()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Say the reading that is nearest to the click."""
        super().mousePressEvent(event)
        if self._points:
            gaps = [abs(place.x() - event.position().x()) for place in self._places(self._plot())]
            self._at = gaps.index(min(gaps))
            self._describe()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the course, the doubtful readings beside it, and the words of the current one."""
        look = self._look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        words = QRectF(look.px(4), self.height() - look.px(24), self.width() - look.px(8), look.px(22))
        plot = self._plot()
        painter.setPen(QPen(look.colour("line"), 1))
        painter.drawLine(plot.bottomLeft(), plot.bottomRight())
        painter.setFont(look.font(TextRole.HELP))
        if self._points:
            self._draw_course(painter, plot)
        self._draw_words(painter, words)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(look.colour("accent"), FOCUS_RING))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), RADIUS_SMALL, RADIUS_SMALL)
        painter.end()

    def _draw_course(self, painter: QPainter, plot: QRectF) -> None:
        look = self._look
        places = self._places(plot)
        painter.setPen(QPen(look.colour("ink2"), look.px(2)))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for segment in sorted({point.segment for point in self._points}):
            sure = [
                place
                for place, point in zip(places, self._points, strict=True)
                if point.segment == segment and not point.doubt
            ]
            painter.drawPolyline(sure)
        for number, (place, point) in enumerate(zip(places, self._points, strict=True)):
            self._draw_reading(painter, place, doubtful=bool(point.doubt), current=number == self._at)

    def _draw_reading(self, painter: QPainter, place: QPointF, *, doubtful: bool, current: bool) -> None:
        look = self._look
        half = look.px(5)
        if current:
            painter.setPen(QPen(look.colour("accent"), FOCUS_RING))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(place, half + 4, half + 4)
        if doubtful:
            steps = [(0, -half), (half, 0), (0, half), (-half, 0)]
            painter.setPen(QPen(look.colour("soon"), look.px(2)))
            painter.setBrush(look.colour("surface"))
            painter.drawPolygon(QPolygonF([place + QPointF(x, y) for x, y in steps]))
        else:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(look.colour("ink"))
            painter.drawEllipse(place, half * 0.7, half * 0.7)

    def _draw_words(self, painter: QPainter, room: QRectF) -> None:
        point = self.current()
        words = point.words() if point is not None else _("No readings yet.")
        doubtful = point is not None and bool(point.doubt)
        painter.setPen(self._look.colour("soon" if doubtful else "ink2"))
        shown = painter.fontMetrics().elidedText(words, Qt.TextElideMode.ElideRight, int(room.width()))
        painter.drawText(room, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, shown)

    def _plot(self) -> QRectF:
        px = self._look.px
        return QRectF(self.rect()).adjusted(px(12), px(12), -px(12), -px(34))

    def _places(self, plot: QRectF) -> list[QPointF]:
        first, last = self._points[0].on.toordinal(), self._points[-1].on.toordinal()
        low = min(point.distance for point in self._points)
        high = max(point.distance for point in self._points)
        days, reach = max(1, last - first), max(1.0, high - low)
        return [
            QPointF(
                plot.left() + plot.width() * (point.on.toordinal() - first) / days,
                plot.bottom() - plot.height() * (point.distance - low) / reach,
            )
            for point in self._points
        ]

    def _describe(self) -> None:
        point = self.current()
        self.setAccessibleDescription(point.words() if point is not None else _("No readings yet."))
        self.update()
        self.walked.emit()
