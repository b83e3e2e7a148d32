"""One command, one transaction: who asked, when, and that asking twice changes nothing.

Every room of the shop (``intake``, ``bay``, ``billing`` …) is given an :class:`Office`. Its public
verbs take a frozen command, do their work inside :meth:`Office.carry_out` and give back a frozen
result. A read sees one consistent moment and ends before anything is drawn or rendered.
"""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cache, cached_property
from gettext import gettext as _
from typing import Any, Protocol, TypeVar
from uuid import uuid4
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, Insert, Row, Select, Table, bindparam, func, insert, select, update
from sqlalchemy.sql.dml import ReturningInsert

from shopdesk.domain.errors import NotFound, SameIdOtherContent
from shopdesk.domain.units import NumberStyle
from shopdesk.persistence import canonical, chain
from shopdesk.persistence.engine import Database
from shopdesk.persistence.marks import mark_changed
from shopdesk.persistence.tables.journal import request
from shopdesk.persistence.tables.shop import station
from shopdesk.services.plain import from_plain, to_plain
from shopdesk.services.shopfacts import ShopFacts, read_shop
from shopdesk.services.typed import Typed

R = TypeVar("R")

#: A table's row inside a service; its columns are named in persistence.tables. Rows never leave services.
AnyRow = Row[Any]


class Clock(Protocol):
    """Says what time it is; tests and the demo hand in their own."""

    def now(self) -> datetime:
        """Give the present instant, aware."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Actor:
    """Who is at work, and at which station."""

    person_id: int
    station_id: int


def new_uid() -> str:
    """Give a name that no other request or fact has."""
    return str(uuid4())


@dataclass(frozen=True, kw_only=True, slots=True)
class Command:
    """What every command carries: its own id, who gives it, and how its numbers were typed."""

    actor: Actor
    uid: str = field(default_factory=new_uid)
    style: NumberStyle = NumberStyle.PERSON


class Reading:
    """An open read transaction and what the shop has set up."""

    def __init__(self, connection: Connection, now: datetime) -> None:
        self.connection = connection
        self.now = now

    @cached_property
    def shop(self) -> ShopFacts:
        """What the shop has set up; RuleBroken when it is not set up yet."""
        return read_shop(self.connection)

    @property
    def today(self) -> date:
        """The day it is in the shop's own zone."""
        return self.now.astimezone(ZoneInfo(self.shop.zone)).date()

    def typed(self, style: NumberStyle) -> Typed:
        """Give the reader of typed quantities: with the shop's units on screen, with none in files."""
        return Typed(shop=self.shop, style=style)

    def one(self, table: Table, row_id: int, what: str) -> AnyRow:
        """Give the row with this id, or refuse with ``what`` is not there."""
        row = self.connection.execute(_by_id(table), {"wanted": row_id}).one_or_none()
        if row is None:
            raise NotFound(what)
        return row


class Writing(Reading):
    """An open write transaction: adds facts with who and when, and notes what changed."""

    def __init__(self, connection: Connection, now: datetime, command: Command) -> None:
        super().__init__(connection, now)
        self.command = command
        self.actor = command.actor
        self.touched: set[str] = set()
        self.vouched: list[chain.Content] = []

    def typed_here(self) -> Typed:
        """Give the reader of what this command's quantities say."""
        return self.typed(self.command.style)

    def fact(self) -> dict[str, Any]:
        """Give the columns that every recorded fact carries."""
        return {
            "uid": new_uid(),
            "at_utc": self.now,
            "person_id": self.actor.person_id,
            "station_id": self.actor.station_id,
        }

    def add(self, table: Table, **values: Any) -> int:
        """Add one row and give its id."""
        key = self.connection.execute(_adding(table), values).inserted_primary_key
        self.touched.add(table.name)
        return int(key[0]) if key else 0

    def add_all(self, table: Table, rows: Sequence[Mapping[str, Any]]) -> None:
        """Add rows that all name the same columns, in one go."""
        if rows:
            self.connection.execute(_adding(table), rows)
            self.touched.add(table.name)

    def add_fact(self, table: Table, **values: Any) -> int:
        """Add one recorded fact and give its id."""
        return self.add(table, **self.fact(), **values)

    def add_chained(self, table: Table, **values: Any) -> int:
        """Add one fact whose content the audit chain vouches for, and give its id."""
        row = {**self.fact(), **values}
        row_id = self.add(table, **row)
        self.vouched.append(
            chain.Content(subject=table.name, subject_id=row_id, content_sha=content_sha(table, row))
        )
        return row_id

    def add_many_chained(self, table: Table, rows: Sequence[Mapping[str, Any]]) -> tuple[int, ...]:
        """Add several chained facts at once, all with the same columns; gives their ids in order."""
        facts = [{**self.fact(), **row} for row in rows]
        if not facts:
            return ()
        ids = tuple(
            int(row_id) for row_id in self.connection.execute(_adding_for_ids(table), facts).scalars()
        )
        self.touched.add(table.name)
        self.vouched += [
            chain.Content(subject=table.name, subject_id=row_id, content_sha=content_sha(table, fact))
            for row_id, fact in zip(ids, facts, strict=True)
        ]
        return ids

    def change(self, table: Table, row_id: int, **values: Any) -> None:
        """Change a row that people edit; its version counts up."""
        self.connection.execute(
            update(table).where(table.c.id == row_id).values(version=table.c.version + 1, **values)
        )
        self.touched.add(table.name)


