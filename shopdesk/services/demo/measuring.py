"""What a technician of the demo shop measures at one service, simulated from a true state of the unit.

A unit arrives a little low or high; what drains, what is put in, what is spilled and what runs out
follow from that, read no finer than the shop's pan and jug can be read.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random

from shopdesk.domain.methods import ServiceMethod
from shopdesk.services.bay import EntryTyped
from shopdesk.services.demo.plan import PlannedService, Twist
from shopdesk.services.demo.sheets import DemoSheet

_ML_A_QUART = 946.353
#: Fluid grows by about this share for each degree Celsius (common practice, no source).
_GROWTH = 0.00083


@dataclass(frozen=True, kw_only=True, slots=True)
class Tools:
    """The ids of the shop's graduated pan and of its pump jug."""

    pan: int
    jug: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Course:
    """One service as it goes: the sheet, what is planned, when it begins and with which tools.

    ``timed``: whether the technician noted when each step was done.
    """

    sheet: DemoSheet
    planned: PlannedService
    begins: datetime
    tools: Tools
    timed: bool = True


def minutes_for(planned: PlannedService) -> int:
    """How long the service takes in the bay."""
    return 40 if planned.method is ServiceMethod.LEVEL_CHECK else 60 + 30 * planned.rounds


def entries(course: Course, rng: Random) -> tuple[EntryTyped, ...]:
    """Give every entry of a finished service record, in the order of the work."""
    if course.planned.method is ServiceMethod.LEVEL_CHECK:
        return (*_ran(), *_check(course, rng), *_closing(course, ("level plug",)))
    plugs = tuple(course.sheet.washers)
    return (
        *_steps(course),
        *_volumes(course, rng),
        *(_level(course, rng) if course.sheet.runs_out else _standing(course, rng)),
        *_closing(course, plugs),
        *_condition(rng),
    )


def first_half(course: Course, rng: Random) -> tuple[EntryTyped, ...]:
    """Give what stands in the record while the unit warms up for its level."""
    loosened = course.begins + timedelta(minutes=6)
    drained = _quarts(course.sheet.fill_ml * 0.96, 0.1)
    return (
        EntryTyped(field="step", value="fill plug loosened", at=loosened),
        EntryTyped(field="step", value="drained", round=2, at=loosened + timedelta(minutes=18)),
        EntryTyped(field="drained", value=drained, temperature="104 degF", instrument_id=course.tools.pan),
        *_condition(rng),
        EntryTyped(
            field="put_in", value=_quarts(course.sheet.fill_ml * 1.1, 0.05), instrument_id=course.tools.jug
        ),
    )


def _quarts(ml: float, step: float) -> str:
    return f"{round(max(ml, 0) / _ML_A_QUART / step) * step:.2f} qt"


def _cold(ml: float, fahrenheit: int) -> float:
    """A warm volume as it would be at the temperature of the shop."""
    return ml * (1 - _GROWTH * (fahrenheit - 68) * 5 / 9)


def _steps(course: Course) -> Iterator[EntryTyped]:
    if not course.timed:
        return
    runs = course.sheet.runs_out
    plan = [("fill plug loosened", 5), ("drained", 22), ("drain plug torqued", 27), ("filled", 38)]
    end = minutes_for(course.planned)
    if runs:
        plan += [("fill plug torqued", 41), ("engine started", end - 34), ("selector cycled", end - 30)]
        plan += [("level set", end - 16), ("level plug torqued", end - 13), ("leak checked", end - 5)]
    else:
        plan += [("level set", end - 20), ("fill plug torqued", end - 15), ("leak checked", end - 5)]
    for number, (step, minute) in enumerate(plan, start=1):
        yield EntryTyped(field="step", value=step, round=number, at=course.begins + timedelta(minutes=minute))


def _volumes(course: Course, rng: Random) -> Iterator[EntryTyped]:
    """One drained and one filled volume for each round; the level's overflow belongs to the last."""
    planned, sheet = course.planned, course.sheet
    warm = rng.randint(92, 118) if sheet.runs_out else rng.randint(68, 86)
    in_filter = 140.0 if planned.new_filter else 0.0
    low = _arrived_low(sheet, rng)
    over = rng.uniform(90, 420) if sheet.runs_out else 0.0 if _by_measure(sheet) else rng.uniform(15, 60)
    added = 380.0 if planned.twist is Twist.NO_FLOW_FIRST else 0.0
    for number in range(1, planned.rounds + 1):
        drained = sheet.fill_ml - (low if number == 1 else 0) + rng.gauss(0, 25) - in_filter
        spilled = rng.uniform(10, 55)
        last = number == planned.rounds
        put_in = _cold(drained, warm) + in_filter + spilled
        if number == 1 and not _by_measure(sheet):
            put_in += low
        if last:
            put_in += _cold(over, 104) - added
        yield _drained(course, drained, number, warm)
        yield EntryTyped(
            field="put_in",
            value=_quarts(put_in, 0.05),
            round=number,
            temperature="68 degF",
            instrument_id=course.tools.jug,
        )
        yield EntryTyped(field="spilled", value=f"{spilled:.0f} mL", round=number, within="20 mL")
    yield from _topped_up(course, added)
    if planned.new_filter:
        yield EntryTyped(field="filter_renewed", value="yes")
        yield EntryTyped(
            field="old_filter", value=f"{in_filter:.0f} mL", within="60 mL", temperature="90 degF"
        )
    if not _by_measure(sheet) and planned.twist is not Twist.OVERFLOW_MISSING:
        yield EntryTyped(
            field="ran_out",
            value=f"{round(over, -1):.0f} mL",
            round=planned.rounds + (1 if added else 0),
            within="25 mL",
            temperature="104 degF",
        )


