"""The volume balance: figures, verdicts, and what may not be said."""

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.level import (
    Arrived,
    Balance,
    Term,
    VolumeReading,
    arrived_words,
    half_width_of_resolution,
    vcf,
    work_out_balance,
)
from shopdesk.domain.methods import LevelMethod, ServiceMethod
from shopdesk.domain.proof import (
    EngineState,
    Flow,
    LevelFacts,
    LevelRules,
    Opening,
    Proof,
    prove_level,
)

RULES = LevelRules(
    method=LevelMethod.OVERFLOW_TUBE,
    window_low_mc=35_000,
    window_high_mc=45_000,
    engine=EngineState.IDLING,
    selector_cycled=True,
)
OPENING = Opening(number=1, open_mc=36_000, close_mc=40_000, flow_open=Flow.STREAM, flow_close=Flow.DRIP)
FACTS = LevelFacts(openings=(OPENING,), engine=EngineState.IDLING, selector_cycled=True, attitude_level=True)
PROVEN = prove_level(RULES, FACTS)
LEVEL_MC = 40_000


def at_level(ul: int, half_width_ul: int = 0, temp_mc: int = LEVEL_MC) -> VolumeReading:
    return VolumeReading(ul=ul, half_width_ul=half_width_ul, temp_mc=temp_mc, temp_half_width_mc=0)


FIXED: dict[str, Any] = {
    # Computed by hand, no source: P 3.785, S 0.045, O 0.50, D 3.03 L, all at the level's temperature;
    # half-widths 30, 20, 25 mL and 100 mL for the pan; gives 0.21 L and u = 63 mL.
    "pumped": at_level(3_785_000, 30_000),
    "spilled": at_level(45_000, 20_000),
    "overflow": at_level(500_000, 25_000),
    "drained": at_level(3_030_000, 100_000),
    "density15": 860,
    "total_ul": 7_000_000,
    "level_temp_mc": LEVEL_MC,
    "level_temp_half_width_mc": 0,
    "level_repeatability_ul": 0,
    "ambient_mc": 20_000,
    "proof": PROVEN,
    "method": ServiceMethod.SINGLE,
}


def balance(**changes: object) -> Balance:
    return work_out_balance(**(FIXED | changes))


def proof_of(**changes: object) -> Proof:
    return prove_level(RULES, replace(FACTS, openings=(replace(OPENING, **changes),)))  # type: ignore[arg-type]


def test_that_the_fixed_point_gives_two_tenths_of_a_litre_low_with_63_millilitres() -> None:
    result = balance()
    assert result.delta_ul == 210_000
    assert result.u_ul == round(math.sqrt(100**2 + 30**2 + 20**2 + 25**2) / math.sqrt(3) * 1000) == 63_048
    assert result.two_u_ul == 126_095
    assert result.arrived is Arrived.LOW
    assert result.dominant == Term.DRAINED
    assert not result.missing
    assert not result.assumptions


def test_that_every_volume_is_brought_to_15_degrees() -> None:
    result = balance()
    assert result.delta15_ul == round(210_000 * vcf(860, LEVEL_MC))
    assert math.isclose(math.fsum(term.v15_ul for term in result.terms), 210_000 * vcf(860, LEVEL_MC))


def test_that_the_drained_fluids_own_temperature_matters() -> None:
    # Computed apart from the program for the fixed point's volumes, new fluid at 20 °C: +0.221 L when
    # the pan is read at 20 °C, and +0.300 L at 55 °C.
    shop = {"pumped": at_level(3_785_000, temp_mc=20_000), "spilled": at_level(45_000, temp_mc=20_000)}
    cold = balance(**shop, drained=at_level(3_030_000, temp_mc=20_000))
    warm = balance(**shop, drained=at_level(3_030_000, temp_mc=55_000))
    assert cold.delta_ul is not None
    assert warm.delta_ul is not None
    assert round(cold.delta_ul / 1000) == 221
    assert round(warm.delta_ul / 1000) == 300


def test_that_the_opposite_sign_is_high() -> None:
    assert balance(drained=at_level(3_500_000, 100_000)).arrived is Arrived.HIGH