# Statements of every command are put together once: that takes longer than the database does.


@cache
def _by_id(table: Table) -> Select[Any]:
    return select(table).where(table.c.id == bindparam("wanted"))


@cache
def _adding(table: Table) -> Insert:
    return insert(table)


@cache
def _adding_for_ids(table: Table) -> ReturningInsert[Any]:
    return insert(table).returning(table.c.id, sort_by_parameter_order=True)


#: PostgreSQL's lock for "who may write"; freed at the end of the transaction.
_TURN = 0x53686F70_0002


def _take_turn(connection: Connection) -> None:
    """One command at a time on both engines, as SQLite has it anyhow.

    Commands lock number series, items and the audit chain in the order of their work; side by side
    two of them could wait for each other in a ring. And the same request sent twice at once must
    find the first one's result.
    """
    if connection.dialect.name == "postgresql":
        connection.execute(select(func.pg_advisory_xact_lock(_TURN)))


def content_sha(table: Table, row: dict[str, Any]) -> str:
    """Give the hash the chain keeps for a row: every column but the id, absent ones as nothing."""
    names = [column.name for column in table.columns if column.name != "id"]
    return canonical.content_sha({name: _exact(row.get(name)) for name in names})


def _exact(value: Any) -> Any:
    """One instant has one text, whichever zone or engine it came through."""
    if isinstance(value, datetime):
        return value.astimezone(ZoneInfo("UTC")).isoformat(timespec="microseconds")
    return to_plain(value)


class _TakenBack(Exception):
    """Ends a rehearsal, so that its transaction is rolled back."""


class Office:
    """The shop's database, its clock, and the one way to read and to write."""

    def __init__(
        self, database: Database, clock: Clock, announce: Callable[[frozenset[str]], None] = lambda _: None
    ) -> None:
        self._database = database
        self._clock = clock
        self._announce = announce

    @contextmanager
    def reading(self) -> Iterator[Reading]:
        """Open one consistent view of the shop for the length of the block."""
        with self._database.read() as connection:
            yield Reading(connection, self._clock.now())

    def carry_out(
        self,
        command: Command,
        work: Callable[[Writing], R],
        result: type[R],
        *,
        content: str | None = None,
    ) -> R:
        """Do ``work`` in one transaction, once per request id.

        The same id with the same content gives the first result again and changes nothing; with
        other content it raises SameIdOtherContent. ``content`` stands for the command where what
        was sent is a file.
        """
        sha = canonical.sha256_text(content if content is not None else _content_of(command))
        with self._database.write() as connection:
            _take_turn(connection)
            kept = self._kept(connection, command, sha)
            if kept is not None:
                return from_plain(result, json.loads(kept))
            writing = Writing(connection, self._clock.now(), command)
            answer = work(writing)
            self._keep(writing, type(command).__name__, sha, answer)
            touched = frozenset(writing.touched)
        self._announce(touched)
        return answer

    def rehearse(self, command: Command, work: Callable[[Writing], R]) -> R:
        """Do ``work`` and take all of it back: gives what it would give, or refuses as it would."""
        answers: list[R] = []
        with suppress(_TakenBack), self._database.write() as connection:
            _take_turn(connection)
            answers.append(work(Writing(connection, self._clock.now(), command)))
            raise _TakenBack
        return answers[0]

    @contextmanager
    def scratch(self) -> Iterator[tuple[Connection, datetime]]:
        """Open a write for what is no fact of the shop, such as drafts: no request, nothing announced."""
        with self._database.write() as connection:
            yield connection, self._clock.now()

    def knows(self, uid: str) -> bool:
        """Say whether a request with this id was carried out before."""
        with self._database.read() as connection:
            return connection.execute(select(request.c.uid).where(request.c.uid == uid)).first() is not None

    def note_station(self, uid: str, name: str) -> int:
        """Note a station that was not seen before and give its id."""
        with self._database.write() as connection:
            key = connection.execute(insert(station).values(uid=uid, name=name)).inserted_primary_key
            return int(key[0]) if key else 0

    @staticmethod
    def _kept(connection: Connection, command: Command, sha: str) -> str | None:
        row = connection.execute(
            select(request.c.content_sha, request.c.result_text).where(request.c.uid == command.uid)
        ).one_or_none()
        if row is None:
            return None
        if row.content_sha != sha:
            sentence = _("The id {uid} was already used for something else; nothing was changed.")
            raise SameIdOtherContent(sentence.format(uid=command.uid), "id")
        return str(row.result_text)

    @staticmethod
    def _keep(writing: Writing, verb: str, sha: str, answer: object) -> None:
        writing.connection.execute(
            _adding(request),
            {
                "uid": writing.command.uid,
                "verb": verb,
                "content_sha": sha,
                "result_text": canonical.canonical_json(to_plain(answer)),
                "at_utc": writing.now,
                "person_id": writing.actor.person_id,
                "station_id": writing.actor.station_id,
            },
        )
        if writing.vouched:
            chain.append_all(writing.connection, writing.vouched)
        mark_changed(writing.connection, ["shop"])


def _content_of(command: Command) -> str:
    plain = to_plain(command)
    del plain["uid"], plain["actor"]
    return canonical.canonical_json(plain)
