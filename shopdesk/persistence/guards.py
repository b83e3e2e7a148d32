"""Guards: triggers by which the database itself refuses to change or remove what was recorded.

A program's own care is not enough: another tool, or this program in a mistake, could write past it.
On SQLite a third trigger refuses INSERT OR REPLACE, which deletes without asking the DELETE trigger.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from sqlalchemy import Connection, Table, UniqueConstraint, text

from shopdesk.persistence.tables import APPEND_ONLY, GUARDED, metadata

GUARD_FUNCTION = "shopdesk_refuse"
"""The PostgreSQL function that every guard trigger calls."""

_FUNCTION_BODY = "BEGIN RAISE EXCEPTION 'kept as written: %', TG_TABLE_NAME USING ERRCODE = '23000'; END"

_POSTGRES_TRIGGERS = text(
    """
    SELECT t.tgname, t.tgtype, t.tgenabled, p.proname, p.prosrc
    FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid JOIN pg_proc p ON p.oid = t.tgfoid
    WHERE c.relnamespace = current_schema()::regnamespace AND NOT t.tgisinternal
    """
)
_ROW_UPDATE_DELETE, _STATEMENT_TRUNCATE = 1 | 2 | 8 | 16, 2 | 32  # bits of pg_trigger.tgtype
_ALWAYS_ON = ("O", "A")


def guarded_tables() -> tuple[Table, ...]:
    """Give every table whose rows are only ever added."""
    return tuple(metadata.tables[name] for name in (*GUARDED, *APPEND_ONLY))


def create_guards(connection: Connection) -> None:
    """Put the guards on tables that have none yet."""
    for statement in guard_statements(connection.dialect.name, guarded_tables()):
        connection.execute(text(statement))


def guard_statements(dialect: str, tables: Iterable[Table]) -> list[str]:
    """Write out the guards of ``tables`` for ``sqlite`` or ``postgresql``."""
    if dialect == "sqlite":
        return [sql for table in tables for sql in _sqlite_triggers(table).values()]
    return [_postgres_function(), *(sql for table in tables for sql in _postgres_triggers(table.name))]


def missing_guards(connection: Connection) -> tuple[str, ...]:
    """Name every guard that is not there, is switched off or does not say what it must."""
    if connection.dialect.name == "sqlite":
        return _missing_on_sqlite(connection)
    return _missing_on_postgres(connection)


def _sqlite_triggers(table: Table) -> dict[str, str]:
    refuse = f"BEGIN SELECT RAISE(ABORT, 'kept as written: {table.name}'); END"
    heads = {
        f"guard_{table.name}_update": f"BEFORE UPDATE ON {table.name}",
        f"guard_{table.name}_delete": f"BEFORE DELETE ON {table.name}",
        f"guard_{table.name}_replace": f"BEFORE INSERT ON {table.name} WHEN {_already_there(table)}",
    }
    return {name: f"CREATE TRIGGER {name} {head} {refuse}" for name, head in heads.items()}


def _already_there(table: Table) -> str:
    """Say in SQL that the new row meets an old one in any key: the cases in which REPLACE would delete."""
    keys = [tuple(column.name for column in table.primary_key)]
    unique = [c for c in table.constraints if isinstance(c, UniqueConstraint)]
    keys += [tuple(column.name for column in constraint.columns) for constraint in unique]
    keys += [tuple(column.name for column in index.columns) for index in table.indexes if index.unique]
    meets = (" AND ".join(f'"{name}" = NEW."{name}"' for name in key) for key in sorted(keys))
    return " OR ".join(f"EXISTS (SELECT 1 FROM {table.name} WHERE {meet})" for meet in meets)  # noqa: S608


def _postgres_function() -> str:
    return (
        f"CREATE OR REPLACE FUNCTION {GUARD_FUNCTION}() RETURNS trigger LANGUAGE plpgsql "
        f"AS $guard$ {_FUNCTION_BODY} $guard$"
    )


def _postgres_triggers(table: str) -> list[str]:
    call = f"EXECUTE FUNCTION {GUARD_FUNCTION}()"
    return [
        f"CREATE TRIGGER guard_{table}_row BEFORE UPDATE OR DELETE ON {table} FOR EACH ROW {call}",
        f"CREATE TRIGGER guard_{table}_truncate BEFORE TRUNCATE ON {table} FOR EACH STATEMENT {call}",
    ]


def _missing_on_sqlite(connection: Connection) -> tuple[str, ...]:
    rows = connection.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
    found = {name: _one_line(sql) for name, sql in rows}
    wanted = {name: sql for table in guarded_tables() for name, sql in _sqlite_triggers(table).items()}
    return tuple(name for name, sql in wanted.items() if found.get(name) != _one_line(sql))


def _missing_on_postgres(connection: Connection) -> tuple[str, ...]:
    found = {
        row.tgname: row.tgtype
        for row in connection.execute(_POSTGRES_TRIGGERS)
        if row.tgenabled in _ALWAYS_ON and row.proname == GUARD_FUNCTION and _says_no(row.prosrc)
    }
    wanted: dict[str, int] = {}
    for table in guarded_tables():
        wanted[f"guard_{table.name}_row"] = _ROW_UPDATE_DELETE
        wanted[f"guard_{table.name}_truncate"] = _STATEMENT_TRUNCATE
    return tuple(name for name, bits in wanted.items() if found.get(name) != bits)


def _says_no(source: str) -> bool:
    return _one_line(source) == _FUNCTION_BODY


def _one_line(sql: str) -> str:
    return re.sub(r"\s+", " ", sql).strip()
