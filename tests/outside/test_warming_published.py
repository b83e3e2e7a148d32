"""Warming and cooling curves against published figures.

Sources. NIST Statistical Reference Datasets, nonlinear regression, Misra1a (lower level of difficulty): data,
starts and certified values, as carried by the lmfit source distribution 1.3.4 (NIST_STRD/Misra1a.dat).
OpenStax Calculus Volume 1 section 6.8 (module m53651: coffee, checkpoint) and Volume 2 section 4.3 (module
m53704: pizza, ice cream); their figures are lightly rounded, so they are met to half a per cent.
"""

import math

import pytest

from shopdesk.domain.approach import Approach, fit_approach

MISRA1A = (
    (10.07, 77.6), (14.73, 114.9), (17.94, 141.1), (23.93, 190.8), (29.61, 239.9), (35.18, 289.0),
    (40.02, 332.8), (44.82, 378.4), (50.76, 434.8), (55.05, 477.3), (61.01, 536.8), (66.40, 593.1),
    (75.47, 689.1), (81.78, 760.0),
)  # fmt: skip


@pytest.mark.parametrize(("rise", "rate"), [(500.0, 0.0001), (250.0, 0.0005)])
def test_that_the_certified_values_of_misra1a_are_met_from_both_starts(rise: float, rate: float) -> None:
    ys, xs = zip(*MISRA1A, strict=True)
    first = Approach(start=0.0, rise=rise, rate=rate)
    fit = fit_approach(xs, ys, first, start_known=True)
    assert fit is not None
    assert fit.curve.rise == pytest.approx(2.3894212918e02, rel=1e-10)
    assert fit.curve.rate == pytest.approx(5.5015643181e-04, rel=1e-10)
    assert fit.standard_errors() == pytest.approx((2.7070075241e00, 7.2668688436e-06), rel=1e-8)
    assert fit.rss == pytest.approx(1.2455138894e-01, rel=1e-9)
    assert fit.residual_sd == pytest.approx(1.0187876330e-01, rel=1e-9)
    assert fit.degrees_of_freedom == 12


def through(start: float, room: float, x: float, y: float) -> Approach:
    """The curve that starts at ``start``, tends to ``room`` and passes (x, y)."""
    return Approach(start=start, rise=room - start, rate=-math.log((y - room) / (start - room)) / x)


@pytest.mark.parametrize(
    ("curve", "target", "published"),
    [
        (through(200, 70, 2, 180), 175, 2.56),  # coffee, minutes
        (through(200, 70, 2, 180), 155, 5.09),
        (through(200, 75, 2, 185), 175, 3.5),  # checkpoint: "about 3.5 and 7 minutes"
        (through(200, 75, 2, 185), 155, 7.0),
        (through(200, 75, 1, 190), 150, 6.12),  # pizza
        (through(210, 20, 2, 170), 30, 24 + 57 / 60),  # ice cream, hours; printed 24 h 57 min
    ],
)
def test_that_published_cooling_times_are_met(curve: Approach, target: float, published: float) -> None:
    assert curve.when(target) == pytest.approx(published, rel=0.005)


def test_that_the_published_rate_of_the_pizza_is_met() -> None:
    assert through(200, 75, 1, 190).rate == pytest.approx(0.08338, abs=5e-6)


def test_that_coffee_of_a_published_rate_is_fitted_back_from_its_own_readings() -> None:
    # T = 20 + 50·exp(-0.125 t), degrees Celsius and minutes (OpenStax).
    minutes = [0.0, 1.0, 2.5, 4.0, 7.0, 11.0, 16.0]
    degrees = [20 + 50 * math.exp(-0.125 * t) for t in minutes]
    fit = fit_approach(minutes, degrees, Approach(start=60.0, rise=-30.0, rate=0.3))
    assert fit is not None
    found = (fit.curve.start, fit.curve.end, fit.curve.rate)
    assert found == pytest.approx((70.0, 20.0, 0.125), rel=1e-8)
