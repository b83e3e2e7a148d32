"""Taxes, number series, invoices, payments, issued papers; and the index that finds things."""

from sqlalchemy import (
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    Index,
    LargeBinary,
    Table,
    UniqueConstraint,
)

from shopdesk.persistence.tables.base import fact, key, long_text, metadata
from shopdesk.persistence.types import Id, Short, SortText

tax_class = Table(
    "tax_class",
    metadata,
    key(),
    Column("name", Short(60), nullable=False, unique=True),
)

tax_rate = Table(
    "tax_rate",
    metadata,
    key(),
    Column("class_id", Id, ForeignKey("tax_class.id"), nullable=False),
    Column("place", Short(80), nullable=False),
    Column("customer_kind", Short(20), nullable=False, server_default=""),  # empty: every kind
    Column("name", Short(60), nullable=False),
    Column("rate_ppm", Id, nullable=False),
    Column("from_on", Date, nullable=False),
    Column("to_on", Date),
    Column("citation", Short(300), nullable=False, server_default=""),
    CheckConstraint("rate_ppm >= 0 AND rate_ppm <= 1000000", name="rate_in_range"),
)

number_series = Table(
    "number_series",
    metadata,
    Column("name", Short(40), primary_key=True),
    Column("next_number", Id, nullable=False),
)

invoice = Table(
    "invoice",
    metadata,
    key(),
    *fact(),
    Column("kind", Short(20), nullable=False),  # invoice, credit
    Column("series", Short(40), nullable=False),
    Column("number", Id, nullable=False),
    Column("work_order_id", Id, ForeignKey("work_order.id"), nullable=False, index=True),
    Column("customer_id", Id, ForeignKey("customer.id"), nullable=False, index=True),
    Column("issued_on", Date, nullable=False),
    Column("net_minor", Id, nullable=False),
    Column("tax_minor", Id, nullable=False),
    Column("total_minor", Id, nullable=False),
    Column("currency", Short(3), nullable=False),
    Column("credits_id", Id, ForeignKey("invoice.id")),
    *long_text("snapshot", 1_000_000),
    Column("sha", Short(64), nullable=False),
    UniqueConstraint("series", "number"),
    CheckConstraint("total_minor = net_minor + tax_minor", name="adds_up"),
)

invoice_line = Table(
    "invoice_line",
    metadata,
    key(),
    Column("invoice_id", Id, ForeignKey("invoice.id"), nullable=False, index=True),
    Column("position", Id, nullable=False),
    Column("kind", Short(20), nullable=False),
    *long_text("text", 4000),
    Column("quantity_milli", Id, nullable=False),
    Column("quantity_unit", Short(20), nullable=False),
    Column("unit_price_minor", Id, nullable=False),
    Column("net_minor", Id, nullable=False),
    Column("tax_minor", Id, nullable=False),
    Column("rate_text", Short(200), nullable=False),
    Column("cost_minor", Id),
    UniqueConstraint("invoice_id", "position"),
)

invoice_void = Table(
    "invoice_void",
    metadata,
    key(),
    *fact(),
    Column("invoice_id", Id, ForeignKey("invoice.id"), nullable=False, unique=True),
    *long_text("reason", 1000),
)

payment = Table(
    "payment",
    metadata,
    key(),
    *fact(),
    Column("kind", Short(20), nullable=False),  # payment, deposit, refund
    Column("tender", Short(20), nullable=False),
    Column("amount_minor", Id, nullable=False),
    Column("currency", Short(3), nullable=False),
    Column("customer_id", Id, ForeignKey("customer.id"), nullable=False, index=True),
    Column("on_date", Date, nullable=False),
    Column("note", Short(200), nullable=False, server_default=""),
    Column("refunds_id", Id, ForeignKey("payment.id")),
    CheckConstraint("amount_minor <> 0", name="amount_not_zero"),
)

payment_part = Table(
    "payment_part",
    metadata,
    key(),
    Column("payment_id", Id, ForeignKey("payment.id"), nullable=False, index=True),
    Column("invoice_id", Id, ForeignKey("invoice.id"), index=True),
    Column("amount_minor", Id, nullable=False),
)

stored_file = Table(
    "stored_file",
    metadata,
    Column("sha", Short(64), primary_key=True),
    Column("media", Short(60), nullable=False),
    Column("bytes", LargeBinary, nullable=False),
)

#: Which paper was made of what; the bytes of issued papers are kept in stored_file under the same hash.
paper = Table(
    "paper",
    metadata,
    key(),
    *fact(),
    Column("kind", Short(40), nullable=False),
    Column("subject", Short(40), nullable=False),
    Column("subject_id", Id, nullable=False),
    Column("name", Short(200), nullable=False),
    Column("sha", Short(64), nullable=False),
    UniqueConstraint("kind", "subject", "subject_id", "sha"),
)
Index("ix_paper_subject_subject_id", paper.c.subject, paper.c.subject_id)

#: What can be found, as it is shown; made again from the rest at any time.
find_doc = Table(
    "find_doc",
    metadata,
    key(),
    Column("kind", Short(20), nullable=False),
    Column("subject_id", Id, nullable=False),
    *long_text("text", 2000),
    Column("shown", Short(300), nullable=False),
    UniqueConstraint("kind", "subject_id"),
)

find_token = Table(
    "find_token",
    metadata,
    Column("pos", Id, primary_key=True, autoincrement=False),  # 0: the token starts its field; 1: a tail
    Column("tok", SortText(60), primary_key=True),
    Column("doc", Id, ForeignKey("find_doc.id"), primary_key=True, autoincrement=False),
    sqlite_with_rowid=False,
)
Index("ix_find_token_doc", find_token.c.doc)
