"""Four programs migrate one database at the same moment; run as a program of its own, because it forks.

    python race.py URL MIGRATIONS

Prints the exit codes of the four.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

import alembic.command  # noqa: F401 (imported before the fork, so that all start together)

from shopdesk.persistence.engine import open_database
from shopdesk.persistence.schema import migrate

RUNNERS = 4


def race(url: str, migrations: Path) -> list[int]:
    """Start all runners by closing the pipe that each waits on; give their exit codes."""
    waiting, gun = os.pipe()
    children = []
    for _ in range(RUNNERS):
        child = os.fork()
        if child == 0:
            os.close(gun)
            os.read(waiting, 1)
            _run(url, migrations)
        children.append(child)
    os.close(gun)
    return [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]


def _run(url: str, migrations: Path) -> None:
    migrate(open_database(url), migrations)  # an exception ends the child with its traceback
    os._exit(0)


if __name__ == "__main__":
    sys.stdout.write(f"{race(sys.argv[1], Path(sys.argv[2]))}\n")
