"""A service record as a short signed text that fits a square code (resources/schemas/record-code.md).

The text is ``SD1:`` and then bytes in base 41, two bytes in three letters that a square code holds
densely. The bytes are the parts in their order, each with a check of its own: a letter changed by
accident or by hand is named with its part. What a check cannot find out, the signature does.
"""

import binascii
import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from gettext import gettext as _
from uuid import UUID

from shopdesk.domain.code_fields import CODE_FIELD, CODE_FIELDS, CodeField, CodeKind, CodePart
from shopdesk.domain.errors import RuleBroken

PREFIX = "SD1:"
LETTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ+-./:"
KEY_BYTES, SIGNATURE_BYTES = 32, 64
#: A code is about 600 letters; what is longer than this is something else.
MOST_LETTERS = 4_000

_BASE = len(LETTERS)
_EPOCH = date(2000, 1, 1)
_CHECK_START = 0xFFFF
_MOST_VARINT = 10
_FIELD_NUMBERS: dict[int, CodeField] = {field.number: field for field in CODE_FIELDS}

CodeValue = int | str | date


class CodeBroken(RuleBroken):
    """A code that is not as it was written; the sentence says where."""


@dataclass(frozen=True, kw_only=True, slots=True)
class OpenedCode:
    """A code whose checks hold: its facts by name, the key in it, and what the signature is over."""

    facts: Mapping[str, CodeValue]
    public_key: bytes
    signature: bytes
    signed: bytes


def to_sign(facts: Mapping[str, CodeValue], public_key: bytes) -> bytes:
    """Give the bytes that are signed: every part but the signature, after the prefix.

    Facts are named as in ``CODE_FIELD``; a name that is not there is a bug and raises KeyError.
    """
    wanted = sorted(facts, key=lambda name: CODE_FIELD[name].number)
    bodies = dict.fromkeys(CodePart, b"")
    for name in wanted:
        field = CODE_FIELD[name]
        bodies[field.part] += _varint(field.number) + _written(field, facts[name])
    bodies[CodePart.KEY] = public_key
    parts = (_part(part, bodies[part]) for part in CodePart if part is not CodePart.SIGNATURE)
    return PREFIX.encode("ascii") + b"".join(parts)


def sealed(signed: bytes, signature: bytes) -> str:
    """Give the text of a code from what was signed and its signature."""
    return PREFIX + to_base41(signed[len(PREFIX) :] + _part(CodePart.SIGNATURE, signature))


def open_code(text: str) -> OpenedCode:
    """Read a code's text back. Raises CodeBroken with the place where it is not as it was written, and
    RuleBroken for what is no code at all.

    Nothing is said about the signature: whoever knows keys has to look at it.
    """
    content = _content(text)
    reader = _Reader(content)
    bodies = {part: reader.part(part) for part in CodePart}
    if reader.at != len(content):
        raise _broken(_("there is something after its end"), reader.at, len(content))
    facts: dict[str, CodeValue] = {}
    for part, body in bodies.items():
        if part not in (CodePart.KEY, CodePart.SIGNATURE):
            facts |= _facts(part, body)
    _check_length(CodePart.KEY, bodies[CodePart.KEY], KEY_BYTES)
    _check_length(CodePart.SIGNATURE, bodies[CodePart.SIGNATURE], SIGNATURE_BYTES)
    return OpenedCode(
        facts=facts,
        public_key=bodies[CodePart.KEY],
        signature=bodies[CodePart.SIGNATURE],
        signed=PREFIX.encode("ascii") + content[: reader.starts[CodePart.SIGNATURE]],
    )


def fingerprint(public_key: bytes) -> str:
    """Give a key's short name for people to compare: the first 80 bits of its SHA-256, in fours."""
    digits = hashlib.sha256(public_key).hexdigest().upper()[:20]
    return "-".join(digits[at : at + 4] for at in range(0, len(digits), 4))


