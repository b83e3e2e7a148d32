"""One work order: warnings and facts, the driveline as unit picker, the service, the price, the papers.

The page's one main action changes with the stage, from the first line to the keys handed back.
"""

from collections.abc import Callable
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.stages import Stage
from shopdesk.services.bay import Finished, FinishWork
from shopdesk.services.board import WorkOrderView
from shopdesk.services.intake import UnitView
from shopdesk.services.work import MoveStage
from shopdesk.ui.actions import Verb
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.next_step import Deed, next_step
from shopdesk.ui.presenters.vehicles import unit_texts
from shopdesk.ui.presenters.work_orders import moves, stage_words, subtitle
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.screens.work_order.head import Head
from shopdesk.ui.screens.work_order.money import MoneyPane
from shopdesk.ui.screens.work_order.price import PricePane
from shopdesk.ui.screens.work_order.service import ServicePane
from shopdesk.ui.sending import Sending
from shopdesk.ui.tab_order import follow_layout, holds_keyboard
from shopdesk.ui.widgets.columns import Scroll
from shopdesk.ui.widgets.driveline_strip import DrivelineStrip, StripUnit
from shopdesk.ui.widgets.segments import Segments
from shopdesk.ui.widgets.state_mark import State

SERVICE, PRICE, PAPERS = "service", "price", "papers"

#: Which part of the page a stage is about.
_PANE_OF = {
    Stage.QUOTED: PRICE,
    Stage.AUTHORISED: SERVICE,
    Stage.IN_THE_BAY: SERVICE,
    Stage.FINISHED: PAPERS,
    Stage.INVOICED: PAPERS,
    Stage.COLLECTED: PAPERS,
    Stage.CANCELLED: PRICE,
}


