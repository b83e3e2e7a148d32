"""What was asked, in which order, and what is not finished: requests, audit chain, change marks, drafts."""

from sqlalchemy import Column, ForeignKey, Table

from shopdesk.persistence.tables.base import long_text, metadata, version
from shopdesk.persistence.types import Id, Short, UtcStamp

#: Every command that was carried out, by its sender's id: the same id and content again changes nothing.
request = Table(
    "request",
    metadata,
    Column("uid", Short(36), primary_key=True),
    Column("verb", Short(60), nullable=False),
    Column("content_sha", Short(64), nullable=False),
    *long_text("result_text", 200_000),
    Column("at_utc", UtcStamp, nullable=False),
    Column("person_id", Id, ForeignKey("person.id"), nullable=False),
    Column("station_id", Id, ForeignKey("station.id"), nullable=False),
)

chain = Table(
    "chain",
    metadata,
    Column("seq", Id, primary_key=True, autoincrement=False),
    Column("subject", Short(40), nullable=False),
    Column("subject_id", Id, nullable=False),
    Column("content_sha", Short(64), nullable=False),
    Column("prev_sha", Short(64), nullable=False),
    Column("sha", Short(64), nullable=False, unique=True),
)

change_mark = Table(
    "change_mark",
    metadata,
    Column("topic", Short(40), primary_key=True),
    Column("n", Id, nullable=False, server_default="0"),
)

draft = Table(
    "draft",
    metadata,
    Column("form", Short(60), primary_key=True),
    Column("subject", Short(60), primary_key=True),
    Column("station_id", Id, ForeignKey("station.id"), primary_key=True),
    *long_text("body", 200_000),
    Column("saved_at", UtcStamp, nullable=False),
    version(),
)
