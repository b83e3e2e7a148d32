"""Reads a job file: JSON, checked against its schema; every fault named with its place in the file."""

import json
from collections.abc import Iterator
from datetime import date, datetime
from gettext import gettext as _
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator, FormatChecker
from jsonschema.exceptions import ValidationError, best_match

from shopdesk.domain.errors import RuleBroken

#: A job is a few kilobytes; what is larger than this is something else.
MOST_BYTES = 1_000_000


def _is_date(text: object) -> bool:
    return not isinstance(text, str) or bool(date.fromisoformat(text))


def _is_instant(text: object) -> bool:
    return not isinstance(text, str) or datetime.fromisoformat(text).tzinfo is not None


def _formats() -> FormatChecker:
    checker = FormatChecker(formats=())
    checker.checks("date", raises=ValueError)(_is_date)
    checker.checks("date-time", raises=ValueError)(_is_instant)
    return checker


def read_job_file(file: Path, schema: Path) -> dict[str, Any]:
    """Give a job file's content; RuleBroken names the place as a JSON path, empty for the whole file."""
    document = _parsed(_text(file))
    rules = json.loads(schema.read_text(encoding="utf-8"))
    checker = Draft202012Validator(rules, format_checker=_formats())
    fault = best_match(checker.iter_errors(document))
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
            text, object_pairs_hook=_without_repeats, parse_float=_no_fraction, parse_constant=_no_fraction
        )
    except json.JSONDecodeError as trouble:
        sentence = _("This is not JSON: line {line}, column {column}.")
        raise RuleBroken(sentence.format(line=trouble.lineno, column=trouble.colno)) from trouble
    except RecursionError as trouble:
        raise RuleBroken(_("The file is nested too deeply to be a job.")) from trouble
    except ValueError as trouble:  # a whole number with thousands of digits
        raise RuleBroken(_("The file holds a number too long to be read.")) from trouble
    for path, said in _strings(document, ""):
        if any(0xD800 <= ord(letter) <= 0xDFFF for letter in said):
            raise RuleBroken(_("This text holds half a character (a lone surrogate)."), path)
    return document


def _without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        repeated = next(name for name, _value in pairs if sum(name == other for other, _v in pairs) > 1)
        raise RuleBroken(_('The key "{name}" stands twice in one object.').format(name=repeated))
    return found


def _no_fraction(text: str) -> Any:
    sentence = _("The number {number} must be text with its unit, such as {example}.")
    raise RuleBroken(sentence.format(number=text[:20], example='"3.2 qt"'))


def _strings(value: Any, path: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, dict):
        for key, item in value.items():
            yield path, key
            yield from _strings(item, f"{path}/{key}")
    elif isinstance(value, list):
        for at, item in enumerate(value):
            yield from _strings(item, f"{path}/{at}")


def _path(fault: ValidationError) -> str:
    steps = "".join(f"/{step}" for step in fault.absolute_path)
    if fault.validator == "additionalProperties":
        return f"{steps}/{_unknown(fault)}"
    if fault.validator == "required":
        return f"{steps}/{_missing(fault)}"
    return steps


def _unknown(fault: ValidationError) -> str:
    return next(str(key) for key in fault.instance if key not in fault.schema["properties"])[:60]


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
        case "format" | "pattern":
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
