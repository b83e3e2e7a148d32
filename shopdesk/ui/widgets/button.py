"""Buttons: one primary to a page, plain ones, quiet ones, and big ones for the bay."""

from enum import StrEnum

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QIcon, QKeyEvent, QPainter, QPaintEvent, QPen, QPixmap
from PySide6.QtWidgets import QPushButton, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import FOCUS_RING, RADIUS_SMALL
from shopdesk.ui.widgets.plain_label import button_text

_ICON = 17
_ICON_GAP = 7
_WITH_ENTER = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier


class ButtonPart(StrEnum):
    """What a button is for: the page's one main action, any other, one in running text, one for gloves."""

    PRIMARY = "primary"
    PLAIN = "plain"
    QUIET = "quiet"
    BAY = "bay"


class Button(QPushButton):
    """A push button in the program's look. ``name`` is what a screen reader says if not the text."""

    def __init__(
        self,
        look: Look,
        text: str,
        part: ButtonPart = ButtonPart.PLAIN,
        *,
        icon: str = "",
        name: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(button_text(text), parent)
        self._look = look
        self._icon = icon
        self.setProperty("part", part.value)
        self.setAccessibleName(name or text)
        self.setAutoDefault(False)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        look.changed.connect(self._draw_icon)
        self._draw_icon()

    def set_text(self, text: str) -> None:
        """Change the words, and what a screen reader says."""
        self.setText(button_text(text))
        self.setAccessibleName(text)

    def set_part(self, part: ButtonPart) -> None:
        """Change what the button is for."""
        self.setProperty("part", part.value)
        self.style().unpolish(self)
        self.style().polish(self)
        self._draw_icon()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter presses the button as Space does; Qt leaves it to the desktop's theme."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not event.modifiers() & _WITH_ENTER:
            if not event.isAutoRepeat():
                self.click()
            return
        super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the button; the primary one shows the keyboard by a ring inside its own colour."""
        super().paintEvent(event)
        coloured = self.property("part") == ButtonPart.PRIMARY or self.property("main")
        if not (self.hasFocus() and coloured):
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self._look.colour("accent_on"), FOCUS_RING))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(4, 4, -4, -4), RADIUS_SMALL, RADIUS_SMALL)
        painter.end()

    def _draw_icon(self) -> None:
        if not self._icon:
            return
        tones = {ButtonPart.PRIMARY: "accent_on", ButtonPart.QUIET: "accent"}
        tone = "accent_on" if self.property("main") else tones.get(self.property("part"), "ink")
        icon = self._look.icon(self._icon, tone, _ICON)
        side, room = self._look.px(_ICON), self._look.px(_ICON + (_ICON_GAP if self.text() else 0))
        self.setIcon(_with_gap(icon, side, room))
        self.setIconSize(QSize(room, side))


class BigButton(Button):
    """A button of at least 56 pixels for gloves and poor light."""

    def __init__(
        self,
        look: Look,
        text: str,
        *,
        icon: str = "",
        name: str = "",
        main: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        """``main`` marks the page's one main action."""
        super().__init__(look, text, ButtonPart.BAY, icon=icon, name=name, parent=parent)
        if main:
            self.setProperty("main", True)
            self.set_part(ButtonPart.BAY)


def _with_gap(icon: QIcon, side: int, room: int) -> QIcon:
    """Return the icon with empty space after it: a style sheet leaves none before the words."""
    sharp = 3
    picture = QPixmap(room * sharp, side * sharp)
    picture.setDevicePixelRatio(sharp)
    picture.fill(Qt.GlobalColor.transparent)
    painter = QPainter(picture)
    painter.drawPixmap(0, 0, icon.pixmap(QSize(side, side), sharp))
    painter.end()
    return QIcon(picture)
