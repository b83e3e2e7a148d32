"""The open gate: what a SQLite file is, told from its first bytes before any engine touches it."""

from __future__ import annotations

from gettext import gettext as _
from pathlib import Path

from shopdesk.persistence.engine import APPLICATION_ID
from shopdesk.persistence.troubles import DatabaseRefused

_MAGIC = b"SQLite format 3\0"  # "The database header", sqlite.org/fileformat2.html
_APPLICATION_ID_AT = 68
_HEADER = 100


def check_file(file: Path) -> None:
    """Refuse a file that is not a shop's database; only reads it, and only its first 100 bytes.

    An empty file is refused as well: it would open as a valid, empty database, and stands for one that
    was cut off. Raises DatabaseRefused.
    """
    start = _first_bytes(file)
    if not start:
        raise _refused(_("The file {file} is empty. It is not taken for a new shop; restore a backup."), file)
    if len(start) < _HEADER or not start.startswith(_MAGIC):
        raise _refused(_("The file {file} is not a database. It was left as it is."), file)
    mark = int.from_bytes(start[_APPLICATION_ID_AT : _APPLICATION_ID_AT + 4], "big")
    if mark != APPLICATION_ID:
        raise _refused(_("The file {file} is the database of another program. It was left as it is."), file)


def _first_bytes(file: Path) -> bytes:
    try:
        with file.open("rb") as opened:
            return opened.read(_HEADER)
    except OSError as error:
        raise _refused(_("The file {file} cannot be read."), file) from error


def _refused(sentence: str, file: Path) -> DatabaseRefused:
    return DatabaseRefused(sentence.format(file=file), "database")
