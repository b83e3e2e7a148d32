"""Before there is a record: the vehicle gets a unit, the unit its sheet, then its record is begun."""

from collections.abc import Sequence
from gettext import gettext as _

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.methods import ServiceMethod
from shopdesk.services.bay import OpenRecord
from shopdesk.services.intake import UnitView
from shopdesk.services.items import ItemKind, ItemView
from shopdesk.services.sheets import SheetView
from shopdesk.services.vehicles import EditUnit
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.exact import exact_volume
from shopdesk.ui.presenters.record_words import best_fluid, fluid_choices, method_choices, sheet_line
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.fields import ChoiceField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel


class UnitWanted(Card):
    """A vehicle without a unit: its page is where units are added."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk.look, _("No unit yet"))
        self._desk = desk
        self._vehicle_id = 0
        words = _("Work is done on gearboxes, transfer cases and differentials. Add those it carries.")
        self.add(PlainLabel(words, tone="ink2", wrap=True))
        self.add_button = Button(desk.look, _("Add a unit"), icon="plus")
        self.add_button.clicked.connect(self._go)
        row = QHBoxLayout()
        row.addWidget(self.add_button)
        row.addStretch(1)
        self.add(row)

    def show_vehicle(self, vehicle_id: int) -> None:
        """Lead to this vehicle."""
        self._vehicle_id = vehicle_id

    def _go(self) -> None:
        self._desk.ways.go("vehicle", str(self._vehicle_id))


class SheetWanted(Card):
    """A unit without a sheet: choose one of the shop's, or go and type one."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk.look, _("No unit sheet yet"))
        self._desk = desk
        self._work = work
        self._unit: UnitView | None = None
        self._sending = Sending(desk, self)
        self._words = PlainLabel("", tone="ink2", wrap=True)
        self.add(self._words)
        self.form = Form(desk.look, columns=1)
        self._sheet = self.form.add(ChoiceField(desk.look, "sheet", _("Unit sheet")))
        self.form.completed.connect(self.use)
        self.add(self.form)
        self.use_button = Button(desk.look, _("Use this sheet"), icon="check")
        self.use_button.clicked.connect(self.use)
        self.type_button = Button(desk.look, _("Type a unit sheet"), icon="plus")
        self.type_button.clicked.connect(self._type)
        row = QHBoxLayout()
        row.setSpacing(desk.look.px(GAP))
        row.addWidget(self.use_button)
        row.addWidget(self.type_button)
        row.addStretch(1)
        self.add(row)

    def show_unit(self, unit: UnitView) -> None:
        """Offer the sheets of the unit's kind."""
        self._unit = unit
        sentence = _("A service record is held to a unit sheet: fluid, level, torques, interval, source.")
        self._words.setText(sentence)
        self._desk.background.read(self, "sheets", self._work.rooms.sheets.all, self._offer)

    def focus_first(self) -> None:
        """The sheets to choose from; where there is none, the way to type one."""
        if self.form.isHidden():
            self.type_button.setFocus()
        else:
            self.form.focus_first()

    def use(self) -> None:
        """Give the unit the chosen sheet."""
        self.form.clear_errors()
        unit, chosen = self._unit, self._sheet.text()
        if unit is None or not chosen:
            self.form.set_error("sheet", _("Choose a sheet, or type one."))
            return
        command = EditUnit(
            actor=self._work.actor,
            unit_id=unit.id,
            version=unit.version,
            sheet_id=int(chosen),
            label=unit.label,
            total=exact_volume(unit.total_ul, self._work.figures.shop),
        )
        self._sending.send(
            lambda: self._work.rooms.intake.edit_unit(command), lambda _kept: None, self.form.show_refusal
        )

    def _type(self) -> None:
        if self._unit is not None:
            self._desk.ways.go("sheet", f"unit:{self._unit.id}")

    def _offer(self, sheets: Sequence[SheetView]) -> None:
        unit = self._unit
        fitting = [sheet for sheet in sheets if unit is not None and sheet.kind is unit.kind]
        choices = [(str(s.sheet_id), f"{s.designation}  ({s.specification})") for s in fitting]
        self._sheet.set_choices(choices)
        self.form.setVisible(bool(choices))
        self.use_button.setVisible(bool(choices))


