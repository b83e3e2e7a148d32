"""Words of the service form: what the sheet asks for, what is kept, and the choices to pick from."""

from collections.abc import Iterable, Mapping, Sequence
from gettext import gettext as _

from shopdesk.domain import units
from shopdesk.domain.deviations import REASON_FIELD, Deviation
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.methods import ServiceMethod
from shopdesk.domain.record import FIELDS, EntryKind
from shopdesk.domain.sheet import Plug
from shopdesk.services.bay import RecordView
from shopdesk.services.figures import Figures
from shopdesk.services.instruments import InstrumentKind, InstrumentRow
from shopdesk.services.items import ClaimBasis, ItemView
from shopdesk.services.sheets import SheetView
from shopdesk.services.typed import Typed
from shopdesk.ui.presenters.record_shape import Shape, Slot, plug_field
from shopdesk.ui.presenters.record_slots import Kept

Choices = list[tuple[str, str]]

#: Strongest claim first.
_STRENGTH = {basis: place for place, basis in enumerate(ClaimBasis)}


def method_choices() -> Choices:
    """Give the ways of changing the fluid."""
    return [(method.value, _(method.value).capitalize()) for method in ServiceMethod]


def claim_of(goods: ItemView, specification: str) -> ClaimBasis | None:
    """Give the strongest ground on which a fluid is said to suit a specification, or None."""
    found = [claim.basis for claim in goods.claims if claim.specification == specification]
    return min(found, key=_STRENGTH.__getitem__, default=None)


def fluid_choices(goods: Iterable[ItemView], specification: str) -> Choices:
    """Give the fluids to choose from, those that suit the sheet first, by the strength of their claim."""

    def place(item: ItemView) -> tuple[int, str]:
        claim = claim_of(item, specification)
        return (len(_STRENGTH) if claim is None else _STRENGTH[claim]), item.name.casefold()

    def words(item: ItemView) -> str:
        claim = claim_of(item, specification)
        suits = _("no claim on record for {specification}").format(specification=specification)
        return f"{item.name}  ({_(claim.value) + ': ' + specification if claim else suits})"

    return [("", _("Not chosen yet")), *((str(i.id), words(i)) for i in sorted(goods, key=place))]


def best_fluid(goods: Iterable[ItemView], specification: str) -> str:
    """Give the key of the fluid that suits best, or nothing where none claims to."""
    suiting = [item for item in goods if claim_of(item, specification) is not None]
    choices = fluid_choices(suiting, specification)
    return choices[1][0] if len(choices) > 1 else ""


def choices_of(slot: Slot) -> Choices:
    """Give what a slot may be, "not recorded" first."""
    rule = FIELDS[slot.field]
    first = ("", _("Not recorded"))
    if rule.kind is EntryKind.YES_NO:
        return [first, ("yes", _("Yes")), ("no", _("No"))]
    if rule.kind is EntryKind.GRADE:
        return [first, *((str(grade), f"{grade}  {_(word)}") for grade, word in enumerate(rule.choices))]
    return [first, *((choice, _(choice).capitalize()) for choice in rule.choices)]


def tool_choices(rows: Iterable[InstrumentRow], kind: InstrumentKind) -> Choices:
    """Give the tools of one kind to pick from."""
    found = [(str(row.id), row.name) for row in rows if row.kind is kind]
    return [("", _("Not chosen") if found else _("None yet: add it in Set-up, Measuring tools")), *found]


def tool_label(kind: InstrumentKind) -> str:
    """Give what a tool is picked for."""
    labels = {
        InstrumentKind.PAN: _("What came out, read in"),
        InstrumentKind.JUG: _("What went in, read on"),
        InstrumentKind.THERMOMETER: _("Temperatures, read on"),
        InstrumentKind.TORQUE_WRENCH: _("Torques, set on"),
    }
    return labels[kind]


def within_hint(kind: InstrumentKind | None, rows: Iterable[InstrumentRow], chosen: int | None,
                figures: Figures) -> str:  # fmt: skip
    """Say to within what a volume is read when nothing is typed: the chosen tool's, or a cautious one."""
    row = next((row for row in rows if row.id == chosen and row.kind is kind), None)
    if row is None:
        return _("Assumed ± {volume}").format(volume=figures.volume(50_000))
    return f"± {figures.volume(row.half_width, places=3)}, {row.name}"


def sheet_help(slot: Slot, view: RecordView, figures: Figures) -> str:
    """Say what the sheet asks for in a slot, or nothing."""
    sheet, level = view.sheet, view.sheet.body.level
    if slot.field in ("drained", "put_in") and slot.round == 1 and sheet.service_fill_ul:
        return _("Sheet: {volume}").format(volume=figures.volume(sheet.service_fill_ul))
    if slot.field == "edge_distance":
        return _("With its unit, such as 3 mm")
    if slot.field in ("open_temperature", "close_temperature", "reading_temperature"):
        window = figures.window(level.window_low_mc, level.window_high_mc)
        return _("Sheet: {window}").format(window=window) if window else ""
    if slot.field == "selector_dwell" and level.selector_dwell_s is not None:
        return _("Sheet: {n} s at least").format(n=level.selector_dwell_s)
    if slot.field == "engine" and level.engine is not None:
        return _("Sheet: {state}").format(state=_(level.engine.value))
    if slot.field in ("flow_at_opening", "flow_at_closing"):
        wanted = level.flow_at_opening if slot.field == "flow_at_opening" else level.flow_at_closing
        return _("Sheet: {flow}").format(flow=_(" or ").join(sorted(_(flow.value) for flow in wanted)))
    return _plug_help(slot, view, figures)


