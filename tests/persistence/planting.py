"""Plants one row in any table, with the rows it refers to: for tests about the database, not the shop."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import Boolean, Column, Connection, Date, LargeBinary, Table, insert

from shopdesk.persistence.tables import metadata
from shopdesk.persistence.types import UtcStamp

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
SPECIAL: dict[str, Any] = {"odometer_unit": "mi", "currency": "USD"}
"""Columns that a CHECK or their length holds to few values."""


class Planter:
    """Plants rows; each value that must be unique is counted up."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self._count = 0

    def plant(self, name: str) -> dict[str, Any]:
        """Insert a row into the table ``name`` and give it back."""
        table = metadata.tables[name]
        row = {c.name: self._value(c) for c in table.columns if not _left_out(c)}
        if "total_minor" in row:
            row["total_minor"] = row["net_minor"] + row["tax_minor"]
        made = self.connection.execute(insert(table).values(row).returning(table)).one()
        return dict(made._mapping)

    def plant_shop(self, program_version: str) -> None:
        """Insert the one row about the shop itself."""
        table = metadata.tables["shop"]
        row = {c.name: self._value(c) for c in table.columns if not _left_out(c)}
        self.connection.execute(insert(table).values(row | {"id": 1, "program_version": program_version}))

    def _value(self, column: Column[Any]) -> Any:  # as the column wants
        for key in column.foreign_keys:
            parent = key.column
            return self.plant(parent.table.name)[parent.name]
        self._count += 1
        kinds = {UtcStamp: NOON, Boolean: True, Date: date(2026, 11, 25), LargeBinary: b"paper"}
        for kind, value in kinds.items():
            if isinstance(column.type, kind):
                return value
        if column.name in SPECIAL:
            return SPECIAL[column.name]
        return self._count if column.type.python_type is int else f"x{self._count}"


def _left_out(column: Column[Any]) -> bool:
    """Leave to the database what it fills in itself."""
    return column.nullable or column.server_default is not None or column is _own_number(column.table)


def _own_number(table: Any) -> Column[Any] | None:  # a Table; the stubs say FromClause
    assert isinstance(table, Table)
    return table.autoincrement_column
