"""Text on screen that is always shown as typed."""

from html import escape

from PySide6.QtCore import Qt
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


def plain_tip(text: str) -> str:
    """Return ``text`` for a tool tip, which reads as typed even if it looks like markup."""
    return f"<span>{escape(text)}</span>" if "<" in text or "&" in text else text


def button_text(text: str) -> str:
    """Return ``text`` for a button or a label with a buddy, whose "&" would underline a letter."""
    return text.replace("&", "&&")
