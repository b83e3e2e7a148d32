"""Reads a job file: JSON, checked against its schema; every fault named with its place in the file."""

import json
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from gettext import gettext as _
from itertools import islice
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator, FormatChecker
from jsonschema.exceptions import ValidationError, best_match

from shopdesk.domain.errors import RuleBroken

#: A job is a few kilobytes; what is larger than this is something else.
MOST_BYTES = 250_000
#: The schema is five levels deep.
_MOST_LEVELS = 20
#: A file with more faults than this is not read on to find the best one to name.
_MOST_FAULTS = 50
#: Whole numbers here are counts, months, seconds; none needs more digits.
_MOST_DIGITS = 15


@dataclass(frozen=True, slots=True)
class _Unreadable:
    """Stands in a parsed file for what JSON allows and a job file does not."""

    sentence: str


def _in_range(day: date) -> bool:
    """A day that can be counted on from and back; the ends of the calendar are typing errors."""
    return 1900 <= day.year <= 2200


def _is_date(text: object) -> bool:
    return not isinstance(text, str) or _in_range(date.fromisoformat(text))


def _is_instant(text: object) -> bool:
    if not isinstance(text, str):
        return True
    at = datetime.fromisoformat(text)
    return at.tzinfo is not None and _in_range(at)


def _formats() -> FormatChecker:
    checker = FormatChecker(formats=())
    checker.checks("date", raises=ValueError)(_is_date)
    checker.checks("date-time", raises=ValueError)(_is_instant)
    return checker


def read_job_file(file: Path, schema: Path) -> dict[str, Any]:
    """Give a job file's content; RuleBroken names the place as a JSON path, empty for the whole file."""
    return _checked(_parsed(_text(file)), schema)


def read_checked_file(file: Path, schemas: Path, by_format: Mapping[str, str]) -> dict[str, Any]:
    """Give the content of a file whose ``format`` names the schema it is held against.

    RuleBroken names the place as a JSON path, empty for the whole file.
    """
    document = _parsed(_text(file))
    named = document.get("format") if isinstance(document, dict) else None
    schema = by_format.get(named) if isinstance(named, str) else None
    if schema is None:
        sentence = _("This file is of no kind that can be read here: {formats}.")
        raise RuleBroken(sentence.format(formats=", ".join(by_format)), "/format")
    return _checked(document, schemas / schema)


def _checked(document: Any, schema: Path) -> dict[str, Any]:
    rules = json.loads(schema.read_text(encoding="utf-8"))
    checker = Draft202012Validator(rules, format_checker=_formats())
    fault = best_match(islice(checker.iter_errors(document), _MOST_FAULTS))
    if fault is not None:
        raise RuleBroken(_sentence(fault), _path(fault))
    found: dict[str, Any] = document
    return found


def _text(file: Path) -> str:
    try:
        with file.open("rb") as opened:
            content = opened.read(MOST_BYTES + 1)
    except OSError as trouble:
        sentence = _("The file cannot be read: {reason}.")
        raise RuleBroken(sentence.format(reason=trouble.strerror)) from trouble
    if len(content) > MOST_BYTES:
        raise RuleBroken(_("The file is larger than a job can be."))
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        sentence = _("The file is not UTF-8 text (byte {place}).")
        raise RuleBroken(sentence.format(place=trouble.start)) from trouble


def _parsed(text: str) -> Any:
    try:
        document = json.loads(
            text,
            object_pairs_hook=_object,
            parse_float=_no_fraction,
            parse_constant=_no_fraction,
            parse_int=_whole,
        )
    except json.JSONDecodeError as trouble:
        sentence = _("This is not JSON: line {line}, column {column}.")
        raise RuleBroken(sentence.format(line=trouble.lineno, column=trouble.colno)) from trouble
    except RecursionError as trouble:
        raise RuleBroken(_too_deep()) from trouble
    _refuse_unreadable(document)
    return document


