"""Every level method from its entries to its proof: edge, stick, sight glass, refill, as found."""

from dataclasses import replace

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.level import Arrived
from shopdesk.domain.level_rules import EngineState, LevelRules, Marks, Stance
from shopdesk.domain.methods import LevelMethod, ServiceMethod, UnitKind
from shopdesk.domain.proof import ConditionState, ProofVerdict
from shopdesk.domain.record import Entry, Facts, Outcome, Setting, work_out
from shopdesk.domain.sheet import SheetBody

SETTING = Setting(
    sheet=SheetBody(level=LevelRules(method=LevelMethod.FILL_HOLE), level_repeatability_ul=30_000),
    kind=UnitKind.REAR_DIFFERENTIAL,
    method=ServiceMethod.SINGLE,
    total_ul=2_000_000,
    service_fill_ul=None,
    density_kg_m3=870,
)
HOLE = LevelRules(
    method=LevelMethod.FILL_HOLE,
    engine=EngineState.OFF,
    edge_offset_um=5_000,
    edge_tolerance_um=3_000,
    stance=Stance.HANGING,
)
STICK = LevelRules(
    method=LevelMethod.DIPSTICK,
    window_low_mc=70_000,
    window_high_mc=80_000,
    cold_low_mc=20_000,
    cold_high_mc=30_000,
)


def out_of(rules: LevelRules, *entries: tuple[str, int | str] | tuple[str, int | str, int]) -> Outcome:
    """What follows from (field, value) or (field, value, round), on a vehicle standing level."""
    facts = [Entry(id=100, field="vehicle_level", value_int=1)]
    for at, (field, value, *number) in enumerate(entries):
        facts.append(
            Entry(
                id=101 + at,
                field=field,
                round=int(number[0]) if number else 1,
                value_int=value if isinstance(value, int) else None,
                value_text=value if isinstance(value, str) else None,
            )
        )
    setting = replace(SETTING, sheet=replace(SETTING.sheet, level=rules))
    return work_out(Facts(facts), setting)


@pytest.mark.parametrize(
    ("um", "state"),
    [
        (2_000, ConditionState.MET),
        (8_000, ConditionState.MET),
        (1_999, ConditionState.NOT_MET),
        (8_001, ConditionState.NOT_MET),
        (-1_000, ConditionState.NOT_MET),
    ],
)
def test_that_the_edge_is_a_number_with_its_tolerance_bounds_included(um: int, state: ConditionState) -> None:
    proof = out_of(HOLE, ("engine", "off"), ("stance", Stance.HANGING.value), ("edge_distance", um)).proof
    assert proof.state_of("edge") is state
    assert (proof.verdict is ProofVerdict.PROVEN) == (state is ConditionState.MET)


def test_that_the_last_reading_at_the_edge_counts() -> None:
    found = out_of(
        HOLE,
        ("engine", "off"),
        ("stance", Stance.HANGING.value),
        ("edge_distance", 20_000, 1),
        ("edge_distance", 4_000, 2),
    )
    assert found.proof.verdict is ProofVerdict.PROVEN


def test_that_an_edge_read_on_the_wheels_does_not_prove_a_level_meant_for_hanging_ones() -> None:
    on_wheels = out_of(HOLE, ("engine", "off"), ("stance", Stance.ON_WHEELS.value), ("edge_distance", 5_000))
    assert on_wheels.proof.state_of("stance") is ConditionState.NOT_MET
    unsaid = out_of(HOLE, ("engine", "off"), ("edge_distance", 5_000))
    assert unsaid.proof.state_of("stance") is ConditionState.NOT_RECORDED
    assert out_of(replace(HOLE, stance=None), ("edge_distance", 5_000)).proof.state_of("stance") is None


