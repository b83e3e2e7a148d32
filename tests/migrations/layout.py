"""Reads a database's layout as its own catalogue tells it, so that two databases can be compared.

Alembic's comparison sees neither CHECKs nor triggers; this one reads the engine's own words for all.
"""

from __future__ import annotations

import re
from typing import Any

from sqlalchemy import Connection, text

POSTGRES = {
    "table": "SELECT relname, relkind::text FROM pg_class WHERE relnamespace = 'public'::regnamespace",
    "column": """
        SELECT c.relname || '.' || a.attname,
               format_type(a.atttypid, a.atttypmod) || ' null:' || (NOT a.attnotnull)
               || ' collate:' || coalesce(l.collname, '') || ' default:'
               || coalesce(pg_get_expr(d.adbin, d.adrelid), '')
        FROM pg_attribute a JOIN pg_class c ON c.oid = a.attrelid
        LEFT JOIN pg_attrdef d ON d.adrelid = a.attrelid AND d.adnum = a.attnum
        LEFT JOIN pg_collation l ON l.oid = a.attcollation
        WHERE c.relnamespace = 'public'::regnamespace
              AND c.relkind = 'r' AND a.attnum > 0 AND NOT a.attisdropped""",
    "constraint": """
        SELECT conrelid::regclass::text || '.' || conname, pg_get_constraintdef(oid)
        FROM pg_constraint WHERE connamespace = 'public'::regnamespace""",
    "index": "SELECT indexname, indexdef FROM pg_indexes WHERE schemaname = 'public'",
    "trigger": """
        SELECT tgname, pg_get_triggerdef(oid) || ' ' || tgenabled::text
        FROM pg_trigger WHERE NOT tgisinternal""",
    "function": """
        SELECT proname, pg_get_functiondef(oid)
        FROM pg_proc WHERE pronamespace = 'public'::regnamespace""",
}


def layout(connection: Connection) -> dict[str, str]:
    """Give everything the database is made of, by kind and name; alembic's own table is left out."""
    parts = _sqlite(connection) if connection.dialect.name == "sqlite" else _postgres(connection)
    return {name: sql for name, sql in parts.items() if "alembic_version" not in name}


def _sqlite(connection: Connection) -> dict[str, str]:
    rows = connection.exec_driver_sql("SELECT type, name, tbl_name, sql FROM sqlite_master").all()
    return {f"{kind} {table}/{name}": _normal(sql or "") for kind, name, table, sql in rows}


def _postgres(connection: Connection) -> dict[str, str]:
    found: dict[str, Any] = {}
    for kind, asked in POSTGRES.items():
        for name, sql in connection.execute(text(asked)):
            found[f"{kind} {name}"] = _one_line(sql)
    return found


def _normal(sql: str) -> str:
    """Put the columns and constraints of a CREATE TABLE in one order; leave any other statement."""
    line = _one_line(sql)
    head, bracket, rest = line.partition("(")
    if not line.startswith("CREATE TABLE"):
        return line
    inside, _, tail = rest.rpartition(")")
    return f"{_one_line(head)} {bracket}" + ", ".join(sorted(_parts(inside))) + f"){tail}"


def _parts(inside: str) -> list[str]:
    """Split at the commas that stand in no bracket."""
    parts, depth = [""], 0
    for sign in inside:
        depth += {"(": 1, ")": -1}.get(sign, 0)
        if sign == "," and depth == 0:
            parts.append("")
        else:
            parts[-1] += sign
    return [_one_line(part) for part in parts]


def _one_line(sql: str) -> str:
    return re.sub(r"\s+", " ", sql).strip()
