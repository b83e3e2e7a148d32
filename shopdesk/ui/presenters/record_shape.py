"""Which things the service form asks for: one slot for each thing of each round, in the order of the work.

A *slot* is one thing of one round: "put in, round 2". The form names its fields after slots
(``put_in:2``, ``put_in:2:within``, ``put_in:2:temperature``, ``put_in:2:reason``), so that a draft and a
refusal find their way back.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.domain.level_rules import LevelRules
from shopdesk.domain.methods import (
    SELECTOR_KINDS,
    LevelMethod,
    ServiceMethod,
    lets_fluid_run_out,
)
from shopdesk.domain.order import Step
from shopdesk.domain.record import FIELDS, Entry, EntryKind
from shopdesk.domain.sheet import Plug
from shopdesk.services.bay import RecordView

FOUND = ("found_temperature", "found_ran_out", "found_added")
STOP = ("picture_taken", "customer_called", "stop_decision", "stop_consent")


@dataclass(frozen=True, slots=True)
class Slot:
    """One thing to record, in one round. ``step`` names the step of a "done" slot."""

    field: str
    round: int = 1
    step: str = ""

    @property
    def name(self) -> str:
        """The name of its field in the form."""
        return f"step:{self.step}" if self.step else f"{self.field}:{self.round}"

    @property
    def kind(self) -> EntryKind:
        """How its value is read."""
        return FIELDS[self.field].kind

    @property
    def label(self) -> str:
        """Its words in the reader's language."""
        return _(self.step).capitalize() if self.step else _(FIELDS[self.field].label)


def slot_of(name: str) -> Slot:
    """Give the slot that a form's field belongs to."""
    field, second = name.split(":")[:2]
    return Slot(field, 1, second) if field == "step" else Slot(field, int(second))


@dataclass(frozen=True, kw_only=True, slots=True)
class Shape:
    """What one record's form shows, in groups, in the order of the work."""

    filling: tuple[Slot, ...]
    found: tuple[Slot, ...]
    beside: tuple[Slot, ...]
    level: tuple[Slot, ...]
    openings: tuple[Slot, ...]
    plugs: tuple[Slot, ...]
    condition: tuple[Slot, ...]
    stop: tuple[Slot, ...]
    steps: tuple[Slot, ...]
    said: tuple[Slot, ...]

    def slots(self) -> tuple[Slot, ...]:
        """Give every slot."""
        return (
            *self.filling,
            *self.found,
            *self.beside,
            *self.level,
            *self.openings,
            *self.plugs,
            *self.condition,
            *self.stop,
            *self.steps,
            *self.said,
        )


def shape_of(view: RecordView, *, fillings: int = 1, openings: int = 1) -> Shape:
    """Give the form for a record; at least as many rounds as were asked for or are kept."""
    kept = [each.entry for each in view.entries]
    fillings = max(fillings, _most(kept, "put_in", "drained", "spilled"))
    openings = max(openings, _most(kept, *_OPENING, "ran_out"))
    return Shape(
        filling=tuple(_filling(view, fillings)),
        found=tuple(Slot(field) for field in FOUND),
        beside=tuple(_beside(view)),
        level=tuple(_level(view)),
        openings=tuple(_openings(view, openings)),
        plugs=tuple(_plugs(view)),
        condition=tuple(Slot(field) for field in ("appearance", "odour", "particles", "milky")),
        stop=tuple(Slot(field) for field in STOP),
        steps=tuple(Slot("step", 1, step.value) for step in wanted_steps(view)),
        said=tuple(_said(kept)),
    )


def rounds_of(shape: Shape) -> tuple[int, int]:
    """Give how many fillings and openings a form shows."""
    return (
        max((slot.round for slot in shape.filling), default=1),
        max((slot.round for slot in shape.openings), default=1),
    )


def _most(entries: Iterable[Entry], *fields: str) -> int:
    return max((entry.round for entry in entries if entry.field in fields), default=1)


