"""The shop itself, its settings, its people and its stations."""

from sqlalchemy import Boolean, CheckConstraint, Column, Table, false, true

from shopdesk.persistence.tables.base import key, long_text, metadata, version
from shopdesk.persistence.types import Id, Short, UtcStamp

shop = Table(
    "shop",
    metadata,
    Column("id", Id, primary_key=True, autoincrement=False),
    Column("name", Short(200), nullable=False),
    *long_text("address", 1000),
    Column("phone", Short(60), nullable=False, server_default=""),
    Column("email", Short(200), nullable=False, server_default=""),
    *long_text("registration_text", 1000),  # licence and tax numbers as they print on every paper
    Column("currency", Short(3), nullable=False),
    Column("place", Short(80), nullable=False),  # state or country whose taxes apply
    Column("locale", Short(20), nullable=False),
    Column("zone", Short(60), nullable=False),
    Column("volume_unit", Short(10), nullable=False),
    Column("temperature_unit", Short(10), nullable=False),
    Column("torque_unit", Short(10), nullable=False),
    Column("distance_unit", Short(10), nullable=False),
    Column("imperial", Boolean, nullable=False, server_default=false()),  # "qt" and "gal" mean imperial here
    Column("cost_method", Short(20), nullable=False),
    Column("tax_rounding", Short(10), nullable=False),
    Column("paper_size", Short(20), nullable=False),
    Column("label_size", Short(20), nullable=False),
    *long_text("warranty_text", 2000),
    Column("program_version", Short(20), nullable=False),
    Column("created_utc", UtcStamp, nullable=False),
    version(),
    CheckConstraint("id = 1", name="one_row"),
)

setting = Table(
    "setting",
    metadata,
    Column("key", Short(80), primary_key=True),
    *long_text("value_text", 4000),
    version(),
)

person = Table(
    "person",
    metadata,
    key(),
    Column("name", Short(120), nullable=False),
    Column("role", Short(20), nullable=False),
    Column("pin_hash", Short(200)),
    Column("active", Boolean, nullable=False, server_default=true()),
    version(),
)

station = Table(
    "station",
    metadata,
    key(),
    Column("uid", Short(36), nullable=False, unique=True),
    Column("name", Short(120), nullable=False),
)