class WorkOrderScreen(Screen):
    """The subject is the work order's id."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Work order"))
        self._work = work
        self._view: WorkOrderView | None = None
        self._fresh = True
        self._units: list[StripUnit] = []
        self._said: tuple[object, ...] = ()
        self._sending = Sending(desk, self)
        self.head = Head(desk, work)
        self.head.stage_wanted.connect(self._ask_stage)
        self.head.vehicle_wanted.connect(self._open_vehicle)
        self.head.customer_wanted.connect(self._open_customer)
        self.strip = DrivelineStrip(desk.look)
        self.strip.chosen.connect(lambda _key: self._unit_chosen())
        self.panes = Segments(
            desk.look,
            _("Part of the work order"),
            [
                (SERVICE, _("Service")),
                (PRICE, _("Price and consent")),
                (PAPERS, _("Papers and payment")),
            ],
        )
        self.panes.chosen.connect(self.show_pane)
        self.service = ServicePane(desk, work)
        self.service.record_shown.connect(lambda _record: self._set_out())
        self.service.rebuilt.connect(self._set_out)
        self.price = PricePane(desk, work)
        self.price.changed.connect(self._say_next)
        self.price.consent.estimate_wanted.connect(self._make_estimate)
        self.price.consent.paper_wanted.connect(lambda: self._paper("estimate"))
        self.money = MoneyPane(desk, work)
        scroll = Scroll(desk.look)
        self.column.addWidget(scroll)
        for part in (self.head, self.strip, self.panes, self.service, self.price, self.money):
            scroll.add(part)
        self.commands = {
            Verb.STRIP_BACK: lambda: self.strip.step(-1),
            Verb.STRIP_ON: lambda: self.strip.step(1),
            Verb.BAY: self._bay,
            Verb.PRINT: self._print,
            Verb.STICKER: lambda: self._paper("sticker"),
            Verb.SAVE: self.save,
        }
        self.show_pane(SERVICE)
        self.listen(
            Topic.WORK, Topic.SERVICE, Topic.VEHICLES, Topic.CUSTOMERS, Topic.MONEY, Topic.STOCK,
            Topic.SHEETS, Topic.DUE,
        )  # fmt: skip

    def open_at(self, subject: str) -> None:
        """Show the work order with this id; another one begins at the part its stage is about."""
        if subject != self.subject:
            self._fresh = True
            self._view = None
        super().open_at(subject)

    def refresh(self) -> None:
        """Read the work order again."""
        if not self.subject.isdecimal():
            return
        number, read = int(self.subject), self._work.rooms.board.work_order
        self.desk.background.read(self, "order", lambda: read(number), self._show, self._not_there)

    def focus_first(self) -> None:
        """Put the keyboard into the part in sight."""
        if self._view is None:
            self.panes.setFocus()
            return
        first: dict[str, Callable[[], None]] = {
            SERVICE: self.service.focus_first,
            PRICE: self.price.focus_first,
            PAPERS: self.money.focus_first,
        }
        first[self.panes.choice()]()

    def show_pane(self, key: str) -> None:
        """Show one part of the page; the keyboard never stays in a part that goes out of sight."""
        self.panes.choose(key)
        if holds_keyboard(self.service, self.price, self.money):
            self.panes.focus_choice()
        self.service.setVisible(key == SERVICE)
        self.price.setVisible(key == PRICE)
        self.money.setVisible(key == PAPERS)
        self._set_out()

    def save(self) -> None:
        """Keep what was typed in the part in sight."""
        if self.head.is_open:
            self.head.save()
        elif self.panes.choice() == SERVICE:
            self.service.keep()
        elif self.panes.choice() == PRICE and self.price.consent.is_open:
            self.price.consent.save()
        elif self.panes.choice() == PRICE:
            self.price.save()
        else:
            self.money.take_payment()

    def _show(self, view: WorkOrderView) -> None:
        first, self._fresh = self._fresh, False
        self._view = view
        self.set_heading(
            _("Work order {number}  ·  {plate}").format(number=view.number, plate=view.plate), subtitle(view)
        )
        self.head.show_order(view)
        self._show_strip(view, first=first)
        self.price.show_order(view)
        self.money.show_order(view)
        self.service.show_unit(view, self._unit())
        if first:
            self.show_pane(_PANE_OF[view.stage])
            self.focus_first()
        self._say_next()
        self._set_out()

    def _not_there(self, refusal: RuleBroken) -> None:
        self.desk.notices.refuse(refusal.sentence)
        self._said = ()
        self.set_actions(None)

    def _show_strip(self, view: WorkOrderView, *, first: bool) -> None:
        self.strip.setVisible(bool(view.units))
        recorded = {record.unit_id for record in view.records}
        units = [
            StripUnit(
                key=text.key,
                title=text.title,
                detail=text.detail,
                due=_("On this work order") if int(text.key) in recorded else text.due,
                state=State.PLAIN if int(text.key) in recorded else State(text.mark),
                used=None if int(text.key) in recorded else text.used,
                branch=text.branch,
            )
            for text in unit_texts(view.units, self._work.figures)
        ]
        if first or units != self._units:
            wanted = str(view.records[0].unit_id) if first and view.records else self.strip.choice()
            had = holds_keyboard(self.strip)
            self._units = units
            self.strip.set_units(units, wanted)
            if had:
                self._focus_unit()

    def _unit(self) -> UnitView | None:
        key = self.strip.choice()
        units = self._view.units if self._view is not None else ()
        return next((unit for unit in units if str(unit.id) == key), None)

    def _unit_chosen(self) -> None:
        if self._view is not None:
            self._focus_unit()
            self.show_pane(SERVICE)
            self.service.show_unit(self._view, self._unit())

    def _focus_unit(self) -> None:
        card = next((card for card in self.strip.cards if card.isChecked()), None)
        if card is not None:
            card.setFocus()

    def _set_out(self) -> None:
        follow_layout(self)
        self._say_next()

    def _say_next(self) -> None:
        view = self._view
        if view is None:
            return
        following = next_step(view, lines_unkept=self.price.has_unkept)
        main = (
            PageAction(words=following.words, icon=following.icon, do=self._deeds()[following.deed])
            if following
            else None
        )
        others = [PageAction(words=_("Bay view"), icon="wrench", do=self._bay, verb=Verb.BAY)]
        if following is not None and following.deed is Deed.RECORD:
            others.append(PageAction(words=_("Finish without a record"), do=self._finish))
        if self._finished_record(view):
            sticker = PageAction(
                words=_("Sticker"), icon="printer", do=lambda: self._paper("sticker"), verb=Verb.STICKER
            )
            ended = view.stage in (Stage.FINISHED, Stage.INVOICED, Stage.COLLECTED)
            second = PageAction(words=_("Second opinion"), icon="check", do=self._second_opinion)
            others = [second, sticker] if ended else [*others, sticker]
        said = (main and main.words, *(other.words for other in others))
        if said != self._said:  # the buttons are made anew, so only when there are others
            self._said = said
            self.set_actions(main, *others)

    def _deeds(self) -> dict[Deed, Callable[[], None]]:
        return {
            Deed.ADD_LINE: self._keep_lines,
            Deed.KEEP_LINES: self._keep_lines,
            Deed.ESTIMATE: self._make_estimate,
            Deed.CONSENT: self._record_consent,
            Deed.START: lambda: self._move(Stage.IN_THE_BAY),
            Deed.RECORD: self._begin_record,
            Deed.FINISH: self._finish,
            Deed.INVOICE: self._issue,
            Deed.PAYMENT: self._take_payment,
            Deed.PICKED_UP: lambda: self._move(Stage.COLLECTED),
            Deed.OPEN_AGAIN: lambda: self._move(Stage.QUOTED),
        }

    def _keep_lines(self) -> None:
        self.show_pane(PRICE)
        if self.price.editor.lines():
            self.price.save()
        else:
            self.price.editor.add_line()
            self._set_out()

    def _make_estimate(self) -> None:
        self.show_pane(PRICE)
        if self.price.has_unkept:
            self.desk.notices.refuse(_("Keep the lines first, so that the estimate is made of them."))
            return
        self.price.make_estimate()

    def _record_consent(self) -> None:
        self.show_pane(PRICE)
        if self.price.consent.is_open:
            self.price.consent.save()
        else:
            self.price.consent.begin()
            self._set_out()

    def _begin_record(self) -> None:
        """Begin it for the unit in sight; a unit without a sheet gets that first."""
        shown = self.panes.choice() == SERVICE and not self.service.record_wanted.isHidden()
        self.show_pane(SERVICE)
        if shown:
            self.service.record_wanted.begin()
        else:
            self.service.focus_first()

    def _finish(self) -> None:
        """What was measured is kept first; then the work is finished."""
        if self.service.has_unkept:
            self.show_pane(SERVICE)
            self.service.keep(self._finish_kept)
        else:
            self._finish_kept()

    def _finish_kept(self) -> None:
        if self._view is None:
            return
        command = FinishWork(actor=self._work.actor, work_order_id=self._view.id)
        self._sending.send(lambda: self._work.rooms.bay.finish(command), self._finished, self._not_finished)

    def _finished(self, done: Finished) -> None:
        self.show_pane(PAPERS)
        short = any(drawn.short for drawn in done.drawn)
        sentence = _("The work is finished.")
        if short:
            sentence = _("The work is finished. The shelf held less than was used: count it.")
        self.desk.notices.tell(sentence, _("Undo"), lambda: self._move(Stage.IN_THE_BAY))

    def _not_finished(self, refusal: RuleBroken) -> None:
        if refusal.field == "wheel_torque":
            self.head.begin()
            self.head.form.show_refusal(refusal)
            return
        self.desk.notices.refuse(refusal.sentence)

    def _issue(self) -> None:
        self.show_pane(PAPERS)
        self.money.issue()

    def _take_payment(self) -> None:
        if self.panes.choice() == PAPERS:
            self.money.take_payment()
        else:
            self.show_pane(PAPERS)
            self.money.focus_first()

    def _ask_stage(self) -> None:
        if self._view is None:
            return
        offered = moves(self._view.stage)
        if not offered:
            return
        question = _("Work order {number} is {stage}. Move it to:").format(
            number=self._view.number, stage=_(self._view.stage.value)
        )
        self.desk.ask.choose(question, offered, lambda key: self._move(Stage(key)))

    def _move(self, stage: Stage) -> None:
        view = self._view
        if view is None:
            return
        command = MoveStage(actor=self._work.actor, work_order_id=view.id, stage=stage)
        before = view.stage
        self._sending.send(
            lambda: self._work.rooms.work.move(command), lambda _kept: self._moved(before, stage)
        )

    def _moved(self, before: Stage, stage: Stage) -> None:
        self.show_pane(_PANE_OF[stage])
        sentence = _("Moved to: {stage}.").format(stage=stage_words(stage))
        back = (before.value, stage_words(before)) in moves(stage)
        if back:
            self.desk.notices.tell(sentence, _("Undo"), lambda: self._move(before))
        else:
            self.desk.notices.tell(sentence)

    def _finished_record(self, view: WorkOrderView) -> int:
        """Give the finished record of the chosen unit, or the first one there is; 0 when none."""
        finished = {record.unit_id: record.record_id for record in view.records if record.finished}
        unit = self._unit()
        if unit is not None and unit.id in finished:
            return finished[unit.id]
        return next(iter(finished.values()), 0)

    def _second_opinion(self) -> None:
        if self._view is not None:
            self.desk.ways.go("verify", str(self._finished_record(self._view)))

    def _paper(self, kind: str) -> None:
        view = self._view
        if view is None:
            return
        number = view.id if kind == "estimate" else self._finished_record(view)
        if number:
            self.desk.ways.go("paper", f"{kind}:{number}")
        else:
            self.desk.notices.refuse(_("There is a sticker once the work is finished."))

    def _print(self) -> None:
        """Print what the stage is about: the invoice, the job sheet of the unit, or the estimate."""
        view = self._view
        if view is None:
            return
        if view.invoice is not None:
            self.desk.ways.go("paper", f"invoice:{view.invoice.id}")
        elif self.service.record_id:
            self.desk.ways.go("paper", f"job sheet:{self.service.record_id}")
        elif view.estimates:
            self.desk.ways.go("paper", f"estimate:{view.id}")
        else:
            self.desk.notices.refuse(_("No paper can be made yet."))

    def _open_vehicle(self) -> None:
        if self._view is not None:
            self.desk.ways.go("vehicle", str(self._view.vehicle_id))

    def _open_customer(self) -> None:
        if self._view is not None:
            self.desk.ways.go("customer", str(self._view.customer_id))

    def _bay(self) -> None:
        if self._view is not None:
            unit = self._unit()
            self.desk.ways.go("bay", f"{self._view.id}:{unit.id}" if unit else str(self._view.id))
