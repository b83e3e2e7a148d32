"""Fixtures: one desk for each engine and run, on a database that is made anew for every test.

The desk stays, because a new one would first have to put every statement into SQL again; what it is
opened on is copied from an empty shop before each test.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import psycopg
import pytest
from psycopg import sql

from shopdesk.launch import open_desk
from shopdesk.services.desk import Desk
from tests.postgres_server import PostgresServer, name_of
from tests.services.shopfloor import NOW, StandingClock

ENGINES = ("sqlite", "postgresql")


@dataclass(frozen=True, kw_only=True, slots=True)
class Floor:
    """A desk, the address it is opened on, and its clock."""

    desk: Desk
    url: str
    clock: StandingClock


@dataclass(frozen=True, kw_only=True, slots=True)
class _Ground:
    floor: Floor
    lay: Callable[[], None]


@pytest.fixture(scope="session")
def sqlite_ground(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[_Ground]:
    """A desk on a file."""
    file = tmp_path_factory.mktemp("floor") / "shop.db"
    shutil.copyfile(sqlite_template, file)
    floor = _floor(f"sqlite:///{file}")

    def lay() -> None:
        for journal in file.parent.glob("shop.db-*"):
            journal.unlink()
        shutil.copyfile(sqlite_template, file)

    yield _Ground(floor=floor, lay=lay)
    floor.desk.close()


@pytest.fixture(scope="session")
def postgresql_ground(postgres_server: PostgresServer, postgres_template: str) -> Iterator[_Ground]:
    """A desk on a server."""
    url = postgres_server.create(postgres_template)
    floor = _floor(url)

    def lay() -> None:
        name, template = sql.Identifier(name_of(url)), sql.Identifier(postgres_template)
        with psycopg.connect(postgres_server.admin_url, autocommit=True) as connection:
            connection.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(name))
            connection.execute(sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(name, template))

    yield _Ground(floor=floor, lay=lay)
    floor.desk.close()
    postgres_server.drop(url)


def _floor(url: str) -> Floor:
    clock = StandingClock()
    return Floor(desk=open_desk(url, clock=clock), url=url, clock=clock)


def _laid(ground: _Ground) -> Iterator[Floor]:
    ground.floor.desk.close()  # its connections; the next use opens new ones
    ground.lay()
    ground.floor.clock.at = NOW
    yield ground.floor
    ground.floor.desk.close()


@pytest.fixture(params=ENGINES)
def floor(request: pytest.FixtureRequest) -> Iterator[Floor]:
    """A desk of a database without a shop; a test that asks for it runs once on each engine."""
    yield from _laid(request.getfixturevalue(f"{request.param}_ground"))


@pytest.fixture
def one_floor(sqlite_ground: _Ground) -> Iterator[Floor]:
    """The same on SQLite alone, for rules that no engine has a part in."""
    yield from _laid(sqlite_ground)


@pytest.fixture
def desk(floor: Floor) -> Desk:
    """The desk of ``floor``."""
    return floor.desk


@pytest.fixture
def one_desk(one_floor: Floor) -> Desk:
    """The desk of ``one_floor``."""
    return one_floor.desk


@pytest.fixture
def clock(floor: Floor) -> StandingClock:
    """The clock of ``floor``."""
    return floor.clock
