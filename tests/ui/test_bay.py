"""The bay's page: one step at a time, by the pad and by the keyboard, the same entries as the form."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QPushButton

from shopdesk.domain.record import Entry, current
from shopdesk.domain.stages import Stage
from shopdesk.services.work import EditWorkOrder
from shopdesk.ui.screens.bay.screen import BayScreen
from shopdesk.ui.screens.bay.step_page import StepPage
from shopdesk.ui.screens.work_order.screen import WorkOrderScreen
from shopdesk.ui.theme.look import Look
from tests.ui.shop_window import ShopInWindow, assert_tab_walks
from tests.ui.work_shop import work_in_window


@pytest.fixture
def shop(look: Look, sqlite_template: Path, tmp_path: Path) -> Iterator[ShopInWindow]:
    """The shop with its work pages, in sight."""
    with work_in_window(look, sqlite_template, tmp_path / "shop.db") as found:
        yield found


@pytest.fixture
def page(shop: ShopInWindow) -> BayScreen:
    """The bay's page of the gearbox."""
    screen = shop.go("bay", "2")
    assert isinstance(screen, BayScreen)
    return screen


def standing(shop: ShopInWindow) -> list[Entry]:
    return list(current(each.entry for each in shop.rooms.bay.record(2).entries))


def go_to(shop: ShopInWindow, page: BayScreen, title: str) -> StepPage:
    for _step in range(20):
        if page.title_line.text() == title:
            break
        shop.key("Alt+Right")
    assert page.title_line.text() == title
    assert isinstance(page._page, StepPage)
    return page._page


def press(shop: ShopInWindow, page: BayScreen, *names: str) -> None:
    """Press keys of the number pad by their names."""
    for name in names:
        shop.settle()
        key = next(
            k for k in page.pad.findChildren(QPushButton) if k.accessibleName() == name and k.isVisible()
        )
        key.click()


def answer(page: BayScreen, question: str, words: str) -> None:
    wanted = f"{question}: {words}"
    button = next(b for b in page.findChildren(QPushButton) if b.accessibleName() == wanted)
    button.click()


def say_it_was_done(shop: ShopInWindow, page: BayScreen) -> None:
    """Answer that the steps before were done, and are recorded too."""
    assert page.working.why.isVisible()
    assert page.working.why.too.hasFocus()
    shop.key("Space")


def test_that_it_begins_with_the_first_step_and_its_cautions(page: BayScreen) -> None:
    assert page.progress.text() == "Step 1 of 16"
    assert page.title_line.text() == "Fill plug loosened"
    assert isinstance(page._page, StepPage)
    assert "Loosen the FILL plug first. If it will not come out, do not drain." in page._page.step.cautions
    assert page.deferral.isVisible()
    assert page.warning.accessibleName() == "Vehicle: Drain thread repaired, 18 ft-lb at most."


def test_that_every_target_is_large_enough_for_gloves(shop: ShopInWindow, page: BayScreen) -> None:
    go_to(shop, page, "Drained")
    buttons = [b for b in page.findChildren(QPushButton) if b.isVisible()]
    assert buttons
    assert min(button.height() for button in buttons) >= 56
    assert min(button.width() for button in buttons) >= 56


def test_that_done_is_kept_with_the_time_and_goes_on(shop: ShopInWindow, page: BayScreen) -> None:
    shop.key("Ctrl+Return")
    (step,) = standing(shop)
    assert (step.field, step.value_text) == ("step", "fill plug loosened")
    assert step.measured_at is not None
    assert page.title_line.text() == "Level as found, before draining"


def test_that_the_pad_types_the_value_with_its_unit(shop: ShopInWindow, page: BayScreen) -> None:
    go_to(shop, page, "Drained")
    press(shop, page, "3", "Decimal point", "0", "3", "L", "Next field", "1", "0", "4", "°F", "Next field")
    shop.settle()
    say_it_was_done(shop, page)
    drained = next(entry for entry in standing(shop) if entry.field == "drained")
    assert (drained.value_int, drained.temp_mc) == (3_030_000, 40_000)
    assert drained.instrument == "Drain pan 2"
    assert drained.measured_at is not None
    assert page.title_line.text() == "Look at the old fluid"


def test_that_undo_takes_back_all_of_a_step(shop: ShopInWindow, page: BayScreen) -> None:
    go_to(shop, page, "Drained")
    shop.type("3.2")
    shop.key("Return")
    shop.key("Return")
    say_it_was_done(shop, page)
    assert len(standing(shop)) == 3
    assert shop.window.notices.undo()
    shop.settle()
    assert standing(shop) == []
    assert page.title_line.text() == "Drained"


def test_that_a_step_can_be_not_done_after_all(shop: ShopInWindow, page: BayScreen) -> None:
    shop.key("Ctrl+Return")
    shop.key("Alt+Left")
    assert page.state.text().startswith("Done 10:00 AM, Rhea Sandoval")
    page.undo.click()
    shop.settle()
    assert standing(shop) == []
    assert not page.undo.isVisible()


def test_that_questions_are_answered_by_big_buttons(shop: ShopInWindow, page: BayScreen) -> None:
    go_to(shop, page, "Look at the old fluid")
    answer(page, "How the old fluid looked", "2  brown, transparent")
    answer(page, "Magnet and pan", "1  fine paste on the magnet")
    shop.key("Ctrl+Return")
    grades = {entry.field: entry.value_int for entry in standing(shop)}
    assert grades == {"appearance": 2, "particles": 1}


