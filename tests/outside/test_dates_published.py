"""Adding months against results documented for python-dateutil, and against the library itself."""

from datetime import date

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.intervals import add_months

# python-dateutil, docs/examples.rst, section on relativedelta.
DOCUMENTED = [
    ("2003-01-27", 1, "2003-02-27"),
    ("2003-01-31", 1, "2003-02-28"),
    ("2003-01-31", 2, "2003-03-31"),
    ("2000-02-28", 12, "2001-02-28"),
    ("2000-02-29", 12, "2001-02-28"),
    ("1999-02-28", 12, "2000-02-28"),
    ("1999-03-01", 12, "2000-03-01"),
    ("2001-02-28", -12, "2000-02-28"),
    ("2001-03-01", -12, "2000-03-01"),
    # python.org tutor list, 2007-02.
    ("2005-01-31", 1, "2005-02-28"),
]
# Computed with python-dateutil.
COMPUTED = [
    ("2004-01-31", 1, "2004-02-29"),
    ("2000-02-29", 48, "2004-02-29"),
    ("2024-02-29", 12, "2025-02-28"),
    ("2024-08-31", 6, "2025-02-28"),
    ("2023-08-31", 6, "2024-02-29"),
    ("2003-12-31", 2, "2004-02-29"),
    ("2025-03-31", -1, "2025-02-28"),
    ("2100-01-31", 1, "2100-02-28"),
]


@pytest.mark.parametrize(("day", "months", "result"), DOCUMENTED + COMPUTED)
def test_that_months_are_added_as_documented(day: str, months: int, result: str) -> None:
    assert add_months(date.fromisoformat(day), months) == date.fromisoformat(result)


@given(st.dates(date(1900, 1, 1), date(2200, 12, 31)), st.integers(-1200, 1200))
def test_that_adding_months_agrees_with_the_library(day: date, months: int) -> None:
    assert add_months(day, months) == day + relativedelta(months=months)


def test_that_two_steps_are_not_one_so_every_date_counts_from_the_service() -> None:
    # Computed: the second step starts from 29 February and loses two days.
    service = date(2024, 1, 31)
    assert add_months(add_months(service, 1), 1) == date(2024, 3, 29)
    assert add_months(service, 2) == date(2024, 3, 31)
