"""A second opinion: a kept record, a file of another shop, a code; what was tampered with is refused."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtWidgets import QApplication

from shopdesk.domain.verify import Rule
from shopdesk.ui.presenters.rule_words import asks
from shopdesk.ui.screens.verify import VerifyScreen
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.popover import Popover
from tests.ui.shop_window import ShopInWindow, assert_tab_walks
from tests.ui.work_shop import work_in_window


@pytest.fixture
def shop(look: Look, sqlite_template: Path, tmp_path: Path) -> Iterator[ShopInWindow]:
    """The shop with its work pages, in sight: record 1 is finished, record 2 has no reading yet."""
    with work_in_window(look, sqlite_template, tmp_path / "shop.db") as found:
        yield found


@pytest.fixture
def page(shop: ShopInWindow) -> VerifyScreen:
    """The page with nothing judged."""
    screen = shop.go("verify")
    assert isinstance(screen, VerifyScreen)
    return screen


def brought(shop: ShopInWindow, tmp_path: Path, change: Any = None) -> Path:
    """Give a file of record 1, changed by ``change``."""
    record = shop.rooms.verifying.document(1)
    if change is not None:
        change(record)
    file = tmp_path / "brought.json"
    file.write_text(json.dumps(record), encoding="utf-8")
    return file


def judge(shop: ShopInWindow, page: VerifyScreen, file: Path) -> None:
    """Open a file by keyboard."""
    shop.ask.answers = [str(file)]
    shop.key("Ctrl+Return")
    shop.settle()
    assert page.isVisible()


def test_that_a_kept_record_is_judged_by_its_number(shop: ShopInWindow, page: VerifyScreen) -> None:
    shop.type("1001-1")
    shop.key("Return")
    assert page.verdict.badge.accessibleName() == "Consistent"
    assert page.level.isVisible()
    assert "45 rules have nothing against them" in page.kept.fold.text()
    source = page.balance.arrived.figure._came_from
    assert source is not None
    assert any(name == "Put in" for name, _value in source.rows)
    assert QApplication.focusWidget() is page.kept.fold
    shop.key("Return")
    assert len([row for row in page.kept.rows if row.isVisible()]) == len(Rule)
    assert_tab_walks(shop, page)


def test_that_a_record_without_readings_is_incomplete_and_every_rule_opens(
    shop: ShopInWindow, page: VerifyScreen
) -> None:
    assert [row.number for row in page.records.rows][-1] == "1001-1"
    page.records.setFocus()
    shop.key("Return")
    assert shop.place() == ("verify", "2")
    assert page.verdict.badge.accessibleName() == "Incomplete"
    assert "not recorded" in page.verdict.sentence.text()
    first = page.findings.rows[0]
    first.setFocus()
    shop.key("Return")
    panels = [panel for panel in shop.window.findChildren(Popover) if panel.isVisible()]
    assert [panel.accessibleName() for panel in panels] == [first.name]
    shop.key("Escape")
    assert first.hasFocus()


@pytest.mark.parametrize("typed", ["1001-2", "poem", "9", "1001-1x"])
def test_that_what_is_no_record_is_said_beside_the_field(
    shop: ShopInWindow, page: VerifyScreen, typed: str
) -> None:
    shop.type(typed)
    shop.key("Return")
    assert page.what.error.endswith(".")
    assert page.what.text() == typed
    assert not page.verdict.isVisible()


def test_that_a_file_is_judged_elsewhere_as_at_home(
    shop: ShopInWindow, page: VerifyScreen, tmp_path: Path
) -> None:
    judge(shop, page, brought(shop, tmp_path))
    assert page.verdict.badge.accessibleName() == "Consistent"
    assert "own key" in page.verdict.key.text()
    assert page.code.isVisible()


def test_that_a_bent_reading_is_found_by_what_was_signed(
    shop: ShopInWindow, page: VerifyScreen, tmp_path: Path
) -> None:
    def bend(record: Any) -> None:
        (drained,) = [each for each in record["evidence"]["entries"] if each["field"] == "drained"]
        drained["value_int"] -= 200_000
        record["evidence"]["stated"] = None

    judge(shop, page, brought(shop, tmp_path, bend))
    assert page.verdict.badge.accessibleName() == "Contradictory"
    (row,) = page.findings.rows
    assert row.name == "Figures told are those that follow"
    assert dict(row._opens.rows)["Came in low by, as told"] != dict(row._opens.rows)["as it follows"]


def test_that_a_tampered_file_is_refused_with_a_sentence(
    shop: ShopInWindow, page: VerifyScreen, tmp_path: Path
) -> None:
    def tamper(record: Any) -> None:
        code = record["code"]
        record["code"] = code[:200] + ("0" if code[200] != "0" else "1") + code[201:]

    judge(shop, page, brought(shop, tmp_path, tamper))
    assert page.verdict.badge.accessibleName() == "Refused: not as it was signed"
    assert "was changed" in page.verdict.sentence.text()
    assert not page.level.isVisible()


def test_that_what_is_no_record_file_is_refused_with_its_place(
    shop: ShopInWindow, page: VerifyScreen, tmp_path: Path
) -> None:
    def empty(record: Any) -> None:
        del record["evidence"]["entries"]

    judge(shop, page, brought(shop, tmp_path, empty))
    assert page.verdict.badge.accessibleName() == "Cannot be judged"
    assert page.verdict.about.text() == "/evidence/entries"
    file = tmp_path / "note.txt"
    file.write_bytes(b"\x00no record")
    judge(shop, page, file)
    assert page.verdict.badge.accessibleName() == "Cannot be judged"
    judge(shop, page, tmp_path / "gone.json")
    assert "cannot be read" in page.verdict.sentence.text()


def test_that_the_code_off_a_paper_is_checked_and_a_changed_one_refused(
    shop: ShopInWindow, page: VerifyScreen, tmp_path: Path
) -> None:
    paper = tmp_path / "record.pdf"
    paper.write_bytes(shop.rooms.papers.service_record(1).content)
    judge(shop, page, paper)
    assert page.verdict.badge.accessibleName() == "As it was signed"
    assert not page.level.isVisible()
    code = shop.rooms.verifying.document(1)["code"]
    page.what.setFocus()
    page.what.set_text(code[:60] + ("1" if code[60] != "1" else "2") + code[61:])
    shop.key("Return")
    assert page.verdict.badge.accessibleName() == "Refused: not as it was signed"


def test_that_a_records_file_is_saved_for_another_shop(
    shop: ShopInWindow, page: VerifyScreen, tmp_path: Path
) -> None:
    target = tmp_path / "for-you.json"
    shop.go("verify", "1")
    shop.ask.answers = [str(target)]
    page.others[0].do()
    shop.settle()
    assert json.loads(target.read_text(encoding="utf-8"))["number"] == "1001-1"
    assert shop.window.notices.words == "Saved as for-you.json."


def test_that_papers_and_finished_work_lead_here(shop: ShopInWindow) -> None:
    for page, subject in (("work order", "1"), ("paper", "service record:1")):
        screen = shop.go(page, subject)
        shop.settle()
        (second,) = [action for action in screen.others if action.words == "Second opinion"]
        second.do()
        shop.settle()
        assert shop.place() == ("verify", "1")


def test_that_every_rule_says_what_it_asks() -> None:
    sentences = {asks(rule) for rule in Rule}
    assert len(sentences) == len(Rule)
    assert all(sentence.endswith(".") for sentence in sentences)