def test_that_a_temperature_is_held_against_the_window(shop: ShopInWindow, page: BayScreen) -> None:
    step = go_to(shop, page, "Open the level plug")
    shop.type("90")
    assert step._fields["open_temperature:1"].beneath == "reads as 90 °F, below the window: wait"  # type: ignore[union-attr]
    shop.key("Ctrl+A")
    shop.type("113")
    assert step._fields["open_temperature:1"].beneath == "reads as 113 °F, inside the window"  # type: ignore[union-attr]


def test_that_cycling_the_selector_is_recorded_once_and_not_typed_twice(
    shop: ShopInWindow, page: BayScreen
) -> None:
    step = go_to(shop, page, "Selector cycled")
    assert any("Nobody under the vehicle" in caution for caution in step.step.cautions)
    shop.type("5")
    shop.key("Return")
    say_it_was_done(shop, page)
    fields = {entry.field: entry.value_int for entry in standing(shop)}
    assert fields == {"selector_dwell": 5, "selector_cycled": 1, "step": None}


def test_that_a_wrong_value_is_said_and_nothing_is_kept(shop: ShopInWindow, page: BayScreen) -> None:
    step = go_to(shop, page, "Drained")
    shop.type("36 ft-lb")
    shop.key("Ctrl+Return")
    assert "volume" in step._fields["drained:1"].error  # type: ignore[union-attr]
    assert standing(shop) == []


def test_that_what_is_typed_stays_while_one_looks_at_other_steps(shop: ShopInWindow, page: BayScreen) -> None:
    go_to(shop, page, "Drained")
    shop.type("3.2")
    shop.key("Alt+Right")
    shop.key("Alt+Left")
    assert isinstance(page._page, StepPage)
    assert page._page.texts()["drained:1"] == "3.2"
    shop.desk.drafts.keep_all()
    shop.settle()
    shop.go("work order", "2")
    again = shop.go("bay", "2:2")
    assert isinstance(again, BayScreen)
    step = go_to(shop, again, "Drained")
    assert step.texts()["drained:1"] == "3.2"


def test_that_the_counter_sees_what_the_bay_keeps_and_the_other_way_round(
    shop: ShopInWindow, page: BayScreen
) -> None:
    go_to(shop, page, "Filled")
    shop.type("4")
    shop.key("Ctrl+Return")
    say_it_was_done(shop, page)
    counter = shop.go("work order", "2")
    assert isinstance(counter, WorkOrderScreen)
    put_in = counter.service.form.stack.field("put_in:1")
    assert put_in is not None
    assert put_in.text() == "4"
    spilled = counter.service.form.stack.field("spilled:1")
    assert spilled is not None
    spilled.setFocus()
    shop.type("0.05")
    shop.key("Ctrl+S")
    shop.key("F11")
    assert shop.place()[0] == "bay"
    step = go_to(shop, page, "Filled")
    assert step.texts()["spilled:1"] == "0.05"


def test_that_a_wheel_off_has_a_step_of_its_own(shop: ShopInWindow, page: BayScreen) -> None:
    order = shop.rooms.board.work_order(2)
    shop.rooms.work.edit(
        EditWorkOrder(actor=shop.work.actor, work_order_id=2, version=order.version, wheel_off=True)
    )
    shop.settle()
    for _step in range(20):
        if page.title_line.text() == "Wheel nuts torqued":
            break
        shop.key("Alt+Right")
    shop.type("90")
    shop.key("Ctrl+Return")
    assert shop.rooms.board.work_order(2).wheel_torque_typed == "90"
    assert [entry.value_text for entry in standing(shop)] == ["wheel torqued"]
    assert page.title_line.text() == "What comes of it"


def test_that_the_last_step_tells_what_is_lacking_and_finishes(shop: ShopInWindow, page: BayScreen) -> None:
    for _step in range(20):
        shop.key("Alt+Right")
    assert page.title_line.text() == "What comes of it"
    assert page.done.accessibleName() == "Finish the work"
    shop.key("Ctrl+Return")
    assert shop.rooms.board.work_order(2).stage is Stage.FINISHED
    assert shop.place() == ("work order", "2")


def test_that_a_vehicle_is_chosen_where_none_was_named(shop: ShopInWindow, page: BayScreen) -> None:
    shop.go("bay", "")
    assert [row.plate for row in page.choosing.orders.rows] == ["LM 902"]
    shop.key("Return")
    assert shop.place() == ("bay", "2")
    assert page.title_line.isVisible()


def test_that_a_unit_is_chosen_where_there_is_no_record(shop: ShopInWindow, page: BayScreen) -> None:
    shop.go("bay", "3")
    assert [row.label for row in page.choosing.units.rows][:2] == ["6-speed automatic", "Transfer case"]
    shop.key("Return")
    assert shop.place() == ("work order", "3")


def test_that_tab_reaches_everything_once_and_all_has_a_name(shop: ShopInWindow, page: BayScreen) -> None:
    go_to(shop, page, "Open the level plug")
    assert_tab_walks(shop, page)


def test_that_the_keyboard_is_never_lost_between_steps(shop: ShopInWindow, page: BayScreen) -> None:
    for _step in range(16):
        shop.key("Alt+Right")
        focused = QApplication.focusWidget()
        assert focused is not None
        assert page.isAncestorOf(focused)
