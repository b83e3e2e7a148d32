"""Writing past the program, as somebody does who switches the guards off and on again."""

from __future__ import annotations

import sqlite3

import psycopg


def tampered(url: str, *statements: str) -> None:
    """Carry out SQL that the guards would refuse, and leave the guards as they were."""
    if not url.startswith("sqlite"):
        with psycopg.connect(url) as server:
            server.execute("SET LOCAL session_replication_role = replica")
            for statement in statements:
                server.execute(statement.encode())
        return
    connection = sqlite3.connect(url.removeprefix("sqlite:///"), isolation_level=None)
    try:
        guards = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _sql in guards:
            connection.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            connection.execute(statement)
        for _name, sql in guards:
            connection.execute(sql)
    finally:
        connection.close()
