"""What every screen is handed, beside the services it needs."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from PySide6.QtWidgets import QWidget

from shopdesk.ui.asking import Ask
from shopdesk.ui.background import Background
from shopdesk.ui.changes import Bus
from shopdesk.ui.drafts import Drafts
from shopdesk.ui.printing import Printing
from shopdesk.ui.theme.look import Look, LookChoice


class Ways(Protocol):
    """The ways between pages."""

    @property
    def home(self) -> QWidget:
        """Where the pages live and are made."""

    def go(self, page: str, subject: str = "") -> None:
        """Show a page, for the thing named by ``subject``."""

    def back(self) -> None:
        """Show the page before."""


class Notices(Protocol):
    """The line over the page."""

    def tell(self, sentence: str, verb: str = "", do: Callable[[], None] | None = None) -> None:
        """Say what was done, and offer to undo it."""

    def refuse(self, sentence: str) -> None:
        """Say what was refused."""


def until_closed(_choice: LookChoice) -> None:
    """Keep no look: the next window begins as it was set up."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Desk:
    """The look, the lanes, the bus, the questions, the drafts, the printers, the ways and the notices.

    ``keep_choice`` keeps the look chosen at this station; it writes a file, so it is called off the
    window's thread.
    """

    look: Look
    background: Background
    bus: Bus
    ask: Ask
    drafts: Drafts
    printing: Printing
    ways: Ways
    notices: Notices
    keep_choice: Callable[[LookChoice], None] = until_closed
