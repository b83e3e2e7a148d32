"""Combined uncertainty against published budgets and against an independent package.

Sources. End gauge: JCGM 100 (GUM) example H.1, inputs and contributions as in the documentation of GTC,
docs/API/GUM_H1.rst of github.com/MSLNZ/GTC; first order, 31.66 nm (the GUM's 34 nm has second-order terms).
Small budget: talalspecialbolt.com, GUM guide. Resolution r has u = r/√12: the same guide.
Oracle: the `uncertainties` package, which propagates by derivatives of its own.
"""

import math

import pytest
from uncertainties import ufloat, umath

from shopdesk.domain.budget import root_sum_of_squares, standard_uncertainty
from shopdesk.domain.level import VolumeReading, half_width_of_resolution, work_out_balance
from shopdesk.domain.methods import LevelMethod, ServiceMethod
from shopdesk.domain.proof import ConditionState, Proof, ProofVerdict

PROOF = Proof(
    verdict=ProofVerdict.PROVEN,
    conditions=(),
    sentence="",
    method=LevelMethod.OVERFLOW_TUBE,
    attitude=ConditionState.MET,
)


def test_that_the_end_gauge_has_its_published_first_order_budget() -> None:
    length_nm, alpha, off_20 = 50_000_623, 11.5e-6, 0.1
    by_expansion_difference = length_nm * off_20 * standard_uncertainty(1e-6)
    by_temperature_difference = length_nm * alpha * standard_uncertainty(0.05)
    assert by_expansion_difference == pytest.approx(2.88679, abs=5e-5)
    assert by_temperature_difference == pytest.approx(16.599, abs=5e-4)
    comparison = root_sum_of_squares([5.8, 3.9, 6.7])
    assert comparison == pytest.approx(9.682, abs=5e-4)
    combined = root_sum_of_squares([25, comparison, by_expansion_difference, by_temperature_difference])
    assert combined == pytest.approx(31.664, abs=5e-4)
    assert round(combined) == 32


def test_that_a_small_published_budget_is_met() -> None:
    combined = root_sum_of_squares([0.00033, 0.00029, 0.00025])
    assert round(combined, 5) == 0.00051
    assert round(2 * combined, 4) == 0.0010


def test_that_a_resolution_gives_its_step_over_root_twelve() -> None:
    assert standard_uncertainty(half_width_of_resolution(100_000)) == pytest.approx(100_000 / math.sqrt(12))
    assert standard_uncertainty(1) == pytest.approx(0.5773502692, abs=1e-10)


def reading(
    litres: float, half_width: float, celsius: float = 15, half_width_celsius: float = 0
) -> VolumeReading:
    return VolumeReading(
        ul=round(litres * 1e6),
        half_width_ul=round(half_width * 1e6),
        temp_mc=round(celsius * 1000),
        temp_half_width_mc=round(half_width_celsius * 1000),
    )


def test_that_drained_less_refilled_has_the_uncertainty_worked_out_for_it() -> None:
    # Computed, no source: 9.6 L less 4.1 L, each read to 0.1 L, so ±0.05 L: u 0.040825 L, 2u 0.081650 L.
    result = work_out_balance(
        pumped=reading(4.1, 0.05),
        spilled=reading(0, 0),
        overflow=reading(0, 0),
        drained=reading(9.6, 0.05),
        density15=860,
        total_ul=10_000_000,
        level_temp_mc=15_000,
        level_temp_half_width_mc=0,
        level_repeatability_ul=0,
        ambient_mc=15_000,
        proof=PROOF,
        method=ServiceMethod.SINGLE,
    )
    assert (result.delta_ul, result.u_ul, result.two_u_ul) == (-5_500_000, 40_825, 81_650)


def rectangular(value: float, half_width: float) -> object:
    return ufloat(value, half_width / math.sqrt(3))


@pytest.mark.parametrize("density", [840, 860, 1000])
@pytest.mark.parametrize("level_celsius", [15.0, 40.0, 90.0])
def test_that_the_budget_agrees_with_an_independent_package(density: int, level_celsius: float) -> None:
    volumes = {
        "pumped": (3.785, 0.030, 20.0, 3.0),
        "spilled": (0.045, 0.020, 20.0, 3.0),
        "overflow": (0.5, 0.025, 38.0, 5.0),
        "drained": (3.03, 0.1, 55.0, 10.0),
        "old_filter": (0.2, 0.05, 50.0, 10.0),
        "left_in_hose": (0.06, 0.02, 20.0, 3.0),
    }
    result = work_out_balance(
        **{name: reading(*each) for name, each in volumes.items()},  # type: ignore[arg-type]
        density15=density,
        total_ul=7_000_000,
        level_temp_mc=round(level_celsius * 1000),
        level_temp_half_width_mc=2_000,
        level_repeatability_ul=80_000,
        ambient_mc=20_000,
        proof=PROOF,
        method=ServiceMethod.SINGLE,
    )

    def factor(celsius: object) -> object:
        alpha = 0.6278 / density
        rise = celsius - 15  # type: ignore[operator]
        return umath.exp(-alpha * rise * (1 + 0.8 * alpha * rise))

    expected = rectangular(0, 0.08) * factor(level_celsius)  # type: ignore[operator]
    expected += 7 * factor(rectangular(level_celsius, 2)) - 7 * factor(level_celsius)  # type: ignore[operator]
    for name, (litres, half_width, celsius, half_width_celsius) in volumes.items():
        at_15 = rectangular(litres, half_width) * factor(rectangular(celsius, half_width_celsius))  # type: ignore[operator]
        expected += at_15 if name == "pumped" else -at_15
    expected /= factor(level_celsius)
    assert result.delta_ul == pytest.approx(expected.nominal_value * 1e6, abs=1)
    assert result.u_ul == pytest.approx(expected.std_dev * 1e6, abs=1)
