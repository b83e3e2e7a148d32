"""Numbers without gaps: a number is taken in the transaction that uses it, and goes back with it."""

from __future__ import annotations

from sqlalchemy import Connection, insert, update
from sqlalchemy.exc import IntegrityError

from shopdesk.persistence.tables.billing import number_series

FIRST_NUMBER = 1


def next_number(connection: Connection, series: str, *, first: int = FIRST_NUMBER) -> int:
    """Take the next number of a series inside the caller's write.

    The row stays locked until the transaction ends, so a second taker waits and a rolled-back number
    is given again. A series not used before begins at ``first``.
    """
    taken = _take(connection, series)
    if taken is None:
        _begin_series(connection, series, first)
        taken = _take(connection, series)
    if taken is None:
        raise LookupError(f"The number series {series!r} vanished while a number was taken.")
    return taken


def _take(connection: Connection, series: str) -> int | None:
    taking = (
        update(number_series)
        .where(number_series.c.name == series)
        .values(next_number=number_series.c.next_number + 1)
        .returning(number_series.c.next_number - 1)
    )
    number: int | None = connection.execute(taking).scalar_one_or_none()
    return number


def _begin_series(connection: Connection, series: str, first: int) -> None:
    """Add the row; when another station adds the same one at the same time, theirs counts."""
    try:
        with connection.begin_nested():
            connection.execute(insert(number_series).values(name=series, next_number=first))
    except IntegrityError:
        return
