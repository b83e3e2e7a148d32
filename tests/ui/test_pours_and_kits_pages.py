"""Out of which containers a service's fluid came; and kits put together from their parts."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from shopdesk.domain.pricing import LineKind
from shopdesk.services.items import ItemKind, SaveItem
from shopdesk.services.lines import LineTyped
from shopdesk.services.reserving import ReserveWork
from shopdesk.services.stock import Receive
from shopdesk.services.work import SetLines
from shopdesk.ui.screens.kit import KitScreen
from shopdesk.ui.screens.pours import PoursScreen
from shopdesk.ui.theme.look import Look
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window
from tests.ui.work_shop import make_work_shop

ATF = "Halden ATF-6"
WASHER = "Crush washer 18 x 24 x 1.5"


@pytest.fixture(scope="module")
def filled(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make the shop once; each test opens a copy."""
    file = tmp_path_factory.mktemp("pours") / "shop.db"
    make_work_shop(sqlite_template, file)
    return file


@pytest.fixture
def shop(look: Look, filled: Path, tmp_path: Path) -> Iterator[ShopInWindow]:
    file = Path(shutil.copyfile(filled, tmp_path / "shop.db"))
    with shop_in_window(look, file, real=("pours", "kit")) as found:
        found.show()
        yield found


def record_id(shop: ShopInWindow) -> int:
    """Give the record that is not finished."""
    order = next(row for row in shop.rooms.board.work_orders(most=20) if row.number == 1002)
    return shop.rooms.board.work_order(order.id).records[0].record_id


def pours(shop: ShopInWindow) -> PoursScreen:
    screen = shop.go("pours", str(record_id(shop)))
    assert isinstance(screen, PoursScreen)
    return screen


def boxes(shop: ShopInWindow) -> list[int]:
    goods = next(each for each in shop.rooms.items.all() if each.name == ATF)
    command = Receive(actor=shop.work.actor, item_id=goods.id, quantity="8 qt", cost="50", lot="H6-2400")
    shop.rooms.stock.receive(command)
    return [box.id for box in shop.rooms.stock.containers(goods.id)]


def test_that_fluid_of_two_containers_is_said_by_before_and_after_or_as_a_quantity(
    shop: ShopInWindow,
) -> None:
    first, second = boxes(shop)[:2]
    screen = pours(shop)
    screen.form.restore(
        {"box0": str(first), "before0": "7 qt", "after0": "4.5 qt", "box1": str(second), "quantity1": "1 qt"}
    )
    shop.key("Ctrl+Return")
    check = shop.rooms.pours.check(record_id(shop))
    assert [row.container_id for row in check.sources] == [first, second]
    assert "Gave together: 3.50 qt" in screen.facts.texts()


def test_that_more_after_than_before_is_said_beside_its_field(shop: ShopInWindow) -> None:
    first = boxes(shop)[0]
    screen = pours(shop)
    screen.form.restore({"box0": str(first), "before0": "2 qt", "after0": "3 qt"})
    shop.key("Ctrl+Return")
    assert screen.form.field("after0").error == "After pouring there is not more in it than before."
    assert screen.form.field("after0").text() == "3 qt"
    assert not shop.rooms.pours.check(record_id(shop)).sources


def kit(shop: ShopInWindow) -> tuple[KitScreen, int]:
    made = shop.rooms.items.save(
        SaveItem(
            actor=shop.work.actor,
            name="Pan kit 6",
            kind=ItemKind.PART,
            package="1",
            sale_unit="each",
            price="40",
        )
    )
    screen = shop.go("kit", str(made.item_id))
    assert isinstance(screen, KitScreen)
    return screen, made.item_id


def test_that_a_kit_is_put_together_by_keyboard_and_a_line_of_it_moves_its_parts(shop: ShopInWindow) -> None:
    screen, kit_id = kit(shop)
    shop.type("no such part")
    shop.key("Ctrl+Return")
    assert screen.form.field("item0").error.startswith("No item is called this.")
    screen.form.field("item0").set_text(WASHER)
    screen.form.field("quantity0").setFocus()
    shop.type("2")
    shop.key("Ctrl+Return")
    (part,) = shop.rooms.kits.parts(kit_id)
    assert (part.name, part.quantity) == (WASHER, 2000)
    assert screen.title == "Kit: Pan kit 6"
    order = next(row for row in shop.rooms.board.work_orders(most=20) if row.number == 1003)
    shop.rooms.work.set_lines(
        SetLines(
            actor=shop.work.actor,
            work_order_id=order.id,
            version=shop.rooms.board.work_order(order.id).version,
            lines=(LineTyped(kind=LineKind.PART, item="Pan kit 6", quantity="3"),),
        )
    )
    (row,) = shop.rooms.reserving.reserve_work(
        ReserveWork(actor=shop.work.actor, work_order_id=order.id)
    ).rows
    assert (row.item_id, row.quantity) == (part.item_id, 6000)


def test_that_the_keyboard_reaches_every_part(shop: ShopInWindow) -> None:
    assert_tab_walks(shop, pours(shop))
    assert_tab_walks(shop, kit(shop)[0])
