"""Frozen values to plain JSON data and back.

Commands, results, sheet bodies and paper data are frozen dataclasses of plain values. They are kept
as canonical JSON, so that a hash over them means something; this is the one place that says how.
Floats are refused: what is kept is exact.
"""

import dataclasses
import types
from collections.abc import Mapping
from datetime import date, datetime
from enum import Enum
from fractions import Fraction
from functools import cache
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

T = TypeVar("T")
Plain = None | bool | int | str | list["Plain"] | dict[str, "Plain"]


def to_plain(value: Any) -> Any:
    """Give ``value`` as JSON data: dataclasses as objects, sets sorted, dates as ISO text."""
    if value is None or (isinstance(value, bool | int | str) and not isinstance(value, Enum)):
        return value
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, date | datetime):
        return value.isoformat()
    if isinstance(value, Fraction):
        return f"{value.numerator}/{value.denominator}"
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: to_plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): to_plain(item) for key, item in value.items()}
    if isinstance(value, frozenset | set):
        return sorted(to_plain(item) for item in value)
    if isinstance(value, tuple | list):
        return [to_plain(item) for item in value]
    raise TypeError(f"{type(value).__name__} has no exact plain form")


def from_plain(kind: type[T], data: Any) -> T:
    """Give the ``kind`` that ``to_plain`` turned into ``data``; unknown keys are a bug and raise."""
    result: T = _read(kind, data)
    return result


def fields_from_plain(kind: type, data: Mapping[str, Any]) -> dict[str, Any]:
    """Give only the fields of ``kind`` that ``data`` holds, each as its own type."""
    hints = _hints(kind)
    return {name: _read(hints[name], item) for name, item in data.items()}


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _read(kind: Any, data: Any) -> Any:
    origin = get_origin(kind)
    if origin in (Union, types.UnionType):
        return _read_optional(kind, data)
    if origin in (tuple, frozenset):
        return _read_many(origin, get_args(kind), data)
    if origin in (dict, Mapping) or (origin is not None and issubclass(origin, Mapping)):
        return {key: _read(get_args(kind)[1], item) for key, item in data.items()}
    if dataclasses.is_dataclass(kind):
        hints = _hints(kind)  # type: ignore[arg-type]
        return kind(**{name: _read(hints[name], item) for name, item in data.items()})  # type: ignore[operator]
    return _read_scalar(kind, data)


def _read_optional(kind: Any, data: Any) -> Any:
    if data is None:
        return None
    choices = [choice for choice in get_args(kind) if choice is not type(None)]
    return _read(choices[0], data)


def _read_many(origin: Any, arguments: tuple[Any, ...], data: Any) -> Any:
    if origin is tuple and len(arguments) > 1 and arguments[1] is not Ellipsis:
        return tuple(_read(one, item) for one, item in zip(arguments, data, strict=True))
    return origin(_read(arguments[0], item) for item in data)


def _read_scalar(kind: Any, data: Any) -> Any:
    if kind is datetime:
        return datetime.fromisoformat(data)
    if kind is date:
        return date.fromisoformat(data)
    if kind is Fraction:
        return Fraction(data)
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind(data)
    return data
