"""What can be found and by which words: names, plates, VINs, telephone numbers and the shop's own numbers."""

import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from enum import StrEnum

from sqlalchemy import Connection, Table, select

from shopdesk.domain import text
from shopdesk.domain.words import N_
from shopdesk.persistence.search import Document
from shopdesk.persistence.tables.billing import invoice
from shopdesk.persistence.tables.customers import contact, customer
from shopdesk.persistence.tables.vehicles import ownership, vehicle
from shopdesk.persistence.tables.work import work_order
from shopdesk.services.acting import AnyRow

_MOST_TYPED = 200
_NO_APOSTROPHES = str.maketrans("", "", "'’ʼ`´")
_VIN_END = 8
_TITLE, _DETAIL = 200, 99  # characters; find_doc.shown holds 300 with the line end between


class FoundKind(StrEnum):
    """What was found."""

    CUSTOMER = N_("customer")
    VEHICLE = N_("vehicle")
    WORK_ORDER = N_("work order")
    INVOICE = N_("invoice")


SUBJECTS: Mapping[FoundKind, Table] = {
    FoundKind.CUSTOMER: customer,
    FoundKind.VEHICLE: vehicle,
    FoundKind.WORK_ORDER: work_order,
    FoundKind.INVOICE: invoice,
}
"""The table that each kind of document is made from."""


def documents_of(connection: Connection, kind: FoundKind, subject_ids: Sequence[int]) -> list[Document]:
    """Give what the index should hold of these subjects; an erased customer has no document."""
    return _MAKERS[kind](connection, subject_ids)


def _customers(connection: Connection, ids: Sequence[int]) -> list[Document]:
    phones: dict[int, list[AnyRow]] = {}
    for row in connection.execute(
        select(contact)
        .where(contact.c.customer_id.in_(ids), contact.c.kind == "phone")
        .order_by(contact.c.position)
    ):
        phones.setdefault(row.customer_id, []).append(row)
    rows = connection.execute(
        select(customer.c.id, customer.c.name).where(customer.c.id.in_(ids), customer.c.erased_at.is_(None))
    )
    return [_customer(row.id, row.name, phones.get(row.id, [])) for row in rows]


def _customer(customer_id: int, name: str, phones: Sequence[AnyRow]) -> Document:
    numbers = tuple(_digits(written) for phone in phones for written in (phone.normal, phone.typed))
    return Document(
        subject_id=customer_id,
        shown=_shown(name, phones[0].typed if phones else ""),
        starts=(*_words(name), _squeezed(name), *numbers),
        tails=numbers,
    )


def _vehicles(connection: Connection, ids: Sequence[int]) -> list[Document]:
    rows = connection.execute(
        select(vehicle, customer.c.name.label("keeper"))
        .outerjoin(ownership, (ownership.c.vehicle_id == vehicle.c.id) & ownership.c.to_on.is_(None))
        .outerjoin(customer, (customer.c.id == ownership.c.customer_id) & customer.c.erased_at.is_(None))
        .where(vehicle.c.id.in_(ids))
        .order_by(ownership.c.id)
    )
    return list({row.id: _vehicle(row) for row in rows}.values())


def _vehicle(row: AnyRow) -> Document:
    keeper = row.keeper or ""
    plate, vin = _squeezed(row.plate_key), _squeezed(row.vin)
    what = " ".join(str(part) for part in (row.year, row.make_text, row.model_text) if part)
    return Document(
        subject_id=row.id,
        shown=_shown(" · ".join(part for part in (row.plate or row.vin, what) if part), keeper),
        starts=(plate, vin, *_words(what), *_words(keeper)),
        tails=(plate, vin[-_VIN_END:]),
    )


def _work_orders(connection: Connection, ids: Sequence[int]) -> list[Document]:
    rows = connection.execute(
        select(work_order.c.id, work_order.c.number, work_order.c.po_number).where(work_order.c.id.in_(ids))
    )
    return [_numbered(row.id, row.number, _words(row.po_number)) for row in rows]


def _invoices(connection: Connection, ids: Sequence[int]) -> list[Document]:
    rows = connection.execute(select(invoice.c.id, invoice.c.number).where(invoice.c.id.in_(ids)))
    return [_numbered(row.id, row.number) for row in rows]


def _numbered(subject_id: int, number: int, words: Iterable[str] = ()) -> Document:
    """Whose it is, is looked up when it is found: a customer's new name must not change every paper's row."""
    written = str(number)
    return Document(
        subject_id=subject_id,
        shown=written,
        starts=(written, f"#{written}", *words),
        ends=(written,),
    )


_MAKERS: Mapping[FoundKind, Callable[[Connection, Sequence[int]], list[Document]]] = {
    FoundKind.CUSTOMER: _customers,
    FoundKind.VEHICLE: _vehicles,
    FoundKind.WORK_ORDER: _work_orders,
    FoundKind.INVOICE: _invoices,
}


def title(shown: str) -> str:
    """Give the first line of a hit, by which it is called; the second says whose it is."""
    return shown.partition("\n")[0]


def query_words(typed: str) -> list[str]:
    """Give the words of what somebody typed, in the form in which the index keeps words.

    ``#1234`` asks for a number only. Raises RuleBroken for letters under heaps of accents.
    """
    cleaned = text.clean(typed[:_MOST_TYPED], field="find", most=_MOST_TYPED)
    words = []
    for word in text.match_key(cleaned).split():
        bare = _bare(word)
        if bare:
            words.append(f"#{bare}" if word.startswith("#") and bare.isdecimal() else bare)
    return words


def _words(value: str) -> Iterator[str]:
    """Give each word as one, and the parts of one that is written in parts: "o’brien-quist" is found by
    "obrienquist", "obrien", "quist", "o" and "brien". What is the same twice, is kept once.
    """
    for word in text.match_key(value).split():
        yield _bare(word)
        for apart in (word.translate(_NO_APOSTROPHES), word):
            parts = "".join(each if _is_letter_or_digit(each) else " " for each in apart).split()
            yield from (_bare(part) for part in parts)


def _squeezed(value: str) -> str:
    """Give a text as one word: how it is typed with its spaces left out or put elsewhere."""
    return _bare(text.match_key(value))


def _bare(word: str) -> str:
    """Leave out all but letters, their marks and digits; digits of any script become 0 to 9."""
    return "".join(str(unicodedata.digit(each, each)) for each in word if _is_letter_or_digit(each))


def _is_letter_or_digit(character: str) -> bool:
    return unicodedata.category(character)[0] in "LMN"


def _digits(phone: str) -> str:
    return "".join(each for each in _squeezed(phone) if each.isdecimal())


def _shown(title: str, detail: str) -> str:
    """Give the two lines of a hit; what is too long for the index is cut."""
    return f"{title[:_TITLE]}\n{detail[:_DETAIL]}"
