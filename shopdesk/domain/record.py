"""The service record: one entry for each thing measured or seen, and what follows from all of them.

Entries are facts. A later entry may correct an earlier one by naming it; nothing is overwritten.
Whatever is not entered is *not recorded*, never a silent yes, no or zero.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from shopdesk.domain.budget import LevelSetting, VolumeReading
from shopdesk.domain.expansion import vcf
from shopdesk.domain.level import (
    ASSUMED_REPEATABILITY_UL,
    ASSUMED_TOTAL_UL,
    Balance,
    work_out_balance,
)
from shopdesk.domain.level_found import AsFound, FoundLevel, check_as_found
from shopdesk.domain.methods import ServiceMethod, UnitKind
from shopdesk.domain.order import OrderDeviation, Step, out_of_order, usual_order
from shopdesk.domain.proof import EngineState, Flow, LevelFacts, Marks, Opening, Proof, Stance, prove_level
from shopdesk.domain.record_fields import APPEARANCE as APPEARANCE
from shopdesk.domain.record_fields import FIELDS as FIELDS
from shopdesk.domain.record_fields import ODOUR as ODOUR
from shopdesk.domain.record_fields import PARTICLES as PARTICLES
from shopdesk.domain.record_fields import WASHERS as WASHERS
from shopdesk.domain.record_fields import EntryKind as EntryKind
from shopdesk.domain.record_fields import EntryRule as EntryRule
from shopdesk.domain.record_fields import StopDecision as StopDecision
from shopdesk.domain.renewal import FreshShare, Round, fresh_share
from shopdesk.domain.sheet import Plug, SheetBody


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """One entry as kept; what its integers mean says :data:`FIELDS`."""

    id: int
    field: str
    round: int = 1
    value_int: int | None = None
    value_text: str | None = None
    half_width: int | None = None
    temp_mc: int | None = None
    measured_at: datetime | None = None
    instrument: str = ""
    corrects_id: int | None = None
    reason: str = ""


#: What may stand several times in a record; of everything else the last word counts.
SEVERAL = frozenset({"step", "deviation", "note"})


def current(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Give the entries that stand: without those corrected by another, the last word on each field.

    Steps, deviations and notes may stand several times. A correction that says nothing withdraws
    what it corrects: the field is *not recorded* again.
    """
    kept = list(entries)
    corrected = {entry.corrects_id for entry in kept}
    standing = [entry for entry in kept if entry.id not in corrected]
    last = {(entry.field, entry.round): entry.id for entry in standing}
    latest = (e for e in standing if e.field in SEVERAL or last[(e.field, e.round)] == e.id)
    return tuple(e for e in latest if e.value_int is not None or e.value_text is not None)


@dataclass(frozen=True, kw_only=True, slots=True)
class PlugClosed:
    """One plug as it was closed: torque in mN·m and what became of its washer."""

    plug: Plug
    torque_mnm: int | None
    washer: str


