"""The beginning of a log: its columns, and a proposal for what to read from it.

A proposal is shown, never acted upon: the person confirms it. Where a log does not say whether
its degrees are °C or °F, the proposal leaves that open.
"""

import csv
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from shopdesk.domain.log_cells import NO_VALUE, Clock, TimeKind, clock_of, number_of, temperature_of
from shopdesk.domain.log_lines import Line
from shopdesk.domain.scan_log import LogChoice, first_lines, split_row

PREVIEW_LINES = 40

_DELIMITERS = ("\t", ";", "|", ",")
_RARE = re.compile(r"[^\w\s\"'.,;:|+\-°º()%/\[\]#*&]")
_TIME_WORDS = re.compile(r"time|zeit|temps|elapsed|clock|sec|\bms\b|\bs\b|tiempo|hora", re.IGNORECASE)
_DEGREE_WORDS = re.compile(r"temp|°|º|degc|degf|\bC\b|\bF\b|\bTFT\b|fluid|oil", re.IGNORECASE)
_FLUID_WORDS = re.compile(r"trans|fluid|gear|atf|\bTFT\b|\bTOT\b|cvt|dct", re.IGNORECASE)
_NOT_FLUID_WORDS = re.compile(
    r"coolant|intake|ambient|engine|catalyst|\bECT\b|\bIAT\b|\bEOT\b|\bAAT\b", re.IGNORECASE
)
_FAHRENHEIT = re.compile(r"[°º]\s*F|deg\.?\s*F|[\[(]\s*F\s*[\])]|\bF\b|fahrenheit", re.IGNORECASE)
_CELSIUS = re.compile(r"[°º]\s*C|deg\.?\s*C|[\[(]\s*C\s*[\])]|\bC\b|celsius", re.IGNORECASE)
_MILLISECONDS = re.compile(r"\bms\b|msec|millis", re.IGNORECASE)
_MINUTES = re.compile(r"\bmin\b|minutes", re.IGNORECASE)


@dataclass(frozen=True, kw_only=True, slots=True)
class Column:
    """One column as the preview shows it: its heading, if any, and its first cells."""

    at: int
    heading: str
    cells: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class LogPreview:
    """What the beginning of a log looks like.

    ``unit`` is '' when the log does not say °C or °F; then, or when no column looks like time or
    temperature, there is no ``proposal`` and the person chooses.
    """

    delimiter: str
    decimal: str
    heading_line: int
    columns: tuple[Column, ...]
    time_column: int | None
    temperature_column: int | None
    time_kind: TimeKind
    unit: str

    @property
    def proposal(self) -> LogChoice | None:
        """The choice that would be made, or None where something is not known."""
        return self.choose()

    def choose(
        self,
        *,
        time_column: int | None = None,
        temperature_column: int | None = None,
        unit: str = "",
        time_kind: TimeKind | None = None,
    ) -> LogChoice | None:
        """Give the proposal with what the person chose in its place."""
        time = self.time_column if time_column is None else time_column
        temperature = self.temperature_column if temperature_column is None else temperature_column
        degrees = unit or self.unit
        if time is None or temperature is None or time == temperature or not degrees:
            return None
        return LogChoice(
            delimiter=self.delimiter,
            decimal=self.decimal,
            time_column=time,
            temperature_column=temperature,
            time_kind=time_kind or self.time_kind,
            unit=degrees,
            heading_line=self.heading_line,
            time_heading=self.columns[time].heading,
            temperature_heading=self.columns[temperature].heading,
        )


def look(chunks: Iterable[bytes]) -> LogPreview:
    """Look at the beginning of a log. Raises LogFault for what is no text with lines."""
    seen = [*first_lines(chunks, PREVIEW_LINES)]
    lines = [line for line in seen if line.ended] or seen
    delimiter = _delimiter(lines)
    rows = {line.number: cells for line in lines if (cells := _cells(line, delimiter)) is not None}
    wide = _usual_width(rows.values())
    values = {number: cells for number, cells in rows.items() if _is_row_of_values(cells, wide)}
    heading_line = min(values, default=1) - 1
    columns = tuple(_columns(rows.get(heading_line, []), [*values.values()], wide))
    decimal = _decimal(columns, delimiter)
    time = _time_column(columns, decimal)
    temperature = _temperature_column(columns, decimal, time)
    return LogPreview(
        delimiter=delimiter,
        decimal=decimal,
        heading_line=heading_line,
        columns=columns,
        time_column=time,
        temperature_column=temperature,
        time_kind=TimeKind.SECONDS if time is None else _time_kind(columns[time], decimal),
        unit="" if temperature is None else _unit(columns[temperature]),
    )


def _cells(line: Line, delimiter: str) -> list[str] | None:
    try:
        return split_row(line.text, delimiter)
    except csv.Error:
        return None


