"""Orders by keyboard: a supplier, an order in whole packages, and what came of it, short and with its lot."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from shopdesk.services.buying import (
    MoveOrder,
    OrderLineTyped,
    OrderState,
    OrderView,
    SaveOrder,
    SaveSupplier,
)
from shopdesk.services.deliveries import DeliveryLineTyped, ReceiveDelivery
from shopdesk.services.items import SaveItem
from shopdesk.ui.screens.buying.order import OrderScreen
from shopdesk.ui.screens.buying.orders import OrdersScreen
from shopdesk.ui.theme.look import Look
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window

ATF = "Halden ATF-6"


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("orders", "order")) as found:
        found.show()
        yield found


def order_page(shop: ShopInWindow, subject: str) -> OrderScreen:
    screen = shop.go("order", subject)
    assert isinstance(screen, OrderScreen)
    return screen


def supplier(shop: ShopInWindow) -> int:
    return shop.rooms.buying.save_supplier(
        SaveSupplier(actor=shop.work.actor, name="Quarry Supply")
    ).supplier_id


def on_hand(shop: ShopInWindow) -> tuple[int, int]:
    row = next(row for row in shop.rooms.stock.on_hand() if row.name == ATF)
    return row.on_hand, row.cost_minor


def test_that_a_supplier_is_put_on_the_list_by_keyboard(shop: ShopInWindow) -> None:
    screen = shop.go("orders", "supplier")
    assert isinstance(screen, OrdersScreen)
    screen.focus_first()
    shop.key("Ctrl+Return")
    assert screen.form.field("name").error
    for text in ("Quarry Supply", "555-0188", "orders@quarry.example", "A-77", "3"):
        shop.type(text)
        shop.key("Return")
    (row,) = shop.rooms.buying.suppliers()
    assert (row.name, row.account_no, row.lead_days) == ("Quarry Supply", "A-77", 3)
    assert_tab_walks(shop, screen)


def test_that_an_order_is_written_sent_and_received_short_with_its_lot(shop: ShopInWindow) -> None:
    supplier(shop)
    held, cost = on_hand(shop)
    screen = order_page(shop, "new")
    screen.draft.field("lines/0/item").setFocus()
    for text in (ATF, "12", "6.50"):
        shop.type(text)
        shop.key("Tab")
    shop.key("Ctrl+Return")
    (row,) = shop.rooms.buying.orders()
    assert (row.total_minor, row.state, shop.place()) == (7_800, OrderState.DRAFT, ("order", str(row.id)))
    shop.key("Ctrl+Return")
    assert shop.rooms.buying.order(row.id).state is OrderState.ORDERED
    form = screen.delivery
    assert form is not None
    shop.key("Ctrl+Return")
    assert form.field("lines/0/packages").error.startswith("Write what came")
    texts = {"document_no": "D-9", "freight": "5", "lines/0/packages": "10", "lines/0/damaged": "1"}
    for name, text in (texts | {"lines/0/lot": "H-77", "lines/0/best_before": "1 May 2029"}).items():
        form.field(name).setFocus()
        shop.type(text)
    shop.key("Ctrl+Return")
    (line,) = shop.rooms.buying.order(row.id).lines
    one = line.package_quantity
    assert (line.received, line.damaged, line.open) == (10 * one, one, 2 * one)
    assert on_hand(shop) == (held + 10 * one, cost + 6_500 + 500)
    assert "the rest is still to come" in shop.window.notices.words
    assert_tab_walks(shop, screen)


def test_that_a_wrong_line_keeps_its_text_beside_the_sentence(shop: ShopInWindow) -> None:
    supplier(shop)
    screen = order_page(shop, "new")
    screen.draft.field("lines/1/item").set_text(ATF)
    screen.draft.field("lines/1/packages").set_text("2.5")
    shop.key("Ctrl+Return")
    assert screen.draft.field("lines/1/packages").error
    assert screen.draft.field("lines/1/packages").text() == "2.5"
    screen.draft.field("lines/1/item").set_text("No such oil")
    shop.key("Ctrl+Return")
    assert "No item is called this" in screen.draft.field("lines/1/item").error
    assert shop.rooms.buying.orders() == ()
    assert_tab_walks(shop, screen)


def test_that_something_else_that_came_is_taken_with_a_reason_and_put_on_the_shelf_as_that(
    shop: ShopInWindow,
) -> None:
    other = SaveItem(actor=shop.work.actor, name="Halden ATF-7", package="1 qt", sale_unit="qt", price="9")
    shop.rooms.items.save(other)
    order = sent_order(shop, supplier(shop))
    held = on_hand(shop)
    form = order_page(shop, str(order.id)).delivery
    assert form is not None
    typed = {"document_no": "D-10", "lines/0/packages": "4", "lines/0/instead": "no such oil"}
    for name, text in typed.items():
        form.field(name).set_text(text)
    shop.key("Ctrl+Return")
    assert "No item is called this" in form.field("lines/0/instead").error
    form.field("lines/0/instead").set_text("Halden ATF-7")
    shop.key("Ctrl+Return")
    assert "write why it is taken" in form.field("lines/0/note").error
    form.field("lines/0/note").set_text("the other was out; same claims")
    shop.key("Ctrl+Return")
    (row,) = [row for row in shop.rooms.stock.on_hand() if row.name == "Halden ATF-7"]
    assert (row.on_hand, row.cost_minor) == (3_785_412, 2_600)  # four quarts of 946,352.946 µL
    assert on_hand(shop) == held


def test_that_an_order_is_saved_as_csv(shop: ShopInWindow, tmp_path: Path) -> None:
    supplier(shop)
    screen = order_page(shop, "new")
    screen.draft.field("lines/0/item").set_text(ATF)
    screen.draft.field("lines/0/packages").set_text("4")
    shop.key("Ctrl+Return")
    file = tmp_path / "order.csv"
    shop.ask.answers = [str(file)]
    screen.csv.click()
    shop.settle()
    assert ATF in file.read_text(encoding="utf-8")


def sent_order(shop: ShopInWindow, who: int) -> OrderView:
    """An order of 12 packages on its way."""
    room, actor = shop.rooms.buying, shop.work.actor
    item_id = next(row.item_id for row in shop.rooms.stock.on_hand() if row.name == ATF)
    lines = (OrderLineTyped(item_id=item_id, packages="12", price="6.50"),)
    kept = room.save_order(SaveOrder(actor=actor, supplier_id=who, lines=lines))
    move(shop, kept.order_id, OrderState.ORDERED)
    return room.order(kept.order_id)


def move(shop: ShopInWindow, order_id: int, state: OrderState) -> None:
    room = shop.rooms.buying
    version = room.order(order_id).version
    room.move_order(MoveOrder(actor=shop.work.actor, order_id=order_id, version=version, state=state))


def test_that_what_came_elsewhere_meanwhile_loses_nothing_that_is_typed(shop: ShopInWindow) -> None:
    who = supplier(shop)
    order = sent_order(shop, who)
    screen = order_page(shop, str(order.id))
    form = screen.delivery
    assert form is not None
    form.field("lines/0/lot").setFocus()
    shop.type("H-77")
    line = DeliveryLineTyped(item_id=order.lines[0].item_id, purchase_line_id=order.lines[0].id, packages="4")
    shop.rooms.deliveries.receive(
        ReceiveDelivery(
            actor=shop.work.actor, supplier_id=who, order_id=order.id, document_no="D-1", lines=(line,)
        )
    )
    shop.settle()
    assert screen.delivery is form
    assert form.texts()["lines/0/lot"] == "H-77"
    assert "changed elsewhere meanwhile" in form.error
    for name, text in {"document_no": "D-2", "lines/0/packages": "3"}.items():
        form.field(name).setFocus()
        shop.type(text)
    shop.key("Ctrl+Return")
    (now,) = shop.rooms.buying.order(order.id).lines
    assert now.received == 7 * now.package_quantity
    assert screen.delivery is not None
    assert screen.delivery.texts()["lines/0/lot"] == ""
    screen.delivery.field("lines/0/lot").setFocus()
    shop.type("H-78")
    move(shop, order.id, OrderState.CLOSED)
    shop.settle()
    assert screen.delivery.texts()["lines/0/lot"] == "H-78"
    assert "closed elsewhere" in screen.delivery.error


def test_that_a_draft_changed_elsewhere_is_shown_beside_what_is_typed(shop: ShopInWindow) -> None:
    who = supplier(shop)
    room, actor = shop.rooms.buying, shop.work.actor
    item_id = next(row.item_id for row in shop.rooms.stock.on_hand() if row.name == ATF)

    def lines(packages: str) -> tuple[OrderLineTyped, ...]:
        return (OrderLineTyped(item_id=item_id, packages=packages, price="6.50"),)

    order_id = room.save_order(SaveOrder(actor=actor, supplier_id=who, lines=lines("12"))).order_id
    screen = order_page(shop, str(order_id))
    screen.draft.field("lines/0/packages").setFocus()
    shop.type("20")
    version = room.order(order_id).version
    room.save_order(
        SaveOrder(actor=actor, order_id=order_id, version=version, supplier_id=who, lines=lines("15"))
    )
    shop.settle()
    assert "15" in screen.draft.field("lines/0/packages").error
    assert screen.draft.texts()["lines/0/packages"] == "20"
    shop.key("Ctrl+Return")
    next(action for action in screen.others if action.words == "Save order").do()
    shop.settle()
    assert room.order(order_id).lines[0].packages == 20


def test_that_a_new_order_with_nobody_to_order_from_leads_to_a_new_supplier(shop: ShopInWindow) -> None:
    screen = order_page(shop, "new")
    assert screen.main is not None
    assert screen.main.words == "New supplier"
    shop.key("Ctrl+Return")
    assert shop.place() == ("orders", "supplier")
