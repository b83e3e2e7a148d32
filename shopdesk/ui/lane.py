"""One thread that does one piece of work after the other. Nothing here knows of Qt."""

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from threading import Condition, Thread

Work = Callable[[], object]


@dataclass(slots=True)
class Outcome:
    """What came of a piece of work: a value or an error."""

    value: object = None
    error: Exception | None = None


class Lane:
    """Works through what is put in, in order, on its own thread.

    The owner is told the number of each piece done and fetches the outcome with ``take``. Work and
    outcome may hold on to widgets, which must die on the window's thread: the lane lets go of both
    before it tells, so the last hold is always the owner's.
    """

    def __init__(self, name: str, done: Callable[[int], None]) -> None:
        self._done = done
        self._waiting: OrderedDict[int, Work] = OrderedDict()
        self._outcomes: dict[int, Outcome] = {}
        self._changed = Condition()
        self._closing = False
        self._thread = Thread(target=self._run, name=f"shopdesk-{name}")
        self._thread.start()

    def put(self, number: int, work: Work) -> None:
        """Queue a piece of work under its own number."""
        with self._changed:
            self._waiting[number] = work
            self._changed.notify()

    def withdraw(self, number: int) -> bool:
        """Take back a piece that has not begun; whether it was still waiting."""
        with self._changed:
            return self._waiting.pop(number, None) is not None

    def take(self, number: int) -> Outcome | None:
        """Fetch an outcome once; None if there is none (yet)."""
        with self._changed:
            return self._outcomes.pop(number, None)

    def close(self, *, finish: bool) -> None:
        """Stop after the piece in hand, or with ``finish`` after everything queued; wait for the end."""
        with self._changed:
            self._closing = True
            if not finish:
                self._waiting.clear()
            self._changed.notify()
        self._thread.join()

    def _run(self) -> None:
        while (job := self._next()) is not None:
            number, work = job
            outcome = attempt(work)
            del job, work
            with self._changed:
                self._outcomes[number] = outcome
            del outcome
            self._done(number)

    def _next(self) -> tuple[int, Work] | None:
        with self._changed:
            self._changed.wait_for(lambda: bool(self._waiting) or self._closing)
            return self._waiting.popitem(last=False) if self._waiting else None


def attempt(work: Work) -> Outcome:
    """Do a piece of work on this thread."""
    try:
        return Outcome(value=work())
    except Exception as error:  # noqa: BLE001 - carried to the window's thread and judged there
        return Outcome(error=error)
