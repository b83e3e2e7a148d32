"""A delivery as it comes in: what it is, how much, what it cost, and where it is kept."""

from collections.abc import Mapping
from datetime import date
from gettext import gettext as _

from PySide6.QtCore import Signal

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.items import ItemKind, ItemView
from shopdesk.services.stock import OnHandRow, Received
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.form_card import FormCard
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.shelf import (
    base_of,
    cost_words,
    find_item,
    item_line,
    quantity_reader,
    receive_command,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.fields import DateField, NumberField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.search_field import SearchField

_NEW_ITEM = "new:"


class ReceiveCard(FormCard):
    """The form of a delivery. ``received`` comes when it is on the shelf."""

    received = Signal()

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk.look, _("Receive a delivery"), _("Put on the shelf"))
        self._desk = desk
        self._work = work
        self._items: tuple[ItemView, ...] = ()
        self._on_hand: dict[int, int] = {}
        self._made_item = False
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.form = self._make_form()
        self._new = Button(desk.look, _("New item"), ButtonPart.QUIET, icon="plus")
        self._new.clicked.connect(self.make_item)
        self.add_to_head(self._new)
        self.add(self.form)
        self.end()
        self.form.completed.connect(self.take_in)
        self.wanted.connect(self.take_in)
        self._draft = desk.drafts.keep(self.form, "receive", "", self)

    def offer(self, items: tuple[ItemView, ...], shelf: tuple[OnHandRow, ...]) -> None:
        """Offer what is on the list."""
        self._items = items
        self._on_hand = {row.item_id: row.on_hand for row in shelf}
        self._item.offer([goods.name for goods in items])
        if self._made_item and self._goods() is not None:
            self._made_item = False
            self._item.show_again()
            self._item_changed()
            self._quantity.setFocus()

    def begin(self, item_id: int | None = None) -> None:
        """Put the keyboard into the form, for an item if one is named."""
        goods = next((each for each in self._items if each.id == item_id), None)
        if goods is not None:
            self._item.set_text(goods.name)
            self._item_changed()
            self.form.field("quantity").setFocus()
        else:
            self._item.setFocus()

    def take_in(self) -> None:
        """Put the delivery on the shelf, or say beside a field what is missing."""
        self.form.clear_errors()
        if not self.form.check():
            return
        texts = self.form.texts()
        try:
            goods = find_item(self._items, texts["item"])
        except RuleBroken as refusal:
            self.form.show_refusal(refusal)
            return
        command = receive_command(
            texts,
            goods,
            self._work.actor,
            self._uids.of("receive", *sorted(texts.items())),
            best_before=self._best_before.day(),
            on=self._on.day(),
        )
        room = self._work.rooms.stock
        self._sending.send(
            lambda: room.receive(command), lambda kept: self._kept(goods, kept), self.form.show_refusal
        )

    def make_item(self) -> None:
        """Go and put an item on the list that is not there yet; what is typed here waits."""
        typed = self._item.text().strip()
        known = self._goods() is not None
        self._made_item = not known
        self._desk.ways.go("item", _NEW_ITEM + ("" if known else typed))

    def _make_form(self) -> Form:
        look = self._desk.look
        form = Form(look, columns=2, least_width=150)
        self._item = form.add(
            SearchField(look, "item", _("Item"), self._read_item, help_line=_("Name or part number")), 0
        )
        self._quantity = form.add(
            NumberField(
                look,
                "quantity",
                _("Quantity"),
                quantity_reader(self._work.figures, self._kind),
                help_line=_("Such as 12 qt, 2 gal, 20 L, or a count of pieces"),
            )
        )
        self._cost = form.add(
            NumberField(look, "cost", _("Cost of all of it"), self._read_cost, help_line=_("Before tax"))
        )
        form.add(TextField(look, "lot", _("Lot"), help_line=_("As printed on the container")))
        form.add(TextField(look, "document_no", _("Delivery note")))
        form.add(
            TextField(look, "container", _("Container"), help_line=_("Empty: the next number of the item"))
        )
        self._best_before = form.add(DateField(look, "best_before", _("Best before"), self._today))
        self._on = form.add(DateField(look, "on", _("Received on"), self._today, help_line=_("Empty: today")))
        self._item.edited.connect(self._item_changed)
        self._quantity.edited.connect(self._cost.show_again)
        return form

    def _today(self) -> date:
        return shop_day(self._work.figures)

    def _goods(self) -> ItemView | None:
        try:
            return find_item(self._items, self._item.text())
        except RuleBroken:
            return None

    def _kind(self) -> ItemKind:
        goods = self._goods()
        return goods.kind if goods is not None else ItemKind.FLUID

    def _read_item(self, text: str) -> str:
        goods = find_item(self._items, text)
        return item_line(goods, self._on_hand.get(goods.id), self._work.figures)

    def _read_cost(self, text: str) -> str:
        return cost_words(self._work.figures, self._goods(), self._quantity.text(), text)

    def _item_changed(self) -> None:
        self._quantity.show_again()
        self._cost.show_again()

    def _kept(self, goods: ItemView, kept: Received) -> None:
        figures = self._work.figures
        base = base_of(goods.kind)
        sentence = _("{name}: {quantity} on hand now.")
        self._desk.notices.tell(sentence.format(name=goods.name, quantity=figures.stock(base, kept.on_hand)))
        self._uids.forget()
        self._draft.forget()
        self.form.fill(_kept_for_the_next(self.form.texts()))
        self._item.setFocus()
        self.received.emit()


def _kept_for_the_next(texts: Mapping[str, str]) -> dict[str, str]:
    """One delivery often has several items: the note and the day stay."""
    stay = ("document_no", "on")
    return {name: text if name in stay else "" for name, text in texts.items()}
