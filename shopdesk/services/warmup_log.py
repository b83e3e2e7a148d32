"""Scan tools' logs: looked at, read with the columns a person confirmed, and remembered tool by tool.

Nothing of a log is kept unless all of it could be read; what is kept is a few hundred readings.
"""

import hashlib
import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from gettext import gettext as _
from pathlib import Path
from typing import Any, BinaryIO
from zoneinfo import ZoneInfo

from sqlalchemy import insert, select, update

from shopdesk.domain import text
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.log_cells import TimeKind
from shopdesk.domain.log_lines import chunks_of
from shopdesk.domain.log_preview import LogPreview, look
from shopdesk.domain.scan_log import LogChoice, Remark, ScanLog, read_log
from shopdesk.persistence import canonical
from shopdesk.persistence.tables.evidence import warmup_log
from shopdesk.persistence.tables.service import service_record
from shopdesk.persistence.tables.shop import setting
from shopdesk.services.acting import Command, Office, Reading, Writing
from shopdesk.services.photos import file_name
from shopdesk.services.plain import from_plain, to_plain
from shopdesk.services.typed import key_of
from shopdesk.services.warmup import AHEAD

_KEY = "scan tool: "
_MOST_TOOL = 60
#: A clock that begins below one hour is a stop watch (common practice, no source).
_CLOCK_FROM_MS = 3_600_000


@dataclass(frozen=True, kw_only=True, slots=True)
class BringLog(Command):
    """Brings a log into a record, read with ``choice``, which is remembered for ``tool`` if it is named.

    ``started_at``: when the log began, if anybody knows. Without it a clock time is that of the
    record's day, and a log of elapsed time is taken to end now.
    """

    record_id: int
    file: Path
    choice: LogChoice
    tool: str = ""
    started_at: datetime | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class LogKept:
    """A log as it was kept: how many rows it had, how many readings stand for them, and what to know."""

    log_id: int
    rows: int
    kept: int
    started_at: datetime
    start_known: bool
    remarks: tuple[Remark, ...] = ()
    further_remarks: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class LogLook:
    """The beginning of a log; ``choice`` is the one remembered for the tool, else what is proposed."""

    preview: LogPreview
    choice: LogChoice | None
    remembered: bool


@dataclass(slots=True)
class _Hashed:
    """A log's bytes on their way through, hashed."""

    stream: BinaryIO
    hash: Any = field(default_factory=hashlib.sha256)

    def chunks(self) -> Iterator[bytes]:
        for chunk in chunks_of(self.stream):
            self.hash.update(chunk)
            yield chunk


@contextmanager
def _opened(file: Path) -> Iterator[BinaryIO]:
    try:
        with file.open("rb") as stream:
            yield stream
    except OSError as trouble:
        sentence = _("The log cannot be read: {reason}.")
        raise RuleBroken(sentence.format(reason=trouble.strerror), "file") from trouble


def remembered_choice(reading: Reading, tool: str) -> LogChoice | None:
    """Give how a tool's logs were read the last time, None when it is not known."""
    if not tool.strip():
        return None
    kept = reading.connection.execute(
        select(setting.c.value_text).where(setting.c.key == _setting_key(tool))
    ).scalar()
    return None if kept is None else from_plain(LogChoice, json.loads(kept)["choice"])


def _setting_key(tool: str) -> str:
    return _KEY + key_of(tool, field="tool", most=_MOST_TOOL)


def remember_choice(writing: Writing, tool: str, choice: LogChoice) -> None:
    """Keep how a tool's logs are read."""
    key, name = _setting_key(tool), text.clean(tool, field="tool", most=_MOST_TOOL)
    value = canonical.canonical_json({"tool": name, "choice": to_plain(choice)})
    if len(value) > 4000:
        raise RuleBroken(_("The headings of this log are too long to be remembered."), "tool")
    changed = writing.connection.execute(
        update(setting).where(setting.c.key == key).values(value_text=value, version=setting.c.version + 1)
    )
    if changed.rowcount == 0:
        writing.connection.execute(insert(setting).values(key=key, value_text=value))
    writing.touched.add(setting.name)


def _started(writing: Writing, command: BringLog, log: ScanLog) -> tuple[datetime, bool]:
    """Say when the log's first reading was taken, and whether that is known."""
    first, last = log.readings[0].at_ms, log.readings[-1].at_ms
    took = timedelta(milliseconds=last - first)
    if command.started_at is not None:
        if command.started_at.tzinfo is None:
            raise RuleBroken(_("The time the log began needs its time zone."), "started_at")
        started, known = command.started_at, True
    elif command.choice.time_kind is TimeKind.CLOCK and first >= _CLOCK_FROM_MS:
        row = writing.one(service_record, command.record_id, _("That service record is not there."))
        midnight = datetime.combine(row.done_on, time(), ZoneInfo(writing.shop.zone))
        started, known = midnight + timedelta(milliseconds=first), True
    else:
        started, known = writing.now - took, False
    if started + took > writing.now + AHEAD:
        sentence = _("This log would end at a time that is still to come; say when it began.")
        raise RuleBroken(sentence, "started_at")
    return started, known


def bring_log(writing: Writing, command: BringLog, log: ScanLog, sha: str) -> LogKept:
    """Keep a log that was read."""
    writing.one(service_record, command.record_id, _("That service record is not there."))
    started, known = _started(writing, command, log)
    first = log.readings[0].at_ms
    pairs = [[each.at_ms - first, each.mc] for each in log.readings]
    log_id = writing.add_chained(
        warmup_log,
        record_id=command.record_id,
        tool=text.clean(command.tool, field="tool", most=_MOST_TOOL),
        name=file_name(command.file.name),
        sha=sha,
        started_at=started,
        start_known=known,
        rows_read=log.rows,
        readings_text=canonical.canonical_json(pairs),
    )
    if command.tool.strip():
        remember_choice(writing, command.tool, command.choice)
    return LogKept(
        log_id=log_id,
        rows=log.rows,
        kept=len(pairs),
        started_at=started,
        start_known=known,
        remarks=log.remarks,
        further_remarks=log.further_remarks,
    )


class WarmUpLogs:
    """The room where scan tools' logs come in."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def look(self, file: Path, tool: str = "") -> LogLook:
        """Look at the beginning of a log; LogFault names the line that is no text of a log."""
        with _opened(file) as stream:
            preview = look(chunks_of(stream))
        with self._office.reading() as reading:
            known = remembered_choice(reading, tool)
        return LogLook(preview=preview, choice=known or preview.proposal, remembered=known is not None)

    def bring(self, command: BringLog) -> LogKept:
        """Read a whole log in bounded memory and keep it, or keep nothing.

        Raises LogFault with line and column for what cannot be read.
        """
        with _opened(command.file) as stream:
            hashed = _Hashed(stream)
            log = read_log(hashed.chunks(), command.choice)
        sha = hashed.hash.hexdigest()
        told = {
            "record_id": command.record_id,
            "sha": sha,
            "choice": to_plain(command.choice),
            "tool": command.tool,
            "started_at": to_plain(command.started_at),
        }
        return self._office.carry_out(
            command,
            lambda writing: bring_log(writing, command, log, sha),
            LogKept,
            content=canonical.canonical_json(told),
        )

    def tools(self) -> tuple[str, ...]:
        """Give the names of the tools whose columns are remembered."""
        with self._office.reading() as reading:
            kept = reading.connection.execute(
                select(setting.c.value_text).where(setting.c.key.startswith(_KEY)).order_by(setting.c.key)
            ).scalars()
            return tuple(str(json.loads(value)["tool"]) for value in kept)
