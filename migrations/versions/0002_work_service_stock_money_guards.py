"""Work, service records, stock moves, invoices, papers and finding; then the guards over what is only added.

Revision: 0002
"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
STAMP = sa.DateTime(timezone=True).with_variant(sa.String(32), "sqlite")

# Guarded tables, each with the keys by which an INSERT OR REPLACE could hit an old row.
GUARDED = {
    "chain": (("seq",), ("sha",)),
    "sheet_revision": (("id",), ("sheet_id", "revision"), ("uid",)),
    "estimate": (("id",), ("uid",), ("work_order_id", "revision")),
    "consent": (("id",), ("uid",)),
    "invoice": (("id",), ("series", "number"), ("uid",)),
    "invoice_line": (("id",), ("invoice_id", "position")),
    "request": (("uid",),),
    "contact_consent": (("id",), ("uid",)),
    "duty_answer": (("id",), ("uid",)),
    "odometer_reading": (("id",), ("uid",)),
    "stock_move": (("id",), ("uid",)),
    "service_entry": (("id",), ("uid",)),
    "invoice_void": (("id",), ("invoice_id",), ("uid",)),
    "payment": (("id",), ("uid",)),
    "payment_part": (("id",),),
    "paper": (("id",), ("kind", "subject", "subject_id", "sha"), ("uid",)),
    "stored_file": (("sha",),),
}


def upgrade() -> None:
    make_work()
    make_service()
    make_stock_moves()
    make_invoices()
    make_payments_and_papers()
    make_find()
    guard = guard_on_sqlite if op.get_bind().dialect.name == "sqlite" else guard_on_postgresql
    guard()


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


def make_work() -> None:
    op.create_table(
        "work_order",
        key(),
        sa.Column("number", ID, nullable=False, unique=True),
        sa.Column("vehicle_id", ID, sa.ForeignKey("vehicle.id"), nullable=False, index=True),
        sa.Column("customer_id", ID, sa.ForeignKey("customer.id"), nullable=False, index=True),
        *short("driver_text", 200, server_default=""),
        *short("po_number", 60, server_default=""),
        *short("stage", 20),
        *short("waiting_reason", 120, server_default=""),
        sa.Column("odometer_in_id", ID, sa.ForeignKey("odometer_reading.id")),
        *long_text("complaint", 4_000),
        *long_text("note", 4_000),
        sa.Column("promised_at", STAMP),
        *short("bay", 40, server_default=""),
        *short("key_tag", 40, server_default=""),
        *short("parked_text", 80, server_default=""),
        sa.Column("waits_here", sa.Boolean, nullable=False, server_default=sa.false()),
        *short("parts_choice", 20, server_default=""),
        sa.Column("wheel_off", sa.Boolean, nullable=False, server_default=sa.false()),
        sa.Column("wheel_torque_mnm", ID),
        *short("wheel_torque_typed", 60, server_default=""),
        sa.Column("origin_work_order_id", ID, sa.ForeignKey("work_order.id")),
        *long_text("comeback_cause", 500),
        sa.Column("opened_utc", STAMP, nullable=False),
        sa.Column("stage_utc", STAMP, nullable=False),
        version(),
    )
    op.create_index("ix_work_order_stage_id", "work_order", ["stage", "id"])
    op.create_table(
        "work_order_line",
        key(),
        sa.Column("work_order_id", ID, sa.ForeignKey("work_order.id"), nullable=False, index=True),
        sa.Column("position", ID, nullable=False),
        sa.Column("unit_id", ID, sa.ForeignKey("unit.id")),
        *short("kind", 20),
        *long_text("text", 4_000),
        *short("condition", 20, server_default=""),
        sa.Column("quantity_milli", ID, nullable=False),
        *short("quantity_unit", 20, server_default=""),
        sa.Column("unit_price_minor", ID, nullable=False),
        sa.Column("discount_minor", ID, nullable=False, server_default="0"),
        sa.Column("tax_class_id", ID, sa.ForeignKey("tax_class.id"), nullable=False),
        sa.Column("item_id", ID, sa.ForeignKey("item.id")),
        sa.UniqueConstraint("work_order_id", "position"),
        sa.CheckConstraint("quantity_milli > 0", name="quantity_positive"),
        sa.CheckConstraint("discount_minor >= 0", name="discount_not_negative"),
    )
    op.create_table(
        "estimate",
        key(),
        *fact(),
        sa.Column("work_order_id", ID, sa.ForeignKey("work_order.id"), nullable=False),
        sa.Column("revision", ID, nullable=False),
        sa.Column("net_minor", ID, nullable=False),
        sa.Column("valid_until", sa.Date),
        *long_text("snapshot", 500_000),
        *short("sha", 64),
        sa.UniqueConstraint("work_order_id", "revision"),
    )
    op.create_table(
        "consent",
        key(),
        *fact(),
        sa.Column("work_order_id", ID, sa.ForeignKey("work_order.id"), nullable=False, index=True),
        sa.Column("estimate_id", ID, sa.ForeignKey("estimate.id"), nullable=False),
        *short("person_text", 200),
        *short("relation", 60, server_default=""),
        *short("how", 20),
        *short("reached_at", 200, server_default=""),
        *long_text("said_text", 4_000),
        sa.Column("up_to_minor", ID, nullable=False),
        sa.Column("given_at", STAMP, nullable=False),
        *short("zone", 60),
    )


def make_service() -> None:
    op.create_table(
        "instrument",
        key(),
        *short("kind", 40),
        *short("name", 120),
        sa.Column("half_width", ID, nullable=False),
        *short("half_width_from", 40),
        sa.Column("calibrated_on", sa.Date),
        sa.Column("due_on", sa.Date),
        sa.Column("active", sa.Boolean, nullable=False, server_default=sa.true()),
        version(),
    )
    op.create_table(
        "service_record",
        key(),
        *short("uid", 36, unique=True),
        sa.Column("work_order_id", ID, sa.ForeignKey("work_order.id"), nullable=False),
        sa.Column("unit_id", ID, sa.ForeignKey("unit.id"), nullable=False, index=True),
        sa.Column("sheet_revision_id", ID, sa.ForeignKey("sheet_revision.id"), nullable=False),
        *short("service_method", 40),
        sa.Column("item_id", ID, sa.ForeignKey("item.id")),
        sa.Column("done_on", sa.Date, nullable=False),
        sa.Column("odometer_id", ID, sa.ForeignKey("odometer_reading.id")),
        sa.Column("opened_utc", STAMP, nullable=False),
        sa.Column("finished_utc", STAMP),
        version(),
        sa.UniqueConstraint("work_order_id", "unit_id"),
    )
    op.create_table(
        "service_entry",
        key(),
        *fact(),
        sa.Column("record_id", ID, sa.ForeignKey("service_record.id"), nullable=False, index=True),
        *short("field", 60),
        sa.Column("round", ID, nullable=False, server_default="1"),
        sa.Column("value_int", ID),
        *short("value_text", 2000, nullable=True),
        *short("typed", 200, server_default=""),
        sa.Column("half_width", ID),
        sa.Column("instrument_id", ID, sa.ForeignKey("instrument.id")),
        sa.Column("temp_mc", ID),
        sa.Column("measured_at", STAMP),
        sa.Column("corrects_id", ID, sa.ForeignKey("service_entry.id")),
        *long_text("reason", 1_000),
    )
    op.create_table(
        "next_due",
        sa.Column("unit_id", ID, sa.ForeignKey("unit.id"), primary_key=True),
        *short("service_kind", 40, primary_key=True),
        sa.Column("record_id", ID, sa.ForeignKey("service_record.id"), nullable=False),
        sa.Column("odometer_tenths", ID),
        *short("odometer_unit", 2),
        sa.Column("by_time_on", sa.Date),
        sa.Column("by_distance_on", sa.Date),
        sa.Column("due_on", sa.Date),
        *short("decided_by", 20),
        *long_text("reason_text", 2_000),
    )
    op.create_index("ix_next_due_due_on_unit_id", "next_due", ["due_on", "unit_id"])


def make_stock_moves() -> None:
    op.create_table(
        "stock_move",
        key(),
        *fact(),
        *short("group_uid", 36, index=True),
        sa.Column("item_id", ID, sa.ForeignKey("item.id"), nullable=False),
        sa.Column("container_id", ID, sa.ForeignKey("container.id")),
        *short("kind", 20),
        sa.Column("quantity", ID, nullable=False),
        sa.Column("cost_minor", ID, nullable=False),
        sa.Column("layer_move_id", ID, sa.ForeignKey("stock_move.id")),
        sa.Column("work_order_id", ID, sa.ForeignKey("work_order.id"), index=True),
        sa.Column("record_id", ID, sa.ForeignKey("service_record.id")),
        sa.Column("on_date", sa.Date, nullable=False),
        *short("document_no", 80, server_default=""),
        *long_text("reason", 500),
        sa.Column("corrects_id", ID, sa.ForeignKey("stock_move.id")),
        sa.CheckConstraint("quantity <> 0", name="quantity_not_zero"),
    )
    op.create_index("ix_stock_move_container_id", "stock_move", ["container_id"])
    op.create_index("ix_stock_move_item_id_id", "stock_move", ["item_id", "id"])
    op.create_index("ix_stock_move_layer_move_id", "stock_move", ["layer_move_id"])


def make_invoices() -> None:
    op.create_table(
        "number_series",
        *short("name", 40, primary_key=True),
        sa.Column("next_number", ID, nullable=False),
    )
    op.create_table(
        "invoice",
        key(),
        *fact(),
        *short("kind", 20),
        *short("series", 40),
        sa.Column("number", ID, nullable=False),
        sa.Column("work_order_id", ID, sa.ForeignKey("work_order.id"), nullable=False, index=True),
        sa.Column("customer_id", ID, sa.ForeignKey("customer.id"), nullable=False, index=True),
        sa.Column("issued_on", sa.Date, nullable=False),
        sa.Column("net_minor", ID, nullable=False),
        sa.Column("tax_minor", ID, nullable=False),
        sa.Column("total_minor", ID, nullable=False),
        *short("currency", 3),
        sa.Column("credits_id", ID, sa.ForeignKey("invoice.id")),
        *long_text("snapshot", 1_000_000),
        *short("sha", 64),
        sa.UniqueConstraint("series", "number"),
        sa.CheckConstraint("total_minor = net_minor + tax_minor", name="adds_up"),
    )
    op.create_table(
        "invoice_line",
        key(),
        sa.Column("invoice_id", ID, sa.ForeignKey("invoice.id"), nullable=False, index=True),
        sa.Column("position", ID, nullable=False),
        *short("kind", 20),
        *long_text("text", 4_000),
        sa.Column("quantity_milli", ID, nullable=False),
        *short("quantity_unit", 20),
        sa.Column("unit_price_minor", ID, nullable=False),
        sa.Column("net_minor", ID, nullable=False),
        sa.Column("tax_minor", ID, nullable=False),
        *short("rate_text", 200),
        sa.Column("cost_minor", ID),
        sa.UniqueConstraint("invoice_id", "position"),
    )
    op.create_table(
        "invoice_void",
        key(),
        *fact(),
        sa.Column("invoice_id", ID, sa.ForeignKey("invoice.id"), nullable=False, unique=True),
        *long_text("reason", 1_000),
    )


def make_payments_and_papers() -> None:
    op.create_table(
        "payment",
        key(),
        *fact(),
        *short("kind", 20),
        *short("tender", 20),
        sa.Column("amount_minor", ID, nullable=False),
        *short("currency", 3),
        sa.Column("customer_id", ID, sa.ForeignKey("customer.id"), nullable=False, index=True),
        sa.Column("on_date", sa.Date, nullable=False),
        *short("note", 200, server_default=""),
        sa.Column("refunds_id", ID, sa.ForeignKey("payment.id")),
        sa.CheckConstraint("amount_minor <> 0", name="amount_not_zero"),
    )
    op.create_table(
        "payment_part",
        key(),
        sa.Column("payment_id", ID, sa.ForeignKey("payment.id"), nullable=False, index=True),
        sa.Column("invoice_id", ID, sa.ForeignKey("invoice.id"), index=True),
        sa.Column("amount_minor", ID, nullable=False),
    )
    op.create_table(
        "stored_file",
        *short("sha", 64, primary_key=True),
        *short("media", 60),
        sa.Column("bytes", sa.LargeBinary, nullable=False),
    )
    op.create_table(
        "paper",
        key(),
        *fact(),
        *short("kind", 40),
        *short("subject", 40),
        sa.Column("subject_id", ID, nullable=False),
        *short("name", 200),
        *short("sha", 64),
        sa.UniqueConstraint("kind", "subject", "subject_id", "sha"),
    )
    op.create_index("ix_paper_subject_subject_id", "paper", ["subject", "subject_id"])


def make_find() -> None:
    op.create_table(
        "find_doc",
        key(),
        *short("kind", 20),
        sa.Column("subject_id", ID, nullable=False),
        *long_text("text", 2_000),
        *short("shown", 300),
        sa.UniqueConstraint("kind", "subject_id"),
    )
    op.create_table(
        "find_token",
        sa.Column("pos", ID, primary_key=True, autoincrement=False),
        *sort_key("tok", 60, primary_key=True),
        sa.Column("doc", ID, sa.ForeignKey("find_doc.id"), primary_key=True, autoincrement=False),
        sqlite_with_rowid=False,
    )
    op.create_index("ix_find_token_doc", "find_token", ["doc"])


def guard_on_sqlite() -> None:
    for table, keys in GUARDED.items():
        meets = (" AND ".join(f'"{name}" = NEW."{name}"' for name in key) for key in keys)
        already = " OR ".join(f"EXISTS (SELECT 1 FROM {table} WHERE {meet})" for meet in meets)  # noqa: S608
        refuse = f"BEGIN SELECT RAISE(ABORT, 'kept as written: {table}'); END"
        op.execute(f"CREATE TRIGGER guard_{table}_update BEFORE UPDATE ON {table} {refuse}")
        op.execute(f"CREATE TRIGGER guard_{table}_delete BEFORE DELETE ON {table} {refuse}")
        op.execute(f"CREATE TRIGGER guard_{table}_replace BEFORE INSERT ON {table} WHEN {already} {refuse}")


def guard_on_postgresql() -> None:
    op.execute(
        "CREATE OR REPLACE FUNCTION shopdesk_refuse() RETURNS trigger LANGUAGE plpgsql AS $guard$ "
        "BEGIN RAISE EXCEPTION 'kept as written: %', TG_TABLE_NAME USING ERRCODE = '23000'; END $guard$"
    )
    call = "EXECUTE FUNCTION shopdesk_refuse()"
    for table in GUARDED:
        op.execute(f"CREATE TRIGGER guard_{table}_row BEFORE UPDATE OR DELETE ON {table} FOR EACH ROW {call}")
        op.execute(f"CREATE TRIGGER guard_{table}_truncate BEFORE TRUNCATE ON {table} {call}")
