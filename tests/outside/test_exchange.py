"""Repeated and continuous exchange of a mixed volume against published examples.

Sources. Container of 40 L, 4 L taken out and replaced three times, 29.16 L left: MAT 2005 question, on
cracku.in, learn.careers360.com and vedantu.com. Extraction in portions: justaaa.com/chemistry/321415, the
law of the IUPAC Gold Book, F02503. Continuous: OpenStax, Calculus Volume 2, section 4.3 (module m53704).
Brine tank: doubts.ai. Figures only; all of them assume full mixing, as the program says it does.
"""

import math
from itertools import accumulate, repeat

import pytest

from shopdesk.domain.methods import ServiceMethod
from shopdesk.domain.renewal import Round, fresh_share


def old_left(method: ServiceMethod, put_l: float, total_l: float, times: int = 1) -> float:
    each = Round(pumped_ul=round(put_l * 1e6), spilled_ul=0, overflow_ul=0)
    share = fresh_share(method=method, rounds=[each] * times, total_ul=round(total_l * 1e6))
    assert share.share is not None
    return 1 - share.share


def test_that_the_container_problem_leaves_29_litres_16() -> None:
    left = [40 * old_left(ServiceMethod.REPEATED, 4, 40, times) for times in (1, 2, 3)]
    assert left == pytest.approx([36, 32.4, 29.16])


def test_that_five_extractions_leave_a_thousandth_and_one_large_one_a_sixteenth() -> None:
    # 100 mL with K = 3: each 100 mL portion takes 3 parts of 4; one of 500 mL takes 15 of 16.
    assert old_left(ServiceMethod.REPEATED, 0.3, 0.4, 5) == pytest.approx(0.0009766, abs=5e-8)
    assert old_left(ServiceMethod.SINGLE, 1.5, 1.6) == pytest.approx(0.0625)


def test_that_a_salt_tank_follows_its_published_solution() -> None:
    # 100 L, 4 kg at first, 2 L/min at 0.5 kg/L: u(t) = 50 − 46·exp(−t/50); 46 is the part still old.
    for minutes, published in ((10, 12.338385), (50, 33.077546)):
        old = old_left(ServiceMethod.FLOW_THROUGH, 2 * minutes, 100)
        assert 50 - 46 * old == pytest.approx(published, abs=1e-6)


def test_that_the_checkpoint_tank_follows_its_published_solution() -> None:
    # 75 L, 3 kg at first, 6 L/min at 0.4 kg/L: u(t) = 30 − 27·exp(−2t/25).
    for minutes in (1, 5, 12.5):
        old = old_left(ServiceMethod.FLOW_THROUGH, 6 * minutes, 75)
        assert 30 - 27 * old == pytest.approx(30 - 27 * math.exp(-2 * minutes / 25))


def test_that_a_rinsed_brine_tank_keeps_one_part_in_e() -> None:
    # 200 L with 20 kg, clean water at 5 L/min for 40 min: 20/e = 7.357589 kg.
    assert 20 * old_left(ServiceMethod.FLOW_THROUGH, 200, 200) == pytest.approx(7.357589, abs=5e-7)


def test_that_three_fills_renew_more_than_the_same_fluid_flowing_through() -> None:
    # Computed, no source: 4 L of 10 L, once, twice, three times; and 12 L through 10 L.
    shares = [1 - old_left(ServiceMethod.REPEATED, 4, 10, times) for times in (1, 2, 3)]
    assert shares == pytest.approx([0.4, 0.64, 0.784])
    assert old_left(ServiceMethod.FLOW_THROUGH, 12, 10) == pytest.approx(0.301194, abs=5e-7)
    assert old_left(ServiceMethod.REPEATED, 4.5, 9.5, 3) == pytest.approx(0.145794, abs=5e-7)


def test_that_the_law_is_the_one_of_step_by_step_mixing() -> None:
    *_, step_by_step = accumulate(repeat(0.9, 7), lambda left, kept: left * kept)
    assert old_left(ServiceMethod.REPEATED, 1, 10, 7) == pytest.approx(step_by_step)
