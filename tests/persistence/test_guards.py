"""What was recorded cannot be changed, removed or replaced, whoever asks the database for it."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import Table, delete, insert, select, text, update
from sqlalchemy.exc import IntegrityError

from shopdesk.persistence.engine import Database, open_database
from shopdesk.persistence.guards import guarded_tables, missing_guards
from shopdesk.persistence.tables import metadata
from tests.persistence.planting import Planter

NAMES = [table.name for table in guarded_tables()]


def _replace(database: Database, table: Table, row: dict[str, Any]) -> None:
    """Replace as another tool would: without the pragma that lets REPLACE fire the DELETE trigger."""
    with database.write() as connection:
        connection.exec_driver_sql("PRAGMA recursive_triggers=OFF")
        connection.execute(insert(table).prefix_with("OR REPLACE").values(row))


@pytest.mark.parametrize("name", NAMES)
def test_that_a_recorded_row_is_neither_changed_nor_removed(name: str, database: Database) -> None:
    table = metadata.tables[name]
    with database.write() as connection:
        planted = Planter(connection).plant(name)
    last = list(table.columns)[-1]
    for statement in (update(table).values({last.name: planted[last.name]}), delete(table)):
        with pytest.raises(IntegrityError, match=f"kept as written: {name}"), database.write() as connection:
            connection.execute(statement)
    with database.read() as connection:
        assert [dict(row._mapping) for row in connection.execute(select(table))] == [planted]


@pytest.mark.parametrize("name", NAMES)
def test_that_insert_or_replace_cannot_put_another_row_in_its_place(name: str, sqlite_url: str) -> None:
    database = open_database(sqlite_url)
    table = metadata.tables[name]
    with database.write() as connection:
        planted = Planter(connection).plant(name)
    with pytest.raises(IntegrityError, match=f"kept as written: {name}"):
        _replace(database, table, planted)
    with database.read() as connection:
        assert [dict(row._mapping) for row in connection.execute(select(table))] == [planted]
    database.close()


def test_that_an_invoice_number_cannot_be_taken_over_by_another_row(sqlite_url: str) -> None:
    database = open_database(sqlite_url)
    invoice = metadata.tables["invoice"]
    with database.write() as connection:
        planted = Planter(connection).plant("invoice")
    other = planted | {"id": planted["id"] + 1, "uid": "another"}  # the same series and number
    with pytest.raises(IntegrityError, match="kept as written"):
        _replace(database, invoice, other)
    with database.read() as connection:
        assert connection.execute(select(invoice.c.id)).scalars().all() == [planted["id"]]
    database.close()


@pytest.mark.parametrize("name", NAMES)
def test_that_a_guarded_table_cannot_be_emptied_at_once(name: str, postgres_url: str) -> None:
    database = open_database(postgres_url)
    with pytest.raises(IntegrityError, match="kept as written"), database.write() as connection:
        connection.execute(text(f"TRUNCATE {name} CASCADE"))
    database.close()


def test_that_another_row_can_still_be_added(database: Database) -> None:
    with database.write() as connection:
        planter = Planter(connection)
        rows = [planter.plant("invoice_line") for _ in range(2)]
    assert rows[0]["id"] != rows[1]["id"]


def test_that_all_guards_are_there(database: Database) -> None:
    with database.read() as connection:
        assert missing_guards(connection) == ()


def test_that_a_dropped_guard_is_named(database: Database) -> None:
    gone = "guard_invoice_update" if database.is_sqlite else "guard_invoice_row"
    with database.write() as connection:
        connection.execute(text(f"DROP TRIGGER {gone}" + ("" if database.is_sqlite else " ON invoice")))
        assert missing_guards(connection) == (gone,)


def test_that_a_hollow_guard_is_named(database: Database) -> None:
    with database.write() as connection:
        if database.is_sqlite:
            connection.exec_driver_sql("DROP TRIGGER guard_invoice_update")
            hollow = "CREATE TRIGGER guard_invoice_update BEFORE UPDATE ON invoice BEGIN SELECT 1; END"
        else:
            hollow = "ALTER TABLE invoice DISABLE TRIGGER guard_invoice_row"
        connection.exec_driver_sql(hollow)
        assert len(missing_guards(connection)) == 1
