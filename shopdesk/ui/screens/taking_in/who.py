"""Who calls and which vehicle it is about: found, or typed in as new in the same place."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from gettext import gettext as _

from PySide6.QtCore import QObject, Signal

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.findable import FoundKind
from shopdesk.services.intake import CustomerView, VehicleRow, VehicleView
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.customer_form import CustomerForm
from shopdesk.ui.forms.vehicle_form import VehicleForm
from shopdesk.ui.presenters.new_text import field_for
from shopdesk.ui.presenters.vehicles import vehicle_name
from shopdesk.ui.screens.taking_in.chosen import ChosenLine
from shopdesk.ui.screens.taking_in.lookup import Lookup
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.fields import CheckField
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.table import RowTable

_CUSTOMER, _VEHICLE = "customer", "vehicle"


@dataclass(frozen=True, slots=True)
class _Both:
    customer: CustomerView | None
    vehicle: VehicleView | None


class WhoPart(QObject):
    """``edited``: something was typed or chosen; ``vehicle_changed``: another vehicle, or none yet;
    ``settled``: both are known, the keyboard may go on."""

    edited = Signal()
    vehicle_changed = Signal()
    settled = Signal()

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self.customer: CustomerView | None = None
        self.vehicle: VehicleView | None = None
        self._wants_new_vehicle = False
        self.lookup = Lookup(desk, work)
        self.lookup.found.connect(self._found)
        self.lookup.unknown.connect(self._take_as_new)
        self._make_parts()
        self._lay_out()
        self._show()

    @property
    def touched(self) -> bool:
        """Whether anything was chosen or typed."""
        return (
            self.customer is not None or self.vehicle is not None or self.types_customer or self.types_vehicle
        )

    @property
    def types_customer(self) -> bool:
        """Whether somebody is being typed in."""
        return any(self.customer_form.field(name).text().strip() for name in ("name", "phones", "emails"))

    @property
    def types_vehicle(self) -> bool:
        """Whether a vehicle is being typed in."""
        names = ("plate", "vin", "year", "make", "model")
        return any(self.vehicle_form.field(name).text().strip() for name in names)

    @property
    def dial(self) -> str:
        """The unit that the vehicle's odometer counts."""
        return self.vehicle.odometer_unit if self.vehicle else self.vehicle_form.field("odometer_unit").text()

    def clear(self) -> None:
        """Begin with nobody."""
        self.customer = self.vehicle = None
        self._wants_new_vehicle = False
        self.customer_form.fill(dict.fromkeys(self.customer_form.texts(), "") | {"kind": "person"})
        self.vehicle_form.begin()
        self.takes_over.set_text("")
        self.lookup.clear()
        self._show()
        self.vehicle_changed.emit()

    def choose_vehicle(self, vehicle_id: int, *, told: bool = True) -> None:
        """Choose a vehicle; its keeper pays unless somebody was chosen or typed in."""
        wants_keeper = self.customer is None and not self.types_customer
        intake = self._work.rooms.intake

        def read() -> _Both:
            view = intake.vehicle(vehicle_id)
            return _Both(intake.customer(view.keeper_id) if wants_keeper else None, view)

        self._read(read, told=told)

    def choose_customer(self, customer_id: int, *, told: bool = True) -> None:
        """Choose a customer; their only vehicle comes with them unless another was chosen or typed in."""
        wants_vehicle = self.vehicle is None and not self.types_vehicle
        intake = self._work.rooms.intake

        def read() -> _Both:
            view = intake.customer(customer_id)
            only = view.vehicles[0].id if wants_vehicle and len(view.vehicles) == 1 else None
            return _Both(view, intake.vehicle(only) if only is not None else None)

        self._read(read, told=told)

    def choose_both(self, customer_id: int | None, vehicle_id: int | None) -> None:
        """Choose what is kept already, as it stands now."""
        intake = self._work.rooms.intake
        self._read(
            lambda: _Both(
                intake.customer(customer_id) if customer_id else None,
                intake.vehicle(vehicle_id) if vehicle_id else None,
            ),
            told=False,
            goes_on=False,
        )

    def check(self) -> bool:
        """Whether what is typed in can be read and says enough; what does not says so."""
        if self.customer is None and not self._check_customer():
            return False
        return self.vehicle is not None or self._check_vehicle()

    def _check_customer(self) -> bool:
        form = self.customer_form
        form.clear_errors()
        if not form.field("name").text().strip():
            sentence = _("Whose vehicle is it? Find somebody above, or write a name.")
            form.show_refusal(RuleBroken(sentence, "name"))
            return False
        return form.check()

    def _check_vehicle(self) -> bool:
        form = self.vehicle_form
        form.clear_errors()
        if self.theirs.isVisible():
            self._desk.notices.refuse(_("Choose one of their vehicles, or another."))
            self.theirs.setFocus()
            return False
        if not form.field("plate").text().strip() and not form.field("vin").text().strip():
            sentence = _("Write the plate or the VIN; one of them tells vehicles apart.")
            form.show_refusal(RuleBroken(sentence, "plate"))
            return False
        return form.check()

    def texts(self) -> dict[str, str]:
        """Return everything for a draft."""
        chosen = {
            "customer id": str(self.customer.id) if self.customer else "",
            "vehicle id": str(self.vehicle.id) if self.vehicle else "",
            "takes over": self.takes_over.text(),
        }
        customer = {f"{_CUSTOMER} {name}": text for name, text in self.customer_form.texts().items()}
        vehicle = {f"{_VEHICLE} {name}": text for name, text in self.vehicle_form.texts().items()}
        return chosen | customer | vehicle

    def restore(self, texts: Mapping[str, str]) -> None:
        """Take a draft."""
        for prefix, form in ((_CUSTOMER, self.customer_form), (_VEHICLE, self.vehicle_form)):
            form.restore(
                {name: texts[f"{prefix} {name}"] for name in form.texts() if f"{prefix} {name}" in texts}
            )
        self.vehicle_form.offer_unusual()
        self.takes_over.set_text(texts.get("takes over", ""))
        ids = [texts.get("customer id", ""), texts.get("vehicle id", "")]
        customer_id, vehicle_id = (int(text) if text.isdecimal() else None for text in ids)
        if customer_id or vehicle_id:
            self.choose_both(customer_id, vehicle_id)
        self._show()

    def _read(self, read: Callable[[], _Both], *, told: bool, goes_on: bool = True) -> None:
        self._desk.background.read(
            self, "who", read, lambda both: self._take(both, told=told, goes_on=goes_on)
        )

    def _take(self, both: _Both, *, told: bool, goes_on: bool) -> None:
        if both.customer is not None:
            self.customer = both.customer
        if both.vehicle is not None:
            self.vehicle = both.vehicle
            self.vehicle_changed.emit()
        self._show()
        if told:
            self.edited.emit()
        if goes_on:
            self._go_on()

    def _go_on(self) -> None:
        if self.customer is not None and self.vehicle is not None:
            self.settled.emit()
        elif self.customer is None:
            self.customer_form.focus_first()
        elif self.theirs.isVisible():
            self.theirs.setFocus()
        else:
            self.vehicle_form.focus_first()

    def _found(self, kind: str, subject_id: int) -> None:
        if kind == FoundKind.VEHICLE:
            self.choose_vehicle(subject_id)
        else:
            self.choose_customer(subject_id)

    def _take_as_new(self, typed: str) -> None:
        """Put a text that found nothing where it belongs, and begin with the name."""
        which, name = field_for(typed)
        if which == _CUSTOMER and self.customer is None:
            self.customer_form.field(name).set_text(typed)
        elif which == _VEHICLE and self.vehicle is None:
            self.vehicle_form.field(name).set_text(typed)
        self.edited.emit()
        if self.customer is None and name == "name":
            self.customer_form.field("phones").setFocus()
        else:
            self._go_on()

    def _drop_customer(self) -> None:
        self.customer = None
        self._show()
        self.edited.emit()
        self.lookup.line.setFocus()

    def _drop_vehicle(self) -> None:
        self.vehicle = None
        self._wants_new_vehicle = False
        self._show()
        self.vehicle_changed.emit()
        self.edited.emit()
        self._go_on()

    def _new_vehicle(self) -> None:
        self._wants_new_vehicle = True
        self._show()
        self.vehicle_form.focus_first()

    def _show(self) -> None:
        customer, vehicle = self.customer, self.vehicle
        if customer is not None:
            self.chosen_customer.show_chosen(customer.name, " · ".join(customer.phones), customer.warning)
        if vehicle is not None:
            name = vehicle_name(vehicle.plate, vehicle.vin)
            detail = " · ".join(part for part in (vehicle.words, vehicle.keeper) if part)
            self.chosen_vehicle.show_chosen(name, detail, vehicle.warning)
        theirs = customer.vehicles if customer is not None and vehicle is None else ()
        offers = bool(theirs) and not self._wants_new_vehicle and not self.types_vehicle
        self.theirs.set_rows(theirs)
        self.chosen_customer.setVisible(customer is not None)
        self.customer_form.setVisible(customer is None)
        self.chosen_vehicle.setVisible(vehicle is not None)
        self.theirs.setVisible(offers)
        self.new_vehicle.setVisible(offers)
        self.vehicle_form.setVisible(vehicle is None and not offers)
        self.takes_over.setVisible(vehicle is not None and self.is_another_keeper)

    @property
    def is_another_keeper(self) -> bool:
        """Whether the one who pays is not the one who keeps the vehicle."""
        if self.vehicle is None:
            return False
        return self.customer is None or self.customer.id != self.vehicle.keeper_id

    def _make_parts(self) -> None:
        look = self._desk.look
        shop = self._work.figures.shop
        self.chosen_customer = ChosenLine(look, "users", _("Customer"), _("Another customer"))
        self.chosen_customer.dropped.connect(self._drop_customer)
        self.customer_form = CustomerForm(look, shop.locale, short=True)
        self.customer_form.edited.connect(self.edited)
        self.customer_form.completed.connect(self._go_on_from_customer)
        self.chosen_vehicle = ChosenLine(look, "car", _("Vehicle"), _("Another vehicle"))
        self.chosen_vehicle.dropped.connect(self._drop_vehicle)
        self.vehicle_form = VehicleForm(look, shop.distance_unit, short=True, columns=4, least_width=110)
        self.vehicle_form.edited.connect(self.edited)
        self.vehicle_form.field("odometer_unit").edited.connect(self.vehicle_changed)
        self.vehicle_form.completed.connect(self.settled)
        self.theirs = self._make_theirs()
        self.new_vehicle = Button(look, _("Another vehicle"), icon="plus")
        self.new_vehicle.clicked.connect(self._new_vehicle)
        self.takes_over = CheckField(look, "takes_over", _("The customer keeps this vehicle from now on"))
        self.takes_over.edited.connect(self.edited)

    def _go_on_from_customer(self) -> None:
        if self.vehicle is None:
            self.vehicle_form.focus_first()
        else:
            self.settled.emit()

    def _lay_out(self) -> None:
        look = self._desk.look
        self.card = Card(look, _("Who calls"))
        for part in (self.lookup.line, self.lookup.hits, self.chosen_customer, self.customer_form):
            self.card.add(part)
        self.vehicle_card = Card(look, _("Which vehicle"))
        self.vehicle_card.add_to_head(self.new_vehicle)
        for below in (self.chosen_vehicle, self.takes_over, self.theirs, self.vehicle_form):
            self.vehicle_card.add(below)

    def _make_theirs(self) -> RowTable[VehicleRow]:
        table: RowTable[VehicleRow] = RowTable(
            self._desk.look,
            _("Their vehicles"),
            [
                Column(
                    title=_("Plate"), text=lambda row: vehicle_name(row.plate, row.vin), chars=12, strong=True
                ),
                Column(title=_("Vehicle"), text=lambda row: row.words, chars=20, stretch=True),
            ],
            key=lambda row: row.id,
        )
        table.fit_rows(5)
        table.opened.connect(lambda row: self.choose_vehicle(row.id))
        return table
