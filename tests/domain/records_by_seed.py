"""Clean service records from a seed. All invented."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

from shopdesk.domain.level_rules import EngineState, Flow, LevelRules, Marks, Stance
from shopdesk.domain.methods import LevelMethod, ServiceMethod, UnitKind
from shopdesk.domain.order import Step
from shopdesk.domain.record import Entry, Setting
from shopdesk.domain.sheet import Plug, PlugTorque, SheetBody, WasherNeed, usual_steps
from shopdesk.domain.verify import Evidence, Tool

METHODS = tuple(LevelMethod)
KINDS = {
    LevelMethod.OVERFLOW_TUBE: UnitKind.AUTOMATIC,
    LevelMethod.FILL_HOLE: UnitKind.REAR_DIFFERENTIAL,
    LevelMethod.DIPSTICK: UnitKind.CVT,
    LevelMethod.MEASURED_REFILL: UnitKind.TRANSFER_CASE,
    LevelMethod.SIGHT_GLASS: UnitKind.REDUCTION_GEAR,
}
SPECIFICATION = "TX-6"
TOOLS = (
    Tool(name="Pan 8 L", calibrated_on=date(2026, 1, 5), due_on=date(2027, 1, 5)),
    Tool(name="Wrench 20-100", calibrated_on=date(2026, 1, 5), due_on=date(2027, 1, 5)),
    Tool(name="Jug 2 L"),
)
TORQUE_MNM = 39_000
BEGUN = datetime(2026, 3, 2, 15, 0, tzinfo=UTC)


def rules_of(method: LevelMethod) -> LevelRules:
    window: Any = {"window_low_mc": 35_000, "window_high_mc": 45_000}
    if method is LevelMethod.OVERFLOW_TUBE:
        return LevelRules(
            method=method, engine=EngineState.IDLING, selector_cycled=True, selector_dwell_s=3, **window
        )
    if method is LevelMethod.FILL_HOLE:
        return LevelRules(
            method=method,
            engine=EngineState.OFF,
            edge_offset_um=5_000,
            edge_tolerance_um=3_000,
            stance=Stance.ON_WHEELS,
        )
    if method is LevelMethod.DIPSTICK:
        return LevelRules(
            method=method, engine=EngineState.IDLING, cold_low_mc=20_000, cold_high_mc=30_000, **window
        )
    if method is LevelMethod.MEASURED_REFILL:
        return LevelRules(method=method, engine=EngineState.OFF, refill_tolerance_ul=150_000)
    return LevelRules(method=method, engine=EngineState.OFF)


class Writer:
    """Writes entries one after another, each a little later than the one before."""

    def __init__(self, dice: random.Random, begun: datetime) -> None:
        self.dice = dice
        self.now = begun
        self.entries: list[Entry] = []

    def later(self, least_min: float = 1, most_min: float = 6) -> datetime:
        self.now += timedelta(seconds=round(60 * self.dice.uniform(least_min, most_min)))
        return self.now

    def add(self, field: str, value: int | str | bool, **more: object) -> None:
        text = value if isinstance(value, str) else None
        number = None if isinstance(value, str) else int(value)
        self.entries.append(
            Entry(id=len(self.entries) + 1, field=field, value_int=number, value_text=text, **more)  # type: ignore[arg-type]
        )

    def volume(self, field: str, ul: int, within: int, instrument: str, temp_mc: int = 20_000) -> None:
        self.add(field, ul, half_width=within, instrument=instrument, temp_mc=temp_mc, measured_at=self.now)

    def step(self, step: Step) -> None:
        self.add("step", step.value, measured_at=self.later())


@dataclass(frozen=True)
class Volumes:
    total: int
    drained: int
    put_in: int
    spilled: int
    ran_out: int
    found_ran_out: int


def volumes_of(dice: random.Random, method: LevelMethod) -> Volumes:
    """Volumes of a unit that came in up to 0.3 L low or 0.2 L high, all read at the shop's temperature."""
    total = dice.randrange(2_000_000, 9_000_000, 1000)
    drained = round(total * dice.uniform(0.35, 0.6))
    spilled = dice.randrange(0, 60_000, 1000)
    ran_out = dice.randrange(150_000, 600_000, 1000) if method is LevelMethod.OVERFLOW_TUBE else 0
    missing = 0 if method is LevelMethod.MEASURED_REFILL else dice.randrange(-200_000, 300_000, 1000)
    found_ran_out = 0
    if method is LevelMethod.OVERFLOW_TUBE and missing < -80_000:
        found_ran_out = -missing
        missing = 0
    put_in = drained + spilled + ran_out + missing
    return Volumes(total, drained, put_in, spilled, ran_out, found_ran_out)


