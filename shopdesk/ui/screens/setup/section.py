"""What the set-up page needs of a section, and the list of sections at its side."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QAbstractButton,
    QButtonGroup,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.screen import PageAction
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import (
    CONTROL_HEIGHT,
    FOCUS_RING,
    GAP_TIGHT,
    GAP_WIDE,
    RADIUS,
    TextRole,
)
from shopdesk.ui.widgets.controls import Pick
from shopdesk.ui.widgets.plain_label import button_text

_ALONG = {Qt.Key.Key_Up: -1, Qt.Key.Key_Left: -1, Qt.Key.Key_Down: 1, Qt.Key.Key_Right: 1}


class Section(QWidget):
    """One section: parts in ``column``, the page's main action, and what it reads."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self.desk = desk
        self.work = work
        self.main: PageAction | None = None
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(desk.look.px(GAP_WIDE))

    def refresh(self) -> None:
        """Read again what is shown."""

    def focus_first(self) -> None:
        """Put the keyboard where the work begins."""


class _Entry(QAbstractButton):
    """A section's name. The arrow keys go along the list; Tab leaves it."""

    stepped = Signal(int)

    def __init__(self, look: Look, words: str, name: str) -> None:
        super().__init__()
        self._look = look
        self.setText(button_text(words))
        self.setAccessibleName(name)
        self.setCheckable(True)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """A row of a list."""
        look = self._look
        words = look.font_metrics(TextRole.BODY, strong=True).horizontalAdvance(self.text())
        return QSize(words + look.px(26), look.px(CONTROL_HEIGHT))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the name; the section in sight stands on soft petrol with a bar at its start."""
        look, box = self._look, QRectF(self.rect()).adjusted(1, 1, -1, -1)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(look.colour("accent"), FOCUS_RING) if self.hasFocus() else Qt.PenStyle.NoPen)
        ground = "accent_soft" if self.isChecked() else "sunken" if self.underMouse() else "window"
        painter.setBrush(look.colour(ground))
        painter.drawRoundedRect(box, RADIUS, RADIUS)
        if self.isChecked():
            bar = QRectF(box.left() + look.px(4), box.center().y() - look.px(8), 3, look.px(16))
            painter.fillRect(bar, look.colour("accent"))
        painter.setPen(look.colour("ink"))
        painter.setFont(look.font(TextRole.BODY, strong=self.isChecked()))
        room = box.adjusted(look.px(13), 0, -look.px(8), 0)
        shown = painter.fontMetrics().elidedText(
            self._words(), Qt.TextElideMode.ElideRight, int(room.width())
        )
        painter.drawText(room, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), shown)
        painter.end()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Up and Down choose another section."""
        step = _ALONG.get(Qt.Key(event.key()))
        if step is not None and not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            self.stepped.emit(step)
            return
        super().keyPressEvent(event)

    def _words(self) -> str:
        return self.text().replace("&&", "&")


class SectionList(QWidget):
    """The sections' names one beneath the other; where there is no room for that, a list to pick from."""

    chosen = Signal(str)

    def __init__(self, look: Look, name: str, choices: Sequence[tuple[str, str]]) -> None:
        super().__init__()
        self._keys = [key for key, _words in choices]
        self._entries: list[_Entry] = []
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self._group = QButtonGroup(self)
        self._pick = Pick(self)
        self._pick.offer(choices)
        self._pick.setAccessibleName(name)
        self._pick.changed.connect(self._picked)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP_TIGHT))
        column.addWidget(self._pick)
        for key, words in choices:
            entry = _Entry(look, words, f"{name}: {words}")
            entry.clicked.connect(lambda _on=False, key=key: self._tell(key))
            entry.stepped.connect(self._step)
            self._group.addButton(entry)
            self._entries.append(entry)
            column.addWidget(entry)
        self.choose(self._keys[0])
        self.set_narrow(False)

    def set_narrow(self, narrow: bool) -> None:
        """Show the list to pick from, or the names one beneath the other."""
        self._pick.setVisible(narrow)
        for entry in self._entries:
            entry.setVisible(not narrow)

    def choose(self, key: str) -> None:
        """Choose by program; nothing is announced."""
        self._entries[self._keys.index(key)].setChecked(True)
        self._pick.put(key)
        for entry in self._entries:  # Tab stops at the section in sight only
            stops = entry.isChecked()
            entry.setFocusPolicy(Qt.FocusPolicy.StrongFocus if stops else Qt.FocusPolicy.ClickFocus)

    def choice(self) -> str:
        """Return the key of the section chosen."""
        return self._keys[self._at()]

    def focus_chosen(self) -> None:
        """Put the keyboard on the section chosen."""
        part = self._entries[self._at()] if self._pick.isHidden() else self._pick
        part.setFocus()

    def _at(self) -> int:
        return next(number for number, entry in enumerate(self._entries) if entry.isChecked())

    def _step(self, by: int) -> None:
        at = min(max(self._at() + by, 0), len(self._entries) - 1)
        self._tell(self._keys[at])
        self._entries[at].setFocus()

    def _picked(self) -> None:
        self._tell(self._pick.typed())

    def _tell(self, key: str) -> None:
        self.choose(key)
        self.chosen.emit(key)
