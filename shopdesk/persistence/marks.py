"""Change marks: a counter per topic, by which one program sees that another has changed something."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import Connection, insert, select, update
from sqlalchemy.exc import IntegrityError

from shopdesk.persistence.tables.journal import change_mark


def change_marks(connection: Connection) -> dict[str, int]:
    """Read every topic's counter; a topic that never changed is not there."""
    return {row.topic: row.n for row in connection.execute(select(change_mark))}


def mark_changed(connection: Connection, topics: Iterable[str]) -> None:
    """Count each topic up inside the caller's write; best done last, because the rows stay locked.

    Topics are taken in one order, so that two stations never wait for each other in a ring.
    """
    for topic in sorted(set(topics)):
        if not _count_up(connection, topic):
            _begin_topic(connection, topic)
            _count_up(connection, topic)


def _count_up(connection: Connection, topic: str) -> bool:
    counting = update(change_mark).where(change_mark.c.topic == topic).values(n=change_mark.c.n + 1)
    return connection.execute(counting).rowcount == 1


def _begin_topic(connection: Connection, topic: str) -> None:
    try:
        with connection.begin_nested():
            connection.execute(insert(change_mark).values(topic=topic, n=0))
    except IntegrityError:
        return
