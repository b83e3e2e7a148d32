"""Pictures of the fluid, the magnet, the odometer: attached to a service record or a vehicle, never changed.

What is kept is a JPEG of our own making, without place, date or device. A picture taken back stays in
the books, with who took it back and why, but is shown nowhere.
"""

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from gettext import gettext as _
from hashlib import sha256
from pathlib import Path, PureWindowsPath

from sqlalchemy import Table, insert, select

from shopdesk.domain import text
from shopdesk.domain.errors import NotFound, RuleBroken
from shopdesk.domain.words import N_
from shopdesk.persistence import canonical
from shopdesk.persistence.tables.billing import stored_file
from shopdesk.persistence.tables.evidence import photo
from shopdesk.persistence.tables.service import service_record
from shopdesk.persistence.tables.shop import person
from shopdesk.persistence.tables.vehicles import vehicle
from shopdesk.services.acting import AnyRow, Command, Office, Reading, Writing

THUMBNAIL_SIDE = 320


class PhotoSubject(StrEnum):
    """What a picture belongs to."""

    RECORD = N_("service record")
    VEHICLE = N_("vehicle")


class PhotoKind(StrEnum):
    """What a picture shows."""

    FLUID = N_("fluid")
    MAGNET = N_("magnet and pan")
    ODOMETER = N_("odometer")
    OTHER = N_("other")


_SUBJECTS: dict[PhotoSubject, Table] = {
    PhotoSubject.RECORD: service_record,
    PhotoSubject.VEHICLE: vehicle,
}


@dataclass(frozen=True, kw_only=True, slots=True)
class AttachPhoto(Command):
    """Attaches a picture: the bytes of a camera's file, as they are."""

    subject: PhotoSubject
    subject_id: int
    kind: PhotoKind
    name: str
    content: bytes = field(repr=False)
    note: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class WithdrawPhoto(Command):
    """Takes a picture back: it was of another vehicle, or shows nothing."""

    photo_id: int
    reason: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class PhotoKept:
    """Which picture, and the hash of its bytes as they are kept."""

    photo_id: int
    sha: str


@dataclass(frozen=True, kw_only=True, slots=True)
class PhotoRow:
    """One picture that stands, with who attached it and when; sides in pixels."""

    photo_id: int
    kind: PhotoKind
    name: str
    note: str
    sha: str
    width: int
    height: int
    person: str
    at_utc: datetime


def read_file(file: Path) -> bytes:
    """Read a picture's file; RuleBroken (field ``picture``) when it cannot be read or is too large."""
    from shopdesk.documents.pictures import MOST_BYTES

    try:
        with file.open("rb") as opened:
            content = opened.read(MOST_BYTES + 1)
    except OSError as trouble:
        sentence = _("The picture cannot be read: {reason}.")
        raise RuleBroken(sentence.format(reason=trouble.strerror), "picture") from trouble
    if len(content) > MOST_BYTES:
        raise RuleBroken(_("The picture is larger than 25 MB; take it with fewer pixels."), "picture")
    return content


def photos_of(reading: Reading, subject: PhotoSubject, subject_id: int) -> tuple[PhotoRow, ...]:
    """Give the pictures of a record or vehicle that stand, oldest first."""
    taken_back = select(photo.c.withdraws_id).where(photo.c.withdraws_id.is_not(None))
    rows = reading.connection.execute(
        select(photo, person.c.name.label("person"))
        .join(person, person.c.id == photo.c.person_id)
        .where(
            photo.c.subject == subject.value,
            photo.c.subject_id == subject_id,
            photo.c.withdraws_id.is_(None),
            photo.c.id.not_in(taken_back),
        )
        .order_by(photo.c.id)
    )
    return tuple(_row(row) for row in rows)


def _row(row: AnyRow) -> PhotoRow:
    return PhotoRow(
        photo_id=row.id,
        kind=PhotoKind(row.kind),
        name=row.name,
        note=row.note,
        sha=row.sha,
        width=row.width,
        height=row.height,
        person=row.person,
        at_utc=row.at_utc,
    )


