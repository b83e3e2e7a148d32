"""The tables, one module per aggregate, all on one ``metadata``.

Money is in minor units (``_minor``), volume in microlitres (``_ul``), temperature in
thousandths of a degree Celsius (``_mc``), torque in millinewton metres (``_mnm``), distance in
tenths of the odometer's own unit (``_tenths``), pieces in thousandths (``_milli``), stamps in UTC.

Words that will grow (stages, kinds, methods) are plain text that the rules check: a CHECK with a
list would have to be rebuilt for every new word. CHECKs here hold what must never be.
"""

from shopdesk.persistence.tables import (  # noqa: F401  (importing a module puts its tables on the metadata)
    billing,
    buying,
    customers,
    evidence,
    journal,
    service,
    shelf,
    shop,
    stock,
    units,
    used_oil,
    vehicles,
    work,
)
from shopdesk.persistence.tables.base import metadata
from shopdesk.persistence.types import add_length_checks

add_length_checks(metadata)

#: Tables whose rows the database itself protects against UPDATE, DELETE and INSERT OR REPLACE.
GUARDED: tuple[str, ...] = (
    "chain",
    "sheet_revision",
    "estimate",
    "consent",
    "invoice",
    "invoice_line",
)

#: Tables that the services only ever add to; the database refuses UPDATE and DELETE on them too.
APPEND_ONLY: tuple[str, ...] = (
    "request",
    "contact_consent",
    "duty_answer",
    "odometer_reading",
    "stock_move",
    "service_entry",
    "invoice_void",
    "payment",
    "payment_part",
    "paper",
    "stored_file",
    "fluid_match",
    "container_event",
    "record_draw",
    "count_line",
    "delivery",
    "delivery_line",
    "supplier_bill",
    "bill_line",
    "core_move",
    "oil_move",
    "photo",
    "warmup_log",
    "warmup_reading",
    "signing_key",
)

__all__ = ["APPEND_ONLY", "GUARDED", "metadata"]
