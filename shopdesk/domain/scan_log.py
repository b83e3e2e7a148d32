"""A scan tool's log as temperatures against time: looked at first, then read with a choice.

:func:`look` sees only the beginning of a log and proposes which columns to read; the person
confirms or changes the :class:`LogChoice`, which can be kept for the tool and used on its next log,
where columns are found again by their headings. :func:`read_log` then goes through any number of
lines in bounded memory. What cannot be read is refused with its line and column; empty cells,
repeated times and long gaps are told as remarks.
"""

import csv
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.log_cells import NO_VALUE, Clock, TimeKind, temperature_of
from shopdesk.domain.log_lines import Line, LogFault, lines_of
from shopdesk.domain.warmup import Reading

MOST_KEPT = 300
"""Readings kept of a whole log, besides the last ones."""

_LAST_KEPT = 120
_LAST_APART_MS = 1000
_GAP_MS = 120_000
_MOST_REMARKS = 20
_LEAST_MC, _MOST_MC = -60_000, 250_000


@dataclass(frozen=True, kw_only=True, slots=True)
class LogChoice:
    """How to read one tool's logs; a plain value that can be kept.

    Columns count from 0. ``time_heading`` and ``temperature_heading`` find them again in a log
    with other columns; they are empty where a log has no headings. ``heading_line`` is the number of
    lines before the first row of values.
    """

    delimiter: str
    decimal: str
    time_column: int
    temperature_column: int
    time_kind: TimeKind
    unit: str
    heading_line: int = 0
    time_heading: str = ""
    temperature_heading: str = ""

    def __post_init__(self) -> None:
        """Refuse a choice that nothing could be read with."""
        if len(self.delimiter) != 1 or self.delimiter in '"\r\n' or self.delimiter.isalnum():
            raise RuleBroken(_("A delimiter is one character, such as a comma."), "delimiter")
        if self.decimal not in (".", ",") or self.decimal == self.delimiter == ".":
            raise RuleBroken(_("The decimal mark is a point or a comma."), "decimal")
        if self.unit not in ("degc", "degf"):
            raise RuleBroken(_("Say whether the temperatures are °C or °F."), "unit")
        if self.time_column == self.temperature_column:
            raise RuleBroken(_("Time and temperature stand in two columns."), "temperature_column")


@dataclass(frozen=True, kw_only=True, slots=True)
class Remark:
    """Something to know about a log that was read all the same, with its place from 1."""

    line: int
    column: int
    sentence: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ScanLog:
    """What was read: a few hundred readings, how many there were, and what is to be said about them."""

    readings: tuple[Reading, ...]
    rows: int
    lines: int
    remarks: tuple[Remark, ...]
    further_remarks: int = 0


def split_row(text: str, delimiter: str) -> list[str]:
    """Give a line's cells; quoted ones may hold the delimiter. Raises csv.Error for odd quotes."""
    if '"' not in text:
        return text.split(delimiter)
    return next(csv.reader([text], delimiter=delimiter, strict=True), [])


def read_log(chunks: Iterable[bytes], choice: LogChoice) -> ScanLog:
    """Read a whole log in bounded memory.

    Raises LogFault naming line and column for whatever is no row of this choice: ragged rows,
    text where a number stands, times that run backward, NUL bytes, endless lines. Nothing is
    given for a log that is refused.
    """
    reader = _Reader(choice)
    for line in lines_of(chunks):
        reader.take(line)
    return reader.done()


@dataclass(slots=True)
class _Thinned:
    """Readings from a stream of any length: evenly thinned ones, and the last ones in full."""

    every: int = 1
    seen: int = 0
    kept: list[Reading] = field(default_factory=list)
    last: deque[Reading] = field(default_factory=lambda: deque(maxlen=_LAST_KEPT))
    newest: Reading | None = None

    def add(self, reading: Reading) -> None:
        if self.seen % self.every == 0:
            self.kept.append(reading)
            if len(self.kept) > MOST_KEPT:
                del self.kept[1::2]
                self.every *= 2
        self.seen += 1
        if not self.last or reading.at_ms - self.last[-1].at_ms >= _LAST_APART_MS:
            self.last.append(reading)
        self.newest = reading

    def readings(self) -> tuple[Reading, ...]:
        if self.newest is None:
            return ()
        early = [each for each in self.kept if each.at_ms < self.last[0].at_ms]
        late = [*self.last] if self.last[-1] == self.newest else [*self.last, self.newest]
        return (*early, *late)


