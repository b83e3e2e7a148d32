"""Counting: what a dip, a weight and a counter say, and what a count can show at all."""

import math
import random

import pytest

from shopdesk.domain.counting import (
    Content,
    Shape,
    Stands,
    by_counter,
    by_dip,
    by_weight,
    calibrated,
    check_size,
    cylinder_ul,
    dip_ul,
    expansion_allowance_ul,
    lying_share,
    shrinkage,
)
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.expansion import vcf

# A steel drum's usual inside, 571.5 mm across and 851 mm high (common practice, no source).
BRIM = cylinder_ul(571_500, 851_000)
UPRIGHT = Shape(stands=Stands.UPRIGHT, height_um=851_000, brim_ul=BRIM)
LYING = Shape(stands=Stands.LYING, height_um=571_500, brim_ul=BRIM)


def test_that_the_drum_is_larger_brimful_than_its_name() -> None:
    assert BRIM == 218_299_083  # computed: pi/4 x 571.5 mm squared x 851 mm, about 218.3 L
    assert BRIM > 208_197_648  # 55 US gallons


@pytest.mark.parametrize("shape", [UPRIGHT, LYING])
def test_that_a_dry_stick_is_empty_half_is_half_and_full_is_brimful(shape: Shape) -> None:
    assert dip_ul(shape, 0) == 0
    assert dip_ul(shape, shape.height_um // 2) == pytest.approx(shape.brim_ul / 2, abs=0.6)
    assert dip_ul(shape, shape.height_um) == shape.brim_ul


def test_that_a_quarter_of_the_height_of_a_lying_drum_is_19_and_a_half_per_cent() -> None:
    # The circular segment at h = r/2: (acos(1/2) - sqrt(3)/4)/pi = 0.195501..., computed.
    assert lying_share(0.25) == pytest.approx(1 / 3 - math.sqrt(3) / (4 * math.pi))
    assert lying_share(0.25) == pytest.approx(0.195_501, abs=1e-6)


@pytest.mark.parametrize("shape", [UPRIGHT, LYING])
def test_that_more_wet_stick_is_never_less_fluid(shape: Shape) -> None:
    source = random.Random(11)
    dips = sorted(source.randint(0, shape.height_um) for _ in range(10_000))
    contents = [dip_ul(shape, dip) for dip in dips]
    assert contents == sorted(contents)
    assert 0 <= contents[0] < contents[-1] <= shape.brim_ul


def test_that_the_lying_segment_and_its_rest_are_the_whole() -> None:
    for tenth in range(11):
        assert lying_share(tenth / 10) + lying_share(1 - tenth / 10) == pytest.approx(1)


def test_that_a_stick_wet_above_the_drum_is_refused() -> None:
    with pytest.raises(RuleBroken, match="851 mm"):
        dip_ul(UPRIGHT, 851_001)


def test_that_the_half_width_of_a_dip_is_widest_in_the_middle_of_a_lying_drum() -> None:
    middle = by_dip(LYING, 285_750, 3_000).half_width
    low = by_dip(LYING, 20_000, 3_000).half_width
    assert middle > 2 * low
    assert by_dip(UPRIGHT, 400_000, 3_000) == Content(
        quantity=round(BRIM * 400 / 851), half_width=pytest.approx(BRIM * 3 / 851, abs=2)
    )


def test_that_a_drum_calibrated_at_receipt_says_what_it_was_filled_with() -> None:
    shape = calibrated(UPRIGHT, 800_000, 208_197_648)
    assert dip_ul(shape, 800_000) == pytest.approx(208_197_648, abs=1)
    assert dip_ul(shape, 400_000) == pytest.approx(104_098_824, abs=1)
    assert shape.brim_ul > 208_197_648
    with pytest.raises(RuleBroken, match="not empty"):
        calibrated(UPRIGHT, 0, 1)
    with pytest.raises(RuleBroken, match="Read again"):
        calibrated(UPRIGHT, 100_000, 208_197_648)


def test_that_weight_over_density_at_temperature_gives_the_volume() -> None:
    # 17.2 kg of a fluid of 860 kg/m3 at 15 degrees is 20 L; warm it weighs the same and is more.
    cold = by_weight(
        gross_mg=18_400_000, tare_mg=1_200_000, half_width_mg=50_000, density15_kg_m3=860, temp_mc=15_000
    )
    warm = by_weight(
        gross_mg=18_400_000, tare_mg=1_200_000, half_width_mg=50_000, density15_kg_m3=860, temp_mc=30_000
    )
    assert cold.quantity == 20_000_000
    assert warm.quantity == round(20_000_000 / vcf(860, 30_000))
    assert warm.quantity > 20_200_000
    assert 100_000 < cold.half_width < 150_000
    with pytest.raises(RuleBroken, match="less than the empty"):
        by_weight(gross_mg=1, tare_mg=2, half_width_mg=0, density15_kg_m3=860, temp_mc=15_000)


def test_that_a_counter_says_what_is_left() -> None:
    assert by_counter(held_then_ul=200, dispensed_ul=50, half_width_ul=1) == Content(
        quantity=150, half_width=1
    )
    with pytest.raises(RuleBroken, match="more than the container held"):
        by_counter(held_then_ul=200, dispensed_ul=201, half_width_ul=1)


def test_that_a_count_above_the_containers_size_is_refused() -> None:
    check_size(100, 100)
    check_size(10**9, None)
    with pytest.raises(RuleBroken, match="more than the container can hold"):
        check_size(101, 100)


def test_that_a_drum_looks_nearly_four_litres_larger_on_a_warm_day() -> None:
    # Simulated for the plan: 200 L between 5 and 30 degrees are 3.7 L (1.85 %).
    between = expansion_allowance_ul(200_000_000, 860, 30_000, 5_000)
    assert between == pytest.approx(3_650_000, abs=80_000)
    assert expansion_allowance_ul(200_000_000, None, None, 20_000) == pytest.approx(between / 2, rel=0.02)
    assert expansion_allowance_ul(200_000_000, 860, 20_000, 20_000) == 0


def test_that_shrinkage_is_told_only_beyond_what_counting_can_show() -> None:
    widths = (500_000, 300_000)
    two_u = round(2 * math.sqrt((500_000**2 + 300_000**2) / 3))
    small = shrinkage(
        expected=10_000_000, counted=9_400_000, used=20_000_000, half_widths=widths, share_ppm=20_000
    )
    assert (small.two_u, small.limit, small.lost) == (two_u, two_u, 600_000)
    assert not small.alarming
    large = shrinkage(
        expected=10_000_000, counted=9_200_000, used=20_000_000, half_widths=widths, share_ppm=20_000
    )
    assert large.alarming
    much_used = shrinkage(
        expected=10_000_000, counted=9_200_000, used=90_000_000, half_widths=widths, share_ppm=20_000
    )
    assert (much_used.limit, much_used.alarming) == (1_800_000, False)
