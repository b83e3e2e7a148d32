"""The chosen unit: its sheet, when it is next due and why; units are added, changed and taken out here."""

from collections.abc import Callable, Sequence
from datetime import date
from gettext import gettext as _

from PySide6.QtCore import QObject, Signal

from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.methods import UnitKind
from shopdesk.services.duedates import WorkedOutDue
from shopdesk.services.intake import UnitView, VehicleView
from shopdesk.services.sheets import SheetView
from shopdesk.services.vehicles import AddUnit, EditUnit, UnitKept
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.form_card import FormCard
from shopdesk.ui.presenters.due_reason import due_rows
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.presenters.vehicles import MARK_OF_DUE, due_words, unit_detail, unit_title
from shopdesk.ui.screens.vehicle.unit_forms import ChangeUnitForm, NewUnitForm
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.tokens import TextRole
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.figure import CameFrom, Figure
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.state_mark import State


class UnitsPart(QObject):
    """``kept`` tells the unit that was added or changed, by its key; an empty key: one was taken out;
    ``toggled``: a form came into sight or left it."""

    kept = Signal(str)
    toggled = Signal()

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._view: VehicleView | None = None
        self._unit: UnitView | None = None
        self._editing: UnitView | None = None
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self._make_card()
        self.adding = NewUnitForm(desk.look, work, self._today)
        self.adding.wanted.connect(self._add)
        self.adding.put_aside.connect(self._put_aside)
        self.changing = ChangeUnitForm(desk.look, work, self._today)
        self.changing.wanted.connect(self._change)
        self.changing.put_aside.connect(self._put_aside)
        self.close_forms()

    def _make_card(self) -> None:
        look = self._desk.look
        self.card = Card(look, _("Unit"))
        self.change = Button(look, _("Change"))
        self.change.clicked.connect(self._open_change)
        self.add = Button(look, _("Add unit"), icon="plus")
        self.add.clicked.connect(self._open_add)
        self.type_sheet = Button(look, _("Type its sheet"), icon="file-text")
        self.type_sheet.clicked.connect(self._type_sheet)
        self.card.add_to_head(self.type_sheet)
        self.card.add_to_head(self.change)
        self.card.add_to_head(self.add)
        self._detail = PlainLabel("", TextRole.HELP, tone="ink2", wrap=True)
        self.due = Figure(look, _("Next due"))
        self._reason = PlainLabel("", wrap=True)
        for part in (self._detail, self.due, self._reason):
            self.card.add(part)

    def show_vehicle(self, view: VehicleView, chosen: str) -> None:
        """Show the vehicle's chosen unit, or that it has none yet."""
        self._view = view
        self.show_unit(chosen)
        self._follow_change()

    def show_unit(self, key: str) -> None:
        """Show the unit with this key."""
        units = self._view.units if self._view else ()
        self._unit = next((unit for unit in units if str(unit.id) == key), None)
        unit = self._unit
        self.change.setVisible(unit is not None)
        self.type_sheet.setVisible(unit is not None and unit.sheet_id is None)
        self.due.setVisible(unit is not None)
        self._reason.setVisible(unit is not None and bool(unit.due_reason))
        if unit is None:
            self.card.set_title(_("Units"))
            self._detail.setText(
                _("No unit yet. Add the gearbox, the transfer case and the differentials it carries.")
            )
            return
        self.card.set_title(unit_title(unit))
        self._detail.setText(unit_detail(unit, self._work.figures))
        self._reason.setText(unit.due_reason)
        self._show_due(unit, None)
        unit_id = unit.id
        self._desk.background.read(
            self, "due", lambda: self._work.rooms.due.of_unit(unit_id), lambda due: self._explain(unit, due)
        )

    def close_forms(self) -> None:
        """Put what is typed for a unit aside."""
        self._uids.forget()
        self._editing = None
        self.adding.close_form()
        self.changing.close_form()
        self.toggled.emit()

    def open_form(self) -> FormCard | None:
        """Return the form in sight, if there is one."""
        return next((card for card in (self.adding, self.changing) if not card.isHidden()), None)

    def _follow_change(self) -> None:
        """A unit about to be changed, into which nothing was typed yet, is shown as it is kept now."""
        units = self._view.units if self._view else ()
        editing = self._editing
        now = next((unit for unit in units if editing is not None and unit.id == editing.id), None)
        if now is not None and not self.changing.isHidden() and not self.changing.form.touched:
            self._editing = now
            self.changing.fill(now)

    def _put_aside(self) -> None:
        button = self.change if self.open_form() is self.changing else self.add
        self.close_forms()
        button.setFocus()

    def _explain(self, unit: UnitView, due: WorkedOutDue | None) -> None:
        if self._unit is unit:
            self._show_due(unit, due)

    def _show_due(self, unit: UnitView, due: WorkedOutDue | None) -> None:
        figures = self._work.figures
        came = CameFrom(rows=due_rows(due, figures), formula=due.due.reason) if due is not None else None
        self.due.set_value(due_words(unit, figures), came_from=came, state=State(MARK_OF_DUE[unit.due_state]))

    def _today(self) -> date:
        return self._view.today if self._view is not None else date.min

    def _open_add(self) -> None:
        self.close_forms()
        self._with_sheets(self.adding.open_form)

    def _opened(self, opens: Callable[[Sequence[SheetView]], None], sheets: Sequence[SheetView]) -> None:
        opens(sheets)
        self.toggled.emit()

    def _open_change(self) -> None:
        self.close_forms()
        unit = self._unit
        if unit is not None:
            self._editing = unit
            self._with_sheets(lambda sheets: self.changing.open_form(unit, sheets))

    def _type_sheet(self) -> None:
        """The page of the sheet comes back here once it is saved."""
        if self._unit is not None:
            self._desk.ways.go("sheet", f"unit:{self._unit.id}")

    def _with_sheets(self, then: Callable[[Sequence[SheetView]], None]) -> None:
        self._desk.background.read(
            self, "sheets", self._work.rooms.sheets.all, lambda sheets: self._opened(then, sheets)
        )

    def _add(self) -> None:
        view = self._view
        if view is None or not self.adding.check():
            return
        texts = self.adding.form.texts()
        installed = self.adding.installed_on.day()
        command = AddUnit(
            actor=self._work.actor,
            uid=self._uids.of("add", view.id, texts, installed),
            vehicle_id=view.id,
            kind=UnitKind(texts["kind"]),
            sheet_id=int(texts["sheet"]) if texts["sheet"] else None,
            position=texts["position"],
            label=texts["label"],
            total=texts["total"],
            installed_on=installed,
        )
        intake = self._work.rooms.intake
        self._sending.send(lambda: intake.add_unit(command), self._added, self.adding.form.show_refusal)

    def _added(self, kept: UnitKept) -> None:
        self.close_forms()
        self.kept.emit(str(kept.unit_id))

    def _change(self) -> None:
        unit = self._editing
        if unit is None or not self.changing.check():
            return
        texts = self.changing.form.texts()
        removed = self.changing.removed_on.day()
        command = EditUnit(
            actor=self._work.actor,
            uid=self._uids.of("change", unit.id, unit.version, texts, removed),
            unit_id=unit.id,
            version=unit.version,
            sheet_id=int(texts["sheet"]) if texts["sheet"] else None,
            label=texts["label"],
            total=self.changing.total_text(),
            removed_on=removed,
        )
        intake = self._work.rooms.intake
        self._sending.send(
            lambda: intake.edit_unit(command), lambda _kept: self._changed(unit, command), self._not_changed
        )

    def _changed(self, unit: UnitView, command: EditUnit) -> None:
        self.close_forms()
        if command.removed_on is None:
            self.kept.emit(str(unit.id))
            return
        self._desk.notices.tell(
            _("{unit} was taken out.").format(unit=unit_title(unit)),
            _("Put it back"),
            lambda: self._put_back(unit, command),
        )
        self.kept.emit("")

    def _put_back(self, unit: UnitView, command: EditUnit) -> None:
        again = EditUnit(
            actor=self._work.actor,
            uid=self._uids.of("put back", unit.id, command.version + 1),
            unit_id=unit.id,
            version=command.version + 1,
            sheet_id=command.sheet_id,
            label=command.label,
            total=command.total,
        )
        intake = self._work.rooms.intake
        self._sending.send(lambda: intake.edit_unit(again), lambda _kept: self.kept.emit(str(unit.id)))

    def _not_changed(self, refusal: RuleBroken) -> None:
        self.changing.form.show_refusal(refusal)
        if isinstance(refusal, Conflict) and self._editing is not None:
            self._desk.background.read(self, "conflict", self._reread(self._editing.id), self._meet)

    def _reread(self, unit_id: int) -> Callable[[], UnitView | None]:
        intake, vehicle_id = self._work.rooms.intake, self._view.id if self._view else 0
        return lambda: next((u for u in intake.vehicle(vehicle_id).units if u.id == unit_id), None)

    def _meet(self, now: UnitView | None) -> None:
        """Show what somebody else kept beside what was typed; saving again goes on from there."""
        if now is not None and self._editing is not None:
            self.changing.meet(self._editing, now)
            self._editing = now
