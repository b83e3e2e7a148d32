"""A second program sees by a counter that something changed."""

from __future__ import annotations

from shopdesk.persistence.engine import Database, open_database
from shopdesk.persistence.marks import change_marks, mark_changed


def test_that_another_program_sees_what_was_marked(database: Database, database_url: str) -> None:
    other = open_database(database_url)
    with other.read() as connection:
        assert change_marks(connection) == {}
    with database.write() as connection:
        mark_changed(connection, ["stock", "work", "stock"])
    with database.write() as connection:
        mark_changed(connection, ["work"])
    with other.read() as connection:
        assert change_marks(connection) == {"stock": 1, "work": 2}
    other.close()


def test_that_a_write_given_up_marks_nothing(database: Database) -> None:
    try:
        with database.write() as connection:
            mark_changed(connection, ["stock"])
            raise KeyError("given up")
    except KeyError:
        pass
    with database.read() as connection:
        assert change_marks(connection) == {}
