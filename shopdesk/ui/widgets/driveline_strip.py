"""The driveline strip: the vehicle's own units joined by shafts in power order.

It shows how things stand, picks a unit, and filters the history. A front axle is fed from the transfer
case, not from the gearbox, so the strip forks there. Each card has a plain bar for the interval; a glass
would read as the fluid level of the box.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QSizePolicy, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import FOCUS_RING, RADIUS_CARD, TextRole
from shopdesk.ui.widgets.interval_bar import draw_interval
from shopdesk.ui.widgets.state_mark import State, draw_badge, state_word

_TALL = 112
_SHORT = 70
_SHAFT = 28
_LEAST_CARD = 190
_MOST_CARD = 640


@dataclass(frozen=True, kw_only=True, slots=True)
class StripUnit:
    """One unit. ``used`` is the share of the interval run (1 = due; None = not known); ``due`` says when
    it is due next; ``branch`` marks the axle fed by the fork, next to the unit after the transfer case."""

    key: str
    title: str
    detail: str
    due: str
    state: State = State.UNKNOWN
    used: float | None = None
    branch: bool = False

    def words(self) -> str:
        """Return what the card shows in one line."""
        parts = (self.title, self.detail, state_word(self.state), self.due)
        return ", ".join(part for part in parts if part)


class UnitCard(QAbstractButton):
    """One unit of the strip."""

    def __init__(self, look: Look, unit: StripUnit, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self.unit = unit
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAccessibleName(unit.words())

    def sizeHint(self) -> QSize:
        """Wide enough for a title, high enough for all lines."""
        return QSize(self._look.px(_LEAST_CARD), self._look.px(_TALL))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the card; the chosen one on soft petrol with a petrol edge."""
        look = self._look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        chosen = self.isChecked()
        painter.setBrush(look.colour("accent_soft" if chosen else "surface"))
        painter.setPen(QPen(look.colour("accent" if chosen else "line"), 2 if chosen else 1))
        painter.drawRoundedRect(box, RADIUS_CARD, RADIUS_CARD)
        self._draw_words(painter, box)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(look.colour("accent"), FOCUS_RING))
            painter.drawRoundedRect(box.adjusted(3, 3, -3, -3), RADIUS_CARD - 2, RADIUS_CARD - 2)
        painter.end()

    def _draw_words(self, painter: QPainter, box: QRectF) -> None:
        look, unit = self._look, self.unit
        room = box.adjusted(look.px(12), look.px(8), -look.px(12), -look.px(8))
        short = self.height() < look.px(_TALL) - 2
        top = _line(painter, look, room, room.top(), TextRole.BODY, "ink", unit.title)
        if not short:
            _line(painter, look, room, top + look.px(1), TextRole.HELP, "ink2", unit.detail)
        foot = look.px(20)
        badge = QRectF(room.left(), room.bottom() - foot + look.px(3), room.width(), foot)
        draw_badge(painter, look, badge, unit.state, unit.due, bare=True)
        height = look.px(7)
        bar = QRectF(room.left(), badge.top() - look.px(4) - height, room.width(), height)
        draw_interval(painter, look, bar.adjusted(0.5, 0.5, -0.5, -0.5), unit.used, unit.state)


def _line(
    painter: QPainter, look: Look, room: QRectF, top: float, role: TextRole, token: str, words: str
) -> float:
    painter.setFont(look.font(role, strong=role is TextRole.BODY))
    painter.setPen(look.colour(token))
    metrics = painter.fontMetrics()
    shown = metrics.elidedText(words, Qt.TextElideMode.ElideRight, int(room.width()))
    painter.drawText(QPointF(room.left(), top + metrics.ascent()), shown)
    return top + metrics.height()