def shortened(text: str, most: int) -> str:
    """Give a text in at most ``most`` characters, with an ellipsis where something was left out."""
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"


def to_base41(content: bytes) -> str:
    """Write bytes in base 41: three letters for two bytes, lowest first; two for a last single byte."""
    letters = []
    for at in range(0, len(content), 2):
        pair = content[at : at + 2]
        value = int.from_bytes(pair, "big")
        for _place in range(len(pair) + 1):
            value, digit = divmod(value, _BASE)
            letters.append(LETTERS[digit])
    return "".join(letters)


def from_base41(text: str) -> bytes:
    """Read base 41. Raises CodeBroken naming the first group of letters that cannot be one."""
    content = bytearray()
    for at in range(0, len(text), 3):
        group = text[at : at + 3]
        value = 0
        for place in reversed(range(len(group))):
            value = value * _BASE + _digit(group[place], at + place)
        size = len(group) - 1
        if size == 0 or value >= 256**size:
            raise _at_letters(_("these letters stand for nothing"), at, at + len(group))
        content += value.to_bytes(size, "big")
    return bytes(content)


def _digit(letter: str, at: int) -> int:
    digit = LETTERS.find(letter)
    if digit < 0:
        raise _at_letters(_("this letter is not one of a code's"), at, at + 1)
    return digit


def _content(text: str) -> bytes:
    """Give a code's bytes. Spaces and line breaks, as a mail program may add them, do not count."""
    tidy = "".join(text[: MOST_LETTERS + 1].split()).upper()
    if not tidy.startswith(PREFIX):
        raise RuleBroken(_("This is not the code of a service record: it does not begin with SD1:."), "code")
    if len(text) > MOST_LETTERS:
        raise RuleBroken(_("This is longer than the code of a service record can be."), "code")
    return from_base41(tidy[len(PREFIX) :])


def _part(part: CodePart, body: bytes) -> bytes:
    head = bytes([_tag(part)]) + _varint(len(body)) + body
    return head + binascii.crc_hqx(head, _CHECK_START).to_bytes(2, "big")


def _tag(part: CodePart) -> int:
    return list(CodePart).index(part) + 1


class _Reader:
    """Takes the parts off a code's bytes, one after another."""

    def __init__(self, content: bytes) -> None:
        self._content = content
        self.at = 0
        self.starts: dict[CodePart, int] = {}

    def part(self, part: CodePart) -> bytes:
        """Take the next part and give its body, once its check holds."""
        start = self.starts[part] = self.at
        rest = self._content[start:]
        whole = _framed(rest, _tag(part))
        if whole is None:
            reason = _("the part about {part} is cut or was changed").format(part=_(part))
            raise _broken(reason, start, len(self._content))
        head, body = whole
        end = start + len(head) + 2
        if binascii.crc_hqx(head, _CHECK_START).to_bytes(2, "big") != self._content[end - 2 : end]:
            raise _broken(_("the part about {part} was changed").format(part=_(part)), start, end)
        self.at = end
        return body


def _framed(rest: bytes, tag: int) -> tuple[bytes, bytes] | None:
    """Give a part without its check, and its body; None when it cannot be one."""
    if not rest or rest[0] != tag:
        return None
    found = _read_varint(rest, 1)
    if found is None:
        return None
    length, at = found
    if at + length + 2 > len(rest):
        return None
    return rest[: at + length], rest[at : at + length]


def _check_length(part: CodePart, body: bytes, wanted: int) -> None:
    if len(body) != wanted:
        raise CodeBroken(_("The part about {part} has the wrong length.").format(part=_(part)), "code")


