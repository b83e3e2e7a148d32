"""Job files changed at random, from a seed: each is kept whole or refused whole, and nothing else happens."""

from __future__ import annotations

import json
import random
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.desk import Desk
from shopdesk.services.job_file import read_job_file
from tests.cli.asking import SCHEMAS
from tests.services.floors import Floor
from tests.services.shopfloor import contents, document, put

SEED = 20261125
FILES = 300

VALUES: tuple[Any, ...] = (
    *("", " ", "0", "0 L", "1", "-1", "3.2 qt", "36 lbf*ft", "97 degF", "84310 mi", "1000 km", "249.00"),
    *("2026-11-25", "2026-11-25T09:30:00-07:00", "9" * 30, "9**9**9 qt", "\u0000", "\u202e", "ﷺ" * 100),
    *("x" * 3000, "drained", "none", "yes", "automatic", "measured refill", "level check only", "discount"),
    *("flow-through exchange", "company", "JPY", "EUR", 0, 1, 2, 5, 99, 100, -1, 10**14, True, False, None),
    *([], {}, [[]], ["x"], {"volume": "1 L"}, [{"volume": "1 L"}, {"volume": "2 L"}]),
    {"value": "36 N*m", "reason": "as found"},
)


def _places(value: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """Give the path of everything in a document."""
    parts = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, part in parts:
        yield (*path, str(key))
        yield from _places(part, (*path, str(key)))


def _at(content: Any, path: tuple[str, ...]) -> Any:
    for step in path:
        content = content[int(step)] if isinstance(content, list) else content[step]
    return content


def _replace(content: Any, path: tuple[str, ...], chance: random.Random) -> None:
    put(content, list(path), chance.choice(VALUES))


def _swap(content: Any, path: tuple[str, ...], chance: random.Random) -> None:
    put(content, list(path), _at(content, chance.choice(list(_places(content)))))


def _remove(content: Any, path: tuple[str, ...], _chance: random.Random) -> None:
    holder = _at(content, path[:-1])
    del holder[int(path[-1]) if isinstance(holder, list) else path[-1]]


def _twice(content: Any, path: tuple[str, ...], _chance: random.Random) -> None:
    holder = _at(content, path[:-1])
    if isinstance(holder, list):
        holder.append(_at(content, path))


CHANGES: tuple[Callable[[Any, tuple[str, ...], random.Random], None], ...] = (
    _replace,
    _replace,
    _swap,
    _remove,
    _twice,
)


def changed(chance: random.Random) -> dict[str, Any]:
    """Give one of the good job files with one to three things in it changed."""
    content = document(chance.choice(["us", "metric", "fixed_point"]), new_id=True)
    for _ in range(chance.choice([1, 1, 2, 3])):
        chance.choice(CHANGES)(content, chance.choice(list(_places(content))), chance)
    return content


def _kept(desk: Desk, content: object, file: Path) -> bool:
    """Keep a file as the command does; only a refusal may come of it."""
    file.write_text(json.dumps(content), encoding="utf-8")
    try:
        document_ = read_job_file(file, SCHEMAS / "job.json")
        done, _before = desk.jobs.run(document_)
        desk.jobs.view(done)
    except RuleBroken as refusal:
        if not refusal.sentence or (refusal.field and not refusal.field.startswith("/")):
            pytest.fail(f"{file.name} is refused without its place: {refusal.field!r} {refusal.sentence!r}")
        return False
    return True


def test_that_files_changed_at_random_are_kept_whole_or_refused_whole(
    one_floor: Floor, tmp_path: Path
) -> None:
    chance = random.Random(SEED)  # a seed, no secret
    kept, before = 0, contents(one_floor.url)
    for number in range(FILES):
        is_kept = _kept(one_floor.desk, changed(chance), tmp_path / f"{number}.json")
        after = contents(one_floor.url)
        if is_kept:
            kept += 1
            assert len(after["request"]) == len(before["request"]) + 1
        else:
            assert after == before
        before = after
    assert 30 < kept < FILES - 100, kept
    assert one_floor.desk.safekeeping.check().findings == ()