def test_that_a_difference_below_two_u_shows_nothing_and_at_two_u_it_does() -> None:
    exact = {"spilled": at_level(45_000), "overflow": at_level(500_000), "drained": at_level(3_030_000)}
    just_enough = math.floor(210_000 / 2 * math.sqrt(3))
    assert balance(**exact, pumped=at_level(3_785_000, just_enough)).arrived is Arrived.LOW
    below = balance(**exact, pumped=at_level(3_785_000, just_enough + 1))
    assert below.arrived is Arrived.NO_DIFFERENCE
    assert below.delta_ul == 210_000


def test_that_no_difference_at_all_is_no_difference_even_without_uncertainty() -> None:
    nothing = balance(
        pumped=at_level(3_500_000),
        spilled=at_level(0),
        overflow=at_level(500_000),
        drained=at_level(3_000_000),
    )
    assert nothing.arrived is Arrived.NO_DIFFERENCE
    assert nothing.delta_ul == nothing.u_ul == 0
    assert nothing.dominant == ""
    assert all(term.share_of_variance == 0 for term in nothing.terms)


@pytest.mark.parametrize(
    ("field", "term"),
    [
        ("pumped", Term.PUT_IN),
        ("spilled", Term.SPILLED),
        ("overflow", Term.RAN_OUT),
        ("drained", Term.DRAINED),
    ],
)
def test_that_a_missing_term_is_named_and_never_a_silent_zero(field: str, term: Term) -> None:
    result = balance(**{field: None})
    assert result.arrived is Arrived.CANNOT_SAY
    assert result.missing == (term,)
    assert result.reason == f"Cannot be said; not measured: {term.value}."
    assert (result.delta_ul, result.delta15_ul, result.u_ul, result.two_u_ul) == (None, None, None, None)


def test_that_a_level_check_only_works_with_nothing_drained() -> None:
    result = balance(
        method=ServiceMethod.LEVEL_CHECK,
        pumped=at_level(600_000, 20_000),
        spilled=at_level(0, 5_000),
        overflow=at_level(150_000, 10_000),
        drained=None,
    )
    assert result.arrived is Arrived.LOW
    assert result.delta_ul == 450_000


def test_that_a_level_check_may_find_the_unit_too_full() -> None:
    result = balance(
        method=ServiceMethod.LEVEL_CHECK,
        pumped=at_level(0),
        spilled=at_level(0),
        overflow=at_level(300_000, 10_000),
        drained=None,
    )
    assert (result.arrived, result.delta_ul) == (Arrived.HIGH, -300_000)


def test_that_what_left_in_the_old_filter_counts_as_drained_and_a_new_filter_is_no_term() -> None:
    with_filter = balance(old_filter=at_level(150_000, 20_000), filter_renewed=True)
    assert with_filter.delta_ul == 60_000
    assert Term.OLD_FILTER in [term.name for term in with_filter.terms]
    assert Term.OLD_FILTER not in [term.name for term in balance().terms]
    unmeasured = balance(filter_renewed=True)
    assert unmeasured.missing == (Term.OLD_FILTER,)


def test_that_fluid_left_in_the_hose_never_entered_the_unit() -> None:
    assert balance(left_in_hose=at_level(80_000, 10_000)).delta_ul == 130_000


@pytest.mark.parametrize(
    "changes", [{"open_mc": 34_000}, {"close_mc": 45_001}, {"open_mc": 34_000, "close_mc": 46_000}]
)
def test_that_a_level_outside_its_window_gives_no_verdict(changes: dict[str, int]) -> None:
    result = balance(proof=proof_of(**changes))
    assert result.arrived is Arrived.CANNOT_SAY
    assert result.reason == "Cannot be said: the level was not set in its window."
    assert not result.missing


def test_that_an_unproven_level_names_what_the_record_lacks() -> None:
    result = balance(proof=proof_of(flow_close=None))
    assert result.arrived is Arrived.CANNOT_SAY
    assert "flow at closing: drip" in result.reason


