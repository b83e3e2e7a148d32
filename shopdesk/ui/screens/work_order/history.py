"""What was done to this unit before."""

from collections.abc import Callable, Sequence
from gettext import gettext as _

from PySide6.QtCore import Signal

from shopdesk.services.figures import Figures
from shopdesk.services.intake import ServiceRow
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.table import RowTable

_MOST = 4


class HistoryCard(Card):
    """``opened`` tells the work order of a service that was opened."""

    opened = Signal(int)

    def __init__(self, look: Look, figures: Callable[[], Figures]) -> None:
        super().__init__(look, _("This unit so far"), _("Enter opens the work order"))
        self._figures = figures
        self.table: RowTable[ServiceRow] = RowTable(
            look,
            _("This unit so far"),
            [
                Column(title=_("Date"), text=lambda row: figures().day(row.done_on), chars=12, strong=True),
                Column(title=_("Odometer"), text=self._odometer, chars=10, number=True),
                Column(title=_("What was done"), text=lambda row: _(row.method), chars=18, stretch=True),
                Column(title=_("Work order"), text=lambda row: str(row.work_order_number), chars=9),
            ],
            key=lambda row: row.record_id,
        )
        self.table.fit_rows(_MOST)
        self.table.opened.connect(lambda row: self.opened.emit(row.work_order_id))
        self.add(self.table)
        self.hide()

    def show_services(self, rows: Sequence[ServiceRow]) -> None:
        """Show earlier services, newest first, or nothing where there is none."""
        self.table.set_rows(sorted(rows, key=lambda row: row.done_on, reverse=True))
        self.setVisible(bool(rows))

    def _odometer(self, row: ServiceRow) -> str:
        return "" if row.tenths is None else self._figures().number(row.tenths // 10, 0)