class Facts:
    """The entries that stand, asked by name."""

    def __init__(self, entries: Iterable[Entry]) -> None:
        self._by_field: dict[str, dict[int, Entry]] = defaultdict(dict)
        self._several: dict[str, list[Entry]] = defaultdict(list)
        for entry in current(entries):
            self._by_field[entry.field][entry.round] = entry
            self._several[entry.field].append(entry)

    def entry(self, field: str, number: int = 1) -> Entry | None:
        """Give the entry of a field in one round, or None."""
        return self._by_field[field].get(number)

    def number(self, field: str, number: int = 1) -> int | None:
        """Give the whole-number value of a field, or None when it is not recorded."""
        entry = self.entry(field, number)
        return None if entry is None else entry.value_int

    def word(self, field: str, number: int = 1) -> str | None:
        """Give the text of a field, or None when it is not recorded."""
        entry = self.entry(field, number)
        return None if entry is None else entry.value_text

    def yes(self, field: str) -> bool | None:
        """Give a yes-or-no, or None when it is not recorded."""
        value = self.number(field)
        return None if value is None else bool(value)

    def all(self, field: str) -> Sequence[Entry]:
        """Give every standing entry of a field, in the order they came."""
        return tuple(self._several[field])

    def rounds(self, *fields: str) -> tuple[int, ...]:
        """Give the round numbers in which any of the fields was recorded."""
        return tuple(sorted({number for field in fields for number in self._by_field[field]}))

    def volume(self, field: str) -> VolumeReading | None:
        """Give a volume summed over its rounds, or None when it is not recorded in any."""
        readings = [reading_of(entry) for entry in self._by_field[field].values()]
        return combined(readings) if readings else None

    def total_ul(self, field: str) -> int | None:
        """Give a volume's plain sum in µL, or None when it is not recorded."""
        volume = self.volume(field)
        return None if volume is None else volume.ul

    def used_ul(self) -> int | None:
        """Give what left the container in µL: put in, and added when the level was checked as found."""
        volumes = [self.total_ul(field) for field in ("put_in", "found_added")]
        known = [ul for ul in volumes if ul is not None]
        return sum(known) if known else None

    def last(self, field: str) -> Entry | None:
        """Give the entry of a field's last round, or None."""
        of_rounds = self._by_field[field]
        return of_rounds[max(of_rounds)] if of_rounds else None

    def steps(self) -> Mapping[Step, Sequence[datetime] | None]:
        """Give when each recorded step was done; None stands for "done, time not noted"."""
        times: dict[Step, list[datetime] | None] = {}
        for entry in self.all("step"):
            step = Step(entry.value_text or "")
            known = times.setdefault(step, [])
            if entry.measured_at is None or known is None:
                times[step] = None
            else:
                known.append(entry.measured_at)
        return times


#: Assumed when nobody said how well a volume can be read (common practice, no source): cautious.
ASSUMED_HALF_WIDTH_UL = 50_000


def reading_of(entry: Entry) -> VolumeReading:
    """Give an entry of a volume as a reading with its half-width."""
    half_width = ASSUMED_HALF_WIDTH_UL if entry.half_width is None else entry.half_width
    return VolumeReading(
        ul=entry.value_int or 0,
        half_width_ul=half_width,
        temp_mc=entry.temp_mc,
        instrument=entry.instrument,
    )


