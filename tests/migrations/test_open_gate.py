"""What is opened, what is made, what is brought up to date and what is refused untouched."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import insert, select, text
from sqlalchemy.exc import IntegrityError

from shopdesk import __version__
from shopdesk.persistence.engine import APPLICATION_ID, open_database
from shopdesk.persistence.guards import missing_guards
from shopdesk.persistence.schema import known_layouts, layout_of, migrate
from shopdesk.persistence.tables import metadata
from shopdesk.persistence.troubles import DatabaseRefused
from tests.persistence.planting import Planter

ADD_COLUMN = """
import sqlalchemy as sa
from alembic import op

revision, down_revision = "9001", "{head}"


def upgrade() -> None:
    op.add_column("invoice", sa.Column("more", sa.BigInteger()))
"""
REBUILD = """
import sqlalchemy as sa
from alembic import op

revision, down_revision = "9001", "{head}"


def upgrade() -> None:
    if op.get_bind().dialect.name == "sqlite":
        with op.batch_alter_table("invoice", recreate="always") as batch:
            batch.add_column(sa.Column("more", sa.BigInteger()))
    else:
        op.execute("DROP TRIGGER guard_invoice_row ON invoice")
"""


@pytest.fixture
def next_migrations(migrations: Path, tmp_path: Path) -> Path:
    """The program's migrations in a folder of the test's own, to which a version can be added."""
    return Path(shutil.copytree(migrations, tmp_path / "next", ignore=shutil.ignore_patterns("__pycache__")))


def _add_version(folder: Path, body: str) -> None:
    head = known_layouts(folder)[-1]
    (folder / "versions" / "9001_more.py").write_text(body.format(head=head), encoding="utf-8")


def _refusal(address: str, migrations: Path) -> str:
    database = open_database(address)
    with pytest.raises(DatabaseRefused) as refusal:
        migrate(database, migrations)
    database.close()
    assert refusal.value.field == "database"
    return refusal.value.sentence


def _untouched(file: Path, migrations: Path) -> str:
    """Have a file refused and see that neither it nor its folder changed."""
    before = (file.read_bytes(), file.stat().st_mtime_ns, sorted(file.parent.iterdir()))
    sentence = _refusal(str(file), migrations)
    assert (file.read_bytes(), file.stat().st_mtime_ns, sorted(file.parent.iterdir())) == before
    return sentence


def test_that_a_new_shop_is_made_from_nothing(empty_database_url: str, migrations: Path) -> None:
    database = open_database(empty_database_url)
    layout = migrate(database, migrations)
    with database.read() as connection:
        assert layout_of(connection) == layout == known_layouts(migrations)[-1]
        assert missing_guards(connection) == ()
        assert connection.execute(select(metadata.tables["shop"])).all() == []
    assert migrate(database, migrations) == layout  # again: nothing to do
    database.close()


def test_that_a_new_file_is_whole_marked_and_alone(tmp_path: Path, migrations: Path) -> None:
    file = tmp_path / "shop.db"
    database = open_database(str(file))
    migrate(database, migrations)
    database.close()
    assert list(tmp_path.iterdir()) == [file]
    with sqlite3.connect(file) as connection:
        assert connection.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    connection.close()


def test_that_no_shop_is_made_in_a_folder_that_is_not_there(tmp_path: Path, migrations: Path) -> None:
    assert "is not there" in _refusal(str(tmp_path / "drive" / "shop.db"), migrations)
    assert list(tmp_path.iterdir()) == []


def test_that_an_empty_file_is_not_a_new_shop(tmp_path: Path, migrations: Path) -> None:
    file = tmp_path / "shop.db"
    file.touch()
    assert "empty" in _untouched(file, migrations)


@pytest.mark.parametrize(
    "content", [b"Dear customer,\n" * 40, b"%PDF-1.7\n" + b"x" * 500, b"SQLite format 3\0"]
)
def test_that_a_file_of_another_kind_is_left_as_it_is(
    content: bytes, tmp_path: Path, migrations: Path
) -> None:
    file = tmp_path / "shop.db"
    file.write_bytes(content)
    assert "not a database" in _untouched(file, migrations)


def test_that_another_programs_file_is_left_as_it_is(tmp_path: Path, migrations: Path) -> None:
    file = tmp_path / "shop.db"
    with sqlite3.connect(file) as connection:
        connection.execute("CREATE TABLE notes (body TEXT)")
    connection.close()
    assert "another program" in _untouched(file, migrations)


def test_that_another_programs_server_database_is_left_as_it_is(
    empty_postgres_url: str, migrations: Path
) -> None:
    database = open_database(empty_postgres_url)
    with database.write() as connection:
        connection.execute(text("CREATE TABLE notes (body TEXT)"))
    database.close()
    assert "another program" in _refusal(empty_postgres_url, migrations)
    with database.read() as connection:
        assert layout_of(connection) is None
    database.close()


def test_that_a_newer_layout_is_refused_and_both_versions_named(database_url: str, migrations: Path) -> None:
    database = open_database(database_url)
    with database.write() as connection:
        Planter(connection).plant_shop(program_version="7.5")
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    database.close()
    sentence = _refusal(database_url, migrations)
    for word in ("7.5", "9999", __version__, known_layouts(migrations)[-1]):
        assert word in sentence
    if database.file is not None:
        _untouched(database.file, migrations)


def test_that_a_dropped_guard_keeps_the_shop_closed(database_url: str, migrations: Path) -> None:
    database = open_database(database_url)
    gone = "guard_consent_delete" if database.is_sqlite else "guard_consent_row"
    with database.write() as connection:
        connection.execute(text(f"DROP TRIGGER {gone}" + ("" if database.is_sqlite else " ON consent")))
    database.close()
    assert gone in _refusal(database_url, migrations)


def test_that_guards_hold_and_rows_stay_after_a_migration(database_url: str, next_migrations: Path) -> None:
    database = open_database(database_url)
    invoice = metadata.tables["invoice"]
    with database.write() as connection:
        planted = Planter(connection).plant("invoice")
    _add_version(next_migrations, ADD_COLUMN)
    assert migrate(database, next_migrations) == "9001"
    change = [invoice.update().values(total_minor=1), invoice.delete()]
    if database.is_sqlite:
        change.append(insert(invoice).prefix_with("OR REPLACE").values(planted))
    for statement in change:
        with pytest.raises(IntegrityError, match="kept as written"), database.write() as connection:
            connection.execute(statement)
    with database.read() as connection:
        assert dict(connection.execute(select(invoice)).one()._mapping) == planted
        assert connection.execute(text("SELECT more FROM invoice")).scalar() is None
    database.close()


def test_that_a_migration_which_loses_a_guard_is_undone(database_url: str, next_migrations: Path) -> None:
    head = known_layouts(next_migrations)[-1]
    _add_version(next_migrations, REBUILD)
    assert "guard_invoice" in _refusal(database_url, next_migrations)
    database = open_database(database_url)
    with database.read() as connection:
        assert layout_of(connection) == head
        assert missing_guards(connection) == ()
    if database.is_sqlite:
        with database.read() as connection:  # foreign keys are on again
            assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
    database.close()


def test_that_a_migration_which_breaks_a_link_is_undone(sqlite_url: str, next_migrations: Path) -> None:
    database = open_database(sqlite_url)
    with database.write() as connection:
        Planter(connection).plant("address")
    _add_version(
        next_migrations, ADD_COLUMN.replace("op.add_column(", 'op.execute("DELETE FROM customer") #')
    )
    assert "address" in _refusal(sqlite_url, next_migrations)
    with database.read() as connection:
        assert len(connection.execute(select(metadata.tables["customer"])).all()) == 1
    database.close()
