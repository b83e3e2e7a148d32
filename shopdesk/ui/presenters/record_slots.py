"""The service form: which things a record asks for, what is kept of them, and what was typed instead.

A *slot* is one thing of one round: "put in, round 2". The form names its fields after slots
(``put_in:2``, ``put_in:2:within``, ``put_in:2:temperature``, ``put_in:2:reason``), so that a draft and a
refusal find their way back.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from gettext import gettext as _

from shopdesk.domain import units
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.methods import (
    SELECTOR_KINDS,
    LevelMethod,
    ServiceMethod,
    lets_fluid_run_out,
)
from shopdesk.domain.order import Step
from shopdesk.domain.record import FIELDS, Entry, EntryKind, current
from shopdesk.domain.sheet import Plug
from shopdesk.services.bay import EntryTyped, KeptEntry, RecordView
from shopdesk.services.figures import Figures
from shopdesk.services.instruments import InstrumentKind, InstrumentRow
from shopdesk.services.typed import Typed

#: Which tool reads which kind of entry; what goes in is read on the jug, what comes out in the pan.
_COMES_OUT = ("drained", "ran_out", "spilled", "old_filter", "left_in_hose")
SEVERAL = ("step", "deviation", "note")


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
    beside: tuple[Slot, ...]
    level: tuple[Slot, ...]
    openings: tuple[Slot, ...]
    plugs: tuple[Slot, ...]
    condition: tuple[Slot, ...]
    steps: tuple[Slot, ...]
    said: tuple[Slot, ...]

    def slots(self) -> tuple[Slot, ...]:
        """Give every slot."""
        return (
            *self.filling,
            *self.beside,
            *self.level,
            *self.openings,
            *self.plugs,
            *self.condition,
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
        beside=tuple(_beside(view)),
        level=tuple(_level(view)),
        openings=tuple(_openings(view, openings)),
        plugs=tuple(_plugs(view)),
        condition=tuple(Slot(field) for field in ("appearance", "odour", "particles")),
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
    if rules.engine is not None or view.unit_kind in SELECTOR_KINDS:
        yield Slot("engine")
    if rules.selector_cycled or view.unit_kind in SELECTOR_KINDS:
        yield Slot("selector_cycled")
        yield Slot("selector_dwell")


_OPENING = ("open_temperature", "flow_at_opening", "close_temperature", "flow_at_closing")


def _openings(view: RecordView, rounds: int) -> Iterator[Slot]:
    rules = view.sheet.body.level
    if rules.method is not LevelMethod.OVERFLOW_TUBE:
        if rules.window_low_mc is not None or rules.window_high_mc is not None:
            yield Slot("open_temperature")
        return
    for number in range(1, rounds + 1):
        yield from (Slot(field, number) for field in _OPENING)
        if number > 1:
            yield Slot("ran_out", number)


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


@dataclass(frozen=True, kw_only=True, slots=True)
class Kept:
    """What is kept in a slot: its entry, and the texts the form shows for it."""

    entry_id: int
    value: str
    within: str
    temperature: str
    reason: str
    instrument: str
    person: str
    at_utc: datetime
    words: str


def kept_slots(view: RecordView, figures: Figures) -> dict[str, Kept]:
    """Give what stands in a record, by the name of its slot."""
    standing = {entry.id for entry in current(each.entry for each in view.entries)}
    return {
        _slot_of_entry(each.entry).name: _kept(each, figures)
        for each in view.entries
        if each.entry.id in standing
    }


def _slot_of_entry(entry: Entry) -> Slot:
    if entry.field == "step":
        return Slot("step", 1, entry.value_text or "")
    return Slot(entry.field, entry.round)


def _kept(each: KeptEntry, figures: Figures) -> Kept:
    from shopdesk.services.record_paper import value_words

    entry = each.entry
    return Kept(
        entry_id=entry.id,
        value=_value_text(each),
        within=_within_text(entry),
        temperature="" if entry.temp_mc is None else figures.temperature(entry.temp_mc),
        reason=entry.reason,
        instrument=entry.instrument,
        person=each.person,
        at_utc=each.at_utc,
        words=value_words(figures, entry),
    )


def _value_text(each: KeptEntry) -> str:
    entry = each.entry
    kind = FIELDS[entry.field].kind
    if kind is EntryKind.STEP:
        return "yes"
    if kind is EntryKind.YES_NO:
        return "yes" if entry.value_int else "no"
    if kind is EntryKind.GRADE:
        return str(entry.value_int)
    if kind in (EntryKind.VOLUME, EntryKind.TEMPERATURE, EntryKind.TORQUE) and each.typed:
        return each.typed
    if kind is EntryKind.SECONDS:
        return str(entry.value_int)
    return entry.value_text or ""


def _within_text(entry: Entry) -> str:
    """Give "to within" exactly, so that keeping it again changes nothing; empty where a tool says it."""
    if entry.half_width is None or entry.instrument or FIELDS[entry.field].kind is not EntryKind.VOLUME:
        return ""
    whole, part = divmod(entry.half_width, 1000)
    return f"{whole} mL" if not part else f"{whole}.{part:03d}".rstrip("0") + " mL"


def texts_of(slots: Iterable[Slot], kept: Mapping[str, Kept]) -> dict[str, str]:
    """Give the form's texts for what is kept; empty ones where nothing is."""
    texts: dict[str, str] = {}
    for slot in slots:
        known = kept.get(slot.name)
        texts[slot.name] = known.value if known else ""
        texts[f"{slot.name}:reason"] = known.reason if known else ""
        if slot.kind is EntryKind.VOLUME:
            texts[f"{slot.name}:within"] = known.within if known else ""
            texts[f"{slot.name}:temperature"] = known.temperature if known else ""
    return texts


