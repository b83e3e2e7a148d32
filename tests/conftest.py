"""What every test can ask for, and the surroundings in which all of them run."""

from __future__ import annotations

import atexit
import gc
import os
import shutil
import sqlite3
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from tests.left_running import running_in_qt
from tests.postgres_server import PostgresServer, name_of, running_server

CLONE = Path(__file__).resolve().parent.parent
WITH_WINDOWS = ("ui", "journeys")
"""Folders of tests whose threads and timers are counted afterwards."""

settings.register_profile("ci", max_examples=100, derandomize=True, deadline=None, database=None)
settings.load_profile("ci")


def _settle_surroundings() -> None:
    """Give all tests the same zone, language and screen, and a home that is not the person's own.

    This runs before any of Qt or of the program is imported: a test must never find a real shop.
    """
    home = Path(tempfile.mkdtemp(prefix="shopdesk-home-"))
    atexit.register(shutil.rmtree, home, ignore_errors=True)
    for variable, name in {
        "HOME": "",
        "XDG_DATA_HOME": "data",
        "XDG_CONFIG_HOME": "config",
        "XDG_CACHE_HOME": "cache",
        "XDG_STATE_HOME": "state",
        "XDG_RUNTIME_DIR": "run",
    }.items():
        (home / name).mkdir(mode=0o700, exist_ok=True)
        os.environ[variable] = str(home / name)
    for variable in ("SHOPDESK_DATABASE", "LANGUAGE", "QT_STYLE_OVERRIDE", "QT_QPA_PLATFORMTHEME"):
        os.environ.pop(variable, None)
    os.environ.update(LC_ALL="C.UTF-8", TZ="UTC", QT_SCALE_FACTOR="1", QT_FONT_DPI="96")
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    if hasattr(time, "tzset"):
        time.tzset()


_settle_surroundings()


@pytest.fixture(scope="session")
def migrations() -> Path:
    """Folder of the alembic versions."""
    return CLONE / "migrations"


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[PostgresServer]:
    """A PostgreSQL server for this process's tests; without one the test fails, it is never skipped."""
    with running_server() as server:
        yield server


@pytest.fixture
def empty_postgres_url(postgres_server: PostgresServer) -> Iterator[str]:
    """Address of a fresh PostgreSQL database with nothing in it."""
    url = postgres_server.create()
    yield url
    postgres_server.drop(url)


@pytest.fixture(scope="session")
def postgres_template(postgres_server: PostgresServer, migrations: Path) -> str:
    """Name of a migrated PostgreSQL database from which ``postgres_url`` is copied; connect to copies."""
    url = postgres_server.create()
    _migrate(url, migrations)
    return name_of(url)


@pytest.fixture
def postgres_url(postgres_server: PostgresServer, postgres_template: str) -> Iterator[str]:
    """Address of a fresh PostgreSQL database with the program's tables and no rows in them."""
    url = postgres_server.create(postgres_template)
    yield url
    postgres_server.drop(url)


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory, migrations: Path) -> Path:
    """A migrated SQLite file from which ``sqlite_url`` is copied. Open copies only."""
    file = tmp_path_factory.mktemp("template") / "shop.db"
    _migrate(f"sqlite:///{file}", migrations)
    with sqlite3.connect(file) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    return file


@pytest.fixture
def sqlite_file(sqlite_template: Path, tmp_path: Path) -> Path:
    """A fresh SQLite file with the program's tables and no rows in them."""
    return Path(shutil.copyfile(sqlite_template, tmp_path / "shop.db"))


@pytest.fixture
def sqlite_url(sqlite_file: Path) -> str:
    """Address of ``sqlite_file``."""
    return f"sqlite:///{sqlite_file}"


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest) -> str:
    """Address of a fresh migrated database; a test that asks for it runs once on each engine."""
    fixture = {"sqlite": "sqlite_url", "postgresql": "postgres_url"}[request.param]
    return str(request.getfixturevalue(fixture))


@pytest.fixture(params=["sqlite", "postgresql"])
def empty_database_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Address of a database that is not there yet (SQLite) or has nothing in it (PostgreSQL)."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'new.db'}"
    return str(request.getfixturevalue("empty_postgres_url"))


def _migrate(url: str, migrations: Path) -> None:
    """Make the program's tables."""
    from shopdesk.persistence.engine import open_database
    from shopdesk.persistence.schema import migrate

    database = open_database(url)
    try:
        migrate(database, migrations)
    finally:
        database.close()


@pytest.fixture(autouse=True)
def _nothing_left_running(request: pytest.FixtureRequest) -> Iterator[None]:
    """Fail a test of the window that leaves a thread or a timer running.

    Set up before anything the test itself asks for, so it looks after all of that is torn down.
    """
    if Path(request.node.path).relative_to(CLONE / "tests").parts[0] not in WITH_WINDOWS:
        yield
        return
    before = set(threading.enumerate())
    yield
    left = [thread.name for thread in set(threading.enumerate()) - before if thread.is_alive()]
    left += running_in_qt()
    gc.collect()
    gc.freeze()  # what outlives this test is not looked through after every later one
    assert not left, f"still running after the test: {', '.join(left)}"
