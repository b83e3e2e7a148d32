"""The program with its window: lanes, bus, questions, pages, and the shop they are about.

The empty frame is shown first; the shop is opened on a lane meanwhile, because loading the database
takes longer than a person should look at nothing.
"""

from collections.abc import Callable
from dataclasses import dataclass
from gettext import gettext as _
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QTimer, Signal
from PySide6.QtWidgets import QApplication

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.announcer import Announcer
from shopdesk.ui.app import make_look
from shopdesk.ui.ask import Ask, WindowAsk
from shopdesk.ui.background import Background
from shopdesk.ui.changes import Bus
from shopdesk.ui.collecting import spare_what_is_there, take_back
from shopdesk.ui.crash import CrashHandler
from shopdesk.ui.printing import Printing, QtPrinting
from shopdesk.ui.theme.look import LookChoice
from shopdesk.ui.window import MainWindow

if TYPE_CHECKING:  # the shop's rooms load the database, which the first frame does not wait for
    from shopdesk.services.acting import Actor
    from shopdesk.services.desk import Desk as Rooms
    from shopdesk.services.figures import Figures

Announce = Callable[[frozenset[str]], None]


@dataclass(frozen=True, kw_only=True, slots=True)
class Surroundings:
    """What the window is given: where things are, how the shop is opened, and which way printers are."""

    open_shop: Callable[[Announce], "Rooms"]
    open_demo: Callable[[Announce], "Rooms"]
    resources: Path
    log_place: str
    choice: LookChoice
    keep_choice: Callable[[LookChoice], None]
    printing: Printing
    ask: Callable[[MainWindow], Ask] | None = None


class FirstPaint(QObject):
    """Calls back once the window has been drawn for the first time."""

    def __init__(self, window: MainWindow, then: Callable[[], None]) -> None:
        super().__init__(window)
        self._then = then
        window.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Wait for the paint event, then let the event loop finish drawing."""
        if event.type() is QEvent.Type.Paint:
            watched.removeEventFilter(self)
            QTimer.singleShot(0, self._then)
        return False


class Program(QObject):
    """Lives as long as the window. ``ready`` is sent when the first page is in sight."""

    ready = Signal()

    def __init__(self, app: QApplication, given: Surroundings) -> None:
        super().__init__()
        self._given = given
        self.look = make_look(app, given.resources, given.choice)
        self.bus = Bus()
        self.crash = CrashHandler(given.log_place, self._keep_typed, self._say)
        self.background = Background(refused=self._refused, bug=self.crash.handle, announce=self.bus.announce)
        self.window = MainWindow(self.look, self.background)
        self.ask: Ask = given.ask(self.window) if given.ask else WindowAsk(self.look, self.window)
        self.window.closing.connect(self.close)
        self._rooms: Rooms | None = None
        self._keep: Callable[[], None] = lambda: None
        self._stop_watch: Callable[[], None] = lambda: None

    def start(self, *, demo: bool = False) -> None:
        """Show the empty frame, then open the shop."""
        opens = self._given.open_demo if demo else self._given.open_shop
        self._first_paint = FirstPaint(self.window, lambda: self.open(opens))
        self.window.setWindowTitle(_("shopdesk"))
        self.window.show()
        self.window.activateWindow()

    def open(self, opens: Callable[[Announce], "Rooms"]) -> None:
        """Open a shop in place of the one that is open, if any.

        All that it loads is loaded on the lane, so that the frame already answers meanwhile.
        """
        announcer = Announcer(self.bus)
        announcer.setParent(self)
        self.background.read(
            self, "open", lambda: _opened(opens, announcer.announce), self._enter, self._not_opened
        )

    def _enter(self, opened: "_Opened") -> None:
        from shopdesk.ui.opening import Frame, enter_shop
        from shopdesk.ui.warming import warm_pages

        if self._rooms is not None:
            self._rooms.close()
        self._rooms = opened.rooms
        self._stop_watch()
        frame = Frame(
            window=self.window,
            look=self.look,
            background=self.background,
            bus=self.bus,
            ask=self.ask,
            printing=self._given.printing,
            keep_choice=self._given.keep_choice,
            open_shop=lambda: self.open(self._given.open_shop),
            open_demo=lambda: self.open(self._given.open_demo),
        )
        self._keep, self._stop_watch = enter_shop(frame, opened.rooms, opened.actor, opened.figures)
        self.ready.emit()
        warm_pages(self.background, self, spare_what_is_there)

    def close(self) -> None:
        """Keep what was typed, end the lanes, close the shop."""
        self._keep()
        self._stop_watch()
        self.background.close()
        take_back()
        if self._rooms is not None:
            self._rooms.close()
            self._rooms = None

    def _keep_typed(self) -> None:
        self._keep()

    def _say(self, sentence: str) -> None:
        self.ask.say(sentence)

    def _refused(self, refusal: RuleBroken) -> None:
        self.window.notices.refuse(refusal.sentence)

    def _not_opened(self, refusal: RuleBroken) -> None:
        self.ask.say(refusal.sentence, _("Nothing at that place was changed."))


@dataclass(frozen=True, slots=True)
class _Opened:
    rooms: "Rooms"
    actor: "Actor"
    figures: "Figures | None"


def _opened(opens: Callable[[Announce], "Rooms"], announce: Announce) -> _Opened:
    import shopdesk.ui.opening
    import shopdesk.ui.warming  # noqa: F401  (loaded here, off the window's thread)
    from shopdesk.services.figures import Figures

    rooms = opens(announce)
    actor = rooms.actor()
    figures = Figures(rooms.setup.shop()) if actor.person_id else None
    import_module(f"shopdesk.ui.screens.{'today' if figures is not None else 'first_run'}")
    return _Opened(rooms, actor, figures)


def usual_printing() -> Printing:
    """Give this machine's printers."""
    return QtPrinting()
