"""Somebody or something that was chosen: one line, and the way to choose another."""

from gettext import gettext as _

from PySide6.QtCore import QRectF, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_WIDE, RADIUS, TextRole
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.facts import WarningLine
from shopdesk.ui.widgets.plain_label import PlainLabel

_ICON = 18


class ChosenLine(QWidget):
    """A title over a detail, the warning beneath; ``dropped``: another is wanted."""

    dropped = Signal()

    def __init__(self, look: Look, icon: str, about: str, other: str) -> None:
        """``about`` is whose warning it is, ``other`` the words on the button."""
        super().__init__()
        self._look = look
        self._icon = icon
        self._title = PlainLabel("", TextRole.CARD)
        self._detail = PlainLabel("", TextRole.HELP, tone="ink2", wrap=True)
        self.other = Button(look, other, ButtonPart.QUIET, icon="x")
        self.other.clicked.connect(lambda: self.dropped.emit())
        self._warning = WarningLine(look, about)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        self._lay_out()

    def show_chosen(self, title: str, detail: str, warning: str) -> None:
        """Show what was chosen."""
        self._title.setText(title)
        self._detail.setText(detail)
        self._detail.setVisible(bool(detail))
        self._warning.show_warning(warning)
        self.setAccessibleName(_("Chosen: {what}").format(what=", ".join(p for p in (title, detail) if p)))

    def words(self) -> str:
        """Return the title."""
        return self._title.text()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the ground of the upper line and the icon."""
        look = self._look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self._head.geometry()).adjusted(0.5, 0.5, -0.5, -0.5)
        painter.setPen(look.colour("line"))
        painter.setBrush(look.colour("sunken"))
        painter.drawRoundedRect(box, RADIUS, RADIUS)
        side = look.px(_ICON)
        look.icon(self._icon, "ink2", _ICON).paint(
            painter, look.px(GAP_WIDE), round(box.center().y() - side / 2), side, side
        )
        painter.end()

    def _lay_out(self) -> None:
        look = self._look
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(look.px(GAP))
        words = QVBoxLayout()
        words.setSpacing(0)
        words.addWidget(self._title)
        words.addWidget(self._detail)
        self._head = QHBoxLayout()
        gap = look.px(GAP)
        self._head.setContentsMargins(look.px(GAP_WIDE + _ICON + GAP), gap, gap, gap)
        self._head.setSpacing(gap)
        self._head.addLayout(words, 1)
        self._head.addWidget(self.other)
        whole.addLayout(self._head)
        whole.addWidget(self._warning)
