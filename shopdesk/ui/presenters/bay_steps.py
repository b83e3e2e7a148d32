"""What "done" keeps at a step of the bay, which steps are done, and the words around them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from gettext import gettext as _

from shopdesk.domain.level_rules import LevelRules
from shopdesk.domain.order import Step
from shopdesk.domain.record import EntryKind
from shopdesk.services.bay import EntryTyped
from shopdesk.services.figures import Figures, shown_unit
from shopdesk.services.instruments import InstrumentKind
from shopdesk.ui.presenters.bay_plan import FOUND, LOOK, STOP, BayStep
from shopdesk.ui.presenters.record_shape import Slot
from shopdesk.ui.presenters.record_slots import Change, Kept, changes


def is_done(step: BayStep, kept: Mapping[str, Kept]) -> Kept | None:
    """Give what shows that a step is done: its own entry, or all of what is measured there."""
    if step.step is not None and not _repeats(step, kept):
        return kept.get(f"step:{step.step.value}")
    found = [kept.get(slot.name) for slot in step.slots]
    whole = [each for each in found if each is not None]
    if step.part == STOP and not step.settled:
        return None
    enough = 1 if step.part in (FOUND, LOOK, STOP) else len(found)
    return whole[-1] if whole and len(whole) >= enough else None


def first_open(steps: Sequence[BayStep], kept: Mapping[str, Kept]) -> int:
    """Give the place of the first step that is not done; optional ones before a step that is are passed."""
    done = [at for at, step in enumerate(steps) if is_done(step, kept) is not None]
    last = max(done, default=-1)
    for at, step in enumerate(steps):
        passed = step.optional and at < last
        if at not in done and not passed:
            return at
    return len(steps) - 1


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
    if step.step is not None and (f"step:{step.step.value}" not in kept or _repeats(step, kept)):
        slot = Slot("step", 1, step.step.value)
        sent.append(Change(slot=slot, entry=EntryTyped(field="step", value=step.step.value)))
    return tuple(Change(slot=c.slot, entry=_at(c.entry, kept.get(c.slot.name), at)) for c in sent)


def _repeats(step: BayStep, kept: Mapping[str, Kept]) -> bool:
    """Whether the level was set before, at an earlier opening, and is to be set once more."""
    return step.opening > 1 and not any(slot.name in kept for slot in step.slots)


def _yes(field: str) -> Change:
    return Change(slot=Slot(field), entry=EntryTyped(field=field, value="yes"))


def _at(entry: EntryTyped, known: Kept | None, at: datetime) -> EntryTyped:
    """What is put right was still done when it was done."""
    corrected = known is not None and entry.corrects_id == known.entry_id
    return replace(entry, at=known.measured_at if corrected and known is not None else at)


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
