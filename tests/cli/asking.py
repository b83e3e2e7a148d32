"""Ask the commands as a person would, and keep what they said."""

from __future__ import annotations

import io
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from shopdesk.cli import commands
from shopdesk.services.desk import Desk
from tests.services.shopfloor import CLONE, JOBS

SCHEMAS = CLONE / "resources" / "schemas"


@dataclass(frozen=True, slots=True)
class Said:
    """How a command ended and what it said."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        return json.loads(self.out)


def ask(desk: Desk, *words: str | Path) -> Said:
    """Give a command its words, on a desk that is open already."""
    out, err = io.StringIO(), io.StringIO()
    doors = commands.Doors(
        open_desk=lambda _: desk, address="", demo_address="", schemas=SCHEMAS, out=out, err=err
    )
    code = commands.run([str(word) for word in words], doors)
    return Said(code, out.getvalue(), err.getvalue())


def job_file(name: str) -> Path:
    """Give the place of one of the job files that come with the tests."""
    return JOBS / f"{name}.json"


def written(content: Any, folder: Path, name: str = "job.json") -> Path:
    """Write a job's content into a file."""
    file = folder / name
    file.write_text(json.dumps(content, ensure_ascii=False), encoding="utf-8")
    return file
