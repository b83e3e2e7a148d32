"""The metadata, the naming convention and the columns that every recorded fact carries."""

from typing import Any

from sqlalchemy import CheckConstraint, Column, ForeignKey, MetaData, Text

from shopdesk.persistence.types import Id, Short, UtcStamp

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def key() -> Column[int]:
    """The row's own number."""
    return Column("id", Id, primary_key=True, autoincrement=True)


def fact() -> tuple[Column[Any], ...]:
    """Who said it, at which station, when it reached the database, and a name no other fact has."""
    return (
        Column("uid", Short(36), nullable=False, unique=True),
        Column("at_utc", UtcStamp, nullable=False),
        Column("person_id", Id, ForeignKey("person.id"), nullable=False),
        Column("station_id", Id, ForeignKey("station.id"), nullable=False),
    )


def version() -> Column[int]:
    """Counts the edits of a row, so that two people editing it are told apart."""
    return Column("version", Id, nullable=False, server_default="1")


def long_text(name: str, most: int, *, nullable: bool = False, default: str | None = "") -> tuple[Any, ...]:
    """A text column with a limit that both engines hold (SQLite ignores the length of a type)."""
    return (
        Column(name, Text, nullable=nullable, server_default=default if not nullable else None),
        CheckConstraint(f"length({name}) <= {most}", name=f"{name}_length"),
    )
