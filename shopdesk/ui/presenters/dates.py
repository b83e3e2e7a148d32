"""Dates as people write and read them."""

import re
from datetime import date, timedelta
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken

_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_DAY_FIRST = re.compile(r"(\d{1,2})\.?\s+([^\W\d]+)\.?,?\s+(\d{4})")
_MONTH_FIRST = re.compile(r"([^\W\d]+)\.?\s+(\d{1,2}),?\s+(\d{4})")
_NUMBERS = re.compile(r"(\d{1,2})[/.](\d{1,2})[/.](\d{4})")
_LONGEST = 40


def month_names() -> tuple[str, ...]:
    """Return the twelve months in three letters, January first."""
    return tuple(
        _("Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec").split()  # twelve words, in this order
    )


def show_date(day: date) -> str:
    """Return ``25 Nov 2026``: the month in letters, so that nobody can mistake it for the day."""
    return f"{day.day} {month_names()[day.month - 1]} {day.year}"


def read_date(text: str, today: date, field: str = "date") -> date:
    """Read a date as typed: 2026-11-25, 25 Nov 2026, Nov 25 2026, today, yesterday, tomorrow.

    Raises RuleBroken if it cannot be read, or could be two dates (3/4/2026).
    """
    typed = text.strip().casefold()[:_LONGEST]
    words = {_("today"): 0, _("yesterday"): -1, _("tomorrow"): 1}
    if typed in words:
        return today + timedelta(days=words[typed])
    year, month, day = _parts(typed, field)
    try:
        return date(year, month, day)
    except ValueError as error:
        raise RuleBroken(
            _("There is no such day. Write it as {example}.").format(example=show_date(today)), field
        ) from error


def _parts(typed: str, field: str) -> tuple[int, int, int]:
    if found := _ISO.fullmatch(typed):
        return int(found[1]), int(found[2]), int(found[3])
    if found := _DAY_FIRST.fullmatch(typed):
        return int(found[3]), _month(found[2], field), int(found[1])
    if found := _MONTH_FIRST.fullmatch(typed):
        return int(found[3]), _month(found[1], field), int(found[2])
    if found := _NUMBERS.fullmatch(typed):
        return _slashes(int(found[1]), int(found[2]), int(found[3]), field)
    raise RuleBroken(_("Write the date as 25 Nov 2026 or 2026-11-25."), field)


def _month(word: str, field: str) -> int:
    for number, name in enumerate(month_names(), start=1):
        if len(word) >= 3 and word.startswith(name.casefold()):
            return number
    raise RuleBroken(_("Write the month in letters, such as Nov."), field)


def _slashes(first: int, second: int, year: int, field: str) -> tuple[int, int, int]:
    if first > 12 or first == second:
        return year, second, first
    if second > 12:
        return year, first, second
    months = month_names()
    raise RuleBroken(
        _("That could be {one} or {other}. Write the month in letters.").format(
            one=f"{first} {months[second - 1]}", other=f"{second} {months[first - 1]}"
        ),
        field,
    )
