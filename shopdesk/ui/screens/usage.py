"""Used and billed: every fluid and every job of a month, what was billed against what was put in."""

from datetime import date
from gettext import gettext as _

from shopdesk.domain.intervals import add_months
from shopdesk.services.shelf_reports import BilledUsedRow
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.usage import ProductTotal, difference_words, product_totals
from shopdesk.ui.screen import Screen
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.segments import Segments
from shopdesk.ui.widgets.table import RowTable

_MONTHS = {"this": 0, "last": -1, "before": -2}
_MOST_JOBS, _MOST_FLUIDS = 16, 12


class UsageScreen(Screen):
    """A month's fluids and jobs."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Used and billed"))
        self._work = work
        words = [("this", _("This month")), ("last", _("Last month")), ("before", _("The month before"))]
        self.month = Segments(desk.look, _("Month"), words)
        self.month.chosen.connect(lambda _key: self.refresh())
        self.jobs = self._jobs_table()
        self.fluids = self._fluids_table()
        scroll = Scroll(desk.look)
        self.column.addWidget(scroll)
        scroll.add(self.month)
        columns = Columns(desk.look, main=7, side=5)
        scroll.add(columns)
        by_job, by_fluid = Card(desk.look, _("By job")), Card(desk.look, _("By fluid"))
        by_job.add(self.jobs)
        by_fluid.add(self.fluids)
        why = _("Billed is by the product's own rule: as measured, whole containers or the sheet's quantity.")
        by_fluid.add(PlainLabel(why, tone="ink2", wrap=True))
        columns.add_main(by_job)
        columns.add_side(by_fluid)
        self.listen(Topic.STOCK, Topic.WORK, Topic.MONEY)

    def refresh(self) -> None:
        """Read the month again."""
        room, month = self._work.rooms.shelf_reports, self._first()
        self.desk.background.read(self, "usage", lambda: room.billed_against_used(month), self._show)

    def focus_first(self) -> None:
        """The jobs."""
        self.jobs.setFocus()

    def _first(self) -> date:
        first = shop_day(self._work.figures).replace(day=1)
        return add_months(first, _MONTHS[self.month.choice()])

    def _show(self, rows: tuple[BilledUsedRow, ...]) -> None:
        self.jobs.set_rows(rows)
        self.fluids.set_rows(product_totals(rows))

    def _jobs_table(self) -> RowTable[BilledUsedRow]:
        figures = self._work.figures
        table: RowTable[BilledUsedRow] = RowTable(
            self.desk.look,
            _("By job"),
            [
                Column(
                    title=_("Work order"), text=lambda row: str(row.work_order_number), chars=9, strong=True
                ),
                Column(title=_("Fluid"), text=lambda row: row.name, stretch=True, chars=16),
                Column(title=_("On"), text=lambda row: figures.day(row.on_date), chars=11, optional=True),
                Column(
                    title=_("Billed"), text=lambda row: figures.volume(row.billed_ul), chars=9, number=True
                ),
                Column(title=_("Used"), text=lambda row: figures.volume(row.used_ul), chars=9, number=True),
                Column(
                    title=_("Difference"),
                    text=lambda row: difference_words(row, figures),
                    chars=9,
                    number=True,
                ),
            ],
            key=lambda row: (row.work_order_id, row.item_id),
            empty=_("No job took fluid in this month."),
        )
        table.fit_rows(_MOST_JOBS)
        table.opened.connect(lambda row: self.desk.ways.go("work order", str(row.work_order_id)))
        return table

    def _fluids_table(self) -> RowTable[ProductTotal]:
        figures = self._work.figures
        table: RowTable[ProductTotal] = RowTable(
            self.desk.look,
            _("By fluid"),
            [
                Column(title=_("Fluid"), text=lambda row: row.name, stretch=True, chars=14, strong=True),
                Column(
                    title=_("Billed"), text=lambda row: figures.volume(row.billed_ul), chars=8, number=True
                ),
                Column(title=_("Used"), text=lambda row: figures.volume(row.used_ul), chars=8, number=True),
                Column(
                    title=_("Difference"),
                    text=lambda row: difference_words(row, figures),
                    chars=9,
                    number=True,
                ),
            ],
            key=lambda row: row.item_id,
            empty=_("No fluid was used in this month."),
            quiet=True,
        )
        table.fit_rows(_MOST_FLUIDS)
        table.opened.connect(lambda row: self.desk.ways.go("item", str(row.item_id)))
        return table
