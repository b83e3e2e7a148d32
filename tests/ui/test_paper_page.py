"""A paper page by page: which one, its letters, printing and saving."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.papers import PaperBytes
from shopdesk.services.work import EditWorkOrder
from shopdesk.ui.presenters.papers import letters_sentence, paper_name
from shopdesk.ui.screens.paper import PaperScreen
from shopdesk.ui.theme.look import Look
from tests.ui.shop_window import ShopInWindow, assert_tab_walks
from tests.ui.work_shop import work_in_window

SUBJECTS = (
    "invoice:1",
    "estimate:1",
    "job sheet:2",
    "service record:1",
    "service record without names:1",
    "sticker:1",
)


@pytest.fixture
def shop(look: Look, sqlite_template: Path, tmp_path: Path) -> Iterator[ShopInWindow]:
    """The shop with its work pages, in sight."""
    with work_in_window(look, sqlite_template, tmp_path / "shop.db") as found:
        yield found


def show(shop: ShopInWindow, subject: str) -> PaperScreen:
    screen = shop.go("paper", subject)
    shop.settle()
    assert isinstance(screen, PaperScreen)
    return screen


def test_that_every_kind_of_paper_is_shown_page_by_page(shop: ShopInWindow) -> None:
    names = []
    for subject in SUBJECTS:
        page = show(shop, subject)
        assert page.view.sheets, subject
        names.append(page.subtitle)
    assert names == [
        "invoice-1001.pdf",
        "estimate-1001-1.pdf",
        "job-sheet-1002.pdf",
        "service-record-1001-1.pdf",
        "service-record-1001-1-no-names.pdf",
        "sticker-1001.pdf",
    ]


def test_that_a_sticker_goes_on_a_roll_or_on_a_sheet(shop: ShopInWindow) -> None:
    page = show(shop, "sticker:1")
    assert page.media.isVisible()
    small = page.view.sheets[0]._size.width
    page.media._buttons["sheet"].click()
    shop.settle()
    shop.settle()
    assert page.view.sheets[0]._size.width > 3 * small
    assert page.subtitle == "sticker-1001-sheet.pdf"
    assert not show(shop, "invoice:1").media.isVisible()


def test_that_without_a_printer_saving_is_offered(shop: ShopInWindow, tmp_path: Path) -> None:
    target = tmp_path / "kept.pdf"
    show(shop, "invoice:1")
    shop.ask.answers = ["yes", str(target)]
    shop.key("Ctrl+P")
    assert "No printer is set up" in shop.ask.asked[0]
    assert target.read_bytes().startswith(b"%PDF")
    assert shop.window.notices.words == "Saved as kept.pdf."


def test_that_a_paper_that_cannot_be_made_is_said(shop: ShopInWindow) -> None:
    page = show(shop, "estimate:3")
    assert page.view._count.text() == "There is no estimate yet."
    assert page.main is None
    page = show(shop, "poem:1")
    assert page.view._count.text() == "There is no such paper."


def test_that_letters_no_type_has_are_told(shop: ShopInWindow) -> None:
    order = shop.rooms.board.work_order(2)
    shop.rooms.work.edit(
        EditWorkOrder(
            actor=shop.work.actor, work_order_id=2, version=order.version, note="\u65e5\u672c tape on the pan"
        )
    )
    page = show(shop, "job sheet:2")
    assert page.letters.isVisible()
    assert "\u65e5" in page.letters.accessibleName()
    assert not show(shop, "invoice:1").letters.isVisible()


def test_that_tab_reaches_everything_once(shop: ShopInWindow) -> None:
    assert_tab_walks(shop, show(shop, "sticker:1"))


def test_that_a_subject_is_read_or_refused() -> None:
    assert paper_name("service record without names:12").subject_id == 12
    for wrong in ("", "invoice", "invoice:", "invoice:x", ":3"):
        with pytest.raises(RuleBroken):
            paper_name(wrong)


def test_that_printable_papers_say_nothing_of_letters() -> None:
    paper = PaperBytes(kind="invoice", name="a.pdf", media="application/pdf", content=b"")
    assert letters_sentence(paper) == ""
