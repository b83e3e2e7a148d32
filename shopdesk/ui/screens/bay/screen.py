"""The bay's side of a work order: the order of work, one step at a time, for gloves and poor light."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from gettext import gettext as _

from PySide6.QtWidgets import QLineEdit, QWidget

from shopdesk.domain.cautions import deferral
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.order import Step
from shopdesk.domain.stages import Stage
from shopdesk.domain.stop_rule import Stop, StopState
from shopdesk.services.acting import Actor
from shopdesk.services.bay import EntryTyped, FinishWork, RecordKept, RecordView
from shopdesk.services.board import WorkOrderRow
from shopdesk.services.instruments import InstrumentKind
from shopdesk.ui.actions import Verb
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.bay_plan import CLOSE, RESULT, ROUND, STOP, WARM, BayStep, More, bay_steps
from shopdesk.ui.presenters.bay_read import BayRead, hand_over_choices, people_words, read_bay
from shopdesk.ui.presenters.bay_steps import (
    done_entries,
    done_words,
    first_open,
    is_done,
    progress_words,
    undo_entries,
    units_of,
)
from shopdesk.ui.presenters.bay_why import note_of
from shopdesk.ui.presenters.record_shape import Slot
from shopdesk.ui.presenters.record_slots import (
    Change,
    Kept,
    field_of_refusal,
    kept_slots,
    texts_of,
)
from shopdesk.ui.presenters.verdict import stop
from shopdesk.ui.presenters.work_orders import is_measurable
from shopdesk.ui.screen import Screen
from shopdesk.ui.screens.bay.choosing import BayChoosing
from shopdesk.ui.screens.bay.filling import Filling
from shopdesk.ui.screens.bay.keeping import AtStep, Keeping
from shopdesk.ui.screens.bay.pages import Pages
from shopdesk.ui.screens.bay.step_page import StepPage
from shopdesk.ui.screens.bay.unkept import Unkept
from shopdesk.ui.screens.bay.wheel import WheelPage
from shopdesk.ui.screens.bay.working import Working
from shopdesk.ui.sending import Sending
from shopdesk.ui.tab_order import follow_layout
from shopdesk.ui.theme.tokens import TextRole
from shopdesk.ui.widgets.plain_label import PlainLabel


class BayScreen(Screen):
    """The subject is "ORDER", "ORDER:UNIT", or nothing: then a vehicle in the bays is chosen first.

    ``clock`` tells the time; tests hand in their own.
    """

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Bay"))
        self._work = work
        self._read: BayRead | None = None
        self._kept: dict[str, Kept] = {}
        self._steps: tuple[BayStep, ...] = ()
        self._place = -1
        self._more = More()
        self._goes_on_from = ""
        self._page: QWidget | None = None
        self._unkept = Unkept(desk, self)
        self._sending = Sending(desk, self)
        self.working = Working(desk.look)
        self._pages = Pages(desk, work, self.working.pad, lambda: self.clock(), self)
        self._filling = Filling(work, self._pages, self._unkept)
        self._unkept.restored.connect(self._filling.fill)
        self._keeping = Keeping(desk, work, self.working.why, self)
        self.choosing = BayChoosing(desk)
        self.deferral = PlainLabel(deferral(), TextRole.HELP, tone="ink2", wrap=True)
        self._name_parts()
        self._connect()
        self.column.addWidget(self.working, 1)
        self.column.addWidget(self.choosing, 1)
        self.column.addWidget(self.deferral)
        self.commands = {
            Verb.MAIN: self.mark_done,
            Verb.STRIP_BACK: lambda: self.step(-1),
            Verb.STRIP_ON: lambda: self.step(1),
        }
        self.listen(Topic.WORK, Topic.SERVICE, Topic.VEHICLES, Topic.SHEETS)

    def clock(self) -> datetime:
        """Give the present instant."""
        return datetime.now(UTC)

    def open_at(self, subject: str) -> None:
        """Show the record of a work order's unit, or what there is to choose from."""
        if subject != self.subject:
            self._read, self._place, self._more = None, -1, More()
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
        self.desk.background.read(
            self, "record", lambda: read_bay(rooms, number, wanted), self._show, self._not_there
        )

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
        self._filling.take_texts()
        place = min(max(self._place + by, 0), len(self._steps) - 1)
        if self._steps and place != self._place:
            self._go_to(place)

    def mark_done(self) -> None:
        """Keep what was typed on this step and that it was done now."""
        step, page = self._step(), self._page
        if step is None or self._view() is None or self.working.why.isVisible():
            return
        if step.part == RESULT:
            self._finish()
        elif isinstance(page, WheelPage):
            page.save(self._keep_step)
        elif isinstance(page, StepPage) and page.panel is not None and page.panel.typed_waits():
            page.panel.add_typed()
        elif not isinstance(page, StepPage) or page.check():
            self._keep_step()

    def take_back(self) -> None:
        """Say that this step is not done after all; what was measured stays."""
        step = self._step()
        known = is_done(step, self._kept) if step is not None else None
        if step is None or step.step is None or known is None:
            return
        slot = Slot("step", 1, step.step.value)
        known = self._kept[slot.name]
        entry = EntryTyped(field="step", value="", corrects_id=known.entry_id)
        self._send(
            (Change(slot=slot, entry=entry),), lambda: self.desk.notices.tell(_("Not done after all."))
        )

    def repeat(self) -> None:
        """Open the level plug once more, or drain and fill once more; what was measured before stays."""
        step = self._step()
        if step is None:
            return
        if step.part == CLOSE:
            self._more = replace(self._more, openings=step.opening + 1)
            wanted = f"{WARM} {step.opening + 1}"
        else:
            rounds = [each for each in self._steps if each.part == ROUND]
            self._more = replace(self._more, fillings=len(rounds) + 2)
            wanted = ROUND
        self._filling.take_texts()
        self._make_steps()
        places = [at for at, each in enumerate(self._steps) if wanted in (each.key, each.part)]
        self._go_to(max(places, default=self._place))

    def hand_over(self) -> None:
        """Let another technician go on here; both names stay in the record."""
        read = self._read
        if read is None or read.view is None:
            return
        choices = hand_over_choices(read, self._work.actor.person_id)
        if not choices:
            self.desk.notices.refuse(_("There is nobody else yet; people are added in set-up."))
            return
        self.desk.ask.choose(_("Who goes on here?"), choices, lambda key: self._handed_over(int(key)))

    def _handed_over(self, person_id: int) -> None:
        read, view = self._read, self._view()
        if read is None or view is None:
            return
        names = {person.id: person.name for person in read.people}
        before = names.get(self._work.actor.person_id, "")
        self._work.actor = Actor(person_id=person_id, station_id=self._work.actor.station_id)
        words = _("Handed over: {before} to {after}.").format(before=before, after=names[person_id])
        entry = note_of(view, words)
        self._send(
            (Change(slot=Slot("note", entry.round), entry=entry),), lambda: self.desk.notices.tell(words)
        )

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

    def _show(self, read: BayRead) -> None:
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
        self._show_record(read, read.view, first=first)

    def _show_record(self, read: BayRead, view: RecordView, *, first: bool) -> None:
        heading = f"{read.order.plate}  ·  {view.unit_label}"
        self.set_heading(heading, _("Work order {n}").format(n=read.order.number))
        self._show_working(True)
        self.working.people.setText(people_words(read, self._work.actor.person_id))
        self._kept = kept_slots(view, self._work.figures)
        self._filling.know(read, self._kept)
        before = self._steps
        self._make_steps()
        if first:
            self._unkept.begin(view.record_id)
        if first or self._place < 0:
            self._goes_on_from = ""
            self._go_to(first_open(self._steps, self._kept))
        elif self._goes_on_from:
            self._go_on()
        elif before != self._steps:
            self._go_to(self._same_place(before), focus=False)
        else:
            self._filling.fill()
            self._say_state()

    def _go_on(self) -> None:
        """Go to the step after the one that was just kept; another may stand there now."""
        key, self._goes_on_from = self._goes_on_from, ""
        keys = [step.key for step in self._steps]
        place = keys.index(key) if key in keys else self._place
        self._go_to(min(place + 1, len(keys) - 1))

    def _same_place(self, before: tuple[BayStep, ...]) -> int:
        """Where the step in sight stands among the steps as they are now."""
        key = before[self._place].key if self._place < len(before) else ""
        keys = [step.key for step in self._steps]
        return keys.index(key) if key in keys else min(self._place, len(keys) - 1)

    def _make_steps(self) -> None:
        read = self._read
        if read is not None and read.view is not None:
            self._steps = bay_steps(read.view, wheel_off=read.order.wheel_off, more=self._more)

    def _go_to(self, place: int, *, focus: bool = True) -> None:
        read = self._read
        if read is None:
            return
        self._place = place
        step = self._steps[place]
        self.working.why.put_aside()
        self._page = self._pages.make(step, read, self._filling.reader_of)
        if isinstance(self._page, StepPage):
            self._page.edited.connect(self._filling.edited)
            self._page.aimed.connect(self._aim)
            self._page.completed.connect(self.mark_done)
        self._filling.page = self._page
        panel = self._page.panel if isinstance(self._page, StepPage) else None
        self.working.show_page(self._page, panel.top if panel is not None else None)
        self.title_line.setText(step.title)
        self.progress.setText(progress_words(place, len(self._steps)))
        self._filling.fill()
        self._say_state()
        follow_layout(self)
        if focus:
            self.focus_first()

    def _say_state(self) -> None:
        step, read = self._step(), self._read
        if step is None or read is None or read.view is None:
            return
        known = is_done(step, self._kept)
        figures = self._work.figures
        self.state.setText(done_words(known, figures) if known is not None else "")
        self.state.setVisible(known is not None)
        stopped = self._stop()
        self.working.stopped.show_warning(
            stopped.sentence if stopped.holds and step.part not in (STOP, RESULT) else ""
        )
        open_stage = is_measurable(read.order.stage)
        self.undo.setVisible(known is not None and step.step is not None and open_stage)
        self.done.set_text(self._done_words(step, known))
        self.done.setVisible(open_stage)
        self.working.hand_over.setVisible(open_stage)
        self._say_repeat(step, read.view, on=open_stage)
        types = isinstance(self._page, WheelPage) or (
            isinstance(self._page, StepPage) and self._page.has_lines
        )
        self.pad.setVisible(types and open_stage)
        self.before.setEnabled(self._place > 0)
        self.after.setEnabled(self._place + 1 < len(self._steps))

    def _done_words(self, step: BayStep, known: Kept | None) -> str:
        if step.part == RESULT:
            return _("Finish the work")
        if step.part == WARM:
            return _("Go on to the plug")
        return _("Keep") if known is not None else _("Done")

    def _say_repeat(self, step: BayStep, view: RecordView, *, on: bool) -> None:
        closes = step.part == CLOSE and is_done(step, self._kept) is not None
        fills = step.part == ROUND or step.step is Step.FILLED
        last = not any(s.part == step.part and s.opening > step.opening for s in self._steps)
        again = (
            fills and len(self._rounds_after(step)) == 0 and view.service_method == "repeated drain and fill"
        )
        self.working.repeat.set_text(_("Open once more") if closes else _("Drain and fill once more"))
        self.working.repeat.setVisible(on and ((closes and last) or again))

    def _rounds_after(self, step: BayStep) -> list[BayStep]:
        return [each for each in self._steps[self._steps.index(step) + 1 :] if each.part == ROUND]

    def _keep_step(self) -> None:
        step, view = self._step(), self._view()
        if step is None or view is None:
            return
        self._filling.take_texts()
        page = self._page
        texts = {**texts_of(step.slots, self._kept), **self._unkept.texts()}
        if isinstance(page, StepPage):
            texts |= page.texts()
        sent = done_entries(step, texts, self._kept, self._tools(), self.clock())
        if not sent:
            self.step(1)
            return
        self._keeping.keep(
            sent,
            AtStep(
                step=step, view=view, kept=self._kept, stop=self._stop(),
                then=self._step_kept, refused=self._refused,
            ),
        )  # fmt: skip

    def _send(self, sent: tuple[Change, ...], then: Callable[[], None]) -> None:
        step, view = self._step(), self._view()
        if step is None or view is None:
            return
        at = AtStep(
            step=step, view=view, kept=self._kept, stop=self._stop(),
            then=lambda _sent, _kept: then(), refused=self._refused,
        )  # fmt: skip
        self._keeping.send(sent, at)

    def _step_kept(self, sent: tuple[Change, ...], kept: RecordKept) -> None:
        self._unkept.settle({change.slot.name for change in sent})
        step = self._step()
        undone = undo_entries(sent, kept.entry_ids)
        key = step.key if step is not None else ""
        self.desk.notices.tell(
            _("Done: {step}.").format(step=step.title if step is not None else ""),
            _("Undo"),
            lambda: self._undo(undone, key),
        )
        self._goes_on_from = key
        self.refresh()

    def _undo(self, undone: tuple[Change, ...], key: str) -> None:
        def back() -> None:
            places = [at for at, step in enumerate(self._steps) if step.key == key]
            if places:
                self._go_to(places[0])

        self._send(undone, back)

    def _refused(self, refusal: RuleBroken, sent: tuple[Change, ...]) -> None:
        name = field_of_refusal(refusal.field, sent)
        page = self._page
        if not (isinstance(page, StepPage) and page.refuse(name, refusal.sentence)):
            self.desk.notices.refuse(refusal.sentence)

    def _finish(self) -> None:
        if self._read is None:
            return
        stopped = self._stop()
        if stopped.state is StopState.STOPPED:
            self.desk.notices.refuse(stopped.sentence)
            self._go_to(next(at for at, step in enumerate(self._steps) if step.part == STOP))
            return
        order = self._read.order.id
        command = FinishWork(actor=self._work.actor, work_order_id=order)

        def finished(_done: object) -> None:
            self.desk.notices.tell(_("The work is finished."))
            self.desk.ways.go("work order", str(order))

        self._sending.send(lambda: self._work.rooms.bay.finish(command), finished)

    def _step(self) -> BayStep | None:
        return self._steps[self._place] if 0 <= self._place < len(self._steps) else None

    def _view(self) -> RecordView | None:
        return self._read.view if self._read is not None else None

    def _stop(self) -> Stop:
        view = self._view()
        return Stop(state=StopState.CLEAR) if view is None else stop(view)

    def _tools(self) -> dict[InstrumentKind, int | None]:
        return self._pages.tools.now(self._read.tools if self._read is not None else (), self._kept)

    def _aim(self, line: QLineEdit, slot: Slot) -> None:
        self.pad.aim_at(line, units_of(slot, self._work.figures))

    def _pad_next(self) -> None:
        if isinstance(self._page, StepPage):
            self._page.go_on()
        else:
            self.mark_done()

    def _show_working(self, on: bool) -> None:
        self.working.setVisible(on)
        self.choosing.setVisible(not on)

    def _why_opened(self) -> None:
        self.working.ask_why(True)
        follow_layout(self)

    def _why_closed(self) -> None:
        self.working.ask_why(False)
        self._say_state()
        follow_layout(self)
        self.focus_first()

    def _name_parts(self) -> None:
        """The parts of the page that are asked for by name."""
        parts = self.working
        self.warning, self.progress, self.title_line = parts.warning, parts.progress, parts.title_line
        self.state, self.before, self.after = parts.state, parts.before, parts.after
        self.done, self.undo, self.pad = parts.done, parts.undo, parts.pad

    def _connect(self) -> None:
        parts = self.working
        self.choosing.order_chosen.connect(lambda order: self.desk.ways.go("bay", str(order)))
        self.choosing.unit_chosen.connect(self._unit_chosen)
        self.before.clicked.connect(lambda: self.step(-1))
        self.after.clicked.connect(lambda: self.step(1))
        self.done.clicked.connect(self.mark_done)
        self.undo.clicked.connect(self.take_back)
        parts.repeat.clicked.connect(self.repeat)
        parts.hand_over.clicked.connect(self.hand_over)
        parts.why.opened.connect(self._why_opened)
        parts.why.closed.connect(self._why_closed)
        self.pad.next.connect(self._pad_next)
        self._pages.ticked.connect(self._filling.propose)
        self._pages.rebuilt.connect(lambda: follow_layout(self))
        self._pages.pictured.connect(self._filling.propose)
