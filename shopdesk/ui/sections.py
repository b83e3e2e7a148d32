"""The sections of a page of the rail, in one row under its title."""

from collections.abc import Sequence
from gettext import gettext as _

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import FOCUS_RING, GAP, GAP_TIGHT, TextRole
from shopdesk.ui.widgets.flow import Flow

_HEIGHT = 30
_PAD = 10
_BAR = 3


class SectionButton(QAbstractButton):
    """One section. The one in sight is underlined and bold."""

    def __init__(self, look: Look, words: str, *, here: bool, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self.here = here
        self.setText(words)
        self.setAccessibleName(words)
        self.setAccessibleDescription(_("this page") if here else "")
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        look.changed.connect(self.updateGeometry)

    def sizeHint(self) -> QSize:
        """Room for the words in the weight they have when in sight."""
        look = self._look
        words = look.font_metrics(TextRole.BODY, strong=True).horizontalAdvance(self.text())
        return QSize(words + look.px(2 * _PAD), look.px(_HEIGHT))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter goes to the section, as Space does."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
            return
        super().keyPressEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the words and the line beneath them."""
        look = self._look
        painter = QPainter(self)
        box = QRectF(self.rect())
        lit = self.here or self.underMouse()
        painter.setPen(look.colour("ink" if lit else "ink2"))
        painter.setFont(look.font(TextRole.BODY, strong=self.here))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), self.text())
        if self.here:
            height = look.px(_BAR)
            line = box.adjusted(look.px(_PAD), box.height() - height, -look.px(_PAD), 0)
            painter.fillRect(line, look.colour("ink"))
        if self.hasFocus():
            painter.setPen(QPen(look.colour("accent"), FOCUS_RING))
            painter.drawRoundedRect(box.adjusted(1, 1, -1, -1), 4, 4)
        painter.end()


class SectionBar(QWidget):
    """``chosen`` tells the page when the person picks a section."""

    chosen = Signal(str)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.buttons: list[SectionButton] = []
        self._row = Flow(look.px(GAP_TIGHT), self)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setAccessibleName(_("Sections"))
        self.setContentsMargins(0, 0, 0, look.px(GAP) // 2)
        self.hide()

    def show_sections(self, sections: Sequence[tuple[str, str]], here: str) -> None:
        """List sections (page and words); with fewer than two there is no bar."""
        for button in self.buttons:
            self._row.removeWidget(button)
            button.hide()
            button.deleteLater()
        self.buttons = []
        for page, words in sections if len(sections) > 1 else ():
            button = SectionButton(self._look, words, here=page == here, parent=self)
            button.clicked.connect(lambda _on=False, page=page: self.chosen.emit(page))
            self._row.addWidget(button)
            button.show()
            self.buttons.append(button)
        self.setVisible(bool(self.buttons))
