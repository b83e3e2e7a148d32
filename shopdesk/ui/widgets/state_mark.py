"""How things stand: always a shape, a word and a colour. The shapes are drawn, never typed."""

from enum import StrEnum
from gettext import gettext as _

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import RADIUS_SMALL, TextRole


class State(StrEnum):
    """Fine is a dot, soon a diamond, late a triangle; plain is a word without a verdict,
    unknown an open ring: it cannot be said."""

    FINE = "fine"
    SOON = "soon"
    LATE = "late"
    PLAIN = "plain"
    UNKNOWN = "unknown"


_INK = {State.FINE: "ok", State.SOON: "soon", State.LATE: "late", State.PLAIN: "ink2", State.UNKNOWN: "ink2"}
_GROUND = {
    State.FINE: "ok_soft",
    State.SOON: "soon_soft",
    State.LATE: "late_soft",
    State.PLAIN: "sunken",
    State.UNKNOWN: "sunken",
}


def state_tone(state: State) -> str:
    """Return the token of the state's words."""
    return _INK[state]


def state_word(state: State) -> str:
    """Return the word used when the caller has no better one."""
    words = {
        State.FINE: _("Fine"),
        State.SOON: _("Soon"),
        State.LATE: _("Overdue"),
        State.PLAIN: "",
        State.UNKNOWN: _("Cannot be said"),
    }
    return words[state]


def draw_mark(painter: QPainter, box: QRectF, state: State, colour: QColor) -> None:
    """Draw the shape of ``state`` into ``box``; plain has none."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    centre = box.center()
    half = min(box.width(), box.height()) / 2
    if state is State.FINE:
        painter.drawEllipse(centre, half * 0.8, half * 0.8)
    elif state is State.SOON:
        painter.drawPolygon(_corners(centre, [(0, -half), (half, 0), (0, half), (-half, 0)]))
    elif state is State.LATE:
        low = half * 0.8
        painter.drawPolygon(_corners(centre, [(0, -half), (half, low), (-half, low)]))
    elif state is State.UNKNOWN:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(colour, max(1.5, half / 3)))
        painter.drawEllipse(centre, half * 0.7, half * 0.7)
    painter.restore()


def _corners(centre: QPointF, steps: list[tuple[float, float]]) -> QPolygonF:
    return QPolygonF([centre + QPointF(x, y) for x, y in steps])


def badge_size(look: Look, state: State, word: str, font: QFont) -> QSize:
    """Return the room a badge takes."""
    metrics = QFontMetrics(font)
    mark = 0 if state is State.PLAIN else look.px(10) + look.px(5)
    return QSize(metrics.horizontalAdvance(word) + mark + look.px(16), metrics.height() + look.px(6))


def draw_badge(
    painter: QPainter, look: Look, box: QRectF, state: State, word: str, *, bare: bool = False
) -> None:
    """Draw shape and word into ``box``, on the state's soft ground unless ``bare``."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if not bare:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(look.colour(_GROUND[state]))
        painter.drawRoundedRect(box, RADIUS_SMALL, RADIUS_SMALL)
    left = box.left() + (0 if bare else look.px(8))
    colour = look.colour(_INK[state])
    if state is not State.PLAIN:
        side = look.px(10)
        draw_mark(painter, QRectF(left, box.center().y() - side / 2, side, side), state, colour)
        left += side + look.px(5)
    painter.setPen(colour)
    painter.setFont(look.font(TextRole.HELP, strong=True))
    room = QRectF(left, box.top(), box.right() - left, box.height())
    metrics = painter.fontMetrics()
    shown = metrics.elidedText(word, Qt.TextElideMode.ElideRight, int(room.width()) + 1)
    painter.drawText(room, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, shown)
    painter.restore()


class StateBadge(QWidget):
    """A badge as a part of a page."""

    def __init__(
        self, look: Look, state: State = State.PLAIN, word: str = "", parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._look = look
        self._state = state
        self._word = word
        self.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        look.changed.connect(self.updateGeometry)
        self.set_state(state, word)

    def set_state(self, state: State, word: str = "") -> None:
        """Show another state; without a word the state's own is used."""
        self._state = state
        self._word = word or state_word(state)
        self.setAccessibleName(self._word)
        if self._word and self.parentWidget() is not None:
            self.show()
        elif not self._word:
            self.hide()
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        """The room shape and word take."""
        return badge_size(self._look, self._state, self._word, self._look.font(TextRole.HELP, strong=True))

    def minimumSizeHint(self) -> QSize:
        """A badge may be cut down to its shape and a few letters."""
        return QSize(min(self.sizeHint().width(), self._look.px(60)), self.sizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the badge."""
        painter = QPainter(self)
        draw_badge(painter, self._look, QRectF(self.rect()), self._state, self._word)
        painter.end()
