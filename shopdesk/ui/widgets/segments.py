"""Buttons of which one is chosen, in as many rows as the width asks for."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QButtonGroup, QSizePolicy, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP_TIGHT
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.flow import Flow


class Segments(QWidget):
    """``chosen`` tells the key when the person picks another. Arrow keys move along, Tab leaves."""

    chosen = Signal(str)

    def __init__(
        self,
        look: Look,
        name: str,
        choices: Sequence[tuple[str, str]],
        *,
        bay: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        """``name`` says what is chosen; each choice is a key and its words."""
        super().__init__(parent)
        self.setAccessibleName(name)
        self._buttons: dict[str, Button] = {}
        self._group = QButtonGroup(self)
        row = Flow(look.px(GAP_TIGHT), self)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        for key, words in choices:
            part = ButtonPart.BAY if bay else ButtonPart.PLAIN
            button = Button(look, words, part, name=f"{name}: {words}")
            button.setCheckable(True)
            button.clicked.connect(lambda _on=False, key=key: self.chosen.emit(key))
            self._group.addButton(button)
            self._buttons[key] = button
            row.addWidget(button)
        if choices:
            self.choose(choices[0][0])

    def choose(self, key: str) -> None:
        """Choose by program; nothing is announced."""
        self._buttons[key].setChecked(True)

    def choice(self) -> str:
        """Return the key chosen."""
        return next((key for key, button in self._buttons.items() if button.isChecked()), "")

    def set_words(self, key: str, words: str) -> None:
        """Change the words of one choice, such as its count."""
        self._buttons[key].set_text(words)
        self._buttons[key].setAccessibleName(f"{self.accessibleName()}: {words}")
