"""A record leaves one shop as a file and a paper and is judged in another, by keyboard alone.

What was measured is told the same in both; a changed letter is refused, a changed reading is found.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtWidgets import QApplication

from shopdesk.ui.screens.verify import VerifyScreen
from tests.journeys.conftest import Run, Start
from tests.ui.shop_window import StandingClock, make_shop
from tests.ui.work_shop import make_work_shop


def page_of(run: Run) -> VerifyScreen:
    screen = run.program.window.ways.screen
    assert isinstance(screen, VerifyScreen)
    return screen


def find(run: Run, words: str) -> None:
    """Go somewhere through Find or do."""
    run.keyboard.key("Ctrl+K")
    run.keyboard.type(words)
    run.keyboard.settle()
    run.keyboard.key("Return")


def judge(run: Run, file: Path) -> str:
    """Open a file on the page in sight; give the verdict's word."""
    run.ask.answers = [str(file)]
    run.keyboard.key("Ctrl+Return")
    run.keyboard.settle()
    return page_of(run).verdict.badge.accessibleName()


def told_by(run: Run) -> tuple[str, str]:
    """How the unit came in, and how much of its fluid is new."""
    balance = page_of(run).balance
    return balance.arrived.figure.accessibleName(), balance.fresh.figure.accessibleName()


@pytest.fixture
def brought(start: Start, sqlite_template: Path, tmp_path: Path) -> tuple[Path, Path, tuple[str, str]]:
    """Bring a record's file, its paper and what the first shop's own window told of it."""
    make_shop(sqlite_template, tmp_path / "first.db")
    run = start(f"sqlite:///{tmp_path / 'first.db'}", clock=StandingClock())
    find(run, "second opinion")
    assert run.keyboard.place == ("verify", "")
    run.keyboard.write("A record's number such as 1001-1, or the text of its code", "1001-1")
    run.keyboard.key("Return")
    assert page_of(run).verdict.badge.accessibleName() == "Consistent"
    file, paper = tmp_path / "record-1001-1.json", tmp_path / "record.pdf"
    run.ask.answers = [str(file)]
    find(run, "save its file")
    run.keyboard.settle()
    paper.write_bytes(run.rooms.papers.service_record(1).content)
    told = told_by(run)
    run.program.window.close()
    return file, paper, told


def test_that_a_record_is_judged_by_another_shop_as_by_its_own(
    brought: tuple[Path, Path, tuple[str, str]], start: Start, sqlite_template: Path, tmp_path: Path
) -> None:
    file, paper, told = brought
    make_work_shop(sqlite_template, tmp_path / "second.db")
    run = start(f"sqlite:///{tmp_path / 'second.db'}", clock=StandingClock())
    before = run.rooms.changes()
    find(run, "second opinion")

    assert judge(run, file) == "Consistent"
    assert told_by(run) == told
    assert "Whose it is, ask the shop itself" in page_of(run).verdict.key.text()

    assert judge(run, _changed(file, _bend)) == "Contradictory"
    first = page_of(run).findings.rows[0]
    assert QApplication.focusWidget() is first
    assert first.name == "Figures told are those that follow"

    assert judge(run, _changed(file, _tamper)) == "Refused: not as it was signed"
    assert "was changed" in page_of(run).verdict.sentence.text()

    assert judge(run, paper) == "As it was signed"
    assert run.rooms.changes() == before


def _changed(file: Path, change: Any) -> Path:
    record = json.loads(file.read_text(encoding="utf-8"))
    change(record)
    changed = file.with_name("changed.json")
    changed.write_text(json.dumps(record), encoding="utf-8")
    return changed


def _bend(record: Any) -> None:
    (drained,) = [each for each in record["evidence"]["entries"] if each["field"] == "drained"]
    drained["value_int"] -= 200_000


def _tamper(record: Any) -> None:
    code = record["code"]
    record["code"] = code[:200] + ("0" if code[200] != "0" else "1") + code[201:]
