"""Sizes of drums and tanks are written as rules and plates give them."""

from dataclasses import replace
from fractions import Fraction

import pytest

from shopdesk.domain import units
from shopdesk.services.figures import Figures
from tests.ui.presenters.shops import METRIC, US

SIZES = [("1320", "1,320 gal"), ("55", "55 gal"), ("54.5", "54.5 gal")]


@pytest.mark.parametrize(("gallons", "words"), SIZES)
def test_that_a_shop_with_quarts_reads_gallons_for_tanks(gallons: str, words: str) -> None:
    assert Figures(US).tank(units.to_ul(Fraction(gallons), "gal")) == words
    imperial = Figures(replace(US, imperial=True))
    assert imperial.tank(units.to_ul(Fraction(gallons), "imp gal")) == words


def test_that_a_shop_with_litres_reads_litres_for_tanks() -> None:
    assert Figures(METRIC).tank(208_000_000) == Figures(METRIC).volume(208_000_000)
