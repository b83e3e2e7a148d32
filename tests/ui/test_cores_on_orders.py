"""Core deposits on the orders' page, by keyboard: what is out, since when, and one sent back."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from shopdesk.services.buying import SaveSupplier
from shopdesk.services.deliveries import DeliveryLineTyped, ReceiveDelivery
from shopdesk.services.items import ItemKind
from shopdesk.ui.screens.buying.orders import OrdersScreen
from shopdesk.ui.theme.look import Look
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("orders",)) as found:
        found.show()
        yield found


def with_deposits(shop: ShopInWindow) -> OrdersScreen:
    """Two parts with a deposit of 8.00 came on Nov 2, two more on Nov 20."""
    room, actor = shop.rooms, shop.work.actor
    who = room.buying.save_supplier(SaveSupplier(actor=actor, name="Quarry Supply")).supplier_id
    item_id = next(item.id for item in room.items.all() if item.kind is ItemKind.PART)
    for number, day in (("D-1", 2), ("D-2", 20)):
        line = DeliveryLineTyped(item_id=item_id, quantity="2", cost="9.00", core="8.00", note="checked")
        room.deliveries.receive(
            ReceiveDelivery(
                actor=actor, supplier_id=who, document_no=number, on=date(2026, 11, day), lines=(line,)
            )
        )
    screen = shop.go("orders")
    assert isinstance(screen, OrdersScreen)
    return screen


def test_that_a_core_is_sent_back_by_keyboard_and_the_oldest_goes_first(shop: ShopInWindow) -> None:
    screen = with_deposits(shop)
    (row,) = shop.rooms.cores.owed()
    assert (row.pieces_milli, row.amount_minor, row.since) == (4_000, 1_600, date(2026, 11, 2))
    screen.cores.table.setFocus()
    shop.key("Return")
    for text in ("2", "", "C-5", "", ""):
        shop.type(text)
        shop.key("Return")
    (row,) = shop.rooms.cores.owed()
    assert (row.pieces_milli, row.amount_minor, row.since) == (2_000, 800, date(2026, 11, 20))
    assert "$8.00 are still owed" in shop.window.notices.words
    assert screen.cores.returning.isHidden()
    assert_tab_walks(shop, screen)


def test_that_more_than_is_out_is_refused_beside_the_field(shop: ShopInWindow) -> None:
    screen = with_deposits(shop)
    screen.cores.table.setFocus()
    shop.key("Return")
    shop.type("5")
    screen.cores.send_back()
    shop.settle()
    form = screen.cores.form
    assert form is not None
    assert "no deposit for that many" in form.field("pieces").error
    assert form.texts()["pieces"] == "5"
    assert shop.rooms.cores.owed()[0].pieces_milli == 4_000
    assert_tab_walks(shop, screen)
