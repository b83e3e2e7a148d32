"""A new work order: the counter's first call on one page, done by keyboard within a minute."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from gettext import gettext as _

from PySide6.QtCore import QElapsedTimer, Signal
from PySide6.QtWidgets import QHBoxLayout

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.board import WorkOrderRow
from shopdesk.services.work import WorkOrderKept
from shopdesk.ui.actions import Verb
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper
from shopdesk.ui.forms.duty_form import DutyForm
from shopdesk.ui.presenters.intake_plan import Said, plan_of
from shopdesk.ui.presenters.taking_in import TakenIn, take_in
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.presenters.vehicles import duty_of, last_reading_words
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.screens.taking_in.order_form import OrderForm
from shopdesk.ui.screens.taking_in.who import WhoPart
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.tokens import TextRole
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.plain_label import PlainLabel


class NewWorkOrderScreen(Screen):
    """The subject is empty, "vehicle:12" or "customer:3". The page itself is what the draft keeps."""

    edited = Signal()

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("New work order"))
        self._work = work
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self._keeper: DraftKeeper | None = None
        self._base = datetime.now(UTC)
        self._since = QElapsedTimer()
        self._since.start()
        self._kept_reading: tuple[tuple[str, str], int] | None = None
        self._duty_touched = False
        self.who = WhoPart(desk, work)
        self.order = OrderForm(desk.look, work, self._now, lambda: self.who.dial)
        self.duty = DutyForm(desk.look)
        self._make_cards()
        self.who.edited.connect(self.edited)
        self.who.vehicle_changed.connect(self._vehicle_changed)
        self.who.settled.connect(self.order.focus_first)
        self.order.edited.connect(self.edited)
        self.order.completed.connect(self.open)
        self.duty.edited.connect(self._duty_answered)
        self.commands = {Verb.FILTER: self.who.lookup.line.setFocus}
        self.set_actions(PageAction(words=_("Open work order"), do=self.open, icon="check"))

    def open_at(self, subject: str) -> None:
        """Begin, with a vehicle or a customer chosen if the subject names one."""
        self.desk.background.read(self, "now", self._work.rooms.intake.now, self._set_clock)
        if self._keeper is not None and subject == self.subject:
            return
        self._leave()
        self.subject = subject
        self._clear()
        self._keeper = self.desk.drafts.keep(self, "new work order", subject, self)
        self._keeper.restored.connect(self._tell_restored)
        kind, _colon, number = subject.partition(":")
        if number.isdecimal():
            choose = self.who.choose_vehicle if kind == "vehicle" else self.who.choose_customer
            choose(int(number), told=False)

    def focus_first(self) -> None:
        """Who calls; the odometer where that is known."""
        if self.who.customer is not None and self.who.vehicle is not None:
            self.order.focus_first()
        else:
            self.who.lookup.line.setFocus()

    @property
    def touched(self) -> bool:
        """Whether there is anything to keep."""
        typed = any(text.strip() for text in self.order.texts().values())
        return self.who.touched or typed or bool(self.duty.texts())

    def texts(self) -> dict[str, str]:
        """Return everything that stands on the page, for a draft."""
        return self.who.texts() | self.order.texts() | self.duty.texts() | self._uids.texts()

    def restore(self, texts: Mapping[str, str]) -> None:
        """Take a draft."""
        self._uids.restore(texts)
        self.order.restore(texts)
        self.duty.restore(texts)
        self._duty_touched = bool(self.duty.texts())
        self._say_duty()
        self.who.restore(texts)
        self.edited.emit()

    def open(self) -> None:
        """Keep what is new and open the work order."""
        if self._sending.is_busy or not self._check():
            return
        self._kept.hide()
        try:
            plan = plan_of(self._said(), self._work.actor, self._uids)
        except RuleBroken as refusal:
            self.who.vehicle_form.show_refusal(refusal)
            return
        if self._keeper is not None:
            self._keeper.flush()
        rooms = self._work.rooms
        self._sending.send(lambda: take_in(rooms.intake, rooms.work, plan), self._done)

    def _check(self) -> bool:
        who, order = self.who, self.order
        order.clear_errors()
        fine = who.check()
        return order.check() and fine if fine else False

    def _said(self) -> Said:
        who, order = self.who, self.order.texts()
        kept = duty_of(who.vehicle) if who.vehicle else {}
        reading = (order["reading"], order["reason"])
        kept_before = self._kept_reading
        return Said(
            customer=who.customer_form.texts(),
            customer_id=who.customer.id if who.customer else None,
            vehicle=who.vehicle_form.texts(),
            vehicle_id=who.vehicle.id if who.vehicle else None,
            takes_over=who.vehicle is not None and bool(who.takes_over.text()) and who.is_another_keeper,
            order=order,
            promised_at=self.order.promised_at(),
            duty={key: yes for key, yes in self.duty.answers().items() if kept.get(key) is not yes},
            reading_id=kept_before[1] if kept_before and kept_before[0] == reading else None,
            today=self._now().date(),
        )

    def _done(self, done: TakenIn) -> None:
        if done.order is not None:
            self._opened(done.order, done.notes)
            return
        if done.odometer_id is not None:
            texts = self.order.texts()
            self._kept_reading = ((texts["reading"], texts["reason"]), done.odometer_id)
        if done.refusal is not None:
            self._show_refusal(done, done.refusal)
        if done.customer_is_new or done.vehicle_is_new:
            self.who.choose_both(done.customer_id, done.vehicle_id)
        self._kept.setText(done.kept_sentence())
        self._kept.setVisible(bool(done.kept_sentence()))

    def _show_refusal(self, done: TakenIn, refusal: RuleBroken) -> None:
        """Show a refusal in the form of the step that was refused."""
        if done.customer_id is None:
            self.who.customer_form.show_refusal(refusal)
        elif done.vehicle_id is None:
            self.who.vehicle_form.show_refusal(refusal)
        else:
            self.order.show_refusal(refusal)

    def _opened(self, order: WorkOrderKept, notes: tuple[str, ...]) -> None:
        if self._keeper is not None:
            self._keeper.forget()
        self._leave()
        self._clear()
        self.desk.ways.go("work order", str(order.work_order_id))
        sentence = _("Work order {number} is open.").format(number=order.number)
        self.desk.notices.tell(" ".join((sentence, *notes)))

    def _leave(self) -> None:
        if self._keeper is not None:
            self._keeper.flush_if_waiting()
            self._keeper.deleteLater()
            self._keeper = None

    def _clear(self) -> None:
        self._uids.forget()
        self._kept_reading = None
        self._duty_touched = False
        self._kept.hide()
        self.order.clear()
        self.duty.put({})
        self._show_duty(shown=False)
        self.who.clear()

    def _set_clock(self, now: datetime) -> None:
        self._base = now
        self._since.restart()

    def _now(self) -> datetime:
        return self._base + timedelta(milliseconds=self._since.elapsed())

    def _vehicle_changed(self) -> None:
        """Show what belongs to the vehicle: its dial, how it is driven, its earlier work orders."""
        view = self.who.vehicle
        self.order.show_dial(last_reading_words(view, self._work.figures) if view else "")
        if not self._duty_touched:
            self.duty.put(duty_of(view) if view else {})
            self._say_duty()
        if view is None:
            self.order.offer_origins((), self._work.figures)
            return
        board, vehicle_id = self._work.rooms.board, view.id
        self.desk.background.read(
            self, "origins", lambda: board.work_orders(vehicle_id=vehicle_id, most=12), self._offer_origins
        )

    def _offer_origins(self, rows: tuple[WorkOrderRow, ...]) -> None:
        self.order.offer_origins(rows, self._work.figures)

    def _duty_answered(self) -> None:
        self._duty_touched = True
        self._say_duty()
        self.edited.emit()

    def _say_duty(self) -> None:
        self._duty_card.set_note(self.duty.verdict())

    def _toggle_duty(self) -> None:
        self._show_duty(shown=self.duty.isHidden())

    def _show_duty(self, *, shown: bool) -> None:
        self.duty.setVisible(shown)
        self._ask_duty.set_text(_("Put the questions away") if shown else _("Ask the six questions"))

    def _tell_restored(self) -> None:
        self.desk.notices.tell(
            _("What was typed here before and not opened is back."), _("Throw it away"), self._throw_away
        )

    def _throw_away(self) -> None:
        if self._keeper is not None:
            self._keeper.forget()
        self._clear()
        self.focus_first()

    def _make_cards(self) -> None:
        look = self.desk.look
        self._kept = PlainLabel("", TextRole.BODY, tone="ok", strong=True, wrap=True)
        order = Card(look, _("The work"))
        self._duty_card = Card(look, _("How it is driven"))
        scroll = Scroll(look)
        self.column.addWidget(scroll)
        scroll.add(self._kept)
        columns = Columns(look, main=6, side=5, break_at=820)
        scroll.add(columns)
        columns.add_main(self.who.card)
        columns.add_main(self.who.vehicle_card)
        columns.add_main(self._duty_card)
        columns.add_side(order)
        order.add(self.order)
        self._ask_duty = Button(look, _("Ask the six questions"))
        self._ask_duty.clicked.connect(self._toggle_duty)
        self._duty_card.add(self.duty)
        row = QHBoxLayout()
        row.addWidget(self._ask_duty)
        row.addStretch(1)
        self._duty_card.add(row)