class _Reader:
    """Goes through a log line by line with one choice."""

    def __init__(self, choice: LogChoice) -> None:
        self._choice = choice
        self._clock = Clock(choice.time_kind, choice.decimal)
        self._time, self._temperature = choice.time_column, choice.temperature_column
        self._width = 0
        self._lines = 0
        self._before: Reading | None = None
        self._readings = _Thinned()
        self._remarks: list[Remark] = []
        self._further = 0

    def take(self, line: Line) -> None:
        """Read one line; headings and empty lines are passed over."""
        self._lines = line.number
        if line.number <= self._choice.heading_line:
            self._find_columns(line)
        elif line.text.strip():
            cells = self._cells(line)
            if cells is not None:
                self._row(line.number, cells)

    def done(self) -> ScanLog:
        """Give what was read; a log without a single reading is refused."""
        if self._readings.newest is None:
            raise LogFault(_("the log ends without a single temperature."), line=max(1, self._lines))
        return ScanLog(
            readings=self._readings.readings(),
            rows=self._readings.seen,
            lines=self._lines,
            remarks=tuple(self._remarks),
            further_remarks=self._further,
        )

    def _find_columns(self, line: Line) -> None:
        """Find the columns by their headings in the line of headings, which is the last before the rows."""
        choice = self._choice
        if line.number < choice.heading_line or not (choice.time_heading or choice.temperature_heading):
            return
        headings = [cell.strip() for cell in _split(line, choice.delimiter)]
        self._time = _place(headings, choice.time_heading, self._time, line.number)
        self._temperature = _place(headings, choice.temperature_heading, self._temperature, line.number)

    def _cells(self, line: Line) -> list[str] | None:
        """Give a row's cells; None for a last line that the file ends in the middle of."""
        cells = _split(line, self._choice.delimiter)
        self._width = self._width or max(len(cells), self._time + 1, self._temperature + 1)
        if len(cells) == self._width or _filled(cells) <= self._width < len(cells):
            return cells
        count = min(len(cells), self._width)
        if not line.ended and len(cells) < self._width:
            sentence = _("the log stops in the middle of this line; it was left out.")
            self._remark(line.number, count, sentence)
            return None
        sentence = _("this row has {count} columns where the others have {width}.")
        fault = sentence.format(count=len(cells), width=self._width)
        raise LogFault(fault, line=line.number, column=count + 1)

    def _row(self, number: int, cells: list[str]) -> None:
        at_ms = self._clock.at_ms(cells[self._time])
        if at_ms is None:
            raise _unreadable(_("“{cell}” is no time here."), cells[self._time], number, self._time)
        cell = cells[self._temperature].strip()
        if cell.lower() in NO_VALUE:
            self._remark(number, self._temperature + 1, _("no temperature stands here."))
            return
        mc = temperature_of(cell, self._choice.decimal, self._choice.unit)
        if mc is None or not _LEAST_MC <= mc <= _MOST_MC:
            raise _unreadable(_("“{cell}” is no fluid temperature here."), cell, number, self._temperature)
        self._keep(number, Reading(at_ms=at_ms, mc=mc))

    def _keep(self, number: int, reading: Reading) -> None:
        before = self._before
        column = self._time + 1
        if before is not None:
            apart = reading.at_ms - before.at_ms
            if apart < 0:
                raise LogFault(_("the time runs backward here."), line=number, column=column)
            if apart == 0:
                self._remark(number, column, _("this time stands twice; the first value was kept."))
                return
            if apart > _GAP_MS:
                sentence = _("nothing was logged for {minutes} minutes before this.")
                self._remark(number, column, sentence.format(minutes=round(apart / 60_000)))
        self._before = reading
        self._readings.add(reading)

    def _remark(self, line: int, column: int, sentence: str) -> None:
        if len(self._remarks) < _MOST_REMARKS:
            self._remarks.append(Remark(line=line, column=column, sentence=sentence))
        else:
            self._further += 1


def _split(line: Line, delimiter: str) -> list[str]:
    try:
        return split_row(line.text, delimiter)
    except csv.Error as fault:
        raise LogFault(_("the quotation marks in this line do not match."), line=line.number) from fault


def _filled(cells: Sequence[str]) -> int:
    """How many columns a row has, without empty ones at its end."""
    wide = len(cells)
    while wide and not cells[wide - 1].strip():
        wide -= 1
    return wide


def _place(headings: Sequence[str], wanted: str, otherwise: int, line: int) -> int:
    if not wanted:
        return otherwise
    if otherwise < len(headings) and headings[otherwise] == wanted:
        return otherwise
    if wanted in headings:
        return headings.index(wanted)
    sentence = _("this log has no column “{heading}”; choose its columns again.")
    raise LogFault(sentence.format(heading=wanted), line=line)


def _unreadable(sentence: str, cell: str, line: int, column: int) -> LogFault:
    shown = cell if len(cell) <= 40 else f"{cell[:39]}…"
    return LogFault(sentence.format(cell=shown), line=line, column=column + 1)


def first_lines(chunks: Iterable[bytes], most: int) -> Iterator[Line]:
    """Give the first lines of a log without reading further than they need."""
    for line in lines_of(chunks):
        yield line
        if line.number >= most:
            return
