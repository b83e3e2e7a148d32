"""Reading and writing side by side, and what a database is opened with."""

from __future__ import annotations

import sqlite3
import threading
from pathlib import Path

import pytest
from sqlalchemy import func, insert, select
from sqlalchemy.exc import DBAPIError

from shopdesk.persistence.engine import (
    APPLICATION_ID,
    Database,
    open_database,
    wal_is_safe,
)
from shopdesk.persistence.tables import metadata
from shopdesk.persistence.troubles import DatabaseBusy, DatabaseRefused, DatabaseUnreachable

station = metadata.tables["station"]
WAIT = 20.0
"""Seconds after which a thread that waits counts as stuck."""


def _add(database: Database, uid: str) -> None:
    with database.write() as connection:
        connection.execute(insert(station).values(uid=uid, name="front desk"))


def _count(database: Database) -> int:
    with database.read() as connection:
        return connection.execute(select(func.count()).select_from(station)).scalar_one()


def test_that_what_was_written_is_read(database: Database) -> None:
    _add(database, "a")
    assert _count(database) == 1


def test_that_an_exception_keeps_nothing(database: Database) -> None:
    adding = insert(station).values(uid="a", name="front desk")
    with pytest.raises(ZeroDivisionError), database.write() as connection:
        connection.execute(adding).rowcount / 0
    assert _count(database) == 0


def test_that_a_read_cannot_write(database: Database) -> None:
    with pytest.raises(DBAPIError, match=r"readonly|read-only"), database.read() as connection:
        connection.execute(insert(station).values(uid="a", name="front desk"))
    _add(database, "b")  # the connection is as good as before
    assert _count(database) == 1


def test_that_readers_are_not_locked_out_beside_a_writer(database: Database) -> None:
    _add(database, "a")
    with database.write() as writing:
        writing.execute(insert(station).values(uid="b", name="bay"))
        with database.read() as one, database.read() as other:
            counts = [c.execute(select(func.count()).select_from(station)).scalar_one() for c in (one, other)]
    assert counts == [1, 1]
    assert _count(database) == 2


def test_that_a_writer_starts_beside_a_reader_who_keeps_seeing_one_state(database: Database) -> None:
    written, errors = threading.Event(), []

    def write() -> None:
        try:
            with database.write() as connection:
                connection.execute(insert(station).values(uid="b", name="bay"))
                written.set()
        except Exception as error:  # noqa: BLE001 (handed to the test's own thread)
            errors.append(error)

    with database.read() as connection:
        before = connection.execute(select(func.count()).select_from(station)).scalar_one()
        writer = threading.Thread(target=write)
        writer.start()
        assert written.wait(WAIT)
        after = connection.execute(select(func.count()).select_from(station)).scalar_one()
    writer.join(WAIT)
    assert errors == []
    assert (before, after, _count(database)) == (0, 0, 1)


def test_that_two_writers_take_turns(database: Database) -> None:
    barrier = threading.Barrier(4)

    def write(who: int) -> None:
        barrier.wait(WAIT)
        for n in range(5):
            _add(database, f"{who}-{n}")

    threads = [threading.Thread(target=write, args=(who,)) for who in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(WAIT)
    assert _count(database) == 20


def test_that_a_lock_held_too_long_is_said_in_words(database: Database, database_url: str) -> None:
    other = open_database(database_url)
    with other.write() as connection:
        wait = "PRAGMA busy_timeout=50" if database.is_sqlite else "SET lock_timeout='50ms'"
        connection.exec_driver_sql(wait)
    series = metadata.tables["number_series"]
    with database.write() as connection:
        connection.execute(insert(series).values(name="invoice", next_number=1))
    taking = series.update().values(next_number=2)
    with database.write() as connection:
        connection.execute(taking)
        with pytest.raises(DatabaseBusy, match="try again"), other.write() as late:
            late.execute(taking)
    other.close()


def test_that_a_missing_file_is_never_made_by_reading(tmp_path: Path) -> None:
    database = open_database(str(tmp_path / "nowhere.db"))
    with pytest.raises(DatabaseUnreachable, match="cannot be opened"):
        _count(database)
    assert list(tmp_path.iterdir()) == []


def test_that_names_with_signs_of_an_address_are_files_all_the_same(
    sqlite_file: Path, tmp_path: Path
) -> None:
    odd = tmp_path / "my shop #1 100% & more?.db"
    sqlite_file.rename(odd)
    database = open_database(str(odd))
    _add(database, "a")
    assert _count(database) == 1
    database.close()
    assert [file.name for file in tmp_path.iterdir()] == [odd.name]


@pytest.mark.parametrize("address", ["mysql://here/shop", "sqlite://", "sqlite:///:memory:", "://"])
def test_that_other_addresses_are_refused(address: str) -> None:
    with pytest.raises(DatabaseRefused) as refusal:
        open_database(address)
    assert refusal.value.field == "database"


def test_that_a_file_is_opened_with_every_protection(sqlite_url: str) -> None:
    database = open_database(sqlite_url)
    safe = wal_is_safe(sqlite3.sqlite_version_info)
    wanted = {
        "foreign_keys": 1,
        "recursive_triggers": 1,
        "trusted_schema": 0,
        "busy_timeout": 5000,
        "journal_mode": "wal" if safe else "delete",
        "synchronous": 2 if safe else 3,  # FULL, EXTRA
        "application_id": APPLICATION_ID,
    }
    with database.read() as connection:
        found = {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one() for name in wanted}
    database.close()
    assert found == wanted


@pytest.mark.parametrize(
    ("version", "safe"),
    [
        # sqlite.org/wal.html, "The WAL-Reset Bug": fixed in 3.51.3, carried back to 3.44.6 and 3.50.7
        ((3, 40, 1), False),
        ((3, 44, 5), False),
        ((3, 44, 6), True),
        ((3, 45, 0), False),
        ((3, 50, 6), False),
        ((3, 50, 7), True),
        ((3, 51, 2), False),
        ((3, 51, 3), True),
        ((3, 52, 0), True),
    ],
)
def test_that_write_ahead_logging_is_used_only_where_it_is_sound(
    version: tuple[int, ...], safe: bool
) -> None:
    assert wal_is_safe(version) is safe


def test_that_a_lost_server_is_noticed_and_the_next_use_works(postgres_url: str) -> None:
    database = open_database(postgres_url)
    killing = select(func.pg_terminate_backend(func.pg_backend_pid()))
    with pytest.raises(DatabaseUnreachable, match="does not answer"), database.write() as connection:
        connection.execute(killing)
    _add(database, "a")
    assert _count(database) == 1
    database.close()


def test_that_a_server_which_is_not_there_is_said_in_words() -> None:
    database = open_database("postgresql://nobody@127.0.0.1:1/shop")  # port 1 is nobody's
    with pytest.raises(DatabaseUnreachable, match="does not answer"):
        _count(database)
    database.close()


def test_that_a_full_disk_is_said_in_words_and_reading_goes_on(sqlite_url: str) -> None:
    database = open_database(sqlite_url)
    _add(database, "a")
    with pytest.raises(DatabaseUnreachable, match="full"):
        _fill(database)
    assert _count(database) == 1
    database.close()


def _fill(database: Database) -> None:
    """Add rows to a file that may not grow: SQLite says SQLITE_FULL, as on a full disk."""
    with database.write() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
        connection.exec_driver_sql(f"PRAGMA max_page_count={pages}")
        rows = [{"uid": f"full-{n}", "name": "bay" * 40} for n in range(1000)]
        connection.execute(insert(station), rows)
