"""The service of a work order: measured values typed, what follows worked out live, kept and corrected."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from shopdesk.domain.record import Entry, current
from shopdesk.domain.stages import Stage
from shopdesk.services.bay import Enter, EntryTyped
from shopdesk.ui.screens.work_order.screen import WorkOrderScreen
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.controls import Line
from shopdesk.ui.widgets.field import LabelledField
from tests.ui.shop_window import ShopInWindow, assert_tab_walks
from tests.ui.work_shop import work_in_window

MEASURED = {
    "drained:1": "3.03 L",
    "drained:1:within": "100 mL",
    "drained:1:temperature": "104",
    "put_in:1": "4",
    "put_in:1:temperature": "68",
    "spilled:1": "45 mL",
    "spilled:1:within": "20 mL",
    "spilled:1:temperature": "68",
    "ran_out:1": "0.5 L",
    "ran_out:1:within": "25 mL",
    "ran_out:1:temperature": "104",
    "vehicle_level:1": "yes",
    "engine:1": "idling",
    "selector_cycled:1": "yes",
    "selector_dwell:1": "5",
    "open_temperature:1": "97",
    "flow_at_opening:1": "stream",
    "close_temperature:1": "104",
    "flow_at_closing:1": "drip",
}


@pytest.fixture
def shop(look: Look, sqlite_template: Path, tmp_path: Path) -> Iterator[ShopInWindow]:
    """The shop with its work pages, in sight."""
    with work_in_window(look, sqlite_template, tmp_path / "shop.db") as found:
        yield found


@pytest.fixture
def page(shop: ShopInWindow) -> WorkOrderScreen:
    """The work order in the bay, in sight."""
    screen = shop.go("work order", "2")
    assert isinstance(screen, WorkOrderScreen)
    return screen


def field(page: WorkOrderScreen, name: str) -> LabelledField:
    found = page.service.form.stack.field(name)
    assert found is not None
    return found


def put(shop: ShopInWindow, page: WorkOrderScreen, name: str, text: str) -> None:
    """Type into a field, or pick in it, as a person does."""
    part = field(page, name)
    part.setFocus()
    if part.text() and hasattr(part.control, "selectAll"):
        part.control.selectAll()
    if hasattr(part.control, "setCurrentIndex"):
        part.control.setCurrentIndex(part.control.findData(text))
    else:
        shop.type(text)


def measure(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    for name, text in MEASURED.items():
        put(shop, page, name, text)
    shop.settle()


def standing(shop: ShopInWindow, record_id: int = 2) -> dict[str, Entry]:
    entries = [each.entry for each in shop.rooms.bay.record(record_id).entries]
    return {f"{entry.field}:{entry.round}": entry for entry in current(entries)}


def test_that_the_page_says_what_and_whose_it_is(page: WorkOrderScreen) -> None:
    assert page.title == "Work order 1002  ·  LM 902"
    assert page.subtitle == "Odalys Brandt  ·  2018 Northgate Ridge 4WD  ·  In the bay"
    promised, *others = page.head.facts.texts()
    assert promised.endswith("4:30 PM")
    assert others == [
        "Customer: waits here",
        "Payer: Odalys Brandt",
        "Driver: Tamsin Brandt",
        "Bay: 1",
        "Key tag: 12",
        "Odometer in: 61,220 mi",
    ]


def test_that_warnings_of_vehicle_and_customer_stand_first(page: WorkOrderScreen) -> None:
    assert page.head.vehicle_warning.accessibleName() == "Vehicle: Drain thread repaired, 18 ft-lb at most."
    assert page.head.customer_warning.accessibleName() == "Customer: Call before 5, works nights."
    assert page.head.vehicle_warning.isVisible()


def test_that_nothing_recorded_is_said_as_not_recorded(page: WorkOrderScreen) -> None:
    assert page.service.level.texts()[0] == "Vehicle standing level: not recorded"
    assert page.service.balance.arrived.figure.accessibleName() == "How it came in: Cannot be said yet"
    assert "drained" in page.service.balance.arrived.note.text()


def test_that_the_verdict_follows_while_one_types(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    measure(shop, page)
    assert page.service.level.badge.accessibleName() == "Level set: all 7 conditions recorded as met."
    assert page.service.balance.arrived.figure.accessibleName() == "Came in low by: 0.28 qt ± 0.14 qt"
    assert page.service.balance.fresh.figure.accessibleName() == "New fluid now in the unit: 50 %"
    assert page.service.shelf.texts()[3:6] == ["Halden ATF-6", "4.00 qt", "8.00 qt"]
    assert not standing(shop), "nothing is kept before it is asked for"


def test_that_the_last_opening_alone_counts_and_can_be_added(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    measure(shop, page)
    page.service.form.add_opening()
    for name, text in {
        "open_temperature:2": "120",
        "flow_at_opening:2": "stream",
        "close_temperature:2": "122",
        "flow_at_closing:2": "drip",
    }.items():
        put(shop, page, name, text)
    shop.settle()
    assert "2 conditions not met" in page.service.level.badge.accessibleName()
    assert field(page, "drained:1").text() == "3.03 L", "what was typed before stays"


def test_that_half_a_value_stops_no_other(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    put(shop, page, "vehicle_level:1", "yes")
    put(shop, page, "drained:1", "3 liddles")
    shop.settle()
    assert page.service.level.texts()[0] == "Vehicle standing level: met"


def test_that_keeping_writes_every_entry_with_its_tool(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    measure(shop, page)
    shop.key("Ctrl+S")
    kept = standing(shop)
    assert len(kept) == 12
    assert kept["drained:1"].value_int == 3_030_000
    assert kept["drained:1"].half_width == 100_000
    assert (kept["put_in:1"].half_width, kept["put_in:1"].instrument) == (30_000, "Pump 1")
    assert kept["open_temperature:1"].instrument == "Scan tool"
    assert field(page, "drained:1").beneath == "3.20 qt, kept 10:00 AM, Rhea"
    assert not page.service.has_unkept
    assert shop.window.notices.words == "Kept in the service record."


def test_that_a_wrong_value_is_said_beside_its_field_and_keeps_its_text(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    put(shop, page, "drained:1", "3 lbf*ft")
    shop.key("Ctrl+S")
    assert field(page, "drained:1").text() == "3 lbf*ft"
    assert "volume" in field(page, "drained:1").error
    assert not standing(shop)


def test_that_what_only_the_service_refuses_finds_its_field(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    line = field(page, "note:1").control
    assert isinstance(line, Line)
    line.setText("x" * 2001)
    shop.key("Ctrl+S")
    assert "2000" in field(page, "note:1").error
    assert len(field(page, "note:1").text()) == 2001


def test_that_another_value_corrects_and_an_emptied_one_withdraws(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    put(shop, page, "drained:1", "3.0")
    put(shop, page, "spilled:1", "0.05")
    shop.key("Ctrl+S")
    put(shop, page, "drained:1", "3.1")
    assert field(page, "drained:1").beneath == "3.10 qt; kept was 3.00 qt (2.84 L), Rhea"
    put(shop, page, "why changed", "read again")
    spilled = field(page, "spilled:1")
    spilled.setFocus()
    shop.key("Delete")
    shop.key("Ctrl+S")
    kept = standing(shop)
    assert kept["drained:1"].value_int == 2_933_694
    assert kept["drained:1"].reason == "read again"
    assert "spilled:1" not in kept
    assert len(shop.rooms.bay.record(2).entries) == 4


def test_that_a_double_press_keeps_once(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    put(shop, page, "drained:1", "3.0")
    page.service.keep()
    page.service.keep()
    shop.settle()
    assert len(shop.rooms.bay.record(2).entries) == 1


def test_that_a_reason_is_asked_for_where_the_work_went_otherwise(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    why = field(page, "drain_plug_washer:1:reason")
    assert not why.isVisible()
    put(shop, page, "drain_plug_washer:1", "reused")
    shop.settle()
    assert why.isVisible()
    assert page.service.otherwise.texts() == ["Drain plug: washer reused", "No reason written yet"]
    put(shop, page, "drain_plug_washer:1:reason", "none in stock")
    shop.key("Ctrl+S")
    assert standing(shop)["drain_plug_washer:1"].reason == "none in stock"
    assert page.service.otherwise.texts()[1] == "none in stock"


def test_that_bad_fluid_calls_for_a_stop(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    assert not page.service.stop.isVisible()
    put(shop, page, "particles:1", "3")
    shop.settle()
    assert page.service.stop.isVisible()
    assert "call the customer" in page.service.stop.text()
    assert field(page, "customer_called:1").isVisible()


def test_that_entries_made_elsewhere_appear_and_typed_text_stays(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    put(shop, page, "drained:1", "3.3")
    shop.settle()
    entries = (EntryTyped(field="drained", value="3.1"), EntryTyped(field="put_in", value="3.5"))
    shop.rooms.bay.enter(Enter(actor=shop.work.actor, record_id=2, entries=entries))
    shop.settle()
    assert field(page, "put_in:1").text() == "3.5"
    assert field(page, "drained:1").text() == "3.3"
    assert "kept was 3.10 qt" in field(page, "drained:1").beneath


def test_that_a_draft_of_the_form_survives_another_visit(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    put(shop, page, "put_in:1", "3.9")
    page.service.form.add_filling()
    put(shop, page, "put_in:2", "0.4")
    shop.desk.drafts.keep_all()
    shop.settle()
    shop.go("work order", "1")
    shop.go("work order", "2")
    assert field(page, "put_in:1").text() == "3.9"
    assert field(page, "put_in:2").text() == "0.4"


def test_that_the_strip_picks_the_unit_and_a_record_is_begun_with_the_fluid_that_suits(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    shop.key("Alt+Right")
    wanted = page.service.record_wanted
    assert wanted.isVisible()
    assert wanted.form.field("item_id").control.currentText() == "Halden Gear 75W-90  (licensed: GX-5)"
    wanted.start.setFocus()
    shop.key("Space")
    assert page.service.record_id == 3
    assert shop.rooms.bay.record(3).item_name == "Halden Gear 75W-90"
    assert field(page, "drained:1").isVisible()


def test_that_a_unit_without_a_sheet_asks_for_one(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    shop.key("Alt+Right")
    shop.key("Alt+Right")
    assert page.service.sheet_wanted.isVisible()
    page.service.sheet_wanted.type_button.setFocus()
    shop.key("Space")
    unit = shop.rooms.board.work_order(2).units[2]
    assert shop.place() == ("sheet", f"unit:{unit.id}")


def test_that_the_fluid_can_be_another_while_the_record_is_open(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    choice = page.service._how.field("item")
    other = next(item.id for item in shop.rooms.items.all() if item.name == "Halden Gear 75W-90")
    choice.control.setCurrentIndex(choice.control.findData(str(other)))
    shop.settle()
    why = page.service._how.field("match_reason")
    assert why.isVisible()
    assert "carries no claim for HX-6" in why.error
    assert shop.rooms.bay.record(2).item_name == "Halden ATF-6"
    shop.type("the customer brought it")
    shop.key("Return")
    assert shop.rooms.bay.record(2).item_name == "Halden Gear 75W-90"
    assert not why.isVisible()
    assert page.service.otherwise.texts()[-1] == "the customer brought it"


def test_that_a_figure_shows_where_it_came_from(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    measure(shop, page)
    shop.key("Ctrl+S")
    source = page.service.balance.arrived.figure._came_from
    assert source is not None
    rows = dict(source.rows)
    assert (
        rows["Put in"]
        == "4.00 qt (3.79 L), at 68 °F, ± 0.032 qt, Pump 1, Rhea Sandoval, 25 Nov 2026 10:00 AM MST"
    )
    assert "put in − left in the hose" in source.formula


def test_that_finishing_keeps_what_was_typed_first_and_draws_the_stock(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    measure(shop, page)
    shop.key("Ctrl+Return")
    order = shop.rooms.board.work_order(2)
    assert order.stage is Stage.FINISHED
    assert len(standing(shop)) == 12
    assert [use.drawn for use in order.from_stock] == [3_785_412, 2_000]
    assert page.panes.choice() == "papers"
    assert shop.window.notices.words == "The work is finished."


def test_that_a_wheel_off_wants_its_torque_before_the_end(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    page.head.begin()
    page.head.form.field("wheel_off").control.click()
    shop.key("Ctrl+S")
    shop.key("Ctrl+Return")
    assert page.head.is_open
    assert "wheel-nut torque" in page.head.form.field("wheel_torque").error
    shop.type("90")
    shop.key("Ctrl+S")
    shop.key("Ctrl+Return")
    order = shop.rooms.board.work_order(2)
    assert (order.stage, order.wheel_torque_typed) == (Stage.FINISHED, "90")


def test_that_moving_between_parts_never_drops_the_keyboard(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    field(page, "drained:1").setFocus()
    page.show_pane("price")
    focused = QApplication.focusWidget()
    assert focused is not None
    assert page.panes.isAncestorOf(focused)


def test_that_tab_reaches_everything_once_and_all_has_a_name(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    assert_tab_walks(shop, page)


def test_that_a_finished_record_is_corrected_with_a_reason_and_keeps_both(shop: ShopInWindow) -> None:
    page = shop.go("work order", "1")
    assert isinstance(page, WorkOrderScreen)
    page.show_pane("service")
    shop.settle()
    before = standing(shop, 1)["drained:1"]
    assert not page.service.form.stack.isEnabled()
    page.service.correct.setFocus()
    shop.key("Space")
    put(shop, page, "drained:1", "3.9 qt")
    shop.settle()
    shop.key("Ctrl+S")
    assert "say why" in field(page, "why changed").error
    put(shop, page, "why changed", "read the wrong mark")
    shop.key("Ctrl+S")
    after = standing(shop, 1)["drained:1"]
    assert (after.corrects_id, after.reason) == (before.id, "read the wrong mark")
    assert before.id in {each.entry.id for each in shop.rooms.bay.record(1).entries}
    assert not page.service.form.stack.isEnabled()
    assert page.service.correct.isVisible()
