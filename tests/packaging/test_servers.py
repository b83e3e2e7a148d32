"""The databases that tests are given."""

from __future__ import annotations

import psycopg
import pytest
from sqlalchemy import text

from shopdesk.persistence.engine import open_database
from tests import postgres_server as servers


def test_that_a_test_gets_its_own_migrated_database_on_each_engine(database_url: str) -> None:
    database = open_database(database_url)
    with database.read() as connection:
        shops = connection.execute(text("SELECT count(*) FROM shop")).scalar()
        layout = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    database.close()
    assert (shops, bool(layout)) == (0, True)


def test_that_the_server_asks_for_its_password(postgres_url: str) -> None:
    wrong = postgres_url.replace(postgres_url.split(":")[2].split("@")[0], "guess")
    with pytest.raises(psycopg.OperationalError, match="password authentication failed"):
        psycopg.connect(wrong)


def test_that_a_missing_wheel_is_said_in_words_and_not_skipped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SHOPDESK_TEST_POSTGRES", raising=False)
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    with pytest.raises(servers.NoPostgres, match="let SHOPDESK_TEST_POSTGRES name a server"):
        servers.running_server().__enter__()