def photo_bytes(reading: Reading, photo_id: int) -> bytes:
    """Give a picture's JPEG; NotFound when there is none, or it was taken back."""
    taken_back = select(photo.c.withdraws_id).where(photo.c.withdraws_id == photo_id)
    content: bytes | None = reading.connection.execute(
        select(stored_file.c.bytes)
        .join(photo, photo.c.sha == stored_file.c.sha)
        .where(photo.c.id == photo_id, photo.c.withdraws_id.is_(None), photo.c.id.not_in(taken_back))
    ).scalar()
    if content is None:
        raise NotFound(_("That picture is not there any more."), "photo_id")
    return content


def file_name(given: str) -> str:
    """Give a file's own name as text; what was a folder of somebody's is nobody's business."""
    return text.clean(PureWindowsPath(given).name, field="name", most=200) or _("picture")


class Photos:
    """The room where pictures are kept."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def attach(self, command: AttachPhoto) -> PhotoKept:
        """Keep a picture; RuleBroken (field ``picture``) with a sentence for what cannot be one."""
        from shopdesk.documents.pictures import MEDIA, cleaned

        picture = cleaned(command.content)
        sha = sha256(picture.content).hexdigest()
        values = {
            "subject": command.subject.value,
            "subject_id": command.subject_id,
            "kind": command.kind.value,
            "name": file_name(command.name),
            "note": text.clean(command.note, field="note", most=300),
        }

        def work(writing: Writing) -> PhotoKept:
            table = _SUBJECTS[command.subject]
            writing.one(table, command.subject_id, _("What the picture belongs to is not there any more."))
            standing = photos_of(writing, command.subject, command.subject_id)
            if sha in (row.sha for row in standing):
                raise RuleBroken(_("This picture is attached already."), "picture")
            _keep_bytes(writing, sha, MEDIA, picture.content)
            photo_id = writing.add_chained(
                photo, **values, sha=sha, width=picture.width, height=picture.height, reason=""
            )
            return PhotoKept(photo_id=photo_id, sha=sha)

        told = {**values, "given": sha256(command.content).hexdigest()}
        return self._office.carry_out(command, work, PhotoKept, content=canonical.canonical_json(told))

    def withdraw(self, command: WithdrawPhoto) -> PhotoKept:
        """Take a picture back."""
        reason = text.clean(command.reason, field="reason", most=500)

        def work(writing: Writing) -> PhotoKept:
            photo_bytes(writing, command.photo_id)
            row = writing.one(photo, command.photo_id, _("That picture is not there any more."))
            same = ("subject", "subject_id", "kind", "sha", "name", "width", "height", "note")
            values = {name: getattr(row, name) for name in same}
            photo_id = writing.add_chained(photo, **values, withdraws_id=row.id, reason=reason)
            return PhotoKept(photo_id=photo_id, sha=row.sha)

        return self._office.carry_out(command, work, PhotoKept)

    def of(self, subject: PhotoSubject, subject_id: int) -> tuple[PhotoRow, ...]:
        """Give the pictures of a record or vehicle, oldest first."""
        with self._office.reading() as reading:
            return photos_of(reading, subject, subject_id)

    def picture(self, photo_id: int) -> bytes:
        """Give a picture as it is kept, a JPEG of at most 1600 pixels a side."""
        with self._office.reading() as reading:
            return photo_bytes(reading, photo_id)

    def thumbnail(self, photo_id: int, longest: int = THUMBNAIL_SIDE) -> bytes:
        """Give a small JPEG of a picture, made now."""
        from shopdesk.documents.pictures import reduced

        return reduced(self.picture(photo_id), longest).content


def _keep_bytes(writing: Writing, sha: str, media: str, content: bytes) -> None:
    known = writing.connection.execute(select(stored_file.c.sha).where(stored_file.c.sha == sha)).scalar()
    if known is None:
        writing.connection.execute(insert(stored_file).values(sha=sha, media=media, bytes=content))
