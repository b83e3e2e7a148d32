"""Before "done" is kept: what is out of order or otherwise than the sheet says, and reasons to pick from."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from gettext import gettext as _

from shopdesk.domain.deviations import Deviation
from shopdesk.domain.order import Step, usual_order
from shopdesk.domain.stop_rule import Stop
from shopdesk.services.bay import EntryTyped, RecordView
from shopdesk.ui.presenters.bay_plan import STOP, BayStep
from shopdesk.ui.presenters.record_shape import Slot, shape_of, wanted_steps
from shopdesk.ui.presenters.record_slots import Change, Kept
from shopdesk.ui.presenters.record_words import reason_slots
from shopdesk.ui.presenters.verdict import done_otherwise

#: What belongs to closing a unit that is left as it came: never held up by a stop.
_CLOSING = (
    Step.DRAIN_PLUG_TORQUED, Step.FILL_PLUG_TORQUED, Step.LEVEL_PLUG_TORQUED, Step.WHEEL_TORQUED,
    Step.LEAK_CHECKED,
)  # fmt: skip

#: A flow that shows too little is no deviation: fluid is added and the opening repeated.
_REPEATS = "condition:flow_open"


@dataclass(frozen=True, kw_only=True, slots=True)
class Odd:
    """Something that wants a reason. ``slot`` names the entry the reason goes to; without one it becomes
    a deviation of its own. ``missing`` are steps that may have been done and not been recorded."""

    sentence: str
    slot: str = ""
    missing: tuple[Step, ...] = ()


def missing_before(step: BayStep, view: RecordView, kept: Mapping[str, Kept]) -> tuple[Step, ...]:
    """Give the sheet's steps that come before this one and are not recorded."""
    if step.step is None or f"step:{step.step.value}" in kept:
        return ()
    wanted = wanted_steps(view)
    body = view.sheet.body
    rules = usual_order(
        body.level.method, view.unit_kind, body.has_drain_plug, service_method=view.service_method
    )
    before = {rule.before for rule in rules if rule.after is step.step}
    return tuple(each for each in wanted if each in before and f"step:{each.value}" not in kept)


def odd_order(step: BayStep, view: RecordView, kept: Mapping[str, Kept], stop: Stop) -> tuple[Odd, ...]:
    """Say what should come before this step, and that a stop still holds."""
    found = []
    missing = missing_before(step, view, kept)
    if missing:
        names = ", ".join(_(each.value) for each in missing)
        sentence = _("Not recorded before “{step}”: {missing}.").format(step=step.title, missing=names)
        found.append(Odd(sentence=sentence, missing=missing))
    if stop.holds and step.part != STOP and step.step is not None and step.step not in _CLOSING:
        sentence = _("The old fluid called for a stop, which still holds. {sentence}")
        found.append(Odd(sentence=sentence.format(sentence=stop.sentence)))
    return tuple(found)


def odd_values(before: RecordView, after: RecordView, sent: Sequence[Change]) -> tuple[Odd, ...]:
    """Say what the entries about to be kept do otherwise than the sheet, without a reason yet."""
    known = {each.key for each in done_otherwise(before)}
    new = [
        each
        for each in done_otherwise(after)
        if each.key not in known and not each.reason and each.key != _REPEATS
    ]
    touched = {change.slot.name for change in sent}
    by_slot = reason_slots(new, shape_of(after))
    return tuple(_odd(each, by_slot) for each in new if _is_about(each, by_slot, touched))


def _is_about(each: Deviation, by_slot: Mapping[str, str], touched: Iterable[str]) -> bool:
    """Conditions that nobody recorded yet are no deviation of this step."""
    return each.key.startswith("order:") or any(
        what == each.what and slot in touched for slot, what in by_slot.items()
    )


def _odd(each: Deviation, by_slot: Mapping[str, str]) -> Odd:
    slot = next((name for name, what in by_slot.items() if what == each.what), "")
    return Odd(sentence=each.what, slot=slot)


def reasons() -> tuple[str, ...]:
    """Give the reasons to pick from; another can be written."""
    return (
        _("This unit needs it otherwise"),
        _("The part was not to be had"),
        _("Could not be reached or loosened"),
        _("The customer asked for it"),
        _("The tool was not at hand"),
        _("Seen too late"),
    )


def with_reason(
    sent: Sequence[Change], odd: Sequence[Odd], reason: str, view: RecordView
) -> tuple[Change, ...]:
    """Give the entries with the reason in its place; what has no entry becomes a deviation of its own."""
    slots = {each.slot for each in odd if each.slot}
    explained = [
        replace(change, entry=replace(change.entry, reason=reason)) if change.slot.name in slots else change
        for change in sent
    ]
    number = _next_round(view, "deviation")
    loose = [each for each in odd if not each.slot]
    for at, each in enumerate(loose, start=number):
        entry = EntryTyped(field="deviation", round=at, value=each.sentence, reason=reason)
        explained.append(Change(slot=Slot("deviation", at), entry=entry))
    return tuple(explained)


def with_missing(sent: Sequence[Change], odd: Sequence[Odd]) -> tuple[Change, ...]:
    """Give the entries with those steps before them that were done and not recorded, without a time."""
    steps = dict.fromkeys(step for each in odd for step in each.missing)
    done = [
        Change(slot=Slot("step", 1, step.value), entry=EntryTyped(field="step", value=step.value))
        for step in steps
    ]
    return (*done, *sent)


def note_of(view: RecordView, words: str) -> EntryTyped:
    """Give a note as an entry."""
    return EntryTyped(field="note", round=_next_round(view, "note"), value=words)


def _next_round(view: RecordView, field: str) -> int:
    return max((each.entry.round for each in view.entries if each.entry.field == field), default=0) + 1