def _facts(part: CodePart, body: bytes) -> dict[str, CodeValue]:
    """Read a part's fields; their numbers rise, so that one content has one code."""
    facts: dict[str, CodeValue] = {}
    at, last = 0, 0
    while at < len(body):
        found = _read_varint(body, at)
        field = _FIELD_NUMBERS.get(found[0]) if found else None
        if found is None or field is None or field.part is not part or field.number <= last:
            raise _unknown(part)
        read = _read(field, body, found[1])
        if read is None:
            raise _unknown(part)
        facts[field.name], at = read
        last = field.number
    return facts


def _unknown(part: CodePart) -> CodeBroken:
    sentence = _("The part about {part} cannot be read; perhaps a newer program wrote it.")
    return CodeBroken(sentence.format(part=_(part)), "code")


def _written(field: CodeField, value: CodeValue) -> bytes:
    if isinstance(value, date):
        return _varint(_zigzag((value - _EPOCH).days))
    if isinstance(value, int):
        return _varint(_zigzag(value))
    if field.kind is CodeKind.UID:
        return UUID(value).bytes
    if field.kind is CodeKind.CHOICE:
        return _varint(_zigzag(field.choices.index(value)))
    letters = shortened(value, field.most).encode("utf-8")
    return _varint(len(letters)) + letters


def _read(field: CodeField, body: bytes, at: int) -> tuple[CodeValue, int] | None:
    """Give a field's value and where the next begins; None when it cannot be one."""
    if field.kind is CodeKind.UID:
        return (str(UUID(bytes=body[at : at + 16])), at + 16) if at + 16 <= len(body) else None
    found = _read_varint(body, at)
    if found is None:
        return None
    number, end = found
    if field.kind is CodeKind.TEXT:
        return _read_text(body, end, number)
    value = (number >> 1) ^ -(number & 1)
    if field.kind is CodeKind.DAY:
        return (_EPOCH + timedelta(days=value), end) if abs(value) < 100_000 else None
    if field.kind is CodeKind.CHOICE:
        return (field.choices[value], end) if 0 <= value < len(field.choices) else None
    return value, end


def _read_text(body: bytes, at: int, length: int) -> tuple[str, int] | None:
    if at + length > len(body):
        return None
    try:
        return body[at : at + length].decode("utf-8"), at + length
    except UnicodeDecodeError:
        return None


def _zigzag(value: int) -> int:
    return value * 2 if value >= 0 else -value * 2 - 1


def _varint(value: int) -> bytes:
    """Seven bits a byte, lowest first, the top bit on all but the last."""
    content = bytearray()
    while True:
        value, low = value >> 7, value & 0x7F
        content.append(low | (0x80 if value else 0))
        if not value:
            return bytes(content)


def _read_varint(content: bytes, at: int) -> tuple[int, int] | None:
    value = 0
    for place, byte in enumerate(content[at : at + _MOST_VARINT]):
        value |= (byte & 0x7F) << (7 * place)
        if not byte & 0x80:
            return (value, at + place + 1) if byte or place == 0 else None
    return None


def _broken(reason: str, first_byte: int, end_byte: int) -> CodeBroken:
    return _at_letters(reason, first_byte // 2 * 3, (end_byte + 1) // 2 * 3)


def _at_letters(reason: str, first: int, end: int) -> CodeBroken:
    """Name the place as a person counts it: letters from 1, with the prefix."""
    sentence = _("The code is not as it was written: {reason} (letters {first} to {last}).").format(
        reason=reason, first=first + len(PREFIX) + 1, last=end + len(PREFIX)
    )
    return CodeBroken(sentence, "code")


def conditions_number(states: Mapping[str, int], keys: tuple[str, ...]) -> int:
    """Give the states (places in STATES) of conditions as one number, two bits each, the first lowest."""
    return sum(states.get(key, 0) << (2 * place) for place, key in enumerate(keys))


def conditions_from(number: int, keys: tuple[str, ...]) -> Iterator[tuple[str, int]]:
    """Give each condition that was asked for, with its state."""
    for place, key in enumerate(keys):
        state = (number >> (2 * place)) & 3
        if state:
            yield key, state
