"""Customers, how to reach them, and what they agreed to be told."""

from sqlalchemy import Boolean, Column, Date, ForeignKey, Index, Table, UniqueConstraint

from shopdesk.persistence.tables.base import fact, key, long_text, metadata, version
from shopdesk.persistence.types import Id, Short, SortText, UtcStamp

customer = Table(
    "customer",
    metadata,
    key(),
    Column("kind", Short(20), nullable=False),
    Column("name", Short(200), nullable=False),
    Column("sort_key", SortText(200), nullable=False),
    Column("language", Short(20), nullable=False, server_default=""),
    *long_text("note", 4000),
    *long_text("warning", 500),  # shown at take-in and on the job sheet: "call before 5"
    Column("tax_exempt_no", Short(60), nullable=False, server_default=""),
    Column("exempt_until", Date),
    Column("erased_at", UtcStamp),
    Column("created_utc", UtcStamp, nullable=False),
    version(),
)
Index("ix_customer_sort_key_id", customer.c.sort_key, customer.c.id)

contact = Table(
    "contact",
    metadata,
    key(),
    Column("customer_id", Id, ForeignKey("customer.id"), nullable=False, index=True),
    Column("kind", Short(20), nullable=False),  # phone, email
    Column("typed", Short(200), nullable=False),
    Column("normal", Short(200), nullable=False),  # E.164, or the address in lower case
    Column("position", Id, nullable=False),
    UniqueConstraint("customer_id", "kind", "position"),
)

address = Table(
    "address",
    metadata,
    key(),
    Column("customer_id", Id, ForeignKey("customer.id"), nullable=False, index=True),
    Column("position", Id, nullable=False),
    *long_text("lines", 1000),
)

contact_consent = Table(
    "contact_consent",
    metadata,
    key(),
    *fact(),
    Column("customer_id", Id, ForeignKey("customer.id"), nullable=False, index=True),
    Column("channel", Short(20), nullable=False),
    Column("given", Boolean, nullable=False),
    *long_text("said_text", 1000),
)