def _too_deep() -> str:
    return _("The file is nested too deeply to be a job.")


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any] | _Unreadable:
    found = dict(pairs)
    if len(found) == len(pairs):
        return found
    repeated = next(name for name, times in Counter(name for name, _value in pairs).items() if times > 1)
    return _Unreadable(_('The key "{name}" stands twice in one object.').format(name=_shown(repeated)))


def _no_fraction(text: str) -> _Unreadable:
    sentence = _("The number {number} must be text with its unit, such as {example}.")
    return _Unreadable(sentence.format(number=text[:20], example='"3.2 qt"'))


def _whole(text: str) -> int | _Unreadable:
    if len(text) <= _MOST_DIGITS:
        return int(text)
    return _Unreadable(_("The number {number}… is too long to be read.").format(number=text[:20]))


def _refuse_unreadable(document: Any) -> None:
    """Walk the file without calling ourselves: its depth must not be ours."""
    waiting: list[tuple[str, Any, int]] = [("", document, 0)]
    while waiting:
        path, value, level = waiting.pop()
        if level > _MOST_LEVELS:
            raise RuleBroken(_too_deep(), path)
        if isinstance(value, _Unreadable):
            raise RuleBroken(value.sentence, path)
        if isinstance(value, str):
            _refuse_halves(value, path)
        elif isinstance(value, dict):
            for key in value:
                _refuse_halves(key, path)
            waiting += [(f"{path}/{_shown(key)}", part, level + 1) for key, part in reversed(value.items())]
        elif isinstance(value, list):
            parts = list(enumerate(value))
            waiting += [(f"{path}/{at}", part, level + 1) for at, part in reversed(parts)]


def _refuse_halves(said: str, path: str) -> None:
    if not said.isascii() and any("\ud800" <= letter <= "\udfff" for letter in said):
        raise RuleBroken(_("This text holds half a character (a lone surrogate)."), path)


def _shown(key: str) -> str:
    """Give a key as it can stand in a sentence: cut short, and what cannot be seen written out."""
    return "".join(each if each.isprintable() else f"\\u{ord(each):04x}" for each in key[:60])


def _path(fault: ValidationError) -> str:
    steps = "".join(f"/{step}" for step in fault.absolute_path)
    if fault.validator == "additionalProperties":
        return f"{steps}/{_unknown(fault)}"
    if fault.validator == "required":
        return f"{steps}/{_missing(fault)}"
    return steps


def _unknown(fault: ValidationError) -> str:
    return _shown(next(str(key) for key in fault.instance if key not in fault.schema["properties"]))


def _missing(fault: ValidationError) -> str:
    return next(str(key) for key in fault.validator_value if key not in fault.instance)


def _sentence(fault: ValidationError) -> str:
    match fault.validator:
        case "required":
            return _("This is missing.")
        case "additionalProperties":
            return _("This key is not known here.")
        case "enum":
            return _("Choose one of: {choices}.").format(choices=", ".join(map(str, fault.validator_value)))
        case "const":
            return _('This must be "{value}".').format(value=fault.validator_value)
        case "type":
            return _type_sentence(str(fault.validator_value))
        case "format" | "pattern" | "maxLength":
            return _format_sentence(str(fault.schema.get("format", "")))
        case "minItems":
            return _("This list cannot be empty.")
        case "minimum" | "maximum":
            return _("This number is outside what is possible here.")
        case _:
            return _("This is an object with a volume, or a list of them.")


def _type_sentence(wanted: str) -> str:
    words = {
        "string": _('This must be text in quotes, such as "3.2 qt".'),
        "integer": _("This must be a whole number."),
        "boolean": _("This must be true or false."),
        "array": _("This must be a list."),
        "object": _("This must be an object."),
    }
    return words[wanted]


def _format_sentence(wanted: str) -> str:
    if wanted == "date":
        return _("Write a day such as 2026-11-25.")
    if wanted == "date-time":
        return _("Write an instant with its offset, such as 2026-11-25T09:30:00-07:00.")
    return _("Write a UUID such as 0b9bd3f2-6d6c-4f5e-9d0e-3f4b8a8f0a11.")
