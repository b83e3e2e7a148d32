"""Promised times as they are said at the counter."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.presenters.promised import promised_hint, read_promised
from tests.ui.presenters.shops import METRIC_FIGURES, US_FIGURES

DENVER = ZoneInfo("America/Denver")
NOW = datetime(2026, 11, 25, 10, 0, tzinfo=DENVER)  # a Wednesday


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ("16:30", "2026-11-25 16:30"),
        ("4 pm", "2026-11-25 16:00"),
        ("4:15pm", "2026-11-25 16:15"),
        ("12 am tomorrow", "2026-11-26 00:00"),
        ("12pm", "2026-11-25 12:00"),
        ("9:00", "2026-11-26 09:00"),  # nine has passed: tomorrow
        ("tomorrow 10:00", "2026-11-26 10:00"),
        ("Fri 9 a.m.", "2026-11-27 09:00"),
        ("9am friday", "2026-11-27 09:00"),
        ("Wed 16:00", "2026-11-25 16:00"),
        ("Wed 9:00", "2026-12-02 09:00"),
        ("27 Nov 14:00", "2026-11-27 14:00"),
        ("14:00, Nov 27", "2026-11-27 14:00"),
        ("3 Jan 8:00", "2027-01-03 08:00"),
        ("2026-12-01 08:30", "2026-12-01 08:30"),
        ("1 Dec 2026 8:30 am", "2026-12-01 08:30"),
    ],
)
def test_that_a_promise_is_read_as_the_next_such_time(typed: str, wanted: str) -> None:
    assert read_promised(typed, NOW) == datetime.fromisoformat(wanted).replace(tzinfo=DENVER)


@pytest.mark.parametrize(
    "typed", ["", "soon", "5", "25:00", "13 pm", "0 am", "16:75", "1 Nov 2026 9:00", "31 Feb 9:00", "x" * 500]
)
def test_that_what_is_no_time_to_come_is_refused_beside_its_field(typed: str) -> None:
    with pytest.raises(RuleBroken) as refusal:
        read_promised(typed, NOW)
    assert refusal.value.field == "promised_at"
    assert refusal.value.sentence


def test_that_the_example_is_written_as_the_shop_writes_times() -> None:
    assert promised_hint(US_FIGURES) == "4:30 PM, or Fri 9 am"
    assert promised_hint(METRIC_FIGURES) == "16:30, or Fri 9 am"
