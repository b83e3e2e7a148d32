"""One vehicle: its units along the driveline, its odometer, what was done, how it is driven."""

from collections.abc import Sequence
from gettext import gettext as _

from PySide6.QtWidgets import QVBoxLayout

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.stages import OPEN_STAGES
from shopdesk.services.board import WorkOrderRow
from shopdesk.services.intake import VehicleView
from shopdesk.ui.actions import Verb
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.vehicles import unit_texts, vehicle_name
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.screens.vehicle.duty import DutyPart
from shopdesk.ui.screens.vehicle.history import HistoryPart
from shopdesk.ui.screens.vehicle.keeper import KeeperPart
from shopdesk.ui.screens.vehicle.odometer import OdometerPart
from shopdesk.ui.screens.vehicle.open_work import OpenWorkPart
from shopdesk.ui.screens.vehicle.particulars import ParticularsPart
from shopdesk.ui.screens.vehicle.units import UnitsPart
from shopdesk.ui.tab_order import follow_layout
from shopdesk.ui.theme.tokens import GAP_TIGHT
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.driveline_strip import DrivelineStrip, StripUnit
from shopdesk.ui.widgets.facts import WarningLine
from shopdesk.ui.widgets.state_mark import State


class VehicleScreen(Screen):
    """The subject is a vehicle's id. The strip picks the unit that the rest of the page is about."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Vehicle"))
        self._work = work
        self._view: VehicleView | None = None
        self._chosen = ""
        self._unit_is_new = False
        self.warning = WarningLine(desk.look, _("Vehicle"))
        self.keeper_warning = WarningLine(desk.look, _("Keeper"))
        self.open_work = OpenWorkPart(desk)
        self.strip = DrivelineStrip(desk.look)
        self.units = UnitsPart(desk, work)
        self.odometer = OdometerPart(desk, work)
        self.history = HistoryPart(desk, work)
        self.particulars = ParticularsPart(desk, work)
        self.keeper = KeeperPart(desk, work)
        self.duty = DutyPart(desk, work)
        self.strip.chosen.connect(self._choose)
        self.units.kept.connect(self._unit_kept)
        self.units.toggled.connect(self._show_actions)
        self.particulars.change_keeper.clicked.connect(self.keeper.open_form)
        self.particulars.opened.connect(self._show_actions)
        self._lay_out()
        self.commands = {
            Verb.STRIP_BACK: lambda: self.strip.step(-1),
            Verb.STRIP_ON: lambda: self.strip.step(1),
            Verb.NEW: self._new_work,
        }
        self._show_actions()
        self.listen(Topic.VEHICLES, Topic.CUSTOMERS, Topic.DUE, Topic.SERVICE, Topic.SHEETS, Topic.WORK)

    def open_at(self, subject: str) -> None:
        """Show a vehicle."""
        if subject != self.subject:
            self._view = None
            self._chosen = ""
            self.units.close_forms()
        self.subject = subject
        self.refresh()

    def refresh(self) -> None:
        """Read the vehicle again; what is being typed stays."""
        if not self.subject:
            return
        vehicle_id, rooms = int(self.subject), self._work.rooms
        self.desk.background.read(
            self,
            "vehicle",
            lambda: (
                rooms.intake.vehicle(vehicle_id),
                rooms.board.work_orders(stages=OPEN_STAGES, vehicle_id=vehicle_id, most=6),
            ),
            lambda read: self._take(*read),
            self._gone,
        )

    def focus_first(self) -> None:
        """The strip is where the page begins; without a unit, adding one."""
        if self.strip.cards:
            chosen = next((card for card in self.strip.cards if card.isChecked()), self.strip.cards[0])
            chosen.setFocus()
        else:
            self.units.add.setFocus()

    def _lay_out(self) -> None:
        scroll = Scroll(self.desk.look)
        self.column.addWidget(scroll)
        warnings = QVBoxLayout()
        warnings.setSpacing(self.desk.look.px(GAP_TIGHT))
        warnings.addWidget(self.warning)
        warnings.addWidget(self.keeper_warning)
        scroll.add(warnings)
        scroll.add(self.open_work)
        scroll.add(self.strip)
        columns = Columns(self.desk.look, main=6, side=5, break_at=820)
        scroll.add(columns)
        for card in (self.units.card, self.units.adding, self.units.changing, self.history.card):
            columns.add_main(card)
        columns.add_main(self.duty.card)
        for card in (self.particulars.card, self.particulars.form_card, self.keeper.card, self.odometer.card):
            columns.add_side(card)

    def _take(self, view: VehicleView, open_work: Sequence[WorkOrderRow]) -> None:
        if str(view.id) != self.subject:
            return
        self.open_work.show_rows(open_work)
        first = self._view is None
        self._view = view
        keys = [str(unit.id) for unit in view.units]
        if self._chosen not in keys:
            self._chosen = keys[0] if keys else ""
        self.set_heading(
            vehicle_name(view.plate, view.vin), " · ".join(part for part in (view.words, view.keeper) if part)
        )
        self.warning.show_warning(view.warning)
        self.keeper_warning.show_warning(view.keeper_warning)
        self._show_strip(view, keep_focus=not first)
        self.units.show_vehicle(view, self._chosen)
        self.history.show_vehicle(view, self._chosen)
        self.particulars.show_vehicle(view)
        self.keeper.show_vehicle(view)
        self.odometer.show_vehicle(view)
        self.duty.show_vehicle(view)
        follow_layout(self)
        if first or self._unit_is_new:
            self._unit_is_new = False
            self.focus_first()

    def _show_strip(self, view: VehicleView, *, keep_focus: bool) -> None:
        had_focus = any(card.hasFocus() for card in self.strip.cards)
        self.strip.set_units(
            [
                StripUnit(
                    key=unit.key,
                    title=unit.title,
                    detail=unit.detail,
                    due=unit.due,
                    state=State(unit.mark),
                    used=unit.used,
                    branch=unit.branch,
                )
                for unit in unit_texts(view.units, self._work.figures)
            ],
            self._chosen,
        )
        self.strip.setVisible(bool(view.units))
        if keep_focus and had_focus:
            self.focus_first()

    def _gone(self, refusal: RuleBroken) -> None:
        self.desk.notices.refuse(refusal.sentence)
        self.desk.ways.go("vehicles")

    def _choose(self, key: str) -> None:
        self._chosen = key
        self.units.show_unit(key)
        self.history.show_unit(key)

    def _unit_kept(self, key: str) -> None:
        self._chosen = key
        self._unit_is_new = True
        self.refresh()

    def _show_actions(self) -> None:
        work = PageAction(words=_("New work order"), do=self._new_work, icon="plus", verb=Verb.NEW)
        if self.particulars.is_open:
            save = PageAction(words=_("Save vehicle"), do=self.particulars.save, icon="check")
            self.set_actions(save, work)
        elif (form := self.units.open_form()) is not None:
            self.set_actions(PageAction(words=form.verb, do=form.wanted.emit, icon="check"), work)
        else:
            self.set_actions(work)

    def _new_work(self) -> None:
        self.desk.ways.go("new work order", f"vehicle:{self.subject}")
