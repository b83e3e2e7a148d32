"""Used oil: its vessels, what goes in and out of them; and the dated figures the shop chose to follow."""

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    Index,
    Table,
    true,
)

from shopdesk.persistence.tables.base import fact, key, long_text, metadata, version
from shopdesk.persistence.types import Id, Short, SortText

oil_vessel = Table(
    "oil_vessel",
    metadata,
    key(),
    Column("name", Short(120), nullable=False),
    Column("sort_key", SortText(120), nullable=False, unique=True),
    Column("capacity_ul", Id, nullable=False),
    Column("shape_text", Short(500), nullable=False, server_default=""),  # canonical JSON for the dip stick
    Column("place_text", Short(120), nullable=False, server_default=""),
    Column("active", Boolean, nullable=False, server_default=true()),
    version(),
    CheckConstraint("capacity_ul > 0", name="capacity_positive"),
)

#: In (+) from jobs or by hand, out (-) by hauls, and what a count set right.
oil_move = Table(
    "oil_move",
    metadata,
    key(),
    *fact(),
    Column("vessel_id", Id, ForeignKey("oil_vessel.id"), nullable=False),
    Column("kind", Short(20), nullable=False),  # job, by hand, haul, count
    Column("quantity_ul", Id, nullable=False),
    Column("counted_ul", Id),  # what a count found
    Column("half_width_ul", Id),
    Column("work_order_id", Id, ForeignKey("work_order.id"), index=True),
    Column("record_id", Id, ForeignKey("service_record.id"), index=True),
    Column("on_date", Date, nullable=False),
    Column("carrier", Short(200), nullable=False, server_default=""),
    Column("carrier_id", Short(60), nullable=False, server_default=""),
    Column("destination", Short(200), nullable=False, server_default=""),
    Column("own_vehicle", Boolean),
    Column("document_no", Short(80), nullable=False, server_default=""),
    *long_text("reason", 500),
)
Index("ix_oil_move_vessel_id_id", oil_move.c.vessel_id, oil_move.c.id)

#: A figure of a rule of law, from the day the shop chose to follow it.
chosen_rule = Table(
    "chosen_rule",
    metadata,
    key(),
    Column("rule", Short(80), nullable=False, index=True),
    Column("place", Short(80), nullable=False),
    Column("value_ul", Id, nullable=False),
    Column("from_on", Date, nullable=False),
    Column("to_on", Date),
    Column("citation", Short(300), nullable=False),
    Column("checked_by", Short(120), nullable=False, server_default=""),
    Column("checked_on", Date),
    version(),
    CheckConstraint("value_ul > 0", name="value_positive"),
)
