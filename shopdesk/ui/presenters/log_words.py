"""A scan tool's log before it is brought in: which columns to read, shown with its first rows."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from gettext import gettext as _
from gettext import ngettext
from zoneinfo import ZoneInfo

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.log_cells import TimeKind
from shopdesk.domain.log_preview import Column, LogPreview
from shopdesk.domain.scan_log import LogChoice
from shopdesk.services.figures import Figures
from shopdesk.services.warmup_log import LogKept, LogLook

Choices = list[tuple[str, str]]

ROWS_SHOWN = 5
_CELL = 14
_CLOCK = re.compile(r"(\d{1,2})[:.](\d{2})(?:[:.](\d{2}))?")


@dataclass(frozen=True, kw_only=True, slots=True)
class LogTable:
    """The first rows as a small table: headings, cells, and which columns are chosen."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def column_choices(preview: LogPreview) -> Choices:
    """Give the columns to choose from."""
    return [("", _("Not chosen yet")), *((str(c.at), column_name(c)) for c in preview.columns)]


def column_name(column: Column) -> str:
    """Give a column's heading, or its number where there is none."""
    return column.heading[:40] if column.heading else _("Column {n}").format(n=column.at + 1)


def unit_choices() -> Choices:
    """Give what the degrees may be."""
    return [("", _("Not said in the log")), ("degc", _("°C")), ("degf", _("°F"))]


def time_choices() -> Choices:
    """Give how the time may be written."""
    return [(kind.value, _(kind.value).capitalize()) for kind in TimeKind]


def texts_of_look(look: LogLook) -> dict[str, str]:
    """Give the form's texts for what is remembered of the tool, else for what is proposed."""
    preview, choice = look.preview, look.choice
    time_at = (
        preview.time_column
        if choice is None
        else _column_of(preview, choice.time_heading, choice.time_column)
    )
    warm_at = (
        preview.temperature_column
        if choice is None
        else _column_of(preview, choice.temperature_heading, choice.temperature_column)
    )
    return {
        "time_column": "" if time_at is None else str(time_at),
        "temperature_column": "" if warm_at is None else str(warm_at),
        "time_kind": (preview.time_kind if choice is None else choice.time_kind).value,
        "unit": preview.unit if choice is None else choice.unit,
    }


def _column_of(preview: LogPreview, heading: str, otherwise: int) -> int | None:
    named = [column.at for column in preview.columns if heading and column.heading == heading]
    if named:
        return named[0]
    return otherwise if otherwise < len(preview.columns) else None


def choice_of(look: LogLook, texts: Mapping[str, str]) -> LogChoice:
    """Give the choice that was confirmed. Raises RuleBroken naming what is not chosen yet."""
    asked = {
        "time_column": _("Choose the column with the time."),
        "temperature_column": _("Choose the column with the fluid's temperature."),
        "unit": _("Say whether the temperatures are °C or °F."),
    }
    for field, sentence in asked.items():
        if not texts.get(field, ""):
            raise RuleBroken(sentence, field)
    found = look.preview.choose(
        time_column=int(texts["time_column"]),
        temperature_column=int(texts["temperature_column"]),
        unit=texts["unit"],
        time_kind=TimeKind(texts["time_kind"]),
    )
    if found is None:
        raise RuleBroken(_("Time and temperature stand in two columns."), "temperature_column")
    return found


def first_rows(preview: LogPreview) -> LogTable:
    """Give the first rows as they would be read."""
    count = max((len(column.cells) for column in preview.columns), default=0)
    rows = tuple(
        tuple(_cell(column.cells, at) for column in preview.columns) for at in range(min(count, ROWS_SHOWN))
    )
    return LogTable(headings=tuple(column_name(column) for column in preview.columns), rows=rows)


def _cell(cells: Sequence[str], at: int) -> str:
    text = cells[at] if at < len(cells) else ""
    return text if len(text) <= _CELL else f"{text[: _CELL - 1]}…"


def began_at(text: str, day: date, figures: Figures) -> datetime | None:
    """Read when a log began, a time of that day in the shop's zone; None when nothing is written.

    Raises RuleBroken (field ``started_at``) for what is no time.
    """
    if not text.strip():
        return None
    found = _CLOCK.fullmatch(text.strip())
    hour, minute, second = (int(part or 0) for part in found.groups()) if found else (99, 0, 0)
    if hour > 23 or minute > 59 or second > 59:
        raise RuleBroken(_("Write a time such as 14:05."), "started_at")
    return datetime.combine(day, time(hour, minute, second), ZoneInfo(figures.shop.zone))


def kept_words(kept: LogKept, figures: Figures) -> str:
    """Say what came in, from when, and what to know about it."""
    rows = ngettext("{n} row read", "{n} rows read", kept.rows).format(n=figures.number(kept.rows, 0))
    begin = _("beginning {time}").format(time=figures.clock(kept.started_at))
    if not kept.start_known:
        begin = _("taken to end just now")
    told = [f"{rows}, {begin}."]
    told += [
        _("Line {line}: {sentence}").format(line=each.line, sentence=each.sentence)
        for each in kept.remarks[:2]
    ]
    more = len(kept.remarks[2:]) + kept.further_remarks
    if more:
        told.append(ngettext("{n} remark more.", "{n} remarks more.", more).format(n=more))
    return " ".join(told)