@pytest.mark.parametrize(
    ("marks", "mc", "state"),
    [
        (Marks.HOT, 75_000, ConditionState.MET),
        (Marks.HOT, 25_000, ConditionState.NOT_MET),
        (Marks.COLD, 25_000, ConditionState.MET),
        (Marks.COLD, 20_000, ConditionState.MET),
        (Marks.COLD, 75_000, ConditionState.NOT_MET),
    ],
)
def test_that_each_pair_of_marks_has_its_own_window(marks: Marks, mc: int, state: ConditionState) -> None:
    proof = out_of(
        STICK, ("marks_read", marks.value), ("reading_temperature", mc), ("between_marks", 1)
    ).proof
    assert proof.state_of("window_reading") is state
    assert (proof.verdict is ProofVerdict.PROVEN) == (state is ConditionState.MET)


def test_that_a_stick_with_two_pairs_proves_nothing_until_it_is_said_which_was_read() -> None:
    proof = out_of(STICK, ("reading_temperature", 75_000), ("between_marks", 1)).proof
    assert proof.state_of("marks") is ConditionState.NOT_RECORDED
    one_pair = replace(STICK, cold_low_mc=None, cold_high_mc=None)
    proven = out_of(one_pair, ("reading_temperature", 75_000), ("between_marks", 1)).proof
    assert proven.verdict is ProofVerdict.PROVEN


def test_that_cold_marks_on_a_sheet_without_them_prove_nothing() -> None:
    one_pair = replace(STICK, cold_low_mc=None, cold_high_mc=None)
    proof = out_of(
        one_pair, ("marks_read", Marks.COLD.value), ("reading_temperature", 25_000), ("between_marks", 1)
    ).proof
    assert proof.state_of("window_reading") is ConditionState.NOT_RECORDED


def test_that_cold_bounds_the_wrong_way_round_are_refused() -> None:
    with pytest.raises(RuleBroken) as caught:
        LevelRules(method=LevelMethod.DIPSTICK, cold_low_mc=30_000, cold_high_mc=20_000)
    assert caught.value.field == "cold_low"


@pytest.mark.parametrize(("between", "proven"), [(1, True), (0, False)])
def test_that_a_sight_glass_is_read_between_its_marks(between: int, proven: bool) -> None:
    proof = out_of(LevelRules(method=LevelMethod.SIGHT_GLASS), ("between_marks", between)).proof
    assert (proof.verdict is ProofVerdict.PROVEN) is proven
    assert any("sight glass" in condition.text for condition in proof.conditions)


@pytest.mark.parametrize(
    ("net", "proven"), [(1_900_000, True), (1_899_999, False), (2_000_000, True), (2_000_001, False)]
)
def test_that_a_refill_by_the_sheets_quantity_is_held_to_its_tolerance(net: int, proven: bool) -> None:
    rules = LevelRules(method=LevelMethod.MEASURED_REFILL, refill_ul=1_950_000, refill_tolerance_ul=50_000)
    found = out_of(rules, ("drained", 1_800_000), ("put_in", net + 50_000), ("spilled", 50_000))
    assert (found.proof.verdict is ProofVerdict.PROVEN) is proven


def test_that_what_was_found_before_draining_stands_in_outcome_balance_and_share() -> None:
    entries: list[tuple[str, int | str]] = [
        ("engine", "off"),
        ("stance", Stance.HANGING.value),
        ("edge_distance", 5_000),
        ("drained", 900_000),
        ("put_in", 900_000),
        ("spilled", 0),
        ("ran_out", 0),
    ]
    without, found = (
        out_of(HOLE, *entries),
        out_of(HOLE, *entries, ("found_added", 300_000), ("found_temperature", 20_000)),
    )
    assert without.found is None
    assert found.found is not None
    assert (found.found.arrived, found.found.delta_ul) == (Arrived.LOW, 300_000)
    assert found.found.cross is not None
    assert found.found.cross.agrees
    assert without.balance.delta_ul is not None
    assert found.balance.delta_ul == without.balance.delta_ul + 300_000
    assert found.fresh.share is not None
    assert without.fresh.share is not None
    assert found.fresh.share > without.fresh.share


def test_that_what_was_added_as_found_left_the_container_too() -> None:
    entries = [
        Entry(id=1, field="put_in", value_int=900_000),
        Entry(id=2, field="found_added", value_int=300_000),
    ]
    assert Facts(entries).used_ul() == 1_200_000
    assert Facts(entries[:1]).used_ul() == 900_000
    assert Facts(()).used_ul() is None