class DrivelineStrip(QWidget):
    """``chosen`` tells the key of the unit the person picks; ``previous`` and ``next`` move along."""

    chosen = Signal(str)

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._cards: list[UnitCard] = []
        self._group = QButtonGroup(self)
        self._upright = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        look.changed.connect(self._place)

    def set_units(self, units: Sequence[StripUnit], chosen: str = "") -> None:
        """Show units in power order; the branch axle may stand anywhere after the first."""
        for card in self._cards:
            self._group.removeButton(card)
            card.hide()
            card.deleteLater()
        self._cards = [UnitCard(self._look, unit, self) for unit in units]
        for card in self._cards:
            self._group.addButton(card)
            card.clicked.connect(lambda _on=False, key=card.unit.key: self.chosen.emit(key))
            card.show()
        if self._cards:
            self.choose(chosen or self._cards[0].unit.key)
        self._place()

    @property
    def cards(self) -> Sequence[UnitCard]:
        """The cards in power order."""
        return self._cards

    def choice(self) -> str:
        """Return the key of the chosen unit, or nothing."""
        return next((card.unit.key for card in self._cards if card.isChecked()), "")

    def choose(self, key: str) -> None:
        """Choose by program; nothing is announced. The Tab key stops at the card that is chosen."""
        if not any(card.unit.key == key for card in self._cards):
            return
        for card in self._cards:
            chosen = card.unit.key == key
            card.setFocusPolicy(Qt.FocusPolicy.StrongFocus if chosen else Qt.FocusPolicy.ClickFocus)
            if chosen:
                card.setChecked(True)

    def step(self, by: int) -> None:
        """Choose the unit ``by`` places along the strip, and stop at its ends."""
        places = [number for number, card in enumerate(self._cards) if card.isChecked()]
        if not places:
            return
        place = min(max(places[0] + by, 0), len(self._cards) - 1)
        if place != places[0]:
            had_keyboard = self._cards[places[0]].hasFocus()
            self.choose(self._cards[place].unit.key)
            if had_keyboard:
                self._cards[place].setFocus()
            self.chosen.emit(self._cards[place].unit.key)

    def sizeHint(self) -> QSize:
        """One row high, or one card beneath the other when narrow."""
        return QSize(self._look.px(_LEAST_CARD) * 2, self._height())

    def minimumSizeHint(self) -> QSize:
        """At least one card wide."""
        return QSize(self._look.px(_LEAST_CARD), self._height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Place the cards again."""
        super().resizeEvent(event)
        self._place()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the shafts between the cards."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        draw = self._draw_upright if self._upright else self._draw_across
        draw(painter)
        painter.end()

    def _trunk(self) -> list[UnitCard]:
        return [card for card in self._cards if not card.unit.branch]

    def _branch(self) -> UnitCard | None:
        return next((card for card in self._cards if card.unit.branch), None)

    def _forked(self) -> bool:
        return self._branch() is not None and len(self._trunk()) >= 2

    def _columns(self) -> int:
        extra = 0 if self._forked() or self._branch() is None else 1
        return max(1, len(self._trunk()) + extra)

    def _height(self) -> int:
        look = self._look
        if self._upright:
            return len(self._cards) * (look.px(_SHORT) + look.px(_SHAFT) // 2)
        if self._forked():
            return 2 * look.px(_SHORT) + look.px(12)
        return look.px(_TALL)

    def _place(self) -> None:
        look = self._look
        columns = self._columns()
        room = (self.width() - (columns - 1) * look.px(_SHAFT)) // columns
        upright = room < look.px(_LEAST_CARD) - look.px(20) and len(self._cards) > 1
        self._upright = upright
        if upright:
            self._place_upright()
        else:
            self._place_across(min(room, look.px(_MOST_CARD)))
        if self.height() != self._height():
            self.setFixedHeight(self._height())
        self.update()

    def _place_across(self, width: int) -> None:
        look = self._look
        step = width + look.px(_SHAFT)
        tall = look.px(_TALL)
        top = (self._height() - tall) // 2
        trunk = self._trunk()
        for number, card in enumerate(trunk):
            card.setGeometry(number * step, top, width, tall)
        branch = self._branch()
        if branch is None:
            return
        if not self._forked():
            branch.setGeometry(len(trunk) * step, top, width, tall)
            return
        short = look.px(_SHORT)
        left = (len(trunk) - 1) * step
        branch.setGeometry(left, 0, width, short)
        trunk[-1].setGeometry(left, self._height() - short, width, short)

    def _place_upright(self) -> None:
        look = self._look
        short, gap = look.px(_SHORT), look.px(_SHAFT) // 2
        indent = look.px(_SHAFT) if self._forked() else 0
        trunk_end = self._trunk()[-1]
        for number, card in enumerate(self._cards):
            inside = indent if card.unit.branch or (self._forked() and card is trunk_end) else 0
            card.setGeometry(inside, number * (short + gap), self.width() - inside, short)

    def _draw_across(self, painter: QPainter) -> None:
        trunk, branch, forked = self._trunk(), self._branch(), self._forked()
        straight = trunk[:-1] if forked else trunk
        line = straight if forked or branch is None else [*straight, branch]
        for one, other in pairwise(line):
            start = QPointF(one.geometry().right() + 1, one.geometry().center().y())
            end = QPointF(other.geometry().left(), other.geometry().center().y())
            self._shaft(painter, [start, end])
        if forked:
            self._fork(painter, straight[-1], trunk[-1])

    def _fork(self, painter: QPainter, before: UnitCard, rear: UnitCard) -> None:
        branch = self._branch()
        if branch is None:
            return
        start = QPointF(before.geometry().right() + 1, before.geometry().center().y())
        for card in (branch, rear):
            end = QPointF(card.geometry().left(), card.geometry().center().y())
            middle = (start.x() + end.x()) / 2
            self._shaft(
                painter, [start, QPointF(middle, start.y()), QPointF(middle, end.y()), end], joint=False
            )
        self._joint(painter, QPointF((start.x() + branch.geometry().left()) / 2, start.y()))

    def _draw_upright(self, painter: QPainter) -> None:
        left = self._look.px(_SHAFT) / 2
        for number, card in enumerate(self._cards[1:], start=1):
            before = self._cards[number - 1].geometry()
            here = card.geometry()
            if here.left() > left:
                foot = before.bottom() if before.left() < left else before.top() - self._look.px(_SHAFT) / 2
                points = [
                    QPointF(left, foot),
                    QPointF(left, here.center().y()),
                    QPointF(here.left(), here.center().y()),
                ]
                self._shaft(painter, points, joint=False)
            else:
                self._shaft(painter, [QPointF(left, before.bottom()), QPointF(left, here.top())])

    def _shaft(self, painter: QPainter, points: list[QPointF], *, joint: bool = True) -> None:
        painter.setPen(self._shaft_pen(4))
        painter.drawPolyline(points)
        if joint:
            self._joint(painter, (points[0] + points[-1]) / 2)

    def _joint(self, painter: QPainter, at: QPointF) -> None:
        side = self._look.px(4)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._edge())
        painter.drawEllipse(at, side, side)
        painter.setBrush(self._look.colour("window"))
        painter.drawEllipse(at, side / 2.4, side / 2.4)

    def _shaft_pen(self, width: int) -> QPen:
        pen = QPen(self._edge(), self._look.px(width))
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        return pen

    def _edge(self) -> QColor:
        return self._look.colour("edge")
