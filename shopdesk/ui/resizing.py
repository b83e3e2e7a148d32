"""Another text size: the pages are made anew, because a page takes its distances when it is made."""

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication, QWidget

from shopdesk.ui.background import Background
from shopdesk.ui.drafts import Drafts
from shopdesk.ui.navigator import Navigator
from shopdesk.ui.theme.look import Look


class Resizing(QObject):
    """For as long as it lives. What was typed is kept first, and comes back on the new page."""

    def __init__(self, look: Look, background: Background, drafts: Drafts, ways: Navigator) -> None:
        super().__init__()
        self._look = look
        self._background = background
        self._drafts = drafts
        self._ways = ways
        self._percent = look.percent
        look.changed.connect(self._look_changed)

    def stop(self) -> None:
        """Make no page anew any more."""
        self._look.changed.disconnect(self._look_changed)

    def _look_changed(self) -> None:
        if self._look.percent == self._percent:
            return
        self._percent = self._look.percent
        self._drafts.keep_all()
        # Writes are done in order: once this one is, the drafts are kept, and the new page can read them.
        self._background.write(self, lambda: None, lambda _none: self._make_anew(), key="resizing")

    def _make_anew(self) -> None:
        focused = QApplication.focusWidget()
        name = focused.accessibleName() if focused is not None else ""
        self._ways.make_anew()
        screen = self._ways.screen
        if screen is not None and name:
            _focus_again(screen, name)


def _focus_again(screen: QWidget, name: str) -> None:
    """Put the keyboard where it was: into the part that is called the same."""
    same = (part for part in screen.findChildren(QWidget) if part.accessibleName() == name)
    part = next((part for part in same if part.isVisible() and part.isEnabled()), None)
    if part is not None:
        part.setFocus()
