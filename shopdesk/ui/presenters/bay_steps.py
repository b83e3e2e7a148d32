"""The order of work for the bay: one step at a time, with its cautions and what is measured there."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from gettext import gettext as _

from shopdesk.domain.cautions import caution_text, cautions_for_step
from shopdesk.domain.level_rules import LevelRules
from shopdesk.domain.methods import LevelMethod
from shopdesk.domain.order import Step
from shopdesk.domain.record import EntryKind
from shopdesk.domain.sheet import Plug
from shopdesk.services.bay import EntryTyped, RecordView
from shopdesk.services.figures import Figures, shown_unit
from shopdesk.services.instruments import InstrumentKind
from shopdesk.ui.presenters.record_shape import Slot, plug_field, shape_of, wanted_steps
from shopdesk.ui.presenters.record_slots import Change, Kept, changes

LOOK, STAND, OPEN, RESULT = "look", "stand", "open", "result"


@dataclass(frozen=True, kw_only=True, slots=True)
class BayStep:
    """One step: what it is called, its cautions, what is measured. ``step`` is what "done" records."""

    key: str
    title: str
    cautions: tuple[str, ...] = ()
    slots: tuple[Slot, ...] = ()
    step: Step | None = None
    wheel: bool = False


def bay_steps(view: RecordView, *, wheel_off: bool) -> tuple[BayStep, ...]:
    """Give the steps of a record in the order of its sheet, then what comes of them."""
    steps = [each for step in wanted_steps(view) for each in _steps_of(step, view)]
    if wheel_off:
        title = _("Wheel nuts torqued")
        cautions = _cautions(Step.WHEEL_TORQUED, view)
        steps.append(
            BayStep(key="wheel", title=title, cautions=cautions, step=Step.WHEEL_TORQUED, wheel=True)
        )
    return (*steps, BayStep(key=RESULT, title=_("What comes of it")))


def _steps_of(step: Step, view: RecordView) -> Iterator[BayStep]:
    if step is Step.LEVEL_SET:
        yield from _level_steps(view)
        return
    yield BayStep(
        key=step.value,
        title=_(step.value).capitalize(),
        cautions=_cautions(step, view),
        slots=_present(view, _FIELDS.get(step, ())),
        step=step,
    )
    if step is Step.DRAINED:
        look = ("appearance", "odour", "particles", "milky")
        yield BayStep(key=LOOK, title=_("Look at the old fluid"), slots=_present(view, look))


def _level_steps(view: RecordView) -> Iterator[BayStep]:
    cautions = _cautions(Step.LEVEL_SET, view)
    stand = _present(view, ("vehicle_level", "stance", "engine"))
    yield BayStep(key=STAND, title=_("Before the level is set"), cautions=cautions, slots=stand)
    tube = view.sheet.body.level.method is LevelMethod.OVERFLOW_TUBE
    rounds = [slot for slot in _all(view) if slot.field in _OPENING]
    last = max((slot.round for slot in rounds), default=1)
    if tube:
        for number in range(1, last + 1):
            yield _opening(view, number, cautions)
    closing: tuple[Slot, ...] = tuple(
        slot for slot in _all(view) if slot.round == last and slot.field in (*_CLOSING, "ran_out")
    )
    reading = ("reading_temperature", "edge_distance", "between_marks", "marks_read", "ran_out")
    yield BayStep(
        key=Step.LEVEL_SET.value,
        title=_("Close the level plug") if tube else _("Level set"),
        cautions=cautions,
        slots=closing if tube else _present(view, reading),
        step=Step.LEVEL_SET,
    )


def _opening(view: RecordView, number: int, cautions: tuple[str, ...]) -> BayStep:
    wanted = ("open_temperature", "flow_at_opening")
    return BayStep(
        key=f"{OPEN} {number}",
        title=_("Open the level plug") if number == 1 else _("Open again, {n}").format(n=number),
        cautions=cautions,
        slots=tuple(slot for slot in _all(view) if slot.round == number and slot.field in wanted),
    )


_OPENING = ("open_temperature", "flow_at_opening", "close_temperature", "flow_at_closing")
_CLOSING = ("close_temperature", "flow_at_closing")
_FIELDS: dict[Step, tuple[str, ...]] = {
    Step.DRAINED: ("drained",),
    Step.DRAIN_PLUG_TORQUED: (plug_field(Plug.DRAIN, "torque"), plug_field(Plug.DRAIN, "washer")),
    Step.FILLED: ("put_in", "spilled"),
    Step.FILL_PLUG_TORQUED: (plug_field(Plug.FILL, "torque"), plug_field(Plug.FILL, "washer")),
    Step.SELECTOR_CYCLED: ("selector_dwell",),
    Step.LEVEL_PLUG_TORQUED: (plug_field(Plug.LEVEL, "torque"), plug_field(Plug.LEVEL, "washer")),
}


def _all(view: RecordView) -> tuple[Slot, ...]:
    return shape_of(view).slots()


def _present(view: RecordView, fields: Sequence[str]) -> tuple[Slot, ...]:
    """Give the slots of these fields that the form has for this record, in this order."""
    slots = _all(view)
    return tuple(slot for field in fields for slot in slots if slot.field == field)


def _cautions(step: Step, view: RecordView) -> tuple[str, ...]:
    """Every caution of a step, and the sheet's own with the level."""
    method = view.sheet.body.level.method
    found = cautions_for_step(step, kind=view.unit_kind, level_method=method)
    own = view.sheet.body.cautions if step in (Step.FILL_PLUG_LOOSENED, Step.LEVEL_SET) else ()
    return (*own, *(caution_text(caution) for caution in found))


