"""Finding: plates, ends of VINs and telephone numbers, names, work orders and invoices, from one character.

The index is derived. Whoever changes a customer, a vehicle or a number calls ``index_…`` within the
same transaction; ``shopdesk check`` proves that the index says what it would say if made anew.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from gettext import gettext as _

from sqlalchemy import Connection, Select, Table, select

from shopdesk.persistence import search
from shopdesk.persistence.tables.billing import find_doc, invoice
from shopdesk.persistence.tables.customers import customer
from shopdesk.persistence.tables.vehicles import ownership, vehicle
from shopdesk.persistence.tables.work import work_order
from shopdesk.services.acting import Command, Office, Reading, Writing
from shopdesk.services.findable import SUBJECTS, FoundKind, documents_of, query_words, title

PAGE = 500
"""How many subjects are indexed at a time when the index is made again."""


@dataclass(frozen=True, kw_only=True, slots=True)
class FoundView:
    """One hit as it is shown: what it is, and whose or which it is."""

    kind: FoundKind
    subject_id: int
    shown: str
    detail: str


@dataclass(frozen=True, kw_only=True, slots=True)
class RebuildIndex(Command):
    """Makes the whole index again from what is kept."""


@dataclass(frozen=True, kw_only=True, slots=True)
class IndexRebuilt:
    """How many things can be found now."""

    documents: int


def index_customer(writing: Writing, customer_id: int) -> None:
    """Have a customer found by name and telephone number, and the vehicles by a changed name."""
    if _index(writing, FoundKind.CUSTOMER, [customer_id]):
        vehicles = writing.connection.execute(
            select(ownership.c.vehicle_id)
            .where(ownership.c.customer_id == customer_id, ownership.c.to_on.is_(None))
            .order_by(ownership.c.vehicle_id)
        )
        _index(writing, FoundKind.VEHICLE, vehicles.scalars().all())


def index_vehicle(writing: Writing, vehicle_id: int) -> None:
    """Have a vehicle found by plate, VIN, make and model, and by its keeper's name."""
    _index(writing, FoundKind.VEHICLE, [vehicle_id])


def index_work_order(writing: Writing, work_order_id: int) -> None:
    """Have a work order found by its number and the customer's order number."""
    _index(writing, FoundKind.WORK_ORDER, [work_order_id])


def index_invoice(writing: Writing, invoice_id: int) -> None:
    """Have an invoice found by its number."""
    _index(writing, FoundKind.INVOICE, [invoice_id])


def _index(writing: Writing, kind: FoundKind, subject_ids: Sequence[int]) -> list[int]:
    """Index subjects again; gives those that are now called otherwise than before."""
    kept = search.hold(writing.connection, kind.value, subject_ids)
    made = documents_of(writing.connection, kind, subject_ids)
    search.put(writing.connection, kind.value, made, kept)
    titles = {document.subject_id: title(document.shown) for document in made}
    if gone := sorted(kept.keys() - titles.keys()):
        search.remove(writing.connection, kind.value, gone)
    return [subject_id for subject_id, old in kept.items() if titles.get(subject_id) != title(old.shown)]


def page_of_ids(connection: Connection, table: Table, after: int) -> Sequence[int]:
    """Give the next ids of a table above ``after``, at most PAGE of them; none at the end."""
    wanted = select(table.c.id).where(table.c.id > after).order_by(table.c.id).limit(PAGE)
    return connection.execute(wanted).scalars().all()


def strays(kind: FoundKind) -> Select[int]:
    """Ask for the subjects in the index that are not there any more."""
    table = SUBJECTS[kind]
    there = select(table.c.id).where(table.c.id == find_doc.c.subject_id).exists()
    return select(find_doc.c.subject_id).where(find_doc.c.kind == kind.value, ~there)


def rebuild(writing: Writing) -> IndexRebuilt:
    """Make the index again from what is kept."""
    documents = 0
    for kind, table in SUBJECTS.items():
        gone = writing.connection.execute(strays(kind)).scalars().all()
        search.remove(writing.connection, kind.value, gone)
        after = 0
        while page := page_of_ids(writing.connection, table, after):
            after = page[-1]
            search.hold(writing.connection, kind.value, page)
            search.remove(writing.connection, kind.value, page)
            made = documents_of(writing.connection, kind, page)
            search.put(writing.connection, kind.value, made, {})
            documents += len(made)
    return IndexRebuilt(documents=documents)


def _whose(reading: Reading, rows: Sequence[search.FoundRow]) -> dict[tuple[str, int], str]:
    """Give the vehicle and the customer of the work orders and invoices that were found."""
    whose: dict[tuple[str, int], str] = {}
    for kind, query in _WHOSE.items():
        ids = [row.subject_id for row in rows if row.kind == kind]
        if ids:
            table = SUBJECTS[kind]
            for hit in reading.connection.execute(query.where(table.c.id.in_(ids))):
                whose[kind, hit.id] = " · ".join(part for part in (hit.plate or hit.vin, hit.name) if part)
    return whose


_WHOSE = {
    FoundKind.WORK_ORDER: (
        select(work_order.c.id, vehicle.c.plate, vehicle.c.vin, customer.c.name)
        .join(vehicle, vehicle.c.id == work_order.c.vehicle_id)
        .join(customer, customer.c.id == work_order.c.customer_id)
    ),
    FoundKind.INVOICE: (
        select(invoice.c.id, vehicle.c.plate, vehicle.c.vin, customer.c.name)
        .join(work_order, work_order.c.id == invoice.c.work_order_id)
        .join(vehicle, vehicle.c.id == work_order.c.vehicle_id)
        .join(customer, customer.c.id == invoice.c.customer_id)
    ),
}


def _view(row: search.FoundRow, whose: Mapping[tuple[str, int], str]) -> FoundView:
    kind = FoundKind(row.kind)
    called, _end, detail = row.shown.partition("\n")
    sentences = {
        FoundKind.WORK_ORDER: _("Work order {number}"),
        FoundKind.INVOICE: _("Invoice {number}"),
    }
    return FoundView(
        kind=kind,
        subject_id=row.subject_id,
        shown=sentences[kind].format(number=called) if kind in sentences else called,
        detail=whose.get((row.kind, row.subject_id), detail),
    )


class Finding:
    """The room where things are found."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def find(self, typed: str, limit: int = 50) -> tuple[FoundView, ...]:
        """Give what fits what was typed so far, best first; nothing for nothing."""
        words = query_words(typed)
        if not words:
            return ()
        with self._office.reading() as reading:
            rows = search.find(reading.connection, words, limit)
            whose = _whose(reading, rows)
        return tuple(_view(row, whose) for row in rows)

    def rebuild(self, command: RebuildIndex) -> IndexRebuilt:
        """Make the index again from what is kept."""
        return self._office.carry_out(command, rebuild, IndexRebuilt)
