"""A supplier's bill by keyboard: against what was received, in parts, its difference beside the cost."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from shopdesk.services.buying import SaveSupplier
from shopdesk.services.deliveries import DeliveryLineTyped, ReceiveDelivery
from shopdesk.ui.screens.buying.bill import BillScreen
from shopdesk.ui.screens.buying.bill_form import BillForm
from shopdesk.ui.theme.look import Look
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window

ATF = "Halden ATF-6"


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("bill",)) as found:
        found.show()
        yield found


def cost_on_shelf(shop: ShopInWindow) -> int:
    return next(row for row in shop.rooms.stock.on_hand() if row.name == ATF).cost_minor


def delivered(shop: ShopInWindow) -> tuple[BillScreen, int]:
    """Have 10 packages come for 65.00 and open the bill's page; give the delivered line as well."""
    room, actor = shop.rooms, shop.work.actor
    who = room.buying.save_supplier(SaveSupplier(actor=actor, name="Quarry Supply")).supplier_id
    item_id = next(row.item_id for row in room.stock.on_hand() if row.name == ATF)
    line = DeliveryLineTyped(item_id=item_id, quantity="10 qt", cost="65.00")
    kept = room.deliveries.receive(
        ReceiveDelivery(actor=actor, supplier_id=who, document_no="D-9", lines=(line,))
    )
    screen = shop.go("bill", f"supplier:{who}")
    assert isinstance(screen, BillScreen)
    return screen, kept.lines[0].delivery_line_id


def form(screen: BillScreen) -> BillForm:
    assert screen.form is not None
    return screen.form


def fill(shop: ShopInWindow, screen: BillScreen, texts: dict[str, str]) -> None:
    for name, text in texts.items():
        form(screen).field(name).setFocus()
        shop.type(text)


def test_that_bills_in_parts_sum_to_a_difference_that_changes_no_cost(shop: ShopInWindow) -> None:
    screen, at = delivered(shop)
    before = cost_on_shelf(shop)
    fill(shop, screen, {"bill_no": "R-1", f"{at}/quantity": "4 qt", f"{at}/amount": "27.00", "total": "27"})
    assert "+$1.00" in form(screen).sums
    shop.key("Ctrl+Return")
    assert "D-9: +$1.00 (billed $27.00, received $26.00)" in screen.differences.text()
    fill(shop, screen, {"bill_no": "R-2", f"{at}/amount": "41", "freight": "3", "total": "44"})
    shop.key("Ctrl+Return")
    assert "6.00 qt is open" in form(screen).field(f"{at}/quantity").error
    fill(shop, screen, {f"{at}/quantity": "6 qt"})
    assert_tab_walks(shop, screen)
    shop.key("Ctrl+Return")
    assert "D-9: +$3.00 (billed $68.00, received $65.00)" in screen.differences.text()
    assert screen.form_card.isHidden()
    newest, oldest = shop.rooms.bills.all()
    assert (oldest.total_minor, newest.total_minor) == (2_700, 4_400)
    assert "Freight: $3.00 billed" in newest.remarks[0]
    assert cost_on_shelf(shop) == before


def test_that_a_bill_that_does_not_add_up_keeps_its_text(shop: ShopInWindow) -> None:
    screen, at = delivered(shop)
    fill(shop, screen, {"bill_no": "R-1", f"{at}/amount": "65.00", "total": "70.00"})
    shop.key("Ctrl+Return")
    assert "come to $65.00" in form(screen).field("total").error
    assert form(screen).texts()["total"] == "70.00"
    assert shop.rooms.bills.all() == ()


def test_that_what_comes_meanwhile_joins_the_form_beside_what_was_typed(shop: ShopInWindow) -> None:
    screen, at = delivered(shop)
    fill(shop, screen, {"bill_no": "R-1", f"{at}/amount": "65.00"})
    room = shop.rooms
    (view,) = room.deliveries.of_supplier(room.buying.suppliers()[0].id)
    line = DeliveryLineTyped(item_id=view.lines[0].item_id, quantity="1 qt", cost="6.50")
    room.deliveries.receive(
        ReceiveDelivery(
            actor=shop.work.actor, supplier_id=view.supplier_id, document_no="D-10", lines=(line,)
        )
    )
    shop.settle()
    assert len(form(screen).rows) == 2
    assert (form(screen).texts()["bill_no"], form(screen).texts()[f"{at}/amount"]) == ("R-1", "65.00")
