"""The shelf: deliveries by keyboard, tiles, parts, one item with its ledger, and its particulars."""

from collections.abc import Iterator
from datetime import date
from fractions import Fraction
from pathlib import Path
from random import Random

import pytest

from shopdesk.domain.unit_factors import to_ul
from shopdesk.services.acting import Writing
from shopdesk.services.items import Claim, ClaimBasis, EditItem, ItemKind, SaveItem
from shopdesk.services.stock import Draw, Receive, draw, receive
from shopdesk.ui import drafts
from shopdesk.ui.screens.fluids.item import ItemScreen
from shopdesk.ui.screens.fluids.screen import FluidsScreen
from shopdesk.ui.theme.look import Look, LookChoice, Shade
from shopdesk.ui.widgets.search_field import SearchField
from tests.ui.odd_texts import odd_text
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window

ATF = "Halden ATF-6"


def quarts(number: int) -> int:
    return to_ul(Fraction(number), "qt")


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("fluids", "item")) as found:
        found.show()
        yield found


def shelf(shop: ShopInWindow, subject: str = "") -> FluidsScreen:
    screen = shop.go("fluids", subject)
    assert isinstance(screen, FluidsScreen)
    return screen


def item(shop: ShopInWindow, subject: str) -> ItemScreen:
    screen = shop.go("item", subject)
    assert isinstance(screen, ItemScreen)
    return screen


def item_id(shop: ShopInWindow, name: str = ATF) -> int:
    return next(goods.id for goods in shop.rooms.items.all() if goods.name == name)


def on_hand(shop: ShopInWindow, name: str = ATF) -> int:
    return next(row.on_hand for row in shop.rooms.stock.on_hand() if row.name == name)


def new_fluid(shop: ShopInWindow, name: str, **values: str) -> int:
    given = {"package": "1 qt", "sale_unit": "qt", "price": "10", **values}
    return shop.rooms.items.save(SaveItem(actor=shop.work.actor, name=name, **given)).item_id


def test_that_a_delivery_is_taken_in_by_keyboard_alone(shop: ShopInWindow) -> None:
    screen = shelf(shop)
    shop.key("Ctrl+Return")
    for text in (ATF.lower(), "12 qt", "78", "H6-2311", "D-204", "Drum 7", "1 May 2028"):
        shop.type(text)
        shop.key("Tab")
    assert screen.receive.form.field("quantity").beneath == "12.00 qt (11.36 L)"
    assert screen.receive.form.field("cost").beneath == "$6.50 a qt"
    shop.key("Ctrl+Return")
    (box, *_others) = shop.rooms.stock.containers(item_id(shop))
    assert (box.label, box.lot, box.best_before) == ("Drum 7", "H6-2311", date(2028, 5, 1))
    assert box.on_hand == quarts(12)
    assert shop.rooms.stock.ledger(item_id(shop))[0].cost_minor == 7800
    assert shop.window.notices.words == "Halden ATF-6: 24.00 qt on hand now."
    assert screen.shelf.tiles[0].tile.glass.figure == "24.00 qt"
    kept = screen.receive.form.texts()
    assert (kept["item"], kept["document_no"]) == ("", "D-204")


def test_that_an_item_is_picked_from_what_fits(shop: ShopInWindow) -> None:
    screen = shelf(shop, "receive")
    shop.type("washer")
    chosen = screen.receive.form.field("item")
    assert isinstance(chosen, SearchField)
    assert chosen.offered() == ["Crush washer 18 x 24 x 1.5"]
    shop.key("Return")
    assert chosen.text() == "Crush washer 18 x 24 x 1.5"
    assert chosen.beneath == "Part · comes in 1 · 8 pcs on hand"
    shop.type("30")
    assert screen.receive.form.field("quantity").beneath == "30 pcs"


