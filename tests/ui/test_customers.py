"""Pages of customers, by keyboard, on a real small shop."""

from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from shopdesk.services.customers import AddCustomer, EditCustomer
from shopdesk.ui.screens.customer import CustomerScreen
from shopdesk.ui.screens.customers import CustomersScreen
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.plain_label import PlainLabel
from tests.ui.odd_texts import odd_text
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("customers", "customer", "vehicles")) as found:
        found.show()
        yield found


def page(shop: ShopInWindow, subject: str) -> CustomerScreen:
    screen = shop.go("customer", subject)
    assert isinstance(screen, CustomerScreen)
    return screen


def listed(shop: ShopInWindow) -> CustomersScreen:
    screen = shop.go("customers")
    assert isinstance(screen, CustomersScreen)
    return screen


def add(shop: ShopInWindow, name: str, phone: str = "") -> int:
    command = AddCustomer(actor=shop.work.actor, name=name, phones=(phone,) if phone else ())
    return shop.rooms.intake.add_customer(command).customer_id


def test_that_the_list_is_narrowed_by_name_or_phone_and_enter_opens(shop: ShopInWindow) -> None:
    wanted = add(shop, "Délia Strand", "303 555 0121")
    add(shop, "Ansel Quist")
    screen = listed(shop)
    shop.type("delia")
    shop.settle()
    assert [row.name for row in screen.table.rows] == ["Délia Strand"]
    screen.filter.clear()
    shop.type("0121")
    shop.settle()
    assert [row.id for row in screen.table.rows] == [wanted]
    shop.key("Down")
    shop.key("Return")
    assert shop.place() == ("customer", str(wanted))


def test_that_the_list_reads_windows_of_rows(shop: ShopInWindow) -> None:
    for number in range(120):
        add(shop, f"Person {number:03}")
    screen = listed(shop)
    assert len(screen.table.rows) == 100
    screen.table.scrollToBottom()
    shop.settle()
    assert len(screen.table.rows) == 121
    assert len({row.id for row in screen.table.rows}) == 121


def test_that_a_new_customer_is_taken_in_by_keyboard(shop: ShopInWindow) -> None:
    listed(shop)
    shop.key("Ctrl+Return")
    assert shop.place() == ("customer", "new")
    shop.type("Nadia <b>Fell</b>")
    shop.key("Return")
    shop.key("Return")
    shop.type("303 555 0199, 303 555 0177")
    shop.key("Ctrl+Return")
    place, subject = shop.place()
    assert place == "customer"
    kept = shop.rooms.intake.customer(int(subject))
    assert kept.name == "Nadia <b>Fell</b>"
    assert kept.phones == ("303 555 0199", "303 555 0177")
    assert shop.window.ways.screen is not None
    assert shop.window.ways.screen.title == "Nadia <b>Fell</b>"


def test_that_an_unusual_phone_is_kept_and_said(shop: ShopInWindow) -> None:
    screen = page(shop, "new")
    screen.form.field("name").set_text("Ansel")
    screen.form.field("phones").set_text("555-01")
    shop.key("Ctrl+Return")
    assert "unusual" in shop.window.notices.words
    assert shop.rooms.intake.customers(starts="ansel")[0].phone == "555-01"


def test_that_an_error_stands_beside_its_field_and_keeps_the_text(shop: ShopInWindow) -> None:
    screen = page(shop, "new")
    screen.form.field("emails").set_text("nobody at home")
    shop.key("Ctrl+Return")
    assert screen.form.field("name").error
    screen.form.field("name").set_text("Lee")
    shop.key("Ctrl+Return")
    assert "name@example.com" in screen.form.field("emails").error
    assert screen.form.field("emails").text() == "nobody at home"
    assert len(shop.rooms.intake.customers()) == 1


def test_that_a_double_click_takes_in_one_customer(shop: ShopInWindow) -> None:
    screen = page(shop, "new")
    screen.form.field("name").set_text("Twice")
    assert screen.main is not None
    screen.main.do()
    screen.main.do()
    shop.settle()
    assert len(shop.rooms.intake.customers(starts="twice")) == 1


