"""Looking invoices up: the list, one invoice with its payments, and what is still to be collected."""

from dataclasses import dataclass
from datetime import date, datetime
from gettext import gettext as _

from sqlalchemy import func, select

from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.tables.billing import invoice, payment, payment_part
from shopdesk.persistence.tables.customers import customer
from shopdesk.persistence.tables.shop import person
from shopdesk.persistence.tables.vehicles import vehicle
from shopdesk.persistence.tables.work import work_order
from shopdesk.services.acting import AnyRow, Office, Reading


@dataclass(frozen=True, kw_only=True, slots=True)
class InvoiceRow:
    """One line of the invoices' list; money in minor units. ``id`` continues the list, newest first."""

    id: int
    number: int
    issued_on: date
    customer: str
    plate: str
    work_order_id: int
    work_order_number: int
    net_minor: int
    tax_minor: int
    total_minor: int
    open_minor: int
    currency: str


@dataclass(frozen=True, kw_only=True, slots=True)
class PaymentRow:
    """Money taken on an invoice, in minor units."""

    id: int
    on_date: date
    tender: str
    amount_minor: int
    note: str
    taken_by: str
    at_utc: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class InvoiceView:
    """An invoice with what was paid on it."""

    row: InvoiceRow
    payments: tuple[PaymentRow, ...]


def invoice_rows(
    reading: Reading,
    *,
    only_open: bool = False,
    contains: str = "",
    work_order_id: int | None = None,
    invoice_id: int | None = None,
    before_id: int | None = None,
    most: int = 100,
) -> tuple[InvoiceRow, ...]:
    """Give invoices, newest first, from a window of rows; ``contains`` is a number or part of a name key."""
    paid = (
        select(int_sum(payment_part.c.amount_minor))
        .where(payment_part.c.invoice_id == invoice.c.id)
        .scalar_subquery()
    )
    still_open = invoice.c.total_minor - func.coalesce(paid, 0)
    query = (
        select(
            invoice,
            customer.c.name.label("customer"),
            vehicle.c.plate,
            work_order.c.number.label("work_order_number"),
            still_open.label("open_minor"),
        )
        .join(customer, customer.c.id == invoice.c.customer_id)
        .join(work_order, work_order.c.id == invoice.c.work_order_id)
        .join(vehicle, vehicle.c.id == work_order.c.vehicle_id)
        .order_by(invoice.c.id.desc())
        .limit(most)
    )
    if only_open:
        query = query.where(still_open != 0)
    if contains:
        name = customer.c.sort_key.contains(contains, autoescape=True)
        number = invoice.c.number == int(contains) if contains.isdecimal() and len(contains) < 10 else None
        query = query.where(name if number is None else name | number)
    if work_order_id is not None:
        query = query.where(invoice.c.work_order_id == work_order_id)
    if invoice_id is not None:
        query = query.where(invoice.c.id == invoice_id)
    if before_id is not None:
        query = query.where(invoice.c.id < before_id)
    return tuple(_row(row) for row in reading.connection.execute(query))


def _row(row: AnyRow) -> InvoiceRow:
    return InvoiceRow(
        id=row.id,
        number=row.number,
        issued_on=row.issued_on,
        customer=row.customer,
        plate=row.plate,
        work_order_id=row.work_order_id,
        work_order_number=row.work_order_number,
        net_minor=row.net_minor,
        tax_minor=row.tax_minor,
        total_minor=row.total_minor,
        open_minor=int(row.open_minor),
        currency=row.currency,
    )


def payment_rows(reading: Reading, invoice_id: int) -> tuple[PaymentRow, ...]:
    """Give what was paid on an invoice, oldest first."""
    rows = reading.connection.execute(
        select(
            payment.c.id,
            payment.c.on_date,
            payment.c.tender,
            payment_part.c.amount_minor,
            payment.c.note,
            person.c.name.label("taken_by"),
            payment.c.at_utc,
        )
        .join(payment_part, payment_part.c.payment_id == payment.c.id)
        .join(person, person.c.id == payment.c.person_id)
        .where(payment_part.c.invoice_id == invoice_id)
        .order_by(payment.c.id)
    ).mappings()
    return tuple(PaymentRow(**row) for row in rows)


class Invoices:
    """The room where invoices are looked up."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def list(
        self,
        *,
        only_open: bool = False,
        contains: str = "",
        before_id: int | None = None,
        most: int = 100,
    ) -> tuple[InvoiceRow, ...]:
        """Give a window of the invoices' list."""
        with self._office.reading() as reading:
            return invoice_rows(
                reading, only_open=only_open, contains=contains, before_id=before_id, most=most
            )

    def invoice(self, invoice_id: int) -> InvoiceView:
        """Give an invoice with its payments."""
        with self._office.reading() as reading:
            reading.one(invoice, invoice_id, _("That invoice is not there."))
            (row,) = invoice_rows(reading, invoice_id=invoice_id, most=1)
            return InvoiceView(row=row, payments=payment_rows(reading, invoice_id))
