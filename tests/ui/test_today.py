"""Today and Due: what the day holds, where each line leads, and why something falls due."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from shopdesk.services.items import SaveItem
from shopdesk.services.work import OpenWorkOrder
from shopdesk.ui.presenters.today import Known, shelf_sentence
from shopdesk.ui.screens.due import DueScreen
from shopdesk.ui.screens.today import TodayScreen
from shopdesk.ui.theme.look import Look, LookChoice, Shade
from shopdesk.ui.widgets.state_mark import StateBadge
from shopdesk.ui.widgets.table import RowTable
from tests.ui.presenters.shops import US_FIGURES
from tests.ui.shop_window import ShopInWindow, StandingClock, assert_tab_walks, shop_in_window


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    clock = StandingClock()
    clock.forward(days=700)
    with shop_in_window(look, small_shop, real=("today", "due"), clock=clock) as found:
        found.show()
        yield found


def today(shop: ShopInWindow) -> TodayScreen:
    screen = shop.go("today")
    assert isinstance(screen, TodayScreen)
    return screen


def due(shop: ShopInWindow) -> DueScreen:
    screen = shop.go("due")
    assert isinstance(screen, DueScreen)
    return screen


def cells(table: RowTable[object], row: int = 0) -> list[str]:
    return [column.text(table.rows[row]) for column in table._rows.columns]


def test_that_the_day_shows_what_is_due_and_what_is_on_the_shelf(shop: ShopInWindow) -> None:
    screen = today(shop)
    assert screen.subtitle == "Wednesday, 25 October 2028"
    assert cells(screen._due)[:3] == ["KT 4471", "6-speed automatic", "Imre Okonjo"]
    assert cells(screen._due)[-1] == "Overdue"
    assert screen._shelf_words.text() == "Every fluid is above its order mark."
    assert [glass.accessibleName() for glass in screen._glasses._glasses] == [
        "Halden ATF-6, 12.00 qt, order at 8.00 qt"
    ]


def test_that_enter_opens_what_a_line_is_about(shop: ShopInWindow) -> None:
    screen = today(shop)
    screen._due.setFocus()
    shop.key("Return")
    assert shop.place() == ("vehicle", "1")


def test_that_the_day_follows_what_others_do(shop: ShopInWindow) -> None:
    screen = today(shop)
    shop.rooms.items.save(
        SaveItem(
            actor=shop.work.actor, name="Zander", package="1 qt", sale_unit="qt", price="9", order_at="4 qt"
        )
    )
    shop.settle()
    assert screen._shelf_words.text() == "To order: Zander."
    assert screen._glasses._glasses[0].accessibleName().startswith("Zander, 0.00 qt")


def test_that_a_new_work_order_is_one_key_away(shop: ShopInWindow) -> None:
    today(shop)
    shop.key("Ctrl+Return")
    assert shop.place() == ("new work order", "")
    due(shop)
    shop.key("Ctrl+Return")
    assert shop.place() == ("new work order", "vehicle:1")


def test_that_only_the_list_with_the_keyboard_shows_a_chosen_row(shop: ShopInWindow) -> None:
    screen = today(shop)
    screen._due.setFocus()
    with_keyboard = screen._due.grab().toImage()
    screen._bays.setFocus()
    shop.settle()
    without = screen._due.grab().toImage()
    soft = shop.desk.look.colour("accent_soft")
    middle = screen._due.rowViewportPosition(0) + screen._due.horizontalHeader().height() + 4
    assert with_keyboard.pixelColor(200, middle) == soft
    assert without.pixelColor(200, middle) != soft


def test_that_why_something_is_due_stands_beside_it_and_opens(shop: ShopInWindow) -> None:
    screen = due(shop)
    assert screen._why._unit.text() == "KT 4471 · 6-speed automatic"
    assert screen._why._reason.text() == screen._table.rows[0].reason
    came_from = screen._why._when._came_from
    assert came_from is not None
    assert ("How it is driven", "severe use") in came_from.rows


def test_that_the_due_list_looks_as_far_ahead_as_is_chosen(shop: ShopInWindow) -> None:
    screen = due(shop)
    assert len(screen._table.rows) == 1
    shop.rooms.work.open(OpenWorkOrder(actor=shop.work.actor, vehicle_id=1, customer_id=1, complaint="x"))
    screen._choice._buttons["overdue"].click()
    shop.settle()
    assert [row.plate for row in screen._table.rows] == ["KT 4471"]


@pytest.mark.parametrize("page", ["today", "due"])
def test_that_tab_reaches_each_part_once(shop: ShopInWindow, page: str) -> None:
    assert_tab_walks(shop, shop.go(page))


def test_that_the_pages_fit_a_small_screen_at_any_text_size(shop: ShopInWindow, look: Look) -> None:
    for percent in (100, 200):
        look.choose(LookChoice(shade=Shade.DARK, percent=percent, less_motion=True))
        for page in ("today", "due"):
            shop.go(page)
            least = shop.window.minimumSizeHint()
            assert (least.width() <= 1280, least.height() <= 800) == (True, True), (page, percent, least)
    look.choose(LookChoice(shade=Shade.LIGHT, less_motion=True))


def test_that_a_new_shop_is_told_what_to_write_down_first(shop: ShopInWindow) -> None:
    screen = today(shop)
    assert screen.beginning.isVisible() == (not shop.rooms.instruments.all())
    screen.beginning.show_known(Known(fluids=2))
    assert screen.beginning.isVisible()
    assert [badge.accessibleName() for badge in screen.beginning.findChildren(StateBadge)] == [
        "2 written down",
        "none yet",
        "none yet",
    ]
    screen.beginning.ways[1].setFocus()
    shop.key("Space")
    assert shop.place() == ("sheet", "")
    screen.beginning.show_known(Known(fluids=2, sheets=1, tools=4))
    assert screen.beginning.isHidden()


def test_that_an_empty_shelf_says_that_it_is_empty() -> None:
    assert shelf_sentence((), US_FIGURES) == "No fluid is on the list yet."
