"""Which steps the bay walks through: the sheet's order of work with what this record asks for besides.

Between the sheet's own steps stand the check as found, the look at the old fluid and the stop it may call
for, and for an overflow tube every opening of the level plug with its warm-up, as often as it took.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.domain.cautions import Caution, caution_text, cautions_for_step
from shopdesk.domain.level_rules import Flow
from shopdesk.domain.methods import SELECTOR_KINDS, LevelMethod, ServiceMethod
from shopdesk.domain.order import Step
from shopdesk.domain.record import Facts
from shopdesk.domain.sheet import Plug
from shopdesk.domain.stop_rule import stop_rule
from shopdesk.services.bay import RecordView
from shopdesk.ui.presenters.record_shape import FOUND as FOUND_FIELDS
from shopdesk.ui.presenters.record_shape import STOP as STOP_FIELDS
from shopdesk.ui.presenters.record_shape import Slot, plug_field, shape_of, wanted_steps

FOUND, LOOK, STOP, STAND, WARM, OPEN, CLOSE, ADD, ROUND, RESULT = (
    "found", "look", "stop", "stand", "warm", "open", "close", "add", "round", "result",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True, slots=True)
class BayStep:
    """One step: what it is called, its cautions, what is measured. ``step`` is what "done" records.

    ``part`` says what kind of step it is, ``opening`` which opening of the level plug it belongs to. An
    ``optional`` step that was passed over is not gone back to; ``settled``: a stop to which all was done.
    """

    key: str
    title: str
    cautions: tuple[str, ...] = ()
    slots: tuple[Slot, ...] = ()
    step: Step | None = None
    wheel: bool = False
    part: str = ""
    opening: int = 0
    optional: bool = False
    settled: bool = False
    advice: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class More:
    """How many rounds and openings were asked for beyond what is kept."""

    fillings: int = 1
    openings: int = 1


def bay_steps(view: RecordView, *, wheel_off: bool, more: More = More()) -> tuple[BayStep, ...]:
    """Give the steps of a record in the order of its sheet, then what comes of them."""
    plan = _Plan(view, more)
    steps = [each for step in wanted_steps(view) for each in plan.steps_of(step)]
    if wheel_off:
        title = _("Wheel nuts torqued")
        cautions = _cautions(Step.WHEEL_TORQUED, view)
        steps.append(
            BayStep(key="wheel", title=title, cautions=cautions, step=Step.WHEEL_TORQUED, wheel=True)
        )
    return (*steps, BayStep(key=RESULT, title=_("What comes of it"), part=RESULT))


class _Plan:
    """The steps of one record; what is kept decides how often fluid is added and the plug opened."""

    def __init__(self, view: RecordView, more: More) -> None:
        self._view = view
        self._facts = Facts(each.entry for each in view.entries)
        self._openings = max(more.openings, self._openings_kept())
        added = self._added_kept()
        self._fillings = self._drained_for(more.fillings, added)
        free = max((*self._fillings, *added)) + 1
        self._added = (*added, *range(free, free + self._openings))
        self._slots = shape_of(view, fillings=self._added[-1], openings=self._openings).slots()

    def steps_of(self, step: Step) -> Iterator[BayStep]:
        if step is Step.LEVEL_SET:
            yield from self._level()
            return
        if step is Step.DRAINED and self._view.sheet.body.level.method is not LevelMethod.MEASURED_REFILL:
            yield self._as_found()
        yield BayStep(
            key=step.value,
            title=_(step.value).capitalize(),
            cautions=_cautions(step, self._view),
            slots=self._first(_FIELDS.get(step, ())),
            step=step,
        )
        if step is Step.DRAINED:
            yield from self._old_fluid()
        if step is Step.FILLED:
            yield from self._rounds()

    def _openings_kept(self) -> int:
        """As many as are recorded, and one more where at the last nothing ran out as it should."""
        kept = self._facts.rounds(
            "open_temperature", "flow_at_opening", "close_temperature", "flow_at_closing"
        )
        last = max(kept, default=1)
        return last + 1 if self.too_low(last) else last

    def _added_kept(self) -> list[int]:
        """The fillings that were added because the level stood too low: nothing was drained for them.

        A repeated drain and fill drains for each of the others, whether what came out was noted or not.
        """
        kept = [number for number in self._facts.rounds("put_in", "spilled") if number > 1]
        if self._view.service_method is not ServiceMethod.REPEATED:
            return kept
        drained = self._facts.rounds("drained")
        undrained = [number for number in kept if number not in drained]
        return undrained[max(len(undrained) - self._too_low_before(self._openings), 0) :]

    def _drained_for(self, wanted: int, added: Sequence[int]) -> list[int]:
        """The fillings that the unit is drained for: those kept, and as many more as are ``wanted``."""
        if self._view.service_method is not ServiceMethod.REPEATED:
            return [1]
        kept = sorted({1, *self._facts.rounds("put_in", "spilled", "drained")} - set(added))
        free = max((*kept, *added)) + 1
        return [*kept, *range(free, free + wanted - len(kept))]

    def too_low(self, opening: int) -> bool:
        """Whether the flow at an opening shows that fluid must be added."""
        flow = self._facts.word("flow_at_opening", opening)
        return bool(flow) and Flow(flow or "") not in self._view.sheet.body.level.flow_at_opening

    def _first(self, fields: Sequence[str]) -> tuple[Slot, ...]:
        """Give the slots of these fields in the first round, in this order."""
        return self._of(fields, 1)

    def _of(self, fields: Sequence[str], number: int) -> tuple[Slot, ...]:
        by_name = {(slot.field, slot.round): slot for slot in self._slots}
        return tuple(by_name[field, number] for field in fields if (field, number) in by_name)

    def _as_found(self) -> BayStep:
        return BayStep(
            key=FOUND,
            title=_("Level as found, before draining"),
            cautions=_cautions(Step.LEVEL_SET, self._view),
            slots=self._first(FOUND_FIELDS),
            part=FOUND,
            optional=True,
            advice=_(
                "Warm it into its window, open the level plug: measure what runs out, or add until it runs. "
                "Go on to the next step to leave it out."
            ),
        )

    def _old_fluid(self) -> Iterator[BayStep]:
        look = self._first(("appearance", "odour", "particles", "milky"))
        yield BayStep(key=LOOK, title=_("Look at the old fluid"), slots=look, part=LOOK, optional=True)
        stop = stop_rule(self._facts)
        if stop.reasons:
            asked = self._first(STOP_FIELDS)
            yield BayStep(key=STOP, title=_("Stop"), slots=asked, part=STOP, settled=not stop.needed)

    def _rounds(self) -> Iterator[BayStep]:
        """The further rounds of a repeated drain and fill."""
        if self._view.service_method is not ServiceMethod.REPEATED:
            return
        for number in self._fillings[1:]:
            yield BayStep(
                key=f"{ROUND} {number}",
                title=_("Drain and fill, round {n}").format(n=number),
                cautions=_cautions(Step.DRAINED, self._view),
                slots=self._of(("drained", "put_in", "spilled"), number),
                part=ROUND,
            )

    def _level(self) -> Iterator[BayStep]:
        cautions = _cautions(Step.LEVEL_SET, self._view)
        stand = self._first(("vehicle_level", "stance", "engine"))
        yield BayStep(
            key=STAND, title=_("Before the level is set"), cautions=cautions, slots=stand, optional=True
        )
        rules = self._view.sheet.body.level
        if rules.method is LevelMethod.OVERFLOW_TUBE:
            at_plug = _cautions(Step.LEVEL_SET, self._view, leave=_BESIDE)
            for number in range(1, self._openings + 1):
                yield from self._opening(number, at_plug)
            return
        if rules.window_low_mc is not None or rules.cold_low_mc is not None:
            yield self._warm(1)
        fields = ("reading_temperature", "edge_distance", "between_marks", "marks_read", "ran_out")
        yield BayStep(
            key=Step.LEVEL_SET.value,
            title=_("Level set"),
            cautions=cautions,
            slots=self._first(fields),
            step=Step.LEVEL_SET,
            part=OPEN if rules.window_low_mc is not None else "",
        )

    def _opening(self, number: int, cautions: tuple[str, ...]) -> Iterator[BayStep]:
        yield self._warm(number)
        again = _("Open the level plug again, {n}").format(n=number)
        yield BayStep(
            key=f"{OPEN} {number}",
            title=_("Open the level plug") if number == 1 else again,
            cautions=cautions,
            slots=self._of(("open_temperature", "flow_at_opening"), number),
            part=OPEN,
            opening=number,
        )
        if self.too_low(number):
            yield self._add(number)
        else:
            yield self._close(number, cautions)

    def _warm(self, number: int) -> BayStep:
        return BayStep(
            key=f"{WARM} {number}",
            title=_("Warm up") if number == 1 else _("Warm up again, {n}").format(n=number),
            cautions=_cautions(Step.SELECTOR_CYCLED, self._view)
            if self._view.unit_kind in SELECTOR_KINDS
            else (),
            part=WARM,
            opening=number,
            optional=True,
        )

    def _add(self, opening: int) -> BayStep:
        """The fluid added after an opening at which it stood too low: a filling of its own, never drained."""
        return BayStep(
            key=f"{ADD} {opening + 1}",
            title=_("Close, add fluid"),
            cautions=_cautions(Step.FILLED, self._view),
            slots=self._of(("put_in", "spilled"), self._added[self._too_low_before(opening)]),
            part=ADD,
            opening=opening + 1,
            optional=True,
            advice=_("It stood too low. Close the plug, add fluid, then warm up and open again."),
        )

    def _too_low_before(self, opening: int) -> int:
        return sum(self.too_low(number) for number in range(1, opening))

    def _close(self, number: int, cautions: tuple[str, ...]) -> BayStep:
        last = number == self._openings
        return BayStep(
            key=Step.LEVEL_SET.value if last else f"{CLOSE} {number}",
            title=_("Close the level plug"),
            cautions=cautions,
            slots=self._of((*_CLOSING, "ran_out"), number),
            step=Step.LEVEL_SET if last else None,
            part=CLOSE,
            opening=number,
            optional=not last,
        )


_CLOSING = ("close_temperature", "flow_at_closing")
_FIELDS: dict[Step, tuple[str, ...]] = {
    Step.DRAINED: ("drained",),
    Step.DRAIN_PLUG_TORQUED: (plug_field(Plug.DRAIN, "torque"), plug_field(Plug.DRAIN, "washer")),
    Step.FILLED: ("put_in", "spilled"),
    Step.FILL_PLUG_TORQUED: (plug_field(Plug.FILL, "torque"), plug_field(Plug.FILL, "washer")),
    Step.SELECTOR_CYCLED: ("selector_dwell",),
    Step.LEVEL_PLUG_TORQUED: (plug_field(Plug.LEVEL, "torque"), plug_field(Plug.LEVEL, "washer")),
}


#: Told with the step before, so that at the plug only what matters there stands.
_BESIDE = frozenset({Caution.SPILL, Caution.WASTE})


def _cautions(step: Step, view: RecordView, leave: frozenset[Caution] = frozenset()) -> tuple[str, ...]:
    """Every caution of a step, and the sheet's own with the level; ``leave`` are told elsewhere."""
    method = view.sheet.body.level.method
    found = cautions_for_step(step, kind=view.unit_kind, level_method=method)
    own = view.sheet.body.cautions if step in (Step.FILL_PLUG_LOOSENED, Step.LEVEL_SET) else ()
    return (*own, *(caution_text(caution) for caution in found if caution not in leave))
