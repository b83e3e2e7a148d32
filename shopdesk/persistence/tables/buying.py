"""Suppliers, orders in whole packages, what came of them, what was billed, and core charges."""

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    Table,
    UniqueConstraint,
    true,
)

from shopdesk.persistence.tables.base import fact, key, long_text, metadata, version
from shopdesk.persistence.types import Id, Short, SortText, UtcStamp

supplier = Table(
    "supplier",
    metadata,
    key(),
    Column("name", Short(200), nullable=False),
    Column("sort_key", SortText(200), nullable=False, unique=True),
    *long_text("address", 1000),
    Column("phone", Short(60), nullable=False, server_default=""),
    Column("email", Short(200), nullable=False, server_default=""),
    Column("account_no", Short(60), nullable=False, server_default=""),
    Column("lead_days", Id),
    *long_text("note", 2000),
    Column("active", Boolean, nullable=False, server_default=true()),
    version(),
)

purchase_order = Table(
    "purchase_order",
    metadata,
    key(),
    Column("number", Id, nullable=False, unique=True),
    Column("supplier_id", Id, ForeignKey("supplier.id"), nullable=False, index=True),
    Column("state", Short(20), nullable=False),  # draft, ordered, closed, cancelled
    Column("ordered_on", Date),
    Column("expected_on", Date),
    *long_text("note", 2000),
    Column("made_utc", UtcStamp, nullable=False),
    Column("person_id", Id, ForeignKey("person.id"), nullable=False),
    version(),
)

purchase_line = Table(
    "purchase_line",
    metadata,
    key(),
    Column("order_id", Id, ForeignKey("purchase_order.id"), nullable=False),
    Column("position", Id, nullable=False),
    Column("item_id", Id, ForeignKey("item.id"), nullable=False, index=True),
    Column("packages", Id, nullable=False),
    Column("package_quantity", Id, nullable=False),  # as it was when ordered, in the item's base unit
    Column("package_text", Short(60), nullable=False),
    Column("price_minor", Id, nullable=False),  # of one package
    Column("supplier_code", Short(60), nullable=False, server_default=""),
    Column("work_order_id", Id, ForeignKey("work_order.id"), index=True),  # a special order for this job
    UniqueConstraint("order_id", "position"),
    CheckConstraint("packages > 0", name="packages_positive"),
    CheckConstraint("package_quantity > 0", name="package_positive"),
    CheckConstraint("price_minor >= 0", name="price_not_negative"),
)

delivery = Table(
    "delivery",
    metadata,
    key(),
    *fact(),
    Column("supplier_id", Id, ForeignKey("supplier.id"), nullable=False),
    Column("order_id", Id, ForeignKey("purchase_order.id"), index=True),
    Column("document_no", Short(80), nullable=False),
    Column("on_date", Date, nullable=False),
    Column("freight_minor", Id, nullable=False),
    Column("freight_by", Short(20), nullable=False),
    UniqueConstraint("supplier_id", "document_no"),
    CheckConstraint("freight_minor >= 0", name="freight_not_negative"),
)

delivery_line = Table(
    "delivery_line",
    metadata,
    key(),
    Column("delivery_id", Id, ForeignKey("delivery.id"), nullable=False),
    Column("position", Id, nullable=False),
    Column("purchase_line_id", Id, ForeignKey("purchase_line.id"), index=True),
    Column("item_id", Id, ForeignKey("item.id"), nullable=False, index=True),
    Column("condition", Short(20), nullable=False),  # as ordered, substituted, not ordered
    Column("quantity", Id, nullable=False),  # accepted onto the shelf, in the item's base unit
    Column("damaged", Id, nullable=False),  # came damaged and was not accepted
    Column("goods_minor", Id, nullable=False),
    Column("freight_minor", Id, nullable=False),
    Column("core_minor", Id, nullable=False),
    Column("lot", Short(60), nullable=False, server_default=""),
    Column("best_before", Date),
    *long_text("note", 500),
    Column("group_uid", Short(36), nullable=False),  # of the moves that put it on the shelf
    UniqueConstraint("delivery_id", "position"),
    CheckConstraint("quantity >= 0 AND damaged >= 0", name="quantities_not_negative"),
    CheckConstraint(
        "goods_minor >= 0 AND freight_minor >= 0 AND core_minor >= 0", name="amounts_not_negative"
    ),
)

supplier_bill = Table(
    "supplier_bill",
    metadata,
    key(),
    *fact(),
    Column("supplier_id", Id, ForeignKey("supplier.id"), nullable=False),
    Column("bill_no", Short(80), nullable=False),
    Column("billed_on", Date, nullable=False),
    Column("freight_minor", Id, nullable=False),
    Column("tax_minor", Id, nullable=False),
    Column("billed_minor", Id, nullable=False),
    *long_text("note", 1000),
    UniqueConstraint("supplier_id", "bill_no"),
)

bill_line = Table(
    "bill_line",
    metadata,
    key(),
    Column("bill_id", Id, ForeignKey("supplier_bill.id"), nullable=False),
    Column("position", Id, nullable=False),
    Column("delivery_line_id", Id, ForeignKey("delivery_line.id"), nullable=False, index=True),
    Column("quantity", Id, nullable=False),
    Column("amount_minor", Id, nullable=False),
    Column("core_minor", Id, nullable=False, server_default="0"),
    UniqueConstraint("bill_id", "position"),
)

#: Core charges: paid with a delivery (+), back when the old part went to the supplier (-).
core_move = Table(
    "core_move",
    metadata,
    key(),
    *fact(),
    Column("supplier_id", Id, ForeignKey("supplier.id"), nullable=False),
    Column("item_id", Id, ForeignKey("item.id"), nullable=False, index=True),
    Column("delivery_line_id", Id, ForeignKey("delivery_line.id")),
    Column("kind", Short(20), nullable=False),  # charged, returned
    Column("quantity", Id, nullable=False),
    Column("amount_minor", Id, nullable=False),
    Column("on_date", Date, nullable=False),
    Column("document_no", Short(80), nullable=False, server_default=""),
    *long_text("reason", 500),
    CheckConstraint("quantity <> 0", name="quantity_not_zero"),
)
