"""The program as a person starts it, with hands at its keyboard.

``python -m tests.journeys.on_screen PICTURE`` runs in a process of its own, on whatever screen the
environment names. It types the first run, reaches Today, saves a picture of what stands on the screen there,
and closes the window.
"""

from __future__ import annotations

import sys

from PySide6.QtCore import QObject, Qt, QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest

from shopdesk import launch
from shopdesk.ui.program import Program
from tests.journeys.counter_work import SHOP
from tests.journeys.keyboard import Keyboard


class Hands(QObject):
    """Types what each page asks for, as soon as it is in sight."""

    def __init__(self, program: Program, picture: str) -> None:
        super().__init__(program)
        self._program = program
        self._picture = picture
        self._keyboard = Keyboard(program.window, program.background)
        self._turn = QTimer(self, interval=20)
        self._turn.timeout.connect(self._go_on)
        program.ready.connect(self._turn.start)

    def _go_on(self) -> None:
        """Type, but never while still typing: the hands wait for answers in a loop of their own."""
        self._turn.stop()
        page = self._keyboard.place[0]
        sys.stdout.write(f"{QGuiApplication.platformName()}: {page}\n")
        if page == "first run":
            self._keyboard.type("Alder Driveline")
            self._keyboard.fill(SHOP)
            QTest.keyClick(self._program.window, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
        else:
            self._keyboard.settle()
            self._look()

    def _look(self) -> None:
        window = self._program.window
        window.screen().grabWindow(window.winId()).save(self._picture)
        window.close()


def main(picture: str) -> int:
    """Start the program as its command does, with hands beside it. Gives its exit code."""
    begin = Program.start

    def start(program: Program, *, demo: bool = False) -> None:
        Hands(program, picture)
        begin(program, demo=demo)

    setattr(Program, "start", start)  # noqa: B010 - the only place where hands can join a program
    return launch.main([])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
