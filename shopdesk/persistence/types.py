"""Column types which mean the same on SQLite and on PostgreSQL.

Both engines must keep, order and refuse alike: SQLite drops time zones, lets text of any length and
with NUL into a column, and orders by bytes; PostgreSQL orders by the locale it was built with.
"""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import BigInteger, CheckConstraint, DateTime, Dialect, Integer, MetaData, String
from sqlalchemy.types import TypeDecorator, TypeEngine

STAMP_WIDTH = 32
"""Characters of a stored stamp on SQLite: ``2026-11-25T08:10:00.123456+00:00``."""

Id = BigInteger().with_variant(Integer(), "sqlite")
"""Whole-number keys: 64 bits on both engines (only INTEGER makes SQLite's own row id)."""


class UtcStamp(TypeDecorator[datetime]):
    """An instant. A naive ``datetime`` is refused, what comes back is aware and in UTC.

    SQLite keeps ISO text of one fixed width, so that text order is time order; PostgreSQL keeps
    ``timestamp with time zone``.
    """

    impl = DateTime
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[datetime]:
        """Give the type which the engine itself stores."""
        if dialect.name == "sqlite":
            return dialect.type_descriptor(String(STAMP_WIDTH))  # type: ignore[arg-type]
        return dialect.type_descriptor(DateTime(timezone=True))

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | str | None:
        """Refuse an instant without a zone and turn any other into UTC."""
        if value is None:
            return None
        if value.tzinfo is None or value.utcoffset() is None:
            raise ValueError("A stamp needs its time zone.")
        utc = value.astimezone(UTC)
        return utc.isoformat(timespec="microseconds") if dialect.name == "sqlite" else utc

    def process_result_value(self, value: datetime | str | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Give back an aware UTC ``datetime``, whatever zone the connection is in."""
        if value is None:
            return None
        stamp = datetime.fromisoformat(value) if isinstance(value, str) else value
        return stamp.astimezone(UTC)


class _BoundText(TypeDecorator[str]):
    """Text of at most ``length`` characters; NUL is refused before either engine sees it."""

    impl = String

    def __init__(self, length: int) -> None:
        super().__init__(length)
        self.length = length

    def process_bind_param(self, value: str | None, dialect: Dialect) -> str | None:  # noqa: ARG002
        """Refuse NUL: SQLite would keep it and hide what follows, PostgreSQL refuses it."""
        if value is not None and "\0" in value:
            raise ValueError("Text cannot hold the NUL character.")
        return value


class Short(_BoundText):
    """Text with a greatest length in characters, e.g. ``Short(80)``."""

    cache_ok = True


class SortText(_BoundText):
    """A key to sort or match by, ordered by code point on both engines (COLLATE "C" on PostgreSQL).

    What is stored is made by the program (casefolded, accents stripped), so no locale is needed.
    """

    cache_ok = True

    def __init__(self, length: int = 400) -> None:
        super().__init__(length)

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[str]:
        """Give the engine's own text type, on PostgreSQL with the byte collation."""
        collation = "C" if dialect.name == "postgresql" else None
        return dialect.type_descriptor(String(self.length, collation=collation))


def add_length_checks(metadata: MetaData) -> None:
    """Give every bound text column a CHECK on its length, because SQLite ignores VARCHAR's number.

    To be called once, after all tables are declared. The constraint is named after the column.
    """
    for table in metadata.tables.values():
        for column in table.columns:
            if isinstance(column.type, _BoundText):
                rule = f"length({column.name}) <= {column.type.length}"
                table.append_constraint(CheckConstraint(rule, name=f"{column.name}_length"))
