"""Fluids: the shelf as sight glasses, parts with their counts, and deliveries as they come in."""

from dataclasses import dataclass
from datetime import date
from gettext import gettext as _

from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.items import ItemView
from shopdesk.services.outlook import Outlook
from shopdesk.services.stock import OnHandRow
from shopdesk.ui.actions import Verb
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.shelf import order_words, pieces_first, shelf_note, stands, tiles
from shopdesk.ui.presenters.usage import TOMORROW, booked_warning, last_day
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.screens.fluids.receive import ReceiveCard
from shopdesk.ui.screens.fluids.shelf import Shelf
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.empty import EmptyState
from shopdesk.ui.widgets.facts import WarningLine
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

RECEIVE = "receive"
_MOST_PARTS = 14


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    shelf: tuple[OnHandRow, ...]
    items: tuple[ItemView, ...]
    booked: Outlook


class FluidsScreen(Screen):
    """The subject is nothing, "receive", or "receive:ID" for a delivery of one item."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Fluids"))
        self._work = work
        self._begin: int | None = None
        self._keyboard_waits = False
        self.shelf = Shelf(desk.look)
        self.parts = self._parts_table()
        self.booked = WarningLine(desk.look, _("Booked work"))
        self.receive = ReceiveCard(desk, work)
        self.receive.hide()
        self._empty = EmptyState(desk.look, _("No fluid is on the list yet."), _("New item"), self._new_item)
        self._shelf_card = Card(desk.look, _("On the shelf"))
        self._parts_card = Card(desk.look, _("Parts"))
        self._lay_out()
        self.shelf.opened.connect(self._open_id)
        self.receive.put_aside.connect(self._put_aside)
        self.commands = {Verb.FILTER: self.parts.setFocus}
        self._show_actions()
        self.listen(Topic.STOCK, Topic.SHOP, Topic.WORK)

    def open_at(self, subject: str) -> None:
        """Show the shelf; with "receive" the form of a delivery as well."""
        super().open_at(subject)
        if subject.startswith(RECEIVE):
            wanted = subject.partition(":")[2]
            self._begin = int(wanted) if wanted.isdecimal() else None
            self._show_form(True)

    def refresh(self) -> None:
        """Read the shelf again."""
        rooms, today = self._work.rooms, shop_day(self._work.figures)
        self.desk.background.read(self, "shelf", lambda: _read(rooms, today), self._show)

    def focus_first(self) -> None:
        """The form of a delivery if it is open, else the shelf."""
        self._keyboard_waits = not self.shelf.tiles
        if not self.receive.isHidden():
            self.receive.begin(self._begin)
        else:
            self.shelf.setFocus()

    def _lay_out(self) -> None:
        look = self.desk.look
        self._shelf_card.add(self.shelf)
        self._shelf_card.add(self._empty)
        self._parts_card.add(self.parts)
        columns = Columns(look, main=7, side=5)
        scroll = Scroll(look)
        self.column.addWidget(scroll)
        scroll.add(self.booked)
        scroll.add(columns)
        columns.add_main(self._shelf_card)
        columns.add_side(self.receive)
        columns.add_side(self._parts_card)

    def _show(self, read: _Read) -> None:
        figures = self._work.figures
        shown = tiles(read.shelf, figures)
        self._empty.setVisible(not shown)
        self.shelf.setVisible(bool(shown))
        self.shelf.show_tiles(shown)
        self.parts.set_rows(pieces_first(read.shelf))
        self.set_heading(_("Fluids"), shelf_note(read.shelf))
        self.booked.show_warning(booked_warning(read.booked, figures))
        self.receive.offer(read.items, read.shelf)
        if self._begin is not None or (self._keyboard_waits and shown and self.receive.isHidden()):
            self.focus_first()
            self._begin = None

    def _show_form(self, shown: bool) -> None:
        self.receive.setVisible(shown)
        self._show_actions()

    def _show_actions(self) -> None:
        if self.receive.isHidden():
            new = PageAction(words=_("New item"), do=self._new_item, icon="plus")
            self.set_actions(PageAction(words=_("Receive"), do=self._receive, icon="droplets"), new)
        else:  # the form has a way to a new item of its own, which comes back to the delivery
            take_in = PageAction(words=_("Put on the shelf"), do=self.receive.take_in, icon="check")
            self.set_actions(take_in)

    def _receive(self) -> None:
        self._show_form(True)
        self.receive.begin()

    def _put_aside(self) -> None:
        self._show_form(False)
        self.shelf.setFocus()

    def _new_item(self) -> None:
        if self.receive.isHidden():
            self.desk.ways.go("item", "new")
        else:
            self.receive.make_item()

    def _open_id(self, item_id: int) -> None:
        self.desk.ways.go("item", str(item_id))

    def _parts_table(self) -> RowTable[OnHandRow]:
        figures = self._work.figures

        def held(row: OnHandRow) -> str:
            return figures.stock(row.base, row.on_hand)

        table: RowTable[OnHandRow] = RowTable(
            self.desk.look,
            _("Parts"),
            [
                Column(title=_("Part"), text=lambda row: row.name, stretch=True, chars=14, strong=True),
                Column(title=_("On hand"), text=held, chars=8, number=True),
                Column(
                    title=_("Order at"),
                    text=lambda row: order_words(row, self._work.figures),
                    chars=8,
                    number=True,
                    optional=True,
                ),
                Column(
                    title=_("State"),
                    text=lambda row: stands(row)[1],
                    chars=10,
                    state=lambda row: State(stands(row)[0]),
                ),
            ],
            key=lambda row: row.item_id,
            empty=_("No part is on the list yet."),
            quiet=True,
        )
        table.fit_rows(_MOST_PARTS)
        table.opened.connect(lambda row: self._open_id(row.item_id))
        return table


def _read(rooms: Rooms, today: date) -> _Read:
    return _Read(
        shelf=tuple(rooms.stock.on_hand()),
        items=tuple(rooms.items.all()),
        booked=rooms.outlooks.until(last_day(TOMORROW, today)),
    )
