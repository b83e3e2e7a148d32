"""What the window needs of a page."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QTimer, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from shopdesk.ui.actions import Verb
from shopdesk.ui.desk import Desk


@dataclass(frozen=True, kw_only=True, slots=True)
class PageAction:
    """A button at the top of a page; ``verb`` is the key that does the same."""

    words: str
    do: Callable[[], None]
    icon: str = ""
    verb: Verb | None = None
    enabled: bool = True


class Screen(QWidget):
    """A page: a heading, at most one main action, what the keys do here, and parts in ``column``.

    ``open_at`` is called at every visit with the subject; ``refresh`` reads again what is shown. A screen
    that is not in sight when something changes reads again when it comes back into sight.
    """

    heading_changed = Signal()
    actions_changed = Signal()

    def __init__(self, desk: Desk, title: str) -> None:
        super().__init__(desk.ways.home)
        self.hide()
        self.desk = desk
        self.title = title
        self.subtitle = ""
        self.subject = ""
        self.main: PageAction | None = None
        self.others: tuple[PageAction, ...] = ()
        self.commands: dict[Verb, Callable[[], None]] = {}
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(desk.look.px(14))
        self._stale = False

    def set_heading(self, title: str, subtitle: str = "") -> None:
        """Change the title and the line beneath it."""
        self.title = title
        self.subtitle = subtitle
        self.heading_changed.emit()

    def set_actions(self, main: PageAction | None, *others: PageAction) -> None:
        """Change the buttons at the top of the page."""
        self.main = main
        self.others = others
        self.actions_changed.emit()

    def open_at(self, subject: str) -> None:
        """Show the thing named by ``subject``."""
        self.subject = subject
        self.refresh()

    def refresh(self) -> None:
        """Read again what is shown. A page that reads nothing has nothing to do."""

    def focus_first(self) -> None:
        """Put the keyboard where the work begins."""
        self.setFocus()
        self.focusNextChild()

    def listen(self, *topics: str) -> None:
        """Read again whenever one of these topics changes."""
        self.desk.bus.listen(self, topics, self._changed)

    def showEvent(self, event: QShowEvent) -> None:
        """Read again if something changed out of sight, once the page knows what it is to show."""
        super().showEvent(event)
        if self._stale:
            QTimer.singleShot(0, self, self._catch_up)

    def _catch_up(self) -> None:
        if self._stale and self.isVisible():
            self._stale = False
            self.refresh()

    def _changed(self) -> None:
        if self.isVisible():
            self.refresh()
        else:
            self._stale = True
