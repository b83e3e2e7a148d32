"""A delivery from a file, by keyboard: looked through with its troubles, then received as a whole."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from shopdesk.services.buying import SaveSupplier
from shopdesk.ui.screens.buying.receiving_file import ReceivingFileScreen
from shopdesk.ui.theme.look import Look
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window

ATF = "Halden ATF-6"
WRONG = f"item,quantity,cost,lot\n{ATF},10 qt,65.00,H-1\nNo such oil,1 qt,6.50,\n{ATF},-4 qt,26.00,\n"
RIGHT = f"item,quantity,cost,lot\n{ATF},10 qt,65.00,H-1\n{ATF},4 qt,26.00,H-2\n"


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("receiving file",)) as found:
        found.show()
        found.rooms.buying.save_supplier(SaveSupplier(actor=found.work.actor, name="Quarry Supply"))
        yield found


def page(shop: ShopInWindow) -> ReceivingFileScreen:
    screen = shop.go("receiving file")
    assert isinstance(screen, ReceivingFileScreen)
    screen.focus_first()
    return screen


def on_hand(shop: ShopInWindow) -> tuple[int, int]:
    row = next(row for row in shop.rooms.stock.on_hand() if row.name == ATF)
    return row.on_hand, row.cost_minor


def test_that_troubles_are_named_and_nothing_is_kept_until_they_are_mended(
    shop: ShopInWindow, tmp_path: Path
) -> None:
    before = on_hand(shop)
    file = tmp_path / "delivery.csv"
    file.write_text(WRONG, encoding="utf-8")
    screen = page(shop)
    screen.form.field("document_no").setFocus()
    shop.type("D-7")
    shop.ask.answers = [str(file)]
    shop.key("Ctrl+Return")
    found = screen.troubles.rows
    assert [(trouble.line, trouble.column) for trouble in found] == [(3, "item"), (4, "quantity")]
    assert "nothing of the file is kept" in screen.says.text()
    assert_tab_walks(shop, screen)
    shop.key("Ctrl+Return")
    assert on_hand(shop) == before
    file.write_text(RIGHT, encoding="utf-8")
    shop.key("Ctrl+Return")
    assert screen.troubles.rows == []
    assert [row.cost for row in screen.coming.rows] == ["65.00", "26.00"]
    assert on_hand(shop) == before
    shop.key("Ctrl+Return")
    assert on_hand(shop)[1] == before[1] + 9_100
    assert "2 lines, $91.00" in shop.window.notices.words
    assert screen.form.texts()["document_no"] == ""


def test_that_a_file_that_is_no_text_or_is_gone_is_said_in_a_sentence(
    shop: ShopInWindow, tmp_path: Path
) -> None:
    screen = page(shop)
    screen.form.field("document_no").set_text("D-7")
    shop.ask.answers = [str(tmp_path / "gone.csv")]
    screen.choose()
    shop.settle()
    assert shop.window.notices.words == "gone.csv cannot be read."
    file = tmp_path / "picture.csv"
    file.write_bytes(b"\x89PNG\0\0\xff")
    shop.ask.answers = [str(file)]
    screen.choose()
    shop.settle()
    assert [trouble.sentence for trouble in screen.troubles.rows] == ["The file is not text."]


def test_that_a_changed_field_asks_to_look_through_the_file_again(shop: ShopInWindow, tmp_path: Path) -> None:
    before = on_hand(shop)
    file = tmp_path / "delivery.csv"
    file.write_text(RIGHT, encoding="utf-8")
    screen = page(shop)
    screen.form.field("document_no").set_text("D-7")
    shop.ask.answers = [str(file)]
    screen.choose()
    shop.settle()
    screen.form.field("freight").setFocus()
    shop.type("9.10")
    assert screen.main is not None
    assert screen.main.words == "Look through it"
    shop.key("Ctrl+Return")
    assert on_hand(shop) == before
    shop.key("Ctrl+Return")
    assert on_hand(shop)[1] == before[1] + 9_100 + 910
