"""The audit chain: every link holds the hash of the one before, so that a changed or missing row shows.

A cut tail cannot be seen from inside; whoever keeps a head elsewhere (a backup does) hands it in.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select

from shopdesk.persistence import canonical
from shopdesk.persistence.tables.journal import chain

ROOT_SHA = "0" * 64
"""What the first link names as the one before it."""

_CHAIN_LOCK = 0x53686F70_0001  # PostgreSQL's lock for "who may append"; freed at the end of the transaction
_PAGE = 5000


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The last link: its place (0 for an empty chain) and its hash."""

    seq: int
    sha: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BrokenLink:
    """The first place where the chain does not hold: ``missing``, ``changed`` or ``cut``."""

    seq: int
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """What a link vouches for: the row of a table, by the hash of its content."""

    subject: str
    subject_id: int
    content_sha: str


def append(connection: Connection, *, subject: str, subject_id: int, content_sha: str) -> Head:
    """Add a link inside the caller's write and give back the new head; one writer at a time."""
    return append_all(connection, [Content(subject=subject, subject_id=subject_id, content_sha=content_sha)])


def append_all(connection: Connection, contents: Sequence[Content]) -> Head:
    """Add a link for each content, in order; best done last, because other writers wait from here on."""
    _wait_for_turn(connection)
    last = head(connection)
    links = []
    for content in contents:
        seq = last.seq + 1
        sha = _link_sha(last.sha, seq, content.subject, content.subject_id, content.content_sha)
        links.append({"seq": seq, "prev_sha": last.sha, "sha": sha} | asdict(content))
        last = Head(seq=seq, sha=sha)
    if links:
        connection.execute(insert(chain), links)
    return last


def head(connection: Connection) -> Head:
    """Give the last link."""
    row = connection.execute(select(chain.c.seq, chain.c.sha).order_by(chain.c.seq.desc()).limit(1)).first()
    return Head(seq=0, sha=ROOT_SHA) if row is None else Head(seq=row.seq, sha=row.sha)


def verify(connection: Connection, known_head: Head | None = None) -> BrokenLink | None:
    """Walk the whole chain and give the first broken link, or None when it holds.

    With ``known_head``, a head kept elsewhere, a tail that was cut off or rewritten is found too.
    """
    previous = Head(seq=0, sha=ROOT_SHA)
    for row in _links(connection):
        if row.seq != previous.seq + 1:
            return BrokenLink(seq=previous.seq + 1, reason="missing")
        if row.prev_sha != previous.sha or row.sha != _sha_of(row):
            return BrokenLink(seq=row.seq, reason="changed")
        previous = Head(seq=row.seq, sha=row.sha)
        if known_head is not None and row.seq == known_head.seq and row.sha != known_head.sha:
            return BrokenLink(seq=row.seq, reason="changed")
    if known_head is not None and previous.seq < known_head.seq:
        return BrokenLink(seq=previous.seq + 1, reason="cut")
    return None


def _wait_for_turn(connection: Connection) -> None:
    """SQLite has one writer anyhow; on PostgreSQL appenders queue until the other has committed."""
    if connection.dialect.name == "postgresql":
        connection.execute(select(func.pg_advisory_xact_lock(_CHAIN_LOCK)))


def _links(connection: Connection) -> Iterator[Row[Any]]:
    """Read the chain in pages, so that its length does not matter to memory."""
    after = -(2**63)
    ordered = select(chain).order_by(chain.c.seq).limit(_PAGE)
    while page := connection.execute(ordered.where(chain.c.seq > after)).all():
        yield from page
        after = page[-1].seq


def _sha_of(row: Row[Any]) -> str:
    return _link_sha(row.prev_sha, row.seq, row.subject, row.subject_id, row.content_sha)


def _link_sha(prev_sha: str, seq: int, subject: str, subject_id: int, content_sha: str) -> str:
    return canonical.content_sha([prev_sha, seq, subject, subject_id, content_sha])