def test_that_what_cannot_be_read_stays_beside_its_sentence(shop: ShopInWindow) -> None:
    before = on_hand(shop)
    screen = shelf(shop, f"receive:{item_id(shop)}")
    shop.type("12 furlongs")
    shop.key("Ctrl+Return")
    quantity = screen.receive.form.field("quantity")
    assert "furlongs" in quantity.error
    assert quantity.text() == "12 furlongs"
    quantity.set_text("0 qt")
    screen.receive.form.field("cost").set_text("1")
    shop.key("Ctrl+Return")
    assert quantity.error == "A delivery holds more than nothing."
    assert on_hand(shop) == before


def test_that_an_unknown_item_is_made_from_here_and_the_delivery_goes_on(shop: ShopInWindow) -> None:
    screen = shelf(shop, "receive")
    shop.type("Marlin CVT-B")
    screen.receive.form.field("quantity").set_text("8 qt")
    screen.receive.form.field("cost").set_text("60")
    shop.key("Ctrl+Return")
    assert screen.receive.form.field("item").error.startswith("No item is called this.")
    screen.receive._new.click()
    shop.settle()
    assert shop.place() == ("item", "new:Marlin CVT-B")
    form = shop.window.ways.screen
    assert isinstance(form, ItemScreen)
    form.form.field("price").set_text("14.60")
    shop.key("Ctrl+Return")
    assert shop.place()[0] == "fluids"
    shop.key("Ctrl+Return")
    assert on_hand(shop, "Marlin CVT-B") == quarts(8)


def test_that_a_double_click_takes_a_delivery_in_once(shop: ShopInWindow) -> None:
    before = on_hand(shop)
    screen = shelf(shop, f"receive:{item_id(shop)}")
    screen.receive.form.field("quantity").set_text("4 qt")
    screen.receive.form.field("cost").set_text("24")
    screen.receive.save.click()
    screen.receive.save.click()
    shop.settle()
    assert on_hand(shop) == before + quarts(4)


def test_that_what_is_to_order_comes_first_and_is_counted_at_the_top(shop: ShopInWindow) -> None:
    new_fluid(shop, "Zander Gear", order_at="6 qt", fill_to="20 qt")
    screen = shelf(shop)
    assert [tile.tile.glass.name for tile in screen.shelf.tiles] == ["Zander Gear", ATF]
    assert screen.shelf.tiles[0].accessibleName() == "Zander Gear, 0.00 qt, order at 6.00 qt, To order"
    assert screen.subtitle == "1 to order"


def test_that_the_shelf_is_walked_by_arrows_and_opened_by_enter(shop: ShopInWindow) -> None:
    new_fluid(shop, "Zander Gear")
    screen = shelf(shop)
    assert screen.shelf.hasFocus()
    assert screen.shelf.tiles[0].marked
    shop.key("Right")
    assert screen.shelf.tiles[1].marked
    shop.key("Return")
    assert shop.place() == ("item", str(item_id(shop)))


def test_that_another_counters_delivery_is_seen_while_the_form_is_open(shop: ShopInWindow) -> None:
    screen = shelf(shop, "receive")
    shop.type("hald")
    shop.rooms.stock.receive(
        Receive(actor=shop.work.actor, item_id=item_id(shop), quantity="8 qt", cost="48")
    )
    shop.settle()
    assert screen.shelf.tiles[0].tile.glass.figure == "20.00 qt"
    assert screen.receive.form.field("item").text() == "hald"


