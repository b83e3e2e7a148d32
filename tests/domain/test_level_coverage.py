"""Monte Carlo: how often ±2u holds the truth. Deterministic seeds, uniform errors inside each ±."""

import math
import random

import pytest

from shopdesk.domain.level import VolumeReading, vcf, work_out_balance
from shopdesk.domain.methods import LevelMethod, ServiceMethod
from shopdesk.domain.proof import ConditionState, Proof, ProofVerdict

RUNS = 3_000
SIMULATION_ERROR = 3 * math.sqrt(0.95 * 0.05 / RUNS)
TRUE_DEFICIT_UL, TOTAL_UL, LEVEL_MC = 250_000, 7_000_000, 40_000
PROOF = Proof(
    verdict=ProofVerdict.PROVEN,
    conditions=(),
    sentence="",
    method=LevelMethod.OVERFLOW_TUBE,
    attitude=ConditionState.MET,
)


def misread(
    source: random.Random, true_ul: float, half_width_ul: int, temps_mc: tuple[int, int]
) -> VolumeReading:
    """A reading of a true volume at 15 °C: off by up to its ±, as is its temperature."""
    true_mc, half_width_mc = temps_mc
    seen_ul = true_ul / vcf(860, true_mc) + source.uniform(-half_width_ul, half_width_ul)
    return VolumeReading(
        ul=round(seen_ul),
        half_width_ul=half_width_ul,
        temp_mc=true_mc + round(source.uniform(-half_width_mc, half_width_mc)),
        temp_half_width_mc=half_width_mc,
    )


def simulate(
    half_widths_ml: tuple[int, int, int, int], *, half_width_mc: int = 0, repeatability_ml: int = 0, seed: int
) -> tuple[float, float]:
    """Share of runs in which ±2u held the true deficit, and the largest term's share of u."""
    source = random.Random(seed)
    drained, put_in, spilled, ran_out = (width * 1000 for width in half_widths_ml)
    held, largest = 0, 0.0
    for _ in range(RUNS):
        level_mc = LEVEL_MC + round(source.uniform(-half_width_mc, half_width_mc))
        set_ul = source.uniform(-repeatability_ml, repeatability_ml) * 1000
        # The fill that reaches the tube's lip at the true temperature, against the one at 40 °C.
        grown_ul = TOTAL_UL * (vcf(860, level_mc) - vcf(860, LEVEL_MC)) + set_ul * vcf(860, LEVEL_MC)
        out_ul, over_ul, lost_ul = 3_000_000.0, 400_000.0, 40_000.0
        in_ul = out_ul + over_ul + lost_ul + TRUE_DEFICIT_UL * vcf(860, LEVEL_MC) + grown_ul
        result = work_out_balance(
            pumped=misread(source, in_ul, put_in, (20_000, half_width_mc)),
            spilled=misread(source, lost_ul, spilled, (20_000, half_width_mc)),
            overflow=misread(source, over_ul, ran_out, (38_000, half_width_mc)),
            drained=misread(source, out_ul, drained, (50_000, half_width_mc)),
            density15=860,
            total_ul=TOTAL_UL,
            level_temp_mc=LEVEL_MC,
            level_temp_half_width_mc=half_width_mc,
            level_repeatability_ul=repeatability_ml * 1000,
            ambient_mc=20_000,
            proof=PROOF,
            method=ServiceMethod.SINGLE,
        )
        assert result.delta_ul is not None
        assert result.two_u_ul is not None
        held += abs(result.delta_ul - TRUE_DEFICIT_UL) <= result.two_u_ul
        largest = max(math.sqrt(term.share_of_variance) for term in result.terms)
    return held / RUNS, largest


@pytest.mark.parametrize(
    ("half_widths_ml", "half_width_mc", "repeatability_ml"),
    [
        ((100, 30, 20, 25), 0, 0),  # the pan alone is 0.92 of u
        ((100, 10, 10, 10), 0, 0),
        ((100, 0, 0, 0), 0, 0),
        ((10, 5, 5, 5), 0, 100),
        ((20, 20, 10, 20), 5_000, 0),
    ],
)
def test_that_two_u_holds_the_truth_in_95_of_100_jobs_or_more(
    half_widths_ml: tuple[int, int, int, int], half_width_mc: int, repeatability_ml: int
) -> None:
    held, _ = simulate(
        half_widths_ml, half_width_mc=half_width_mc, repeatability_ml=repeatability_ml, seed=11
    )
    assert held >= 0.95 - SIMULATION_ERROR


@pytest.mark.parametrize(
    ("half_widths_ml", "half_width_mc", "repeatability_ml"),
    [
        ((50, 50, 50, 50), 0, 0),
        ((50, 50, 20, 25), 0, 50),
        ((60, 60, 20, 60), 3_000, 60),
    ],
)
def test_that_two_u_is_not_too_wide_either_while_no_term_dominates(
    half_widths_ml: tuple[int, int, int, int], half_width_mc: int, repeatability_ml: int
) -> None:
    held, largest = simulate(
        half_widths_ml, half_width_mc=half_width_mc, repeatability_ml=repeatability_ml, seed=12
    )
    assert largest <= 0.75
    assert abs(held - 0.95) <= 0.02
