"""The forms for a new unit and for a unit that is there."""

from collections.abc import Callable, Sequence
from datetime import date
from gettext import gettext as _

from shopdesk.domain.methods import UnitKind
from shopdesk.domain.units import NumberStyle
from shopdesk.services.intake import UnitView
from shopdesk.services.sheets import SheetView
from shopdesk.services.typed import Typed
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.forms.both_versions import show_both
from shopdesk.ui.forms.form_card import FormCard
from shopdesk.ui.presenters.vehicles import exact_volume, kind_choices, sheet_choices, unit_title
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.field import Reader
from shopdesk.ui.widgets.fields import ChoiceField, DateField, NumberField, TextField, reading
from shopdesk.ui.widgets.form import Form

Today = Callable[[], date]


def _volume_reader(work: AtWork) -> Reader:
    def read(typed: str) -> str:
        measured = Typed(shop=work.figures.shop, style=NumberStyle.PERSON).volume(typed, "total")
        return reading(work.figures.volume(measured.value))

    return read


def _capacity(look: Look, work: AtWork) -> NumberField:
    help_line = _("Only where this unit's own is known to differ from its sheet")
    return NumberField(look, "total", _("Own capacity"), _volume_reader(work), help_line=help_line)


class NewUnitForm(FormCard):
    """A unit that the vehicle carries."""

    def __init__(self, look: Look, work: AtWork, today: Today) -> None:
        super().__init__(look, _("Add a unit"), _("Add unit"))
        self._sheets: Sequence[SheetView] = ()
        self.form = Form(look, columns=3, least_width=170)
        self._kind = self.form.add(ChoiceField(look, "kind", _("Kind"), kind_choices()))
        self.form.add(TextField(look, "label", _("Name"), help_line=_("Such as 6-speed automatic")))
        self._sheet = self.form.add(ChoiceField(look, "sheet", _("Unit sheet"), sheet_choices((), _FIRST)))
        self.form.add(TextField(look, "position", _("Position"), help_line=_("Only where there are two")))
        self.form.add(_capacity(look, work))
        self.installed_on = self.form.add(
            DateField(
                look, "installed_on", _("Put in on"), today, help_line=_("Empty: came with the vehicle")
            )
        )
        self._kind.edited.connect(self._offer_sheets)
        self.form.completed.connect(self.wanted)
        self.add(self.form)
        self.end()

    def open_form(self, sheets: Sequence[SheetView]) -> None:
        """Begin a new unit; ``sheets`` are those of the shop."""
        self._sheets = sheets
        self.form.fill(dict.fromkeys(self.form.texts(), "") | {"kind": _FIRST.value})
        self._offer_sheets()
        self.show()
        self.form.focus_first()

    def close_form(self) -> None:
        """Put it aside."""
        self.hide()

    def check(self) -> bool:
        """Whether everything can be read; what cannot says so."""
        self.form.clear_errors()
        return self.form.check()

    def _offer_sheets(self) -> None:
        self._sheet.set_choices(sheet_choices(self._sheets, UnitKind(self._kind.text())))
        self._sheet.set_help(_("One of your own is typed once the unit is added"))


_FIRST = UnitKind.AUTOMATIC


class ChangeUnitForm(FormCard):
    """A unit's sheet, name and capacity, or the day it was taken out."""

    def __init__(self, look: Look, work: AtWork, today: Today) -> None:
        super().__init__(look, _("Change the unit"), _("Save unit"))
        self._work = work
        self._total_ul: int | None = None
        self._total_shown = ""
        self.form = Form(look, columns=2, least_width=170)
        self.form.add(TextField(look, "label", _("Name")))
        self._sheet = self.form.add(ChoiceField(look, "sheet", _("Unit sheet")))
        self.form.add(_capacity(look, work))
        self.removed_on = self.form.add(
            DateField(
                look, "removed_on", _("Taken out on"), today, help_line=_("Empty: still in the vehicle")
            )
        )
        self.form.completed.connect(self.wanted)
        self.add(self.form)
        self.end()

    def open_form(self, unit: UnitView, sheets: Sequence[SheetView]) -> None:
        """Begin to change ``unit``."""
        self.set_title(_("Change {unit}").format(unit=unit_title(unit)))
        self._sheet.set_choices(sheet_choices(sheets, unit.kind))
        self.fill(unit)
        self.show()
        self.form.focus_first()

    def fill(self, unit: UnitView) -> None:
        """Show the unit as it is kept."""
        self._remember_total(unit)
        self.form.fill(self._texts(unit))

    def close_form(self) -> None:
        """Put it aside."""
        self.hide()

    def check(self) -> bool:
        """Whether everything can be read; what cannot says so."""
        self.form.clear_errors()
        return self.form.check()

    def total_text(self) -> str:
        """Return the capacity as typed; one that was not touched keeps its exact value."""
        typed = self.form.field("total").text()
        if self._total_ul is not None and typed == self._total_shown:
            return exact_volume(self._total_ul)
        return typed

    def meet(self, before: UnitView, now: UnitView) -> None:
        """Show beside what is typed what somebody else kept meanwhile."""
        show_both(self.form, self._texts(before), self._texts(now))

    def _remember_total(self, unit: UnitView) -> None:
        self._total_ul = unit.total_ul
        self._total_shown = self._work.figures.volume(unit.total_ul) if unit.total_ul is not None else ""

    def _texts(self, unit: UnitView) -> dict[str, str]:
        shown = self._work.figures.volume(unit.total_ul) if unit.total_ul is not None else ""
        return {"label": unit.label, "sheet": str(unit.sheet_id or ""), "total": shown, "removed_on": ""}
