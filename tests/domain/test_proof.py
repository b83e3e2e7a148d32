"""The level's proof: conditions, bounds and verdicts."""

from dataclasses import replace

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.methods import LevelMethod
from shopdesk.domain.proof import (
    Condition,
    ConditionKey,
    ConditionState,
    EngineState,
    Flow,
    LevelFacts,
    LevelRules,
    Opening,
    Proof,
    ProofVerdict,
    prove_level,
)

TUBE = LevelRules(
    method=LevelMethod.OVERFLOW_TUBE,
    window_low_mc=35_000,  # common practice, no source: 95 to 113 °F = 35 to 45 °C
    window_high_mc=45_000,
    engine=EngineState.IDLING,
    selector_cycled=True,
    selector_dwell_s=5,
)
LAST = Opening(number=1, open_mc=36_400, close_mc=41_000, flow_open=Flow.STREAM, flow_close=Flow.DRIP)
GOOD = LevelFacts(
    openings=(LAST,), engine=EngineState.IDLING, selector_cycled=True, dwell_s=5, attitude_level=True
)


def opened(**changes: object) -> LevelFacts:
    return replace(GOOD, openings=(replace(LAST, **changes),))  # type: ignore[arg-type]


def condition(proof: Proof, key: ConditionKey) -> Condition:
    return next(each for each in proof.conditions if each.key == key)


def test_that_a_level_with_all_seven_conditions_met_is_proven() -> None:
    proof = prove_level(TUBE, GOOD)
    assert proof.verdict is ProofVerdict.PROVEN
    assert proof.sentence == "Level set: all 7 conditions recorded as met."


@pytest.mark.parametrize(("open_mc", "close_mc"), [(35_000, 45_000), (45_000, 35_000), (35_000, 35_000)])
def test_that_both_bounds_of_the_window_are_inside_it(open_mc: int, close_mc: int) -> None:
    assert prove_level(TUBE, opened(open_mc=open_mc, close_mc=close_mc)).verdict is ProofVerdict.PROVEN


@pytest.mark.parametrize("fahrenheit", range(95, 114))
def test_that_whole_fahrenheit_degrees_inside_95_to_113_are_inside_35_to_45_celsius(fahrenheit: int) -> None:
    exact_mc = round((fahrenheit - 32) * 1000 * 5 / 9)
    assert prove_level(TUBE, opened(open_mc=exact_mc)).verdict is ProofVerdict.PROVEN


@pytest.mark.parametrize(
    ("temp_mc", "detail"),
    [(34_999, "below the lower bound"), (34_960, "below the lower bound"), (45_001, "above the upper bound")],
)
def test_that_a_thousandth_of_a_degree_outside_is_outside(temp_mc: int, detail: str) -> None:
    for key, facts in (
        (ConditionKey.WINDOW_OPEN, opened(open_mc=temp_mc)),
        (ConditionKey.WINDOW_CLOSE, opened(close_mc=temp_mc)),
    ):
        proof = prove_level(TUBE, facts)
        found = condition(proof, key)
        assert proof.verdict is ProofVerdict.NOT_PROVEN
        assert (found.state, found.detail, found.measured) == (ConditionState.NOT_MET, detail, temp_mc)
        assert (found.low, found.high) == (35_000, 45_000)


@pytest.mark.parametrize(
    ("facts", "key"),
    [
        (replace(GOOD, engine=None), ConditionKey.ENGINE),
        (replace(GOOD, selector_cycled=None), ConditionKey.SELECTOR),
        (replace(GOOD, dwell_s=None), ConditionKey.SELECTOR),
        (replace(GOOD, attitude_level=None), ConditionKey.ATTITUDE),
        (opened(open_mc=None), ConditionKey.WINDOW_OPEN),
        (opened(close_mc=None), ConditionKey.WINDOW_CLOSE),
        (opened(flow_open=None), ConditionKey.FLOW_OPEN),
        (opened(flow_close=None), ConditionKey.FLOW_CLOSE),
    ],
)
def test_that_a_condition_left_out_is_not_recorded_and_nothing_is_proven(
    facts: LevelFacts, key: ConditionKey
) -> None:
    proof = prove_level(TUBE, facts)
    assert proof.verdict is ProofVerdict.NOT_PROVEN
    assert [each.key for each in proof.conditions if each.state is ConditionState.NOT_RECORDED] == [key]
    assert f"Not recorded: {condition(proof, key).text}." in proof.sentence


