"""Who hears of what has changed.

A write names its topics; after it has been kept, the bus tells every screen that listens, and each asks
again for what it shows. ``Watch`` hears of another program on the same database.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from weakref import ReferenceType, ref

from PySide6.QtCore import QObject, QTimer
from shiboken6 import isValid

from shopdesk.ui.background import Background


class Topic(StrEnum):
    """What can change."""

    CUSTOMERS = "customers"
    VEHICLES = "vehicles"
    SHEETS = "sheets"
    WORK = "work"
    SERVICE = "service"
    STOCK = "stock"
    MONEY = "money"
    DUE = "due"
    PAPERS = "papers"
    SHOP = "shop"


ALL_TOPICS = frozenset(Topic)


@dataclass(frozen=True, slots=True)
class _Listener:
    owner: ReferenceType[QObject]
    topics: frozenset[str]
    hear: Callable[[], None]

    def alive(self) -> bool:
        owner = self.owner()
        return owner is not None and isValid(owner)


class Bus:
    """Announces topics to those who listen, for as long as they live. Used on the window's thread only."""

    def __init__(self) -> None:
        self._listeners: list[_Listener] = []

    def listen(self, owner: QObject, topics: Iterable[str], hear: Callable[[], None]) -> None:
        """Call ``hear`` whenever one of ``topics`` is announced, until ``owner`` is gone."""
        self._listeners.append(_Listener(ref(owner), frozenset(topics), hear))

    def announce(self, topics: Iterable[str]) -> None:
        """Tell each listener once that some of ``topics`` changed."""
        changed = frozenset(topics)
        self._listeners = [listener for listener in self._listeners if listener.alive()]
        for listener in list(self._listeners):
            if listener.alive() and listener.topics & changed:
                listener.hear()


class Watch(QObject):
    """Looks at the database's own change mark now and then and announces everything if it moved."""

    def __init__(self, background: Background, bus: Bus, mark: Callable[[], int], seconds: int = 30) -> None:
        super().__init__()
        self._background = background
        self._bus = bus
        self._mark = mark
        self._seen: int | None = None
        self._timer = QTimer(self, interval=seconds * 1000)
        self._timer.timeout.connect(self.look)
        self._timer.start()

    def look(self) -> None:
        """Ask for the mark now."""
        self._background.read(self, "mark", self._mark, self._compare)

    def stop(self) -> None:
        """Ask no more."""
        self._timer.stop()

    def _compare(self, mark: int) -> None:
        moved = self._seen is not None and mark != self._seen
        self._seen = mark
        if moved:
            self._bus.announce(ALL_TOPICS)
