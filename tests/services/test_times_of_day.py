"""Times of day are written as the shop's language and country write them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from shopdesk.services.figures import Figures
from tests.ui.presenters.shops import US

AT = datetime(2026, 11, 25, 23, 30, tzinfo=UTC)


@pytest.mark.parametrize(
    ("locale", "clock", "stamp"),
    [
        ("en_US", "4:30 PM", "25 Nov 2026 4:30 PM MST"),
        ("en_GB", "16:30", "25 Nov 2026 16:30 "),
    ],
)
def test_that_a_time_is_written_as_the_country_does(locale: str, clock: str, stamp: str) -> None:
    figures = Figures(replace(US, locale=locale))
    assert figures.clock(AT) == clock
    assert figures.stamp(AT).startswith(stamp)
