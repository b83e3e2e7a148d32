"""What proves a service beside its entries: pictures, warm-up readings, and the key that signs records."""

from sqlalchemy import Boolean, CheckConstraint, Column, ForeignKey, Index, Table

from shopdesk.persistence.tables.base import fact, key, long_text, metadata
from shopdesk.persistence.types import Id, Short, UtcStamp

#: A picture of a record or a vehicle; a later row that names it takes it back. Its bytes: stored_file.
photo = Table(
    "photo",
    metadata,
    key(),
    *fact(),
    Column("subject", Short(20), nullable=False),  # record, vehicle
    Column("subject_id", Id, nullable=False),
    Column("kind", Short(20), nullable=False),  # fluid, magnet, odometer, other
    Column("sha", Short(64), ForeignKey("stored_file.sha"), nullable=False),
    Column("name", Short(200), nullable=False),  # the file's own name, as text only
    Column("width", Id, nullable=False),
    Column("height", Id, nullable=False),
    Column("note", Short(300), nullable=False, server_default=""),
    Column("withdraws_id", Id, ForeignKey("photo.id"), unique=True),
    *long_text("reason", 500),
)
Index("ix_photo_subject_subject_id", photo.c.subject, photo.c.subject_id)

#: A scan tool's log as it was brought in: thinned, as canonical JSON of [milliseconds, 1/1000 °C] pairs.
warmup_log = Table(
    "warmup_log",
    metadata,
    key(),
    *fact(),
    Column("record_id", Id, ForeignKey("service_record.id"), nullable=False, index=True),
    Column("tool", Short(120), nullable=False, server_default=""),
    Column("name", Short(200), nullable=False),
    Column("sha", Short(64), nullable=False),  # of the file's bytes
    Column("started_at", UtcStamp, nullable=False),  # where the milliseconds count from
    Column("start_known", Boolean, nullable=False),  # false: taken to end when it was brought in
    Column("rows_read", Id, nullable=False),
    *long_text("readings_text", 100_000),
    Column("withdraws_id", Id, ForeignKey("warmup_log.id"), unique=True),
    CheckConstraint("rows_read >= 0", name="rows_read_not_negative"),
)

#: One temperature that was typed or tapped; a later row that names it takes it back.
warmup_reading = Table(
    "warmup_reading",
    metadata,
    key(),
    *fact(),
    Column("record_id", Id, ForeignKey("service_record.id"), nullable=False, index=True),
    Column("read_at", UtcStamp, nullable=False),
    Column("temp_mc", Id, nullable=False),
    Column("source", Short(20), nullable=False),  # typed, tapped
    Column("withdraws_id", Id, ForeignKey("warmup_reading.id"), unique=True),
)

#: The shop's Ed25519 keys in hexadecimal (RFC 8032); the newest signs. The private half leaves the
#: database only inside its backups.
signing_key = Table(
    "signing_key",
    metadata,
    key(),
    *fact(),
    Column("public_hex", Short(64), nullable=False, unique=True),
    Column("private_hex", Short(64), nullable=False),
)