@pytest.mark.parametrize(
    ("facts", "key"),
    [
        (replace(GOOD, engine=EngineState.OFF), ConditionKey.ENGINE),
        (replace(GOOD, selector_cycled=False), ConditionKey.SELECTOR),
        (replace(GOOD, dwell_s=4), ConditionKey.SELECTOR),
        (replace(GOOD, attitude_level=False), ConditionKey.ATTITUDE),
        (opened(flow_open=Flow.PULSE), ConditionKey.FLOW_OPEN),
        (opened(flow_close=Flow.STREAM), ConditionKey.FLOW_CLOSE),
        (opened(flow_close=Flow.PULSE), ConditionKey.FLOW_CLOSE),
    ],
)
def test_that_a_condition_recorded_otherwise_is_not_met(facts: LevelFacts, key: ConditionKey) -> None:
    proof = prove_level(TUBE, facts)
    assert proof.verdict is ProofVerdict.NOT_PROVEN
    assert [each.key for each in proof.conditions if each.state is ConditionState.NOT_MET] == [key]


@pytest.mark.parametrize("flow", [Flow.NONE, Flow.DRIP])
def test_that_no_flow_or_a_mere_drip_at_opening_means_add_and_repeat(flow: Flow) -> None:
    proof = prove_level(TUBE, opened(flow_open=flow))
    assert proof.verdict is ProofVerdict.TOO_LOW
    assert proof.sentence == "Too low at the last opening: add fluid and repeat."
    assert proof.nothing_ran_out is (flow is Flow.NONE)


def test_that_a_sheet_may_accept_a_drip_at_opening() -> None:
    rules = replace(TUBE, flow_at_opening=frozenset({Flow.STREAM, Flow.DRIP}))
    assert prove_level(rules, opened(flow_open=Flow.DRIP)).verdict is ProofVerdict.PROVEN


def test_that_a_sheet_may_accept_a_pulse_at_closing() -> None:
    rules = replace(TUBE, flow_at_closing=frozenset({Flow.DRIP, Flow.PULSE}))
    assert prove_level(rules, opened(flow_close=Flow.PULSE)).verdict is ProofVerdict.PROVEN


def test_that_only_the_last_opening_counts_whatever_the_order_they_came_in() -> None:
    dry = Opening(number=1, open_mc=30_000, flow_open=Flow.NONE)
    facts = replace(GOOD, openings=(replace(LAST, number=2), dry))
    proof = prove_level(TUBE, facts)
    assert proof.verdict is ProofVerdict.PROVEN
    assert not proof.nothing_ran_out
    dry_again = replace(GOOD, openings=(LAST, replace(dry, number=2)))
    assert prove_level(TUBE, dry_again).verdict is ProofVerdict.TOO_LOW


def test_that_without_an_opening_nothing_is_recorded() -> None:
    proof = prove_level(TUBE, LevelFacts())
    assert proof.verdict is ProofVerdict.NOT_PROVEN
    assert {each.state for each in proof.conditions} == {ConditionState.NOT_RECORDED}
    assert not proof.nothing_ran_out


def test_that_a_tube_without_a_window_on_its_sheet_is_never_proven() -> None:
    rules = replace(TUBE, window_low_mc=None, window_high_mc=None)
    proof = prove_level(rules, GOOD)
    assert proof.verdict is ProofVerdict.NOT_PROVEN
    assert condition(proof, ConditionKey.WINDOW_OPEN).detail == "the unit sheet gives no window"


def test_that_a_window_with_one_bound_is_held_against_that_bound() -> None:
    rules = replace(TUBE, window_low_mc=None)
    assert prove_level(rules, opened(open_mc=10_000)).verdict is ProofVerdict.PROVEN
    assert prove_level(rules, opened(close_mc=45_001)).verdict is ProofVerdict.NOT_PROVEN


def test_that_the_attitude_is_told_even_when_the_sheet_does_not_ask() -> None:
    rules = replace(TUBE, attitude_level=False)
    proof = prove_level(rules, replace(GOOD, attitude_level=None))
    assert proof.verdict is ProofVerdict.PROVEN
    assert proof.attitude is ConditionState.NOT_RECORDED
    assert proof.state_of(ConditionKey.ATTITUDE) is None


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"window_low_mc": 45_000, "window_high_mc": 35_000}, "window_low"),
        ({"flow_at_opening": frozenset()}, "flow_at_opening"),
        ({"flow_at_opening": frozenset({Flow.NONE})}, "flow_at_opening"),
        ({"flow_at_closing": frozenset()}, "flow_at_closing"),
    ],
)
def test_that_a_sheet_nothing_could_fulfil_is_refused(changes: dict[str, object], field: str) -> None:
    with pytest.raises(RuleBroken) as refusal:
        replace(TUBE, **changes)  # type: ignore[arg-type]
    assert refusal.value.field == field


