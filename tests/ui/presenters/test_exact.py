"""Kept quantities as text: short, and read back as exactly what is kept."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.units import NumberStyle
from shopdesk.services.shopfacts import ShopFacts
from shopdesk.services.typed import Typed
from shopdesk.ui.presenters.exact import (
    exact_distance,
    exact_length,
    exact_pieces,
    exact_step,
    exact_temperature,
    exact_torque,
    exact_volume,
    plain_money,
)
from tests.ui.presenters.shops import METRIC, US

SHOPS = (US, METRIC, replace(US, imperial=True))


def typed(shop: ShopFacts) -> Typed:
    return Typed(shop=shop, style=NumberStyle.PERSON)


@given(st.integers(0, 300_000_000), st.sampled_from(SHOPS))
def test_that_a_volume_reads_back_exactly(ul: int, shop: ShopFacts) -> None:
    assert typed(shop).volume(exact_volume(ul, shop), "total").value == ul


@given(st.integers(-60_000, 250_000), st.sampled_from(SHOPS))
def test_that_a_temperature_reads_back_exactly(mc: int, shop: ShopFacts) -> None:
    assert typed(shop).temperature(exact_temperature(mc, shop), "window_low").value == mc


@given(st.integers(0, 100_000), st.sampled_from(SHOPS))
def test_that_a_difference_of_temperatures_reads_back_exactly(mc: int, shop: ShopFacts) -> None:
    assert typed(shop).temperature_step(exact_step(mc, shop), "tolerance").value == mc


@given(st.integers(0, 3_000_000), st.sampled_from(SHOPS))
def test_that_a_torque_reads_back_exactly(mnm: int, shop: ShopFacts) -> None:
    assert typed(shop).torque(exact_torque(mnm, shop), "torque").value == mnm


@given(st.integers(-200_000, 500_000))
def test_that_a_length_reads_back_exactly(um: int) -> None:
    assert typed(US).length(exact_length(um), "edge_offset").value == um


@given(st.integers(0, 99_999_990), st.sampled_from(("mi", "km")))
def test_that_a_distance_reads_back_exactly(tenths: int, unit: str) -> None:
    read = typed(US).distance(exact_distance(tenths, unit), "distance")
    assert (read.value, read.unit) == (tenths, unit)


@given(st.integers(0, 10**9))
def test_that_pieces_and_money_read_back_exactly(number: int) -> None:
    assert typed(US).pieces(exact_pieces(number), "order_at") == number
    assert typed(US).money(plain_money(number, 2), "price") == number


@pytest.mark.parametrize(
    ("write", "kept", "text"),
    [
        (lambda ul: exact_volume(ul, US), 3_028_329, "3.2 qt"),
        (lambda ul: exact_volume(ul, US), 7_000_000, "7 L"),
        (lambda ul: exact_volume(ul, US), 40_000, "40 mL"),
        (lambda ul: exact_volume(ul, METRIC), 946_353, "1 qt"),
        (lambda mc: exact_temperature(mc, US), 35_000, "95 °F"),
        (lambda mc: exact_temperature(mc, METRIC), 35_000, "35 °C"),
        (lambda mnm: exact_torque(mnm, US), 22_000, "22 N·m"),
        (lambda mnm: exact_torque(mnm, METRIC), 48_809, "36 ft-lb"),
        (exact_length, 25_400, "1 in"),
        (exact_pieces, 20_000, "20"),
        (lambda mc: exact_step(mc, US), 2_000, "2 °C"),
    ],
)
def test_that_the_shortest_way_of_writing_it_is_taken(
    write: Callable[[int], str], kept: int, text: str
) -> None:
    # Kept values computed by hand from 231 cubic inches to the gallon and 9.80665 m/s2.
    assert write(kept) == text


def test_that_nothing_kept_is_an_empty_field() -> None:
    empty = (exact_volume(None, US), exact_temperature(None, US), exact_torque(None, US))
    assert (*empty, exact_length(None), exact_distance(None, None), exact_pieces(None)) == ("",) * 6