def _plug_help(slot: Slot, view: RecordView, figures: Figures) -> str:
    for plug in Plug:
        if slot.field == plug_field(plug, "torque"):
            torque = view.sheet.body.torque_of(plug)
            return _("Sheet: {torque}").format(torque=figures.torque(torque.torque_mnm)) if torque else ""
        if slot.field == plug_field(plug, "washer"):
            need = next((w.text for w in view.sheet.body.washers if w.plug is plug), "")
            return _("Sheet: {washer}").format(washer=need) if need else ""
    return ""


def kept_words(known: Kept, figures: Figures) -> str:
    """Say who kept a value and when."""
    return _("kept {time}, {person}").format(time=figures.clock(known.at_utc), person=_short(known.person))


def _short(person: str) -> str:
    """The given name is enough beside a field; where a figure came from tells the whole name."""
    return person.split()[0] if person.split() else person


def value_shown(slot: Slot, text: str, typed: Typed, figures: Figures) -> str:
    """Give a typed value in the shop's units. Raises RuleBroken if it cannot be read."""
    if slot.kind is EntryKind.VOLUME:
        return figures.volume(typed.volume(text, slot.name).value)
    if slot.kind is EntryKind.TEMPERATURE:
        return figures.temperature(typed.temperature(text, slot.name).value)
    if slot.kind is EntryKind.TORQUE:
        return figures.torque(typed.torque(text, slot.name).value)
    if slot.kind is EntryKind.LENGTH:
        return figures.length(typed.length(text, slot.name).value)
    seconds = units.read_whole(text, field=slot.name, least=0, most=3600)
    return _("{n} s").format(n=seconds)


def beneath(shown: str, text: str, known: Kept | None, figures: Figures) -> str:
    """Give the line beneath a field: the value read, and who kept it or what stands kept instead."""
    if known is None:
        return _("reads as {value}").format(value=shown)
    if text.strip() == known.value:
        return f"{shown}, {kept_words(known, figures)}"
    return _("{shown}; kept was {words}, {person}").format(
        shown=shown, words=known.words, person=_short(known.person)
    )


def sheet_line(sheet: SheetView, figures: Figures) -> str:
    """Say which sheet the record is held to, in one line."""
    window = figures.window(sheet.body.level.window_low_mc, sheet.body.level.window_high_mc)
    parts = [
        _("Sheet {designation}, revision {n}").format(designation=sheet.designation, n=sheet.revision),
        sheet.specification,
        f"{_(sheet.body.level.method.value)} {window}".strip(),
        _("total {volume}").format(volume=figures.volume(sheet.total_ul)) if sheet.total_ul else "",
    ]
    return "  ·  ".join(part for part in parts if part)


def reason_slots(found: Sequence[Deviation], shape: Shape) -> dict[str, str]:
    """Give, by the name of a slot, what was done otherwise there and wants a reason."""
    wanted: dict[str, str] = {}
    for each in found:
        about, _colon, rest = each.key.partition(":")
        field = {
            "washer": f"{rest.replace(' ', '_')}_washer",
            "torque": f"{rest.replace(' ', '_')}_torque",
            "condition": REASON_FIELD.get(rest, ""),
        }.get(about, "")
        slots = [slot for slot in shape.slots() if slot.field == field]
        if slots:
            wanted[max(slots, key=lambda slot: slot.round).name] = each.what
    return wanted


def explainable(shape: Shape) -> tuple[Slot, ...]:
    """Give the slots that may want a reason."""
    fields = set(REASON_FIELD.values())
    return tuple(
        slot for slot in shape.slots() if slot.field in fields or slot.field.endswith(("_washer", "_torque"))
    )


def live_volumes(texts: Mapping[str, str], shape: Shape, typed: Typed) -> dict[str, int]:
    """Give the volumes in the form that can be read, in µL by the name of their slot."""
    found: dict[str, int] = {}
    for slot in shape.slots():
        text = texts.get(slot.name, "")
        if slot.kind is EntryKind.VOLUME and text.strip():
            try:
                found[slot.name] = typed.volume(text, slot.name).value
            except RuleBroken:
                continue
    return found


def help_words(field: str) -> str:
    """Give what F1 says about a measured field, or nothing."""
    words = {
        "drained": _("All that came out before filling, with what dripped afterwards."),
        "put_in": _(
            "All that went in, also what ran out again or was spilled. Any unit may be typed: 5.1 qt."
        ),
        "spilled": _("What went beside the unit, estimated if it must be. Nothing spilled is 0, not empty."),
        "ran_out": _("What ran out of the level opening until it only dripped, caught and measured."),
        "found_ran_out": _("What ran out when the level was checked on arrival, warm, before draining."),
        "found_added": _("What had to be added on arrival until fluid ran out, before draining."),
        "old_filter": _("What went away in the old filter or pan. The new filter fills inside the unit."),
        "left_in_hose": _("New fluid that never reached the unit. Nothing if the pump was primed before."),
        "open_temperature": _("Read on the tool at the moment the level plug is opened."),
        "close_temperature": _("Read on the tool at the moment the level plug is closed."),
    }
    return words.get(field, "")


def label_in_form(slot: Slot) -> str:
    """Give a slot's name under its heading in the form, with its round where there are several."""
    short = {
        "found_temperature": _("Temperature then"),
        "found_ran_out": _("Ran out then"),
        "found_added": _("Added until it was right"),
    }
    label = short.get(slot.field, slot.label)
    return _("{label}, round {n}").format(label=label, n=slot.round) if slot.round > 1 else label
