"""A migrated database of the program's own kind, on each engine in turn."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from shopdesk.persistence.engine import Database, open_database


@pytest.fixture
def database(database_url: str) -> Iterator[Database]:
    """A migrated database without rows; a test that asks for it runs once on each engine."""
    opened = open_database(database_url)
    yield opened
    opened.close()
