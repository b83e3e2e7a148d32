"""Items, what they claim to meet, the containers that hold them, and every move."""

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    Index,
    Table,
    UniqueConstraint,
    true,
)

from shopdesk.persistence.tables.base import fact, key, long_text, metadata, version
from shopdesk.persistence.types import Id, Short, SortText

item = Table(
    "item",
    metadata,
    key(),
    Column("kind", Short(20), nullable=False),  # fluid, part, vessel
    Column("name", Short(200), nullable=False),
    Column("sort_key", SortText(200), nullable=False, unique=True),
    Column("maker_text", Short(120), nullable=False, server_default=""),
    Column("part_number", Short(80), nullable=False, server_default=""),
    Column("base", Short(20), nullable=False),  # ul, or milli_each
    Column("density_kg_m3", Id),  # at 15 degrees Celsius
    Column("package_quantity", Id, nullable=False),  # one package, in the base unit
    Column("package_text", Short(60), nullable=False),
    Column("sale_unit", Short(20), nullable=False),  # the unit the price is for: qt, l, each
    Column("price_minor", Id, nullable=False),
    Column("tax_class_id", Id, ForeignKey("tax_class.id"), nullable=False),
    Column("order_at", Id),  # the owner's order mark, in the base unit
    Column("fill_to", Id),
    Column("active", Boolean, nullable=False, server_default=true()),
    version(),
    CheckConstraint("package_quantity > 0", name="package_positive"),
    CheckConstraint("price_minor >= 0", name="price_not_negative"),
)

item_claim = Table(
    "item_claim",
    metadata,
    key(),
    Column("item_id", Id, ForeignKey("item.id"), nullable=False, index=True),
    Column("specification_id", Id, ForeignKey("specification.id"), nullable=False, index=True),
    Column("basis", Short(40), nullable=False),
    Column("licence_no", Short(60), nullable=False, server_default=""),
    UniqueConstraint("item_id", "specification_id"),
)

container = Table(
    "container",
    metadata,
    key(),
    Column("item_id", Id, ForeignKey("item.id"), nullable=False, index=True),
    Column("label", Short(60), nullable=False),
    Column("lot", Short(60), nullable=False, server_default=""),
    Column("capacity", Id),
    Column("shape_text", Short(500), nullable=False, server_default=""),
    Column("received_on", Date, nullable=False),
    Column("opened_on", Date),
    Column("best_before", Date),
    Column("state", Short(20), nullable=False),  # in use, empty, quarantine
    version(),
)

#: The ledger. One row per move and FIFO layer; quantity and cost are signed (in +, out -).
stock_move = Table(
    "stock_move",
    metadata,
    key(),
    *fact(),
    Column("group_uid", Short(36), nullable=False, index=True),
    Column("item_id", Id, ForeignKey("item.id"), nullable=False),
    Column("container_id", Id, ForeignKey("container.id")),
    Column("kind", Short(20), nullable=False),
    Column("quantity", Id, nullable=False),
    Column("cost_minor", Id, nullable=False),
    Column("layer_move_id", Id, ForeignKey("stock_move.id")),  # whose cost leaves; none: more than was held
    Column("work_order_id", Id, ForeignKey("work_order.id"), index=True),
    Column("record_id", Id, ForeignKey("service_record.id")),
    Column("on_date", Date, nullable=False),
    Column("document_no", Short(80), nullable=False, server_default=""),
    *long_text("reason", 500),
    Column("corrects_id", Id, ForeignKey("stock_move.id")),
    CheckConstraint("quantity <> 0", name="quantity_not_zero"),
)
Index("ix_stock_move_item_id_id", stock_move.c.item_id, stock_move.c.id)
Index("ix_stock_move_layer_move_id", stock_move.c.layer_move_id)
Index("ix_stock_move_container_id", stock_move.c.container_id)
