"""Everything slow happens here: one lane that writes, one that reads, one for papers.

A screen asks with a key and gets the answer on the window's thread. A newer question with the same key
makes an older one pointless: it is withdrawn, or its answer is dropped. An answer for a screen that has
been closed is dropped. Refusals (RuleBroken) go to the one who asked; any other error is a bug and goes
to the crash handler.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from itertools import count
from typing import TypeVar
from weakref import ReferenceType, ref

from PySide6.QtCore import QObject, Qt, Signal
from shiboken6 import isValid

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.collecting import Collector
from shopdesk.ui.lane import Lane, Outcome, attempt

Answer = TypeVar("Answer")
Refused = Callable[[RuleBroken], None]


@dataclass(slots=True)
class _Request:
    lane: Lane
    owner: ReferenceType[QObject]
    then: Callable[[object], None]
    refused: Refused
    changes: frozenset[str] = field(default_factory=frozenset)
    failed: Callable[[], None] | None = None
    pointless: bool = False

    def wanted(self) -> bool:
        owner = self.owner()
        return not self.pointless and owner is not None and isValid(owner)


class Background(QObject):
    """The three lanes. ``idle`` is sent when every question has been answered."""

    idle = Signal()
    _done = Signal(int)

    def __init__(
        self,
        *,
        refused: Refused,
        bug: Callable[[BaseException], None],
        announce: Callable[[Iterable[str]], None],
    ) -> None:
        """``refused`` hears refusals nobody else wants, ``announce`` what a write has changed."""
        super().__init__()
        self._refused = refused
        self._bug = bug
        self._announce = announce
        self._numbers = count(1)
        self._open: dict[int, _Request] = {}
        self._latest: dict[tuple[int, str], int] = {}
        self._done.connect(self._deliver, Qt.ConnectionType.QueuedConnection)
        self._collector = Collector(self)
        self._writer = Lane("writer", self._done.emit)
        self._reader = Lane("reader", self._done.emit)
        self._papers = Lane("papers", self._done.emit)
        self._ending = False
        self._closed = False

    @property
    def is_idle(self) -> bool:
        """Whether no question is open."""
        return not self._open

    def read(
        self,
        owner: QObject,
        key: str,
        work: Callable[[], Answer],
        then: Callable[[Answer], None],
        refused: Refused | None = None,
    ) -> None:
        """Ask for something; a newer question of the same owner and key replaces this one."""
        if self._ending and not self._closed:
            return
        self._supersede(owner, key, self._post(self._reader, owner, work, then, refused))

    def paper(
        self,
        owner: QObject,
        key: str,
        work: Callable[[], Answer],
        then: Callable[[Answer], None],
        refused: Refused | None = None,
    ) -> None:
        """As ``read``, in the lane for PDF pages and printing (PDFium serves one thread)."""
        if self._ending and not self._closed:
            return
        self._supersede(owner, key, self._post(self._papers, owner, work, then, refused))

    def write(
        self,
        owner: QObject,
        work: Callable[[], Answer],
        then: Callable[[Answer], None],
        refused: Refused | None = None,
        *,
        changes: Iterable[str] = (),
        key: str = "",
        failed: Callable[[], None] | None = None,
    ) -> None:
        """Change something; ``changes`` are the topics announced once it is done.

        ``failed`` is called when the work ends in a bug, before the crash handler hears of it.

        Writes are done in order and all of them, unless a ``key`` is given: then one still waiting is
        replaced by a newer of the same owner and key. The change is announced even if the screen has gone.
        """
        number = self._post(self._writer, owner, work, then, refused)
        self._open[number].changes = frozenset(changes)
        self._open[number].failed = failed
        if self._ending:
            self._hand_over(self._open.pop(number), attempt(work))
            return
        if key:
            self._supersede(owner, f"write {key}", number)

    def close(self) -> None:
        """Finish every write, drop every read, end the threads. Bugs met on the way are still told.

        What the last answers bring about is still written, at once; what they would read is not.
        """
        if self._ending:
            return
        self._ending = True
        self._reader.close(finish=False)
        self._papers.close(finish=False)
        self._writer.close(finish=True)
        self._collector.end()
        for number in list(self._open):
            self._deliver(number)
        self._open.clear()
        self._closed = True

    def _post(
        self,
        lane: Lane,
        owner: QObject,
        work: Callable[[], Answer],
        then: Callable[[Answer], None],
        refused: Refused | None,
    ) -> int:
        if self._closed:
            raise RuntimeError("The background is closed.")
        number = next(self._numbers)
        request = _Request(lane, ref(owner), then, refused or self._refused)  # type: ignore[arg-type]
        self._open[number] = request
        if not self._ending:
            lane.put(number, work)
        return number

    def _supersede(self, owner: QObject, key: str, number: int) -> None:
        older = self._latest.get((id(owner), key))
        self._latest[id(owner), key] = number
        request = self._open.get(older or 0)
        if request is None or older is None:
            return
        if request.lane.withdraw(older):
            del self._open[older]
        elif request.lane is not self._writer:
            request.pointless = True

    def _deliver(self, number: int) -> None:
        request = self._open.get(number)
        outcome = request.lane.take(number) if request is not None else None
        if request is None or outcome is None:
            return
        del self._open[number]
        self._forget_key(number)
        try:
            self._hand_over(request, outcome)
        finally:
            if not self._open:
                self.idle.emit()

    def _forget_key(self, number: int) -> None:
        for key in [key for key, latest in self._latest.items() if latest == number]:
            del self._latest[key]

    def _hand_over(self, request: _Request, outcome: Outcome) -> None:
        error = outcome.error
        if error is None:
            if request.changes:
                self._announce(request.changes)
            if request.wanted() and (request.lane is self._writer or not self._ending):
                request.then(outcome.value)
        elif not isinstance(error, RuleBroken):
            if request.failed is not None and request.wanted():
                request.failed()
            self._bug(error)
        elif request.wanted():
            request.refused(error)
        elif request.lane is self._writer:
            self._refused(error)
