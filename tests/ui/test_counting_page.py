"""Counting: a sheet opened, typed back by keyboard, differences booked with a reason, and closed."""

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest

from shopdesk.domain.counting import Stands
from shopdesk.domain.unit_factors import to_ul
from shopdesk.services.acting import Command
from shopdesk.services.containers import MeasureContainer
from shopdesk.services.counting import OpenSheet
from shopdesk.services.items import SaveItem
from shopdesk.services.stock import Draw, Drawn, Receive, draw
from shopdesk.ui.screens.counts.screen import CountsScreen
from shopdesk.ui.screens.paper import PaperScreen
from shopdesk.ui.theme.look import Look
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window

ATF = "Halden ATF-6"


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("counts", "paper")) as found:
        found.show()
        yield found


def counts(shop: ShopInWindow, subject: str = "") -> CountsScreen:
    screen = shop.go("counts", subject)
    assert isinstance(screen, CountsScreen)
    return screen


def on_hand(shop: ShopInWindow, name: str = ATF) -> int:
    return next(row.on_hand for row in shop.rooms.stock.on_hand() if row.name == name)


def quarts(number: str) -> int:
    return to_ul(Fraction(number), "qt")


def begin(shop: ShopInWindow, item: str) -> CountsScreen:
    """Open a sheet and begin the first line of an item."""
    shop.rooms.counting.open_sheet(OpenSheet(actor=shop.work.actor))
    screen = counts(shop)
    row = next(number for number, line in enumerate(screen.lines.rows) if line.item == item)
    screen.lines.selectRow(row)
    screen.lines.setFocus()
    shop.key("Return")
    return screen


def drum(shop: ShopInWindow, stands: Stands) -> str:
    """Put a drum of 208.2 L on the shelf and measure it up for the stick."""
    goods = shop.rooms.items.save(
        SaveItem(actor=shop.work.actor, name="Drum oil", package="208.2 l", sale_unit="qt", price="9")
    )
    received = shop.rooms.stock.receive(
        Receive(actor=shop.work.actor, item_id=goods.item_id, quantity="104.1 l", cost="900")
    )
    shop.rooms.containers.measure(
        MeasureContainer(
            actor=shop.work.actor,
            container_id=received.container_id,
            version=0,
            stands=stands,
            height="800 mm",
            brim="208.2 l",
        )
    )
    return "Drum oil"


def test_that_a_sheet_is_opened_counted_and_closed_by_keyboard_alone(shop: ShopInWindow) -> None:
    screen = counts(shop)
    shop.key("Ctrl+Return")
    before = on_hand(shop)
    row = next(number for number, line in enumerate(screen.lines.rows) if line.item == ATF)
    screen.lines.selectRow(row)
    shop.key("Return")
    assert screen.card is not None
    shop.type("2")
    shop.key("Tab")
    shop.type("1.6 qt")
    shop.key("Tab")
    shop.type("0.2 qt")
    shop.settle()
    assert screen.card.facts.texts() == [
        "Reads as: 9.60 qt ± 0.20 qt",
        "Ledger says: 12.00 qt",
        "Difference: −2.40 qt",
    ]
    assert screen.card.says.text().startswith("More than the reading can show")
    shop.key("Ctrl+Return")
    assert screen.card.form.field("why").error.startswith("That differs by more")
    assert on_hand(shop) == before
    screen.card.form.field("why").set_text("Spilled or leaked")
    shop.key("Ctrl+Return")
    assert on_hand(shop) == 2 * quarts("4") + quarts("1.6")
    (sheet,) = shop.rooms.counting.sheets()
    line = next(line for line in shop.rooms.counting.sheet(sheet.sheet_id).lines if line.item == ATF)
    assert (line.found, line.difference) == (on_hand(shop), on_hand(shop) - before)
    assert "2.40 qt booked" in shop.window.notices.words
    shop.key("Escape")


@pytest.mark.parametrize(
    ("stands", "dip", "reads"),
    [
        (Stands.UPRIGHT, "400 mm", "110.00 qt"),
        (Stands.LYING, "400 mm", "110.00 qt"),
        # a quarter of the diameter of a lying cylinder is 19.55 % of it (segment formula, computed)
        (Stands.LYING, "200 mm", "43.01 qt"),
        (Stands.UPRIGHT, "200 mm", "55.00 qt"),
    ],
)
def test_that_a_stick_is_read_for_upright_and_lying_drums(
    shop: ShopInWindow, stands: Stands, dip: str, reads: str
) -> None:
    screen = begin(shop, drum(shop, stands))
    assert screen.card is not None
    shop.type(dip)
    shop.key("Tab")
    shop.type("3 mm")
    shop.settle()
    assert screen.card.facts.texts()[0].startswith(f"Reads as: {reads}")


def test_that_a_count_above_the_containers_size_is_refused_in_a_sentence(shop: ShopInWindow) -> None:
    before = on_hand(shop)
    screen = begin(shop, ATF)
    assert screen.card is not None
    shop.type("100")
    shop.settle()
    assert screen.card.says.text() == "That is more than the container can hold; read again."
    shop.key("Ctrl+Return")
    assert screen.card.form.field("whole").error == "That is more than the container can hold; read again."
    assert screen.card.form.field("whole").text() == "100"
    assert on_hand(shop) == before


def test_that_what_was_used_beyond_the_shelf_stands_first_and_is_set_right(shop: ShopInWindow) -> None:
    order = shop.rooms.board.work_orders(most=1)[0]
    item_id = next(goods.id for goods in shop.rooms.items.all() if goods.name == ATF)
    taken = Draw(work_order_id=order.id, item_id=item_id, quantity=quarts("15"))
    asked = Command(actor=shop.work.actor)
    shop.rooms.office.carry_out(asked, lambda writing: draw(writing, taken), Drawn)
    screen = begin(shop, ATF)
    assert screen.lines.rows[0].item == ATF
    assert screen.card is not None
    shop.type("0")
    screen.card.form.field("why").set_text("Used and not written down")
    shop.key("Ctrl+Return")
    assert on_hand(shop) == 0
    assert not any(row.count_due for row in shop.rooms.stock.on_hand())


def test_that_the_sheet_is_printed_from_its_page(shop: ShopInWindow) -> None:
    begin(shop, ATF)
    shop.key("Escape")
    paper = shop.go("paper", "count sheet:1")
    assert isinstance(paper, PaperScreen)
    assert paper.title == "Count sheet"
    assert paper.subtitle == "count-sheet-1.pdf"


def test_that_the_keyboard_reaches_every_part(shop: ShopInWindow) -> None:
    screen = begin(shop, ATF)
    assert_tab_walks(shop, screen)
