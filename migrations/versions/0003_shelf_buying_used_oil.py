"""The shelf beyond the ledger, buying, used oil and chosen figures; and the guards over what is only added.

Revision: 0003
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
STAMP = sa.DateTime(timezone=True).with_variant(sa.String(32), "sqlite")

# Guarded tables, each with the keys by which an INSERT OR REPLACE could hit an old row.
GUARDED = {
    "fluid_match": (("id",), ("uid",)),
    "container_event": (("id",), ("uid",)),
    "record_draw": (("id",), ("uid",)),
    "count_line": (("id",), ("uid",)),
    "delivery": (("id",), ("supplier_id", "document_no"), ("uid",)),
    "delivery_line": (("delivery_id", "position"), ("id",)),
    "supplier_bill": (("id",), ("supplier_id", "bill_no"), ("uid",)),
    "bill_line": (("bill_id", "position"), ("id",)),
    "core_move": (("id",), ("uid",)),
    "oil_move": (("id",), ("uid",)),
}


def upgrade() -> None:
    make_orders()
    make_cards()
    make_matches_and_draws()
    make_counts()
    make_deliveries()
    make_bills_and_cores()
    make_used_oil()
    guard = guard_on_sqlite if op.get_bind().dialect.name == "sqlite" else guard_on_postgresql
    guard()


def key() -> sa.Column[int]:
    return sa.Column("id", ID, primary_key=True, autoincrement=True)


def version() -> sa.Column[int]:
    return sa.Column("version", ID, nullable=False, server_default="1")


def short(
    name: str, most: int, *references: sa.ForeignKey, nullable: bool = False, **options: bool | str
) -> tuple[sa.Column[str], sa.CheckConstraint]:
    column = sa.Column(name, sa.String(most), *references, nullable=nullable, **options)
    return column, sa.CheckConstraint(f"length({name}) <= {most}", name=f"{name}_length")


def sort_key(name: str, most: int, **options: bool | str) -> tuple[sa.Column[str], sa.CheckConstraint]:
    by_code_point = sa.String(most).with_variant(sa.String(most, collation="C"), "postgresql")
    column = sa.Column(name, by_code_point, nullable=False, **options)
    return column, sa.CheckConstraint(f"length({name}) <= {most}", name=f"{name}_length")


def long_text(name: str, most: int) -> tuple[sa.Column[str], sa.CheckConstraint]:
    column = sa.Column(name, sa.Text, nullable=False, server_default="")
    return column, sa.CheckConstraint(f"length({name}) <= {most}", name=f"{name}_length")


def fact() -> tuple[sa.schema.SchemaItem, ...]:
    return (
        *short("uid", 36, unique=True),
        sa.Column("at_utc", STAMP, nullable=False),
        sa.Column("person_id", ID, sa.ForeignKey("person.id"), nullable=False),
        sa.Column("station_id", ID, sa.ForeignKey("station.id"), nullable=False),
    )


def make_orders() -> None:
    op.create_table(
        "supplier",
        key(),
        *short("name", 200),
        *sort_key("sort_key", 200, unique=True),
        *long_text("address", 1_000),
        *short("phone", 60, server_default=""),
        *short("email", 200, server_default=""),
        *short("account_no", 60, server_default=""),
        sa.Column("lead_days", ID),
        *long_text("note", 2_000),
        sa.Column("active", sa.Boolean, nullable=False, server_default=sa.true()),
        version(),
    )
    op.create_table(
        "purchase_order",
        key(),
        sa.Column("number", ID, nullable=False, unique=True),
        sa.Column("supplier_id", ID, sa.ForeignKey("supplier.id"), nullable=False, index=True),
        *short("state", 20),
        sa.Column("ordered_on", sa.Date),
        sa.Column("expected_on", sa.Date),
        *long_text("note", 2_000),
        sa.Column("made_utc", STAMP, nullable=False),
        sa.Column("person_id", ID, sa.ForeignKey("person.id"), nullable=False),
        version(),
    )
    op.create_table(
        "purchase_line",
        key(),
        sa.Column("order_id", ID, sa.ForeignKey("purchase_order.id"), nullable=False),
        sa.Column("position", ID, nullable=False),
        sa.Column("item_id", ID, sa.ForeignKey("item.id"), nullable=False, index=True),
        sa.Column("packages", ID, nullable=False),
        sa.Column("package_quantity", ID, nullable=False),
        *short("package_text", 60),
        sa.Column("price_minor", ID, nullable=False),
        *short("supplier_code", 60, server_default=""),
        sa.Column("work_order_id", ID, sa.ForeignKey("work_order.id"), index=True),
        sa.UniqueConstraint("order_id", "position"),
        sa.CheckConstraint("packages > 0", name="packages_positive"),
        sa.CheckConstraint("package_quantity > 0", name="package_positive"),
        sa.CheckConstraint("price_minor >= 0", name="price_not_negative"),
    )


def make_cards() -> None:
    op.create_table(
        "item_card",
        sa.Column("item_id", ID, sa.ForeignKey("item.id"), primary_key=True, autoincrement=False),
        *short("part_kind", 20, server_default=""),
        sa.Column("inner_um", ID),
        sa.Column("outer_um", ID),
        sa.Column("thickness_um", ID),
        *short("material", 60, server_default=""),
        *short("signal_word", 20, server_default=""),
        *long_text("hazard_text", 2_000),
        *short("pictograms", 80, server_default=""),
        *short("emergency_phone", 60, server_default=""),
        *short("sds_sha", 64, sa.ForeignKey("stored_file.sha"), nullable=True),
        *short("sds_name", 200, server_default=""),
        sa.Column("sds_on", sa.Date),
        sa.Column("opened_days", ID),
        sa.Column("lead_days", ID),
        sa.Column("supplier_id", ID, sa.ForeignKey("supplier.id")),
        *short("supplier_code", 60, server_default=""),
        sa.Column("core_minor", ID, nullable=False, server_default="0"),
        *short("billing_rule", 40, server_default=""),
        version(),
        sa.CheckConstraint("core_minor >= 0", name="core_not_negative"),
    )
    op.create_table(
        "customer_fluid_rule",
        sa.Column("customer_id", ID, sa.ForeignKey("customer.id"), primary_key=True, autoincrement=False),
        *short("rule", 40),
        *long_text("said_text", 1_000),
        version(),
    )
    op.create_table(
        "reservation",
        key(),
        sa.Column("work_order_id", ID, sa.ForeignKey("work_order.id"), nullable=False),
        sa.Column("item_id", ID, sa.ForeignKey("item.id"), nullable=False, index=True),
        sa.Column("quantity", ID, nullable=False),
        *long_text("anyway_reason", 500),
        sa.Column("made_utc", STAMP, nullable=False),
        sa.Column("person_id", ID, sa.ForeignKey("person.id"), nullable=False),
        version(),
        sa.UniqueConstraint("work_order_id", "item_id"),
        sa.CheckConstraint("quantity > 0", name="quantity_positive"),
    )
    op.create_table(
        "kit_part",
        key(),
        sa.Column("kit_item_id", ID, sa.ForeignKey("item.id"), nullable=False),
        sa.Column("position", ID, nullable=False),
        sa.Column("item_id", ID, sa.ForeignKey("item.id"), nullable=False),
        sa.Column("quantity", ID, nullable=False),
        sa.UniqueConstraint("kit_item_id", "item_id"),
        sa.CheckConstraint("quantity > 0", name="quantity_positive"),
        sa.CheckConstraint("kit_item_id <> item_id", name="not_itself"),
    )


def make_matches_and_draws() -> None:
    op.create_table(
        "fluid_match",
        key(),
        *fact(),
        sa.Column("record_id", ID, sa.ForeignKey("service_record.id"), nullable=False, index=True),
        sa.Column("item_id", ID, sa.ForeignKey("item.id"), nullable=False),
        sa.Column("specification_id", ID, sa.ForeignKey("specification.id")),
        *short("verdict", 40),
        *short("basis", 40, server_default=""),
        *short("licence_no", 60, server_default=""),
        *short("rule", 40),
        *short("rule_of", 40),
        *long_text("reason", 1_000),
        sa.Column("entry_id", ID, sa.ForeignKey("service_entry.id")),
    )
    op.create_table(
        "container_event",
        key(),
        *fact(),
        sa.Column("container_id", ID, sa.ForeignKey("container.id"), nullable=False, index=True),
        *short("kind", 20),
        sa.Column("on_date", sa.Date, nullable=False),
        *long_text("reason", 500),
    )
    op.create_table(
        "record_draw",
        key(),
        *fact(),
        sa.Column("record_id", ID, sa.ForeignKey("service_record.id"), nullable=False, index=True),
        *short("group_uid", 36),
        sa.Column("position", ID, nullable=False),
        sa.Column("container_id", ID, sa.ForeignKey("container.id"), nullable=False),
        sa.Column("before_quantity", ID),
        sa.Column("after_quantity", ID),
        sa.Column("quantity", ID, nullable=False),
        sa.Column("half_width", ID, nullable=False, server_default="0"),
        *short("typed", 200, server_default=""),
        sa.CheckConstraint("quantity >= 0", name="quantity_not_negative"),
    )


def make_counts() -> None:
    op.create_table(
        "count_sheet",
        key(),
        *short("uid", 36, unique=True),
        sa.Column("number", ID, nullable=False, unique=True),
        sa.Column("opened_utc", STAMP, nullable=False),
        sa.Column("opened_by", ID, sa.ForeignKey("person.id"), nullable=False),
        *long_text("note", 1_000),
        sa.Column("closed_utc", STAMP),
        version(),
    )
    op.create_table(
        "count_line",
        key(),
        *fact(),
        sa.Column("sheet_id", ID, sa.ForeignKey("count_sheet.id"), index=True),
        sa.Column("item_id", ID, sa.ForeignKey("item.id"), nullable=False, index=True),
        sa.Column("container_id", ID, sa.ForeignKey("container.id")),
        *short("method", 40),
        *long_text("reading_text", 1_000),
        sa.Column("temp_mc", ID),
        sa.Column("expected", ID, nullable=False),
        sa.Column("counted", ID, nullable=False),
        sa.Column("half_width", ID, nullable=False),
        sa.Column("allowance", ID, nullable=False),
        *short("group_uid", 36),
        sa.Column("on_date", sa.Date, nullable=False),
        *long_text("reason", 500),
        sa.CheckConstraint("counted >= 0", name="counted_not_negative"),
        sa.CheckConstraint("half_width >= 0 AND allowance >= 0", name="widths_not_negative"),
    )


def make_deliveries() -> None:
    op.create_table(
        "delivery",
        key(),
        *fact(),
        sa.Column("supplier_id", ID, sa.ForeignKey("supplier.id"), nullable=False),
        sa.Column("order_id", ID, sa.ForeignKey("purchase_order.id"), index=True),
        *short("document_no", 80),
        sa.Column("on_date", sa.Date, nullable=False),
        sa.Column("freight_minor", ID, nullable=False),
        *short("freight_by", 20),
        sa.UniqueConstraint("supplier_id", "document_no"),
        sa.CheckConstraint("freight_minor >= 0", name="freight_not_negative"),
    )
    op.create_table(
        "delivery_line",
        key(),
        sa.Column("delivery_id", ID, sa.ForeignKey("delivery.id"), nullable=False),
        sa.Column("position", ID, nullable=False),
        sa.Column("purchase_line_id", ID, sa.ForeignKey("purchase_line.id"), index=True),
        sa.Column("item_id", ID, sa.ForeignKey("item.id"), nullable=False, index=True),
        *short("condition", 20),
        sa.Column("quantity", ID, nullable=False),
        sa.Column("damaged", ID, nullable=False),
        sa.Column("goods_minor", ID, nullable=False),
        sa.Column("freight_minor", ID, nullable=False),
        sa.Column("core_minor", ID, nullable=False),
        *short("lot", 60, server_default=""),
        sa.Column("best_before", sa.Date),
        *long_text("note", 500),
        *short("group_uid", 36),
        sa.UniqueConstraint("delivery_id", "position"),
        sa.CheckConstraint("quantity >= 0 AND damaged >= 0", name="quantities_not_negative"),
        sa.CheckConstraint(
            "goods_minor >= 0 AND freight_minor >= 0 AND core_minor >= 0", name="amounts_not_negative"
        ),
    )
    op.create_table(
        "container_card",
        sa.Column("container_id", ID, sa.ForeignKey("container.id"), primary_key=True, autoincrement=False),
        sa.Column("pieces", ID, nullable=False, server_default="1"),
        sa.Column("shell", ID),
        sa.Column("tare_mg", ID),
        sa.Column("delivery_line_id", ID, sa.ForeignKey("delivery_line.id"), index=True),
        version(),
        sa.CheckConstraint("pieces > 0", name="pieces_positive"),
    )


def make_bills_and_cores() -> None:
    op.create_table(
        "supplier_bill",
        key(),
        *fact(),
        sa.Column("supplier_id", ID, sa.ForeignKey("supplier.id"), nullable=False),
        *short("bill_no", 80),
        sa.Column("billed_on", sa.Date, nullable=False),
        sa.Column("freight_minor", ID, nullable=False),
        sa.Column("tax_minor", ID, nullable=False),
        sa.Column("billed_minor", ID, nullable=False),
        *long_text("note", 1_000),
        sa.UniqueConstraint("supplier_id", "bill_no"),
    )
    op.create_table(
        "bill_line",
        key(),
        sa.Column("bill_id", ID, sa.ForeignKey("supplier_bill.id"), nullable=False),
        sa.Column("position", ID, nullable=False),
        sa.Column("delivery_line_id", ID, sa.ForeignKey("delivery_line.id"), nullable=False, index=True),
        sa.Column("quantity", ID, nullable=False),
        sa.Column("amount_minor", ID, nullable=False),
        sa.Column("core_minor", ID, nullable=False, server_default="0"),
        sa.UniqueConstraint("bill_id", "position"),
    )
    op.create_table(
        "core_move",
        key(),
        *fact(),
        sa.Column("supplier_id", ID, sa.ForeignKey("supplier.id"), nullable=False),
        sa.Column("item_id", ID, sa.ForeignKey("item.id"), nullable=False, index=True),
        sa.Column("delivery_line_id", ID, sa.ForeignKey("delivery_line.id")),
        *short("kind", 20),
        sa.Column("quantity", ID, nullable=False),
        sa.Column("amount_minor", ID, nullable=False),
        sa.Column("on_date", sa.Date, nullable=False),
        *short("document_no", 80, server_default=""),
        *long_text("reason", 500),
        sa.CheckConstraint("quantity <> 0", name="quantity_not_zero"),
    )


def make_used_oil() -> None:
    op.create_table(
        "oil_vessel",
        key(),
        *short("name", 120),
        *sort_key("sort_key", 120, unique=True),
        sa.Column("capacity_ul", ID, nullable=False),
        *short("shape_text", 500, server_default=""),
        *short("place_text", 120, server_default=""),
        sa.Column("active", sa.Boolean, nullable=False, server_default=sa.true()),
        version(),
        sa.CheckConstraint("capacity_ul > 0", name="capacity_positive"),
    )
    op.create_table(
        "oil_move",
        key(),
        *fact(),
        sa.Column("vessel_id", ID, sa.ForeignKey("oil_vessel.id"), nullable=False),
        *short("kind", 20),
        sa.Column("quantity_ul", ID, nullable=False),
        sa.Column("counted_ul", ID),
        sa.Column("half_width_ul", ID),
        sa.Column("work_order_id", ID, sa.ForeignKey("work_order.id"), index=True),
        sa.Column("record_id", ID, sa.ForeignKey("service_record.id"), index=True),
        sa.Column("on_date", sa.Date, nullable=False),
        *short("carrier", 200, server_default=""),
        *short("carrier_id", 60, server_default=""),
        *short("destination", 200, server_default=""),
        sa.Column("own_vehicle", sa.Boolean),
        *short("document_no", 80, server_default=""),
        *long_text("reason", 500),
    )
    op.create_index("ix_oil_move_vessel_id_id", "oil_move", ["vessel_id", "id"])
    op.create_table(
        "chosen_rule",
        key(),
        *short("rule", 80, index=True),
        *short("place", 80),
        sa.Column("value_ul", ID, nullable=False),
        sa.Column("from_on", sa.Date, nullable=False),
        sa.Column("to_on", sa.Date),
        *short("citation", 300),
        *short("checked_by", 120, server_default=""),
        sa.Column("checked_on", sa.Date),
        version(),
        sa.CheckConstraint("value_ul > 0", name="value_positive"),
    )


def guard_on_sqlite() -> None:
    for table, keys in GUARDED.items():
        meets = (" AND ".join(f'"{name}" = NEW."{name}"' for name in key) for key in keys)
        already = " OR ".join(f"EXISTS (SELECT 1 FROM {table} WHERE {meet})" for meet in meets)  # noqa: S608
        refuse = f"BEGIN SELECT RAISE(ABORT, 'kept as written: {table}'); END"
        op.execute(f"CREATE TRIGGER guard_{table}_update BEFORE UPDATE ON {table} {refuse}")
        op.execute(f"CREATE TRIGGER guard_{table}_delete BEFORE DELETE ON {table} {refuse}")
        op.execute(f"CREATE TRIGGER guard_{table}_replace BEFORE INSERT ON {table} WHEN {already} {refuse}")


def guard_on_postgresql() -> None:
    call = "EXECUTE FUNCTION shopdesk_refuse()"
    for table in GUARDED:
        op.execute(f"CREATE TRIGGER guard_{table}_row BEFORE UPDATE OR DELETE ON {table} FOR EACH ROW {call}")
        op.execute(f"CREATE TRIGGER guard_{table}_truncate BEFORE TRUNCATE ON {table} {call}")
