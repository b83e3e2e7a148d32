"""A vehicle's texts: form fields, units along the driveline, odometer readings, history."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from gettext import gettext as _

from shopdesk.domain import text, units
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.intervals import DecidedBy, DueState
from shopdesk.domain.methods import UnitKind
from shopdesk.domain.odometer import Doubt, doubt_sentence
from shopdesk.domain.vin import model_years, read_vin
from shopdesk.services.acting import Actor
from shopdesk.services.figures import Figures
from shopdesk.services.intake import OdometerRow, ServiceRow, UnitView, VehicleView
from shopdesk.services.sheets import SheetView
from shopdesk.services.vehicles import AddVehicle, EditVehicle

#: How a due state is drawn.
MARK_OF_DUE: dict[DueState, str] = {
    DueState.OVERDUE: "late",
    DueState.SOON: "soon",
    DueState.FINE: "fine",
    DueState.NONE: "unknown",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class UnitText:
    """A unit as its card on the strip shows it; ``mark`` names the state that is drawn."""

    key: str
    title: str
    detail: str
    due: str
    mark: str
    used: float | None
    branch: bool


def vehicle_name(plate: str, vin: str) -> str:
    """Give what a vehicle is called by: its plate, else its VIN."""
    return plate or vin


def vehicle_texts(view: VehicleView) -> dict[str, str]:
    """Give the texts of a form that shows a vehicle. A kept number that is no VIN stays accepted."""
    return {
        "plate": view.plate,
        "plate_place": view.plate_place,
        "vin": view.vin,
        "unusual_vin": "" if not view.vin or _is_vin(view.vin) else "yes",
        "make": view.make,
        "model": view.model,
        "year": str(view.year or ""),
        "odometer_unit": view.odometer_unit,
        "warning": view.warning,
        "note": view.note,
    }


def _is_vin(vin: str) -> bool:
    try:
        read_vin(vin)
    except RuleBroken:
        return False
    return True


def read_year(typed: str) -> int | None:
    """Read a model year; nothing typed is no year."""
    if not typed.strip():
        return None
    return units.read_whole(typed, field="year", least=1900, most=2999)


def add_vehicle(texts: Mapping[str, str], actor: Actor, uid: str, *, customer_id: int) -> AddVehicle:
    """Give the command that takes a vehicle in; RuleBroken when the year is no number."""
    return AddVehicle(
        actor=actor,
        uid=uid,
        customer_id=customer_id,
        plate=texts["plate"],
        plate_place=texts.get("plate_place", ""),
        vin=texts["vin"],
        unusual_vin=bool(texts.get("unusual_vin")),
        make=texts["make"],
        model=texts["model"],
        year=read_year(texts["year"]),
        odometer_unit=texts.get("odometer_unit", ""),
        warning=texts.get("warning", ""),
        note=texts.get("note", ""),
    )


def edit_vehicle(
    texts: Mapping[str, str], actor: Actor, uid: str, *, vehicle_id: int, version: int
) -> EditVehicle:
    """Give the command that changes a vehicle read at ``version``."""
    return EditVehicle(
        actor=actor,
        uid=uid,
        vehicle_id=vehicle_id,
        version=version,
        plate=texts["plate"],
        plate_place=texts["plate_place"],
        vin=texts["vin"],
        unusual_vin=bool(texts["unusual_vin"]),
        make=texts["make"],
        model=texts["model"],
        year=read_year(texts["year"]),
        odometer_unit=texts["odometer_unit"],
        warning=texts["warning"],
        note=texts["note"],
    )


def vin_reader(unusual: Callable[[], bool]) -> Callable[[str], str]:
    """Give what reads a VIN while it is typed: RuleBroken, or what is worth knowing about it."""

    def read(typed: str) -> str:
        found = read_vin(typed, unusual=unusual())
        years = model_years(found.vin)
        said = list(found.notes)
        if years:
            said.append(_("Model year {years}.").format(years=_(" or ").join(str(year) for year in years)))
        return " ".join(said) or _("17 characters, as it should be.")

    return read


def list_filter(typed: str) -> str:
    """Give the key by which plates and VINs are narrowed."""
    return text.plate_key(typed[:60])


def kind_choices() -> list[tuple[str, str]]:
    """Give the kinds of unit as key and words."""
    return [(kind.value, capital(_(kind.value))) for kind in UnitKind]


def capital(words: str) -> str:
    """Give words with a capital letter at their start and the rest as it is (CVT)."""
    return words[:1].upper() + words[1:]


def odometer_now(readings: Sequence[OdometerRow]) -> OdometerRow | None:
    """Give the newest reading that stands and is not doubtful; ``readings`` come newest first."""
    standing = [row for row in readings if not row.corrected]
    trusted = (row for row in standing if not row.doubt and row.actual)
    return next(trusted, standing[0] if standing else None)


def due_words(unit: UnitView, figures: Figures) -> str:
    """Say when a unit is next due, with a word for what is late or near."""
    if unit.due_on is None and unit.due_tenths is None:
        return _("No change recorded here") if unit.last_done_on is None else _("No date to be said")
    when = _when_due(unit, figures)
    words = {DueState.OVERDUE: _("Overdue: {when}"), DueState.SOON: _("Soon: {when}")}
    return words.get(unit.due_state, "{when}").format(when=when)


def _when_due(unit: UnitView, figures: Figures) -> str:
    """Write distance and day; the day that a distance is likely to be reached is only about right."""
    distance = figures.distance(unit.due_tenths, unit.due_unit) if unit.due_tenths is not None else ""
    day = figures.day(unit.due_on) if unit.due_on is not None else ""
    if not distance or not day:
        return distance or day
    if unit.decided_by == DecidedBy.DISTANCE:
        return _("{distance}, about {day}").format(distance=distance, day=day)
    return _("{distance} or {day}").format(distance=distance, day=day)


def unit_texts(found: Sequence[UnitView], figures: Figures) -> tuple[UnitText, ...]:
    """Give the cards of the strip. A front axle branches off a transfer case that drives a rear one too."""
    kinds = {unit.kind for unit in found}
    forks = {UnitKind.TRANSFER_CASE, UnitKind.REAR_DIFFERENTIAL} <= kinds
    return tuple(
        UnitText(
            key=str(unit.id),
            title=unit_title(unit),
            detail=unit_detail(unit, figures),
            due=due_words(unit, figures),
            mark=MARK_OF_DUE[unit.due_state],
            used=unit.used_share,
            branch=forks and unit.kind is UnitKind.FRONT_DIFFERENTIAL,
        )
        for unit in found
    )


def unit_title(unit: UnitView) -> str:
    """Give a unit's name with its place where it has one."""
    name = _(unit.label) if unit.label == unit.kind.value else unit.label
    return capital(name) + (f" ({unit.position})" if unit.position else "")


