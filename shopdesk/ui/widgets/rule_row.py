"""A line that opens: a drawn mark, a name, a word at the right, a sentence beneath. Enter tells more."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QGridLayout, QSizePolicy, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import FOCUS_RING, GAP, GAP_TIGHT, RADIUS_SMALL, TextRole
from shopdesk.ui.widgets.figure import CameFrom, came_from_rows
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.popover import Popover
from shopdesk.ui.widgets.state_mark import State, draw_mark, state_tone

_MARK = 11


class RuleRow(QAbstractButton):
    """One rule; a click, Enter or Space opens what it asks and what it was held against."""

    def __init__(self, look: Look, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._state = State.PLAIN
        self._opens = CameFrom(rows=())
        self.name = name
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self._name = PlainLabel(name, strong=True, wrap=True)
        self._word = PlainLabel("", TextRole.HELP)
        self._sentence = PlainLabel("", wrap=True)
        grid = QGridLayout(self)
        side = look.px(GAP)
        grid.setContentsMargins(side + look.px(_MARK + 6), look.px(GAP_TIGHT), side, look.px(GAP_TIGHT))
        grid.setHorizontalSpacing(side)
        grid.setVerticalSpacing(0)
        grid.addWidget(self._name, 0, 0)
        grid.addWidget(self._word, 0, 1, Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignRight)
        grid.addWidget(self._sentence, 1, 0, 1, 2)
        grid.setColumnStretch(0, 1)
        for label in (self._name, self._word, self._sentence):
            label.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.clicked.connect(self.explain)

    def show_rule(
        self, state: State, word: str, sentence: str, opens: str, rows: Sequence[tuple[str, str]]
    ) -> None:
        """Show how it came out; ``opens`` and ``rows`` are told when it is opened."""
        self._state = state
        self._opens = CameFrom(rows=tuple(rows), formula=opens)
        self._word.setText(word)
        self._word.set_tone(state_tone(state))
        self._sentence.setText(sentence)
        self._sentence.setVisible(bool(sentence))
        self.setAccessibleName(": ".join(part for part in (self.name, word, sentence) if part))
        self.setAccessibleDescription(opens)

    def explain(self) -> None:
        """Open what the rule asks, what was found, and the entries it is about."""
        panel = Popover(self._look, self, self.name)
        panel.add(PlainLabel(self.name, TextRole.CARD, wrap=True))
        panel.add(PlainLabel(self._opens.formula, tone="ink2", wrap=True))
        if self._sentence.text():
            panel.add(PlainLabel(self._sentence.text(), tone=state_tone(self._state), wrap=True))
        if self._opens.rows:
            panel.add(came_from_rows(self._look, self._opens))
        panel.open()

    def sizeHint(self) -> QSize:
        """What the lines take."""
        return self.layout().sizeHint()  # type: ignore[union-attr]

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter opens as Space does."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not event.modifiers():
            self.click()
            return
        super().keyPressEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the ground while the mouse is over it, the mark, and the ring of the keyboard."""
        look = self._look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        if self.underMouse():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(look.colour("sunken"))
            painter.drawRoundedRect(box, RADIUS_SMALL, RADIUS_SMALL)
        side = look.px(_MARK)
        line = self._name.fontMetrics().height()
        mark = QRectF(look.px(GAP), look.px(GAP_TIGHT) + (line - side) / 2, side, side)
        draw_mark(painter, mark, self._state, look.colour(state_tone(self._state)))
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(look.colour("accent"), FOCUS_RING))
            painter.drawRoundedRect(box, RADIUS_SMALL, RADIUS_SMALL)
        painter.end()
