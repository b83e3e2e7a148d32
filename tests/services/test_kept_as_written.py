"""After a real job the database itself refuses every change of what was issued, whoever asks."""

from __future__ import annotations

import sqlite3

import psycopg
import pytest

from tests.services.floors import Floor
from tests.services.shopfloor import contents, document, run

KEPT = {
    "invoice": "total_minor",
    "invoice_line": "net_minor",
    "estimate": "net_minor",
    "consent": "up_to_minor",
    "sheet_revision": "revision",
    "chain": "seq",
    "stock_move": "cost_minor",
    "service_entry": "value_int",
    "odometer_reading": "value_tenths",
    "payment": "amount_minor",
    "request": "verb",
    "stored_file": "media",
    "paper": "name",
}
KEYS = {"chain": "seq", "request": "uid", "stored_file": "sha"}

EVERYWHERE = (
    "UPDATE {table} SET {column} = {column}",
    "DELETE FROM {table}",
    "INSERT INTO {table} SELECT * FROM {table} WHERE true "
    "ON CONFLICT ({key}) DO UPDATE SET {column} = excluded.{column}",
)
ONLY_SQLITE = (
    "INSERT OR REPLACE INTO {table} SELECT * FROM {table}",
    "REPLACE INTO {table} SELECT * FROM {table}",
    "UPDATE OR REPLACE {table} SET {column} = {column}",
    "UPDATE OR IGNORE {table} SET {column} = {column}",
)
ONLY_POSTGRESQL = ("TRUNCATE {table} CASCADE", "TRUNCATE {table}, work_order CASCADE")


def test_that_what_a_job_left_cannot_be_changed_or_removed(floor: Floor) -> None:
    run(floor.desk, document("us"))
    is_file = floor.url.startswith("sqlite")
    before = contents(floor.url)
    for table, column in KEPT.items():
        if not before[table]:  # papers are kept by the command, not by the job
            continue
        for change in (*EVERYWHERE, *(ONLY_SQLITE if is_file else ONLY_POSTGRESQL)):
            statement = change.format(table=table, column=column, key=KEYS.get(table, "id"))
            with pytest.raises((sqlite3.Error, psycopg.Error), match="kept as written"):
                _done(floor.url, statement)
    assert contents(floor.url) == before


def test_that_an_issued_invoice_cannot_be_renumbered_or_doubled(floor: Floor) -> None:
    run(floor.desk, document("us"))
    before = contents(floor.url)
    for statement in ("UPDATE invoice SET total_minor = 1", "UPDATE invoice SET number = 9 WHERE id = 1"):
        with pytest.raises((sqlite3.Error, psycopg.Error), match="kept as written"):
            _done(floor.url, statement)
    columns = ", ".join(name for name in _columns(floor.url) if name not in ("id", "uid"))
    with pytest.raises((sqlite3.Error, psycopg.Error)):  # the number is taken
        _done(floor.url, f"INSERT INTO invoice (id, uid, {columns}) SELECT 99, 'x', {columns} FROM invoice")
    assert contents(floor.url) == before


def _columns(url: str) -> list[str]:
    if url.startswith("sqlite"):
        connection = sqlite3.connect(url.removeprefix("sqlite:///"))
        try:
            return [column[0] for column in connection.execute("SELECT * FROM invoice").description]
        finally:
            connection.close()
    with psycopg.connect(url) as server:
        return [column.name for column in server.execute("SELECT * FROM invoice").description or ()]


def _done(url: str, statement: str) -> None:
    """Carry a statement out past the program, and keep it if the database lets it."""
    if url.startswith("sqlite"):
        connection = sqlite3.connect(url.removeprefix("sqlite:///"))
        try:
            with connection:
                connection.execute(statement)
        finally:
            connection.close()
        return
    with psycopg.connect(url) as server:
        server.execute(statement)
