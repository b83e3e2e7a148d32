"""A person who has nothing but the keyboard: Tab, letters, arrows and the window's keys.

A part is reached with Tab and told by its accessible name, as a screen reader would tell it. Where that
fails, the window fails those who use no mouse.
"""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLineEdit, QPlainTextEdit, QWidget

from shopdesk.ui.background import Background
from shopdesk.ui.widgets.field import LabelledField
from shopdesk.ui.widgets.table import RowTable
from shopdesk.ui.window import MainWindow
from tests.ui.shop_window import Typing

_MOST_STOPS = 250


class Keyboard(Typing):
    """Works a window without ever pointing at anything."""

    def __init__(self, window: MainWindow, background: Background) -> None:
        self.window = window
        self.background = background

    @property
    def place(self) -> tuple[str, str]:
        """The page and the subject in sight."""
        place = self.window.ways.place
        return (place.page, place.subject) if place else ("", "")

    @property
    def here(self) -> QWidget:
        """The part that has the keyboard."""
        part = QApplication.focusWidget()
        assert part is not None, "the keyboard is nowhere"
        return part

    def reach(self, name: str) -> QWidget:
        """Press Tab until the part of this name has the keyboard."""
        met = []
        for _stop in range(_MOST_STOPS):
            part = QApplication.focusWidget()
            if part is not None and _is_called(part, name):
                return part
            met.append(part.accessibleName() if part is not None else "nothing")
            QTest.keyClick(part or self.window, Qt.Key.Key_Tab)
        raise AssertionError(f"Tab does not reach {name!r}; it met {sorted(set(met))}")

    def write(self, name: str, text: str) -> None:
        """Type a text into the field of this name, in place of what stands there."""
        part = self.reach(name)
        assert isinstance(part, QLineEdit | QPlainTextEdit), f"{name!r} is a {type(part).__name__}"
        self.key("Ctrl+A")
        self.type(text)

    def choose(self, name: str, words: str) -> None:
        """Pick from a list with the arrow keys."""
        part = self.reach(name)
        assert isinstance(part, QComboBox), f"{name!r} is a {type(part).__name__}"
        if not part.currentText().startswith(words):
            self.key("Home")
        for _entry in range(part.count()):
            if part.currentText().startswith(words):
                return
            self.key("Down")
        offered = [part.itemText(place) for place in range(part.count())]
        raise AssertionError(f"{name!r} does not offer {words!r} but {offered}")

    def tick(self, name: str) -> None:
        """Tick a box that is not ticked yet."""
        part = self.reach(name)
        assert isinstance(part, QAbstractButton)
        assert part.isCheckable()
        assert not part.isChecked(), f"{name!r} is ticked already"
        self.key("Space")
        assert part.isChecked()

    def press(self, name: str) -> None:
        """Press a button."""
        assert isinstance(self.reach(name), QAbstractButton)
        self.key("Space")

    def open_row(self, table: str, words: str) -> None:
        """Open the row of a list in which these words stand."""
        part = self.reach(table)
        assert isinstance(part, RowTable)
        self.key("Ctrl+Home")
        model = part.model()
        for _row in range(model.rowCount()):
            row = part.currentIndex().row()
            cells = [str(model.index(row, column).data()) for column in range(model.columnCount())]
            if words in cells:
                self.key("Return")
                return
            self.key("Down")
        raise AssertionError(f"{table!r} has no row with {words!r}")

    def fill(self, texts: Mapping[str, str]) -> None:
        """Write every text into the field of its name."""
        for name, text in texts.items():
            self.write(name, text)

    def complaints(self) -> list[str]:
        """What is said to be wrong on the page in sight."""
        screen = self.window.ways.screen
        assert screen is not None
        fields = [field for field in screen.findChildren(LabelledField) if field.isVisible()]
        return [f"{field.label}: {field.error}" for field in fields if field.error]


def _is_called(part: QWidget, name: str) -> bool:
    """Whether a part has this name; a unit or a key behind it, in brackets, need not be said."""
    called = part.accessibleName()
    return called == name or called.startswith(f"{name} (")
