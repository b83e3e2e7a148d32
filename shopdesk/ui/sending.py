"""One write at a time from one place, so that a double click or a held key never sends twice."""

from collections.abc import Callable
from typing import TypeVar

from PySide6.QtCore import QObject

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.desk import Desk

Answer = TypeVar("Answer")


class Sending:
    """Sends a command for ``owner`` and lets no other go until it has been answered.

    The command carries its own id from the moment it is made, so the same command carried out twice
    changes nothing the second time.
    """

    def __init__(self, desk: Desk, owner: QObject) -> None:
        self._desk = desk
        self._owner = owner
        self._busy = False

    @property
    def is_busy(self) -> bool:
        """Whether an answer is still awaited."""
        return self._busy

    def send(
        self,
        work: Callable[[], Answer],
        then: Callable[[Answer], None],
        refused: Callable[[RuleBroken], None] | None = None,
    ) -> bool:
        """Carry out ``work`` off the window's thread; False if another is under way.

        A refusal that ``refused`` does not take is said over the page. After a bug, which the crash handler
        tells, the same command can be sent once more: the fault may pass, and what is typed is still there.
        """
        if self._busy:
            return False
        self._busy = True

        def done(answer: Answer) -> None:
            self._busy = False
            then(answer)

        def not_done(refusal: RuleBroken) -> None:
            self._busy = False
            if refused is not None:
                refused(refusal)
            else:
                self._desk.notices.refuse(refusal.sentence)

        def failed() -> None:
            self._busy = False

        self._desk.background.write(self._owner, work, done, not_done, failed=failed)
        return True
