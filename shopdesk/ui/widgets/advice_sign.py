"""What to do with the level plug now: one large word with its shape, and the time left beneath."""

from enum import StrEnum

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QColor,
    QFont,
    QFontMetrics,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import RADIUS_CARD, TextRole

_WORD_TIMES = 2.1
_PAD = 14


class Sign(StrEnum):
    """The shapes: a ring asks, two bars wait, a disc goes, a disc in a ring runs, a square stops, a
    triangle warns."""

    ASK = "ask"
    WAIT = "wait"
    GO = "go"
    RUN = "run"
    STOP = "stop"
    WARN = "warn"


_TONE = {
    Sign.ASK: ("ink", "sunken"),
    Sign.WAIT: ("ink", "sunken"),
    Sign.GO: ("ok", "ok_soft"),
    Sign.RUN: ("ok", "ok_soft"),
    Sign.STOP: ("late", "late_soft"),
    Sign.WARN: ("late", "late_soft"),
}


class AdviceSign(QWidget):
    """The word is as large as the width allows; ``left`` counts down, ``reach`` is its range."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._sign = Sign.ASK
        self._word = ""
        self._left = ""
        self._reach = ""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        look.changed.connect(self.updateGeometry)

    @property
    def word(self) -> str:
        """The word in sight."""
        return self._word

    @property
    def left(self) -> str:
        """The time left as it is shown."""
        return self._left

    def show_advice(self, sign: Sign, word: str, left: str, reach: str, spoken: str) -> None:
        """Show an advice; a screen reader is told when the word changes."""
        changed = word != self._word
        high = self.sizeHint().height()
        self._sign, self._word, self._left, self._reach = sign, word, left, reach
        self.setAccessibleName(word)
        self.setAccessibleDescription(spoken)
        if changed:
            QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.Alert))
        if self.sizeHint().height() != high:
            self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        """The word, and a line for the time if there is any."""
        look = self._look
        height = QFontMetrics(self._large()).height() + look.px(2 * _PAD)
        height += sum(look.font_metrics(role).height() for role, words in self._lines() if words)
        return QSize(look.px(360), height)

    def minimumSizeHint(self) -> QSize:
        """The word grows smaller where there is no room."""
        return QSize(self._look.px(220), self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw ground, shape, word and time."""
        look = self._look
        ink, ground = (look.colour(token) for token in _TONE[self._sign])
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(ink, look.px(2)))
        painter.setBrush(ground)
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), RADIUS_CARD, RADIUS_CARD)
        box = QRectF(self.rect()).adjusted(*(look.px(side * _PAD) for side in (1, 1, -1, -1)))
        word = self._fitting(box.width())
        high = QFontMetrics(word).height()
        side = min(high * 0.66, box.width() / 5)
        top = QRectF(box.left(), box.top(), side, min(high, box.height()))
        centre = QRectF(top.left(), top.center().y() - side / 2, side, side)
        draw_sign(painter, centre, self._sign, ink)
        painter.setPen(ink)
        painter.setFont(word)
        room = QRectF(box.left() + side + look.px(_PAD), box.top(), box.width(), high)
        painter.drawText(room, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, self._word)
        self._draw_time(painter, box.adjusted(0, high, 0, 0))
        painter.end()

    def _draw_time(self, painter: QPainter, box: QRectF) -> None:
        painter.setPen(self._look.colour("ink"))
        for role, words in self._lines():
            if words:
                high = self._look.font_metrics(role).height()
                painter.setFont(_shrunk(QFont(self._look.font(role)), words, box.width()))
                room = QRectF(box.left(), box.top(), box.width(), high)
                painter.drawText(room, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, words)
                box = box.adjusted(0, high, 0, 0)

    def _lines(self) -> tuple[tuple[TextRole, str], ...]:
        return (TextRole.BIG, self._left), (TextRole.CARD, self._reach)

    def _large(self) -> QFont:
        font = QFont(self._look.font(TextRole.BIG))
        font.setPointSizeF(font.pointSizeF() * _WORD_TIMES)
        return font

    def _fitting(self, width: float) -> QFont:
        """The large type, smaller where the word would not fit beside its shape."""
        font = self._large()
        room = width - QFontMetrics(font).height() * 0.66 - self._look.px(_PAD)
        return _shrunk(font, self._word, room)


def _shrunk(font: QFont, words: str, room: float) -> QFont:
    """Make the type as small as the words ask for."""
    wide = QFontMetrics(font).horizontalAdvance(words)
    if wide > room > 0:
        font.setPointSizeF(max(0.98 * font.pointSizeF() * room / wide, 6.0))
    return font


def draw_sign(painter: QPainter, box: QRectF, sign: Sign, colour: QColor) -> None:
    """Draw a shape into ``box``."""
    painter.save()
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    centre, half = box.center(), box.width() / 2
    if sign is Sign.WAIT:
        bar = QRectF(0, 0, half * 0.5, box.height())
        for left in (box.left() + half * 0.3, box.right() - half * 0.8):
            painter.drawRoundedRect(bar.translated(left, box.top()), 2, 2)
    elif sign is Sign.STOP:
        painter.drawRoundedRect(box.adjusted(half * 0.12, half * 0.12, -half * 0.12, -half * 0.12), 3, 3)
    elif sign is Sign.WARN:
        steps = ((0.0, -half), (half, half * 0.85), (-half, half * 0.85))
        painter.drawPolygon(QPolygonF([centre + QPointF(x, y) for x, y in steps]))
    else:
        _draw_round(painter, centre, half, sign, colour)
    painter.restore()


def _draw_round(painter: QPainter, centre: QPointF, half: float, sign: Sign, colour: QColor) -> None:
    if sign in (Sign.GO, Sign.RUN):
        side = half * (0.95 if sign is Sign.GO else 0.5)
        painter.drawEllipse(centre, side, side)
    if sign in (Sign.ASK, Sign.RUN):
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(colour, half * 0.2))
        painter.drawEllipse(centre, half * 0.85, half * 0.85)
