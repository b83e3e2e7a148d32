"""Unit sheets (the shop's own data, frozen revision by revision) and the units of a vehicle."""

from sqlalchemy import CheckConstraint, Column, Date, ForeignKey, Table, UniqueConstraint

from shopdesk.persistence.tables.base import fact, key, long_text, metadata, version
from shopdesk.persistence.types import Id, Short, SortText

specification = Table(
    "specification",
    metadata,
    key(),
    Column("name", Short(120), nullable=False),
    Column("sort_key", SortText(120), nullable=False, unique=True),
)

unit_sheet = Table(
    "unit_sheet",
    metadata,
    key(),
    Column("designation", Short(120), nullable=False),
    Column("sort_key", SortText(120), nullable=False, unique=True),
    Column("kind", Short(40), nullable=False),
)

sheet_revision = Table(
    "sheet_revision",
    metadata,
    key(),
    *fact(),
    Column("sheet_id", Id, ForeignKey("unit_sheet.id"), nullable=False),
    Column("revision", Id, nullable=False),
    Column("specification_id", Id, ForeignKey("specification.id"), nullable=False),
    Column("level_method", Short(40), nullable=False),
    Column("service_fill_ul", Id),
    Column("total_ul", Id),
    *long_text("body_text", 100_000),  # canonical JSON of domain.sheet.SheetBody
    *long_text("source_text", 1000),  # document, edition, page, date read
    Column("checked_by", Short(120), nullable=False, server_default=""),
    UniqueConstraint("sheet_id", "revision"),
    CheckConstraint("service_fill_ul > 0", name="service_fill_positive"),
    CheckConstraint("total_ul > 0", name="total_positive"),
)

unit = Table(
    "unit",
    metadata,
    key(),
    Column("vehicle_id", Id, ForeignKey("vehicle.id"), nullable=False, index=True),
    Column("sheet_id", Id, ForeignKey("unit_sheet.id")),
    Column("kind", Short(40), nullable=False),
    Column("position", Short(40), nullable=False, server_default=""),
    Column("label", Short(120), nullable=False),
    Column("power_order", Id, nullable=False),
    Column("total_ul", Id),  # this unit's own, when it differs from the sheet's
    Column("installed_on", Date),  # a swapped unit brings its own history
    Column("installed_tenths", Id),
    Column("removed_on", Date),
    version(),
)
