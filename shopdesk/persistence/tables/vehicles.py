"""Vehicles, who keeps them, how they are driven, and what their odometers showed."""

from sqlalchemy import Boolean, CheckConstraint, Column, Date, ForeignKey, Index, Table, UniqueConstraint

from shopdesk.persistence.tables.base import fact, key, long_text, metadata, version
from shopdesk.persistence.types import Id, Short, SortText, UtcStamp

vehicle = Table(
    "vehicle",
    metadata,
    key(),
    Column("vin", Short(30), nullable=False, server_default=""),
    *long_text("vin_note", 500),
    Column("plate", Short(30), nullable=False, server_default=""),
    Column("plate_key", SortText(30), nullable=False, server_default=""),
    Column("plate_place", Short(40), nullable=False, server_default=""),
    Column("make_text", Short(60), nullable=False, server_default=""),
    Column("model_text", Short(120), nullable=False, server_default=""),
    Column("year", Id),
    Column("odometer_unit", Short(2), nullable=False),
    *long_text("note", 4000),
    *long_text("warning", 500),  # "drain thread repaired"
    Column("created_utc", UtcStamp, nullable=False),
    version(),
    CheckConstraint("odometer_unit IN ('mi', 'km')", name="odometer_unit"),
)
Index("ix_vehicle_plate_key_id", vehicle.c.plate_key, vehicle.c.id)
Index("ix_vehicle_vin", vehicle.c.vin)

ownership = Table(
    "ownership",
    metadata,
    key(),
    Column("vehicle_id", Id, ForeignKey("vehicle.id"), nullable=False, index=True),
    Column("customer_id", Id, ForeignKey("customer.id"), nullable=False, index=True),
    Column("from_on", Date, nullable=False),
    Column("to_on", Date),
)

duty_answer = Table(
    "duty_answer",
    metadata,
    key(),
    *fact(),
    Column("vehicle_id", Id, ForeignKey("vehicle.id"), nullable=False, index=True),
    Column("question", Short(40), nullable=False),
    Column("answer", Boolean, nullable=False),
)

#: One stay of one odometer instrument; a replaced instrument starts the next.
odometer_segment = Table(
    "odometer_segment",
    metadata,
    key(),
    Column("vehicle_id", Id, ForeignKey("vehicle.id"), nullable=False, index=True),
    Column("number", Id, nullable=False),
    Column("started_on", Date, nullable=False),
    Column("base_tenths", Id, nullable=False),  # run before this instrument, less its start
    *long_text("reason", 500),
    UniqueConstraint("vehicle_id", "number"),
)

odometer_reading = Table(
    "odometer_reading",
    metadata,
    key(),
    *fact(),
    Column("segment_id", Id, ForeignKey("odometer_segment.id"), nullable=False, index=True),
    Column("vehicle_id", Id, ForeignKey("vehicle.id"), nullable=False, index=True),
    Column("on_date", Date, nullable=False),
    Column("value_tenths", Id, nullable=False),
    Column("typed", Short(60), nullable=False),
    Column("source", Short(20), nullable=False),  # read, stated, unreadable
    Column("doubt", Short(40), nullable=False, server_default=""),
    *long_text("reason", 500),
    Column("actual", Boolean, nullable=False),  # false: "not actual distance", next due by time only
    Column("corrects_id", Id, ForeignKey("odometer_reading.id")),
    CheckConstraint("value_tenths >= 0", name="value_not_negative"),
)
