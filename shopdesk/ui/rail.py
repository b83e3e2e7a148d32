"""The rail at the left: the shop, the pages in words, who is working, and how the backup stands."""

from gettext import gettext as _

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPainterPath, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QAbstractButton,
    QFrame,
    QHBoxLayout,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import FOCUS_RING, GAP, GAP_WIDE, RADIUS_CARD, TextRole
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.state_mark import State, draw_mark

_HEIGHT = 40
_HEIGHT_LARGE = 32
_LARGE_TEXT = 130


class RailButton(QAbstractButton):
    """One page. The page in sight is a tab that belongs to the page, with bold words."""

    def __init__(self, look: Look, words: str, icon: str, key: str, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self._icon = icon
        self._key = key
        self.here = False
        self.setText(words)
        self.setAccessibleName(f"{words} ({key})" if key else words)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        look.changed.connect(self.updateGeometry)

    def set_here(self, here: bool) -> None:
        """Mark this as the page in sight, or no longer."""
        self.here = here
        self.setAccessibleDescription(_("this page") if here else "")
        self.update()

    def sizeHint(self) -> QSize:
        """Room for icon, words and key."""
        look = self._look
        words = look.font_metrics(TextRole.BODY, strong=True).horizontalAdvance(self.text())
        key = look.font_metrics(TextRole.NOTE).horizontalAdvance(self._shown_key())
        return QSize(look.px(58) + words + (key + look.px(12) if key else 0), look.px(self._height()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter goes to the page, as Space does."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
            return
        super().keyPressEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the entry."""
        look = self._look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect()).adjusted(look.px(6), 1, 0, -1)
        ink = "ink" if self.here else "rail_ink"
        if self.here:
            painter.fillPath(self._tab(box), look.colour("window"))
            mark = QRectF(box.left() + 3, box.center().y() - look.px(9), 3, look.px(18))
            painter.fillRect(mark, look.colour("ink"))
        side = look.px(18)
        look.icon(self._icon, ink).paint(
            painter, int(box.left()) + look.px(10), int(box.center().y() - side / 2), side, side
        )
        painter.setPen(look.colour(ink))
        painter.setFont(look.font(TextRole.BODY, strong=self.here))
        flags = int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft)
        painter.drawText(box.adjusted(look.px(36), 0, 0, 0), flags, self.text())
        painter.setFont(look.font(TextRole.NOTE))
        flags = int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight)
        painter.drawText(box.adjusted(0, 0, -look.px(12), 0), flags, self._shown_key())
        self._draw_focus(painter, box, ink)
        painter.end()

    def _draw_focus(self, painter: QPainter, box: QRectF, ink: str) -> None:
        if self.hasFocus() or self.underMouse():
            width = FOCUS_RING if self.hasFocus() else 1
            painter.setPen(QPen(self._look.colour(ink), width))
            painter.drawRoundedRect(box.adjusted(2, 2, -4, -2), RADIUS_CARD - 2, RADIUS_CARD - 2)

    def _tab(self, box: QRectF) -> QPainterPath:
        path = QPainterPath()
        path.setFillRule(Qt.FillRule.WindingFill)
        path.addRoundedRect(box, RADIUS_CARD, RADIUS_CARD)
        path.addRect(box.adjusted(RADIUS_CARD * 2, 0, 0, 0))
        return path

    def _height(self) -> int:
        return _HEIGHT if self._look.percent <= _LARGE_TEXT else _HEIGHT_LARGE

    def _shown_key(self) -> str:
        return self._key if self._look.percent <= _LARGE_TEXT else ""


class _StateLine(QWidget):
    """A line at the foot of the rail; its mark has the rail's own ink, the shape tells."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self._state = State.PLAIN
        self._row = row = QHBoxLayout(self)
        row.setContentsMargins(look.px(16), 0, look.px(8), 0)
        self._words = PlainLabel("", TextRole.NOTE, tone="rail_ink", wrap=True)
        row.addWidget(self._words, 1)

    @property
    def words(self) -> str:
        return self._words.text()

    def set_line(self, words: str, state: State) -> None:
        self._state = state
        self._words.setText(words)
        indent = 16 if state is State.PLAIN else 32
        self._row.setContentsMargins(self._look.px(indent), 0, self._look.px(8), 0)
        self.setVisible(bool(words))
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        side = self._look.px(10)
        painter = QPainter(self)
        box = QRectF(self._look.px(16), self._look.px(4), side, side)
        draw_mark(painter, box, self._state, self._look.colour("rail_ink"))
        painter.end()


class Rail(QFrame):
    """``chosen`` tells the page the person picks."""

    chosen = Signal(str)

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._buttons: dict[str, RailButton] = {}
        self.setProperty("part", "rail")
        self.setAccessibleName(_("Pages"))
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        self._shop = PlainLabel("", TextRole.CARD, tone="rail_ink", wrap=True)
        self._shop.setContentsMargins(look.px(16), 0, look.px(8), look.px(GAP))
        self._person = _StateLine(look, self)
        self._backup = _StateLine(look, self)
        self._upper = QVBoxLayout()
        self._lower = QVBoxLayout()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, look.px(GAP_WIDE), 0, look.px(GAP_WIDE))
        column.setSpacing(look.px(2))
        for part in (self._upper, self._lower):
            part.setSpacing(look.px(2))
        column.addWidget(self._shop)
        column.addWidget(self._scrolled(self._upper), 1)
        column.addLayout(self._lower)
        column.addSpacing(look.px(GAP))
        column.addWidget(self._person)
        column.addWidget(self._backup)
        look.changed.connect(self._fit)

    def add(self, page: str, words: str, icon: str, key: str, *, at_foot: bool = False) -> None:
        """Add a page, below those before; at the foot what is seldom used."""
        button = RailButton(self._look, words, icon, key, self)
        button.clicked.connect(lambda: self.chosen.emit(page))
        self._buttons[page] = button
        (self._lower if at_foot else self._upper).addWidget(button)
        self._fit()

    @property
    def has_pages(self) -> bool:
        """Whether there is anywhere to go: before the first run is done there is not."""
        return bool(self._buttons)

    def mark(self, page: str) -> None:
        """Mark the page in sight; a page that is not on the rail leaves the mark where it is."""
        if page in self._buttons:
            for name, button in self._buttons.items():
                button.set_here(name == page)

    def set_shop(self, name: str) -> None:
        """Show the shop's own name at the top."""
        self._shop.setText(name)

    def set_person(self, words: str) -> None:
        """Show who is working."""
        self._person.set_line(words, State.PLAIN)

    @property
    def person(self) -> str:
        """Who is said to be working."""
        return self._person.words

    def set_backup(self, words: str, state: State) -> None:
        """Show how the backup stands."""
        self._backup.set_line(words, state)

    def _scrolled(self, pages: QVBoxLayout) -> QScrollArea:
        """With large text on a low screen the pages scroll; the foot stays."""
        inner = QWidget()
        inner.setProperty("part", "page")
        inner.setLayout(pages)
        pages.setContentsMargins(0, 0, 0, 0)
        pages.setAlignment(Qt.AlignmentFlag.AlignTop)
        area = QScrollArea()
        area.setWidget(inner)
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setMinimumHeight(0)
        return area

    def _fit(self) -> None:
        widest = max((button.sizeHint().width() for button in self._buttons.values()), default=0)
        self.setFixedWidth(max(widest + self._look.px(6), self._look.px(150)))