def _topped_up(course: Course, added_ml: float) -> Iterator[EntryTyped]:
    if added_ml:
        yield EntryTyped(
            field="put_in",
            value=_quarts(added_ml, 0.05),
            round=2,
            temperature="68 degF",
            instrument_id=course.tools.jug,
            reason="nothing ran out at the first opening",
        )
        yield EntryTyped(field="spilled", value="5 mL", round=2, within="5 mL")
        yield EntryTyped(field="ran_out", value="0 mL", within="5 mL", temperature="99 degF")


def _drained(course: Course, ml: float, number: int, warm: int) -> EntryTyped:
    return EntryTyped(
        field="drained",
        value=_quarts(ml, 0.1),
        round=number,
        temperature=f"{warm} degF",
        instrument_id=course.tools.pan,
    )


def _by_measure(sheet: DemoSheet) -> bool:
    return bool(sheet.values["level_method"] == "measured refill")


def _arrived_low(sheet: DemoSheet, rng: Random) -> float:
    """How many mL the unit lacked; units serviced elsewhere often came underfilled."""
    if rng.random() < 0.16:
        return rng.uniform(0.05, 0.12) * sheet.fill_ml
    return rng.gauss(0.004, 0.018) * sheet.fill_ml


def _ran() -> tuple[EntryTyped, ...]:
    return (
        EntryTyped(field="engine", value="idling"),
        EntryTyped(field="selector_cycled", value="yes"),
        EntryTyped(field="selector_dwell", value="5"),
        EntryTyped(field="vehicle_level", value="yes"),
    )


def _standing(course: Course, rng: Random) -> Iterator[EntryTyped]:
    """A unit that stands still: level, engine off, and the edge of its fill hole felt for."""
    yield EntryTyped(field="engine", value="off")
    yield EntryTyped(field="vehicle_level", value="yes")
    if "edge_offset" in course.sheet.values:
        yield EntryTyped(field="edge_distance", value=f"{rng.randint(1, 5)} mm")


def _level(course: Course, rng: Random) -> Iterator[EntryTyped]:
    """The opening of the level plug inside its window; with a twist, a first one with no flow."""
    yield from _ran()
    yield EntryTyped(field="ambient", value=f"{rng.randint(58, 80)} degF")
    number = course.planned.rounds
    if course.planned.twist is Twist.NO_FLOW_FIRST:
        yield EntryTyped(field="open_temperature", value="97 degF", round=number)
        yield EntryTyped(field="flow_at_opening", value="none", round=number)
        yield EntryTyped(field="flow_at_closing", value="none", round=number)
        number += 1
    too_hot = course.planned.twist is Twist.CLOSED_TOO_HOT
    opened = rng.randint(99, 103)
    closed = 117 if too_hot else opened + rng.randint(3, 9)
    at = course.begins + timedelta(minutes=minutes_for(course.planned) - 20)
    yield EntryTyped(
        field="open_temperature", value=f"{opened} degF", round=number, at=at if course.timed else None
    )
    yield EntryTyped(
        field="close_temperature",
        value=f"{closed} degF",
        round=number,
        at=at + timedelta(minutes=4) if course.timed else None,
        reason="the telephone rang meanwhile" if too_hot else "",
    )
    yield EntryTyped(field="flow_at_opening", value="stream", round=number)
    yield EntryTyped(field="flow_at_closing", value="drip", round=number)


def _check(course: Course, rng: Random) -> Iterator[EntryTyped]:
    yield EntryTyped(field="open_temperature", value=f"{rng.randint(97, 101)} degF", at=course.begins)
    yield EntryTyped(field="close_temperature", value=f"{rng.randint(102, 106)} degF")
    yield EntryTyped(field="flow_at_opening", value="stream")
    yield EntryTyped(field="flow_at_closing", value="drip")
    ran_out = f"{rng.randint(2, 6) * 10} mL"
    yield EntryTyped(field="ran_out", value=ran_out, within="10 mL", temperature="102 degF")
    yield EntryTyped(field="note", value="Level found right; plug wiped, dry after ten minutes of idling.")


def _closing(course: Course, plugs: tuple[str, ...]) -> Iterator[EntryTyped]:
    """Each plug's torque as the sheet gives it, and what became of its washer."""
    torques = {each["plug"]: each["torque"] for each in course.sheet.values["torques"]}
    for plug in plugs:
        name = plug.replace(" ", "_")
        reused = course.planned.twist is Twist.WASHER_REUSED and plug == "drain plug"
        yield EntryTyped(field=f"{name}_torque", value=torques[plug])
        yield EntryTyped(
            field=f"{name}_washer",
            value="reused" if reused else "new washer",
            reason="none of this size on the shelf" if reused else "",
        )


def _condition(rng: Random) -> tuple[EntryTyped, ...]:
    """How the old fluid was; where it was dark, the customer was told and wanted to go on."""
    worn = 3 if rng.random() < 0.05 else rng.choice((1, 1, 2, 2))
    found = (
        EntryTyped(field="appearance", value=str(worn)),
        EntryTyped(field="odour", value=str(max(0, worn - 2))),
        EntryTyped(field="particles", value=str(rng.choice((0, 1, 1, 2)))),
    )
    if worn < 3:
        return found
    return (
        *found,
        EntryTyped(field="picture_taken", value="yes"),
        EntryTyped(field="customer_called", value="yes"),
        EntryTyped(field="stop_decision", value="go on anyway"),
        EntryTyped(field="stop_consent", value="Text message: I know it is dark. Please change it."),
    )
