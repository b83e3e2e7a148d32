"""The matrix symbol: sizes in whole dots, what it holds, what it refuses."""

import pytest

from shopdesk.documents.qr import QUIET_MODULES, module_points, qr_matrix
from shopdesk.documents.stock import POINTS_PER_MM
from shopdesk.domain.errors import RuleBroken


@pytest.mark.parametrize(("dpi", "dots"), [(203, 3), (300, 4), (600, 8)])
def test_that_a_module_is_the_fewest_whole_dots_of_at_least_a_third_of_a_millimetre(
    dpi: int, dots: int
) -> None:
    module = module_points(dpi, at_least_mm=0.33)
    assert module == pytest.approx(dots * 72 / dpi)
    assert module / POINTS_PER_MM >= 0.33


def test_that_the_outer_side_has_the_quiet_zone_twice() -> None:
    matrix = qr_matrix("DUE 2030-03-04")
    assert matrix.outer(1) == matrix.side + 2 * QUIET_MODULES


def test_that_the_finder_pattern_stands_in_the_corner() -> None:
    runs = qr_matrix("DUE").runs
    assert (0, 0, 7) in runs
    assert (1, 0, 1) in runs
    assert (1, 6, 1) in runs


def test_that_a_text_no_symbol_can_hold_is_refused_with_its_length() -> None:
    with pytest.raises(RuleBroken, match="5000 characters") as refused:
        qr_matrix("ä" * 5000)
    assert refused.value.field == "qr_text"
