"""The shelf beyond the ledger: cards of items and containers, matches, draws, reservations, kits, counts."""

from sqlalchemy import (
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    Table,
    UniqueConstraint,
)

from shopdesk.persistence.tables.base import fact, key, long_text, metadata, version
from shopdesk.persistence.types import Id, Short, UtcStamp

#: What an item's row has no column for: size of a washer, hazards, ordering, billing, core charge.
item_card = Table(
    "item_card",
    metadata,
    Column("item_id", Id, ForeignKey("item.id"), primary_key=True, autoincrement=False),
    Column("part_kind", Short(20), nullable=False, server_default=""),  # washer, filter, gasket, sealant
    Column("inner_um", Id),
    Column("outer_um", Id),
    Column("thickness_um", Id),
    Column("material", Short(60), nullable=False, server_default=""),
    Column("signal_word", Short(20), nullable=False, server_default=""),
    *long_text("hazard_text", 2000),
    Column("pictograms", Short(80), nullable=False, server_default=""),  # GHS codes with a space between
    Column("emergency_phone", Short(60), nullable=False, server_default=""),
    Column("sds_sha", Short(64), ForeignKey("stored_file.sha")),
    Column("sds_name", Short(200), nullable=False, server_default=""),
    Column("sds_on", Date),  # the sheet's own date
    Column("opened_days", Id),  # how long it is good once opened
    Column("lead_days", Id),
    Column("supplier_id", Id, ForeignKey("supplier.id")),
    Column("supplier_code", Short(60), nullable=False, server_default=""),
    Column("core_minor", Id, nullable=False, server_default="0"),  # for one piece, back on its return
    Column("billing_rule", Short(40), nullable=False, server_default=""),  # empty: the shop's
    version(),
    CheckConstraint("core_minor >= 0", name="core_not_negative"),
)

customer_fluid_rule = Table(
    "customer_fluid_rule",
    metadata,
    Column("customer_id", Id, ForeignKey("customer.id"), primary_key=True, autoincrement=False),
    Column("rule", Short(40), nullable=False),
    *long_text("said_text", 1000),
    version(),
)

#: On what ground a fluid was chosen for a record; the last one of a record stands.
fluid_match = Table(
    "fluid_match",
    metadata,
    key(),
    *fact(),
    Column("record_id", Id, ForeignKey("service_record.id"), nullable=False, index=True),
    Column("item_id", Id, ForeignKey("item.id"), nullable=False),
    Column("specification_id", Id, ForeignKey("specification.id")),
    Column("verdict", Short(40), nullable=False),
    Column("basis", Short(40), nullable=False, server_default=""),
    Column("licence_no", Short(60), nullable=False, server_default=""),
    Column("rule", Short(40), nullable=False),
    Column("rule_of", Short(40), nullable=False),
    *long_text("reason", 1000),
    Column("entry_id", Id, ForeignKey("service_entry.id")),  # the deviation it shows as
)

container_card = Table(
    "container_card",
    metadata,
    Column("container_id", Id, ForeignKey("container.id"), primary_key=True, autoincrement=False),
    Column("pieces", Id, nullable=False, server_default="1"),  # bottles of one lot kept as one row
    Column("shell", Id),  # what one of them can hold at most, in the item's base unit
    Column("tare_mg", Id),
    Column("delivery_line_id", Id, ForeignKey("delivery_line.id"), index=True),
    version(),
    CheckConstraint("pieces > 0", name="pieces_positive"),
)

container_event = Table(
    "container_event",
    metadata,
    key(),
    *fact(),
    Column("container_id", Id, ForeignKey("container.id"), nullable=False, index=True),
    Column("kind", Short(20), nullable=False),  # opened, quarantined, released, calibrated, gone
    Column("on_date", Date, nullable=False),
    *long_text("reason", 500),
)

#: From which containers a record's fluid came; all rows of the last group of a record stand.
record_draw = Table(
    "record_draw",
    metadata,
    key(),
    *fact(),
    Column("record_id", Id, ForeignKey("service_record.id"), nullable=False, index=True),
    Column("group_uid", Short(36), nullable=False),
    Column("position", Id, nullable=False),
    Column("container_id", Id, ForeignKey("container.id"), nullable=False),
    Column("before_quantity", Id),
    Column("after_quantity", Id),
    Column("quantity", Id, nullable=False),
    Column("half_width", Id, nullable=False, server_default="0"),
    Column("typed", Short(200), nullable=False, server_default=""),
    CheckConstraint("quantity >= 0", name="quantity_not_negative"),
)

reservation = Table(
    "reservation",
    metadata,
    key(),
    Column("work_order_id", Id, ForeignKey("work_order.id"), nullable=False),
    Column("item_id", Id, ForeignKey("item.id"), nullable=False, index=True),
    Column("quantity", Id, nullable=False),
    *long_text("anyway_reason", 500),  # why more was reserved than the shelf held
    Column("made_utc", UtcStamp, nullable=False),
    Column("person_id", Id, ForeignKey("person.id"), nullable=False),
    version(),
    UniqueConstraint("work_order_id", "item_id"),
    CheckConstraint("quantity > 0", name="quantity_positive"),
)

#: A kit is an item that is sold as one line and leaves the shelf as its parts.
kit_part = Table(
    "kit_part",
    metadata,
    key(),
    Column("kit_item_id", Id, ForeignKey("item.id"), nullable=False),
    Column("position", Id, nullable=False),
    Column("item_id", Id, ForeignKey("item.id"), nullable=False),
    Column("quantity", Id, nullable=False),
    UniqueConstraint("kit_item_id", "item_id"),
    CheckConstraint("quantity > 0", name="quantity_positive"),
    CheckConstraint("kit_item_id <> item_id", name="not_itself"),
)

count_sheet = Table(
    "count_sheet",
    metadata,
    key(),
    Column("uid", Short(36), nullable=False, unique=True),
    Column("number", Id, nullable=False, unique=True),
    Column("opened_utc", UtcStamp, nullable=False),
    Column("opened_by", Id, ForeignKey("person.id"), nullable=False),
    *long_text("note", 1000),
    Column("closed_utc", UtcStamp),
    version(),
)

#: One counted container or item: what was read, what follows, what the ledger said at that moment.
count_line = Table(
    "count_line",
    metadata,
    key(),
    *fact(),
    Column("sheet_id", Id, ForeignKey("count_sheet.id"), index=True),
    Column("item_id", Id, ForeignKey("item.id"), nullable=False, index=True),
    Column("container_id", Id, ForeignKey("container.id")),
    Column("method", Short(40), nullable=False),
    *long_text("reading_text", 1000),  # canonical JSON of what was typed
    Column("temp_mc", Id),
    Column("expected", Id, nullable=False),
    Column("counted", Id, nullable=False),
    Column("half_width", Id, nullable=False),
    Column("allowance", Id, nullable=False),  # how much of a difference may be expansion
    Column("group_uid", Short(36), nullable=False),  # of the moves that book the difference
    Column("on_date", Date, nullable=False),
    *long_text("reason", 500),
    CheckConstraint("counted >= 0", name="counted_not_negative"),
    CheckConstraint("half_width >= 0 AND allowance >= 0", name="widths_not_negative"),
)
