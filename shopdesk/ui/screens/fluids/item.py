"""One item: how it stands and every move of it, and its particulars as a form."""

from functools import partial
from gettext import gettext as _

from PySide6.QtWidgets import QHBoxLayout, QStackedWidget

from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.text import match_key
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.items import EditItem, ItemKept, ItemKind, ItemView, SaveItem
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper
from shopdesk.ui.forms.both_versions import meet_kept, show_both
from shopdesk.ui.presenters.items import (
    claims_of,
    field_of_refusal,
    item_command,
    item_texts,
    kind_words,
    usual_texts,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.screens.fluids.item_form import ItemForm
from shopdesk.ui.screens.fluids.item_page import ItemPage, ItemRead
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Scroll

NEW = "new"


class ItemScreen(Screen):
    """The subject is an item's id, "new", or "new:NAME"."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Item"))
        self._work = work
        self._goods: ItemView | None = None
        self._keeper: DraftKeeper | None = None
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.page = ItemPage(desk, work)
        self.form = ItemForm(desk.look, work)
        self.form.completed.connect(self._save)
        self.page.work_order.connect(self._open_work_order)
        self._stack = QStackedWidget()
        self._lay_out()
        self.listen(Topic.STOCK, Topic.SHOP)

    @property
    def is_new(self) -> bool:
        """Whether the item is not on the list yet."""
        return self.subject.startswith(NEW)

    @property
    def is_editing(self) -> bool:
        """Whether the form is in sight."""
        return self._stack.currentIndex() == 1

    def open_at(self, subject: str) -> None:
        """Show an item, or an empty form for a new one; a draft opens the form as it was left."""
        if subject != self.subject or self._keeper is None:
            self.subject = subject
            self._begin()
        self.refresh()

    def refresh(self) -> None:
        """Read the item again; what is being typed stays."""
        rooms = self._work.rooms
        self.desk.background.read(self, "known", lambda: _specifications(rooms), self.form.offer)
        if not self.is_new:
            item_id = int(self.subject)
            self.desk.background.read(self, "item", lambda: _read(rooms, item_id), self._take, self._gone)

    def focus_first(self) -> None:
        """The name of a new item, the ledger of a known one."""
        if self.is_editing:
            self.form.focus_first()
        else:
            self.page.focus_first()

    def _lay_out(self) -> None:
        look = self.desk.look
        card = Card(look)
        self.column.addWidget(self._stack)
        for part, stretch in ((self.page, 1), (card, 0)):
            scroll = Scroll(look)
            self._stack.addWidget(scroll)
            scroll.add(part, stretch)
        card.add(self.form)
        self._more = Button(look, _("Another specification"), ButtonPart.QUIET, icon="plus")
        self._more.clicked.connect(self.form.add_claim)
        self.form.kind_shown.connect(self._show_more)
        row = QHBoxLayout()
        row.addWidget(self._more)
        row.addStretch(1)
        card.add(row)

    def _show_more(self) -> None:
        self._more.setVisible(self.form.kind is ItemKind.FLUID)  # a part suits no specification

    def _begin(self) -> None:
        if self._keeper is not None:
            self._keeper.flush_if_waiting()
            self._keeper.deleteLater()
        self._goods = None
        self._uids.forget()
        name = self.subject.partition(":")[2] if self.is_new else ""
        empty = dict.fromkeys(self.form.texts(), "")
        self.form.fill(empty | usual_texts(self._work.figures.shop, name))
        self.form.hold_kind(not self.is_new)
        self._keeper = self.desk.drafts.keep(self.form, "item", self.subject, self)
        self._keeper.restored.connect(self._restored)
        self._show_form(self.is_new)
        if self.is_new:
            self.set_heading(_("New item"))

    def _restored(self) -> None:
        self._show_form(True)
        self.desk.notices.tell(_("What you had begun to type is back."), _("Throw it away"), self._put_aside)

    def _take(self, read: ItemRead) -> None:
        if str(read.goods.id) != self.subject:
            return
        if not self.form.touched:
            self._fill(read.goods)
        elif self._goods is None:
            meet_kept(self.form, self._texts(read.goods))
        if not self.form.touched or self._goods is None:
            self._goods = read.goods  # while somebody types, the version stays the one they began from
        self.page.show_item(read)
        self.set_heading(read.goods.name, _words_beneath(read.goods))

    def _fill(self, goods: ItemView) -> None:
        self.form.fill(self._texts(goods))

    def _texts(self, goods: ItemView) -> dict[str, str]:
        return dict.fromkeys(self.form.texts(), "") | item_texts(goods, self._work.figures.shop)

    def _gone(self, refusal: RuleBroken) -> None:
        self.desk.ways.go("fluids")
        self.desk.notices.refuse(refusal.sentence)

    def _show_form(self, shown: bool) -> None:
        self._stack.setCurrentIndex(1 if shown else 0)
        if shown:
            save = PageAction(words=_("Save item"), do=self._save, icon="check")
            self.set_actions(save, PageAction(words=_("Cancel"), do=self._put_aside, icon="x"))
            return
        receive = PageAction(words=_("Receive"), do=self._receive, icon="droplets")
        self.set_actions(receive, PageAction(words=_("Edit"), do=self._edit, icon="settings"))

    def _edit(self) -> None:
        self._show_form(True)
        self.form.focus_first()

    def _put_aside(self) -> None:
        if self._keeper is not None:
            self._keeper.forget()
        if self._goods is not None:
            self._fill(self._goods)
            self._show_form(False)
            self.refresh()
            self.focus_first()
            return
        self.form.fill(dict.fromkeys(self.form.texts(), "") | usual_texts(self._work.figures.shop))
        self.desk.ways.back()

    def _receive(self) -> None:
        self.desk.ways.go("fluids", f"receive:{self.subject}")

    def _save(self) -> None:
        self.form.clear_errors()
        if not self.form.check():
            return
        texts = self.form.texts()
        goods = self._goods
        version = goods.version if goods else 0
        uid = self._uids.of("save", version, *sorted(texts.items()))
        command = item_command(texts, self._work.actor, uid, goods)
        rooms = self._work.rooms
        rows = claims_of(texts)[1]
        self._sending.send(lambda: _keep(rooms, command), self._saved, partial(self._refused, rows))

    def _refused(self, rows: tuple[int, ...], refusal: RuleBroken) -> None:
        if isinstance(refusal, Conflict):
            rooms, item_id = self._work.rooms, int(self.subject)
            self.desk.background.read(self, "theirs", lambda: _read(rooms, item_id), self._show_theirs)
            return
        refusal.field = field_of_refusal(refusal.field, rows)
        self.form.show_refusal(refusal)

    def _show_theirs(self, read: ItemRead) -> None:
        shop = self._work.figures.shop
        before = item_texts(self._goods, shop) if self._goods is not None else {}
        self._goods = read.goods
        show_both(self.form, before, item_texts(read.goods, shop))

    def _saved(self, kept: ItemKept) -> None:
        name = self.form.texts()["name"].strip()
        if self._keeper is not None:
            self._keeper.forget()
        self._uids.forget()
        from_delivery = self.subject.startswith(f"{NEW}:")
        self.form.fill({})
        self.subject = ""
        if from_delivery:
            self.desk.ways.back()
        else:
            self.desk.ways.go("item", str(kept.item_id))
        self.desk.notices.tell(_("{name} is saved.").format(name=name))

    def _open_work_order(self, number: int) -> None:
        board = self._work.rooms.board

        def find() -> int | None:
            rows = board.work_orders(contains=str(number), most=20)
            return next((row.id for row in rows if row.number == number), None)

        def go(found: int | None) -> None:
            if found is not None:
                self.desk.ways.go("work order", str(found))

        self.desk.background.read(self, "order", find, go)


def _words_beneath(goods: ItemView) -> str:
    return " · ".join(part for part in (kind_words(goods.kind), goods.maker, goods.part_number) if part)


def _read(rooms: Rooms, item_id: int) -> ItemRead:
    goods = rooms.items.item(item_id)
    row = next(row for row in rooms.stock.on_hand(goods.kind) if row.item_id == item_id)
    return ItemRead(goods=goods, row=row, containers=tuple(rooms.stock.containers(item_id)))


def _specifications(rooms: Rooms) -> tuple[str, ...]:
    """Give every specification that a sheet or an item of this shop names."""
    named = {sheet.specification for sheet in rooms.sheets.all()}
    named |= {claim.specification for goods in rooms.items.all() for claim in goods.claims}
    return tuple(sorted(named, key=match_key))


def _keep(rooms: Rooms, command: SaveItem) -> ItemKept:
    """Keep an item; a new one never takes the place of one that has its name."""
    if isinstance(command, EditItem):
        return rooms.items.edit(command)
    taken = any(match_key(goods.name) == match_key(command.name.strip()) for goods in rooms.items.all())
    if taken and not rooms.office.knows(command.uid):
        raise RuleBroken(_("An item of this name is on the list already."), "name")
    return rooms.items.save(command)
