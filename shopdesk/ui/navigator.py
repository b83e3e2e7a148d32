"""Pages by name, built when first visited, and the way back."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QStackedWidget

from shopdesk.ui.screen import Screen

_LONGEST = 50


@dataclass(frozen=True, slots=True)
class Place:
    """A page, and the thing it shows."""

    page: str
    subject: str = ""


class Navigator(QObject):
    """``arrived`` tells the page after every move."""

    arrived = Signal(str)

    def __init__(self, stack: QStackedWidget) -> None:
        super().__init__(stack)
        self._stack = stack
        self._builders: dict[str, Callable[[], Screen]] = {}
        self._screens: dict[str, Screen] = {}
        self._trail: list[Place] = []
        self._at = -1

    def add(self, page: str, build: Callable[[], Screen]) -> None:
        """Make a page known; it is built at the first visit."""
        self._builders[page] = build

    def knows(self, page: str) -> bool:
        """Whether there is such a page."""
        return page in self._builders

    @property
    def home(self) -> QStackedWidget:
        """Where the pages live: one that is made there need not be dressed anew when it moves in."""
        return self._stack

    @property
    def screen(self) -> Screen | None:
        """The page in sight."""
        place = self.place
        return self._screens.get(place.page) if place else None

    @property
    def place(self) -> Place | None:
        """Where we are."""
        return self._trail[self._at] if self._at >= 0 else None

    def go(self, page: str, subject: str = "") -> None:
        """Show a page for a subject. KeyError if there is no such page."""
        place = Place(page, subject)
        screen = self._screen(page)
        if place != self.place:
            self._trail = [*self._trail[: self._at + 1], place][-_LONGEST:]
            self._at = len(self._trail) - 1
        self._show(screen, place)

    def back(self) -> None:
        """Show the place before, if there is one."""
        self._move(-1)

    def forward(self) -> None:
        """Show the place one came back from, if there is one."""
        self._move(1)

    def make_anew(self) -> None:
        """Forget every page that was built, and build the one in sight again where it stands."""
        place, screen = self.place, self.screen
        if place is None or screen is None:
            return
        gone, self._screens = list(self._screens.values()), {}
        self._show(self._screen(place.page), Place(place.page, screen.subject or place.subject))
        for old in gone:
            self._stack.removeWidget(old)
            old.hide()
            old.deleteLater()

    def _move(self, by: int) -> None:
        if 0 <= self._at + by < len(self._trail):
            self._at += by
            place = self._trail[self._at]
            self._show(self._screen(place.page), place)

    def _screen(self, page: str) -> Screen:
        if page not in self._screens:
            screen = self._builders[page]()
            self._screens[page] = screen
            self._stack.addWidget(screen)
        return self._screens[page]

    def _show(self, screen: Screen, place: Place) -> None:
        self._stack.setCurrentWidget(screen)
        screen.open_at(place.subject)
        self.arrived.emit(place.page)
        screen.focus_first()