def unit_detail(unit: UnitView, figures: Figures) -> str:
    """Give a unit's sheet and capacity in one line."""
    sheet = unit.designation or _("No unit sheet yet")
    return f"{sheet} · {figures.volume(unit.total_ul)}" if unit.total_ul is not None else sheet


def sheet_choices(sheets: Sequence[SheetView], kind: UnitKind) -> list[tuple[str, str]]:
    """Give the sheets for a kind of unit as key and words, first that there is none yet."""
    fitting = [sheet for sheet in sheets if sheet.kind is kind]
    found = [(str(sheet.sheet_id), f"{sheet.designation} · {sheet.specification}") for sheet in fitting]
    return [("", _("No unit sheet yet")), *found]


def exact_volume(ul: int) -> str:
    """Write a volume so that reading it again gives the very same."""
    whole, part = divmod(ul, 1000)
    return f"{whole}.{part:03d} ml" if part else f"{whole} ml"


def doubt_words(row: OdometerRow) -> str:
    """Say what is doubtful about a reading and why it was kept, or nothing."""
    said = [doubt_sentence(Doubt(name)) for name in row.doubt.split(",") if name in set(Doubt)]
    said += [] if row.actual else [_("Not the true distance.")]
    if row.corrected:
        said.append(_("Corrected since."))
    if said and row.reason:
        said.append(_("Kept because: {reason}").format(reason=row.reason))
    return " ".join(said)


def last_reading_words(view: VehicleView, figures: Figures) -> str:
    """Say what the odometer showed last."""
    last = odometer_now(view.readings)
    if last is None:
        return _("Never read here.")
    return _("Last {distance} on {day}").format(
        distance=figures.distance(last.tenths, view.odometer_unit), day=figures.day(last.on_date)
    )


def use_words(view: VehicleView, figures: Figures) -> str:
    """Say how far the vehicle runs in a year, and whether that is only assumed."""
    hundreds = round(Fraction(view.use.tenths_per_day) * 365 / 1000)
    a_year = figures.number(hundreds * 100, 0)
    if view.use.assumed:
        return _("Taken to run {n} {unit} a year until its own readings say more.").format(
            n=a_year, unit=view.odometer_unit
        )
    return _("Runs about {n} {unit} a year by its own readings.").format(n=a_year, unit=view.odometer_unit)


def due_cell(due_on: date | None, figures: Figures) -> str:
    """Write a due date for a list."""
    return figures.day(due_on) if due_on is not None else ""


def services_of(view: VehicleView, unit_key: str) -> tuple[ServiceRow, ...]:
    """Give the services of one unit, or of all with an empty key, newest first."""
    return tuple(row for row in view.services if not unit_key or str(row.unit_id) == unit_key)


def service_distance(row: ServiceRow, view: VehicleView, figures: Figures) -> str:
    """Write what the odometer showed at a service."""
    return figures.distance(row.tenths, view.odometer_unit) if row.tenths is not None else ""


def duty_of(view: VehicleView) -> dict[str, bool]:
    """Give the newest answers about how a vehicle is driven, by question."""
    return {answer.question: answer.yes for answer in view.duty}
