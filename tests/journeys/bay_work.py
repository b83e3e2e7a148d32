"""One service from the fill plug to the leak check in Bay view, by either kind of hands.

The technician types or taps; the other takes over before the warm-up. At the first opening nothing runs
out, so fluid is added and the plug is opened again.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import TypeVar

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QLineEdit, QScrollArea, QWidget

from shopdesk.ui.screens.bay.screen import BayScreen
from tests.journeys.conftest import Run
from tests.ui.shop_window import StandingClock

T = TypeVar("T", bound=QWidget)
_SMALLEST = 56
"""The least width and height of what a glove can press, in pixels."""


class Hands(ABC):
    """What a technician can do. Each deed takes half a minute."""

    def __init__(self, run: Run, clock: StandingClock) -> None:
        self.run = run
        self._clock = clock

    @property
    def page(self) -> BayScreen:
        screen = self.run.program.window.ways.screen
        assert isinstance(screen, BayScreen)
        screen.clock = self._clock.now  # type: ignore[method-assign]
        return screen

    def at(self, title: str) -> None:
        """Be at a step; anything else is a fault of the order of work."""
        assert self.page.title_line.text() == title
        self._clock.forward(seconds=30)

    @abstractmethod
    def write(self, name: str, text: str) -> None: ...

    @abstractmethod
    def answer(self, question: str, words: str) -> None: ...

    @abstractmethod
    def press(self, name: str) -> None: ...

    @abstractmethod
    def done(self) -> None: ...

    @abstractmethod
    def next_step(self) -> None: ...


class ByKeyboard(Hands):
    """Tab, arrows, Space and the window's keys."""

    def write(self, name: str, text: str) -> None:
        self.run.keyboard.write(name, text)
        self.run.keyboard.key("Return")

    def answer(self, question: str, words: str) -> None:
        k, wanted = self.run.keyboard, f"{question}: {words}"
        for _stop in range(120):
            if k.here.accessibleName().startswith(f"{question}: "):
                break
            QTest.keyClick(k.here, Qt.Key.Key_Tab)
        for _answer in range(6):
            if k.here.accessibleName() == wanted:
                break
            k.key("Right")
        assert k.here.accessibleName() == wanted
        k.key("Space")

    def press(self, name: str) -> None:
        self.run.keyboard.press(name)
        self.run.keyboard.settle()

    def done(self) -> None:
        self.run.keyboard.key("Ctrl+Return")

    def next_step(self) -> None:
        self.run.keyboard.key("Alt+Right")


class ByGloves(Hands):
    """Nothing but presses on large targets; numbers go in by the pad, its unit by the unit's key."""

    def write(self, name: str, text: str) -> None:
        lines = [line for line in self._shown(QLineEdit) if line.accessibleName().startswith(name)]
        self._push(lines[0])
        if lines[0].text():
            self.press("Clear")
        number, _space, unit = text.partition(" ")
        for letter in number:
            self.press("Decimal point" if letter == "." else letter)
        if unit:
            self.press(unit)
        assert lines[0].text() == text
        if self.page.title_line.text().startswith("Warm up"):
            self.press("Next field")

    def answer(self, question: str, words: str) -> None:
        self.press(f"{question}: {words}")

    def press(self, name: str) -> None:
        found = [each for each in self._shown(QAbstractButton) if each.accessibleName() == name]
        assert found, name
        self._push(found[0])
        self.run.keyboard.settle()

    def done(self) -> None:
        self._push(self.page.done)
        self.run.keyboard.settle()

    def next_step(self) -> None:
        self.press("Next step")

    def _shown(self, kind: type[T]) -> list[T]:
        return [part for part in self.page.findChildren(kind) if part.isVisible() and part.isEnabled()]

    def _push(self, part: QWidget) -> None:
        """Scroll to a target as a thumb does, and press it where it can be seen."""
        assert min(part.width(), part.height()) >= _SMALLEST, part.accessibleName()
        for scroll in self.page.findChildren(QScrollArea):
            if scroll.isAncestorOf(part):
                scroll.ensureWidgetVisible(part)
        self.run.keyboard.settle()
        seen = part.visibleRegion().boundingRect()
        assert not seen.isEmpty(), part.accessibleName()
        QTest.mouseClick(part, Qt.MouseButton.LeftButton, pos=seen.center())


def whole_service(hands: Hands, picture: str, second: int) -> None:
    """Do the service up to its last step."""
    old_fluid_out(hands, picture)
    new_fluid_in(hands)
    hands.run.ask.answers = [str(second)]
    hands.press("Hand over")
    set_the_level(hands)
    close_up(hands)


def old_fluid_out(hands: Hands, picture: str) -> None:
    hands.at("Fill plug loosened")
    hands.done()
    hands.at("Level as found, before draining")
    hands.next_step()
    hands.at("Drained")
    hands.write("Drained", "3.03 L")
    hands.write("Its temperature when read", "104")
    if hands.page.title_line.text() == "Drained":  # Enter in the last field went on already
        hands.done()
    hands.at("Look at the old fluid")
    hands.answer("How the old fluid looked", "2  brown, transparent")
    hands.answer("Magnet and pan", "1  fine paste on the magnet")
    hands.run.ask.answers = [picture]
    hands.press("Add a picture")
    hands.done()
    hands.at("Drain plug torqued")
    _torque(hands, "Drain plug", "36")


def _torque(hands: Hands, plug: str, torque: str) -> None:
    hands.write(f"{plug} torque", torque)
    hands.answer(f"{plug} washer", "New washer")
    hands.done()


def new_fluid_in(hands: Hands) -> None:
    hands.at("Filled")
    hands.write("Put in", "3.2 qt")
    hands.write("Spilled", "45 mL")
    hands.done()
    hands.at("Fill plug torqued")
    _torque(hands, "Fill plug", "36")
    hands.at("Engine started")
    hands.done()
    hands.at("Selector cycled")
    hands.write("Seconds in each position", "5")
    if hands.page.title_line.text() == "Selector cycled":
        hands.done()
    hands.at("Before the level is set")
    hands.answer("Vehicle stood level", "Yes")
    hands.answer("Engine while the level was set", "Idling")
    hands.done()


def set_the_level(hands: Hands) -> None:
    hands.at("Warm up")
    hands.write("Temperature on the tool now", "88")
    for _tap in range(4):
        hands.at("Warm up")
        hands.press("+2 °F since the last")
    hands.done()
    hands.at("Open the level plug")
    hands.answer("Flow at opening", "None")
    hands.done()
    hands.at("Close, add fluid")
    hands.write("Put in, round 2", "0.8 qt")
    hands.write("Spilled, round 2", "0 mL")
    hands.done()
    hands.at("Warm up again, 2")
    hands.press("+5 °F since the last")
    hands.done()
    hands.at("Open the level plug again, 2")
    hands.answer("Flow at opening, round 2", "Stream")
    hands.done()
    hands.at("Close the level plug")
    hands.write("Temperature when the level plug was closed, round 2", "104")
    hands.answer("Flow at closing, round 2", "Drip")
    hands.write("Ran out at level check, round 2", "500 mL")
    hands.done()


def close_up(hands: Hands) -> None:
    hands.at("Level plug torqued")
    _torque(hands, "Level plug", "18")
    hands.at("Leak checked")
    hands.done()
    hands.at("What comes of it")
