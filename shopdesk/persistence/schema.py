"""The layout of the database: made from nothing, brought up to date, or refused untouched.

The layout is named by its alembic revision, four digits that begin the name of a version file. A
revision this program does not know means that a newer program wrote the database.
"""

from __future__ import annotations

import os
from gettext import gettext as _
from pathlib import Path

from sqlalchemy import Connection, func, inspect, select, text

from shopdesk import __version__
from shopdesk.persistence.engine import APPLICATION_ID, Database, sqlite_database
from shopdesk.persistence.gate import check_file
from shopdesk.persistence.guards import missing_guards
from shopdesk.persistence.troubles import DatabaseRefused

_MIGRATION_LOCK = 0x53686F70_0002  # PostgreSQL's lock for "who may change the layout"
_MIGRATION_WAIT = "60s"
_VERSION_TABLE = "alembic_version"


def migrate(database: Database, migrations: Path) -> str:
    """Open the gate: make a new shop's tables, or check what is there and bring it up to date.

    Gives the layout the database has now. Raises DatabaseRefused, with nothing changed, for a file that
    is empty, foreign or no database, for a server database with other tables, for a layout from a newer
    program, and when a guard over recorded facts is missing.
    """
    layouts = known_layouts(migrations)
    if database.file is not None:
        _make_or_check(database.file, migrations)
    with database.read() as connection:
        layout = _layout_or_refusal(connection, layouts)
        if layout == layouts[-1]:
            _refuse_unguarded(connection)
            return layout
    _upgrade(database, migrations)
    return layouts[-1]


def known_layouts(migrations: Path) -> list[str]:
    """List the layouts this program knows, oldest first, from the names of the version files.

    Asking alembic would cost half a second at every start.
    """
    layouts = sorted(file.name[:4] for file in (migrations / "versions").glob("[0-9][0-9][0-9][0-9]_*.py"))
    if not layouts:
        raise FileNotFoundError(f"There are no migrations in {migrations}.")
    return layouts


def layout_of(connection: Connection) -> str | None:
    """Read the layout a database has; None when it has none."""
    if not inspect(connection).has_table(_VERSION_TABLE):
        return None
    layout: str | None = connection.execute(text(f"SELECT version_num FROM {_VERSION_TABLE}")).scalar()  # noqa: S608
    return layout


def _make_or_check(file: Path, migrations: Path) -> None:
    if file.exists():
        check_file(file)
    elif not file.parent.is_dir():
        sentence = _("The folder {folder} is not there, so no shop can be kept in it.")
        raise DatabaseRefused(sentence.format(folder=file.parent), "database")
    else:
        _make_file(file, migrations)


def _make_file(file: Path, migrations: Path) -> None:
    """Make a new shop beside its name and give it the name when it is whole.

    A program killed meanwhile leaves no file of that name, so an empty file is never one of ours.
    """
    part = file.with_name(f"{file.name}.{os.getpid()}.part")
    _remove_with_logs(part)
    database = sqlite_database(part, create=True)
    try:
        _upgrade(database, migrations)
        database.close()
        _give_name(part, file)
    finally:
        database.close()
        _remove_with_logs(part)


def _give_name(part: Path, file: Path) -> None:
    """Name the file unless another program was quicker; theirs is then the shop."""
    try:
        os.link(part, file)
    except FileExistsError:
        return
    except OSError:  # a file system without links
        if file.exists():
            return
        part.rename(file)
    _sync_folder(file.parent)


def _sync_folder(folder: Path) -> None:
    """Have the name itself on disk, where the system can do that."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _remove_with_logs(file: Path) -> None:
    for suffix in ("", "-journal", "-wal", "-shm"):
        file.with_name(file.name + suffix).unlink(missing_ok=True)


def _upgrade(database: Database, migrations: Path) -> None:
    """Change the layout in one transaction, alone: a second station waits and finds it done."""
    with database.rebuild() as connection:
        if database.is_sqlite:
            connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION_ID}")
        else:
            connection.execute(text(f"SET LOCAL lock_timeout = '{_MIGRATION_WAIT}'"))
            connection.execute(select(func.pg_advisory_xact_lock(_MIGRATION_LOCK)))
        _layout_or_refusal(connection, known_layouts(migrations))
        _run_versions(connection, migrations)
        if database.is_sqlite:
            _refuse_broken_links(connection)
        _refuse_unguarded(connection)


def _run_versions(connection: Connection, migrations: Path) -> None:
    from alembic import command  # half a second, wanted only when the layout changes
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(migrations).replace("%", "%%"))
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def _layout_or_refusal(connection: Connection, layouts: list[str]) -> str | None:
    layout = layout_of(connection)
    if layout is None and inspect(connection).get_table_names():
        raise DatabaseRefused(
            _("The database holds tables of another program. It was left as it is."), "database"
        )
    if layout is not None and layout not in layouts:
        sentence = _(
            "The shop's database was written by program version {theirs} (layout {layout}). "
            "This is version {ours} (layout {newest}), which cannot read it. Nothing was changed."
        )
        versions = {"theirs": _written_by(connection), "ours": __version__}
        raise DatabaseRefused(sentence.format(layout=layout, newest=layouts[-1], **versions), "database")
    return layout


def _written_by(connection: Connection) -> str:
    """Read which program wrote last, from a layout of which only this one column is hoped for."""
    schema = inspect(connection)
    columns = schema.get_columns("shop") if schema.has_table("shop") else []
    if not any(column["name"] == "program_version" for column in columns):
        return "?"
    return str(connection.execute(text("SELECT program_version FROM shop")).scalar() or "?")


def _refuse_broken_links(connection: Connection) -> None:
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
    if broken is not None:
        sentence = _("In the new layout rows of {table} would point at nothing. Nothing was changed.")
        raise DatabaseRefused(sentence.format(table=broken[0]), "database")


def _refuse_unguarded(connection: Connection) -> None:
    missing = missing_guards(connection)
    if missing:
        sentence = _(
            "The database no longer protects what was recorded ({guards} missing). "
            "It is not opened; restore a backup."
        )
        raise DatabaseRefused(sentence.format(guards=", ".join(missing[:3])), "database")
