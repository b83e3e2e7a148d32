"""The order of work is a partial order: only what must not be exchanged is compared.

Times are when a step was *done*, not when it was typed; a step without a time is not recorded and
contradicts nothing. Repeats are allowed, so each rule says whether it compares the first or the
last time of either step: a unit is filled again after the engine was started, for instance, but
not after the level was set for the last time. The fill plug may be torqued before or after the
engine is started. Common practice, no source.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from gettext import gettext as _
from itertools import combinations, product

from shopdesk.domain.methods import SELECTOR_KINDS, LevelMethod, ServiceMethod, UnitKind
from shopdesk.domain.words import N_


class Step(StrEnum):
    """Steps of a service that have their place in the order."""

    FILL_PLUG_LOOSENED = N_("fill plug loosened")
    DRAINED = N_("drained")
    DRAIN_PLUG_TORQUED = N_("drain plug torqued")
    FILLED = N_("filled")
    FILL_PLUG_TORQUED = N_("fill plug torqued")
    ENGINE_STARTED = N_("engine started")
    SELECTOR_CYCLED = N_("selector cycled")
    LEVEL_SET = N_("level set")
    LEVEL_PLUG_TORQUED = N_("level plug torqued")
    LEAK_CHECKED = N_("leak checked")
    WHEEL_TORQUED = N_("wheel torqued")


class Time(StrEnum):
    """Which of a step's times a rule compares."""

    FIRST = "first"
    LAST = "last"


@dataclass(frozen=True, kw_only=True, slots=True)
class Precedence:
    """``before`` must not be later than ``after``, comparing the named time of each."""

    before: Step
    after: Step
    before_time: Time = Time.FIRST
    after_time: Time = Time.FIRST


@dataclass(frozen=True, kw_only=True, slots=True)
class OrderDeviation:
    """Two steps recorded the wrong way round."""

    before: Step
    after: Step
    before_at: datetime
    after_at: datetime
    sentence: str


_START = (Step.FILL_PLUG_LOOSENED, Step.DRAINED, Step.FILLED)
_RUN = (Step.ENGINE_STARTED, Step.SELECTOR_CYCLED)
_END = (Step.LEVEL_SET, Step.LEVEL_PLUG_TORQUED, Step.LEAK_CHECKED)
_RUNNING_LEVELS = (LevelMethod.OVERFLOW_TUBE, LevelMethod.DIPSTICK)


def usual_order(
    level_method: LevelMethod,
    kind: UnitKind,
    has_drain_plug: bool,
    *,
    has_fill_plug: bool = True,
    service_method: ServiceMethod = ServiceMethod.SINGLE,
) -> tuple[Precedence, ...]:
    """The order for a unit whose sheet gives none.

    Engine and selector have a place only where the level needs them. Without a drain plug the
    fluid is sucked out through the fill hole; without a fill plug the unit is filled from below.
    A level check is made on a warm unit and topped up with the engine running, so there filling
    and starting are not compared. Wheel nuts have no place: the wheel goes back on when the car
    comes down.
    """
    start = _START if has_fill_plug else _START[1:]
    run = _RUN if kind in SELECTOR_KINDS and level_method in _RUNNING_LEVELS else ()
    rules = [*_firsts(start), *_firsts(run), _lasts(Step.DRAINED, Step.FILLED)]
    if service_method is not ServiceMethod.LEVEL_CHECK:
        rules += _to_last(start, run)
    rules += _before_the_end(start, run)
    rules += _plug_rules(level_method, has_drain_plug, has_fill_plug)
    return tuple(rules)


def sheet_order(steps: Sequence[Step]) -> tuple[Precedence, ...]:
    """The order a sheet lists: each step's first time not after the last time of a later one.

    Lenient on purpose, as the list cannot say which of its steps are repeated.
    """
    pairs = combinations(dict.fromkeys(steps), 2)
    return tuple(Precedence(before=before, after=after, after_time=Time.LAST) for before, after in pairs)


def out_of_order(
    done: Mapping[Step, Sequence[datetime] | None], precedences: Sequence[Precedence]
) -> tuple[OrderDeviation, ...]:
    """Steps whose recorded times contradict the order, each pair named once.

    Raises ValueError for a time without a zone: that is a bug of the caller.
    """
    found: dict[tuple[Step, Step], OrderDeviation] = {}
    for rule in precedences:
        before_at = _time(done.get(rule.before), rule.before_time)
        after_at = _time(done.get(rule.after), rule.after_time)
        if before_at is not None and after_at is not None and before_at > after_at:
            deviation = _deviation(rule, before_at, after_at)
            found.setdefault((rule.before, rule.after), deviation)
    return tuple(found.values())


def _firsts(steps: Sequence[Step]) -> Iterator[Precedence]:
    return (Precedence(before=before, after=after) for before, after in combinations(steps, 2))


def _lasts(before: Step, after: Step) -> Precedence:
    return Precedence(before=before, after=after, before_time=Time.LAST, after_time=Time.LAST)


def _to_last(befores: Sequence[Step], afters: Sequence[Step]) -> Iterator[Precedence]:
    """Only the last time of the later step counts: the engine may have run for a check as found."""
    for before, after in product(befores, afters):
        yield Precedence(before=before, after=after, after_time=Time.LAST)


def _before_the_end(start: Sequence[Step], run: Sequence[Step]) -> Iterator[Precedence]:
    """What comes before the final level; the engine may be started again afterwards."""
    yield from _to_last([step for step in start if step is Step.FILL_PLUG_LOOSENED], _END)
    yield from (_lasts(before, after) for before, after in product((Step.DRAINED, Step.FILLED), _END))
    yield from _to_last(run, _END)
    yield from (_lasts(before, after) for before, after in combinations(_END, 2))


def _plug_rules(level_method: LevelMethod, has_drain_plug: bool, has_fill_plug: bool) -> Iterator[Precedence]:
    if has_drain_plug:
        yield _lasts(Step.DRAINED, Step.DRAIN_PLUG_TORQUED)
        yield Precedence(before=Step.DRAIN_PLUG_TORQUED, after=Step.LEAK_CHECKED, after_time=Time.LAST)
    if has_drain_plug and level_method is not LevelMethod.OVERFLOW_TUBE:
        yield Precedence(before=Step.DRAIN_PLUG_TORQUED, after=Step.FILLED, after_time=Time.LAST)
    if has_fill_plug:
        yield Precedence(before=Step.FILLED, after=Step.FILL_PLUG_TORQUED, after_time=Time.LAST)
        yield Precedence(before=Step.FILL_PLUG_TORQUED, after=Step.LEAK_CHECKED, after_time=Time.LAST)
    if has_fill_plug and level_method is LevelMethod.FILL_HOLE:
        yield _lasts(Step.LEVEL_SET, Step.FILL_PLUG_TORQUED)


def _time(times: Sequence[datetime] | None, which: Time) -> datetime | None:
    if not times:
        return None
    if any(each.tzinfo is None for each in times):
        raise ValueError("times of work carry their zone")
    return min(times) if which is Time.FIRST else max(times)


def _deviation(rule: Precedence, before_at: datetime, after_at: datetime) -> OrderDeviation:
    sentence = _("Recorded the other way round: “{before}” comes before “{after}”.").format(
        before=_(rule.before.value), after=_(rule.after.value)
    )
    return OrderDeviation(
        before=rule.before, after=rule.after, before_at=before_at, after_at=after_at, sentence=sentence
    )
