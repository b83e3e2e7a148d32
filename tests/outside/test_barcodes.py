"""QR symbols against published figures.

Sides and the capacities of version 40 at level M: ISO/IEC 18004 as restated by ozekiqr.com and dlsoft.com
(side =
4 x version + 17 modules); capacities of versions 1 to 5: Panasonic LP-RV operation manual, page 162, on
easymanua.ls.
Quiet zone of 4 modules: NCR online help, QR page 7168.
"""

import pytest

from shopdesk.documents.qr import QUIET_MODULES, qr_matrix
from shopdesk.domain.errors import RuleBroken

# version: numeric, alphanumeric, byte, at level M
LEVEL_M = {1: (34, 20, 14), 2: (63, 38, 26), 3: (101, 61, 42), 4: (149, 90, 62), 5: (202, 122, 84)}


@pytest.mark.parametrize("version", LEVEL_M)
@pytest.mark.parametrize(("mode", "letter"), [(0, "7"), (1, "K"), (2, "k")])
def test_that_a_symbol_holds_exactly_its_published_capacity(version: int, mode: int, letter: str) -> None:
    capacity = LEVEL_M[version][mode]
    assert qr_matrix(letter * capacity).side == 4 * version + 17
    assert qr_matrix(letter * (capacity + 1)).side == 4 * (version + 1) + 17


def test_that_the_largest_symbol_holds_its_published_capacity_and_no_more() -> None:
    assert qr_matrix("k" * 2331).side == 177
    with pytest.raises(RuleBroken):
        qr_matrix("k" * 2332)


def test_that_the_quiet_zone_is_the_published_four_modules() -> None:
    assert QUIET_MODULES == 4
