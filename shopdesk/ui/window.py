"""The window: it puts rail, head, notice and pages together and passes keys on. It decides nothing."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from gettext import gettext as _

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QCloseEvent, QKeySequence
from PySide6.QtWidgets import (
    QApplication,
    QGridLayout,
    QHBoxLayout,
    QMainWindow,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from shopdesk.ui.actions import Command, Verb, commands, page_key
from shopdesk.ui.background import Background
from shopdesk.ui.find import Finder, FindProvider
from shopdesk.ui.find_list import Deed
from shopdesk.ui.navigator import Navigator
from shopdesk.ui.rail import Rail
from shopdesk.ui.screen import Screen
from shopdesk.ui.sections import SectionBar
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_PAGE, GAP_WIDE, TextRole
from shopdesk.ui.top_bar import TopBar
from shopdesk.ui.widgets.field import LabelledField
from shopdesk.ui.widgets.notice import NoticeBar
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.popover import Popover


@dataclass(frozen=True, kw_only=True, slots=True)
class PageEntry:
    """A page of the window. ``on_rail`` pages are listed at the left; a ``bay`` page stands alone.

    ``under`` names the page whose mark on the rail stands for this one; with none the mark stays. A page
    under another that has words is a section of it; there the page itself goes by ``section_words``.
    """

    page: str
    words: str
    icon: str
    build: Callable[[], Screen]
    on_rail: bool = True
    at_foot: bool = False
    bay: bool = False
    under: str = ""
    section_words: str = ""


class MainWindow(QMainWindow):
    """Pages are added after it is made; ``closing`` comes before it closes."""

    closing = Signal()

    def __init__(self, look: Look, background: Background) -> None:
        super().__init__()
        self._look = look
        self._commands = {command.verb: command for command in commands()}
        self._pages: dict[str, PageEntry] = {}
        self._actions: dict[Verb, QAction] = {}
        self._shown: Screen | None = None
        self.rail = Rail(look)
        self.notices = NoticeBar(look)
        stack = QStackedWidget()
        self.ways = Navigator(stack)
        self.bar = TopBar(look, self._key_words, self.ways.back)
        self.sections = SectionBar(look)
        self.sections.chosen.connect(self.ways.go)
        self._lay_out(stack)
        self.finder = Finder(look, background, self.bar.search, self._deeds, self)
        self.finder.opened.connect(self.ways.go)
        self.finder.put_aside.connect(self._focus_page)
        self.rail.chosen.connect(self.ways.go)
        self.ways.arrived.connect(self._arrived)
        self._bind()
        self.resize(1280, 800)

    def add_page(self, entry: PageEntry) -> None:
        """Add a page; those on the rail get Ctrl+1 to Ctrl+9 in order."""
        self._pages[entry.page] = entry
        self.ways.add(entry.page, entry.build)
        if not entry.on_rail:
            return
        number = sum(page.on_rail and not page.at_foot for page in self._pages.values())
        keyed = not entry.at_foot and number <= 9
        key = page_key(number) if keyed else self._first_key(Verb.SETUP)
        words = key.toString(QKeySequence.SequenceFormat.NativeText)
        self.rail.add(entry.page, entry.words, entry.icon, words, at_foot=entry.at_foot)
        if keyed:
            action = QAction(entry.words, self, shortcut=key)
            action.triggered.connect(lambda: self.ways.go(entry.page))
            self.addAction(action)

    def set_shop(self, name: str) -> None:
        """Show the shop's name on the rail and in the window's title."""
        self.rail.set_shop(name)
        self.setWindowTitle(name)

    def set_provider(self, provider: FindProvider) -> None:
        """Find through ``provider``."""
        self.finder.set_provider(provider)

    def do(self, verb: Verb) -> None:
        """Do what a key asks for."""
        here = self._shown.commands.get(verb) if self._shown is not None else None
        own: dict[Verb, Callable[[], None]] = {
            Verb.FIND: self._focus_find,
            Verb.MAIN: self._main,
            Verb.UNDO: self._undo,
            Verb.BACK: self.ways.back,
            Verb.NEXT_PANE: self._next_pane,
            Verb.REFRESH: self._refresh,
            Verb.HELP: self._help,
            Verb.KEYS: self._show_keys,
            Verb.SETUP: partial(self._go_if_known, "setup"),
            Verb.BAY: self._bay,
            Verb.NEW: partial(self._go_if_known, "new work order"),
        }
        deed = here or own.get(verb)
        if deed is not None:
            deed()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Tell before closing, so that what was typed is kept."""
        self.closing.emit()
        super().closeEvent(event)

    def _lay_out(self, stack: QStackedWidget) -> None:
        look = self._look
        page = QWidget()
        column = QVBoxLayout(page)
        column.setContentsMargins(look.px(GAP_PAGE), look.px(GAP_WIDE), look.px(GAP_PAGE), look.px(GAP))
        column.setSpacing(look.px(GAP_WIDE))
        column.addWidget(self.bar)
        column.addWidget(self.sections)
        column.addWidget(self.notices)
        column.addWidget(stack, 1)
        whole = QWidget()
        row = QHBoxLayout(whole)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self.rail)
        row.addWidget(page, 1)
        self.setCentralWidget(whole)
        self._panes: tuple[QWidget, ...] = (self.rail, self.bar, stack)

    def _bind(self) -> None:
        for verb, command in self._commands.items():
            action = QAction(command.words, self)
            action.setShortcuts(list(command.keys))
            action.triggered.connect(partial(self._triggered, verb))
            self.addAction(action)
            self._actions[verb] = action

    def _triggered(self, verb: Verb, _on: bool = False) -> None:
        self.do(verb)

    def _arrived(self, page: str) -> None:
        if self._shown is not None:
            self._shown.heading_changed.disconnect(self.bar.show_heading)
            self._shown.actions_changed.disconnect(self.bar.show_actions)
        self._shown = self.ways.screen
        if self._shown is None:
            return
        self._shown.heading_changed.connect(self.bar.show_heading)
        self._shown.actions_changed.connect(self.bar.show_actions)
        entry = self._pages[page]
        self.rail.setVisible(self.rail.has_pages and not entry.bay)
        self.notices.page_changed()
        self.rail.mark(entry.under or page)
        self.sections.show_sections(self._sections(entry), page)
        self.bar.show_screen(self._shown, bay=entry.bay)
        self.bar.search.setVisible(self.rail.has_pages and not entry.bay)

    def _sections(self, entry: PageEntry) -> list[tuple[str, str]]:
        """Give the page of the rail and its sections, if this is one of them."""
        if not entry.words:
            return []
        head = entry.under or entry.page
        first = self._pages[head].section_words or self._pages[head].words
        rest = [(page.page, page.words) for page in self._pages.values() if page.under == head and page.words]
        return [(head, first), *rest]

    def _deeds(self) -> list[Deed]:
        skip = {Verb.FIND, Verb.MAIN, Verb.STRIP_BACK, Verb.STRIP_ON, Verb.HELP, Verb.NEXT_PANE, Verb.FILTER}
        pages = [
            Deed(
                words=_("Go to {page}").format(page=entry.words),
                key="",
                do=partial(self.ways.go, entry.page),
                icon=entry.icon or self._pages[entry.under].icon,
            )
            for entry in self._pages.values()
            if entry.on_rail or (entry.under and entry.words)
        ]
        own = self._shown.commands if self._shown is not None else {}
        always = {Verb.NEW, Verb.UNDO, Verb.BACK, Verb.REFRESH, Verb.KEYS, Verb.SETUP, Verb.BAY}
        deeds = [
            Deed(words=command.words, key=command.key_words(), do=partial(self.do, verb))
            for verb, command in self._commands.items()
            if verb not in skip and (verb in own or verb in always)
        ]
        return [*self._page_deeds(), *deeds, *pages]

    def _page_deeds(self) -> list[Deed]:
        screen = self._shown
        if screen is None:
            return []
        actions = [action for action in (screen.main, *screen.others) if action and action.enabled]
        return [Deed(words=action.words, key="", do=action.do) for action in actions]

    def _key_words(self, verb: Verb) -> str:
        return self._commands[verb].key_words()

    def _first_key(self, verb: Verb) -> QKeySequence:
        return self._commands[verb].keys[0]

    def _focus_find(self) -> None:
        if not self.bar.search.isVisible():
            return
        self.bar.search.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.bar.search.selectAll()

    def _focus_page(self) -> None:
        if self._shown is not None:
            self._shown.focus_first()

    def _main(self) -> None:
        main = self._shown.main if self._shown is not None else None
        if main is not None and main.enabled:
            main.do()

    def _undo(self) -> None:
        if not self.notices.undo():
            self.notices.tell(_("There is nothing to undo."))

    def _refresh(self) -> None:
        if self._shown is not None:
            self._shown.refresh()

    def _go_if_known(self, page: str) -> None:
        if self.ways.knows(page):
            self.ways.go(page)

    def _bay(self) -> None:
        place = self.ways.place
        if place is not None and self._pages[place.page].bay:
            self.ways.back()
            return
        bay = next((page.page for page in self._pages.values() if page.bay), "")
        self._go_if_known(bay)

    def _next_pane(self) -> None:
        panes = [pane for pane in self._panes if pane.isVisible()]
        focused = QApplication.focusWidget()
        here = next((n for n, pane in enumerate(panes) if focused and pane.isAncestorOf(focused)), -1)
        for step in range(1, len(panes) + 1):
            target = _first_stop(panes[(here + step) % len(panes)])
            if target is not None:
                target.setFocus(Qt.FocusReason.TabFocusReason)
                return

    def _help(self) -> None:
        part = QApplication.focusWidget()
        while part is not None and not isinstance(part, LabelledField):
            part = part.parentWidget()
        if part is None or not part.help_words:
            self._show_keys()
            return
        panel = Popover(self._look, part, _("Help"))
        panel.add(PlainLabel(part.label, TextRole.CARD))
        panel.add(PlainLabel(part.help_words, wrap=True))
        panel.open()

    def _show_keys(self) -> None:
        panel = Popover(self._look, self.bar, _("All keys"))
        panel.add(PlainLabel(_("All keys"), TextRole.CARD))
        panel.add(_key_card(self._look, tuple(self._commands.values())))
        panel.open()


def _first_stop(pane: QWidget) -> QWidget | None:
    """Return the first part of a pane that the Tab key would reach."""
    part = pane.nextInFocusChain()
    while part is not None and part is not pane:
        usable = part.isVisible() and part.isEnabled() and part.focusPolicy() & Qt.FocusPolicy.TabFocus
        if usable and pane.isAncestorOf(part) and part.focusProxy() is None:
            return part
        part = part.nextInFocusChain()
    return None


def _key_card(look: Look, listed: tuple[Command, ...]) -> QGridLayout:
    grid = QGridLayout()
    grid.setHorizontalSpacing(look.px(GAP_PAGE))
    grid.setVerticalSpacing(look.px(4))
    rows = [(command.key_words(), command.words) for command in listed if command.keys]
    rows.insert(1, (_("Ctrl+1 to 9"), _("The pages of the rail")))
    for number, (key, words) in enumerate(rows):
        grid.addWidget(PlainLabel(key, TextRole.BODY, strong=True), number, 0)
        grid.addWidget(PlainLabel(words), number, 1)
    return grid
