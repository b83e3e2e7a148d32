"""Checks the code of a service record, whoever holds it: without a shop, a database or a network."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from gettext import gettext as _
from gettext import ngettext

from shopdesk.domain import units
from shopdesk.domain.code_fields import CODE_FIELDS, CONDITIONS, STATES, CodeField, CodeKind
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.record_code import (
    PREFIX,
    CodeBroken,
    CodeValue,
    conditions_from,
    fingerprint,
    open_code,
)
from shopdesk.domain.words import N_
from shopdesk.services.figures import Figures
from shopdesk.services.shopfacts import neutral_shop
from shopdesk.services.signing import signature_holds

#: A picture or a paper; what is longer is not read.
MOST_BYTES = 25_000_000

_KEY = re.compile(r"[0-9a-f]{64}")
_FINGERPRINT = re.compile(r"[0-9A-F]{4}(?:-[0-9A-F]{4}){4}")

#: What a person is told a condition asks for.
_CONDITION_WORDS = {
    "attitude": N_("vehicle standing level"),
    "stance": N_("how the vehicle stands"),
    "engine": N_("engine state"),
    "selector": N_("selector cycled"),
    "window_open": N_("temperature at opening inside the window"),
    "window_close": N_("temperature at closing inside the window"),
    "window_reading": N_("temperature at reading inside the window"),
    "flow_open": N_("flow at opening"),
    "flow_close": N_("flow at closing"),
    "edge": N_("fluid at the edge of the hole"),
    "marks": N_("level between the marks"),
    "drained": N_("drained measured"),
    "quantity": N_("measured quantity put in"),
}


#: "Proven" would promise a reader too much.
_VERDICT_WORDS = {
    "proven": N_("set: all conditions recorded as met"),
    "not proven": N_("not shown to be set"),
}


@dataclass(frozen=True, kw_only=True, slots=True)
class CheckedCode:
    """A code that is as it was signed. ``key_named``: the key is the one the person named."""

    facts: Mapping[str, CodeValue]
    public_hex: str
    fingerprint: str
    key_named: bool

    def told(self) -> tuple[tuple[str, str], ...]:
        """Give the facts as (label, text), in both systems of units."""
        return tuple(_told(self.facts))


def codes_of(content: bytes) -> tuple[str, ...]:
    """Give the record codes in a file: a picture, a PDF, or the code as text.

    Raises RuleBroken when there is none.
    """
    text = content[:10_000].decode("utf-8", "ignore").lstrip("\ufeff").strip()
    if text[: len(PREFIX)].upper() == PREFIX:
        return (text,)
    from shopdesk.documents.code_reading import codes_in  # few runs look at pictures

    found = codes_in(content)
    codes = tuple(dict.fromkeys(code for code in found if code.startswith(PREFIX)))
    if codes:
        return codes
    if found:
        raise RuleBroken(_("There is a square code, but it is not that of a service record."), "picture")
    sentence = _("No square code can be read in it: take the picture closer, straight and in good light.")
    raise RuleBroken(sentence, "picture")


def check_code(text: str, *, key: str = "") -> CheckedCode:
    """Check a code's text against the key in it and, if given, against a key known otherwise.

    ``key`` is a public key in hexadecimal or its fingerprint. Raises CodeBroken when the code is not
    as the key's owner signed it or was signed with another key, RuleBroken for what is no code or no key.
    """
    wanted = read_key(key) if key else ""
    code = open_code(text)
    if not signature_holds(code.public_key, code.signature, code.signed):
        sentence = _("The signature does not fit: the facts or the key were changed after signing.")
        raise CodeBroken(sentence, "code")
    name = fingerprint(code.public_key)
    if wanted and wanted not in (code.public_key.hex(), name):
        sentence = _("The code is whole, but it was signed with another key: {fingerprint}.")
        raise CodeBroken(sentence.format(fingerprint=name), "key")
    return CheckedCode(
        facts=code.facts, public_hex=code.public_key.hex(), fingerprint=name, key_named=bool(wanted)
    )


def read_key(text: str) -> str:
    """Find a public key or a fingerprint in what was given; RuleBroken when there is none."""
    found = _KEY.search(text.lower()) or _FINGERPRINT.search(text.upper())
    if found is None:
        sentence = _("A key is 64 hexadecimal digits, or its fingerprint such as 0123-4567-89AB-CDEF-0123.")
        raise RuleBroken(sentence, "key")
    return found.group()


def _told(facts: Mapping[str, CodeValue]) -> Iterator[tuple[str, str]]:
    for field in CODE_FIELDS:
        value = facts.get(field.name)
        if value is not None and field.label:
            yield _(field.label), _value_words(field, value, facts)


def _value_words(field: CodeField, value: CodeValue, facts: Mapping[str, CodeValue]) -> str:
    if isinstance(value, str):
        said = _(_VERDICT_WORDS.get(value, value)) if field.kind is CodeKind.CHOICE else value
        return "".join(letter if letter.isprintable() else " " for letter in said)
    if not isinstance(value, int):
        return value.isoformat()
    if field.kind is CodeKind.TENTHS:
        return f"{value // 10:,} {facts.get(f'{field.name}_unit', '')}".rstrip()
    return _number_words(field.kind, value)


def _number_words(kind: CodeKind, value: int) -> str:
    figures = Figures(neutral_shop())
    if kind is CodeKind.VOLUME:
        quarts = figures.number(units.from_ul(value, "qt"), 2)
        return f"{figures.volume(value, places=3)} ({quarts} qt)"
    if kind is CodeKind.TEMPERATURE:
        return f"{figures.temperature(value)} ({figures.temperature(value, 'degf')})"
    if kind is CodeKind.TORQUE:
        return figures.torque(value)
    if kind is CodeKind.LENGTH:
        return figures.length(value)
    if kind is CodeKind.SHARE:
        return f"{figures.number(Fraction(value, 10), 1)} %"
    if kind is CodeKind.YES_NO:
        return _("yes") if value else _("no")
    return _condition_words(value) if kind is CodeKind.CONDITIONS else str(value)


def _condition_words(number: int) -> str:
    states = dict(conditions_from(number, CONDITIONS))
    met = sum(state == STATES.index("met") for state in states.values())
    told = [ngettext("{n} met", "{n} met", met).format(n=met)]
    told += [
        f"{_(_CONDITION_WORDS[key])}: {_(STATES[state])}"
        for key, state in states.items()
        if STATES[state] != "met"
    ]
    return "; ".join(told)
