"""Carries what a write changed from the services to the screens that show it."""

from collections.abc import Iterable

from PySide6.QtCore import QObject, Qt, Signal

from shopdesk.ui.changes import Bus, Topic

#: Which topic a table's change belongs to; a test asks that none is forgotten.
TOPIC_OF: dict[str, Topic] = {
    "customer": Topic.CUSTOMERS,
    "contact": Topic.CUSTOMERS,
    "contact_consent": Topic.CUSTOMERS,
    "customer_fluid_rule": Topic.CUSTOMERS,
    "address": Topic.CUSTOMERS,
    "vehicle": Topic.VEHICLES,
    "ownership": Topic.VEHICLES,
    "unit": Topic.VEHICLES,
    "odometer_segment": Topic.VEHICLES,
    "odometer_reading": Topic.VEHICLES,
    "duty_answer": Topic.VEHICLES,
    "specification": Topic.SHEETS,
    "unit_sheet": Topic.SHEETS,
    "sheet_revision": Topic.SHEETS,
    "work_order": Topic.WORK,
    "work_order_line": Topic.WORK,
    "estimate": Topic.WORK,
    "consent": Topic.WORK,
    "service_record": Topic.SERVICE,
    "service_entry": Topic.SERVICE,
    "record_draw": Topic.SERVICE,
    "fluid_match": Topic.SERVICE,
    "photo": Topic.SERVICE,
    "warmup_log": Topic.SERVICE,
    "warmup_reading": Topic.SERVICE,
    "item": Topic.STOCK,
    "item_claim": Topic.STOCK,
    "container": Topic.STOCK,
    "stock_move": Topic.STOCK,
    "item_card": Topic.STOCK,
    "kit_part": Topic.STOCK,
    "container_card": Topic.STOCK,
    "container_event": Topic.STOCK,
    "count_sheet": Topic.STOCK,
    "count_line": Topic.STOCK,
    "reservation": Topic.STOCK,
    "supplier": Topic.STOCK,
    "purchase_order": Topic.STOCK,
    "purchase_line": Topic.STOCK,
    "delivery": Topic.STOCK,
    "delivery_line": Topic.STOCK,
    "supplier_bill": Topic.STOCK,
    "bill_line": Topic.STOCK,
    "core_move": Topic.STOCK,
    "oil_vessel": Topic.STOCK,
    "oil_move": Topic.STOCK,
    "invoice": Topic.MONEY,
    "invoice_line": Topic.MONEY,
    "invoice_void": Topic.MONEY,
    "payment": Topic.MONEY,
    "payment_part": Topic.MONEY,
    "next_due": Topic.DUE,
    "paper": Topic.PAPERS,
    "stored_file": Topic.PAPERS,
    "shop": Topic.SHOP,
    "setting": Topic.SHOP,
    "chosen_rule": Topic.SHOP,
    "signing_key": Topic.SHOP,
    "person": Topic.SHOP,
    "station": Topic.SHOP,
    "tax_class": Topic.SHOP,
    "tax_rate": Topic.SHOP,
    "instrument": Topic.SHOP,
}


class Announcer(QObject):
    """Carries what a write changed from its thread to the window's, and there to the bus."""

    _changed = Signal(object)

    def __init__(self, bus: Bus) -> None:
        super().__init__()
        self._bus = bus
        self._changed.connect(self._hear, Qt.ConnectionType.QueuedConnection)

    def announce(self, tables: Iterable[str]) -> None:
        """Tell which tables a write changed; called on any thread, after the commit."""
        self._changed.emit(frozenset(TOPIC_OF[table] for table in tables))

    def _hear(self, topics: frozenset[str]) -> None:
        self._bus.announce(topics)
