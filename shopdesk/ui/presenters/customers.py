"""A customer's texts: from what is kept to the fields of a form, and back to a command."""

import re
from collections.abc import Callable, Mapping
from gettext import gettext as _

from shopdesk.domain import text
from shopdesk.services.acting import Actor
from shopdesk.services.customers import AddCustomer, CustomerKind, EditCustomer, read_phone
from shopdesk.services.intake import CustomerRow, CustomerView

_LEAST_DIGITS = 3


def kind_choices() -> list[tuple[str, str]]:
    """Give the kinds of customer as key and words."""
    return [(kind.value, _(kind.value).capitalize()) for kind in CustomerKind]


def several(typed: str) -> tuple[str, ...]:
    """Take apart what was typed with commas, semicolons or line ends between."""
    return tuple(part.strip() for part in re.split(r"[,;\n]", typed) if part.strip())


def customer_texts(view: CustomerView) -> dict[str, str]:
    """Give the texts of a form that shows a customer."""
    return {
        "name": view.name,
        "kind": view.kind.value,
        "phones": ", ".join(view.phones),
        "emails": ", ".join(view.emails),
        "address": view.address,
        "warning": view.warning,
        "note": view.note,
    }


def add_customer(texts: Mapping[str, str], actor: Actor, uid: str) -> AddCustomer:
    """Give the command that takes a new customer in."""
    return AddCustomer(
        actor=actor,
        uid=uid,
        name=texts.get("name", ""),
        kind=CustomerKind(texts.get("kind") or CustomerKind.PERSON),
        phones=several(texts.get("phones", "")),
        emails=several(texts.get("emails", "")),
        address=texts.get("address", ""),
        warning=texts.get("warning", ""),
        note=texts.get("note", ""),
    )


def edit_customer(
    texts: Mapping[str, str], actor: Actor, uid: str, *, customer_id: int, version: int
) -> EditCustomer:
    """Give the command that changes a customer read at ``version``."""
    return EditCustomer(
        actor=actor,
        uid=uid,
        customer_id=customer_id,
        version=version,
        name=texts["name"],
        kind=CustomerKind(texts["kind"] or CustomerKind.PERSON),
        phones=several(texts["phones"]),
        emails=several(texts["emails"]),
        address=texts["address"],
        warning=texts["warning"],
        note=texts["note"],
    )


def phones_reader(locale: str) -> Callable[[str], str]:
    """Give what reads telephone numbers while they are typed: RuleBroken, or what is unusual about them."""

    def read(typed: str) -> str:
        notes = [read_phone(text.clean(one, field="phones", most=60), locale)[1] for one in several(typed)]
        return " ".join(note for note in notes if note)

    return read


def list_filter(typed: str) -> tuple[str, str]:
    """Give the name's key and the telephone's digits that a filter text asks for."""
    key = text.match_key(typed[:200])
    digits = "".join(each for each in key if each.isdecimal())
    return key, digits if len(digits) >= _LEAST_DIGITS else ""


def row_line(row: CustomerRow) -> str:
    """Give a customer in one line."""
    return " · ".join(part for part in (row.name, row.phone) if part)


def saved_sentence(name: str, notes: tuple[str, ...]) -> str:
    """Say that a customer was kept, with what is worth looking at again."""
    return " ".join((_("{name} is saved.").format(name=name), *notes))
