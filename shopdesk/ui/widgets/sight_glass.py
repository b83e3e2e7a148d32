"""The sight glass: an upright level tube. It stands for fluid and for nothing else."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Qt, QVariantAnimation
from PySide6.QtGui import QPainter, QPainterPath, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import MOTION_MS, TextRole
from shopdesk.ui.widgets.state_mark import State, draw_mark, state_tone

_TUBE_WIDTH = 26
_TUBE_HEIGHT = 92
_WIDTH = 104


@dataclass(frozen=True, kw_only=True, slots=True)
class Level:
    """What a glass shows. ``full`` and ``mark`` are shares of the tube from 0 to 1 (None: no mark);
    ``figure`` is the quantity with its unit, ``name`` what it is, ``mark_words`` what the mark means."""

    full: float
    figure: str
    name: str
    mark: float | None = None
    mark_words: str = ""
    state: State = State.PLAIN
    state_words: str = ""

    def words(self) -> str:
        """Return everything the glass shows in one line."""
        parts = (self.name, self.figure, self.mark_words, self.state_words)
        return ", ".join(part for part in parts if part)


class SightGlass(QWidget):
    """A glass with its quantity and name beneath. The level moves for 150 ms unless less motion is asked."""

    def __init__(self, look: Look, level: Level | None = None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._level = level or Level(full=0, figure="", name="")
        self._shown = self._level.full
        self._motion = QVariantAnimation(self, duration=MOTION_MS)
        self._motion.valueChanged.connect(self._move)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(self._level.words())
        look.changed.connect(self.updateGeometry)

    def set_level(self, level: Level) -> None:
        """Show another level."""
        self._level = level
        self.setAccessibleName(level.words())
        self.setToolTip("")
        self._motion.stop()
        if self._look.less_motion or not self.isVisible():
            self._move(level.full)
            return
        self._motion.setStartValue(float(self._shown))
        self._motion.setEndValue(float(level.full))
        self._motion.start()

    @property
    def shown(self) -> float:
        """The share of the tube that is drawn full at this moment."""
        return self._shown

    def sizeHint(self) -> QSize:
        """The tube, the quantity and two lines for the name."""
        look = self._look
        return QSize(look.px(_WIDTH), look.px(_TUBE_HEIGHT) + self._text_height())

    def minimumSizeHint(self) -> QSize:
        """As large as asked for, a little narrower at need."""
        return QSize(self._look.px(_TUBE_WIDTH * 2.6), self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw tube, fluid, mark and words."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look = self._look
        width, height = look.px(_TUBE_WIDTH), look.px(_TUBE_HEIGHT)
        tube = QRectF((self.width() - width) / 2, 1, width, height - 2)
        draw_tube(painter, look, tube, self._shown, self._level.mark)
        self._draw_words(painter, height)
        painter.end()

    def _text_height(self) -> int:
        return self._look.px(30) + 2 * self._look.px(17)

    def _draw_words(self, painter: QPainter, top: int) -> None:
        look, level = self._look, self._level
        tone = "ink" if level.state is State.PLAIN else state_tone(level.state)
        painter.setFont(look.font(TextRole.VALUE))
        painter.setPen(look.colour(tone))
        figure = QRectF(0, top + look.px(4), self.width(), look.px(24))
        painter.drawText(figure, Qt.AlignmentFlag.AlignCenter, level.figure)
        if level.state not in (State.PLAIN, State.FINE):
            side = look.px(10)
            left = figure.center().x() - painter.fontMetrics().horizontalAdvance(level.figure) / 2
            box = QRectF(left - side - look.px(4), figure.center().y() - side / 2, side, side)
            draw_mark(painter, box, level.state, look.colour(tone))
        painter.setFont(look.font(TextRole.HELP))
        painter.setPen(look.colour("ink2"))
        name = QRectF(0, figure.bottom(), self.width(), look.px(34))
        flags = Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWordWrap
        painter.drawText(name, int(flags), level.name)

    def _move(self, full: float) -> None:
        self._shown = full
        self.update()


def draw_tube(painter: QPainter, look: Look, tube: QRectF, full: float, mark: float | None = None) -> None:
    """Draw one tube filled to the share ``full`` with the order mark at the share ``mark``."""
    shape = QPainterPath()
    shape.addRoundedRect(tube, tube.width() / 2, tube.width() / 2)
    painter.fillPath(shape, look.colour("sunken"))
    level = tube.height() * min(max(full, 0.0), 1.0)
    if level > 0:
        painter.save()
        painter.setClipPath(shape)
        top = tube.bottom() - level
        painter.fillRect(QRectF(tube.left(), top, tube.width(), level), look.colour("fluid"))
        painter.restore()
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(look.colour("edge"), 1.4))
    painter.drawPath(shape)
    if mark is not None:
        height = tube.bottom() - tube.height() * min(max(mark, 0.0), 1.0)
        painter.setPen(QPen(look.colour("ink"), look.px(2)))
        reach = look.px(5)
        painter.drawLine(int(tube.left()) - reach, round(height), int(tube.left()) + reach, round(height))
        painter.drawLine(int(tube.right()) - reach, round(height), int(tube.right()) + reach, round(height))