def test_that_a_half_typed_delivery_comes_back(
    shop: ShopInWindow, look: Look, small_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(drafts, "WAIT_MS", 0)
    shelf(shop, f"receive:{item_id(shop)}")
    shop.type("9 qt")
    shop.settle()
    shop.desk.drafts.keep_all()
    shop.settle()
    with shop_in_window(look, small_shop, real=("fluids", "item")) as again:
        again.show()
        screen = shelf(again, "receive")
        texts = screen.receive.form.texts()
        assert (texts["item"], texts["quantity"]) == (ATF, "9 qt")


def test_that_the_ledger_shows_each_move_with_the_level_after_it(shop: ShopInWindow) -> None:
    screen = item(shop, str(item_id(shop)))
    lines = [
        (screen.page._quantity(row), screen.page._level(row), row.work_order_number)
        for row in screen.page.ledger.rows
    ]
    assert lines == [("−4.00 qt", "12.00 qt", 1001), ("+16.00 qt", "16.00 qt", None)]
    screen.page.ledger.selectRow(0)
    shop.key("Return")
    assert shop.place() == ("work order", "1")


def test_that_the_ledger_is_read_window_by_window(shop: ShopInWindow) -> None:
    command = Receive(actor=shop.work.actor, item_id=item_id(shop), quantity="1 qt", cost="6")

    def many(writing: Writing) -> int:
        return len([receive(writing, command) for _number in range(130)])

    shop.rooms.office.carry_out(command, many, int)
    screen = item(shop, str(item_id(shop)))
    ledger = screen.page.ledger
    assert len(ledger.rows) == 100
    ledger.scrollToBottom()
    shop.settle()
    assert len(ledger.rows) == 132
    levels = [row.level_after for row in ledger.rows]
    assert levels[:-1] == sorted(levels[:-1], reverse=True)
    assert levels[-1] == quarts(16)


def test_that_more_than_the_shelf_held_is_flagged_for_counting(shop: ShopInWindow) -> None:
    office, actor = shop.rooms.office, shop.work.actor
    wanted = Draw(item_id=item_id(shop), quantity=quarts(13), work_order_id=1)
    command = Receive(actor=actor, item_id=item_id(shop), quantity="1 qt", cost="0")
    office.carry_out(command, lambda writing: draw(writing, wanted).short, int)
    screen = item(shop, str(item_id(shop)))
    assert "1.00 qt more than was ever received" in screen.page._warning.accessibleName()
    words = [screen.page.ledger._rows.columns[1].text(row) for row in screen.page.ledger.rows]
    assert words[0] == "Count it: work order 1001 took more than there was"
    assert shelf(shop).shelf.tiles[0].tile.word == "Count it"


def test_that_an_items_particulars_are_changed_and_read_back_exactly(shop: ShopInWindow) -> None:
    screen = item(shop, str(item_id(shop)))
    before = shop.rooms.items.item(item_id(shop))
    screen._edit()
    shop.key("Ctrl+Return")
    shop.settle()
    same = shop.rooms.items.item(before.id)
    assert (same.order_at, same.fill_to, same.package_quantity, same.density_kg_m3) == (
        before.order_at,
        before.fill_to,
        before.package_quantity,
        860,
    )
    assert same.claims == before.claims
    screen = item(shop, str(before.id))
    screen._edit()
    screen.form.field("name").set_text("Halden ATF-6 Plus")
    screen.form.add_claim()
    screen.form.field("claims/1/specification").set_text("PX-9")
    screen.form.field("claims/1/basis").set_text("licensed")
    shop.key("Ctrl+Return")
    assert screen.form.field("claims/1/licence_no").error.startswith("A licensed product")
    screen.form.field("claims/1/licence_no").set_text("LM-9-1")
    shop.key("Ctrl+Return")
    kept = shop.rooms.items.item(before.id)
    assert kept.name == "Halden ATF-6 Plus"
    assert kept.claims[1] == Claim(specification="PX-9", basis=ClaimBasis.LICENSED, licence_no="LM-9-1")
    assert not screen.is_editing


def test_that_a_new_part_has_pieces_and_no_density(shop: ShopInWindow) -> None:
    screen = item(shop, "new")
    shop.type("Filter UD7")
    kind = screen.form.field("kind")
    kind.set_text("part")
    kind.edited.emit()
    assert not screen.form.field("density").isVisible()
    assert not screen.form.field("claims/0/specification").isVisible()
    screen.form.field("package").set_text("1")
    screen.form.field("price").set_text("34")
    screen.form.field("order_at").set_text("2")
    assert screen.form.field("order_at").beneath == "2 pcs"
    shop.key("Ctrl+Return")
    goods = next(each for each in shop.rooms.items.all() if each.name == "Filter UD7")
    assert (goods.kind, goods.sale_unit, goods.order_at) == (ItemKind.PART, "each", 2000)
    assert shop.place() == ("item", str(goods.id))


def test_that_a_new_item_never_takes_the_place_of_another(shop: ShopInWindow) -> None:
    screen = item(shop, "new")
    shop.type("HALDEN atf-6")
    screen.form.field("price").set_text("1")
    shop.key("Ctrl+Return")
    assert screen.form.field("name").error == "An item of this name is on the list already."
    assert shop.rooms.items.item(item_id(shop)).price_minor == 1140


def test_that_two_people_at_one_item_see_both_values(shop: ShopInWindow) -> None:
    screen = item(shop, str(item_id(shop)))
    screen._edit()
    price = screen.form.field("price")
    price.control.setFocus()
    price.control.selectAll()  # type: ignore[union-attr]
    shop.type("12.90")
    goods = shop.rooms.items.item(item_id(shop))
    shop.rooms.items.edit(
        EditItem(
            actor=shop.work.actor,
            item_id=goods.id,
            version=goods.version,
            name=goods.name,
            package="1 gal",
            sale_unit="qt",
            price="12.40",
            maker="Halden",
            claims=goods.claims,
        )
    )
    shop.settle()
    shop.key("Ctrl+Return")
    assert price.error == "Somebody else put meanwhile: 12.40"
    assert price.text() == "12.90"
    shop.key("Ctrl+Return")
    assert shop.rooms.items.item(goods.id).price_minor == 1290


@pytest.mark.parametrize("subject", ["", "receive"])
def test_that_tab_reaches_each_part_of_the_shelf_once(shop: ShopInWindow, subject: str) -> None:
    new_fluid(shop, "Zander Gear")
    assert_tab_walks(shop, shelf(shop, subject))


@pytest.mark.parametrize("subject", ["1", "new"])
def test_that_tab_reaches_each_part_of_an_item_once(shop: ShopInWindow, subject: str) -> None:
    assert_tab_walks(shop, item(shop, subject))


def test_that_the_pages_fit_a_small_screen_at_any_text_size(shop: ShopInWindow, look: Look) -> None:
    for percent in (100, 200):
        look.choose(LookChoice(shade=Shade.DARK, percent=percent, less_motion=True))
        for page, subject in (("fluids", "receive"), ("item", "1"), ("item", "new")):
            shop.go(page, subject)
            least = shop.window.minimumSizeHint()
            assert (least.width() <= 1280, least.height() <= 800) == (True, True), (page, percent, least)
    look.choose(LookChoice(shade=Shade.LIGHT, less_motion=True))


def test_that_odd_texts_are_refused_beside_a_field_or_kept_whole(shop: ShopInWindow) -> None:
    dice = Random(5)
    screen = shelf(shop, "receive")
    form = screen.receive.form
    outcomes = set()
    for turn in range(60):
        typed = {name: odd_text(dice) if dice.random() < 0.4 else "" for name in form.texts()}
        typed |= {"item": ATF if turn % 3 else odd_text(dice)}
        typed |= {"quantity": "1 qt", "cost": "6"} if dice.random() < 0.5 else {}
        form.restore(typed)
        typed = form.texts()
        before = len(shop.rooms.stock.containers(item_id(shop)))
        screen.receive.take_in()
        shop.settle()
        said = [form.error, *(form.field(name).error for name in form.texts())]
        kept = len(shop.rooms.stock.containers(item_id(shop))) - before
        assert kept == int(not any(said)), (typed, said)
        if kept == 0:
            assert form.texts() == typed
        outcomes.add(kept)
    assert outcomes == {0, 1}