class RecordWanted(Card):
    """A unit with a sheet and no record on this work order: how, with what, and begin."""

    begun = Signal(int)

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk.look, _("No service record yet"))
        self._desk = desk
        self._work = work
        self._order = 0
        self._unit: UnitView | None = None
        self._sheet: SheetView | None = None
        self._sending = Sending(desk, self)
        self._words = PlainLabel("", tone="ink2", wrap=True)
        self.add(self._words)
        self.form = Form(desk.look, columns=2, least_width=220)
        self._method = self.form.add(
            ChoiceField(desk.look, "service_method", _("What is done"), method_choices())
        )
        self._method.set_text(ServiceMethod.SINGLE.value)
        self._fluid = self.form.add(ChoiceField(desk.look, "item_id", _("Fluid")))
        self._why = self.form.add(why_field(desk.look), 0)
        self._why.hide()
        self._fluid.edited.connect(self._fluid_changed)
        self.form.completed.connect(self.begin)
        self.add(self.form)
        self.start = Button(desk.look, _("Start the service record"), icon="wrench")
        self.start.clicked.connect(self.begin)
        row = QHBoxLayout()
        row.addWidget(self.start)
        row.addStretch(1)
        self.add(row)

    def show_unit(self, work_order_id: int, unit: UnitView, *, allowed: bool) -> None:
        """Offer the fluids, those that suit the unit's sheet first."""
        other = self._unit is None or (self._order, self._unit.id) != (work_order_id, unit.id)
        self._order, self._unit = work_order_id, unit
        self.form.setVisible(allowed)
        self.start.setVisible(allowed)
        if not allowed:
            self._words.setText(_("This unit was not serviced on this work order."))
        elif unit.sheet_id is not None:
            sheet_id, rooms = unit.sheet_id, self._work.rooms
            self._desk.background.read(
                self,
                "fluids",
                lambda: (rooms.sheets.sheet(sheet_id), rooms.items.all()),
                lambda found: self._offer(*found, choose=other),
            )

    def begin(self) -> None:
        """Begin the record."""
        self.form.clear_errors()
        unit = self._unit
        if unit is None:
            return
        fluid = self._fluid.text()
        command = OpenRecord(
            actor=self._work.actor,
            work_order_id=self._order,
            unit_id=unit.id,
            service_method=ServiceMethod(self._method.text()),
            item_id=int(fluid) if fluid else None,
            match_reason=self._why.text(),
        )
        self._sending.send(
            lambda: self._work.rooms.bay.open(command),
            lambda kept: self.begun.emit(kept.record_id),
            self._refused,
        )

    def _refused(self, refusal: RuleBroken) -> None:
        if refusal.field == "match_reason":
            self._why.show()
            self.form.arrange()
        self.form.show_refusal(refusal)

    def _fluid_changed(self) -> None:
        """Another fluid may need no reason."""
        self._why.set_text("")
        self._why.hide()
        self.form.arrange()

    def _offer(self, sheet: SheetView, goods: Sequence[ItemView], *, choose: bool) -> None:
        self._sheet = sheet
        fluids = [item for item in goods if item.kind is ItemKind.FLUID]
        self._fluid.set_choices(fluid_choices(fluids, sheet.specification))
        if choose:
            self._fluid.set_text(best_fluid(fluids, sheet.specification))
        self._words.setText(sheet_line(sheet, self._work.figures))


def why_field(look: Look) -> TextField:
    """Give the field for why a fluid is put in that does not suit by claim and rule."""
    return TextField(look, "match_reason", _("Why this fluid all the same"))