def combined(readings: Sequence[VolumeReading]) -> VolumeReading:
    """Give the sum of several readings of one kind.

    Half-widths add as root sum of squares (independent readings); the temperature is the mean
    weighted by volume, which keeps the volume at 15 °C to first order.
    """
    if len(readings) == 1:
        return readings[0]
    total = sum(reading.ul for reading in readings)
    warm = [reading for reading in readings if reading.temp_mc is not None]
    weight = sum(reading.ul for reading in warm)
    temp = round(sum(r.ul * (r.temp_mc or 0) for r in warm) / weight) if weight else None
    return VolumeReading(
        ul=total,
        half_width_ul=round(math.hypot(*(reading.half_width_ul for reading in readings))),
        temp_mc=temp,
        instrument=", ".join(dict.fromkeys(r.instrument for r in readings if r.instrument)),
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class Setting:
    """What the record is held against: sheet, unit, product and the service asked for."""

    sheet: SheetBody
    kind: UnitKind
    method: ServiceMethod
    total_ul: int | None
    service_fill_ul: int | None
    density_kg_m3: int | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Outcome:
    """What follows from a record. ``assumed_density`` says that the product's sheet gave none.

    ``found`` is the direct check of the level as found, None when none was made.
    """

    proof: Proof
    balance: Balance
    fresh: FreshShare
    plugs: tuple[PlugClosed, ...]
    order: tuple[OrderDeviation, ...]
    assumed_density: bool
    found: FoundLevel | None = None


#: Density at 15 °C used when the product's sheet gives none (from memory: fluids lie near it).
ASSUMED_DENSITY_KG_M3 = 860
#: Temperature in the shop when nobody noted it (common practice, no source).
ASSUMED_AMBIENT_MC = 20_000
#: How well a scan tool or probe tells the fluid's temperature (common practice, no source).
LEVEL_TEMPERATURE_HALF_WIDTH_MC = 2_000


def work_out(facts: Facts, setting: Setting) -> Outcome:
    """Give the level's proof, the volume balance, the fresh share and the order of work."""
    proof = prove_level(setting.sheet.level, level_facts(facts))
    balance = _balance(facts, setting, proof)
    return Outcome(
        proof=proof,
        balance=balance,
        found=_found(facts, setting, balance),
        fresh=_fresh(facts, setting),
        plugs=_plugs(facts),
        order=out_of_order(
            facts.steps(),
            usual_order(
                setting.sheet.level.method,
                setting.kind,
                setting.sheet.has_drain_plug,
                service_method=setting.method,
            ),
        ),
        assumed_density=setting.density_kg_m3 is None,
    )


def level_facts(facts: Facts) -> LevelFacts:
    """Give what the proof of a level looks at."""
    engine, stance, marks = (facts.word(field) for field in ("engine", "stance", "marks_read"))
    edge, between = facts.last("edge_distance"), facts.last("between_marks")
    return LevelFacts(
        openings=openings(facts),
        engine=EngineState(engine) if engine else None,
        selector_cycled=facts.yes("selector_cycled"),
        dwell_s=facts.number("selector_dwell"),
        attitude_level=facts.yes("vehicle_level"),
        stance=Stance(stance) if stance else None,
        marks_read=Marks(marks) if marks else None,
        edge_um=edge.value_int if edge else None,
        between_marks=bool(between.value_int) if between else None,
        pumped_ul=facts.total_ul("put_in"),
        spilled_ul=facts.total_ul("spilled"),
        drained_ul=facts.total_ul("drained"),
    )


OPENING_FIELDS = (
    "open_temperature",
    "reading_temperature",
    "close_temperature",
    "flow_at_opening",
    "flow_at_closing",
)


def openings(facts: Facts) -> tuple[Opening, ...]:
    """Give every opening of the level plug that was recorded, in order."""
    return tuple(_opening(facts, number) for number in facts.rounds(*OPENING_FIELDS))


def _opening(facts: Facts, number: int) -> Opening:
    opened = facts.entry("open_temperature", number) or facts.entry("reading_temperature", number)
    closed = facts.entry("close_temperature", number)
    flows = [facts.word(field, number) for field in ("flow_at_opening", "flow_at_closing")]
    return Opening(
        number=number,
        open_mc=opened.value_int if opened else None,
        close_mc=closed.value_int if closed else None,
        opened_at=opened.measured_at if opened else None,
        closed_at=closed.measured_at if closed else None,
        flow_open=Flow(flows[0]) if flows[0] else None,
        flow_close=Flow(flows[1]) if flows[1] else None,
    )


def _level_temperature(facts: Facts) -> int | None:
    last = level_facts(facts).last
    return last.close_mc if last.close_mc is not None else last.open_mc


def _ambient(facts: Facts) -> int:
    ambient = facts.number("ambient")
    return ASSUMED_AMBIENT_MC if ambient is None else ambient


def _balance(facts: Facts, setting: Setting, proof: Proof) -> Balance:
    return work_out_balance(
        pumped=facts.volume("put_in"),
        spilled=facts.volume("spilled"),
        overflow=facts.volume("ran_out"),
        drained=facts.volume("drained"),
        old_filter=facts.volume("old_filter"),
        left_in_hose=facts.volume("left_in_hose"),
        found_added=facts.volume("found_added"),
        found_ran_out=facts.volume("found_ran_out"),
        density15=setting.density_kg_m3 or ASSUMED_DENSITY_KG_M3,
        total_ul=setting.total_ul,
        level_temp_mc=_level_temperature(facts),
        level_temp_half_width_mc=LEVEL_TEMPERATURE_HALF_WIDTH_MC,
        level_repeatability_ul=setting.sheet.level_repeatability_ul,
        ambient_mc=_ambient(facts),
        proof=proof,
        method=setting.method,
        filter_renewed=bool(facts.yes("filter_renewed")),
    )


def _found(facts: Facts, setting: Setting, balance: Balance) -> FoundLevel | None:
    marks = facts.word("marks_read")
    found = AsFound(
        added=facts.volume("found_added"),
        ran_out=facts.volume("found_ran_out"),
        temp_mc=facts.number("found_temperature"),
        window=setting.sheet.level.window(Marks(marks) if marks else None),
        attitude_level=facts.yes("vehicle_level"),
    )
    return check_as_found(found, level_setting(facts, setting), balance)


def level_setting(facts: Facts, setting: Setting) -> LevelSetting:
    """Give at what temperature and how well the level was set, with cautious figures for unknown ones."""
    level_mc, repeatability = _level_temperature(facts), setting.sheet.level_repeatability_ul
    return LevelSetting(
        density15=setting.density_kg_m3 or ASSUMED_DENSITY_KG_M3,
        temp_mc=_ambient(facts) if level_mc is None else level_mc,
        half_width_mc=LEVEL_TEMPERATURE_HALF_WIDTH_MC,
        ambient_mc=_ambient(facts),
        total_ul=ASSUMED_TOTAL_UL if setting.total_ul is None else setting.total_ul,
        repeatability_ul=ASSUMED_REPEATABILITY_UL if repeatability is None else repeatability,
    )


def _fresh(facts: Facts, setting: Setting) -> FreshShare:
    return fresh_share(
        method=setting.method,
        rounds=_rounds(facts, setting),
        total_ul=setting.total_ul,
        service_fill_ul=setting.service_fill_ul,
        level_method=setting.sheet.level.method,
    )


def _rounds(facts: Facts, setting: Setting) -> tuple[Round, ...]:
    """Give each filling at 15 °C. Openings that only let fluid run out belong to the last filling."""
    numbers = facts.rounds("put_in")
    density = setting.density_kg_m3 or ASSUMED_DENSITY_KG_M3

    def at15(field: str, number: int) -> int | None:
        entry = facts.entry(field, number)
        if entry is None or entry.value_int is None:
            return None
        temp = _ambient(facts) if entry.temp_mc is None else entry.temp_mc
        return round(entry.value_int * vcf(density, temp))

    belongs = _belongs_last if _checks_level_once(facts, setting.method, numbers) else _belongs
    rounds = []
    if facts.number("found_added"):  # mixed in before draining: a filling of its own
        rounds.append(Round(pumped_ul=at15("found_added", 1), spilled_ul=0, overflow_ul=0))
    for number in numbers:
        ran_out = [at15("ran_out", n) for n in facts.rounds("ran_out") if belongs(n, number, numbers)]
        rounds.append(
            Round(
                pumped_ul=at15("put_in", number),
                spilled_ul=at15("spilled", number),
                overflow_ul=sum(out or 0 for out in ran_out) if ran_out else None,
                drained_ul=at15("drained", number),
            )
        )
    if setting.method is ServiceMethod.REPEATED and rounds:
        # Only the last round ends in a level check; before it nothing runs out unless it was noted.
        early = [_or_nothing(each) for each in rounds[:-1]]
        return (*early, rounds[-1])
    return tuple(rounds)


def _or_nothing(each: Round) -> Round:
    return Round(
        pumped_ul=each.pumped_ul,
        spilled_ul=each.spilled_ul,
        overflow_ul=each.overflow_ul or 0,
        drained_ul=each.drained_ul,
    )


def _checks_level_once(facts: Facts, method: ServiceMethod, fillings: Sequence[int]) -> bool:
    """Whether the level was checked after the last of several fillings, not after each of them."""
    openings = facts.rounds("ran_out")
    return method is ServiceMethod.REPEATED and max(openings, default=0) < max(fillings, default=0)


def _belongs_last(_opening: int, filling: int, fillings: Sequence[int]) -> bool:
    return filling == max(fillings)


def _belongs(opening: int, filling: int, fillings: Sequence[int]) -> bool:
    later = [number for number in fillings if number > filling]
    return opening >= filling and (not later or opening < min(later))


def _plugs(facts: Facts) -> tuple[PlugClosed, ...]:
    found = []
    for plug in Plug:
        name = plug.value.replace(" ", "_")
        torque, washer = facts.number(f"{name}_torque"), facts.word(f"{name}_washer")
        if torque is not None or washer:
            found.append(PlugClosed(plug=plug, torque_mnm=torque, washer=washer or ""))
    return tuple(found)
