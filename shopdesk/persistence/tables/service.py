"""Service records: what was done and measured on one unit, and when it is next due."""

from sqlalchemy import Boolean, Column, Date, ForeignKey, Index, Table, UniqueConstraint, true

from shopdesk.persistence.tables.base import fact, key, long_text, metadata, version
from shopdesk.persistence.types import Id, Short, UtcStamp

instrument = Table(
    "instrument",
    metadata,
    key(),
    Column("kind", Short(40), nullable=False),
    Column("name", Short(120), nullable=False),
    Column("half_width", Id, nullable=False),  # in the exact unit of what it reads
    Column("half_width_from", Short(40), nullable=False),  # how it was got: tolerance, or half the marks
    Column("calibrated_on", Date),
    Column("due_on", Date),
    Column("active", Boolean, nullable=False, server_default=true()),
    version(),
)

service_record = Table(
    "service_record",
    metadata,
    key(),
    Column("uid", Short(36), nullable=False, unique=True),
    Column("work_order_id", Id, ForeignKey("work_order.id"), nullable=False),
    Column("unit_id", Id, ForeignKey("unit.id"), nullable=False, index=True),
    Column("sheet_revision_id", Id, ForeignKey("sheet_revision.id"), nullable=False),
    Column("service_method", Short(40), nullable=False),
    Column("item_id", Id, ForeignKey("item.id")),  # the fluid put in
    Column("done_on", Date, nullable=False),
    Column("odometer_id", Id, ForeignKey("odometer_reading.id")),
    Column("opened_utc", UtcStamp, nullable=False),
    Column("finished_utc", UtcStamp),
    version(),
    UniqueConstraint("work_order_id", "unit_id"),
)

#: One measured or observed field; corrected by a later entry that names it, never overwritten.
service_entry = Table(
    "service_entry",
    metadata,
    key(),
    *fact(),
    Column("record_id", Id, ForeignKey("service_record.id"), nullable=False, index=True),
    Column("field", Short(60), nullable=False),
    Column("round", Id, nullable=False, server_default="1"),  # the n-th drain-and-fill, or the n-th opening
    Column("value_int", Id),
    Column("value_text", Short(2000)),
    Column("typed", Short(200), nullable=False, server_default=""),
    Column("half_width", Id),
    Column("instrument_id", Id, ForeignKey("instrument.id")),
    Column("temp_mc", Id),
    Column("measured_at", UtcStamp),  # when it was done, if anybody noted it
    Column("corrects_id", Id, ForeignKey("service_entry.id")),
    *long_text("reason", 1000),
)

next_due = Table(
    "next_due",
    metadata,
    Column("unit_id", Id, ForeignKey("unit.id"), primary_key=True),
    Column("service_kind", Short(40), primary_key=True),
    Column("record_id", Id, ForeignKey("service_record.id"), nullable=False),
    Column("odometer_tenths", Id),
    Column("odometer_unit", Short(2), nullable=False),
    Column("by_time_on", Date),
    Column("by_distance_on", Date),
    Column("due_on", Date),
    Column("decided_by", Short(20), nullable=False),
    *long_text("reason_text", 2000),
)
Index("ix_next_due_due_on_unit_id", next_due.c.due_on, next_due.c.unit_id)
