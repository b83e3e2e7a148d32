"""One cell of a log as a time or a temperature, in one way of writing numbers.

Nothing is guessed here: the decimal mark, the unit and the kind of time are given. Times become
milliseconds, temperatures 1/1000 °C.
"""

import re
from collections.abc import Callable
from enum import StrEnum
from typing import NamedTuple

from shopdesk.domain.words import N_


class TimeKind(StrEnum):
    """How a log writes its time."""

    SECONDS = N_("elapsed seconds")
    MILLISECONDS = N_("elapsed milliseconds")
    MINUTES = N_("elapsed minutes")
    CLOCK = N_("hours, minutes and seconds")


#: What tools write where they have no value (common practice, no source).
NO_VALUE = frozenset(
    {"", "-", "--", "---", "----", "n/a", "na", "nan", "null", "none", "no data", "nodata", "?"}
)

_DAY_MS = 86_400_000
_PER_UNIT = {TimeKind.SECONDS: 1000, TimeKind.MILLISECONDS: 1, TimeKind.MINUTES: 60_000}
_NUMBER = {
    ".": re.compile(r"[+-]?[0-9]{1,15}(?:\.[0-9]{1,9})?"),
    ",": re.compile(r"[+-]?[0-9]{1,15}(?:,[0-9]{1,9})?"),
}
_DEGREES = re.compile(r"\s*(?:°|deg\.?|º)?\s*([cf])(?:elsius|ahrenheit)?", re.IGNORECASE)
_CLOCK = re.compile(
    r"(?:(?P<day>[0-9]{1,4}[-/.][0-9]{1,2}[-/.][0-9]{1,4})[T ,]\s*)?"
    r"(?:(?P<h>[0-9]{1,3}):)?(?P<m>[0-9]{1,2}):(?P<s>[0-9]{1,2})(?:[.,:](?P<part>[0-9]{1,6}))?"
    r"\s*(?P<half>[AaPp]\.?[Mm]\.?)?(?:Z|[+-][0-9]{2}:?[0-9]{2})?"
)


class Plain(NamedTuple):
    """A number as its digits and how many of them are decimals; quick, and exact."""

    digits: int
    decimals: int

    def times(self, numerator: int, denominator: int = 1, less: int = 0) -> int:
        """Give (number − less)·numerator/denominator, rounded half up."""
        scale = int(10**self.decimals)
        top, bottom = (self.digits - less * scale) * numerator, denominator * scale
        half_up = (2 * abs(top) + bottom) // (2 * bottom)
        return half_up if top >= 0 else -half_up


def number_of(cell: str, decimal: str) -> Plain | None:
    """Give a plain number, or None when the cell is none in this way of writing."""
    text = cell.strip().replace("\u2212", "-")
    if not _NUMBER[decimal].fullmatch(text):
        return None
    whole, _mark, part = text.partition(decimal)
    return Plain(int(whole + part), len(part))


def temperature_of(cell: str, decimal: str, unit: str) -> int | None:
    """Give a temperature in 1/1000 °C; a unit in the cell must be ``unit`` ('degc' or 'degf')."""
    number = number_of(cell, decimal)
    if number is None:
        text = cell.strip()
        said = _DEGREES.search(text)
        if said is None or said.end() != len(text) or f"deg{said.group(1).lower()}" != unit:
            return None
        number = number_of(text[: said.start()], decimal)
    if number is None:
        return None
    return number.times(5000, 9, less=32) if unit == "degf" else number.times(1000)


def clock_of(cell: str) -> tuple[int, str] | None:
    """Give (milliseconds since midnight or since the start, day as written), or None.

    Two parts are minutes and seconds. The day is only compared, never read: no two countries
    write it alike.
    """
    found = _CLOCK.fullmatch(cell.strip())
    if found is None:
        return None
    hours, minutes, seconds = (int(found[part] or 0) for part in "hms")
    if (found["h"] is not None and minutes > 59) or seconds > 59:
        return None
    if found["half"]:
        if not 1 <= hours <= 12:
            return None
        hours = hours % 12 + (12 if found["half"][0] in "Pp" else 0)
    part = int((found["part"] or "0").ljust(6, "0")) // 1000
    return ((hours * 60 + minutes) * 60 + seconds) * 1000 + part, found["day"] or ""


class Clock:
    """Reads one column of times, row after row; a clock that passes midnight goes on."""

    def __init__(self, kind: TimeKind, decimal: str) -> None:
        self._read: Callable[[str], int | None] = self._clock if kind is TimeKind.CLOCK else self._elapsed
        self._kind = kind
        self._decimal = decimal
        self._days = 0
        self._last: tuple[int, str] | None = None

    def at_ms(self, cell: str) -> int | None:
        """Give the time in milliseconds, or None when the cell is no time."""
        return self._read(cell)

    def _elapsed(self, cell: str) -> int | None:
        number = number_of(cell, self._decimal)
        return None if number is None else number.times(_PER_UNIT[self._kind])

    def _clock(self, cell: str) -> int | None:
        read = clock_of(cell)
        if read is None:
            return None
        if self._last is not None and self._is_next_day(read):
            self._days += 1
        self._last = read
        return read[0] + self._days * _DAY_MS

    def _is_next_day(self, read: tuple[int, str]) -> bool:
        ms, day = self._last or read
        if read[0] >= ms:
            return False
        return read[1] != day or ms - read[0] > _DAY_MS // 2