@pytest.mark.parametrize("attitude", [None, False])
def test_that_no_verdict_is_given_unless_the_vehicle_is_recorded_as_level(attitude: bool | None) -> None:
    silent_sheet = replace(RULES, attitude_level=False)
    proof = prove_level(silent_sheet, replace(FACTS, attitude_level=attitude))
    result = balance(proof=proof)
    assert result.arrived is Arrived.CANNOT_SAY
    assert "stood level" in result.reason


def test_that_a_large_difference_and_a_small_one_alike_stay_unsaid_without_proof() -> None:
    for drained_ul in (3_240_000, 1_000_000):
        result = balance(proof=proof_of(open_mc=None), drained=at_level(drained_ul))
        assert result.arrived is Arrived.CANNOT_SAY


def test_that_no_flow_at_the_last_opening_gives_a_lower_bound() -> None:
    result = balance(proof=proof_of(flow_open=Flow.NONE, flow_close=None, close_mc=None), overflow=None)
    assert result.arrived is Arrived.AT_LEAST_LOW
    assert result.delta_ul == 3_785_000 - 45_000 - 3_030_000


def test_that_what_ran_out_at_an_earlier_opening_is_still_needed() -> None:
    facts = replace(FACTS, openings=(OPENING, Opening(number=2, open_mc=36_000, flow_open=Flow.NONE)))
    proof = prove_level(RULES, facts)
    assert balance(proof=proof, overflow=None).missing == (Term.RAN_OUT,)
    assert balance(proof=proof).arrived is Arrived.AT_LEAST_LOW


@pytest.mark.parametrize(
    ("changes", "facts"),
    [({"open_mc": 30_000}, {}), ({}, {"attitude_level": None}), ({}, {"engine": EngineState.OFF})],
)
def test_that_a_cold_or_tilted_unit_without_flow_is_not_called_low(
    changes: dict[str, int], facts: dict[str, object]
) -> None:
    dry = replace(OPENING, flow_open=Flow.NONE, **changes)
    proof = prove_level(RULES, replace(FACTS, openings=(dry,), **facts))  # type: ignore[arg-type]
    result = balance(proof=proof, overflow=None)
    assert result.arrived is Arrived.CANNOT_SAY
    assert result.reason


def test_that_a_silent_sheet_does_not_make_a_tilted_dry_unit_low() -> None:
    dry = replace(FACTS, openings=(replace(OPENING, flow_open=Flow.NONE),))
    rules = replace(RULES, attitude_level=False)
    known = balance(proof=prove_level(rules, dry), overflow=None)
    unknown = balance(proof=prove_level(rules, replace(dry, attitude_level=None)), overflow=None)
    assert known.arrived is Arrived.AT_LEAST_LOW
    assert unknown.arrived is Arrived.CANNOT_SAY


def test_that_a_lower_bound_within_the_uncertainty_says_nothing() -> None:
    proof = proof_of(flow_open=Flow.NONE)
    result = balance(proof=proof, overflow=at_level(0), drained=at_level(3_700_000, 100_000))
    assert result.delta_ul == 40_000
    assert result.arrived is Arrived.CANNOT_SAY


REFILL = LevelRules(
    method=LevelMethod.MEASURED_REFILL,
    attitude_level=False,
    refill_ul=2_000_000,
    refill_tolerance_ul=50_000,
)
REFILLED = LevelFacts(pumped_ul=2_000_000, spilled_ul=0, drained_ul=1_700_000)


def refill_balance(rules: LevelRules, facts: LevelFacts, **changes: object) -> Balance:
    volumes = {
        "pumped": at_level(2_000_000, 10_000),
        "spilled": at_level(0),
        "overflow": None,
        "drained": at_level(1_700_000, 50_000),
    }
    return balance(**(volumes | {"proof": prove_level(rules, facts)} | changes))


def test_that_a_measured_refill_needs_no_overflow_and_no_attitude() -> None:
    result = refill_balance(REFILL, REFILLED)
    assert (result.arrived, result.delta_ul) == (Arrived.LOW, 300_000)


def test_that_refilling_what_came_out_only_repeats_the_level_it_came_with() -> None:
    facts = replace(REFILLED, drained_ul=2_000_000)
    result = refill_balance(replace(REFILL, refill_ul=None), facts, drained=at_level(2_000_000, 50_000))
    assert result.arrived is Arrived.CANNOT_SAY
    assert "repeats the level" in result.reason


