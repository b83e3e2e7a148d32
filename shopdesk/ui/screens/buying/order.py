"""One order: a draft that is written, then what was sent, and what came of it received."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from gettext import gettext as _
from pathlib import Path

from PySide6.QtWidgets import QWidget

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.buying import MoveOrder, OrderKept, OrderState, OrderView, SupplierRow
from shopdesk.services.deliveries import DeliveryReceived
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.items import ItemView
from shopdesk.services.ordering_hints import OrderHintRow
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper
from shopdesk.ui.forms.both_versions import show_both
from shopdesk.ui.presenters.buying import (
    delivery_command,
    field_in_form,
    line_words,
    order_command,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.screens.buying.order_forms import DeliveryForm, DraftForm
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.tokens import GAP
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.card import Card, card_of
from shopdesk.ui.widgets.columns import Scroll
from shopdesk.ui.widgets.facts import Facts
from shopdesk.ui.widgets.flow import Flow

NEW = "new"


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    order: OrderView | None
    suppliers: tuple[SupplierRow, ...]
    items: tuple[ItemView, ...]
    hints: tuple[OrderHintRow, ...]


class OrderScreen(Screen):
    """The subject is an order's id, "new", or "new:ITEM" for what that item's supplier is to send."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Order"))
        self._work = work
        self._read: _Read | None = None
        self._begun = ""
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self._keeper: DraftKeeper | None = None
        self.draft = DraftForm(desk.look, work)
        self.facts = Facts(desk.look)
        self.delivery_card = Card(desk.look, _("What came"))
        self.delivery: DeliveryForm | None = None
        self._more = Button(desk.look, _("Another line"), ButtonPart.QUIET, icon="plus")
        self._more.clicked.connect(self.draft.another_line)
        self.draft.completed.connect(self._save)
        self.draft_card = card_of(desk.look, _("What to order"), self.draft, self._more)
        self.facts_card = card_of(desk.look, _("What was ordered"), self.facts)
        scroll = Scroll(desk.look)
        scroll.add(self._make_ways())
        for part in (self.draft_card, self.facts_card, self.delivery_card):
            part.hide()
            scroll.add(part)
        self.column.addWidget(scroll)
        self.listen(Topic.STOCK, Topic.SHOP)

    def open_at(self, subject: str) -> None:
        """Show an order, or an empty draft."""
        if subject != self.subject:
            self._begun = ""
            self.draft.fill({})
            self._drop_delivery()
        super().open_at(subject)

    def refresh(self) -> None:
        """Read the order again; what is being typed stays."""
        rooms, subject = self._work.rooms, self.subject
        self.desk.background.read(self, "order", lambda: _read(rooms, subject), self._show, self._gone)

    def focus_first(self) -> None:
        """The form in sight."""
        if not self.draft_card.isHidden():
            self.draft.focus_first()
        elif self.delivery is not None:
            self.delivery.focus_first()

    def _show(self, read: _Read) -> None:
        before = self._read.order if self._read is not None and self._begun else None
        self._read = read
        order = read.order
        drafting = order is None or order.state is OrderState.DRAFT
        sent_meanwhile = not drafting and self.draft.touched
        self.draft_card.setVisible(drafting or sent_meanwhile)
        if sent_meanwhile:
            sentence = _("This order was sent elsewhere meanwhile; what you typed is kept in sight.")
            self.draft.set_error("", sentence)
        self.facts_card.setVisible(not drafting)
        self._more.setVisible(drafting)
        if drafting:
            self._show_draft(read, before)
        if order is not None:
            self._show_facts(order)
        self._show_delivery(order)
        self._show_actions(order)
        self._show_ways(order)
        title = _("Order {number}").format(number=order.number) if order else _("New order")
        self.set_heading(title, order.supplier.name if order else "")
        key = f"{self.subject} {order.state if order else ''}"
        if self._begun != key:
            self._begun = key
            self.focus_first()

    def _show_draft(self, read: _Read, before: OrderView | None) -> None:
        self.draft.offer(read.suppliers, read.items)
        if self.draft.touched and self._begun:
            if before is not None and read.order is not None and before.version != read.order.version:
                show_both(self.draft, self.draft.texts_of(before), self.draft.texts_of(read.order))
            return
        if read.order is not None:
            self.draft.fill_from(read.order)
        elif not self._begun:
            self.draft.begin(read.hints, int(self.subject.partition(":")[2] or 0))

    def _show_facts(self, order: OrderView) -> None:
        figures = self._work.figures
        lines = [(line.item, line_words(line, figures)) for line in order.lines]
        ordered = figures.day(order.ordered_on) if order.ordered_on else ""
        expected = figures.day(order.expected_on) if order.expected_on else ""
        head = [(_("Ordered"), ordered), (_("Expected"), expected)]
        self.facts.show_facts([*head, (_("Total"), figures.money(order.total_minor)), *lines])

    def _show_delivery(self, order: OrderView | None) -> None:
        """Have a form while the order is on its way; what was typed into it outlives changes elsewhere."""
        wanted = order is not None and order.state is OrderState.ORDERED
        form = self.delivery
        if order is not None and form is not None and form.order != order:
            form.meet(order)
        if form is not None and not wanted and not form.touched:
            self._drop_delivery()
        if order is not None and wanted and form is None:
            self._make_delivery(order)
        self.delivery_card.setVisible(self.delivery is not None)

    def _make_delivery(self, order: OrderView) -> None:
        self.delivery = form = DeliveryForm(
            self.desk.look, self._work, order, self._read.items if self._read else ()
        )
        form.completed.connect(self._receive)
        self.delivery_card.add(form)
        self._keeper = self.desk.drafts.keep(form, "receive order", str(order.id), form)

    def _drop_delivery(self) -> None:
        if self.delivery is not None:
            if self._keeper is not None:
                self._keeper.flush_if_waiting()
            self.delivery.hide()
            self.delivery.deleteLater()
        self.delivery = self._keeper = None

    def _show_actions(self, order: OrderView | None) -> None:
        save = PageAction(words=_("Save order"), do=self._save, icon="check")
        if self._read is not None and not self._read.suppliers:
            new = PageAction(words=_("New supplier"), do=self._new_supplier, icon="plus")
            self.set_actions(new)
            return
        if order is None:
            self.set_actions(save)
            return
        if order.state is OrderState.DRAFT:
            send = PageAction(words=_("Send order"), do=lambda: self._move(OrderState.ORDERED), icon="check")
            self.set_actions(send, save)
        elif order.state is OrderState.ORDERED:
            self.set_actions(PageAction(words=_("Put on the shelf"), do=self._receive, icon="check"))
        else:
            self.set_actions(None)

    def _show_ways(self, order: OrderView | None) -> None:
        """Show what else can be done with the order as it stands."""
        state = order.state if order is not None else None
        self.paper.setVisible(order is not None)
        self.csv.setVisible(order is not None)
        self.bill.setVisible(state in (OrderState.ORDERED, OrderState.CLOSED))
        self.from_file.setVisible(state is OrderState.ORDERED)
        self.close_order.setVisible(state is OrderState.ORDERED)

    def _make_ways(self) -> QWidget:
        row = QWidget()
        flow = Flow(self.desk.look.px(GAP), row)

        def add(words: str, do: Callable[[], None], icon: str = "") -> Button:
            button = Button(self.desk.look, words, icon=icon)
            button.clicked.connect(do)
            button.hide()
            flow.addWidget(button)
            return button

        self.paper = add(_("Order on paper"), self._paper, "printer")
        self.csv = add(_("Save as CSV"), self._csv, "save")
        self.bill = add(_("Supplier's bill"), lambda: self.desk.ways.go("bill", self.subject))
        self.from_file = add(
            _("Receive from a file"), lambda: self.desk.ways.go("receiving file", self.subject)
        )
        self.close_order = add(_("Nothing more comes"), lambda: self._move(OrderState.CLOSED))
        return row

    def _new_supplier(self) -> None:
        """Without one there is nobody to order from; what is typed here waits."""
        self.desk.ways.go("orders", "supplier")

    def _save(self) -> None:
        if self._read is None:
            return
        self.draft.clear_errors()
        if not self.draft.check():
            return
        texts = self.draft.texts()
        before = self._read.order
        uid = self._uids.of("save", before.version if before else 0, *sorted(texts.items()))
        try:
            command, places = order_command(
                texts,
                self.draft.rows,
                self._read.items,
                self._work.actor,
                uid,
                expected_on=self.draft.expected.day(),
                before=before,
            )
        except RuleBroken as refusal:
            self.draft.show_refusal(refusal)
            return
        room = self._work.rooms.buying
        self._sending.send(
            lambda: room.save_order(command),
            self._saved,
            lambda refusal: self._refused(refusal, places),
        )

    def _refused(self, refusal: RuleBroken, places: Sequence[int]) -> None:
        refusal.field = field_in_form(refusal.field, places)
        form = self.draft if not self.draft_card.isHidden() else self.delivery
        if form is not None:
            form.show_refusal(refusal)

    def _saved(self, kept: OrderKept) -> None:
        self._uids.forget()
        self.draft.fill({})
        self._begun = ""
        self.desk.notices.tell(_("Order {number} is saved.").format(number=kept.number))
        if self.subject == str(kept.order_id):
            self.refresh()
        else:
            self.desk.ways.go("order", str(kept.order_id))

    def _move(self, state: OrderState) -> None:
        order = self._read.order if self._read is not None else None
        if order is None:
            return
        if self.draft.touched and state is OrderState.ORDERED:
            self.desk.notices.refuse(_("Save the order first: it was changed."))
            return
        uid = self._uids.of("move", order.version, state)
        command = MoveOrder(
            actor=self._work.actor, uid=uid, order_id=order.id, version=order.version, state=state
        )
        room = self._work.rooms.buying
        self._sending.send(lambda: room.move_order(command), lambda _kept: self.refresh())

    def _receive(self) -> None:
        form = self.delivery
        if form is None or not self._checked(form):
            return
        texts = form.texts()
        uid = self._uids.of("receive", form.order.version, *sorted(texts.items()))
        try:
            command, places = delivery_command(
                texts,
                form.order,
                self._read.items if self._read else (),
                self._work.actor,
                uid,
                on=form.on.day(),
                best_before=form.best_before(),
            )
        except RuleBroken as refusal:
            form.show_refusal(refusal)
            return
        room = self._work.rooms.deliveries
        self._sending.send(
            lambda: room.receive(command), self._received, lambda refusal: self._refused(refusal, places)
        )

    @staticmethod
    def _checked(form: DeliveryForm) -> bool:
        form.clear_errors()
        return form.check()

    def _received(self, kept: DeliveryReceived) -> None:
        self._uids.forget()
        if self._keeper is not None:
            self._keeper.forget()
        self._drop_delivery()
        figures = self._work.figures
        cost = figures.money(sum(line.cost_minor for line in kept.lines))
        said = _("On the shelf, {cost} with freight.").format(cost=cost)
        self.desk.notices.tell(" ".join((said, *kept.notes)))
        self.refresh()

    def _paper(self) -> None:
        if self._read is not None and self._read.order is not None:
            self.desk.ways.go("paper", f"order:{self._read.order.id}")

    def _csv(self) -> None:
        order = self._read.order if self._read is not None else None
        if order is None:
            return
        room = self._work.rooms.buying

        def save(file: Path) -> None:
            self.desk.background.write(
                self,
                lambda: file.write_text(room.order_csv(order.id), encoding="utf-8", newline=""),
                lambda _size: self.desk.notices.tell(_("{name} is saved.").format(name=file.name)),
            )

        self.desk.ask.save_file(_("Save the order"), f"order-{order.number}.csv", _("CSV (*.csv)"), save)

    def _gone(self, refusal: RuleBroken) -> None:
        self.desk.ways.go("orders")
        self.desk.notices.refuse(refusal.sentence)


def _read(rooms: Rooms, subject: str) -> _Read:
    new = subject.startswith(NEW)
    return _Read(
        order=None if new else rooms.buying.order(int(subject)),
        suppliers=rooms.buying.suppliers(),
        items=tuple(rooms.items.all()),
        hints=rooms.ordering_hints.rows() if new else (),
    )
