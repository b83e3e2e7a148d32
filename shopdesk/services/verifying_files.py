"""A second opinion on any record: one of this shop's own, a file of another shop, a code off its paper.

Files and codes are judged by what stands in them; nothing is kept of it. A record of this shop is worked
out anew from its entries, as the others are.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from gettext import gettext as _
from pathlib import Path
from typing import Any

from sqlalchemy import select

from shopdesk.domain.errors import NotFound, RuleBroken
from shopdesk.domain.record import Entry
from shopdesk.domain.record_code import PREFIX
from shopdesk.domain.verify import Evidence, Verification, verify
from shopdesk.persistence.tables.service import service_record
from shopdesk.persistence.tables.units import unit
from shopdesk.persistence.tables.vehicles import vehicle
from shopdesk.persistence.tables.work import work_order
from shopdesk.services.acting import Office, Reading
from shopdesk.services.bay import record_view
from shopdesk.services.record_check import MOST_BYTES, CheckedCode, check_code, codes_of
from shopdesk.services.signing import signer_of
from shopdesk.services.verifying import RECORD_FORMAT, evidence_from, evidence_of, record_document
from shopdesk.services.verifying_jobs import evidence_from_job
from shopdesk.services.work import the_work_order

#: Which schema a file of which format is held against.
SCHEMAS = {RECORD_FORMAT: "record.json", "shopdesk-job/1": "job.json"}


class Source(StrEnum):
    """Where a record that is judged comes from."""

    KEPT = "kept"
    FILE = "file"
    JOB = "job"
    CODE = "code"


@dataclass(frozen=True, kw_only=True, slots=True)
class SeenEntry:
    """An entry with who made it and when it was kept, where that is known."""

    entry: Entry
    person: str = ""
    at_utc: datetime | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Judged:
    """A record with the verdict over it.

    ``evidence`` and ``verification`` are None where only a code was brought: it holds no readings.
    ``own_key``: the code was signed with this shop's key. ``record_id``: this shop's own record of that
    name, 0 where it has none.
    """

    source: Source
    number: str
    shop: str
    unit: str
    entries: tuple[SeenEntry, ...] = ()
    evidence: Evidence | None = None
    verification: Verification | None = None
    code: CheckedCode | None = None
    own_key: bool = False
    record_id: int = 0
    work_order_id: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class RecordRow:
    """One record that can be judged."""

    record_id: int
    number: str
    done_on: date
    unit: str
    plate: str
    finished: bool


def evidence_of_document(document: Mapping[str, Any], now: datetime) -> Evidence:
    """Read a file that was checked against the schema of its format."""
    read = evidence_from if document["format"] == RECORD_FORMAT else evidence_from_job
    return read(document, now)


def judge_kept(reading: Reading, record_id: int) -> Judged:
    """Judge one of this shop's own records."""
    view = record_view(reading, record_id)
    evidence = evidence_of(reading, view)
    return Judged(
        source=Source.KEPT,
        number=f"{the_work_order(reading, view.work_order_id).number}-{record_id}",
        shop=reading.shop.name,
        unit=view.unit_label,
        entries=tuple(SeenEntry(entry=e.entry, person=e.person, at_utc=e.at_utc) for e in view.entries),
        evidence=evidence,
        verification=verify(evidence),
        record_id=record_id,
        work_order_id=view.work_order_id,
    )


def judge_document(reading: Reading, document: Mapping[str, Any]) -> Judged:
    """Judge a record's file or a job file. Raises CodeBroken when its code is not as it was signed."""
    evidence = evidence_of_document(document, reading.now)
    is_record = document["format"] == RECORD_FORMAT
    code = check_code(document["code"]) if is_record and document.get("code") else None
    return Judged(
        source=Source.FILE if is_record else Source.JOB,
        number=document.get("number", ""),
        shop=document.get("shop", "") if is_record else document.get("shop", {}).get("name", ""),
        unit=document.get("unit", "") if is_record else document["unit"].get("label", ""),
        entries=tuple(SeenEntry(entry=entry) for entry in evidence.entries),
        evidence=evidence,
        verification=verify(evidence),
        code=code,
        own_key=_is_own(reading, code),
        record_id=_record_named(reading, document["id"]) if is_record else 0,
    )


def judge_code(reading: Reading, text: str) -> Judged:
    """Judge a code alone: whether it is as it was signed, and by whose key."""
    code = check_code(text)
    told = {name: str(code.facts.get(name, "")) for name in ("number", "shop", "unit", "uid")}
    return Judged(
        source=Source.CODE,
        number=told["number"],
        shop=told["shop"],
        unit=told["unit"],
        code=code,
        own_key=_is_own(reading, code),
        record_id=_record_named(reading, told["uid"]),
    )


