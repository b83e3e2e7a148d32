"""Buttons of which one is chosen, in as many rows as the width asks for."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QButtonGroup, QSizePolicy, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import BAY_TARGET, GAP_TIGHT, TextRole
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.flow import Flow

_PAD = 14


class _BayButton(Button):
    """Only Space answers: in the bay Enter goes on, and must never answer what was not read."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Leave Enter to what is around."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            event.ignore()
        else:
            super().keyPressEvent(event)


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
        self._look = look
        self._bay = bay
        look.changed.connect(self._measure)
        self._buttons: dict[str, Button] = {}
        self._group = QButtonGroup(self)
        row = Flow(look.px(GAP_TIGHT), self)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        for key, words in choices:
            part = ButtonPart.BAY if bay else ButtonPart.PLAIN
            button = (_BayButton if bay else Button)(look, words, part, name=f"{name}: {words}")
            button.setCheckable(True)
            button.setMinimumWidth(self._width(words))
            button.clicked.connect(lambda _on=False, key=key: self.chosen.emit(key))
            self._group.addButton(button)
            self._buttons[key] = button
            row.addWidget(button)
        if choices:
            self.choose(choices[0][0])

    def choose(self, key: str) -> None:
        """Choose by program; nothing is announced. The Tab key stops at the one that is chosen."""
        self._buttons[key].setChecked(True)
        for each, button in self._buttons.items():
            button.setFocusPolicy(Qt.FocusPolicy.StrongFocus if each == key else Qt.FocusPolicy.ClickFocus)

    def clear(self) -> None:
        """Let none be chosen, as long as the question has not been answered."""
        self._group.setExclusive(False)
        for button in self._buttons.values():
            button.setChecked(False)
        self._group.setExclusive(True)

    def choice(self) -> str:
        """Return the key chosen."""
        return next((key for key, button in self._buttons.items() if button.isChecked()), "")

    def focus_choice(self) -> None:
        """Put the keyboard on the choice that is made, or on the first one where none is yet."""
        button = self._group.checkedButton() or next(iter(self._buttons.values()), None)
        if button is not None:
            button.setFocus()

    def buttons(self) -> tuple[Button, ...]:
        """Return the buttons in their order."""
        return tuple(self._buttons.values())

    def set_words(self, key: str, words: str) -> None:
        """Change the words of one choice, such as its count."""
        self._buttons[key].set_text(words)
        self._buttons[key].setMinimumWidth(self._width(words))
        self._buttons[key].setAccessibleName(f"{self.accessibleName()}: {words}")

    def _width(self, words: str) -> int:
        """Room for the words in the weight they have when chosen."""
        role = TextRole.VALUE if self._bay else TextRole.BODY
        wide = self._look.font_metrics(role, strong=True).horizontalAdvance(words) + self._look.px(2 * _PAD)
        return max(wide, self._look.px(BAY_TARGET)) if self._bay else wide

    def _measure(self) -> None:
        for button in self._buttons.values():
            button.setMinimumWidth(self._width(button.text().replace("&&", "&")))
