"""Taking customers in: who they are and how to reach them."""

from dataclasses import dataclass
from enum import StrEnum
from gettext import gettext as _

from sqlalchemy import delete, insert, select

from shopdesk.domain import text
from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.words import N_
from shopdesk.persistence.tables.customers import address, contact, customer
from shopdesk.services import finding
from shopdesk.services.acting import Command, Reading, Writing


class CustomerKind(StrEnum):
    """Whom a tax rate may treat apart."""

    PERSON = N_("person")
    COMPANY = N_("company")
    FLEET = N_("fleet")


@dataclass(frozen=True, kw_only=True, slots=True)
class CustomerTyped(Command):
    """A customer as typed."""

    name: str
    kind: CustomerKind = CustomerKind.PERSON
    phones: tuple[str, ...] = ()
    emails: tuple[str, ...] = ()
    address: str = ""
    warning: str = ""
    note: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class AddCustomer(CustomerTyped):
    """Somebody who was not here before."""


@dataclass(frozen=True, kw_only=True, slots=True)
class EditCustomer(CustomerTyped):
    """New particulars of a customer that was read at ``version``."""

    customer_id: int
    version: int


@dataclass(frozen=True, kw_only=True, slots=True)
class CustomerKept:
    """Which customer, and what is worth saying about what was typed."""

    customer_id: int
    notes: tuple[str, ...] = ()


def add_customer(writing: Writing, command: CustomerTyped) -> CustomerKept:
    """Take a new customer in."""
    values = _particulars(command)
    customer_id = writing.add(customer, created_utc=writing.now, **values)
    notes = _keep_contacts(writing, customer_id, command)
    finding.index_customer(writing, customer_id)
    return CustomerKept(customer_id=customer_id, notes=notes)


def edit_customer(writing: Writing, command: EditCustomer) -> CustomerKept:
    """Change a customer's particulars; Conflict when somebody else changed them meanwhile."""
    row = writing.one(customer, command.customer_id, _("That customer is not there any more."))
    if row.version != command.version:
        raise Conflict(_("Somebody else changed this customer meanwhile; both versions are shown."))
    writing.change(customer, command.customer_id, **_particulars(command))
    writing.connection.execute(delete(contact).where(contact.c.customer_id == command.customer_id))
    writing.connection.execute(delete(address).where(address.c.customer_id == command.customer_id))
    notes = _keep_contacts(writing, command.customer_id, command)
    finding.index_customer(writing, command.customer_id)
    return CustomerKept(customer_id=command.customer_id, notes=notes)


def _particulars(command: CustomerTyped) -> dict[str, object]:
    name = text.required(command.name, field="name", label=_("the customer's name"), most=200)
    return {
        "kind": command.kind.value,
        "name": name,
        "sort_key": text.match_key(name)[:200],
        "warning": text.clean(command.warning, field="warning", most=500),
        "note": text.clean(command.note, field="note", most=4000, lines=True),
    }


def _keep_contacts(writing: Writing, customer_id: int, command: CustomerTyped) -> tuple[str, ...]:
    notes: list[str] = []
    for position, typed in enumerate(phone for phone in command.phones if phone.strip()):
        shown = text.clean(typed, field="phones", most=60)
        normal, note = read_phone(shown, writing.shop.locale)
        notes += [note] if note else []
        _contact(writing, customer_id, "phone", shown, normal, position)
    for position, typed in enumerate(email for email in command.emails if email.strip()):
        shown = text.clean(typed, field="emails", most=200)
        if shown.count("@") != 1 or shown.startswith("@") or shown.endswith("@") or " " in shown:
            raise RuleBroken(_("An e-mail address looks like name@example.com."), "emails")
        _contact(writing, customer_id, "email", shown, shown.casefold(), position)
    if command.address.strip():
        lines = text.clean(command.address, field="address", most=1000, lines=True)
        writing.add(address, customer_id=customer_id, position=0, lines=lines)
    return tuple(notes)


def _contact(writing: Writing, customer_id: int, kind: str, typed: str, normal: str, position: int) -> None:
    writing.connection.execute(
        insert(contact).values(
            customer_id=customer_id, kind=kind, typed=typed, normal=normal, position=position
        )
    )


def read_phone(typed: str, locale: str) -> tuple[str, str]:
    """Give the number in E.164 form, and a note when it does not look like a number of that country.

    What the customer gave is kept as typed. A number that cannot be one is refused.
    """
    import phonenumbers  # a twentieth of a second to load, and few runs take a phone number

    region = locale.partition("_")[2] or None
    try:
        number = phonenumbers.parse(typed, region)
    except phonenumbers.NumberParseException:
        sentence = _("This does not read as a phone number. Write it such as 555-0142 or +1 555 0142.")
        raise RuleBroken(sentence, "phones") from None
    note = (
        ""
        if phonenumbers.is_valid_number(number)
        else _("Check the phone number {typed}: it is unusual here.")
    )
    normal = phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)
    return normal, note.format(typed=typed)


def find_same_customer(reading: Reading, command: CustomerTyped) -> int | None:
    """Give the customer of this name with one of these phones, or of this name if no phone is given."""
    name = text.required(command.name, field="name", label=_("the customer's name"), most=200)
    key = text.match_key(name)[:200]
    named = select(customer.c.id).where(customer.c.sort_key == key).order_by(customer.c.id)
    phones = [text.clean(phone, field="phones", most=60) for phone in command.phones if phone.strip()]
    if not phones:
        return reading.connection.execute(named.limit(1)).scalar()
    normals = [read_phone(phone, reading.shop.locale)[0] for phone in phones]
    return reading.connection.execute(
        named.join(contact, contact.c.customer_id == customer.c.id)
        .where(contact.c.kind == "phone", contact.c.normal.in_(normals))
        .limit(1)
    ).scalar()
