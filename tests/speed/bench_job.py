"""A finished job committed through the services, against its own statements sent by hand.

Run by hand: ``python -m tests.speed.bench_job``. Prints milliseconds and ratios; asserts nothing. The
statements of one run are recorded with their values and sent again, on the same database in the same
state, with nothing but sqlite3 and psycopg: same connection settings, same transactions, same commits.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg
from psycopg import sql
from sqlalchemy import Engine, event

from shopdesk.launch import open_desk
from shopdesk.persistence.engine import open_database
from shopdesk.services.desk import Desk
from tests.postgres_server import name_of, running_server
from tests.services.shopfloor import StandingClock, document
from tests.services.test_kills import prepared_order

ROUNDS = 15
BEGINS, COMMITS = "-- the driver begins", "-- the driver commits"


@dataclass(frozen=True, slots=True)
class Sent:
    """One statement as it reached the driver, or what the driver was told to do itself."""

    statement: str
    values: Any = None
    many: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """A database that can be put back to how it was laid."""

    url: str
    lay: Callable[[], None]
    keep: Callable[[], None]
    empty: Callable[[], None]


@contextmanager
def recorded() -> Iterator[list[Sent]]:
    """Note every statement that any engine sends, with its transactions."""
    sent: list[Sent] = []

    def cursor(_c: Any, _cursor: Any, statement: str, values: Any, _context: Any, many: bool) -> None:
        rows = (
            many and not isinstance(values, dict) and isinstance(values[0], tuple | dict)
        )  # else one statement with the values of many rows
        sent.append(Sent(statement, values, bool(rows)))

    def begin(_connection: Any) -> None:
        sent.append(Sent(BEGINS))

    def commit(_connection: Any) -> None:
        sent.append(Sent(COMMITS))

    hooks = (("before_cursor_execute", cursor), ("begin", begin), ("commit", commit))
    for name, hook in hooks:
        event.listen(Engine, name, hook)
    yield sent
    for name, hook in hooks:
        event.remove(Engine, name, hook)


@contextmanager
def sqlite_place(folder: Path) -> Iterator[Place]:
    """A file, and copies of it to go back to."""
    file, kept, empty = (folder / f"{name}.db" for name in ("shop", "kept", "empty"))
    _migrated(f"sqlite:///{file}")

    def copy(of: Path, to: Path) -> None:
        shutil.copyfile(of, to)

    copy(file, empty)
    yield Place(
        f"sqlite:///{file}", lambda: copy(kept, file), lambda: copy(file, kept), lambda: copy(empty, file)
    )


@contextmanager
def postgresql_place(_folder: Path) -> Iterator[Place]:
    """A database on a server of our own, and templates to go back to."""
    with running_server() as server:
        url, kept, empty = (server.create() for _ in range(3))
        _migrated(url)

        def copy(of: str, to: str) -> None:
            names = [sql.Identifier(name_of(each)) for each in (to, of)]
            with psycopg.connect(server.admin_url, autocommit=True) as connection:
                connection.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(names[0]))
                connection.execute(sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(*names))

        copy(url, empty)
        yield Place(url, lambda: copy(kept, url), lambda: copy(url, kept), lambda: copy(empty, url))


def _migrated(url: str) -> None:
    open_desk(url, clock=StandingClock()).close()


def by_hand(url: str, sent: list[Sent]) -> float:
    """Send the statements on an open connection, read what they give, and say how long it took."""
    connection: Any
    if url.startswith("sqlite"):
        database = open_database(url)
        with database.engine.connect() as settled:  # its settings, not its work
            connection = settled.connection.driver_connection
            taken = _seconds(lambda: [_send(connection, each) for each in sent])
        database.close()
        return taken
    options = "-c timezone=UTC"
    with psycopg.connect(url, autocommit=True, options=options) as connection:
        return _seconds(lambda: [_send(connection, each) for each in sent])


def _send(connection: Any, each: Sent) -> None:
    if each.statement == COMMITS:
        connection.execute("COMMIT")
        return
    if each.statement == BEGINS:
        if not isinstance(connection, sqlite3.Connection):  # there it is among the statements
            connection.execute("BEGIN")
        return
    if each.many:
        connection.cursor().executemany(each.statement, each.values)
        return
    values = (each.values,) if each.values else ()
    cursor = connection.execute(each.statement, *values)
    if cursor.description is not None:
        cursor.fetchall()


def _seconds(work: Callable[[], object]) -> float:
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def compared(place: Place, desk: Desk, name: str, work: Callable[[], object]) -> None:
    """Print how long the services take for something, and its statements alone."""

    def ready() -> None:
        desk.close()
        place.lay()
        desk.setup.is_set_up()  # a connection is open, as in a running program

    ready()
    with recorded() as sent:
        work()
    ready()
    work()
    services, alone = [], []
    for _ in range(ROUNDS):
        ready()
        services.append(_seconds(work))
        desk.close()
        place.lay()
        alone.append(by_hand(place.url, sent))
    mine, theirs = statistics.median(services) * 1000, statistics.median(alone) * 1000
    statements = sum(each.statement not in (BEGINS, COMMITS) for each in sent)
    engine = place.url.partition(":")[0]
    print(
        f"{engine}, {name}: services {mine:.1f} ms, {statements} statements by hand {theirs:.1f} ms, "
        f"ratio {mine / theirs:.2f}"
    )


def measured(place: Place) -> None:
    """Compare finishing with billing, and a whole job, at one place."""
    desk = open_desk(place.url, clock=StandingClock())
    desk.jobs.run(document("us"))
    desk.close()
    place.keep()
    again = {"vehicle__plate": "QF 1182", "vehicle__vin": "", "customer__name": "Tove Lind", "deliveries": []}
    content = document("us", new_id=True, items=[], **again)
    compared(place, desk, "a whole job from a file, new customer and vehicle", lambda: desk.jobs.run(content))
    desk.close()
    place.empty()
    counter, order_id = prepared_order(desk)
    desk.close()
    place.keep()

    def finish_and_bill() -> None:
        counter.finish(order_id)
        counter.bill(order_id)

    compared(place, desk, "finish and bill a prepared work order", finish_and_bill)
    desk.close()


def main() -> None:
    """Measure on both engines."""
    for opened_place in (sqlite_place, postgresql_place):
        with tempfile.TemporaryDirectory() as folder:
            os.environ["XDG_CONFIG_HOME"] = folder
            with opened_place(Path(folder)) as place:
                measured(place)


if __name__ == "__main__":
    main()
