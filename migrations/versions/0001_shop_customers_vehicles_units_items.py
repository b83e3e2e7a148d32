"""The shop, its journal, customers, vehicles, units, taxes and items.

Revision: 0001
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
STAMP = sa.DateTime(timezone=True).with_variant(sa.String(32), "sqlite")


def upgrade() -> None:
    make_shop_and_people()
    make_journal()
    make_customers()
    make_vehicles()
    make_units()
    make_taxes_and_items()


def key() -> sa.Column[int]:
    return sa.Column("id", ID, primary_key=True, autoincrement=True)


def version() -> sa.Column[int]:
    return sa.Column("version", ID, nullable=False, server_default="1")


def short(
    name: str, most: int, *, nullable: bool = False, **options: bool | str
) -> tuple[sa.Column[str], sa.CheckConstraint]:
    column = sa.Column(name, sa.String(most), nullable=nullable, **options)
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


def make_shop_and_people() -> None:
    op.create_table(
        "shop",
        sa.Column("id", ID, primary_key=True, autoincrement=False),
        *short("name", 200),
        *long_text("address", 1_000),
        *short("phone", 60, server_default=""),
        *short("email", 200, server_default=""),
        *long_text("registration_text", 1_000),
        *short("currency", 3),
        *short("place", 80),
        *short("locale", 20),
        *short("zone", 60),
        *short("volume_unit", 10),
        *short("temperature_unit", 10),
        *short("torque_unit", 10),
        *short("distance_unit", 10),
        sa.Column("imperial", sa.Boolean, nullable=False, server_default=sa.false()),
        *short("cost_method", 20),
        *short("tax_rounding", 10),
        *short("paper_size", 20),
        *short("label_size", 20),
        *long_text("warranty_text", 2_000),
        *short("program_version", 20),
        sa.Column("created_utc", STAMP, nullable=False),
        version(),
        sa.CheckConstraint("id = 1", name="one_row"),
    )
    op.create_table(
        "setting",
        *short("key", 80, primary_key=True),
        *long_text("value_text", 4_000),
        version(),
    )
    op.create_table(
        "person",
        key(),
        *short("name", 120),
        *short("role", 20),
        *short("pin_hash", 200, nullable=True),
        sa.Column("active", sa.Boolean, nullable=False, server_default=sa.true()),
        version(),
    )
    op.create_table(
        "station",
        key(),
        *short("uid", 36, unique=True),
        *short("name", 120),
    )


def make_journal() -> None:
    op.create_table(
        "request",
        *short("uid", 36, primary_key=True),
        *short("verb", 60),
        *short("content_sha", 64),
        *long_text("result_text", 200_000),
        sa.Column("at_utc", STAMP, nullable=False),
        sa.Column("person_id", ID, sa.ForeignKey("person.id"), nullable=False),
        sa.Column("station_id", ID, sa.ForeignKey("station.id"), nullable=False),
    )
    op.create_table(
        "chain",
        sa.Column("seq", ID, primary_key=True, autoincrement=False),
        *short("subject", 40),
        sa.Column("subject_id", ID, nullable=False),
        *short("content_sha", 64),
        *short("prev_sha", 64),
        *short("sha", 64, unique=True),
    )
    op.create_table(
        "change_mark",
        *short("topic", 40, primary_key=True),
        sa.Column("n", ID, nullable=False, server_default="0"),
    )
    op.create_table(
        "draft",
        *short("form", 60, primary_key=True),
        *short("subject", 60, primary_key=True),
        sa.Column("station_id", ID, sa.ForeignKey("station.id"), primary_key=True),
        *long_text("body", 200_000),
        sa.Column("saved_at", STAMP, nullable=False),
        version(),
    )


def make_customers() -> None:
    op.create_table(
        "customer",
        key(),
        *short("kind", 20),
        *short("name", 200),
        *sort_key("sort_key", 200),
        *short("language", 20, server_default=""),
        *long_text("note", 4_000),
        *long_text("warning", 500),
        *short("tax_exempt_no", 60, server_default=""),
        sa.Column("exempt_until", sa.Date),
        sa.Column("erased_at", STAMP),
        sa.Column("created_utc", STAMP, nullable=False),
        version(),
    )
    op.create_index("ix_customer_sort_key_id", "customer", ["sort_key", "id"])
    op.create_table(
        "contact",
        key(),
        sa.Column("customer_id", ID, sa.ForeignKey("customer.id"), nullable=False, index=True),
        *short("kind", 20),
        *short("typed", 200),
        *short("normal", 200),
        sa.Column("position", ID, nullable=False),
        sa.UniqueConstraint("customer_id", "kind", "position"),
    )
    op.create_table(
        "address",
        key(),
        sa.Column("customer_id", ID, sa.ForeignKey("customer.id"), nullable=False, index=True),
        sa.Column("position", ID, nullable=False),
        *long_text("lines", 1_000),
    )
    op.create_table(
        "contact_consent",
        key(),
        *fact(),
        sa.Column("customer_id", ID, sa.ForeignKey("customer.id"), nullable=False, index=True),
        *short("channel", 20),
        sa.Column("given", sa.Boolean, nullable=False),
        *long_text("said_text", 1_000),
    )


def make_vehicles() -> None:
    op.create_table(
        "vehicle",
        key(),
        *short("vin", 30, server_default=""),
        *long_text("vin_note", 500),
        *short("plate", 30, server_default=""),
        *sort_key("plate_key", 30, server_default=""),
        *short("plate_place", 40, server_default=""),
        *short("make_text", 60, server_default=""),
        *short("model_text", 120, server_default=""),
        sa.Column("year", ID),
        *short("odometer_unit", 2),
        *long_text("note", 4_000),
        *long_text("warning", 500),
        sa.Column("created_utc", STAMP, nullable=False),
        version(),
        sa.CheckConstraint("odometer_unit IN ('mi', 'km')", name="odometer_unit"),
    )
    op.create_index("ix_vehicle_plate_key_id", "vehicle", ["plate_key", "id"])
    op.create_index("ix_vehicle_vin", "vehicle", ["vin"])
    op.create_table(
        "ownership",
        key(),
        sa.Column("vehicle_id", ID, sa.ForeignKey("vehicle.id"), nullable=False, index=True),
        sa.Column("customer_id", ID, sa.ForeignKey("customer.id"), nullable=False, index=True),
        sa.Column("from_on", sa.Date, nullable=False),
        sa.Column("to_on", sa.Date),
    )
    op.create_table(
        "duty_answer",
        key(),
        *fact(),
        sa.Column("vehicle_id", ID, sa.ForeignKey("vehicle.id"), nullable=False, index=True),
        *short("question", 40),
        sa.Column("answer", sa.Boolean, nullable=False),
    )
    op.create_table(
        "odometer_segment",
        key(),
        sa.Column("vehicle_id", ID, sa.ForeignKey("vehicle.id"), nullable=False, index=True),
        sa.Column("number", ID, nullable=False),
        sa.Column("started_on", sa.Date, nullable=False),
        sa.Column("base_tenths", ID, nullable=False),
        *long_text("reason", 500),
        sa.UniqueConstraint("vehicle_id", "number"),
    )
    op.create_table(
        "odometer_reading",
        key(),
        *fact(),
        sa.Column("segment_id", ID, sa.ForeignKey("odometer_segment.id"), nullable=False, index=True),
        sa.Column("vehicle_id", ID, sa.ForeignKey("vehicle.id"), nullable=False, index=True),
        sa.Column("on_date", sa.Date, nullable=False),
        sa.Column("value_tenths", ID, nullable=False),
        *short("typed", 60),
        *short("source", 20),
        *short("doubt", 40, server_default=""),
        *long_text("reason", 500),
        sa.Column("actual", sa.Boolean, nullable=False),
        sa.Column("corrects_id", ID, sa.ForeignKey("odometer_reading.id")),
        sa.CheckConstraint("value_tenths >= 0", name="value_not_negative"),
    )


def make_units() -> None:
    op.create_table(
        "specification",
        key(),
        *short("name", 120),
        *sort_key("sort_key", 120, unique=True),
    )
    op.create_table(
        "unit_sheet",
        key(),
        *short("designation", 120),
        *sort_key("sort_key", 120, unique=True),
        *short("kind", 40),
    )
    op.create_table(
        "sheet_revision",
        key(),
        *fact(),
        sa.Column("sheet_id", ID, sa.ForeignKey("unit_sheet.id"), nullable=False),
        sa.Column("revision", ID, nullable=False),
        sa.Column("specification_id", ID, sa.ForeignKey("specification.id"), nullable=False),
        *short("level_method", 40),
        sa.Column("service_fill_ul", ID),
        sa.Column("total_ul", ID),
        *long_text("body_text", 100_000),
        *long_text("source_text", 1_000),
        *short("checked_by", 120, server_default=""),
        sa.UniqueConstraint("sheet_id", "revision"),
        sa.CheckConstraint("service_fill_ul > 0", name="service_fill_positive"),
        sa.CheckConstraint("total_ul > 0", name="total_positive"),
    )
    op.create_table(
        "unit",
        key(),
        sa.Column("vehicle_id", ID, sa.ForeignKey("vehicle.id"), nullable=False, index=True),
        sa.Column("sheet_id", ID, sa.ForeignKey("unit_sheet.id")),
        *short("kind", 40),
        *short("position", 40, server_default=""),
        *short("label", 120),
        sa.Column("power_order", ID, nullable=False),
        sa.Column("total_ul", ID),
        sa.Column("installed_on", sa.Date),
        sa.Column("installed_tenths", ID),
        sa.Column("removed_on", sa.Date),
        version(),
    )


def make_taxes_and_items() -> None:
    op.create_table(
        "tax_class",
        key(),
        *short("name", 60, unique=True),
    )
    op.create_table(
        "tax_rate",
        key(),
        sa.Column("class_id", ID, sa.ForeignKey("tax_class.id"), nullable=False),
        *short("place", 80),
        *short("customer_kind", 20, server_default=""),
        *short("name", 60),
        sa.Column("rate_ppm", ID, nullable=False),
        sa.Column("from_on", sa.Date, nullable=False),
        sa.Column("to_on", sa.Date),
        *short("citation", 300, server_default=""),
        sa.CheckConstraint("rate_ppm >= 0 AND rate_ppm <= 1000000", name="rate_in_range"),
    )
    op.create_table(
        "item",
        key(),
        *short("kind", 20),
        *short("name", 200),
        *sort_key("sort_key", 200, unique=True),
        *short("maker_text", 120, server_default=""),
        *short("part_number", 80, server_default=""),
        *short("base", 20),
        sa.Column("density_kg_m3", ID),
        sa.Column("package_quantity", ID, nullable=False),
        *short("package_text", 60),
        *short("sale_unit", 20),
        sa.Column("price_minor", ID, nullable=False),
        sa.Column("tax_class_id", ID, sa.ForeignKey("tax_class.id"), nullable=False),
        sa.Column("order_at", ID),
        sa.Column("fill_to", ID),
        sa.Column("active", sa.Boolean, nullable=False, server_default=sa.true()),
        version(),
        sa.CheckConstraint("price_minor >= 0", name="price_not_negative"),
        sa.CheckConstraint("package_quantity > 0", name="package_positive"),
    )
    op.create_table(
        "item_claim",
        key(),
        sa.Column("item_id", ID, sa.ForeignKey("item.id"), nullable=False, index=True),
        sa.Column("specification_id", ID, sa.ForeignKey("specification.id"), nullable=False, index=True),
        *short("basis", 40),
        *short("licence_no", 60, server_default=""),
        sa.UniqueConstraint("item_id", "specification_id"),
    )
    op.create_table(
        "container",
        key(),
        sa.Column("item_id", ID, sa.ForeignKey("item.id"), nullable=False, index=True),
        *short("label", 60),
        *short("lot", 60, server_default=""),
        sa.Column("capacity", ID),
        *short("shape_text", 500, server_default=""),
        sa.Column("received_on", sa.Date, nullable=False),
        sa.Column("opened_on", sa.Date),
        sa.Column("best_before", sa.Date),
        *short("state", 20),
        version(),
    )
