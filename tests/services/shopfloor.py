"""A shop to try the services on: its desk, job files as data, and what its database holds.

What a database holds is read with the engines' own drivers, not with the program's own layer.
"""

from __future__ import annotations

import copy
import json
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any
from uuid import uuid4

import psycopg

from shopdesk.launch import open_desk
from shopdesk.services.desk import Desk
from shopdesk.services.job import JobDone

CLONE = Path(__file__).resolve().parents[2]
JOBS = CLONE / "tests" / "jobs"
NOW = datetime(2026, 11, 25, 17, 0, tzinfo=UTC)

Contents = dict[str, list[tuple[Any, ...]]]


class StandingClock:
    """A clock that stands until it is set."""

    def __init__(self, at: datetime = NOW) -> None:
        self.at = at

    def now(self) -> datetime:
        return self.at

    def forward(self, **by: float) -> None:
        self.at += timedelta(**by)


@contextmanager
def opened(url: str, clock: StandingClock | None = None) -> Iterator[Desk]:
    """Open the shop at an address as the program does, on a day that stands still."""
    desk = open_desk(url, clock=clock or StandingClock())
    try:
        yield desk
    finally:
        desk.close()


@cache
def _text(name: str) -> str:
    return (JOBS / f"{name}.json").read_text(encoding="utf-8")


def document(name: str = "us", *, new_id: bool = False, **changes: Any) -> dict[str, Any]:
    """Give a job file's content with the values at some paths changed.

    A path names keys and places between double underscores (``service__put_in__volume``); the value
    ``GONE`` takes a key away.
    """
    found: dict[str, Any] = json.loads(_text(name))
    for path, value in changes.items():
        put(found, path.split("__"), value)
    if new_id:
        found["id"] = str(uuid4())
    return found


GONE = object()


def put(found: Any, steps: list[str], value: Any) -> None:
    """Change what stands at a place of a document."""
    for step in steps[:-1]:
        found = found[int(step)] if isinstance(found, list) else found.setdefault(step, {})
    last: Any = int(steps[-1]) if isinstance(found, list) else steps[-1]
    if value is GONE:
        del found[last]
    else:
        found[last] = copy.deepcopy(value)


def run(desk: Desk, content: dict[str, Any]) -> JobDone:
    """Keep a job's content and give what it came to."""
    return desk.jobs.run(content)[0]


def contents(url: str) -> Contents:
    """Give every row of every table."""
    if url.startswith("sqlite"):
        return _sqlite_contents(url.removeprefix("sqlite:///"))
    with psycopg.connect(url) as connection:
        names = connection.execute(
            "SELECT table_name FROM information_schema.tables WHERE table_schema = current_schema()"
        ).fetchall()
        return {name: _sorted(connection.execute(f'SELECT * FROM "{name}"').fetchall()) for (name,) in names}


@contextmanager
def watched(url: str) -> Iterator[Callable[[], object]]:
    """Give what tells, again and again and quickly, whether any row of any table is another than before."""
    if url.startswith("sqlite"):
        yield lambda: contents(url)
        return
    with psycopg.connect(url, autocommit=True) as server:
        names = server.execute(
            "SELECT table_name FROM information_schema.tables WHERE table_schema = current_schema()"
        ).fetchall()
        every_row = " UNION ALL ".join(
            f"SELECT '{name}', md5(string_agg(t::text, ' ' ORDER BY t::text)) FROM \"{name}\" t"
            for (name,) in names
        )
        yield lambda: dict(server.execute(every_row).fetchall())  # in whatever order they come


def _sqlite_contents(file: str) -> Contents:
    connection = sqlite3.connect(file)
    try:
        names = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
        return {name: _sorted(connection.execute(f'SELECT * FROM "{name}"').fetchall()) for (name,) in names}
    finally:
        connection.close()


def _sorted(rows: list[tuple[Any, ...]]) -> list[tuple[Any, ...]]:
    return sorted(rows, key=repr)


def counts(found: Contents) -> dict[str, int]:
    """Give how many rows each table holds, empty ones left out."""
    return {name: len(rows) for name, rows in found.items() if rows}


def ask(url: str, question: str) -> list[tuple[Any, ...]]:
    """Ask the database in SQL, past the program."""
    if url.startswith("sqlite"):
        connection = sqlite3.connect(url.removeprefix("sqlite:///"))
        try:
            return connection.execute(question).fetchall()
        finally:
            connection.close()
    with psycopg.connect(url) as server:
        return server.execute(question).fetchall()
