"""The shop's usual refill and the loss between services."""

import random
from dataclasses import replace

import pytest

from shopdesk.domain.unit_history import FoundLow, loss_between, outlier_hint, usual_refill

REFILLS = [3_030_000, 3_080_000, 2_980_000, 3_050_000, 3_000_000, 3_120_000, 2_950_000, 3_040_000]


def test_that_the_usual_refill_is_the_median_with_its_spread_and_number() -> None:
    usual = usual_refill(REFILLS)
    assert usual is not None
    assert (usual.median_ul, usual.mad_ul, usual.n) == (3_035_000, 40_000, 8)
    assert (usual.least_ul, usual.most_ul) == (2_950_000, 3_120_000)
    assert usual_refill([]) is None


def test_that_a_refill_beyond_three_deviations_is_hinted_at_from_eight_on() -> None:
    low, high = outlier_hint(2_900_000, REFILLS), outlier_hint(3_200_000, REFILLS)
    assert low is not None
    assert low.away_ul == -135_000
    assert high is not None
    assert high.away_ul == 165_000
    assert low.sentence != high.sentence
    assert outlier_hint(3_155_000, REFILLS) is None  # exactly three
    assert outlier_hint(3_155_001, REFILLS) is not None
    assert outlier_hint(9_000_000, REFILLS[:7]) is None


def test_that_equal_refills_do_not_make_the_next_millilitre_unusual() -> None:
    assert outlier_hint(3_040_000, [3_030_000] * 9) is None
    assert outlier_hint(3_090_000, [3_030_000] * 9) is not None


STRETCH = FoundLow(deficit_ul=300_000, two_u_ul=100_000, run_tenths=300_000, unit="mi", proven_before=True)


def test_that_loss_is_what_was_missing_over_what_was_run() -> None:
    loss = loss_between([STRETCH])
    assert (loss.per_1000_mi_ul, loss.low_ul, loss.high_ul, loss.n) == (10_000, 6_667, 13_333, 1)
    assert loss.shown


def test_that_kilometres_count_as_such() -> None:
    in_km = replace(STRETCH, run_tenths=482_803, unit="km")
    assert loss_between([in_km]).per_1000_mi_ul == 10_000


def test_that_the_level_set_before_widens_the_range() -> None:
    assert loss_between([STRETCH], set_two_u_ul=100_000).low_ul == round(10_000 - 141_421 / 30)


def test_that_a_loss_within_its_range_is_not_shown() -> None:
    loss = loss_between([replace(STRETCH, deficit_ul=80_000)])
    assert not loss.shown
    assert loss.per_1000_mi_ul == 2_667
    assert "No loss" in loss.sentence


def test_that_a_gain_asks_who_topped_it_up() -> None:
    assert "topped up" in loss_between([replace(STRETCH, deficit_ul=-300_000)]).sentence


@pytest.mark.parametrize(
    "changes", [{"proven_before": False}, {"deficit_ul": None}, {"run_tenths": None}, {"run_tenths": 0}]
)
def test_that_without_a_proven_beginning_or_a_distance_nothing_can_be_said(
    changes: dict[str, object],
) -> None:
    loss = loss_between([replace(STRETCH, **changes)])  # type: ignore[arg-type]
    assert (loss.per_1000_mi_ul, loss.low_ul, loss.n, loss.shown) == (None, None, 0, False)
    assert loss.sentence.startswith("Cannot be said")


def test_that_a_simulated_leak_is_found_within_its_range() -> None:
    # Simulated, no source: 8 mL per 1,000 mi, read to ±126 mL (2u) at the end of each stretch.
    dice = random.Random(9)
    inside = 0
    for _unit in range(300):
        stretches = []
        for _service in range(4):
            miles = dice.randrange(20_000, 50_000)
            deficit = miles / 1000 * 8_000 + dice.gauss(0, 63_000)
            stretches.append(
                FoundLow(
                    deficit_ul=round(deficit),
                    two_u_ul=126_000,
                    run_tenths=miles * 10,
                    unit="mi",
                    proven_before=True,
                )
            )
        loss = loss_between(stretches)
        assert loss.low_ul is not None
        assert loss.high_ul is not None
        inside += loss.low_ul <= 8_000 <= loss.high_ul
    assert 0.92 <= inside / 300 <= 0.99
