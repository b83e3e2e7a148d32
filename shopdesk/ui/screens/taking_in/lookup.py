"""Finding who calls: a plate, a name, the end of a phone number or of a VIN."""

from collections.abc import Sequence
from gettext import gettext as _

from PySide6.QtCore import QObject, Signal

from shopdesk.services.findable import FoundKind
from shopdesk.services.finding import FoundView
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.vehicles import capital
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.search_line import SearchLine
from shopdesk.ui.widgets.table import RowTable

_MOST_FOUND = 60
_MOST_SHOWN = 6
_WANTED = (FoundKind.CUSTOMER, FoundKind.VEHICLE)


class Lookup(QObject):
    """``found``: kind and id of the hit that was taken; ``unknown``: nothing fits the text and Enter was
    pressed. Enter before the answer has come waits for it."""

    found = Signal(str, int)
    unknown = Signal(str)

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._answered = ""
        self._enter_waits = False
        hint = _("Plate, name, or the end of a phone number or VIN")
        self.line = SearchLine(desk.look, _("Find a customer or a vehicle"), hint)
        self.hits = self._make_hits()
        self.hits.hide()
        self.line.textChanged.connect(self._ask)
        self.line.down.connect(self.hits.setFocus)
        self.line.entered.connect(self._enter)
        self.hits.opened.connect(self._take)

    def clear(self) -> None:
        """Empty the field and put the list away."""
        self._enter_waits = False
        self.line.clear()
        self.hits.hide()

    def _ask(self) -> None:
        text = self.line.text().strip()
        self._enter_waits = False
        if not text:
            self._answered = ""
            self.hits.hide()
            return
        finding = self._work.rooms.finding
        self._desk.background.read(
            self, "find", lambda: finding.find(text, _MOST_FOUND), lambda hits: self._show(text, hits)
        )

    def _show(self, text: str, hits: Sequence[FoundView]) -> None:
        if text != self.line.text().strip():
            return
        self._answered = text
        self.hits.set_rows([hit for hit in hits if hit.kind in _WANTED][:_MOST_SHOWN])
        self.hits.show()
        if self._enter_waits:
            self._enter()

    def _enter(self) -> None:
        text = self.line.text().strip()
        if text != self._answered:
            self._enter_waits = True
            return
        self._enter_waits = False
        row = self.hits.current() if self.hits.rows else None
        if row is not None:
            self._take(row)
        elif text:
            self.clear()
            self.unknown.emit(text)

    def _take(self, row: FoundView) -> None:
        self.clear()
        self.found.emit(row.kind.value, row.subject_id)

    def _make_hits(self) -> RowTable[FoundView]:
        table: RowTable[FoundView] = RowTable(
            self._desk.look,
            _("Found"),
            [
                Column(title=_("Found"), text=lambda row: row.shown, chars=26, stretch=True, strong=True),
                Column(title="", text=lambda row: row.detail, chars=18),
                Column(title="", text=lambda row: capital(_(row.kind)), chars=9, optional=True),
            ],
            key=lambda row: (row.kind, row.subject_id),
            empty=_("Nobody here yet fits. Enter takes them in as new."),
        )
        table.fit_rows(_MOST_SHOWN)
        return table
