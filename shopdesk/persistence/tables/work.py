"""Work orders, their lines, estimates and consents."""

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    Index,
    Table,
    UniqueConstraint,
    false,
)

from shopdesk.persistence.tables.base import fact, key, long_text, metadata, version
from shopdesk.persistence.types import Id, Short, UtcStamp

work_order = Table(
    "work_order",
    metadata,
    key(),
    Column("number", Id, nullable=False, unique=True),
    Column("vehicle_id", Id, ForeignKey("vehicle.id"), nullable=False, index=True),
    Column("customer_id", Id, ForeignKey("customer.id"), nullable=False, index=True),  # who pays
    Column("driver_text", Short(200), nullable=False, server_default=""),  # who brought it, when another
    Column("po_number", Short(60), nullable=False, server_default=""),
    Column("stage", Short(20), nullable=False),
    Column("waiting_reason", Short(120), nullable=False, server_default=""),
    Column("odometer_in_id", Id, ForeignKey("odometer_reading.id")),
    *long_text("complaint", 4000),
    *long_text("note", 4000),
    Column("promised_at", UtcStamp),
    Column("bay", Short(40), nullable=False, server_default=""),
    Column("key_tag", Short(40), nullable=False, server_default=""),
    Column("parked_text", Short(80), nullable=False, server_default=""),
    Column("waits_here", Boolean, nullable=False, server_default=false()),
    Column("parts_choice", Short(20), nullable=False, server_default=""),  # return, inspect, discard, core
    Column("wheel_off", Boolean, nullable=False, server_default=false()),
    Column("wheel_torque_mnm", Id),
    Column("wheel_torque_typed", Short(60), nullable=False, server_default=""),
    Column("origin_work_order_id", Id, ForeignKey("work_order.id")),  # a comeback names its job
    *long_text("comeback_cause", 500),
    Column("opened_utc", UtcStamp, nullable=False),
    Column("stage_utc", UtcStamp, nullable=False),
    version(),
)
Index("ix_work_order_stage_id", work_order.c.stage, work_order.c.id)

work_order_line = Table(
    "work_order_line",
    metadata,
    key(),
    Column("work_order_id", Id, ForeignKey("work_order.id"), nullable=False, index=True),
    Column("position", Id, nullable=False),
    Column("unit_id", Id, ForeignKey("unit.id")),
    Column("kind", Short(20), nullable=False),
    *long_text("text", 4000),
    Column("condition", Short(20), nullable=False, server_default=""),  # new, used, rebuilt, reconditioned
    Column("quantity_milli", Id, nullable=False),
    Column("quantity_unit", Short(20), nullable=False, server_default=""),
    Column("unit_price_minor", Id, nullable=False),
    Column("discount_minor", Id, nullable=False, server_default="0"),
    Column("tax_class_id", Id, ForeignKey("tax_class.id"), nullable=False),
    Column("item_id", Id, ForeignKey("item.id")),
    UniqueConstraint("work_order_id", "position"),
    CheckConstraint("quantity_milli > 0", name="quantity_positive"),
    CheckConstraint("discount_minor >= 0", name="discount_not_negative"),
)

estimate = Table(
    "estimate",
    metadata,
    key(),
    *fact(),
    Column("work_order_id", Id, ForeignKey("work_order.id"), nullable=False),
    Column("revision", Id, nullable=False),
    Column("net_minor", Id, nullable=False),
    Column("valid_until", Date),
    *long_text("snapshot", 500_000),
    Column("sha", Short(64), nullable=False),
    UniqueConstraint("work_order_id", "revision"),
)

consent = Table(
    "consent",
    metadata,
    key(),
    *fact(),
    Column("work_order_id", Id, ForeignKey("work_order.id"), nullable=False, index=True),
    Column("estimate_id", Id, ForeignKey("estimate.id"), nullable=False),
    Column("person_text", Short(200), nullable=False),
    Column("relation", Short(60), nullable=False, server_default=""),
    Column("how", Short(20), nullable=False),
    Column("reached_at", Short(200), nullable=False, server_default=""),  # the number or address used
    *long_text("said_text", 4000),
    Column("up_to_minor", Id, nullable=False),  # net, before tax: the basis of the estimate
    Column("given_at", UtcStamp, nullable=False),
    Column("zone", Short(60), nullable=False),
)
