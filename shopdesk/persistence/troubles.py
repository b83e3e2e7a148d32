"""What can go wrong with a database through no fault of the program, in words for the person."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from gettext import gettext as _

from sqlalchemy.exc import OperationalError

from shopdesk.domain.errors import RuleBroken

_LOCK_NOT_AVAILABLE = "55P03"  # PostgreSQL's SQLSTATE for a lock_timeout that ran out
_NOT_CONNECTED = (
    "08",
    "28",
    "3D",
    "57P",
)  # SQLSTATE classes: connection, sign-in, no such database, shut down


class DatabaseRefused(RuleBroken):
    """The database named is not one this program may open; nothing in it was changed."""


class DatabaseBusy(RuleBroken):
    """Somebody else held the database too long; the use case kept nothing and can be tried again."""


class DatabaseUnreachable(RuleBroken):
    """The file, its disk or the server does not answer.

    When a server was lost while it was confirming, what was sent may have been kept: the same request
    id sent again tells.
    """


@contextmanager
def troubles_in_words() -> Iterator[None]:
    """Turn a lock waited for in vain, a full disk or a lost database into a refusal with a sentence."""
    try:
        yield
    except OperationalError as error:
        refusal = _in_words(error)
        if refusal is None:
            raise
        raise refusal from error


def _in_words(error: OperationalError) -> RuleBroken | None:
    cause = error.orig
    if isinstance(cause, sqlite3.OperationalError):
        return _in_words_for_file(cause.sqlite_errorcode & 0xFF)
    state = getattr(cause, "sqlstate", None)
    if state == _LOCK_NOT_AVAILABLE:
        return _busy()
    if error.connection_invalidated or state is None or state.startswith(_NOT_CONNECTED):
        return DatabaseUnreachable(_("The shop's database server does not answer. Try again."), "database")
    return None


def _in_words_for_file(code: int) -> RuleBroken | None:
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return _busy()
    if code == sqlite3.SQLITE_CANTOPEN:
        return DatabaseUnreachable(_("The file of the shop's database cannot be opened."), "database")
    if code in (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR):
        sentence = _("The disk of the shop's database is full or does not work. Nothing was kept.")
        return DatabaseUnreachable(sentence, "database")
    return None


def _busy() -> DatabaseBusy:
    return DatabaseBusy(
        _("Another program is using the shop's database. Nothing was kept; please try again."), "database"
    )
