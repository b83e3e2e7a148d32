"""Booked work: does the shelf reach for tomorrow and for this week, and what may stand in."""

from gettext import gettext as _

from shopdesk.services.outlook import NeedRow, Outlook
from shopdesk.services.reserving import ReserveWork, WorkReserved
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.presenters.usage import TOMORROW, WEEK, last_day, need_source, need_state, outlook_words
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Scroll
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.segments import Segments
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

_MOST = 18


class BookedScreen(Screen):
    """Every need of booked work, the earliest job first."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Booked work"))
        self._work = work
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.until = Segments(desk.look, _("Until"), [(TOMORROW, _("Tomorrow")), (WEEK, _("This week"))])
        self.until.chosen.connect(lambda _key: self.refresh())
        self.says = PlainLabel("", strong=True, wrap=True)
        self.needs = self._needs_table()
        scroll = Scroll(desk.look)
        self.column.addWidget(scroll)
        card = Card(desk.look, _("What booked work wants of the shelf"))
        scroll.add(card)
        for part in (self.until, self.says, self.needs):
            card.add(part)
        basis = _(
            "Jobs are served in the order of their promised days; overdue ones and those in the bay first."
        )
        card.add(PlainLabel(basis, tone="ink2", wrap=True))
        self.listen(Topic.STOCK, Topic.WORK)

    def refresh(self) -> None:
        """Look again."""
        room, day = self._work.rooms.outlooks, last_day(self.until.choice(), shop_day(self._work.figures))
        self.desk.background.read(self, "outlook", lambda: room.until(day), self._show)

    def focus_first(self) -> None:
        """The needs."""
        self.needs.setFocus()

    def _show(self, found: Outlook) -> None:
        self.says.setText(outlook_words(found))
        self.needs.set_rows(found.rows)
        words = _("until {day}").format(day=self._work.figures.day(found.until))
        self.set_heading(_("Booked work"), words)
        setting = PageAction(words=_("Set aside for this job"), do=self.set_aside, icon="check")
        self.set_actions(setting if found.rows else None)

    def set_aside(self) -> None:
        """Set everything aside that the chosen line's job wants, or say what is left."""
        row = self.needs.current()
        if row is None:
            return
        uid = self._uids.of("reserve", row.work_order_id)
        command = ReserveWork(actor=self._work.actor, uid=uid, work_order_id=row.work_order_id)
        room = self._work.rooms.reserving
        self._sending.send(lambda: room.reserve_work(command), lambda kept: self._is_aside(row, kept))

    def _is_aside(self, row: NeedRow, kept: WorkReserved) -> None:
        self._uids.forget()
        sentence = _("Set aside for work order {number}: {n} items.")
        self.desk.notices.tell(sentence.format(number=row.work_order_number, n=len(kept.rows)))

    def _needs_table(self) -> RowTable[NeedRow]:
        figures = self._work.figures

        def promised(row: NeedRow) -> str:
            return figures.day(row.promised_on) if row.promised_on else _("no day said")

        def wanted(row: NeedRow) -> str:
            return figures.stock(row.base, row.wanted)

        def there(row: NeedRow) -> str:
            return figures.stock(row.base, row.from_shelf)

        table: RowTable[NeedRow] = RowTable(
            self.desk.look,
            _("What booked work wants of the shelf"),
            [
                Column(
                    title=_("Work order"), text=lambda row: str(row.work_order_number), chars=9, strong=True
                ),
                Column(title=_("Promised"), text=promised, chars=11),
                Column(title=_("Item"), text=lambda row: row.item, stretch=True, chars=16),
                Column(title=_("For"), text=lambda row: row.specification, chars=9, optional=True),
                Column(title=_("Wanted"), text=wanted, chars=8, number=True),
                Column(title=_("From the shelf"), text=there, chars=11, number=True),
                Column(title=_("Else"), text=lambda row: need_source(row, figures), chars=20),
                Column(
                    title="",
                    text=lambda row: need_state(row)[1],
                    chars=16,
                    state=lambda row: State(need_state(row)[0]),
                ),
            ],
            key=lambda row: (row.work_order_id, row.item_id, row.specification),
            empty=_("No booked work wants anything of the shelf."),
        )
        table.fit_rows(_MOST)
        table.opened.connect(lambda row: self.desk.ways.go("work order", str(row.work_order_id)))
        return table