REFILL = LevelRules(
    method=LevelMethod.MEASURED_REFILL,
    engine=EngineState.OFF,
    attitude_level=False,
    refill_ul=2_000_000,
    refill_tolerance_ul=50_000,
)
REFILLED = LevelFacts(engine=EngineState.OFF, pumped_ul=2_040_000, spilled_ul=20_000, drained_ul=1_900_000)


@pytest.mark.parametrize(
    ("pumped_ul", "verdict"),
    [
        (2_070_000, ProofVerdict.PROVEN),
        (2_070_001, ProofVerdict.NOT_PROVEN),
        (1_970_000, ProofVerdict.PROVEN),
        (1_969_999, ProofVerdict.NOT_PROVEN),
    ],
)
def test_that_a_measured_refill_is_held_against_the_sheet_less_the_spill(
    pumped_ul: int, verdict: ProofVerdict
) -> None:
    proof = prove_level(REFILL, replace(REFILLED, pumped_ul=pumped_ul))
    assert proof.verdict is verdict
    assert proof.absolute


def test_that_a_refill_without_the_sheets_quantity_is_held_against_what_came_out() -> None:
    proof = prove_level(replace(REFILL, refill_ul=None), replace(REFILLED, drained_ul=2_010_000))
    assert proof.verdict is ProofVerdict.PROVEN
    assert not proof.absolute


@pytest.mark.parametrize(
    ("rules", "facts"),
    [
        (REFILL, replace(REFILLED, drained_ul=None)),
        (REFILL, replace(REFILLED, drained_ul=0)),
        (REFILL, replace(REFILLED, spilled_ul=None)),
        (REFILL, replace(REFILLED, pumped_ul=None)),
        (REFILL, replace(REFILLED, engine=None)),
        (replace(REFILL, refill_tolerance_ul=None), REFILLED),
        (replace(REFILL, window_low_mc=10_000), REFILLED),
    ],
)
def test_that_an_incomplete_refill_is_not_proven(rules: LevelRules, facts: LevelFacts) -> None:
    assert prove_level(REFILL, REFILLED).verdict is ProofVerdict.PROVEN
    assert prove_level(rules, facts).verdict is ProofVerdict.NOT_PROVEN


EDGE = LevelRules(method=LevelMethod.FILL_HOLE, edge_offset_um=2_500, edge_tolerance_um=2_500)


@pytest.mark.parametrize(
    ("edge_um", "verdict"),
    [
        (0, ProofVerdict.PROVEN),
        (5_000, ProofVerdict.PROVEN),
        (5_001, ProofVerdict.NOT_PROVEN),
        (-1, ProofVerdict.NOT_PROVEN),
        (None, ProofVerdict.NOT_PROVEN),
    ],
)
def test_that_a_fill_hole_is_a_distance_with_a_tolerance_from_an_edge(
    edge_um: int | None, verdict: ProofVerdict
) -> None:
    facts = LevelFacts(attitude_level=True, edge_um=edge_um)
    assert prove_level(EDGE, facts).verdict is verdict
    assert prove_level(replace(EDGE, edge_tolerance_um=None), facts).verdict is ProofVerdict.NOT_PROVEN


@pytest.mark.parametrize("method", [LevelMethod.DIPSTICK, LevelMethod.SIGHT_GLASS])
def test_that_marks_are_read_and_their_temperature_counts(method: LevelMethod) -> None:
    rules = LevelRules(method=method, window_low_mc=70_000, window_high_mc=80_000)
    facts = LevelFacts(openings=(Opening(number=1, open_mc=75_000),), attitude_level=True, between_marks=True)
    assert prove_level(rules, facts).verdict is ProofVerdict.PROVEN
    assert prove_level(rules, replace(facts, between_marks=None)).verdict is ProofVerdict.NOT_PROVEN
    cold = replace(facts, openings=(Opening(number=1, open_mc=69_999),))
    assert prove_level(rules, cold).verdict is ProofVerdict.NOT_PROVEN
