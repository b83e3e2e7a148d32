"""Pictures, warm-up readings and the key that signs service records; all of them only added.

Revision: 0004
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"

ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
STAMP = sa.DateTime(timezone=True).with_variant(sa.String(32), "sqlite")

# Guarded tables, each with the keys by which an INSERT OR REPLACE could hit an old row.
GUARDED = {
    "photo": (("id",), ("uid",), ("withdraws_id",)),
    "warmup_log": (("id",), ("uid",), ("withdraws_id",)),
    "warmup_reading": (("id",), ("uid",), ("withdraws_id",)),
    "signing_key": (("id",), ("public_hex",), ("uid",)),
}


def upgrade() -> None:
    make_photos()
    make_warm_up()
    make_keys()
    guard = guard_on_sqlite if op.get_bind().dialect.name == "sqlite" else guard_on_postgresql
    guard()


def key() -> sa.Column[int]:
    return sa.Column("id", ID, primary_key=True, autoincrement=True)


def short(
    name: str, most: int, *references: sa.ForeignKey, nullable: bool = False, **options: bool | str
) -> tuple[sa.Column[str], sa.CheckConstraint]:
    column = sa.Column(name, sa.String(most), *references, nullable=nullable, **options)
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


def withdraws(table: str) -> sa.Column[int]:
    return sa.Column("withdraws_id", ID, sa.ForeignKey(f"{table}.id"), unique=True)


def make_photos() -> None:
    op.create_table(
        "photo",
        key(),
        *fact(),
        *short("subject", 20),
        sa.Column("subject_id", ID, nullable=False),
        *short("kind", 20),
        *short("sha", 64, sa.ForeignKey("stored_file.sha")),
        *short("name", 200),
        sa.Column("width", ID, nullable=False),
        sa.Column("height", ID, nullable=False),
        *short("note", 300, server_default=""),
        withdraws("photo"),
        *long_text("reason", 500),
    )
    op.create_index("ix_photo_subject_subject_id", "photo", ["subject", "subject_id"])


def make_warm_up() -> None:
    op.create_table(
        "warmup_log",
        key(),
        *fact(),
        sa.Column("record_id", ID, sa.ForeignKey("service_record.id"), nullable=False),
        *short("tool", 120, server_default=""),
        *short("name", 200),
        *short("sha", 64),
        sa.Column("started_at", STAMP, nullable=False),
        sa.Column("start_known", sa.Boolean, nullable=False),
        sa.Column("rows_read", ID, nullable=False),
        *long_text("readings_text", 100_000),
        withdraws("warmup_log"),
        sa.CheckConstraint("rows_read >= 0", name="rows_read_not_negative"),
    )
    op.create_index("ix_warmup_log_record_id", "warmup_log", ["record_id"])
    op.create_table(
        "warmup_reading",
        key(),
        *fact(),
        sa.Column("record_id", ID, sa.ForeignKey("service_record.id"), nullable=False),
        sa.Column("read_at", STAMP, nullable=False),
        sa.Column("temp_mc", ID, nullable=False),
        *short("source", 20),
        withdraws("warmup_reading"),
    )
    op.create_index("ix_warmup_reading_record_id", "warmup_reading", ["record_id"])


def make_keys() -> None:
    op.create_table(
        "signing_key",
        key(),
        *fact(),
        *short("public_hex", 64, unique=True),
        *short("private_hex", 64),
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
    """The function that the triggers call is there since 0002."""
    call = "EXECUTE FUNCTION shopdesk_refuse()"
    for table in GUARDED:
        op.execute(f"CREATE TRIGGER guard_{table}_row BEFORE UPDATE OR DELETE ON {table} FOR EACH ROW {call}")
        op.execute(f"CREATE TRIGGER guard_{table}_truncate BEFORE TRUNCATE ON {table} {call}")