def test_that_a_measured_refill_with_nothing_drained_says_nothing() -> None:
    result = refill_balance(REFILL, REFILLED, method=ServiceMethod.LEVEL_CHECK, drained=None)
    assert result.arrived is Arrived.CANNOT_SAY
    assert "nothing drained" in result.reason


def test_that_the_level_temperature_acts_on_the_whole_fill() -> None:
    # Worked out by hand for 7 L at 40 °C: ±2 °C gives 7000 mL · 5.26/7000 per °C · 2/√3 = 6 mL.
    result = balance(level_temp_half_width_mc=2000)
    term = next(each for each in result.terms if each.name is Term.LEVEL_TEMPERATURE)
    assert round(term.u_ul / vcf(860, LEVEL_MC) / 1000, 1) == 6.1
    double = balance(level_temp_half_width_mc=2000, total_ul=14_000_000)
    twice = next(each for each in double.terms if each.name is Term.LEVEL_TEMPERATURE)
    assert math.isclose(twice.u_ul, 2 * term.u_ul)


def test_that_a_large_repeatability_withholds_the_verdict() -> None:
    assert balance(level_repeatability_ul=100_000).arrived is Arrived.LOW
    wide = balance(level_repeatability_ul=300_000)
    assert wide.arrived is Arrived.NO_DIFFERENCE
    assert wide.dominant == Term.REPEATABILITY


def test_that_what_stands_in_for_an_unrecorded_figure_is_said() -> None:
    result = balance(
        drained=VolumeReading(ul=3_030_000, half_width_ul=100_000),
        level_temp_mc=None,
        total_ul=None,
        level_repeatability_ul=None,
    )
    assert len(result.assumptions) == 4
    assert "drained" in result.assumptions[0]
    assert result.u_ul is not None
    assert result.u_ul > 85_000


def test_that_an_unrecorded_temperature_of_drained_fluid_is_as_wide_as_shop_and_level_are_apart() -> None:
    known = balance(drained=at_level(3_030_000, temp_mc=20_000))
    unknown = balance(drained=VolumeReading(ul=3_030_000, half_width_ul=0, temp_half_width_mc=0))
    assert known.delta_ul == unknown.delta_ul
    assert known.u_ul is not None
    assert unknown.u_ul is not None
    by_temperature = math.sqrt(unknown.u_ul**2 - known.u_ul**2)
    # 3.03 L · 0.00074 per °C · 20 °C / √3, worked out by hand: 26 mL.
    assert round(by_temperature / 1000) == 26


@given(
    half_widths=st.lists(st.integers(0, 500_000), min_size=4, max_size=4),
    repeatability_ul=st.integers(0, 300_000),
    level_half_width_mc=st.integers(0, 5_000),
)
def test_that_the_shares_of_variance_sum_to_one(
    half_widths: list[int], repeatability_ul: int, level_half_width_mc: int
) -> None:
    readings = ("pumped", "spilled", "overflow", "drained")
    volumes = {
        name: replace(FIXED[name], half_width_ul=half)
        for name, half in zip(readings, half_widths, strict=True)
    }
    result = balance(
        **volumes,
        level_repeatability_ul=repeatability_ul,
        level_temp_half_width_mc=level_half_width_mc,
    )
    total = math.fsum(term.share_of_variance for term in result.terms)
    certain = not any((*half_widths, repeatability_ul, level_half_width_mc))
    assert math.isclose(total, 0 if certain else 1, abs_tol=1e-12)


def test_that_a_scale_marked_every_100_millilitres_is_read_to_50() -> None:
    assert half_width_of_resolution(100_000) == 50_000
    assert half_width_of_resolution(5) == 3


@pytest.mark.parametrize("density", [0, 800, 1165, 860_000])
def test_that_a_density_no_lubricant_has_is_refused(density: int) -> None:
    with pytest.raises(RuleBroken) as refusal:
        balance(density15=density)
    assert refusal.value.field == "density"


def test_that_every_outcome_has_words() -> None:
    words = {arrived_words(arrived) for arrived in Arrived}
    assert len(words) == len(Arrived)
    assert "came in low by" in words
