"""The bay's side of a work order: the order of work, one step at a time, for gloves and poor light."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from gettext import gettext as _

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from shopdesk.domain.cautions import deferral
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.record import EntryKind
from shopdesk.domain.stages import Stage
from shopdesk.domain.units import NumberStyle
from shopdesk.services.bay import Enter, EntryTyped, FinishWork, RecordKept, RecordView
from shopdesk.services.board import WorkOrderRow, WorkOrderView
from shopdesk.services.instruments import InstrumentKind, InstrumentRow
from shopdesk.services.typed import Typed
from shopdesk.ui.actions import Verb
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.bay_steps import (
    RESULT,
    BayStep,
    bay_steps,
    done_entries,
    done_words,
    first_open,
    is_done,
    progress_words,
    undo_entries,
    units_of,
    window_words,
)
from shopdesk.ui.presenters.record_shape import Slot
from shopdesk.ui.presenters.record_slots import (
    Change,
    Kept,
    field_of_refusal,
    kept_slots,
    texts_of,
    usual_tools,
)
from shopdesk.ui.presenters.record_words import beneath, kept_words, sheet_help, value_shown
from shopdesk.ui.presenters.work_orders import is_measurable
from shopdesk.ui.screen import Screen
from shopdesk.ui.screens.bay.choosing import BayChoosing
from shopdesk.ui.screens.bay.result import ResultPage
from shopdesk.ui.screens.bay.step_page import StepPage
from shopdesk.ui.screens.bay.unkept import Unkept
from shopdesk.ui.screens.bay.wheel import WheelPage
from shopdesk.ui.sending import Sending
from shopdesk.ui.tab_order import follow_layout
from shopdesk.ui.theme.tokens import GAP, GAP_WIDE, TextRole
from shopdesk.ui.widgets.button import BigButton
from shopdesk.ui.widgets.columns import Scroll
from shopdesk.ui.widgets.facts import WarningLine
from shopdesk.ui.widgets.field import Reader
from shopdesk.ui.widgets.number_pad import NumberPad
from shopdesk.ui.widgets.plain_label import PlainLabel

_PAD_BESIDE = 980
_PAD_WIDTH = 300


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    """A record with the work order it belongs to and the tools it is read with."""

    order: WorkOrderView
    view: RecordView | None
    tools: Sequence[InstrumentRow]


class BayScreen(Screen):
    """The subject is "ORDER", "ORDER:UNIT", or nothing: then a vehicle in the bays is chosen first."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Bay"))
        self._work = work
        self._read: _Read | None = None
        self._kept: Mapping[str, Kept] = {}
        self._steps: tuple[BayStep, ...] = ()
        self._place = -1
        self._unkept = Unkept(desk, self)
        self._unkept.restored.connect(self._fill_page)
        self._sending = Sending(desk, self)
        self._page: QWidget | None = None
        look = desk.look
        self.warning = WarningLine(look, _("Vehicle"))
        self.choosing = BayChoosing(desk)
        self.choosing.order_chosen.connect(lambda order: desk.ways.go("bay", str(order)))
        self.choosing.unit_chosen.connect(self._unit_chosen)
        self.before = BigButton(look, _("Before"), icon="arrow-left")
        self.before.clicked.connect(lambda: self.step(-1))
        self.after = BigButton(look, _("Next step"))
        self.after.clicked.connect(lambda: self.step(1))
        self.progress = PlainLabel("", TextRole.BODY, tone="ink2")
        self.title_line = PlainLabel("", TextRole.BIG, wrap=True)
        self.state = PlainLabel("", TextRole.CARD, tone="ok", wrap=True)
        self.done = BigButton(look, _("Done"), icon="check", main=True)
        self.done.clicked.connect(self.mark_done)
        self.undo = BigButton(look, _("Not done after all"), icon="undo-2")
        self.undo.clicked.connect(self.take_back)
        self.pad = NumberPad(look)
        self.pad.next.connect(self._pad_next)
        self.deferral = PlainLabel(deferral(), TextRole.HELP, tone="ink2", wrap=True)
        self._lay_out()
        self.commands = {
            Verb.MAIN: self.mark_done,
            Verb.STRIP_BACK: lambda: self.step(-1),
            Verb.STRIP_ON: lambda: self.step(1),
        }
        self.listen(Topic.WORK, Topic.SERVICE, Topic.VEHICLES, Topic.SHEETS)

    def open_at(self, subject: str) -> None:
        """Show the record of a work order's unit, or what there is to choose from."""
        if subject != self.subject:
            self._read, self._place = None, -1
        super().open_at(subject)

    def refresh(self) -> None:
        """Read the record again."""
        order, _colon, unit = self.subject.partition(":")
        rooms = self._work.rooms
        if not order.isdecimal():
            self.desk.background.read(
                self,
                "bays",
                lambda: rooms.board.work_orders(stages=(Stage.IN_THE_BAY, Stage.AUTHORISED), most=50),
                self._show_orders,
            )
            return
        number, wanted = int(order), int(unit) if unit.isdecimal() else 0

        def read() -> _Read:
            found = rooms.board.work_order(number)
            records = [r for r in found.records if wanted in (0, r.unit_id)]
            several = wanted == 0 and len(records) != 1
            view = rooms.bay.record(records[0].record_id) if records and not several else None
            return _Read(order=found, view=view, tools=rooms.instruments.all())

        self.desk.background.read(self, "record", read, self._show, self._not_there)

    def focus_first(self) -> None:
        """The first line to type into, else the big button."""
        page = self._page
        if isinstance(page, StepPage) and page.focus_first():
            return
        if isinstance(page, WheelPage):
            page.focus_first()
        elif self._read is not None and self._read.view is not None:
            self.done.setFocus()
        else:
            self.choosing.focus_first()

    def step(self, by: int) -> None:
        """Go along the order of work; nothing typed is lost."""
        self._take_texts()
        place = min(max(self._place + by, 0), len(self._steps) - 1)
        if self._steps and place != self._place:
            self._go_to(place)

    def mark_done(self) -> None:
        """Keep what was typed on this step and that it was done now."""
        step = self._step()
        read = self._read
        if step is None or read is None or read.view is None:
            return
        if step.key == RESULT:
            self._finish()
            return
        if isinstance(self._page, WheelPage):
            self._page.save(self._keep_step)
            return
        if isinstance(self._page, StepPage) and not self._page.check():
            return
        self._keep_step()

    def take_back(self) -> None:
        """Say that this step is not done after all; what was measured stays."""
        step, read = self._step(), self._read
        known = is_done(step, self._kept) if step is not None else None
        if step is None or step.step is None or known is None or read is None or read.view is None:
            return
        slot = Slot("step", 1, step.step.value)
        entry = EntryTyped(field="step", value="", corrects_id=known.entry_id)
        sent = (Change(slot=slot, entry=entry),)
        self._send(sent, lambda _kept: self.desk.notices.tell(_("Not done after all.")))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The pad stands beside the step where there is room, else beneath it."""
        super().resizeEvent(event)
        beside = self.width() >= self.desk.look.px(_PAD_BESIDE)
        direction = QBoxLayout.Direction
        self._split.setDirection(direction.LeftToRight if beside else direction.TopToBottom)

    def _show_orders(self, rows: tuple[WorkOrderRow, ...]) -> None:
        self.set_heading(_("Bay"), _("Choose a vehicle"))
        self._show_working(False)
        self.choosing.show_orders(rows)
        self.choosing.focus_first()

    def _not_there(self, refusal: RuleBroken) -> None:
        self.desk.notices.refuse(refusal.sentence)
        self._show_working(False)

    def _unit_chosen(self, unit_id: int) -> None:
        if self._read is None:
            return
        order = self._read.order
        if any(record.unit_id == unit_id for record in order.records):
            self.desk.ways.go("bay", f"{order.id}:{unit_id}")
        else:
            self.desk.ways.go("work order", str(order.id))

    def _show(self, read: _Read) -> None:
        first = self._read is None
        self._read = read
        order = read.order
        self.warning.show_warning(order.vehicle_warning)
        if read.view is None:
            heading = f"{order.plate}  ·  {order.vehicle}"
            self.set_heading(heading, _("Choose a unit"))
            self._show_working(False)
            self.choosing.show_units(order)
            if first:
                self.choosing.focus_first()
            return
        self._show_record(read.view, first=first)

    def _show_record(self, view: RecordView, *, first: bool) -> None:
        read = self._read
        if read is None:
            return
        self.set_heading(
            f"{read.order.plate}  ·  {view.unit_label}", _("Work order {n}").format(n=read.order.number)
        )
        self._show_working(True)
        self._kept = kept_slots(view, self._work.figures)
        steps = bay_steps(view, wheel_off=read.order.wheel_off)
        other = steps != self._steps
        self._steps = steps
        if first:
            self._unkept.begin(view.record_id)
        if first or other or self._place < 0:
            place = first_open(steps, self._kept) if first or self._place < 0 else self._place
            self._go_to(min(place, len(steps) - 1), focus=first)
        else:
            self._fill_page()
            self._say_state()

    def _go_to(self, place: int, *, focus: bool = True) -> None:
        self._place = place
        step = self._steps[place]
        page = self._new_page(step)
        old, self._page = self._page, page
        self._holder.addWidget(page)
        if old is not None:
            self.done.setFocus()
            self._holder.removeWidget(old)
            old.hide()
            old.deleteLater()
        page.show()
        self.title_line.setText(step.title)
        self.progress.setText(progress_words(place, len(self._steps)))
        self._fill_page()
        self._say_state()
        follow_layout(self)
        if focus:
            self.focus_first()

    def _new_page(self, step: BayStep) -> QWidget:
        if step.key == RESULT:
            return ResultPage(self.desk.look)
        if step.wheel and self._read is not None:
            return WheelPage(self.desk, self._work, self._read.order, self.pad, step)
        page = StepPage(self.desk.look, step, self._reader_of)
        page.edited.connect(self._edited)
        page.aimed.connect(self._aim)
        page.completed.connect(self.mark_done)
        return page

    def _fill_page(self) -> None:
        page, read = self._page, self._read
        if read is None or read.view is None:
            return
        if isinstance(page, ResultPage):
            page.show_record(read.view, self._work.figures)
        if not isinstance(page, StepPage):
            return
        base = texts_of(page.step.slots, self._kept)
        page.fill({**base, **self._unkept.texts()})
        for slot in page.step.slots:
            known = self._kept.get(slot.name)
            words = sheet_help(slot, read.view, self._work.figures)
            if known is not None and slot.kind in (EntryKind.YES_NO, EntryKind.CHOICE, EntryKind.GRADE):
                words = kept_words(known, self._work.figures)
            page.set_help(slot.name, words)

    def _say_state(self) -> None:
        step, read = self._step(), self._read
        if step is None or read is None or read.view is None:
            return
        known = is_done(step, self._kept)
        figures = self._work.figures
        self.state.setText(done_words(known, figures) if known is not None else "")
        self.state.setVisible(known is not None)
        result = step.key == RESULT
        open_stage = is_measurable(read.order.stage)
        self.undo.setVisible(known is not None and step.step is not None and open_stage)
        words = _("Finish the work") if result else _("Keep") if known is not None else _("Done")
        self.done.set_text(words)
        self.done.setVisible(open_stage)
        types = isinstance(self._page, WheelPage) or (
            isinstance(self._page, StepPage) and self._page.has_lines
        )
        self.pad.setVisible(types and open_stage)
        self.before.setEnabled(self._place > 0)
        self.after.setEnabled(self._place + 1 < len(self._steps))

    def _keep_step(self) -> None:
        step = self._step()
        if step is None:
            return
        self._take_texts()
        page = self._page
        texts = {**texts_of(step.slots, self._kept), **self._unkept.texts()}
        if isinstance(page, StepPage):
            texts |= page.texts()
        sent = done_entries(step, texts, self._kept, self._tools(), datetime.now(UTC))
        if not sent:
            self.step(1)
            return
        self._send(sent, lambda kept: self._step_kept(sent, kept))

    def _send(self, sent: tuple[Change, ...], then: Callable[[RecordKept], None]) -> None:
        read = self._read
        if read is None or read.view is None:
            return
        command = Enter(
            actor=self._work.actor,
            record_id=read.view.record_id,
            entries=tuple(change.entry for change in sent),
        )
        self._sending.send(
            lambda: self._work.rooms.bay.enter(command),
            then,
            lambda refusal: self._refused(refusal, sent),
        )

    def _step_kept(self, sent: tuple[Change, ...], kept: RecordKept) -> None:
        self._unkept.settle({change.slot.name for change in sent})
        step = self._step()
        undone = undo_entries(sent, kept.entry_ids)
        place = self._place
        self.desk.notices.tell(
            _("Done: {step}.").format(step=step.title if step is not None else ""),
            _("Undo"),
            lambda: self._undo(undone, place),
        )
        if place + 1 < len(self._steps):
            self._go_to(place + 1)

    def _undo(self, undone: tuple[Change, ...], place: int) -> None:
        def back(_kept: RecordKept) -> None:
            if place < len(self._steps):
                self._go_to(place)

        self._send(undone, back)

    def _refused(self, refusal: RuleBroken, sent: tuple[Change, ...]) -> None:
        name = field_of_refusal(refusal.field, sent)
        page = self._page
        if not (isinstance(page, StepPage) and page.refuse(name, refusal.sentence)):
            self.desk.notices.refuse(refusal.sentence)

    def _finish(self) -> None:
        if self._read is None:
            return
        order = self._read.order.id
        command = FinishWork(actor=self._work.actor, work_order_id=order)

        def finished(_done: object) -> None:
            self.desk.notices.tell(_("The work is finished."))
            self.desk.ways.go("work order", str(order))

        self._sending.send(lambda: self._work.rooms.bay.finish(command), finished)

    def _step(self) -> BayStep | None:
        return self._steps[self._place] if 0 <= self._place < len(self._steps) else None

    def _tools(self) -> dict[InstrumentKind, int | None]:
        return usual_tools(self._read.tools if self._read is not None else (), self._kept)

    def _take_texts(self) -> None:
        """Remember what stands on the page and is not what is kept."""
        page = self._page
        if isinstance(page, StepPage):
            self._unkept.note(page.texts(), texts_of(page.step.slots, self._kept))

    def _edited(self) -> None:
        self._take_texts()
        self._unkept.edited.emit()

    def _typed_reader(self) -> Typed:
        return Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)

    def _reader_of(self, slot: Slot) -> Reader:
        def read(text: str) -> str:
            typed, figures = self._typed_reader(), self._work.figures
            shown = value_shown(slot, text, typed, figures)
            view = self._read.view if self._read is not None else None
            if view is not None and slot.field in (
                "open_temperature",
                "close_temperature",
                "reading_temperature",
            ):
                mc = typed.temperature(text, slot.name).value
                where = window_words(mc, view.sheet.body.level)
                shown = f"{shown}, {where}" if where else shown
            known = None if slot.field == "ambient" else self._kept.get(slot.name)
            return beneath(shown, text, known, figures)

        return read

    def _aim(self, line: QLineEdit, slot: Slot) -> None:
        self.pad.aim_at(line, units_of(slot, self._work.figures))

    def _pad_next(self) -> None:
        if isinstance(self._page, StepPage):
            self._page.go_on()
        else:
            self.mark_done()

    def _show_working(self, on: bool) -> None:
        self._working.setVisible(on)
        self.choosing.setVisible(not on)

    def _lay_out(self) -> None:
        look = self.desk.look
        head = QHBoxLayout()
        head.setSpacing(look.px(GAP))
        words = QVBoxLayout()
        words.setSpacing(0)
        words.addWidget(self.progress)
        words.addWidget(self.title_line)
        head.addLayout(words, 1)
        head.addWidget(self.before)
        head.addWidget(self.after)
        self._holder = QVBoxLayout()
        buttons = QHBoxLayout()
        buttons.setSpacing(look.px(GAP))
        buttons.addWidget(self.done, 2)
        buttons.addWidget(self.undo, 1)
        scroll = Scroll(look)
        scroll.add(self.warning)
        scroll.add(head)
        scroll.add(self.state)
        scroll.add(self._holder)
        scroll.add(buttons)
        self._working = QWidget()
        self._split = QBoxLayout(QBoxLayout.Direction.LeftToRight, self._working)
        self._split.setContentsMargins(0, 0, 0, 0)
        self._split.setSpacing(look.px(GAP_WIDE))
        self._split.addWidget(scroll, 1)
        self.pad.setFixedWidth(look.px(_PAD_WIDTH))
        side = QVBoxLayout()
        side.addWidget(self.pad)
        side.addStretch(1)
        self._split.addLayout(side)
        self.column.addWidget(self._working, 1)
        self.column.addWidget(self.choosing, 1)
        self.column.addWidget(self.deferral)
        self._working.hide()
