"""Taking vehicles in: what they are, which units they carry, who keeps them."""

from dataclasses import dataclass
from datetime import date
from gettext import gettext as _

from sqlalchemy import select, update

from shopdesk.domain import text
from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.intervals import DUTY_QUESTIONS
from shopdesk.domain.methods import UnitKind
from shopdesk.domain.sheet import POWER_ORDER
from shopdesk.domain.vin import read_vin
from shopdesk.persistence.tables.units import unit
from shopdesk.persistence.tables.vehicles import duty_answer, ownership, vehicle
from shopdesk.services import finding
from shopdesk.services.acting import AnyRow, Command, Reading, Writing


@dataclass(frozen=True, kw_only=True, slots=True)
class VehicleTyped(Command):
    """A vehicle as typed. ``unusual_vin`` accepts an old or odd number as it stands."""

    plate: str = ""
    plate_place: str = ""
    vin: str = ""
    unusual_vin: bool = False
    make: str = ""
    model: str = ""
    year: int | None = None
    odometer_unit: str = ""
    warning: str = ""
    note: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class AddVehicle(VehicleTyped):
    """A vehicle that was not here before, and who keeps it."""

    customer_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class EditVehicle(VehicleTyped):
    """New particulars of a vehicle that was read at ``version``."""

    vehicle_id: int
    version: int


@dataclass(frozen=True, kw_only=True, slots=True)
class ChangeKeeper(Command):
    """The vehicle changed hands; its technical history stays with it."""

    vehicle_id: int
    customer_id: int
    on: date


@dataclass(frozen=True, kw_only=True, slots=True)
class VehicleKept:
    """Which vehicle, and what is worth saying about what was typed."""

    vehicle_id: int
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class AddUnit(Command):
    """One fluid-carrying unit of a vehicle. ``total``: its own capacity where that is known to differ."""

    vehicle_id: int
    kind: UnitKind
    sheet_id: int | None = None
    position: str = ""
    label: str = ""
    total: str = ""
    installed_on: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class EditUnit(Command):
    """Gives a unit its sheet, or notes that it was taken out."""

    unit_id: int
    version: int
    sheet_id: int | None
    label: str
    total: str = ""
    removed_on: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class UnitKept:
    """Which unit a command made or changed."""

    unit_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class DutyTyped:
    """One answer about how the vehicle is driven."""

    question: str
    yes: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class AnswerDuty(Command):
    """How the vehicle is driven, as the customer says today."""

    vehicle_id: int
    answers: tuple[DutyTyped, ...]


def vehicle_words(row: AnyRow) -> str:
    """Give a vehicle's year, make and model in one line."""
    return " ".join(str(part) for part in (row.year, row.make_text, row.model_text) if part)


def add_vehicle(writing: Writing, command: VehicleTyped, customer_id: int) -> VehicleKept:
    """Take a vehicle in and note its keeper."""
    values, notes = _particulars(writing, command)
    vehicle_id = writing.add(vehicle, created_utc=writing.now, **values)
    writing.add(ownership, vehicle_id=vehicle_id, customer_id=customer_id, from_on=writing.today)
    finding.index_vehicle(writing, vehicle_id)
    return VehicleKept(vehicle_id=vehicle_id, notes=notes)


def edit_vehicle(writing: Writing, command: EditVehicle) -> VehicleKept:
    """Change a vehicle's particulars; Conflict when somebody else changed them meanwhile."""
    row = writing.one(vehicle, command.vehicle_id, _("That vehicle is not there any more."))
    if row.version != command.version:
        raise Conflict(_("Somebody else changed this vehicle meanwhile; both versions are shown."))
    values, notes = _particulars(writing, command)
    if values["odometer_unit"] != row.odometer_unit:
        sentence = _("An odometer keeps its unit; a replaced odometer is noted at the reading.")
        raise RuleBroken(sentence, "odometer_unit")
    writing.change(vehicle, command.vehicle_id, **values)
    finding.index_vehicle(writing, command.vehicle_id)
    return VehicleKept(vehicle_id=command.vehicle_id, notes=notes)


def _particulars(writing: Writing, command: VehicleTyped) -> tuple[dict[str, object], tuple[str, ...]]:
    plate = text.clean(command.plate, field="plate", most=30)
    if not plate and not command.vin.strip():
        raise RuleBroken(_("Write the plate or the VIN; one of them tells vehicles apart."), "plate")
    vin = read_vin(command.vin, field="vin", unusual=command.unusual_vin) if command.vin.strip() else None
    if command.year is not None and not 1900 <= command.year <= writing.today.year + 2:
        raise RuleBroken(_("The model year has four digits, such as 2019."), "year")
    unit_of_dial = command.odometer_unit or writing.shop.distance_unit
    if unit_of_dial not in ("mi", "km"):
        raise RuleBroken(_("An odometer counts mi or km."), "odometer_unit")
    values: dict[str, object] = {
        "vin": vin.vin if vin else "",
        "vin_note": "\n".join(vin.notes) if vin else "",
        "plate": plate,
        "plate_key": text.plate_key(plate)[:30],
        "plate_place": text.clean(command.plate_place, field="plate_place", most=40),
        "make_text": text.clean(command.make, field="make", most=60),
        "model_text": text.clean(command.model, field="model", most=120),
        "year": command.year,
        "odometer_unit": unit_of_dial,
        "warning": text.clean(command.warning, field="warning", most=500),
        "note": text.clean(command.note, field="note", most=4000, lines=True),
    }
    return values, vin.notes if vin else ()


