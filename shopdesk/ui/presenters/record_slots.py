"""What is kept of a service record, slot by slot, and what was typed instead of it as entries to keep."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from shopdesk.domain import units
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.record import FIELDS, Entry, EntryKind, current
from shopdesk.services.bay import EntryTyped, KeptEntry, RecordView
from shopdesk.services.figures import Figures
from shopdesk.services.instruments import InstrumentKind, InstrumentRow
from shopdesk.services.typed import Typed
from shopdesk.ui.presenters.record_shape import Slot

#: What comes out is read in the pan; what goes in on the jug.
_COMES_OUT = ("drained", "ran_out", "spilled", "old_filter", "left_in_hose", "found_ran_out")
TYPED_KINDS = (EntryKind.VOLUME, EntryKind.TEMPERATURE, EntryKind.TORQUE, EntryKind.LENGTH)


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
    measured_at: datetime | None = None


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
        measured_at=entry.measured_at,
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
    if kind in TYPED_KINDS and each.typed:
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
        EntryKind.LENGTH: typed.length,
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


def live_entries(sent: Iterable[Change]) -> tuple[Entry, ...]:
    """Give what was typed and not kept yet as entries with their reasons, where the text is the value."""
    return tuple(
        Entry(
            id=-1 - place,
            field=change.slot.field,
            round=change.slot.round,
            value_int=_number(change),
            value_text=change.entry.value or None,
            reason=change.entry.reason,
            corrects_id=change.entry.corrects_id,
        )
        for place, change in enumerate(sent)
        if change.slot.kind is not EntryKind.STEP
    )


def _number(change: Change) -> int | None:
    value = change.entry.value
    if change.slot.kind is EntryKind.YES_NO:
        return None if not value else int(value == "yes")
    if change.slot.kind is EntryKind.GRADE and value.isdecimal():
        return int(value)
    return None