def _delimiter(lines: Sequence[Line]) -> str:
    """The delimiter by which most lines have the same number of columns, and most of them values."""
    rare = Counter(_RARE.findall("".join(line.text for line in lines)))
    candidates: list[str] = [*_DELIMITERS, *(mark for mark, _n in rare.most_common(3)), " "]
    return max(candidates, key=lambda mark: _suits(lines, mark))


def _suits(lines: Sequence[Line], mark: str) -> tuple[float, float]:
    rows = [cells for line in lines if line.text.strip() and (cells := _cells(line, mark)) is not None]
    wide = _usual_width(rows)
    if wide < 2:
        return 0.0, 0.0
    same = [cells for cells in rows if len(cells) == wide]
    values = [cell for cells in same for cell in cells if _is_value(cell)]
    return round(len(same) / len(rows), 1), len(values) / (len(same) * wide)


def _usual_width(rows: Iterable[Sequence[str]]) -> int:
    counts = Counter(len(cells) for cells in rows if any(cell.strip() for cell in cells))
    return max(counts, key=lambda wide: (counts[wide], wide), default=0)


def _is_value(cell: str) -> bool:
    text = cell.strip()
    return text.lower() in NO_VALUE or clock_of(text) is not None or _any_number(text)


def _any_number(text: str) -> bool:
    bare = text.rstrip("°ºCFcf ").strip()
    return any(number_of(bare, decimal) is not None for decimal in ".,")


def _is_row_of_values(cells: Sequence[str], wide: int) -> bool:
    filled = [cell for cell in cells if cell.strip()]
    return abs(len(cells) - wide) <= 1 and sum(map(_is_value, filled)) >= 2


def _columns(headings: Sequence[str], rows: Sequence[Sequence[str]], wide: int) -> Iterator[Column]:
    for at in range(wide):
        heading = headings[at].strip() if at < len(headings) else ""
        yield Column(at=at, heading=heading, cells=tuple(row[at].strip() for row in rows if at < len(row)))


def _decimal(columns: Sequence[Column], delimiter: str) -> str:
    cells = [cell for column in columns for cell in column.cells if clock_of(cell) is None]
    commas = sum("," in cell for cell in cells)
    points = sum("." in cell for cell in cells)
    return "," if commas > points and (delimiter != "," or commas) else "."


def _all_read(cells: Sequence[str], reads: Iterable[object]) -> bool:
    filled = [cell for cell in cells if cell.lower() not in NO_VALUE]
    return bool(filled) and all(read is not None for read in reads)


def _times(column: Column, decimal: str) -> list[int | None]:
    kind = TimeKind.CLOCK if all(clock_of(cell) for cell in column.cells) else TimeKind.SECONDS
    clock = Clock(kind, decimal)
    return [clock.at_ms(cell) for cell in column.cells]


def _time_column(columns: Sequence[Column], decimal: str) -> int | None:
    """The column whose values never fall and do rise; a heading that says time comes first."""
    found = []
    for column in columns:
        times = [at for at in _times(column, decimal) if at is not None]
        rises = len(times) == len(column.cells) > 1 and times == sorted(times) and times[0] < times[-1]
        if rises:
            named = bool(_TIME_WORDS.search(column.heading))
            by_clock = clock_of(column.cells[0]) is not None
            found.append((not named, not by_clock, column.at))
    return min(found)[-1] if found else None


def _temperature_column(columns: Sequence[Column], decimal: str, time: int | None) -> int | None:
    found = []
    for column in columns:
        cells = [cell for cell in column.cells if cell.lower() not in NO_VALUE]
        reads = [
            next(
                (mc for unit in ("degc", "degf") if (mc := temperature_of(cell, decimal, unit)) is not None),
                None,
            )
            for cell in cells
        ]
        if column.at != time and _all_read(cells, reads):
            heading = column.heading
            words = (_FLUID_WORDS, _DEGREE_WORDS)
            rank = [not word.search(heading) for word in words]
            found.append((bool(_NOT_FLUID_WORDS.search(heading)), *rank, column.at))
    named = [each for each in found if not each[2] or len(found) == 1]
    return min(named)[-1] if named else None


def _time_kind(column: Column, decimal: str) -> TimeKind:
    if column.cells and clock_of(column.cells[0]) is not None:
        return TimeKind.CLOCK
    if _MILLISECONDS.search(column.heading):
        return TimeKind.MILLISECONDS
    if _MINUTES.search(column.heading):
        return TimeKind.MINUTES
    times = [at for at in _times(column, decimal) if at is not None]
    steps = [(after - before) / 1000 for before, after in pairwise(times)]
    # No tool logs every fifty seconds or more; they do log every fifty milliseconds.
    return TimeKind.MILLISECONDS if steps and median(steps) >= 50 else TimeKind.SECONDS


def _unit(column: Column) -> str:
    texts = [column.heading, *column.cells]
    says_f = any(_FAHRENHEIT.search(text) for text in texts)
    says_c = any(_CELSIUS.search(text) for text in texts)
    if says_f == says_c:
        return ""
    return "degf" if says_f else "degc"
