"""What a record code can hold: each field's number, part, kind and words.

The numbers are those of ``resources/schemas/record-code.md``; they are never used again for anything
else, because codes on paper outlive the program that wrote them.
"""

from dataclasses import dataclass
from enum import StrEnum

from shopdesk.domain.record_fields import APPEARANCE, ODOUR, PARTICLES, WASHERS
from shopdesk.domain.words import N_


class CodePart(StrEnum):
    """The parts of a code, in their order. Each has its own check, so that a change is found in its part."""

    RECORD = N_("the record")
    VEHICLE = N_("vehicle and unit")
    VOLUMES = N_("volumes")
    LEVEL = N_("level")
    FLUID = N_("fluid, plugs and condition")
    KEY = N_("the shop's key")
    SIGNATURE = N_("signature")


class CodeKind(StrEnum):
    """How a field's value is written."""

    UID = "uid"  # text of 36 characters
    TEXT = "text"
    DAY = "day"
    VOLUME = "volume"  # µL
    TEMPERATURE = "temperature"  # 1/1000 °C
    TORQUE = "torque"  # mN·m
    LENGTH = "length"  # µm
    TENTHS = "tenths"  # tenths of a mile or kilometre
    SHARE = "share"  # thousandths
    COUNT = "count"
    YES_NO = "yes or no"  # 1 or 0
    CHOICE = "choice"  # place in the field's choices
    CONDITIONS = "conditions"  # two bits for each of CONDITIONS


@dataclass(frozen=True, kw_only=True, slots=True)
class CodeField:
    """One field. ``most``: characters of a text that are kept; a longer one ends in an ellipsis."""

    number: int
    name: str
    part: CodePart
    kind: CodeKind
    label: str
    most: int = 0
    choices: tuple[str, ...] = ()


METHODS = ("level check only", "drain and fill", "repeated drain and fill", "flow-through exchange")
LEVEL_METHODS = ("overflow tube", "fill-hole edge", "dipstick", "measured refill", "sight glass")
ARRIVED = ("low", "high", "no difference", "at least low", "cannot be said")
VERDICTS = ("proven", "not proven", "too low: add fluid and repeat")
DISTANCE_UNITS = ("mi", "km")
STATES = ("not asked for", "met", "not met", "not recorded")
CONDITIONS = (
    "attitude",
    "stance",
    "engine",
    "selector",
    "window_open",
    "window_close",
    "window_reading",
    "flow_open",
    "flow_close",
    "edge",
    "marks",
    "drained",
    "quantity",
)


