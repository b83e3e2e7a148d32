"""Find or do: one field that finds whatever the shop knows, and everything that can be done."""

from collections.abc import Callable, Sequence
from gettext import gettext as _

from PySide6.QtCore import QEvent, QObject, QPoint, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QListView, QVBoxLayout, QWidget

from shopdesk.ui.background import Background
from shopdesk.ui.find_list import ROW, WIDTH, Deed, Entries, Entry, EntryDelegate, FindHit
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.search_line import SearchLine

_MOST_ROWS = 9
#: What stands between the words of the field's hint and its key.
_KEY_APART = "   "


FindProvider = Callable[[str], Sequence[FindHit]]


class FindLine(SearchLine):
    """The field. It keeps Esc for itself; ``up``, ``down`` and ``entered`` steer the list below."""

    up = Signal()
    escaped = Signal()
    focused = Signal()
    left = Signal()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Where the hint does not fit with its key, say it without: a key cut short says nothing."""
        super().resizeEvent(event)
        hints = (self._hint, self._hint.split(_KEY_APART)[0], _("Find…"))
        room = self._room()
        fitting = (hint for hint in hints if self.fontMetrics().horizontalAdvance(hint) <= room)
        shown = next(fitting, "")
        if shown != self.placeholderText():
            self.setPlaceholderText(shown)

    def event(self, event: QEvent) -> bool:
        """Keep Esc: here it puts the finding aside."""
        override = event.type() is QEvent.Type.ShortcutOverride
        if override and isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Up and Esc are for the list."""
        if event.key() == Qt.Key.Key_Up:
            self.up.emit()
        elif event.key() == Qt.Key.Key_Escape:
            self.escaped.emit()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Offer what can be done."""
        super().focusInEvent(event)
        self.focused.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Put the list away."""
        super().focusOutEvent(event)
        self.left.emit()


class Finder(QObject):
    """Joins the field, the list below it, the provider of hits and the deeds.

    Enter before the answer has come opens the first hit as soon as it comes.
    """

    opened = Signal(str, str)
    put_aside = Signal()

    def __init__(
        self,
        look: Look,
        background: Background,
        line: FindLine,
        deeds: Callable[[], Sequence[Deed]],
        window: QWidget,
    ) -> None:
        super().__init__(line)
        self._look = look
        self._background = background
        self._line = line
        self._deeds = deeds
        self._window = window
        self._provider: FindProvider | None = None
        self._entries = Entries(self)
        self._nothing = Deed(words=_("Nothing was found."), key="", do=lambda: None, icon="search")
        self._frame = QFrame(window)
        self._frame.setProperty("part", "floating")
        self._frame.setAccessibleName(_("Found"))
        self._frame.hide()
        self._list = self._make_list()
        self._answered = ""
        self._enter_waits = False
        line.textChanged.connect(self._ask)
        line.focused.connect(self._ask)
        line.left.connect(self.close)
        line.down.connect(lambda: self._step(1))
        line.up.connect(lambda: self._step(-1))
        line.entered.connect(self._enter)
        line.escaped.connect(self._escape)

    def set_provider(self, provider: FindProvider) -> None:
        """Find through ``provider``; it is called off the window's thread."""
        self._provider = provider

    @property
    def entries(self) -> Sequence[Entry]:
        """What is listed."""
        return self._entries.entries

    @property
    def is_open(self) -> bool:
        """Whether the list is in sight."""
        return self._frame.isVisible()

    def close(self) -> None:
        """Put the list away; what was typed stays."""
        self._enter_waits = False
        self._frame.hide()

    def _make_list(self) -> QListView:
        view = QListView(self._frame)
        view.setModel(self._entries)
        view.setItemDelegate(EntryDelegate(self._look, self._entries, view))
        view.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        view.setFrameShape(QFrame.Shape.NoFrame)
        view.setUniformItemSizes(True)
        view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        view.setAccessibleName(_("Found"))
        view.clicked.connect(lambda index: self._open(self._entries.entries[index.row()]))
        column = QVBoxLayout(self._frame)
        column.setContentsMargins(4, 4, 4, 4)
        column.addWidget(view)
        return view

    def _ask(self) -> None:
        text = self._line.text().strip()
        if not text or self._provider is None:
            self._show(text, ())
            return
        provider = self._provider
        self._background.read(
            self, "find", lambda: tuple(provider(text)), lambda hits: self._show(text, hits)
        )

    def _show(self, text: str, hits: Sequence[FindHit]) -> None:
        if text != self._line.text().strip() or not self._line.hasFocus():
            return
        self._answered = text
        found: list[Entry] = [*hits, *self._fitting(text)]
        self._entries.show(found or ([self._nothing] if text else []))
        if not self._entries.entries:
            self._frame.hide()
        else:
            self._list.setCurrentIndex(self._entries.index(0))
            self._place()
        if self._enter_waits:
            self._enter()

    def _fitting(self, text: str) -> list[Deed]:
        """What can be done and says all that was typed; first what says little else."""
        wanted = text.casefold().split()
        fitting = [deed for deed in self._deeds() if all(w in deed.words.casefold() for w in wanted)]
        return sorted(fitting, key=lambda deed: len(deed.words)) if wanted else fitting

    def _place(self) -> None:
        look = self._look
        window = self._window
        rows = min(len(self._entries.entries), _MOST_ROWS)
        width = min(max(self._line.width(), look.px(WIDTH)), window.width() - 16)
        corner = self._line.mapTo(window, QPoint(0, self._line.height() + 4))
        left = min(corner.x(), window.width() - width - 8)
        height = min(rows * look.px(ROW) + 12, window.height() - corner.y() - 8)
        self._frame.setGeometry(max(8, left), corner.y(), width, height)
        self._frame.show()
        self._frame.raise_()

    def _step(self, by: int) -> None:
        if not self.is_open:
            self._ask()
            return
        count = len(self._entries.entries)
        place = (self._list.currentIndex().row() + by) % max(1, count)
        self._list.setCurrentIndex(self._entries.index(place))

    def _enter(self) -> None:
        if self._answered != self._line.text().strip():
            self._enter_waits = True
            return
        self._enter_waits = False
        place = self._list.currentIndex().row()
        if self.is_open and 0 <= place < len(self._entries.entries):
            self._open(self._entries.entries[place])

    def _open(self, entry: Entry) -> None:
        if entry is self._nothing:
            return  # what was typed stays, to be mended
        self.close()
        self._line.clear()
        self.put_aside.emit()
        if isinstance(entry, Deed):
            entry.do()
        else:
            self.opened.emit(entry.page, entry.subject)

    def _escape(self) -> None:
        self.close()
        self._line.clear()
        self.close()
        self.put_aside.emit()