def is_done(step: BayStep, kept: Mapping[str, Kept]) -> Kept | None:
    """Give what shows that a step is done: its own entry, or all of what is measured there."""
    if step.step is not None:
        return kept.get(f"step:{step.step.value}")
    found = [kept.get(slot.name) for slot in step.slots]
    whole = [each for each in found if each is not None]
    return whole[-1] if whole and len(whole) == len(found) else None


def first_open(steps: Sequence[BayStep], kept: Mapping[str, Kept]) -> int:
    """Give the place of the first step that is not done."""
    return next((at for at, step in enumerate(steps) if is_done(step, kept) is None), len(steps) - 1)


def done_entries(
    step: BayStep,
    texts: Mapping[str, str],
    kept: Mapping[str, Kept],
    tools: Mapping[InstrumentKind, int | None],
    at: datetime,
) -> tuple[Change, ...]:
    """Give what "done" keeps: everything typed on this step, and that it was done at ``at``."""
    sent = list(changes(texts, kept, tools, step.slots))
    if step.step is Step.SELECTOR_CYCLED and "selector_cycled:1" not in kept:
        sent.append(_yes("selector_cycled"))
    if step.step is not None and f"step:{step.step.value}" not in kept:
        slot = Slot("step", 1, step.step.value)
        sent.append(Change(slot=slot, entry=EntryTyped(field="step", value=step.step.value)))
    return tuple(Change(slot=c.slot, entry=_at(c.entry, at)) for c in sent)


def _yes(field: str) -> Change:
    return Change(slot=Slot(field), entry=EntryTyped(field=field, value="yes"))


def _at(entry: EntryTyped, at: datetime) -> EntryTyped:
    return replace(entry, at=at)


def undo_entries(sent: Iterable[Change], entry_ids: Sequence[int]) -> tuple[Change, ...]:
    """Give what takes back what "done" has just kept. A corrected value stays corrected."""
    return tuple(
        Change(
            slot=change.slot,
            entry=EntryTyped(
                field=change.entry.field, round=change.entry.round, value="", corrects_id=entry_id
            ),
        )
        for change, entry_id in zip(sent, entry_ids, strict=True)
        if change.entry.corrects_id is None
    )


def units_of(slot: Slot, figures: Figures) -> tuple[str, ...]:
    """Give the units on the number pad's keys, the shop's own first."""
    shop = figures.shop
    keys: dict[EntryKind, tuple[str, tuple[str, ...]]] = {
        EntryKind.VOLUME: (shop.volume_unit, ("qt", "l", "ml")),
        EntryKind.TEMPERATURE: (shop.temperature_unit, ("degf", "degc")),
        EntryKind.TORQUE: (shop.torque_unit, ("lbf*ft", "nm")),
    }
    if slot.kind is EntryKind.LENGTH:
        return ("mm", "in")
    if slot.kind not in keys:
        return ()
    own, others = keys[slot.kind]
    return tuple(shown_unit(unit) for unit in dict.fromkeys((own, *others)))


def window_words(mc: int, rules: LevelRules) -> str:
    """Say where a temperature lies against the sheet's window."""
    if rules.window_low_mc is None or rules.window_high_mc is None:
        return ""
    if mc < rules.window_low_mc:
        return _("below the window: wait")
    return _("above the window: let it cool") if mc > rules.window_high_mc else _("inside the window")


def progress_words(place: int, count: int) -> str:
    """Say which step this is."""
    return _("Step {n} of {count}").format(n=place + 1, count=count)


def done_words(known: Kept, figures: Figures) -> str:
    """Say when a step was done and by whom."""
    return _("Done {time}, {person}").format(time=figures.clock(known.at_utc), person=known.person)
