"""Containers: opened, put aside, released, measured up, moved and labelled from one page by keyboard."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from shopdesk.domain.counting import Stands
from shopdesk.domain.hazards import Pictogram, SignalWord
from shopdesk.services.stock import Receive
from shopdesk.ui.screens.containers.screen import ContainersScreen
from shopdesk.ui.screens.paper import PaperScreen
from shopdesk.ui.theme.look import Look
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window

ATF = "Halden ATF-6"


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("containers", "paper")) as found:
        found.show()
        yield found


def page(shop: ShopInWindow, lot: str = "H6-2207") -> ContainersScreen:
    screen = shop.go("containers")
    assert isinstance(screen, ContainersScreen)
    row = next(number for number, box in enumerate(screen.table.rows) if box.lot == lot)
    screen.table.selectRow(row)
    shop.settle()
    return screen


def press(shop: ShopInWindow, screen: ContainersScreen, key: str) -> None:
    screen.buttons[key].setFocus()
    shop.key("Space")


def second_container(shop: ShopInWindow) -> int:
    goods = next(each for each in shop.rooms.items.all() if each.name == ATF)
    return shop.rooms.stock.receive(
        Receive(actor=shop.work.actor, item_id=goods.id, quantity="8 qt", cost="50", lot="H6-2400")
    ).container_id


def test_that_a_container_is_opened_put_aside_and_released_by_keyboard(shop: ShopInWindow) -> None:
    screen = page(shop)
    assert screen.box is not None
    box_id = screen.box.id
    press(shop, screen, "opened")
    shop.key("Ctrl+Return")
    assert shop.rooms.containers.container(box_id).opened_on is not None
    assert screen.buttons["opened"].isHidden()
    press(shop, screen, "put aside")
    shop.key("Ctrl+Return")
    assert screen.step is not None
    assert screen.step.form.field("reason").error == "Write the reason."
    shop.type("milky")
    shop.key("Ctrl+Return")
    assert shop.rooms.containers.container(box_id).state == "quarantine"
    assert "nothing is poured from it" in shop.window.notices.words
    assert [key for key, button in screen.buttons.items() if not button.isHidden()] == [
        "released",
        "measure",
        "jug",
        "hazards",
        "lot",
    ]
    press(shop, screen, "released")
    shop.type("sample was clear")
    shop.key("Return")
    assert shop.rooms.containers.container(box_id).state == "in use"


def test_that_a_drum_is_measured_up_and_a_wrong_height_is_said_beside_its_field(shop: ShopInWindow) -> None:
    screen = page(shop)
    assert screen.box is not None
    press(shop, screen, "measure")
    assert screen.step is not None
    form = screen.step.form
    form.restore({"stands": Stands.LYING.value, "height": "nine", "brim": "16 qt"})
    shop.key("Ctrl+Return")
    assert form.field("height").error
    assert form.field("height").text() == "nine"
    form.field("height").set_text("300 mm")
    shop.key("Ctrl+Return")
    shape = shop.rooms.containers.container(screen.box.id).shape
    assert shape is not None
    assert (shape.stands, shape.height_um) == (Stands.LYING, 300_000)


def test_that_moving_between_lots_asks_why(shop: ShopInWindow) -> None:
    other = second_container(shop)
    screen = page(shop)
    assert screen.box is not None
    before = screen.box.held
    press(shop, screen, "pour")
    assert screen.step is not None
    form = screen.step.form
    form.restore({"into_id": str(other), "quantity": "1 qt"})
    shop.key("Ctrl+Return")
    form.restore(form.texts())
    assert shop.rooms.containers.container(screen.box.id).held == before
    form.field("quantity").set_text("400 qt")
    form.field("reason").set_text("to empty the old one")
    shop.key("Ctrl+Return")
    assert form.field("quantity").error == "That is more than the one holds or the other takes."


def test_that_hazards_are_kept_and_stand_on_the_label(shop: ShopInWindow) -> None:
    screen = page(shop)
    assert screen.box is not None
    press(shop, screen, "hazards")
    assert screen.step is not None
    screen.step.form.restore(
        {
            "signal_word": SignalWord.WARNING.value,
            "hazard_text": "May cause an allergic skin reaction.",
            Pictogram.EXCLAMATION_MARK.value: "yes",
            "sds_on": "1 May 2025",
            "opened_days": "365",
        }
    )
    shop.key("Ctrl+Return")
    card = shop.rooms.cards.card(screen.box.item_id)
    assert (card.signal_word, card.pictograms) == (SignalWord.WARNING, (Pictogram.EXCLAMATION_MARK,))
    assert card.opened_days == 365
    shop.go("containers")
    shop.key("Ctrl+Return")
    paper = shop.window.findChild(PaperScreen)
    assert isinstance(paper, PaperScreen)
    assert paper.title == "Container label"
    assert shop.place() == ("paper", f"container label:{screen.box.id}")


def test_that_a_lot_is_found_by_typing(shop: ShopInWindow) -> None:
    second_container(shop)
    screen = page(shop)
    shop.key("Ctrl+F")
    shop.type("2400 halden")
    assert [box.lot for box in screen.table.rows] == ["H6-2400"]


def test_that_the_keyboard_reaches_every_part(shop: ShopInWindow) -> None:
    assert_tab_walks(shop, page(shop))
