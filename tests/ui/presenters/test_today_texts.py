"""The promised time in lists, and in full."""

from datetime import UTC, datetime, timedelta

from shopdesk.ui.presenters.today import promised, promised_fully
from tests.ui.presenters.shops import US_FIGURES

NOW = datetime(2026, 11, 25, 17, 0, tzinfo=UTC)  # a Wednesday, 10 in the morning at the shop
AT_FOUR = datetime(2026, 11, 25, 23, 0, tzinfo=UTC)


def test_that_a_list_says_the_clock_the_weekday_or_the_day() -> None:
    shown = [promised(US_FIGURES, AT_FOUR + timedelta(days=days), NOW) for days in (-1, 0, 1, 6, 7)]
    assert shown == ["24 Nov 2026", "4:00 PM", "Thu 4:00 PM", "Tue 4:00 PM", "2 Dec 2026"]
    assert promised(US_FIGURES, None, NOW) == ""


def test_that_the_work_order_itself_says_day_and_clock() -> None:
    assert promised_fully(US_FIGURES, AT_FOUR, NOW) == "4:00 PM"
    assert promised_fully(US_FIGURES, AT_FOUR + timedelta(days=1), NOW) == "26 Nov 2026 4:00 PM"
    assert promised_fully(US_FIGURES, None, NOW) == ""
