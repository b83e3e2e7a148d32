"""The audit chain finds the row that was changed or removed behind the program's back."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from sqlalchemy import Connection, text

from shopdesk.persistence import chain
from shopdesk.persistence.canonical import content_sha
from shopdesk.persistence.engine import Database

WAIT = 60.0


def _grow(database: Database, links: int) -> chain.Head:
    with database.write() as connection:
        for n in range(1, links + 1):
            sha = content_sha({"total_minor": n})
            head = chain.append(connection, subject="invoice", subject_id=n, content_sha=sha)
    return head


@contextmanager
def _behind_the_guards(database: Database) -> Iterator[Connection]:
    """Write as somebody who has switched the guards off."""
    with database.write() as connection:
        if database.is_sqlite:
            for action in ("update", "delete"):
                connection.exec_driver_sql(f"DROP TRIGGER guard_chain_{action}")
        else:
            connection.exec_driver_sql("ALTER TABLE chain DISABLE TRIGGER ALL")
        yield connection


def _verdict(database: Database, head: chain.Head | None = None) -> chain.BrokenLink | None:
    with database.read() as connection:
        return chain.verify(connection, head)


def test_that_an_untouched_chain_holds(database: Database) -> None:
    assert _verdict(database) is None
    head = _grow(database, 20)
    assert head.seq == 20
    assert _verdict(database) is None
    assert _verdict(database, head) is None


@pytest.mark.parametrize(
    "change",
    ["subject = 'receipt'", "subject_id = 99", "content_sha = 'x'", "prev_sha = 'x'", "sha = 'x'"],
)
def test_that_an_edited_link_is_found(change: str, database: Database) -> None:
    _grow(database, 20)
    with _behind_the_guards(database) as connection:
        connection.execute(text(f"UPDATE chain SET {change} WHERE seq = 7"))
    assert _verdict(database) == chain.BrokenLink(seq=7, reason="changed")


@pytest.mark.parametrize("seq", [1, 7])
def test_that_a_removed_link_is_found(seq: int, database: Database) -> None:
    _grow(database, 20)
    with _behind_the_guards(database) as connection:
        connection.execute(text("DELETE FROM chain WHERE seq = :seq"), {"seq": seq})
    assert _verdict(database) == chain.BrokenLink(seq=seq, reason="missing")


def test_that_a_cut_tail_is_found_by_a_head_kept_elsewhere(database: Database) -> None:
    head = _grow(database, 20)
    with _behind_the_guards(database) as connection:
        connection.execute(text("DELETE FROM chain WHERE seq > 17"))
    assert _verdict(database) is None  # from inside it cannot be seen
    assert _verdict(database, head) == chain.BrokenLink(seq=18, reason="cut")


def test_that_a_tail_written_anew_is_found_by_a_head_kept_elsewhere(database: Database) -> None:
    head = _grow(database, 20)
    with _behind_the_guards(database) as connection:
        connection.execute(text("DELETE FROM chain WHERE seq = 20"))
        chain.append(connection, subject="invoice", subject_id=20, content_sha="0" * 64)
    assert _verdict(database) is None
    assert _verdict(database, head) == chain.BrokenLink(seq=20, reason="changed")


def test_that_appending_from_several_stations_makes_one_chain(database: Database) -> None:
    barrier, errors = threading.Barrier(4), []

    def append() -> None:
        barrier.wait(WAIT)
        try:
            for n in range(10):
                with database.write() as connection:
                    chain.append(connection, subject="invoice", subject_id=n, content_sha="0" * 64)
        except Exception as error:  # noqa: BLE001 (handed to the test's own thread)
            errors.append(error)

    threads = [threading.Thread(target=append) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(WAIT)
    assert errors == []
    assert _verdict(database) is None
    with database.read() as connection:
        assert chain.head(connection).seq == 40
