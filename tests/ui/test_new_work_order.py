"""The counter's first call: a work order taken in by keyboard, on a real small shop."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from shopdesk.services.customers import AddCustomer, EditCustomer
from shopdesk.services.vehicles import AddVehicle
from shopdesk.ui import drafts
from shopdesk.ui.screens.new_work_order import NewWorkOrderScreen
from shopdesk.ui.theme.look import Look
from tests.ui.odd_texts import odd_text
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("new work order",)) as found:
        found.show()
        yield found


def page(shop: ShopInWindow, subject: str = "") -> NewWorkOrderScreen:
    screen = shop.go("new work order", subject)
    assert isinstance(screen, NewWorkOrderScreen)
    return screen


def opened(shop: ShopInWindow) -> Any:
    """Give the work order that the window went to."""
    place, subject = shop.place()
    assert place == "work order"
    return shop.rooms.board.work_order(int(subject))


def orders(shop: ShopInWindow) -> int:
    return len(shop.rooms.board.work_orders(most=10_000))


def test_that_a_known_vehicle_is_taken_in_with_a_few_keys(shop: ShopInWindow) -> None:
    page(shop)
    shop.type("kt 44")
    shop.key("Return")
    shop.type("86,100")
    shop.key("Return")
    shop.type("fri 9 am")
    shop.key("Return")
    shop.type("Shudders at 40")
    shop.key("Ctrl+Return")
    order = opened(shop)
    assert (order.plate, order.customer, order.complaint) == ("KT 4471", "Imre Okonjo", "Shudders at 40")
    assert order.odometer_in_tenths == 861_000
    assert order.promised_at == datetime(2026, 11, 27, 9, 0, tzinfo=ZoneInfo("America/Denver"))
    assert f"Work order {order.number} is open." in shop.window.notices.words


def test_that_somebody_new_is_typed_in_place_and_all_is_kept_once(shop: ShopInWindow) -> None:
    screen = page(shop)
    shop.type("Nadia Fell")
    shop.key("Return")
    assert screen.who.customer_form.field("name").text() == "Nadia Fell"
    shop.type("303 555 0199")
    shop.key("Return")
    shop.key("Return")
    shop.type("HX 22")
    shop.key("Return")
    for _field in range(2):
        shop.key("Return")
    shop.type("2018")
    shop.key("Return")
    shop.type("Brightwater")
    shop.key("Return")
    shop.type("Tern")
    shop.key("Return")
    shop.type("61250")
    assert screen.main is not None
    screen.main.do()
    screen.main.do()
    shop.settle()
    order = opened(shop)
    vehicle = shop.rooms.intake.vehicle(order.vehicle_id)
    assert (vehicle.keeper, vehicle.words) == ("Nadia Fell", "2018 Brightwater Tern")
    assert order.odometer_in_tenths == 612_500
    assert (
        len(shop.rooms.intake.customers(starts="nadia"))
        == len(shop.rooms.intake.vehicles(contains="HX22"))
        == 1
    )
    assert orders(shop) == 2


def test_that_enter_before_the_answer_waits_for_it(shop: ShopInWindow) -> None:
    screen = page(shop)
    shop.type("0188")
    shop.key("Return")
    assert screen.who.customer is not None
    assert screen.who.vehicle is not None  # the only one they keep comes with them
    assert screen.order.field("reading").control.hasFocus()


def test_that_warnings_are_shown_when_somebody_is_chosen(shop: ShopInWindow) -> None:
    before = shop.rooms.intake.customer(1)
    shop.rooms.intake.edit_customer(
        EditCustomer(
            actor=shop.work.actor,
            customer_id=1,
            version=before.version,
            name=before.name,
            warning="Call first",
        )
    )  # fmt: skip
    screen = page(shop, "customer:1")
    assert screen.who.chosen_customer._warning.accessibleName() == "Customer: Call first"
    assert screen.who.chosen_customer._warning.isVisible()


def test_that_a_customer_with_several_vehicles_is_asked_which(shop: ShopInWindow) -> None:
    shop.rooms.intake.add_vehicle(AddVehicle(actor=shop.work.actor, customer_id=1, plate="HX 22"))
    screen = page(shop)
    shop.type("okonjo")
    shop.settle()
    shop.key("Return")
    if screen.who.vehicle is None:
        assert [row.plate for row in screen.who.theirs.rows] == ["HX 22", "KT 4471"]
        shop.key("Ctrl+Return")
        assert "Choose one" in shop.window.notices.words
        screen.who.theirs.setFocus()
        shop.key("Return")
    assert screen.who.vehicle is not None
    shop.key("Ctrl+Return")
    assert opened(shop).customer == "Imre Okonjo"


def test_that_a_doubtful_reading_asks_for_its_reason_and_nothing_is_kept_twice(
    shop: ShopInWindow,
) -> None:
    screen = page(shop, "vehicle:1")
    screen.who.chosen_customer.other.click()
    screen.who.customer_form.field("name").set_text("Nadia Fell")
    screen.order.field("reading").set_text("8431")
    shop.key("Ctrl+Return")
    assert "only goes up" in screen.order.field("reading").error
    assert "the customer" in screen._kept.text()
    assert orders(shop) == 1
    shop.type("photo of the dial")
    shop.key("Ctrl+Return")
    order = opened(shop)
    assert (order.customer, order.odometer_in_tenths) == ("Nadia Fell", 84_310)
    assert len(shop.rooms.intake.customers(starts="nadia")) == 1


def test_that_who_brings_it_pays_and_keeps_it_are_three_things(shop: ShopInWindow) -> None:
    fleet = shop.rooms.intake.add_customer(
        AddCustomer(actor=shop.work.actor, name="Marrow Falls School District")
    )
    screen = page(shop, "vehicle:1")
    shop_line = screen.who.lookup.line
    shop_line.setFocus()
    shop.type("marrow falls")
    shop.key("Return")
    assert screen.who.takes_over.isVisible()
    screen.order.field("driver").set_text("Delia at the depot")
    screen.order.field("po_number").set_text("PO-77")
    shop.key("Ctrl+Return")
    order = opened(shop)
    assert (order.customer_id, order.driver, order.po_number) == (
        fleet.customer_id,
        "Delia at the depot",
        "PO-77",
    )
    assert shop.rooms.intake.vehicle(1).keeper == "Imre Okonjo"


def test_that_a_vehicle_can_change_hands_at_the_counter(shop: ShopInWindow) -> None:
    screen = page(shop, "vehicle:1")
    screen.who.chosen_customer.other.click()
    screen.who.customer_form.field("name").set_text("Nadia Fell")
    screen.who.takes_over.set_text("yes")
    shop.key("Ctrl+Return")
    assert opened(shop).customer == "Nadia Fell"
    assert shop.rooms.intake.vehicle(1).keeper == "Nadia Fell"


def test_that_a_comeback_names_the_job_it_comes_back_from(shop: ShopInWindow) -> None:
    screen = page(shop, "vehicle:1")
    origin = screen.order.field("origin")
    assert origin.isVisible()
    origin.set_text("1")
    origin.edited.emit()
    screen.order.field("comeback_cause").set_text("seep at the pan")
    shop.key("Ctrl+Return")
    order = opened(shop)
    assert (order.origin_number, order.comeback_cause) == (1001, "seep at the pan")


def test_that_only_new_answers_about_the_use_are_kept(shop: ShopInWindow) -> None:
    screen = page(shop, "vehicle:1")
    screen._toggle_duty()
    assert screen.duty.answers() == {"short_trips": False, "loads": True}
    screen.duty._rows["for_hire"].choose("yes")
    screen.duty._rows["for_hire"].chosen.emit("yes")
    shop.key("Ctrl+Return")
    opened(shop)
    answers = {answer.question: answer.yes for answer in shop.rooms.intake.vehicle(1).duty}
    assert answers == {"short_trips": False, "loads": True, "for_hire": True}


def test_that_errors_stand_beside_their_fields_and_nothing_is_half_kept(shop: ShopInWindow) -> None:
    screen = page(shop)
    shop.key("Ctrl+Return")
    assert screen.who.customer_form.field("name").error
    screen.who.customer_form.field("name").set_text("Nadia")
    shop.key("Ctrl+Return")
    assert screen.who.vehicle_form.field("plate").error
    screen.who.vehicle_form.field("plate").set_text("HX 22")
    screen.order.field("promised_at").set_text("soonish")
    shop.key("Ctrl+Return")
    assert screen.order.field("promised_at").error
    assert screen.order.field("promised_at").text() == "soonish"
    assert orders(shop) == 1
    assert len(shop.rooms.intake.customers()) == 1


def test_that_a_draft_of_the_page_comes_back(shop: ShopInWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drafts, "WAIT_MS", 0)
    screen = page(shop)
    screen.who.lookup.line.setFocus()
    shop.type("kt 44")
    shop.key("Return")
    screen.order.field("complaint").setFocus()
    shop.type("Whines in third")
    page(shop, "customer:1")
    assert screen.order.field("complaint").text() == ""
    page(shop)
    assert screen.order.field("complaint").text() == "Whines in third"
    assert screen.who.vehicle is not None
    assert screen.who.vehicle.plate == "KT 4471"
    shop.key("Ctrl+Return")
    assert opened(shop).complaint == "Whines in third"
    assert page(shop).order.field("complaint").text() == ""


def test_that_another_vehicle_or_customer_can_be_chosen_instead(shop: ShopInWindow) -> None:
    screen = page(shop, "vehicle:1")
    screen.who.chosen_vehicle.other.click()
    assert screen.who.vehicle is None
    assert [row.plate for row in screen.who.theirs.rows] == ["KT 4471"]
    screen.who.new_vehicle.click()
    assert screen.who.vehicle_form.isVisible()
    screen.who.vehicle_form.field("plate").set_text("NEW 1")
    shop.key("Ctrl+Return")
    assert opened(shop).plate == "NEW 1"


def test_that_tab_reaches_each_part_once_and_all_have_names(shop: ShopInWindow) -> None:
    assert_tab_walks(shop, page(shop))
    screen = page(shop, "vehicle:1")
    screen._toggle_duty()
    assert_tab_walks(shop, screen)


def test_that_odd_texts_open_an_order_or_are_refused_beside_a_field(shop: ShopInWindow) -> None:
    dice = Random(77)
    outcomes = set()
    for turn in range(50):
        screen = page(shop, "vehicle:1" if turn % 2 else "")
        who, order = screen.who, screen.order
        typed = {f"customer {n}": odd_text(dice) for n in who.customer_form.texts() if n != "kind"}
        typed |= {f"vehicle {n}": odd_text(dice) for n in ("plate", "vin", "year", "make", "model")}
        names = ("reading", "promised_at", "complaint", "key_tag", "driver", "po_number")
        typed |= {name: odd_text(dice) if dice.random() < 0.5 else "" for name in names}
        who.restore(typed)
        order.restore(typed)
        before = orders(shop)
        shop.key("Ctrl+Return")
        forms = (who.customer_form, who.vehicle_form, order)
        said = [form.field(name).error for form in forms for name in form.texts()]
        said += [form.error for form in forms]
        was_opened = shop.place()[0] == "work order"
        assert was_opened or any(said)
        assert orders(shop) - before == int(was_opened)
        outcomes.add(was_opened)
        screen._throw_away()
        shop.settle()
    assert outcomes == {True, False}
