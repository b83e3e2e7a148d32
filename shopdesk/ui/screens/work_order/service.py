"""The service of the chosen unit: its record as a form, and beside it what follows from it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from gettext import gettext as _

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.methods import ServiceMethod
from shopdesk.domain.unit_history import Outlier
from shopdesk.domain.units import NumberStyle
from shopdesk.services.bay import ChangeRecord, Enter, RecordKept, RecordView
from shopdesk.services.board import WorkOrderView
from shopdesk.services.duedates import WorkedOutDue
from shopdesk.services.instruments import InstrumentRow
from shopdesk.services.intake import ServiceRow, UnitView
from shopdesk.services.items import ItemKind, ItemView
from shopdesk.services.photos import PhotoSubject
from shopdesk.services.typed import Typed
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.photo_strip import PhotoStrip
from shopdesk.ui.forms.record_cards import BalanceCard, LevelCard
from shopdesk.ui.forms.torque_panel import TorquePanel
from shopdesk.ui.presenters.exact import exact_torque
from shopdesk.ui.presenters.record_slots import Change, field_of_refusal, live_entries
from shopdesk.ui.presenters.record_words import fluid_choices, method_choices, reason_slots, sheet_line
from shopdesk.ui.presenters.shelf_words import use_words
from shopdesk.ui.presenters.torque_words import Slip, answers, put_right, slips, wanted_torque
from shopdesk.ui.presenters.unit_words import unusual_refill
from shopdesk.ui.presenters.verdict import done_otherwise, stop, stop_lines, totals
from shopdesk.ui.presenters.work_orders import is_measurable
from shopdesk.ui.screens.work_order.history import HistoryCard
from shopdesk.ui.screens.work_order.record_form import WHY_CHANGED, RecordForm
from shopdesk.ui.screens.work_order.start_record import RecordWanted, SheetWanted, UnitWanted, why_field
from shopdesk.ui.screens.work_order.sure import SureCard
from shopdesk.ui.screens.work_order.verdict import DueCard, OtherwiseCard, ShelfCard, StopCard
from shopdesk.ui.sending import Sending
from shopdesk.ui.tab_order import follow_layout, holds_keyboard
from shopdesk.ui.theme.tokens import GAP, TextRole
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.card import Card, card_of
from shopdesk.ui.widgets.columns import Columns
from shopdesk.ui.widgets.facts import WarningLine
from shopdesk.ui.widgets.fields import ChoiceField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    """Everything one record is shown with."""

    view: RecordView
    due: WorkedOutDue | None
    tools: Sequence[InstrumentRow]
    fluids: Sequence[ItemView]
    before: Sequence[ServiceRow]
    unusual: Outlier | None


class ServicePane(QWidget):
    """``record_shown`` tells which record is in sight (0: none), ``rebuilt`` that there are other fields."""

    record_shown = Signal(int)
    rebuilt = Signal()

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._order: WorkOrderView | None = None
        self._read: _Read | None = None
        self._live: RecordView | None = None
        self._keyboard_waits = False
        self._met: tuple[str, tuple[Change, ...]] | None = None
        self._correcting = 0
        self._sending = Sending(desk, self)
        look = desk.look
        self.unit_wanted = UnitWanted(desk)
        self.sheet_wanted = SheetWanted(desk, work)
        self.record_wanted = RecordWanted(desk, work)
        self.form = RecordForm(desk, work)
        self.form.edited.connect(self._typed)
        self.form.completed.connect(lambda: self.keep())
        self.form.rebuilt.connect(self.rebuilt)
        self.unusual = WarningLine(look, _("Refill"))
        self.stop = StopCard(look)
        self.level = LevelCard(look)
        self.balance = BalanceCard(look)
        self.sure = SureCard(look, work)
        self.sure.opened.connect(lambda page, unit: desk.ways.go(page, str(unit)))
        self.due = DueCard(look)
        self.shelf = ShelfCard(look)
        self.shelf.wanted.connect(lambda: desk.ways.go("pours", str(self.record_id)))
        self.otherwise = OtherwiseCard(look)
        self.history = HistoryCard(look, lambda: work.figures)
        self.history.opened.connect(lambda order: desk.ways.go("work order", str(order)))
        self.torque = TorquePanel(desk, work)
        self.torque.rebuilt.connect(self.rebuilt)
        self.photos = PhotoStrip(desk, work)
        self.photos.rebuilt.connect(self.rebuilt)
        self._card = Card(look, _("Service as measured"))
        self._columns = Columns(look, main=7, side=4)
        self._lay_out()

    @property
    def record_id(self) -> int:
        """The record in sight, or 0."""
        return self._read.view.record_id if self._read is not None else 0

    @property
    def has_unkept(self) -> bool:
        """Whether something was measured and typed that is not kept yet."""
        return self._read is not None and bool(self.form.changes())

    def show_unit(self, order: WorkOrderView, unit: UnitView | None) -> None:
        """Show the service of a unit on a work order."""
        self._order = order
        record = next((r for r in order.records if unit is not None and r.unit_id == unit.id), None)
        if record is None or record.record_id != self._correcting:
            self._correcting = 0
        wants_sheet = unit is not None and unit.sheet_id is None and record is None
        wants_record = unit is not None and unit.sheet_id is not None and record is None
        had_keyboard = self._keyboard_is_before_the_record()
        self.unit_wanted.setVisible(unit is None)
        self.unit_wanted.show_vehicle(order.vehicle_id)
        self.sheet_wanted.setVisible(wants_sheet)
        self.record_wanted.setVisible(wants_record)
        if unit is not None and wants_sheet:
            self.sheet_wanted.show_unit(unit)
        if unit is not None and wants_record:
            self.record_wanted.show_unit(order.id, unit, allowed=is_measurable(order.stage))
        if record is None:
            self._read = None
            self._columns.hide()
            self.record_shown.emit(0)
        self._keyboard_waits = had_keyboard and record is not None
        if record is not None:
            self._ask(record.record_id)
        elif had_keyboard and not self._keyboard_is_before_the_record():
            self.focus_first()

    def keep(self, then: Callable[[], None] | None = None) -> None:
        """Keep what was measured; ``then`` goes on once it is kept."""
        if self._read is None or not self.form.stack.check():
            return
        sent = self.form.changes()
        if not sent:
            if then is not None:
                then()
            return
        typed = Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)
        self._ask_units(sent, slips(sent, self._read.view, typed, self._work.figures), then)

    def _ask_units(
        self, sent: tuple[Change, ...], found: Sequence[Slip], then: Callable[[], None] | None
    ) -> None:
        """Ask about torques that look like the sheet's in the other unit; nothing is changed unasked."""
        if not found:
            self._send(sent, then)
            return
        slip, rest = found[0], found[1:]

        def answered(key: str) -> None:
            if key == "other":
                self.form.put_text(slip.slot, slip.other_text)
            self._ask_units(put_right(sent, slip) if key == "other" else sent, rest, then)

        self._desk.ask.choose(slip.question, answers(slip), answered)

    def _send(self, sent: tuple[Change, ...], then: Callable[[], None] | None) -> None:
        if self._read is None:
            return
        command = Enter(
            actor=self._work.actor,
            record_id=self._read.view.record_id,
            entries=tuple(change.entry for change in sent),
            seen=max((each.entry.id for each in self._read.view.entries), default=0),
        )
        self._sending.send(
            lambda: self._work.rooms.bay.enter(command),
            lambda kept: self._kept(sent, kept, then),
            lambda refusal: self._not_kept(refusal, sent),
        )

    def _not_kept(self, refusal: RuleBroken, sent: tuple[Change, ...]) -> None:
        """One reason stands for all that is corrected in finished work."""
        if isinstance(refusal, Conflict) and self._read is not None:
            self._met = (refusal.field, sent)
            self._ask(self._read.view.record_id)
            return
        why = bool(self._correcting) and refusal.field.endswith("/reason")
        self.form.show_refusal(WHY_CHANGED if why else refusal.field, refusal.sentence, sent)

    def _correct(self) -> None:
        """Open a finished record for what was recorded wrong; both stay in it."""
        if self._read is not None:
            self._correcting = self._read.view.record_id
            self._show(self._read)
            self.form.stack.focus_first()

    def focus_first(self) -> None:
        """Put the keyboard where this unit's work begins."""
        if self._read is not None:
            self.form.stack.focus_first()
        elif not self.record_wanted.isHidden():
            self.record_wanted.form.focus_first()
        elif not self.sheet_wanted.isHidden():
            self.sheet_wanted.focus_first()
        else:
            self.unit_wanted.add_button.setFocus()

    def _keyboard_is_before_the_record(self) -> bool:
        """Whether the keyboard is in a part that goes out of sight once what it asks for is there."""
        parts = (self.unit_wanted, self.sheet_wanted, self.record_wanted)
        return any(not part.isHidden() and holds_keyboard(part) for part in parts)

    def _ask(self, record_id: int) -> None:
        rooms = self._work.rooms

        def read() -> _Read:
            view = rooms.bay.record(record_id)
            services = rooms.intake.vehicle(view.vehicle_id).services
            return _Read(
                view=view,
                before=[s for s in services if s.unit_id == view.unit_id and s.record_id != record_id],
                due=rooms.due.after(record_id),
                tools=rooms.instruments.all(),
                fluids=rooms.items.all(ItemKind.FLUID),
                unusual=rooms.unit_histories.hint(record_id),
            )

        self._desk.background.read(self, "record", read, self._show)

    def _show(self, read: _Read) -> None:
        order = self._order
        if order is None or read.view.work_order_id != order.id:
            return
        self._read = read
        self._live = read.view
        correcting = self._correcting == read.view.record_id
        editable = is_measurable(order.stage) or correcting
        self.form.show_record(read.view, read.tools, editable=editable)
        self._columns.show()
        self._keep.setVisible(editable)
        self._keep.set_text(_("Keep the correction") if correcting else _("Keep what was measured"))
        self._closed.setVisible(not is_measurable(order.stage))
        self.correct.setVisible(not editable and read.view.finished)
        self._sheet_line.setText(sheet_line(read.view.sheet, self._work.figures))
        self._show_how(read, editable=editable)
        self.photos.show_subject(PhotoSubject.RECORD, read.view.record_id, editable=editable)
        self._want_torque(read.view)
        self.unusual.show_warning(unusual_refill(read.unusual, self._work.figures))
        self.history.show_services(read.before)
        self.due.show_due(read.due, read.view, self._work.figures)
        self._show_verdict(read.view)
        self.record_shown.emit(read.view.record_id)
        self._typed()
        if self._keyboard_waits:
            self._keyboard_waits = False
            self.focus_first()
        self._show_both()

    def _show_both(self) -> None:
        """What somebody else measured stands beside what was typed; keeping again corrects theirs."""
        met, self._met = self._met, None
        if met is not None:
            path, sent = met
            self.form.show_theirs(field_of_refusal(path, sent))

    def _want_torque(self, view: RecordView) -> None:
        shape = self.form.shape
        fields = [slot.field for slot in shape.plugs] if shape is not None else []
        wanted = next((found for field in fields if (found := wanted_torque(field, view))), None)
        self.torque.setVisible(wanted is not None)
        self.torque.want(exact_torque(wanted, self._work.figures.shop) if wanted else "")

    def _show_how(self, read: _Read, *, editable: bool) -> None:
        view = read.view
        self._fluid.set_choices(fluid_choices(read.fluids, view.sheet.specification))
        if self._why.isHidden():  # else a fluid waits for its reason
            texts = {"service_method": view.service_method.value, "item": str(view.item_id or "")}
            self._how.fill({**texts, "match_reason": ""})
        self._how.setEnabled(editable and not view.finished)

    def _typed(self) -> None:
        """Work out what follows from what stands in the form now."""
        read = self._read
        if read is None:
            return
        sent = self.form.changes(readable_only=True)
        self._keep.setEnabled(bool(self.form.changes()))
        self._say_typed(sent)
        entries = tuple(change.entry for change in sent)
        command = Enter(actor=self._work.actor, record_id=read.view.record_id, entries=entries)
        preview = self._work.rooms.bay.preview
        self._desk.background.read(
            self, "preview", lambda: preview(command), self._previewed, lambda _refusal: None
        )

    def _say_typed(self, sent: Sequence[Change]) -> None:
        count = len(sent)
        self._card.set_note(_("{n} not kept yet").format(n=count) if count else "")

    def _previewed(self, view: RecordView) -> None:
        if self._read is not None and view.record_id == self._read.view.record_id:
            self._live = view
            self._show_verdict(view)

    def _show_verdict(self, view: RecordView) -> None:
        figures, order = self._work.figures, self._order
        volumes = self.form.volumes()
        self.level.show_record(view, figures)
        self.balance.show_record(view, volumes, figures)
        unkept = live_entries(self.form.changes(readable_only=True))
        self.sure.show_record(view)
        stopped = stop(view, unkept)
        self.stop.show_stop(stop_lines(stopped), holds=stopped.holds)
        found = done_otherwise(view, unkept)
        self.otherwise.show_deviations(found)
        if self.form.shape is not None:
            correcting = any(change.entry.corrects_id for change in self.form.changes())
            self.form.ask_stop(bool(stopped.reasons))
            self.form.ask_why(reason_slots(found, self.form.shape), correcting=correcting)
        if order is not None:
            live = totals(view, volumes)["put_in"]
            self.shelf.show_uses(use_words(order.from_stock, figures, record_id=view.record_id, live_ul=live))

    def _kept(self, sent: tuple[Change, ...], kept: RecordKept, then: Callable[[], None] | None) -> None:
        self._correcting = 0
        self.form.kept_now(sent, kept)
        if then is not None:
            then()
        else:
            self._desk.notices.tell(_("Kept in the service record."))

    def _change_how(self) -> None:
        if self._read is None:
            return
        view, texts = self._read.view, self._how.texts()
        item = texts["item"]
        method = ServiceMethod(texts["service_method"])
        if (method, int(item) if item else None) == (view.service_method, view.item_id):
            return
        command = ChangeRecord(
            actor=self._work.actor,
            record_id=view.record_id,
            version=view.version,
            service_method=method,
            item_id=int(item) if item else None,
            done_on=view.done_on,
            match_reason=texts["match_reason"],
        )
        self._sending.send(lambda: self._work.rooms.bay.change(command), self._changed, self._not_changed)

    def _changed(self, _kept: RecordKept) -> None:
        self._ask_why_fluid(False)
        self._desk.notices.tell(_("Kept in the service record."))

    def _ask_why_fluid(self, on: bool) -> None:
        self._why.setVisible(on)
        self._how.arrange()
        follow_layout(self)

    def _fluid_changed(self) -> None:
        """Another fluid may need no reason."""
        self._why.set_text("")
        self._ask_why_fluid(False)
        self._change_how()

    def _not_changed(self, refusal: RuleBroken) -> None:
        if refusal.field == "match_reason":
            self._ask_why_fluid(True)
            self._how.show_refusal(refusal)
            return
        self._desk.notices.refuse(refusal.sentence)
        if isinstance(refusal, Conflict) and self._read is not None:
            self._ask(self._read.view.record_id)

    def _lay_out(self) -> None:
        look = self._desk.look
        self._sheet_line = PlainLabel("", TextRole.HELP, tone="ink2", wrap=True)
        self._how = Form(look, columns=2, least_width=200)
        method = self._how.add(ChoiceField(look, "service_method", _("What is done"), method_choices()))
        self._fluid = self._how.add(ChoiceField(look, "item", _("Fluid")))
        self._why = self._how.add(why_field(look), 0)
        self._why.hide()
        method.edited.connect(self._change_how)
        self._fluid.edited.connect(self._fluid_changed)
        self._why.entered.connect(self._change_how)
        self._keep = Button(look, _("Keep what was measured"), icon="check")
        self._keep.clicked.connect(lambda: self.keep())
        self._closed = PlainLabel(
            _("The work is finished. What was recorded wrong is corrected with a reason; both stay in it."),
            tone="ink2",
            wrap=True,
        )
        buttons = QHBoxLayout()
        buttons.setSpacing(look.px(GAP))
        self.correct = Button(look, _("Correct what was recorded"))
        self.correct.clicked.connect(self._correct)
        buttons.addWidget(self._keep)
        buttons.addWidget(self.correct)
        buttons.addWidget(self._closed, 1)
        buttons.addStretch(1)
        self._card.add(self._sheet_line)
        self._card.add(self._how)
        self._card.add(self.form)
        self._card.add(self.torque)
        self._card.add(buttons)
        self._columns.add_side(self.unusual)
        self._columns.add_main(self._card)
        self._columns.add_main(card_of(look, "", self.photos))
        self._columns.add_main(self.history)
        for card in (self.stop, self.level, self.balance, self.sure, self.due, self.otherwise, self.shelf):
            self._columns.add_side(card)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.unit_wanted)
        column.addWidget(self.sheet_wanted)
        column.addWidget(self.record_wanted)
        column.addWidget(self._columns)
        for part in (self.unit_wanted, self.sheet_wanted, self.record_wanted, self._columns):
            part.hide()
