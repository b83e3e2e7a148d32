"""A vehicle as a form."""

from gettext import gettext as _

from PySide6.QtCore import QEvent, QObject

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.presenters.vehicles import read_year, vin_reader
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.fields import CheckField, ChoiceField, NotesField, TextField
from shopdesk.ui.widgets.form import Form


class VehicleForm(Form):
    """Plate, VIN and what it is. The tick for an old or unusual VIN appears when the VIN is refused."""

    def __init__(
        self, look: Look, distance_unit: str, *, short: bool = False, columns: int = 2, least_width: int = 190
    ) -> None:
        super().__init__(look, columns=columns, least_width=least_width)
        self._distance_unit = distance_unit
        units = [("mi", _("miles")), ("km", _("kilometers"))]
        self._dial = ChoiceField(look, "odometer_unit", _("Odometer counts"), units)
        self._vin = TextField(look, "vin", _("VIN"), self._read_vin)
        self._unusual = CheckField(look, "unusual_vin", _("Old or unusual number: keep it as typed"))
        self.add(TextField(look, "plate", _("Plate")))
        if not short:
            self.add(TextField(look, "plate_place", _("Plate from"), help_line=_("State or country")))
        self.add(self._vin, 2)
        if short:
            self.add(self._dial)
        self.add(self._unusual, 0)
        self.add(TextField(look, "year", _("Model year"), self._read_year))
        self.add(TextField(look, "make", _("Make")))
        self.add(TextField(look, "model", _("Model")), 2 if short else 1)
        if not short:
            self.add(self._dial)
        if not short:
            self.add(NotesField(look, "note", _("Note"), lines=2), 0)
            help_line = _("Shown at take-in and on the job sheet, such as: drain thread repaired")
            self.add(TextField(look, "warning", _("Warning"), help_line=help_line), 0)
        self._vin.control.installEventFilter(self)
        self._unusual.edited.connect(self._vin.clear_error)
        self.begin()

    def begin(self) -> None:
        """Empty the form for a vehicle that is not here yet."""
        self.fill(dict.fromkeys(self.texts(), "") | {"odometer_unit": self._distance_unit})
        self.offer_unusual()

    def hold_dial(self) -> None:
        """Keep the odometer's unit as it is: an odometer keeps its unit."""
        self._dial.control.setEnabled(False)
        self._dial.set_help(_("An odometer keeps its unit"))

    def offer_unusual(self) -> None:
        """Show the tick where it has a use."""
        wanted = bool(self._unusual.text()) or self._is_refused()
        if self._unusual.isHidden() == wanted:
            self._unusual.setVisible(wanted)
            self.arrange()

    def check(self) -> bool:
        """Whether every field can be read; a VIN that cannot offers to be kept as typed."""
        fine = super().check()
        self.offer_unusual()
        return fine

    def show_refusal(self, refusal: RuleBroken) -> None:
        """Show a refusal; one about the VIN offers to keep it as typed."""
        super().show_refusal(refusal)
        self.offer_unusual()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Offer the tick when the VIN is left."""
        if watched is self._vin.control and event.type() is QEvent.Type.FocusOut:
            self.offer_unusual()
        return super().eventFilter(watched, event)

    def _is_refused(self) -> bool:
        typed = self._vin.text().strip()
        if not typed:
            return False
        try:
            vin_reader(lambda: False)(typed)
        except RuleBroken:
            return True
        return False

    def _read_vin(self, typed: str) -> str:
        return vin_reader(lambda: bool(self._unusual.text()))(typed)

    @staticmethod
    def _read_year(typed: str) -> str:
        read_year(typed)
        return ""