def _fields() -> tuple[CodeField, ...]:
    record = (
        _field(1, "uid", CodeKind.UID, N_("Record")),
        _text(2, "number", N_("Number"), 30),
        _text(3, "shop", N_("Shop"), 40),
        _field(4, "done_on", CodeKind.DAY, N_("Day")),
        _choice(5, "service_method", N_("Service"), METHODS),
        _field(6, "finished", CodeKind.YES_NO, N_("Work finished")),
    )
    vehicle = (
        _text(10, "vehicle", N_("Vehicle"), 40),
        _text(11, "vin", N_("VIN"), 20),
        _text(12, "plate", N_("Plate"), 20),
        _text(13, "unit", N_("Unit"), 40),
        _field(14, "odometer", CodeKind.TENTHS, N_("Odometer")),
        _choice(15, "odometer_unit", "", DISTANCE_UNITS),
    )
    volumes = (
        _volume(20, "drained", N_("Drained")),
        _volume(21, "put_in", N_("Put in")),
        _volume(22, "spilled", N_("Spilled")),
        _volume(23, "ran_out", N_("Ran out at level check")),
        _volume(24, "old_filter", N_("Left in the old filter")),
        _volume(25, "left_in_hose", N_("Left in the hose")),
        _volume(26, "found_added", N_("Added at the check as found")),
        _volume(27, "found_ran_out", N_("Ran out at the check as found")),
        _field(28, "fillings", CodeKind.COUNT, N_("Fillings")),
        _choice(29, "arrived", N_("As it came in"), ARRIVED),
        _volume(30, "arrived_by", N_("Came in by (low: positive)")),
        _volume(31, "arrived_within", N_("Give or take")),
    )
    level = (
        _choice(40, "level_method", N_("Level set by"), LEVEL_METHODS),
        _field(41, "window_low", CodeKind.TEMPERATURE, N_("Window from")),
        _field(42, "window_high", CodeKind.TEMPERATURE, N_("Window to")),
        _field(43, "open_temperature", CodeKind.TEMPERATURE, N_("Opened or read at")),
        _field(44, "close_temperature", CodeKind.TEMPERATURE, N_("Closed at")),
        _field(45, "edge_distance", CodeKind.LENGTH, N_("Fluid below the edge of the hole")),
        _choice(46, "verdict", N_("Level"), VERDICTS),
        _field(47, "conditions", CodeKind.CONDITIONS, N_("Conditions")),
    )
    fluid = (
        _text(60, "product", N_("Fluid put in"), 40),
        _text(61, "specification", N_("Specification"), 40),
        _field(62, "new_fluid", CodeKind.SHARE, N_("New fluid now in the unit")),
        _field(63, "new_fluid_low", CodeKind.SHARE, N_("At least")),
        _field(64, "new_fluid_high", CodeKind.SHARE, N_("At most")),
        _field(65, "fill_plug_torque", CodeKind.TORQUE, N_("Fill plug torque")),
        _field(66, "drain_plug_torque", CodeKind.TORQUE, N_("Drain plug torque")),
        _field(67, "level_plug_torque", CodeKind.TORQUE, N_("Level plug torque")),
        _choice(68, "fill_plug_washer", N_("Fill plug washer"), WASHERS),
        _choice(69, "drain_plug_washer", N_("Drain plug washer"), WASHERS),
        _choice(70, "level_plug_washer", N_("Level plug washer"), WASHERS),
        _choice(71, "appearance", N_("How the old fluid looked"), APPEARANCE),
        _choice(72, "odour", N_("How the old fluid smelled"), ODOUR),
        _choice(73, "particles", N_("Magnet and pan"), PARTICLES),
        _field(74, "deviations", CodeKind.COUNT, N_("Done otherwise than the sheet says")),
        _field(75, "due_on", CodeKind.DAY, N_("Next due on")),
        _field(76, "due_odometer", CodeKind.TENTHS, N_("Next due at")),
        _choice(77, "due_odometer_unit", "", DISTANCE_UNITS),
    )
    return (*record, *vehicle, *volumes, *level, *fluid)


def _part_of(number: int) -> CodePart:
    firsts = ((60, CodePart.FLUID), (40, CodePart.LEVEL), (20, CodePart.VOLUMES), (10, CodePart.VEHICLE))
    return next((part for first, part in firsts if number >= first), CodePart.RECORD)


def _field(number: int, name: str, kind: CodeKind, label: str) -> CodeField:
    return CodeField(number=number, name=name, part=_part_of(number), kind=kind, label=label)


def _text(number: int, name: str, label: str, most: int) -> CodeField:
    return CodeField(
        number=number, name=name, part=_part_of(number), kind=CodeKind.TEXT, label=label, most=most
    )


def _volume(number: int, name: str, label: str) -> CodeField:
    return _field(number, name, CodeKind.VOLUME, label)


def _choice(number: int, name: str, label: str, choices: tuple[str, ...]) -> CodeField:
    part = _part_of(number)
    return CodeField(number=number, name=name, part=part, kind=CodeKind.CHOICE, label=label, choices=choices)


CODE_FIELDS: tuple[CodeField, ...] = _fields()
CODE_FIELD: dict[str, CodeField] = {field.name: field for field in CODE_FIELDS}