def tool_kind(field: str) -> InstrumentKind | None:
    """Give the kind of tool that a field is read with."""
    kind = FIELDS[field].kind
    if kind is EntryKind.VOLUME:
        return InstrumentKind.PAN if field in _COMES_OUT else InstrumentKind.JUG
    by_kind = {
        EntryKind.TEMPERATURE: InstrumentKind.THERMOMETER,
        EntryKind.TORQUE: InstrumentKind.TORQUE_WRENCH,
    }
    return by_kind.get(kind)


def usual_tools(
    instruments: Iterable[InstrumentRow], kept: Mapping[str, Kept]
) -> dict[InstrumentKind, int | None]:
    """Give the tool to offer for each kind: the one this record used last, or the only one there is."""
    rows = list(instruments)
    used = {each.instrument for each in kept.values() if each.instrument}
    chosen: dict[InstrumentKind, int | None] = {}
    for kind in InstrumentKind:
        of_kind = [row for row in rows if row.kind is kind]
        known = [row for row in of_kind if row.name in used]
        best = known or (of_kind if len(of_kind) == 1 else [])
        chosen[kind] = best[0].id if best else None
    return chosen


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """One entry to keep, and the form's field it came from."""

    slot: Slot
    entry: EntryTyped


def changes(
    texts: Mapping[str, str],
    kept: Mapping[str, Kept],
    tools: Mapping[InstrumentKind, int | None],
    slots: Iterable[Slot],
    why: str = "",
) -> tuple[Change, ...]:
    """Give an entry for every slot whose texts differ from what is kept.

    What is kept already is corrected, never overwritten; an emptied field withdraws its entry. ``why``
    is the reason of corrections that have none of their own.
    """
    found = (_change(slot, texts, kept.get(slot.name), tools) for slot in slots)
    return tuple(_explained(change, why) for change in found if change is not None)


def _explained(change: "Change", why: str) -> "Change":
    entry = change.entry
    if entry.corrects_id is None or entry.reason or not why.strip():
        return change
    return replace(change, entry=replace(entry, reason=why.strip()))


def _change(
    slot: Slot,
    texts: Mapping[str, str],
    known: Kept | None,
    tools: Mapping[InstrumentKind, int | None],
) -> Change | None:
    value, within, temperature, reason = (
        texts.get(name, "").strip()
        for name in (
            slot.name,
            f"{slot.name}:within",
            f"{slot.name}:temperature",
            f"{slot.name}:reason",
        )
    )
    if known is not None and (value, within, temperature, reason) == (
        known.value,
        known.within,
        known.temperature,
        known.reason,
    ):
        return None
    if not value and known is None:
        return None
    return Change(
        slot=slot,
        entry=EntryTyped(
            field=slot.field,
            round=slot.round,
            value=slot.step if slot.step and value else value,
            within=within if value else "",
            temperature=temperature if value else "",
            instrument_id=_tool(slot, within, tools) if value else None,
            reason=reason,
            corrects_id=known.entry_id if known else None,
        ),
    )


def _tool(slot: Slot, within: str, tools: Mapping[InstrumentKind, int | None]) -> int | None:
    kind = tool_kind(slot.field)
    return None if within or kind is None else tools.get(kind)


def readable(change: Change, typed: Typed) -> bool:
    """Say whether an entry can be read already, so that a half-typed one does not stop the others."""
    try:
        read_words(change.entry, typed)
    except RuleBroken:
        return False
    return True


def read_words(entry: EntryTyped, typed: Typed) -> None:
    """Read an entry's texts as keeping it would. Raises RuleBroken naming value, within or temperature."""
    if not entry.value.strip():
        return
    readers = {
        EntryKind.VOLUME: typed.volume,
        EntryKind.TEMPERATURE: typed.temperature,
        EntryKind.TORQUE: typed.torque,
    }
    kind = FIELDS[entry.field].kind
    reader = readers.get(kind)
    if reader is not None:
        reader(entry.value, "value")
    if kind is EntryKind.SECONDS:
        units.read_whole(entry.value, field="value", least=0, most=3600)
    if entry.within.strip():
        typed.volume(entry.within, "within")
    if entry.temperature.strip():
        typed.temperature(entry.temperature, "temperature")


def field_of_refusal(path: str, sent: tuple[Change, ...]) -> str:
    """Give the form's field that a refusal is about: ``entries/3/within`` is the fourth entry's."""
    parts = path.strip("/").split("/")
    if len(parts) < 2 or parts[0] != "entries" or not parts[1].isdecimal():
        return path
    place = int(parts[1])
    if place >= len(sent):
        return path
    name = sent[place].slot.name
    last = parts[-1]
    return f"{name}:{last}" if last in ("within", "temperature", "reason") else name
