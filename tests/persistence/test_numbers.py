"""Numbers have no gap and no double."""

from __future__ import annotations

import threading

from sqlalchemy import insert, select

from shopdesk.persistence.engine import Database
from shopdesk.persistence.numbers import next_number
from shopdesk.persistence.tables import metadata

station = metadata.tables["station"]
WAIT = 60.0


class _Planned(Exception):
    """A write that is to be given up."""


def _take(database: Database, *, give_up: bool) -> None:
    with database.write() as connection:
        number = next_number(connection, "invoice")
        connection.execute(insert(station).values(uid=str(number), name="stands for an invoice"))
        if give_up:
            raise _Planned


def test_that_a_series_counts_from_one_and_apart_from_others(database: Database) -> None:
    with database.write() as connection:
        taken = [next_number(connection, name) for name in ("invoice", "invoice", "credit", "invoice")]
    assert taken == [1, 2, 1, 3]


def test_that_a_series_can_go_on_from_the_shops_old_numbers(database: Database) -> None:
    with database.write() as connection:
        assert [next_number(connection, "work_order", first=5001) for _ in range(2)] == [5001, 5002]


def test_that_four_threads_with_planned_rollbacks_leave_no_gap(database: Database) -> None:
    barrier, given_up, errors = threading.Barrier(4), [], []

    def issue(who: int) -> None:
        barrier.wait(WAIT)
        for n in range(25):
            try:
                _take(database, give_up=(n + who) % 6 == 0)
            except _Planned:
                given_up.append(n)
            except Exception as error:  # noqa: BLE001 (handed to the test's own thread)
                errors.append(error)

    threads = [threading.Thread(target=issue, args=(who,)) for who in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(WAIT)
    assert errors == []
    assert len(given_up) > 10
    with database.read() as connection:
        kept = sorted(int(uid) for uid in connection.execute(select(station.c.uid)).scalars())
    assert kept == list(range(1, 100 - len(given_up) + 1))