def _filling(view: RecordView, rounds: int) -> Iterator[Slot]:
    method = view.service_method
    for number in range(1, rounds + 1):
        again = number > 1 and method is not ServiceMethod.REPEATED
        if method is not ServiceMethod.LEVEL_CHECK and not again:
            yield Slot("drained", number)
        yield Slot("put_in", number)
        yield Slot("spilled", number)
        if number == 1 and lets_fluid_run_out(view.sheet.body.level.method):
            yield Slot("ran_out")


def _beside(view: RecordView) -> Iterator[Slot]:
    if view.service_method is not ServiceMethod.LEVEL_CHECK:
        yield Slot("filter_renewed")
        yield Slot("old_filter")
    yield Slot("left_in_hose")
    yield Slot("ambient")


def _level(view: RecordView) -> Iterator[Slot]:
    rules = view.sheet.body.level
    yield Slot("vehicle_level")
    if rules.stance is not None:
        yield Slot("stance")
    if rules.engine is not None or view.unit_kind in SELECTOR_KINDS:
        yield Slot("engine")
    if rules.selector_cycled or view.unit_kind in SELECTOR_KINDS:
        yield Slot("selector_cycled")
        yield Slot("selector_dwell")


_OPENING = ("open_temperature", "flow_at_opening", "close_temperature", "flow_at_closing")


def _openings(view: RecordView, rounds: int) -> Iterator[Slot]:
    rules = view.sheet.body.level
    if rules.method is not LevelMethod.OVERFLOW_TUBE:
        yield from _readings(rules)
        return
    for number in range(1, rounds + 1):
        yield from (Slot(field, number) for field in _OPENING)
        if number > 1:
            yield Slot("ran_out", number)


def _readings(rules: LevelRules) -> Iterator[Slot]:
    """What is read where no level plug lets fluid out."""
    if rules.window_low_mc is not None or rules.window_high_mc is not None:
        yield Slot("reading_temperature")
    if rules.method is LevelMethod.FILL_HOLE:
        yield Slot("edge_distance")
    if rules.method in (LevelMethod.DIPSTICK, LevelMethod.SIGHT_GLASS):
        yield Slot("between_marks")
    if rules.method is LevelMethod.DIPSTICK:
        yield Slot("marks_read")


def plugs_of(view: RecordView) -> tuple[Plug, ...]:
    """Give the plugs that this unit's service opens."""
    body = view.sheet.body
    drains = body.has_drain_plug and view.service_method is not ServiceMethod.LEVEL_CHECK
    wanted = {
        Plug.FILL: True,
        Plug.DRAIN: drains,
        Plug.LEVEL: body.level.method is LevelMethod.OVERFLOW_TUBE,
    }
    return tuple(plug for plug, is_wanted in wanted.items() if is_wanted)


def plug_field(plug: Plug, what: str) -> str:
    """Give the name of a plug's entry: its "torque" or its "washer"."""
    return f"{plug.value.replace(' ', '_')}_{what}"


def _plugs(view: RecordView) -> Iterator[Slot]:
    for plug in plugs_of(view):
        yield Slot(plug_field(plug, "torque"))
        yield Slot(plug_field(plug, "washer"))


def wanted_steps(view: RecordView) -> tuple[Step, ...]:
    """Give the sheet's steps that this service has."""
    drains = (Step.DRAINED, Step.DRAIN_PLUG_TORQUED)
    only_level = view.service_method is ServiceMethod.LEVEL_CHECK
    return tuple(step for step in view.sheet.body.steps if not (only_level and step in drains))


def _said(entries: Iterable[Entry]) -> Iterator[Slot]:
    """What was written already, and one more of each to write."""
    kept = list(entries)
    for field in ("deviation", "note"):
        written = max((entry.round for entry in kept if entry.field == field), default=0)
        yield from (Slot(field, number) for number in range(1, written + 2))
