"""Pages of vehicles, by keyboard, on a real small shop."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from random import Random

import pytest
from PySide6.QtWidgets import QPushButton

from shopdesk.domain.methods import UnitKind
from shopdesk.services.customers import AddCustomer
from shopdesk.services.vehicles import AddUnit, AddVehicle, EditUnit, EditVehicle
from shopdesk.services.work import OpenWorkOrder
from shopdesk.ui.screens.vehicle.screen import VehicleScreen
from shopdesk.ui.screens.vehicles import VehiclesScreen
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.form import Form
from tests.ui.odd_texts import odd_text
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("vehicles", "vehicle")) as found:
        found.show()
        yield found


def page(shop: ShopInWindow, subject: str = "1") -> VehicleScreen:
    screen = shop.go("vehicle", subject)
    assert isinstance(screen, VehicleScreen)
    return screen


def press(shop: ShopInWindow, button: QPushButton) -> None:
    """Press a button as the keyboard does."""
    button.setFocus()
    shop.key("Space")


def type_over(shop: ShopInWindow, form: Form, name: str, text: str) -> None:
    """Type into a field in place of what stands there."""
    form.field(name).setFocus()
    shop.key("Ctrl+A")
    shop.type(text)


def add_unit(shop: ShopInWindow, kind: UnitKind, label: str) -> int:
    command = AddUnit(actor=shop.work.actor, vehicle_id=1, kind=kind, label=label)
    return shop.rooms.intake.add_unit(command).unit_id


def test_that_the_list_is_narrowed_by_plate_or_vin_and_enter_opens(shop: ShopInWindow) -> None:
    shop.rooms.intake.add_vehicle(
        AddVehicle(actor=shop.work.actor, customer_id=1, plate="HX 22", vin="1M8GDM9AXKP042788")
    )
    screen = shop.go("vehicles")
    assert isinstance(screen, VehiclesScreen)
    assert [row.plate for row in screen.table.rows] == ["HX 22", "KT 4471"]
    shop.type("kt-44")
    shop.settle()
    assert [row.plate for row in screen.table.rows] == ["KT 4471"]
    screen.filter.clear()
    shop.type("kp0427")
    shop.settle()
    assert [row.plate for row in screen.table.rows] == ["HX 22"]
    shop.key("Return")
    shop.key("Return")
    assert shop.place()[0] == "vehicle"


def test_that_the_strip_shows_the_units_and_picks_the_one_the_page_is_about(shop: ShopInWindow) -> None:
    for kind, label in (
        (UnitKind.REAR_DIFFERENTIAL, "Rear"),
        (UnitKind.TRANSFER_CASE, "Transfer"),
        (UnitKind.FRONT_DIFFERENTIAL, "Front"),
    ):
        add_unit(shop, kind, label)
    screen = page(shop)
    assert [card.unit.title for card in screen.strip.cards] == [
        "6-speed automatic",
        "Transfer",
        "Front",
        "Rear",
    ]
    assert [card.unit.branch for card in screen.strip.cards] == [False, False, True, False]
    assert screen.strip.cards[0].unit.due == "114,310 mi or 26 Sep 2028"
    assert len(screen.history.table.rows) == 1
    shop.key("Alt+Right")
    assert screen.units.card.accessibleName() == "Transfer"
    assert len(screen.history.table.rows) == 0
    screen.history.which.choose("all")
    screen.history.which.chosen.emit("all")
    assert len(screen.history.table.rows) == 1


def test_that_a_line_of_the_history_opens_its_work_order(shop: ShopInWindow) -> None:
    screen = page(shop)
    screen.history.table.setFocus()
    shop.key("Return")
    assert shop.place() == ("work order", "1")


def test_that_the_next_due_shows_what_it_came_from(shop: ShopInWindow) -> None:
    screen = page(shop)
    came = screen.units.due.accessibleDescription()
    assert came
    screen.units.due.setFocus()
    shop.key("Return")
    shown = [label.text() for label in shop.window.findChildren(type(screen.units._reason))]
    assert "114,310 mi" in shown
    assert any("Severe use" in text for text in shown)


def test_that_an_odometer_reading_is_kept_and_due_follows(shop: ShopInWindow) -> None:
    screen = page(shop)
    screen.odometer.form.focus_first()
    shop.type("86 400")
    shop.key("Return")
    shop.key("Return")
    shop.key("Return")
    assert "86,400 mi" in shop.window.notices.words
    assert shop.rooms.intake.vehicle(1).readings[0].tenths == 864_000
    assert screen.odometer.form.field("reading").text() == ""


def test_that_a_doubtful_reading_asks_for_its_reason_beside_the_field(shop: ShopInWindow) -> None:
    screen = page(shop)
    form = screen.odometer.form
    form.focus_first()
    shop.type("8431")
    press(shop, screen.odometer.keep)
    assert "only goes up" in form.field("reading").error
    assert form.field("reading").text() == "8431"
    assert form.field("reason").isVisible()
    shop.type("typed from a photo")
    press(shop, screen.odometer.keep)
    newest = shop.rooms.intake.vehicle(1).readings[0]
    assert (newest.tenths, newest.reason) == (84_310, "typed from a photo")
    assert newest.doubt
    points = [screen.odometer.line.current()]
    assert points[0] is not None
    assert "only goes up" in points[0].doubt


def test_that_a_replaced_instrument_needs_to_say_why_and_begins_anew(shop: ShopInWindow) -> None:
    screen = page(shop)
    form = screen.odometer.form
    form.field("reading").set_text("12")
    form.field("kind").set_text("replaced")
    form.field("kind").edited.emit()
    assert form.field("reason").isVisible()
    press(shop, screen.odometer.keep)
    assert form.field("reason").error
    form.field("reason").set_text("cluster failed")
    press(shop, screen.odometer.keep)
    newest = shop.rooms.intake.vehicle(1).readings[0]
    assert (newest.tenths, newest.segment, newest.doubt) == (120, 2, "")


def test_that_a_unit_is_added_with_its_sheet_by_keyboard(shop: ShopInWindow) -> None:
    screen = page(shop)
    press(shop, screen.units.add)
    shop.key("Return")
    shop.type("Spare automatic")
    shop.key("Return")
    assert screen.units.adding.form.field("sheet").text() == ""
    shop.key("Down")
    for _field in range(4):
        shop.key("Return")
    units = shop.rooms.intake.vehicle(1).units
    assert [(unit.label, unit.designation) for unit in units] == [
        ("6-speed automatic", "PX6-A"), ("Spare automatic", "PX6-A"),
    ]  # fmt: skip
    assert screen.strip.choice() == str(units[1].id)


def test_that_a_sheet_for_another_kind_is_not_offered(shop: ShopInWindow) -> None:
    screen = page(shop)
    press(shop, screen.units.add)
    form = screen.units.adding.form
    form.field("sheet").set_text("1")
    assert form.field("sheet").text() == "1"
    form.field("kind").set_text("transfer case")
    form.field("kind").edited.emit()
    assert form.field("sheet").text() == ""


def test_that_a_capacity_keeps_its_exact_value_when_it_is_not_touched(shop: ShopInWindow) -> None:
    unit = shop.rooms.intake.vehicle(1).units[0]
    shop.rooms.intake.edit_unit(
        EditUnit(
            actor=shop.work.actor, unit_id=unit.id, version=unit.version, sheet_id=unit.sheet_id,
            label=unit.label, total="7 L",
        )
    )  # fmt: skip
    screen = page(shop)
    press(shop, screen.units.change)
    screen.units.changing.form.field("label").set_text("Gearbox")
    press(shop, screen.units.changing.save)
    kept = shop.rooms.intake.vehicle(1).units[0]
    assert (kept.label, kept.total_ul) == ("Gearbox", 7_000_000)


def test_that_a_unit_taken_out_can_be_put_back(shop: ShopInWindow) -> None:
    screen = page(shop)
    press(shop, screen.units.change)
    screen.units.changing.form.field("removed_on").set_text("today")
    press(shop, screen.units.changing.save)
    assert shop.rooms.intake.vehicle(1).units == ()
    assert screen.units.card.accessibleName() == "Units"
    assert shop.window.notices.undo()
    shop.settle()
    assert [unit.label for unit in shop.rooms.intake.vehicle(1).units] == ["6-speed automatic"]


def test_that_a_unit_changed_elsewhere_shows_both_and_saves_again(shop: ShopInWindow) -> None:
    screen = page(shop)
    unit = shop.rooms.intake.vehicle(1).units[0]
    press(shop, screen.units.change)
    type_over(shop, screen.units.changing.form, "label", "Mine")
    shop.rooms.intake.edit_unit(
        EditUnit(
            actor=shop.work.actor,
            unit_id=unit.id,
            version=unit.version,
            sheet_id=unit.sheet_id,
            label="Theirs",
        )
    )  # fmt: skip
    press(shop, screen.units.changing.save)
    assert "Theirs" in screen.units.changing.form.field("label").error
    press(shop, screen.units.changing.save)
    assert shop.rooms.intake.vehicle(1).units[0].label == "Mine"


def test_that_the_vehicle_is_changed_and_a_conflict_loses_nothing(shop: ShopInWindow) -> None:
    screen = page(shop)
    press(shop, screen.particulars.change)
    form = screen.particulars.form
    type_over(shop, form, "warning", "Drain thread repaired")
    before = shop.rooms.intake.vehicle(1)
    shop.rooms.intake.edit_vehicle(
        EditVehicle(
            actor=shop.work.actor, vehicle_id=1, version=before.version, plate="KT 4472", vin=before.vin,
            make=before.make, model=before.model, year=before.year, odometer_unit="mi",
        )
    )  # fmt: skip
    shop.settle()
    shop.key("Ctrl+Return")
    assert "KT 4472" in form.field("plate").error
    assert form.field("warning").text() == "Drain thread repaired"
    form.field("plate").set_text("KT 4472")
    shop.key("Ctrl+Return")
    kept = shop.rooms.intake.vehicle(1)
    assert (kept.plate, kept.warning) == ("KT 4472", "Drain thread repaired")
    assert screen.warning.isVisible()
    assert not form.isVisible()


def test_that_a_wrong_year_stands_beside_its_field(shop: ShopInWindow) -> None:
    screen = page(shop)
    press(shop, screen.particulars.change)
    screen.particulars.form.field("year").set_text("19")
    shop.key("Ctrl+Return")
    assert screen.particulars.form.field("year").error
    assert screen.particulars.form.field("year").text() == "19"


def test_that_a_vehicle_changes_hands_and_keeps_its_history(shop: ShopInWindow) -> None:
    other = shop.rooms.intake.add_customer(AddCustomer(actor=shop.work.actor, name="Ansel Quist")).customer_id
    screen = page(shop)
    press(shop, screen.particulars.change_keeper)
    shop.type("ansel")
    shop.settle()
    shop.key("Down")
    shop.key("Return")
    shop.type("24 Nov 2026")
    shop.key("Return")
    kept = shop.rooms.intake.vehicle(1)
    assert (kept.keeper_id, len(kept.services)) == (other, 1)
    assert "Ansel Quist" in screen.subtitle


def test_that_the_keeper_of_now_cannot_be_chosen_again(shop: ShopInWindow) -> None:
    screen = page(shop)
    press(shop, screen.particulars.change_keeper)
    press(shop, screen.keeper.card.save)
    assert "somebody else" in screen.keeper.form.error


def test_that_answers_about_the_use_say_which_rule_makes_it_severe(shop: ShopInWindow) -> None:
    screen = page(shop)
    assert "towing" in screen.duty.form.verdict()
    rows = screen.duty.form._rows
    rows["loads"].choose("no")
    rows["loads"].chosen.emit("no")
    rows["for_hire"].choose("no")
    rows["for_hire"].chosen.emit("no")
    assert screen.duty.form.verdict() == "Normal use."
    press(shop, screen.duty.keep)
    answers = {answer.question: answer.yes for answer in shop.rooms.intake.vehicle(1).duty}
    assert answers["loads"] is answers["for_hire"] is False
    assert screen.strip.cards[0].unit.due == "129,310 mi, about 25 Jun 2030"


def test_that_a_work_order_begins_with_the_vehicle(shop: ShopInWindow) -> None:
    page(shop)
    shop.key("Ctrl+Return")
    assert shop.place() == ("new work order", "vehicle:1")


def test_that_a_vehicle_that_is_not_there_leads_back_to_the_list(shop: ShopInWindow) -> None:
    shop.go("vehicle", "999")
    assert shop.place()[0] == "vehicles"


def test_that_tab_reaches_each_part_once_and_all_have_names(shop: ShopInWindow) -> None:
    screen = page(shop)
    assert_tab_walks(shop, screen)
    press(shop, screen.units.add)
    press(shop, screen.particulars.change_keeper)
    press(shop, screen.particulars.change)
    assert_tab_walks(shop, screen)


def test_that_odd_texts_are_kept_or_refused_beside_a_field(shop: ShopInWindow) -> None:
    screen = page(shop)
    dice = Random(2117)
    form = screen.odometer.form
    for _turn in range(40):
        before = len(shop.rooms.intake.vehicle(1).readings)
        form.restore({"reading": odd_text(dice), "on": odd_text(dice), "reason": odd_text(dice)})
        typed = form.texts()
        press(shop, screen.odometer.keep)
        kept = len(shop.rooms.intake.vehicle(1).readings) > before
        assert kept or any(form.field(name).error for name in typed) or form.error
        assert kept or form.texts() == typed


def test_that_the_shops_own_day_is_today(shop: ShopInWindow) -> None:
    assert shop.rooms.intake.vehicle(1).today == date(2026, 11, 25)


def test_that_a_unit_without_a_sheet_leads_to_typing_one_and_back(shop: ShopInWindow) -> None:
    unit = shop.rooms.intake.add_unit(
        AddUnit(actor=shop.work.actor, vehicle_id=1, kind=UnitKind.REAR_DIFFERENTIAL, label="RX-9")
    ).unit_id
    screen = page(shop)
    assert screen.units.type_sheet.isHidden()
    screen.strip.chosen.emit(str(unit))
    assert screen.units.type_sheet.isVisible()
    press(shop, screen.units.type_sheet)
    assert shop.place() == ("sheet", f"unit:{unit}")


def test_that_a_mistyped_reading_is_corrected_with_its_reason_and_stays_in_the_history(
    shop: ShopInWindow,
) -> None:
    screen = page(shop)
    before = len(shop.rooms.intake.vehicle(1).readings)
    screen.odometer.form.focus_first()
    shop.type("86400")
    press(shop, screen.odometer.keep)
    press(shop, screen.odometer.correct)
    shop.type("86040")
    press(shop, screen.odometer.keep)
    assert "why the reading is corrected" in screen.odometer.form.field("reason").error
    screen.odometer.form.field("reason").set_text("digits swapped")
    press(shop, screen.odometer.keep)
    rows = shop.rooms.intake.vehicle(1).readings
    assert len(rows) == before + 2
    assert [(row.tenths, row.corrected) for row in rows[:2]] == [(860_400, False), (864_000, True)]
    assert rows[0].reason == "digits swapped"
    assert screen.odometer.cancel.isHidden()


def test_that_open_work_of_the_vehicle_is_one_step_away(shop: ShopInWindow) -> None:
    view = shop.rooms.intake.vehicle(1)
    order = shop.rooms.work.open(
        OpenWorkOrder(actor=shop.work.actor, vehicle_id=view.id, customer_id=view.keeper_id)
    ).work_order_id
    screen = page(shop)
    press(shop, screen.open_work.buttons[0])
    assert shop.place() == ("work order", str(order))
