"""The migrations make exactly the tables that the program believes in, guards and CHECKs included."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import text

from shopdesk.persistence.engine import Database, open_database, sqlite_database
from shopdesk.persistence.guards import create_guards
from shopdesk.persistence.schema import known_layouts, layout_of, migrate
from shopdesk.persistence.tables import metadata
from tests.migrations.layout import layout


@pytest.fixture
def unmigrated(empty_database_url: str, tmp_path: Path) -> Iterator[Database]:
    """A database without tables, made beside the program's own way."""
    if empty_database_url.startswith("sqlite"):
        database = sqlite_database(tmp_path / "beside.db", create=True)
    else:
        database = open_database(empty_database_url)
    yield database
    database.close()


def _from_metadata(database: Database) -> dict[str, str]:
    with database.rebuild() as connection:
        metadata.create_all(connection)
        create_guards(connection)
        return layout(connection)


def _emptied(database: Database) -> None:
    with database.write() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))


def _from_migrations(database: Database, migrations: Path) -> dict[str, str]:
    if database.file is not None:
        database = open_database(str(database.file.with_name("migrated.db")))
    migrate(database, migrations)
    with database.read() as connection:
        found = layout(connection)
    database.close()
    return found


def test_that_migrations_and_tables_agree_to_the_last_check(unmigrated: Database, migrations: Path) -> None:
    wanted = _from_metadata(unmigrated)
    if not unmigrated.is_sqlite:
        _emptied(unmigrated)
    found = _from_migrations(unmigrated, migrations)
    assert len(found) > 150
    assert found == wanted


@pytest.mark.parametrize(
    "change",
    [
        "DROP TRIGGER guard_invoice_{row}",
        "CREATE INDEX ix_more ON invoice (sha)",
        "ALTER TABLE invoice ADD COLUMN more BIGINT CHECK (more > 0)",
    ],
)
def test_that_the_comparison_sees_a_small_difference(change: str, unmigrated: Database) -> None:
    before = _from_metadata(unmigrated)
    change = change.format(row="update" if unmigrated.is_sqlite else "row ON invoice")
    with unmigrated.write() as connection:
        connection.execute(text(change))
        assert layout(connection) != before


def test_that_each_layout_follows_the_one_before(migrations: Path) -> None:
    layouts = known_layouts(migrations)
    previous = None
    for number in layouts:
        (file,) = (migrations / "versions").glob(f"{number}_*.py")
        names = {
            target.id: ast.literal_eval(node.value)
            for node in ast.parse(file.read_text(encoding="utf-8")).body
            if isinstance(node, ast.Assign) and isinstance(target := node.targets[0], ast.Name)
            if target.id in ("revision", "down_revision")
        }
        assert names == {"revision": number, "down_revision": previous}
        previous = number


def test_that_a_version_imports_nothing_of_the_program(migrations: Path) -> None:
    imported = set()
    for file in (migrations / "versions").glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                imported |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                imported.add(str(node.module))
    assert imported == {"alembic", "sqlalchemy"}


def test_that_the_quick_reading_of_the_layout_is_alembics_own(database_url: str, migrations: Path) -> None:
    from alembic.migration import MigrationContext

    database = open_database(database_url)
    with database.read() as connection:
        heads = MigrationContext.configure(connection).get_current_heads()
        assert heads == (layout_of(connection),) == (known_layouts(migrations)[-1],)
    database.close()
