"""Text on screen that is always shown as typed."""

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from shopdesk.ui.theme.tokens import TextRole


class PlainLabel(QLabel):
    """A label that never reads its text as markup, whatever a customer is called.

    ``tone`` is a text token: ink (the default), ink2, accent, ok, soon, late or rail_ink.
    """

    def __init__(
        self,
        text: str = "",
        role: TextRole = TextRole.BODY,
        *,
        tone: str = "ink",
        strong: bool = False,
        wrap: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setProperty("role", role.value)
        self.setProperty("tone", tone)
        self.setProperty("strong", strong)
        self.setWordWrap(wrap)
        if wrap:
            self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        self.setText(text)

    def set_tone(self, tone: str) -> None:
        """Change the colour of the text to another token."""
        if self.property("tone") != tone:
            self.setProperty("tone", tone)
            self.style().unpolish(self)
            self.style().polish(self)


class OneLineLabel(PlainLabel):
    """One line that takes the room there is and ends in "…" where that is too short; the tip tells all."""

    def __init__(
        self,
        text: str = "",
        role: TextRole = TextRole.BODY,
        *,
        tone: str = "ink",
        parent: QWidget | None = None,
    ) -> None:
        self._whole = text
        super().__init__(text, role, tone=tone, parent=parent)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    def setText(self, text: str, /) -> None:
        """Show a text, or as much of it as there is room for."""
        self._whole = text
        self.setAccessibleName(text)
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Show as much as the new width has room for."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        shown = self.fontMetrics().elidedText(self._whole, Qt.TextElideMode.ElideRight, self.width())
        if shown != self.text():
            super().setText(shown)
        self.setToolTip(plain_tip(self._whole) if shown != self._whole else "")


def plain_tip(text: str) -> str:
    """Return ``text`` for a tool tip, which reads as typed even if it looks like markup."""
    return f"<span>{escape(text)}</span>" if "<" in text or "&" in text else text


def button_text(text: str) -> str:
    """Return ``text`` for a button or a label with a buddy, whose "&" would underline a letter."""
    return text.replace("&", "&&")
