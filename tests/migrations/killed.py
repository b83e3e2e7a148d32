"""Migrates a database again and again and kills itself later each time; run as a program of its own.

    python killed.py URL OLD_MIGRATIONS NEW_MIGRATIONS STEP

Before each round the address holds a customer in the old layout (or nothing, when OLD_MIGRATIONS is
"-"). A forked child migrates to the new layout and is killed with SIGKILL after its n-th statement,
n = 1, 1 + STEP, 1 + 2 STEP …, until it gets through. What stands there after each kill is printed, one
JSON object a line, with what an ordinary start then makes of it. It forks, so it is no part of pytest.
"""

from __future__ import annotations

import json
import os
import signal
import sqlite3
import sys
from itertools import count
from pathlib import Path

import alembic.command  # noqa: F401 (imported before the fork, so that no child need do it)
from sqlalchemy import Engine, event, inspect, text

from shopdesk.persistence.engine import Database, open_database
from shopdesk.persistence.guards import missing_guards
from shopdesk.persistence.schema import layout_of, migrate
from tests.persistence.planting import Planter


def rounds(url: str, old: Path | None, new: Path, step: int) -> None:
    """Kill later each time until nothing is left to kill."""
    for n in count(1, step):
        _prepare(url, old)
        before = _state(url)
        killed = _killed_in(url, new, n)
        found = _state(url)
        database = open_database(url)
        migrate(database, new)
        database.close()
        line = {"n": n, "before": before, "killed": killed, "found": found, "after": _state(url)}
        sys.stdout.write(json.dumps(line) + "\n")
        sys.stdout.flush()
        if not killed:
            return


def _prepare(url: str, old: Path | None) -> None:
    database = open_database(url)
    _clear(database)
    if old is not None:
        migrate(database, old)
        with database.write() as connection:
            Planter(connection).plant("address")
    database.close()


def _clear(database: Database) -> None:
    if database.file is not None:
        for file in database.file.parent.glob(database.file.name + "*"):
            file.unlink()
        return
    with database.write() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))


def _killed_in(url: str, new: Path, n: int) -> bool:
    child = os.fork()
    if child == 0:
        _migrate_and_die(url, new, n)
    status = os.waitpid(child, 0)[1]
    if os.WIFEXITED(status) and os.WEXITSTATUS(status) != 0:
        raise RuntimeError(f"The migration failed by itself in round {n}.")
    return os.WIFSIGNALED(status)


def _migrate_and_die(url: str, new: Path, n: int) -> None:
    statements = count(1)

    def die(*_: object) -> None:
        if next(statements) == n:
            os.kill(os.getpid(), signal.SIGKILL)

    event.listen(Engine, "after_cursor_execute", die)
    migrate(open_database(url), new)  # an exception ends the child with its traceback
    os._exit(0)


def _state(url: str) -> dict[str, object]:
    """Say what stands at the address; a file also whether it is sound."""
    database = open_database(url)
    if database.file is not None and not database.file.exists():
        return {"layout": None}
    with database.read() as connection:
        state: dict[str, object] = {"layout": layout_of(connection)}
        if state["layout"]:
            state["tables"] = sorted(inspect(connection).get_table_names())
            state["customer"] = [
                list(map(str, row)) for row in connection.execute(text("SELECT * FROM customer"))
            ]
            state["addresses"] = connection.execute(text("SELECT count(*) FROM address")).scalar()
            state["unguarded"] = list(missing_guards(connection))
    database.close()
    if database.file is not None:
        state["sound"] = _sound(database.file)
    return state


def _sound(file: Path) -> list[object]:
    connection = sqlite3.connect(file)
    try:
        checks = ("integrity_check", "foreign_key_check", "application_id")
        return [connection.execute(f"PRAGMA {check}").fetchall() for check in checks]
    finally:
        connection.close()


if __name__ == "__main__":
    address, before, after, step = sys.argv[1:]
    rounds(address, None if before == "-" else Path(before), Path(after), int(step))
