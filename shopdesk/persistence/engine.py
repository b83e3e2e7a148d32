"""The database: one engine with two faces, one for reading and one for writing.

SQLite gets a plain BEGIN for reading and BEGIN IMMEDIATE for writing, so that a reader is never in the
way of a writer's start and a writer never finds out half-way that it may not write. PostgreSQL reads
from one snapshot and writes under READ COMMITTED with row locks.

One ``Database`` per program, made after any fork; a connection serves one use case in one thread.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from gettext import gettext as _
from pathlib import Path
from typing import Any

from sqlalchemy import BigInteger, ColumnElement, Connection, Engine, cast, create_engine, event, func
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import QueuePool

from shopdesk.persistence.troubles import DatabaseRefused, troubles_in_words

APPLICATION_ID = 0x53686F70
"""Marks a SQLite file as a shop's database (the four bytes read "Shop")."""

BUSY_SECONDS = 5
"""How long a use case waits for another program's lock before it gives up."""

_WRITE = "shopdesk_write"
_FOREIGN_KEYS = "shopdesk_foreign_keys"


class Database:
    """A shop's database, open for short reads and writes.

    ``file`` is the SQLite file, or ``None`` on PostgreSQL.
    """

    def __init__(self, engine: Engine, file: Path | None) -> None:
        self.engine = engine
        self.file = file
        self._writing = engine.execution_options(**{_WRITE: True})
        self._reading = engine if file else _snapshot_face(engine)

    @property
    def is_sqlite(self) -> bool:
        """Whether the shop lives in a file."""
        return self.file is not None

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """Give a connection that sees one state of the shop and cannot write.

        Leave it before anything is drawn or rendered: on a SQLite without safe write-ahead logging no
        writer can commit while a read is open. Raises DatabaseBusy and DatabaseUnreachable.
        """
        with troubles_in_words(), self._reading.begin() as connection:
            yield connection

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """Give a connection whose work is kept whole on leaving, or not at all on an exception.

        Raises DatabaseBusy when another writer held on for longer than BUSY_SECONDS, and
        DatabaseUnreachable.
        """
        with troubles_in_words(), self._writing.begin() as connection:
            yield connection

    @contextmanager
    def rebuild(self) -> Iterator[Connection]:
        """Give a writing connection for a change of layout; SQLite's foreign keys are off meanwhile.

        They can only be switched outside a transaction, and a table that is rebuilt must not take its
        children with it. The connection is thrown away afterwards.
        """
        options = {_WRITE: True, _FOREIGN_KEYS: "OFF"}
        with troubles_in_words(), self.engine.connect().execution_options(**options) as connection:
            try:
                with connection.begin():
                    yield connection
            finally:
                connection.invalidate()

    def close(self) -> None:
        """Close every connection."""
        self.engine.dispose()


def open_database(url: str) -> Database:
    """Name the shop's database: a file, ``sqlite:///FILE`` or ``postgresql://…``.

    Nothing is read or made yet: ``schema.migrate`` looks at what is there, and makes or refuses it.
    Raises DatabaseRefused for any other kind of address.
    """
    if "://" not in url:
        return sqlite_database(Path(url))
    try:
        address = make_url(url)
    except ArgumentError as error:
        raise DatabaseRefused(_("The address of the database cannot be read."), "database") from error
    if address.get_backend_name() == "sqlite" and address.database not in (None, "", ":memory:"):
        return sqlite_database(Path(str(address.database)))
    if address.get_backend_name() == "postgresql":
        return _postgres_database(url)
    raise DatabaseRefused(_("The database must be a file or a postgresql:// address."), "database")


def sqlite_database(file: Path, *, create: bool = False) -> Database:
    """Open a SQLite file; without ``create`` a missing file stays missing and the first use fails."""
    address = file.absolute().as_uri() + ("?mode=rwc" if create else "?mode=rw")
    engine = create_engine(
        "sqlite+pysqlite://", creator=lambda: _connect_sqlite(address), poolclass=QueuePool
    )
    event.listen(engine, "begin", _begin_sqlite)
    return Database(engine, file)


def wal_is_safe(version: tuple[int, ...]) -> bool:
    """Say whether this SQLite keeps write-ahead logs without loss when several connections are open.

    Up to 3.51.2 it can lose data; mended in 3.51.3 and carried back to 3.44.6 and 3.50.7.
    """
    return version >= (3, 51, 3) or (3, 50, 7) <= version < (3, 51) or (3, 44, 6) <= version < (3, 45)


def int_sum(column: ColumnElement[Any]) -> ColumnElement[int]:
    """Sum whole numbers to an ``int`` on both engines; no rows give 0 (PostgreSQL's SUM gives Decimal)."""
    return cast(func.coalesce(func.sum(column), 0), BigInteger)


def _connect_sqlite(address: str) -> sqlite3.Connection:
    """Open a connection that begins and ends transactions only when told to."""
    connection = sqlite3.connect(
        address, uri=True, timeout=BUSY_SECONDS, isolation_level=None, check_same_thread=False
    )
    journal, sync = ("wal", "FULL") if wal_is_safe(sqlite3.sqlite_version_info) else ("delete", "EXTRA")
    if connection.execute("PRAGMA journal_mode").fetchone()[0] != journal:
        connection.execute(f"PRAGMA journal_mode={journal}")
    for pragma in (f"synchronous={sync}", "foreign_keys=ON", "recursive_triggers=ON", "trusted_schema=OFF"):
        connection.execute(f"PRAGMA {pragma}")
    return connection


def _begin_sqlite(connection: Connection) -> None:
    """Begin as the face asks: a writer takes the write lock at once, a reader cannot write at all."""
    options = connection.get_execution_options()
    writing = options.get(_WRITE, False)
    if _FOREIGN_KEYS in options:
        connection.exec_driver_sql(f"PRAGMA foreign_keys={options[_FOREIGN_KEYS]}")
    connection.exec_driver_sql(f"PRAGMA query_only={'OFF' if writing else 'ON'}")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")


def _postgres_database(url: str) -> Database:
    options = f"-c lock_timeout={BUSY_SECONDS}s -c idle_in_transaction_session_timeout=60s -c timezone=UTC"
    engine = create_engine(
        make_url(url).set(drivername="postgresql+psycopg"),
        pool_pre_ping=True,
        connect_args={"options": options, "connect_timeout": 10, "application_name": "shopdesk"},
    )
    return Database(engine, None)


def _snapshot_face(engine: Engine) -> Engine:
    """Let every statement of one read see the same state, as on SQLite."""
    return engine.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