def _is_own(reading: Reading, code: CheckedCode | None) -> bool:
    signer = signer_of(reading)
    return code is not None and signer is not None and code.public_hex == signer.public_key.hex()


def _record_named(reading: Reading, uid: str) -> int:
    wanted = select(service_record.c.id).where(service_record.c.uid == uid)
    return reading.connection.execute(wanted).scalar() or 0


def _records(reading: Reading, most: int) -> tuple[RecordRow, ...]:
    rows = reading.connection.execute(
        select(
            service_record.c.id,
            service_record.c.done_on,
            service_record.c.finished_utc,
            work_order.c.number,
            unit.c.label,
            vehicle.c.plate,
        )
        .join(work_order, work_order.c.id == service_record.c.work_order_id)
        .join(unit, unit.c.id == service_record.c.unit_id)
        .join(vehicle, vehicle.c.id == unit.c.vehicle_id)
        .order_by(service_record.c.id.desc())
        .limit(most)
    )
    return tuple(
        RecordRow(
            record_id=row.id,
            number=f"{row.number}-{row.id}",
            done_on=row.done_on,
            unit=row.label,
            plate=row.plate,
            finished=row.finished_utc is not None,
        )
        for row in rows
    )


def _bytes_of(file: Path) -> bytes:
    try:
        with file.open("rb") as opened:
            content = opened.read(MOST_BYTES + 1)
    except OSError as trouble:
        sentence = _("The file cannot be read: {reason}.")
        raise RuleBroken(sentence.format(reason=trouble.strerror), "file") from trouble
    if len(content) > MOST_BYTES:
        raise RuleBroken(_("The file is larger than 25 MB."), "file")
    return content


class Verifying:
    """The room where a record is looked at with a second pair of eyes. ``schemas`` is their folder."""

    def __init__(self, office: Office, schemas: Path) -> None:
        self._office = office
        self._schemas = schemas

    def record(self, record_id: int) -> Verification:
        """Give the verdict over a kept record; nothing is kept of it."""
        with self._office.reading() as reading:
            return verify(evidence_of(reading, record_view(reading, record_id)))

    def kept(self, record_id: int) -> Judged:
        """Judge one of this shop's own records; NotFound when it is not there."""
        with self._office.reading() as reading:
            return judge_kept(reading, record_id)

    def typed(self, text: str) -> Judged:
        """Judge what was typed or pasted: a record's number such as 1001-1, or a code's text.

        Raises RuleBroken (field ``what``) for what is neither, CodeBroken for a code that was changed.
        """
        said = text.strip()
        with self._office.reading() as reading:
            if said[: len(PREFIX)].upper() == PREFIX:
                return judge_code(reading, said)
            number = said.rpartition("-")[2]
            if not (number.isascii() and number.isdigit() and len(number) < 16):
                raise RuleBroken(_("Write a record's number such as 1001-1, or paste its code."), "what")
            none = NotFound(_("There is no service record of this number."), "what")
            try:
                judged = judge_kept(reading, int(number))
            except NotFound as trouble:
                raise none from trouble
            if judged.number != said:
                raise none
            return judged

    def file(self, file: Path) -> Judged:
        """Judge a file: a record's own, a job file, a picture or PDF with a record's code.

        Raises RuleBroken with a sentence for what is none, CodeBroken for what was changed after signing.
        Pictures and PDFs are drawn for it: call it where papers are drawn, from one thread only.
        """
        from shopdesk.services.job_file import read_checked_file  # few runs check a schema

        content = _bytes_of(file)
        with self._office.reading() as reading:
            if content.lstrip(b"\xef\xbb\xbf \t\r\n")[:1] in (b"{", b"["):
                return judge_document(reading, read_checked_file(file, self._schemas, SCHEMAS))
            return judge_code(reading, codes_of(content)[0])

    def newest(self, most: int = 200) -> tuple[RecordRow, ...]:
        """Give the newest records of this shop, the last first."""
        with self._office.reading() as reading:
            return _records(reading, most)

    def document(self, record_id: int) -> dict[str, Any]:
        """Give a record's own file, for whoever wants to judge it elsewhere."""
        with self._office.reading() as reading:
            return record_document(reading, record_id)

    def write(self, record_id: int, file: Path) -> Path:
        """Write a record's own file; RuleBroken (field ``file``) when it cannot be written there."""
        content = json.dumps(self.document(record_id), ensure_ascii=False, indent=1)
        try:
            file.write_text(content, encoding="utf-8")
        except OSError as trouble:
            sentence = _("The file cannot be written: {reason}.")
            raise RuleBroken(sentence.format(reason=trouble.strerror), "file") from trouble
        return file