def test_that_somebody_elses_change_is_shown_and_nothing_is_lost(shop: ShopInWindow) -> None:
    screen = page(shop, "1")
    shop.type(" Junior")
    before = shop.rooms.intake.customer(1)
    shop.rooms.intake.edit_customer(
        EditCustomer(
            actor=shop.work.actor, customer_id=1, version=before.version, name="Imre Okonjo-Hale",
            phones=before.phones, address=before.address, warning="Moved",
        )
    )  # fmt: skip
    shop.settle()
    assert screen.form.field("name").text() == "Imre Okonjo Junior"
    shop.key("Ctrl+Return")
    assert "Imre Okonjo-Hale" in screen.form.field("name").error
    assert "Moved" in screen.form.field("warning").error
    assert "Somebody else" in screen.form.error
    screen.form.field("warning").set_text("Moved")
    shop.key("Ctrl+Return")
    kept = shop.rooms.intake.customer(1)
    assert (kept.name, kept.warning) == ("Imre Okonjo Junior", "Moved")


def test_that_what_was_typed_comes_back_after_the_page_was_left(shop: ShopInWindow) -> None:
    screen = page(shop, "1")
    shop.type(" the third")
    page(shop, "new")
    assert screen.form.field("name").text() == ""
    page(shop, "1")
    assert screen.form.field("name").text() == "Imre Okonjo the third"
    shop.window.notices.undo()
    shop.settle()
    assert screen.form.field("name").text() == "Imre Okonjo"


def test_that_a_vehicle_is_added_to_its_keeper(shop: ShopInWindow) -> None:
    screen = page(shop, "1")
    screen.vehicles.add.click()
    shop.type("HX 22")
    shop.key("Return")
    shop.key("Return")
    shop.type("123")
    shop.key("Ctrl+Return")
    form = screen.vehicles.form
    assert "17 characters" in form.field("vin").error
    assert form.field("unusual_vin").isVisible()
    form.field("unusual_vin").set_text("yes")
    shop.key("Ctrl+Return")
    place, subject = shop.place()
    assert place == "vehicle"
    kept = shop.rooms.intake.vehicle(int(subject))
    assert (kept.plate, kept.vin, kept.keeper_id) == ("HX 22", "123", 1)


def test_that_warnings_are_seen_and_typed_markup_stays_plain(shop: ShopInWindow) -> None:
    before = shop.rooms.intake.customer(1)
    shop.rooms.intake.edit_customer(
        EditCustomer(
            actor=shop.work.actor,
            customer_id=1,
            version=before.version,
            name="<img src=x>",
            warning="<b>dog</b>",
        )
    )  # fmt: skip
    screen = page(shop, "1")
    assert screen.warning.isVisible()
    shown = [label.text() for label in screen.findChildren(PlainLabel) if label.isVisible()]
    assert "<b>dog</b>" in shown


def test_that_enter_on_a_vehicle_opens_it_and_a_work_order_begins_with_the_customer(
    shop: ShopInWindow,
) -> None:
    screen = page(shop, "1")
    screen.vehicles.table.setFocus()
    shop.key("Return")
    assert shop.place() == ("vehicle", "1")
    page(shop, "1")
    shop.key("Ctrl+N")
    assert shop.place() == ("new work order", "customer:1")


@pytest.mark.parametrize(("name", "subject"), [("customers", ""), ("customer", "1"), ("customer", "new")])
def test_that_tab_reaches_every_part_once_and_all_have_names(
    shop: ShopInWindow, name: str, subject: str
) -> None:
    assert_tab_walks(shop, shop.go(name, subject))


def test_that_odd_texts_are_kept_or_refused_beside_a_field(shop: ShopInWindow) -> None:
    screen = page(shop, "new")
    dice = Random(4471)
    outcomes = set()
    for _turn in range(60):
        page(shop, "new")
        screen.form.restore({name: odd_text(dice) for name in screen.form.texts() if name != "kind"})
        typed = screen.form.texts()
        shop.key("Ctrl+Return")
        said = [screen.form.field(name).error for name in typed] + [screen.form.error]
        kept = shop.place()[1] != "new"
        assert kept or any(said)
        assert kept or screen.form.texts() == typed
        outcomes.add(kept)
    assert outcomes == {True, False}