def clean(seed: int, method: LevelMethod | None = None) -> Evidence:
    """A record in which nothing speaks against anything else; five level methods in turn."""
    dice = random.Random(seed)
    method = method or METHODS[seed % len(METHODS)]
    begun = BEGUN + timedelta(days=seed % 200, minutes=dice.randrange(0, 120))
    writer, volumes = Writer(dice, begun), volumes_of(dice, method)
    tube = method is LevelMethod.OVERFLOW_TUBE
    plugs = (Plug.FILL, Plug.DRAIN, *((Plug.LEVEL,) if tube else ()))
    sheet = SheetBody(
        level=rules_of(method),
        level_repeatability_ul=40_000,
        torques=tuple(PlugTorque(plug=plug, torque_mnm=TORQUE_MNM, tolerance_mnm=4_000) for plug in plugs),
        washers=tuple(WasherNeed(plug=plug, text="18 x 24 x 1.5") for plug in plugs),
    )
    write_before(writer, volumes, method)
    for step in usual_steps(method, KINDS[method], has_drain_plug=True):
        write_step(writer, step, volumes, method)
    new_washers = write_plugs(writer, plugs)
    write_rest(writer, seed)
    used = volumes.put_in
    return Evidence(
        entries=tuple(writer.entries),
        setting=Setting(
            sheet=sheet,
            kind=KINDS[method],
            method=ServiceMethod.SINGLE,
            total_ul=volumes.total,
            service_fill_ul=None,
            density_kg_m3=dice.choice([None, 845, 860, 872]),
        ),
        done_on=begun.date(),
        now=writer.now + timedelta(days=dice.randrange(1, 400)),
        invoiced_at=writer.now + timedelta(hours=1),
        specification=SPECIFICATION,
        claims=("TX-6", "KX-8"),
        tools=TOOLS,
        washers_taken=1000 * new_washers,
        fluid_taken_ul=used,
    )


def write_before(writer: Writer, volumes: Volumes, method: LevelMethod) -> None:
    writer.add("vehicle_level", True)
    writer.add("ambient", 20_000)
    if method is LevelMethod.FILL_HOLE:
        writer.add("stance", Stance.ON_WHEELS.value)
    if volumes.found_ran_out:
        writer.add("found_temperature", 38_000)
        writer.volume("found_ran_out", volumes.found_ran_out, 20_000, "Jug 2 L")
    writer.volume("container_before", 20_000_000, 100_000, "Scale")


def write_step(writer: Writer, step: Step, volumes: Volumes, method: LevelMethod) -> None:
    if step is Step.LEVEL_SET:
        write_level(writer, volumes, method)
    if step is Step.SELECTOR_CYCLED:
        writer.add("selector_cycled", True)
        writer.add("selector_dwell", 4)
    writer.step(step)
    if step is Step.DRAINED:
        writer.volume("drained", volumes.drained, 50_000, "Pan 8 L")
        for field, most in (("appearance", 2), ("odour", 1), ("particles", 2)):
            writer.add(field, writer.dice.randint(0, most))
    if step is Step.FILLED:
        writer.volume("put_in", volumes.put_in, 30_000, "Jug 2 L")
        writer.volume("spilled", volumes.spilled, 10_000, "")
        after = 20_000_000 - volumes.put_in + writer.dice.randrange(-60_000, 60_000)
        writer.volume("container_after", after, 100_000, "Scale")


def write_level(writer: Writer, volumes: Volumes, method: LevelMethod) -> None:
    dice = writer.dice
    idling = rules_of(method).engine is EngineState.IDLING
    writer.add("engine", (EngineState.IDLING if idling else EngineState.OFF).value)
    opened_mc = dice.randrange(35_000, 41_000)
    if method is LevelMethod.OVERFLOW_TUBE:
        writer.add("open_temperature", opened_mc, measured_at=writer.later(5, 20))
        minutes = dice.uniform(0.5, 2)
        closed_mc = min(45_000, opened_mc + round(minutes * dice.uniform(500, 2_500)))
        writer.add("close_temperature", closed_mc, measured_at=writer.later(minutes, minutes))
        writer.add("flow_at_opening", Flow.STREAM.value)
        writer.add("flow_at_closing", Flow.DRIP.value)
        writer.volume("ran_out", volumes.ran_out, 20_000, "Jug 2 L")
    elif method is LevelMethod.FILL_HOLE:
        writer.add("edge_distance", dice.randrange(2_000, 8_000))
        writer.volume("ran_out", 0, 10_000, "")
    elif method is LevelMethod.DIPSTICK:
        hot = dice.random() < 0.7
        writer.add("marks_read", (Marks.HOT if hot else Marks.COLD).value)
        mc = opened_mc if hot else dice.randrange(20_000, 30_000)
        writer.add("reading_temperature", mc, measured_at=writer.later())
        writer.add("between_marks", True)
    elif method is LevelMethod.SIGHT_GLASS:
        writer.add("between_marks", True)


def write_plugs(writer: Writer, plugs: Sequence[Plug]) -> int:
    """Give how many new washers were used; some are reused with their reason."""
    new = 0
    for plug in plugs:
        name = plug.value.replace(" ", "_")
        torque = TORQUE_MNM + writer.dice.randrange(-4_000, 4_001, 100)
        writer.add(f"{name}_torque", torque, instrument="Wrench 20-100", measured_at=writer.now)
        if writer.dice.random() < 0.8:
            writer.add(f"{name}_washer", "new washer")
            new += 1
        else:
            writer.add(f"{name}_washer", "reused", reason="none of this size in the shop")
    return new


def write_rest(writer: Writer, seed: int) -> None:
    if seed % 3 == 0:
        writer.add("ambient", 21_000, corrects_id=2, reason="read the wrong wall")
    if seed % 4 == 0:
        writer.add("deviation", "undertray left off", reason="to be painted")
    if seed % 7 == 0:
        writer.add("note", "customer waits")
