"""What went missing of each product in a month, against what counting can show."""

from datetime import date
from gettext import gettext as _

from shopdesk.domain.intervals import add_months
from shopdesk.services.shelf_reports import ShrinkageRow
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.counts import missing_state, missing_words
from shopdesk.ui.presenters.shelf import signed_money
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.segments import Segments
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

THIS, LAST = "this", "last"
_MOST = 10


class MissingCard(Card):
    """Shrinkage by product, for this month or the last."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk.look, _("Gone missing"))
        self._desk = desk
        self._work = work
        self.month = Segments(desk.look, _("Month"), [(THIS, _("This month")), (LAST, _("Last month"))])
        self.month.chosen.connect(lambda _key: self.refresh())
        self.table = self._make_table()
        self.add(self.month)
        self.add(self.table)
        sentence = _(
            "A limit is the shop's share of what was used, or what counting cannot tell apart if more."
        )
        self.add(PlainLabel(sentence, tone="ink2", wrap=True))

    def refresh(self) -> None:
        """Read the month again."""
        room, month = self._work.rooms.shelf_reports, self._first()
        self._desk.background.read(self, "missing", lambda: room.shrinkage(month), self.table.set_rows)

    def _first(self) -> date:
        first = shop_day(self._work.figures).replace(day=1)
        return first if self.month.choice() == THIS else add_months(first, -1)

    def _make_table(self) -> RowTable[ShrinkageRow]:
        figures = self._work.figures

        def stock(row: ShrinkageRow, quantity: int) -> str:
            return figures.stock(row.base, quantity)

        def cost(row: ShrinkageRow) -> str:
            return signed_money(figures, -row.cost_minor)

        def used(row: ShrinkageRow) -> str:
            return stock(row, row.shrinkage.used)

        def lost(row: ShrinkageRow) -> str:
            return missing_words(row, figures)

        def limit(row: ShrinkageRow) -> str:
            return stock(row, row.shrinkage.limit)

        def state(row: ShrinkageRow) -> State:
            return State(missing_state(row)[0])

        table: RowTable[ShrinkageRow] = RowTable(
            self._desk.look,
            _("Gone missing"),
            [
                Column(title=_("Item"), text=lambda row: row.name, stretch=True, chars=14, strong=True),
                Column(title=_("Used"), text=used, chars=9, number=True, optional=True),
                Column(title=_("Difference"), text=lost, chars=9, number=True),
                Column(title=_("Limit"), text=limit, chars=9, number=True),
                Column(title=_("Cost"), text=cost, chars=8, number=True),
                Column(title="", text=lambda row: missing_state(row)[1], chars=15, state=state),
            ],
            key=lambda row: row.item_id,
            empty=_("Nothing was counted in this month."),
            quiet=True,
        )
        table.fit_rows(_MOST)
        return table
