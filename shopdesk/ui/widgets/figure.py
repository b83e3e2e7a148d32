"""A figure with its unit, which can show what it came from."""

from dataclasses import dataclass
from gettext import gettext as _

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QFontMetrics, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QGridLayout, QSizePolicy, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import FOCUS_RING, RADIUS_SMALL, TextRole
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.popover import Popover
from shopdesk.ui.widgets.state_mark import State, draw_mark, state_tone

_LONG = 34  # characters: a longer value is a sentence and goes over several lines


@dataclass(frozen=True, kw_only=True, slots=True)
class CameFrom:
    """What a derived figure was worked out from: names with their values, and how."""

    rows: tuple[tuple[str, str], ...]
    formula: str = ""


class Figure(QAbstractButton):
    """Label above, value with unit beneath. With ``came_from`` it opens on click, Enter or Space."""

    def __init__(
        self, look: Look, label: str, value: str = "", *, big: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._look = look
        self._label = label
        self._value = value
        self._state = State.PLAIN
        self._role = TextRole.BIG if big else TextRole.VALUE
        self._came_from: CameFrom | None = None
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.clicked.connect(self.explain)
        look.changed.connect(self.updateGeometry)
        self.set_value(value)

    def set_label(self, label: str) -> None:
        """Change the words above the value; they are shown with the next value."""
        self._label = label

    def set_value(self, value: str, *, came_from: CameFrom | None = None, state: State = State.PLAIN) -> None:
        """Show a value (with its unit) and what it came from."""
        self._value = value
        self._came_from = came_from
        self._state = state
        explained = came_from is not None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus if explained else Qt.FocusPolicy.NoFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor if explained else Qt.CursorShape.ArrowCursor)
        self.setAccessibleName(f"{self._label}: {value}")
        self.setAccessibleDescription(_("Enter shows what it came from") if explained else "")
        self.updateGeometry()
        self.update()

    def explain(self) -> None:
        """Open the panel that shows what the figure came from, if it was worked out."""
        if self._came_from is None:
            return
        panel = Popover(self._look, self, _("Where {label} came from").format(label=self._label))
        panel.add(PlainLabel(self._label, TextRole.CARD))
        if self._came_from.formula:
            panel.add(PlainLabel(self._came_from.formula, tone="ink2", wrap=True))
        panel.add(came_from_rows(self._look, self._came_from))
        panel.open()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter opens as Space does."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
            return
        super().keyPressEvent(event)

    def sizeHint(self) -> QSize:
        """The label above the value."""
        look = self._look
        label = self._metrics(TextRole.HELP)
        value = self._metrics(self._role)
        wide = max(label.size(0, self._label).width(), value.size(0, self._value).width() + self._mark_room())
        return QSize(wide + look.px(12), label.height() + value.height() + look.px(8))

    def minimumSizeHint(self) -> QSize:
        """The value must be whole."""
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw label and value; a dotted line under a value that can be opened."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look = self._look
        box = QRectF(self.rect()).adjusted(look.px(5), look.px(3), -look.px(5), -look.px(3))
        painter.setFont(look.font(TextRole.HELP))
        painter.setPen(look.colour("ink2"))
        label_height = painter.fontMetrics().height()
        painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop, self._label)
        self._draw_value(painter, box.adjusted(0, label_height, 0, 0))
        if self.hasFocus():
            painter.setPen(QPen(look.colour("accent"), FOCUS_RING))
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), RADIUS_SMALL, RADIUS_SMALL)
        painter.end()

    def _draw_value(self, painter: QPainter, box: QRectF) -> None:
        look = self._look
        plain = self._state is State.PLAIN
        colour = look.colour("ink" if plain else state_tone(self._state))
        if not plain:
            side = look.px(11)
            draw_mark(
                painter, QRectF(box.left(), box.center().y() - side / 2, side, side), self._state, colour
            )
            box = box.adjusted(self._mark_room(), 0, 0, 0)
        painter.setFont(look.font(self._role))
        painter.setPen(colour)
        painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, self._value)
        if self._came_from is not None:
            metrics = painter.fontMetrics()
            line = box.center().y() + metrics.ascent() / 2 + look.px(3)
            painter.setPen(QPen(look.colour("accent"), 1.4, Qt.PenStyle.DotLine))
            right = box.left() + metrics.horizontalAdvance(self._value)
            painter.drawLine(int(box.left()), round(line), int(right), round(line))

    def _metrics(self, role: TextRole) -> QFontMetrics:
        return QFontMetrics(self._look.font(role))

    def _mark_room(self) -> int:
        return 0 if self._state is State.PLAIN else self._look.px(17)


def came_from_rows(look: Look, came_from: CameFrom) -> QGridLayout:
    """Lay out names with their values; a long value is a sentence over several lines."""
    grid = QGridLayout()
    grid.setHorizontalSpacing(look.px(18))
    grid.setVerticalSpacing(look.px(4))
    for number, (name, value) in enumerate(came_from.rows):
        title = PlainLabel(name, tone="ink2", wrap=True)
        title.setAlignment(Qt.AlignmentFlag.AlignTop)
        grid.addWidget(title, number, 0)
        long = len(value) > _LONG
        amount = PlainLabel(value, strong=not long, wrap=long)
        side = Qt.AlignmentFlag.AlignLeft if long else Qt.AlignmentFlag.AlignRight
        amount.setAlignment(side | Qt.AlignmentFlag.AlignTop)
        grid.addWidget(amount, number, 1)
    grid.setColumnStretch(0, 2)
    grid.setColumnStretch(1, 3)
    return grid