def find_same_vehicle(reading: Reading, command: VehicleTyped) -> int | None:
    """Give the vehicle with this VIN, or without one the vehicle with this plate."""
    if command.vin.strip():
        vin = read_vin(command.vin, field="vin", unusual=command.unusual_vin).vin
        found = reading.connection.execute(select(vehicle.c.id).where(vehicle.c.vin == vin).limit(1)).scalar()
        if found is not None:
            return int(found)
    key = text.plate_key(command.plate)[:30]
    if not key:
        return None
    by_plate = select(vehicle.c.id).where(vehicle.c.plate_key == key)
    if command.vin.strip():  # a plate moves between vehicles; one with another VIN is another vehicle
        by_plate = by_plate.where(vehicle.c.vin == "")
    return reading.connection.execute(by_plate.order_by(vehicle.c.id.desc()).limit(1)).scalar()


def change_keeper(writing: Writing, command: ChangeKeeper) -> VehicleKept:
    """Note the new keeper from a day on."""
    writing.one(vehicle, command.vehicle_id, _("That vehicle is not there any more."))
    writing.connection.execute(
        update(ownership)
        .where(ownership.c.vehicle_id == command.vehicle_id, ownership.c.to_on.is_(None))
        .values(to_on=command.on)
    )
    writing.add(ownership, vehicle_id=command.vehicle_id, customer_id=command.customer_id, from_on=command.on)
    finding.index_vehicle(writing, command.vehicle_id)
    return VehicleKept(vehicle_id=command.vehicle_id)


def add_unit(writing: Writing, command: AddUnit) -> UnitKept:
    """Note a unit of a vehicle where it stands in the driveline."""
    writing.one(vehicle, command.vehicle_id, _("That vehicle is not there any more."))
    label = text.clean(command.label, field="label", most=120) or command.kind.value
    unit_id = writing.add(
        unit,
        vehicle_id=command.vehicle_id,
        sheet_id=command.sheet_id,
        kind=command.kind.value,
        position=text.clean(command.position, field="position", most=40),
        label=label,
        power_order=POWER_ORDER[command.kind],
        total_ul=_total(writing, command.total),
        installed_on=command.installed_on,
    )
    return UnitKept(unit_id=unit_id)


def edit_unit(writing: Writing, command: EditUnit) -> UnitKept:
    """Change a unit's sheet, name or capacity, or note that it left the vehicle."""
    row = writing.one(unit, command.unit_id, _("That unit is not there any more."))
    if row.version != command.version:
        raise Conflict(_("Somebody else changed this unit meanwhile; look at it again."))
    writing.change(
        unit,
        command.unit_id,
        sheet_id=command.sheet_id,
        label=text.required(command.label, field="label", label=_("the unit's name"), most=120),
        total_ul=_total(writing, command.total),
        removed_on=command.removed_on,
    )
    return UnitKept(unit_id=command.unit_id)


def _total(writing: Writing, typed: str) -> int | None:
    if not typed.strip():
        return None
    total = writing.typed_here().volume(typed, "total").value
    if total == 0:
        raise RuleBroken(_("A capacity of nothing is none; leave it empty if it is not known."), "total")
    return total


def find_unit(reading: Reading, vehicle_id: int, kind: UnitKind, position: str) -> int | None:
    """Give the vehicle's unit of this kind and position that is still in it."""
    return reading.connection.execute(
        select(unit.c.id)
        .where(
            unit.c.vehicle_id == vehicle_id,
            unit.c.kind == kind.value,
            unit.c.position == text.clean(position, field="position", most=40),
            unit.c.removed_on.is_(None),
        )
        .order_by(unit.c.id.desc())
        .limit(1)
    ).scalar()


def answer_duty(writing: Writing, command: AnswerDuty) -> VehicleKept:
    """Keep today's answers; earlier ones stay as they were given."""
    known = {key for key, _text in DUTY_QUESTIONS}
    for answer in command.answers:
        if answer.question not in known:
            sentence = _("There is no question {question}; there are {known}.")
            raise RuleBroken(
                sentence.format(question=answer.question, known=", ".join(sorted(known))), "duty"
            )
        writing.add_fact(
            duty_answer, vehicle_id=command.vehicle_id, question=answer.question, answer=answer.yes
        )
    return VehicleKept(vehicle_id=command.vehicle_id)
