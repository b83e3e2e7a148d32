"""Where a lot went, what was used and billed, and whether the shelf reaches for booked work."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from shopdesk.services.outlook import Enough, NeedRow, Outlook
from shopdesk.ui.presenters.usage import TOMORROW, WEEK, booked_warning, last_day
from shopdesk.ui.screens.booked import BookedScreen
from shopdesk.ui.screens.lots import LotsScreen
from shopdesk.ui.screens.paper import PaperScreen
from shopdesk.ui.screens.usage import UsageScreen
from shopdesk.ui.theme.look import Look
from tests.ui.presenters.shops import US_FIGURES
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window

LOT = "H6-2207"


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("lots", "usage", "booked", "paper")) as found:
        found.show()
        yield found


def lots(shop: ShopInWindow, subject: str = "") -> LotsScreen:
    screen = shop.go("lots", subject)
    assert isinstance(screen, LotsScreen)
    return screen


def test_that_a_lot_typed_in_small_letters_shows_the_vehicles_with_their_phones(shop: ShopInWindow) -> None:
    screen = lots(shop)
    shop.type(LOT.lower())
    shop.key("Return")
    shop.key("Return")
    (row,) = screen.vehicles.rows
    found = shop.rooms.recalls.recall(LOT).vehicles[0]
    assert (row.plate, row.phones, row.quantity) == (found.plate, found.phones, found.quantity)
    assert row.phones
    assert screen.subtitle == "1 vehicle had it · 1 container"


def test_that_all_of_a_lot_is_put_aside_with_a_reason(shop: ShopInWindow) -> None:
    screen = lots(shop, LOT)
    screen.why.focus_first()
    shop.key("Return")
    assert screen.why.field("reason").error
    shop.type("notice of the maker")
    shop.key("Return")
    assert [each.state for each in shop.rooms.recalls.recall(LOT).containers] == ["quarantine"]
    assert shop.window.notices.words.startswith("1 put aside")
    assert screen.aside.isHidden()


def test_that_the_list_is_a_paper(shop: ShopInWindow) -> None:
    lots(shop, LOT)
    shop.key("Ctrl+Return")
    page, subject = shop.place()
    assert (page, subject) == ("paper", "lot list:1")
    paper = shop.window.findChild(PaperScreen)
    assert isinstance(paper, PaperScreen)
    assert (paper.title, paper.subtitle) == ("Where a lot went", "lot-1.pdf")


def test_that_an_unknown_lot_says_so(shop: ShopInWindow) -> None:
    screen = lots(shop, "nothing like it")
    assert screen.subtitle == "No container on the list has this lot."
    assert not screen.vehicles.rows
    assert screen.main is None


def test_that_a_months_jobs_are_added_up_by_fluid(shop: ShopInWindow) -> None:
    screen = shop.go("usage")
    assert isinstance(screen, UsageScreen)
    for month in ("this", "last", "before"):
        screen.month.choose(month)
        screen.refresh()
        shop.settle()
        jobs, fluids = screen.jobs.rows, screen.fluids.rows
        assert sum(row.used_ul for row in jobs) == sum(row.used_ul for row in fluids)
        assert sum(row.billed_ul for row in jobs) == sum(row.billed_ul for row in fluids)


def test_that_booked_work_is_looked_at_until_tomorrow_and_this_week(shop: ShopInWindow) -> None:
    screen = shop.go("booked")
    assert isinstance(screen, BookedScreen)
    found = shop.rooms.outlooks.until(date(2999, 1, 1))
    assert len(screen.needs.rows) <= len(found.rows)
    assert screen.says.text()
    # 25 Nov 2026 is a Wednesday: this week ends on Sunday, 29 Nov
    assert last_day(WEEK, date(2026, 11, 25)) == date(2026, 11, 29)
    assert last_day(TOMORROW, date(2026, 11, 25)) == date(2026, 11, 26)
    assert last_day(WEEK, date(2026, 11, 29)) == date(2026, 11, 30)


def need(item: str, lacking: int) -> NeedRow:
    return NeedRow(
        work_order_id=1,
        work_order_number=1001,
        promised_on=None,
        item_id=1,
        item=item,
        base="ul",
        specification="TX-6",
        wanted=4_000_000,
        from_shelf=4_000_000 - lacking,
        instead=(),
        lacking=lacking,
        verdict=Enough.NO if lacking else Enough.YES,
    )


def test_that_what_booked_work_lacks_is_added_up_by_item() -> None:
    rows = (need("ATF", 946_353), need("Gear oil", 0), need("ATF", 946_353))
    found = Outlook(until=date(2026, 11, 26), rows=rows)
    assert booked_warning(found, US_FIGURES) == (
        "The shelf does not reach until 26 Nov 2026. Lacking: ATF 2.00 qt."
    )
    assert booked_warning(Outlook(until=date(2026, 11, 26), rows=rows[1:2]), US_FIGURES) == ""


def test_that_a_refusal_to_set_aside_is_said_over_the_page(shop: ShopInWindow) -> None:
    order = shop.rooms.board.work_orders(most=1)[0]
    screen = shop.go("booked")
    assert isinstance(screen, BookedScreen)
    screen.needs.set_rows([replace(need(LOT, 0), work_order_id=order.id)])
    screen.needs.selectRow(0)
    screen.set_aside()
    shop.settle()
    assert shop.window.notices.words == "Nothing is set aside for work that is finished or cancelled."


@pytest.mark.parametrize("page", ["lots", "usage", "booked"])
def test_that_the_keyboard_reaches_every_part(shop: ShopInWindow, page: str) -> None:
    assert_tab_walks(shop, shop.go(page, LOT if page == "lots" else ""))
