"""A small shop behind a real window, for tests of pages and for pictures of them.

The shop is made once through the services from ``tests/jobs/us.json`` and copied for each test. Pages
named ``real`` are the program's own; in place of the others stands an empty page, so that a test sees
where a way leads without building what is there. With none named, all are the program's own.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from PySide6.QtCore import QEventLoop, QKeyCombination, Qt, QTimer
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QWidget

from shopdesk.launch import open_desk
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.figures import Figures
from shopdesk.services.job import JobDone
from shopdesk.ui.announcer import Announcer
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.background import Background
from shopdesk.ui.changes import Bus
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import Drafts
from shopdesk.ui.pages import page_entries
from shopdesk.ui.printing import QtPrinting
from shopdesk.ui.screen import Screen
from shopdesk.ui.scripted_ask import ScriptedAsk
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.window import MainWindow

JOB = Path(__file__).parents[1] / "jobs" / "us.json"
NOW = datetime(2026, 11, 25, 17, 0, tzinfo=UTC)


class StandingClock:
    """A clock that stands until it is moved."""

    def __init__(self, at: datetime = NOW) -> None:
        self.at = at

    def now(self) -> datetime:
        return self.at

    def forward(self, **by: float) -> None:
        self.at += timedelta(**by)


def make_shop(migrated: Path, file: Path) -> JobDone:
    """Copy a migrated empty database to ``file`` and do one whole job in it, 60 days ago."""
    shutil.copyfile(migrated, file)
    clock = StandingClock(NOW - timedelta(days=60))
    rooms = open_desk(f"sqlite:///{file}", clock=clock)
    try:
        return rooms.jobs.run(json.loads(JOB.read_text(encoding="utf-8")))[0]
    finally:
        rooms.close()


class Elsewhere(Screen):
    """An empty page where a way leads."""


class Typing:
    """What a test does with a window: press keys, type, wait until all is answered."""

    window: MainWindow
    background: Background

    def settle(self) -> None:
        """Wait until every question has been answered and every change has been heard of."""
        for _turn in range(3):
            settle(self.background)

    def key(self, key: str) -> None:
        """Press a key or a combination ("Ctrl+Return") where the keyboard is, then settle."""
        combination = _combination(key)
        QTest.keyClick(self._focused(), combination.key(), combination.keyboardModifiers())
        self.settle()

    def type(self, text: str) -> None:
        """Type text where the keyboard is."""
        QTest.keyClicks(self._focused(), text)

    def _focused(self) -> QWidget:
        return QApplication.focusWidget() or self.window


class ShopInWindow(Typing):
    """The rooms of a shop, the window before them, and what a test does with both."""

    def __init__(self, look: Look, rooms: Rooms, bus: Bus, real: Sequence[str] | None) -> None:
        self.rooms = rooms
        self.bus = bus
        self.background = Background(
            refused=lambda refusal: self.window.notices.refuse(refusal.sentence),
            bug=_raise,
            announce=self.bus.announce,
        )
        self.window = MainWindow(look, self.background)
        self.ask = ScriptedAsk()
        actor = rooms.actor()
        self.desk = Desk(
            look=look,
            background=self.background,
            bus=self.bus,
            ask=self.ask,
            drafts=Drafts(self.background, rooms.drafts(actor)),
            printing=QtPrinting(),
            ways=self.window.ways,
            notices=self.window.notices,
        )
        self.work = AtWork(rooms, actor, Figures(rooms.setup.shop()))
        for entry in page_entries(self.desk, self.work):
            build = entry.build if real is None or entry.page in real else self._elsewhere
            self.window.add_page(replace(entry, build=build))
        self.window.set_shop(self.work.figures.shop.name)

    def _elsewhere(self) -> Screen:
        screen = Elsewhere(self.desk, "")
        screen.column.addWidget(PlainLabel("elsewhere"))
        return screen

    def show(self, width: int = 1280, height: int = 800) -> None:
        """Show the window with the keyboard in it."""
        self.window.resize(width, height)
        self.window.show()
        self.window.activateWindow()

    def go(self, page: str, subject: str = "") -> Screen:
        """Go to a page and wait until it shows what there is."""
        self.window.ways.go(page, subject)
        self.settle()
        screen = self.window.ways.screen
        assert screen is not None
        return screen

    def place(self) -> tuple[str, str]:
        """Give the page and the subject in sight."""
        place = self.window.ways.place
        return (place.page, place.subject) if place else ("", "")

    def close(self) -> None:
        """Close the window, its lanes and the shop."""
        self.window.close()
        self.desk.drafts.keep_all()  # as the program does: no timer is left that would write later
        self.background.close()
        self.rooms.close()
        self.window.deleteLater()


def settle(background: Background) -> None:
    """Let what is queued be delivered, then wait until no question is open."""
    loop = QEventLoop()
    QTimer.singleShot(0, loop.quit)
    loop.exec()
    if not background.is_idle:
        background.idle.connect(loop.quit)
        loop.exec()


def _combination(key: str) -> QKeyCombination:
    found: QKeyCombination = QKeySequence(key)[0]  # type: ignore[index]
    return found


def _raise(error: BaseException) -> None:
    raise error


@contextmanager
def shop_in_window(
    look: Look, file: Path, *, real: Sequence[str] | None = None, clock: StandingClock | None = None
) -> Iterator[ShopInWindow]:
    """Open the shop in ``file`` behind a window in which the ``real`` pages are the program's own."""
    bus = Bus()
    announcer = Announcer(bus)
    rooms = open_desk(f"sqlite:///{file}", clock=clock or StandingClock(), announce=announcer.announce)
    shop = ShopInWindow(look, rooms, bus, real)
    try:
        yield shop
    finally:
        shop.close()


def tab_stops(screen: QWidget) -> list[QWidget]:
    """Give every part of a page that the Tab key should reach."""
    return [
        part
        for part in screen.findChildren(QWidget)
        if part.isVisible()
        and part.isEnabled()
        and part.focusProxy() is None
        and part.focusPolicy() & Qt.FocusPolicy.TabFocus
    ]


def assert_tab_walks(shop: Typing, screen: Screen) -> None:
    """Fail unless Tab reaches each part of a page once, and each has a name to be read out."""
    stops = tab_stops(screen)
    nameless = [type(part).__name__ for part in stops if not part.accessibleName()]
    assert not nameless
    assert stops
    stops[0].setFocus()
    met: list[QWidget] = []
    for _step in range(len(stops) * 3):
        here = QApplication.focusWidget()
        if here is None or (here in met and here is met[0]):
            break
        if screen.isAncestorOf(here):
            met.append(here)
        QTest.keyClick(here, Qt.Key.Key_Tab)
    once = [part for part in stops if _is_reached(part)]
    wrong = {f"{type(part).__name__} {part.accessibleName()!r}": met.count(part) for part in once}
    wrong = {name: times for name, times in wrong.items() if times != 1}
    assert not wrong, f"Tab stops here another number of times than once: {wrong}"


def _is_reached(part: QWidget) -> bool:
    """Whether Tab stops here: of a row of buttons of which one is chosen, only at the chosen one."""
    group = part.group() if isinstance(part, QAbstractButton) else None
    return group is None or not group.exclusive() or (isinstance(part, QAbstractButton) and part.isChecked())
