"""Lines, estimate, consent, invoice and payment of a work order, by the keyboard."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from shopdesk.domain.pricing import LineKind
from shopdesk.domain.stages import Stage
from shopdesk.services.items import SaveItem
from shopdesk.services.lines import LineTyped
from shopdesk.services.work import EditWorkOrder, SetLines
from shopdesk.ui.screens.work_order.screen import WorkOrderScreen
from shopdesk.ui.theme.look import Look
from tests.ui.odd_texts import odd_text
from tests.ui.shop_window import ShopInWindow, assert_tab_walks
from tests.ui.work_shop import work_in_window


@pytest.fixture
def shop(look: Look, sqlite_template: Path, tmp_path: Path) -> Iterator[ShopInWindow]:
    """The shop with its work pages, in sight."""
    with work_in_window(look, sqlite_template, tmp_path / "shop.db") as found:
        yield found


@pytest.fixture
def page(shop: ShopInWindow) -> WorkOrderScreen:
    """The quoted work order without a line, in sight."""
    screen = shop.go("work order", "3")
    assert isinstance(screen, WorkOrderScreen)
    return screen


def press(shop: ShopInWindow, *keys: str) -> None:
    for key in keys:
        shop.key(key)


def one_line(shop: ShopInWindow) -> None:
    """Type one line of labour and keep it, beginning with the page's main action."""
    shop.key("Ctrl+Return")
    shop.type("Rear axle oil service")
    shop.key("Return")
    shop.type("0.8")
    press(shop, "Return", "Return")
    shop.type("118")
    shop.key("Ctrl+Return")


def kept(shop: ShopInWindow) -> list[tuple[str, int, int]]:
    return [(r.text, r.quantity_milli, r.net_minor) for r in shop.rooms.board.work_order(3).lines]


def test_that_a_line_is_typed_and_kept_by_keyboard_alone(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    one_line(shop)
    assert kept(shop) == [("Rear axle oil service", 800, 9_440)]
    assert page.price.sums.texts()[-1] == "$94.40"
    assert shop.window.notices.words == "The lines are kept."


def test_that_an_item_of_the_list_brings_its_unit_and_price(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    shop.key("Ctrl+Return")
    shop.type("halden g")
    shop.key("Return")
    shop.type("2.6")
    shop.settle()
    row = page.price.editor.rows[0]
    assert row.texts().kind == "fluid"
    assert (row.texts().text, row.texts().unit, row.texts().price) == ("Halden Gear 75W-90", "qt", "14.20")
    assert row.net.text() == "36.92"
    assert page.price.editor.net.text() == "$36.92 before tax"


def test_that_an_item_can_be_picked_from_the_list(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    picker = page.price.editor.from_list
    picker.setFocus()
    shop.type("crush")
    shop.key("Return")
    focused = QApplication.focusWidget()
    assert focused is not None
    assert focused.accessibleName() == "Line 1: quantity"
    shop.type("2")
    shop.key("Ctrl+S")
    assert kept(shop) == [("Crush washer 18 x 24 x 1.5", 2_000, 420)]


def test_that_an_item_added_to_the_shelf_meanwhile_is_offered(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    shop.rooms.items.save(
        SaveItem(actor=shop.rooms.actor(), name="Halden CVT-N", package="1 qt", sale_unit="qt", price="18.00")
    )
    shop.settle()
    picker = page.price.editor.from_list
    assert picker.findData("Halden CVT-N") >= 0


@pytest.mark.qt_log_ignore("This plugin does not support")  # offscreen has no window manager for the list
def test_that_a_choice_from_the_open_list_adds_its_line_at_once(
    shop: ShopInWindow, page: WorkOrderScreen, qtbot: QtBot
) -> None:
    picker = page.price.editor.from_list
    picker.setFocus()
    shop.key("Down")
    assert page.price.editor.rows == []
    picker.showPopup()
    qtbot.keyClick(picker.view(), Qt.Key.Key_Down)
    qtbot.keyClick(picker.view(), Qt.Key.Key_Return)
    assert len(page.price.editor.rows) == 1
    assert page.price.editor.rows[0].cells["quantity"].hasFocus()
    assert picker.typed() == ""


def test_that_a_wrong_price_is_said_at_its_line_and_keeps_its_text(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    one_line(shop)
    row = page.price.editor.rows[0]
    row.cells["price"].setFocus()
    shop.type("12 qt")
    shop.key("Ctrl+S")
    assert row.error.isVisible()
    assert row.cells["price"].typed() == "12 qt"
    assert row.cells["price"].hasFocus()
    assert kept(shop)[0][2] == 9_440


def test_that_a_removed_line_is_gone_once_it_is_kept(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    one_line(shop)
    page.price.editor.rows[0].remove.setFocus()
    shop.key("Space")
    assert len(kept(shop)) == 1
    shop.key("Ctrl+S")
    assert kept(shop) == []


def test_that_lines_changed_elsewhere_are_shown_and_nothing_is_lost(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    one_line(shop)
    page.price.editor.rows[0].cells["quantity"].setFocus()
    shop.type("1.2")
    order = shop.rooms.board.work_order(3)
    theirs = LineTyped(kind=LineKind.LABOUR, text="Diagnosis", quantity="0.5", unit_price="90")
    shop.rooms.work.set_lines(
        SetLines(actor=shop.work.actor, work_order_id=3, version=order.version, lines=(theirs,))
    )
    shop.settle()
    assert page.price.editor.rows[0].texts().quantity == "1.2"
    shop.key("Ctrl+S")
    assert "Diagnosis" in page.price._theirs.text()
    assert page.price.editor.rows[0].texts().quantity == "1.2"
    assert kept(shop) == [("Diagnosis", 500, 4_500)]
    shop.key("Ctrl+S")
    assert kept(shop) == [("Rear axle oil service", 1_200, 14_160)]
    assert not page.price._theirs.isVisible()


def test_that_what_others_change_beside_the_lines_is_no_conflict(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    one_line(shop)
    page.price.editor.rows[0].cells["quantity"].setFocus()
    shop.type("1.2")
    order = shop.rooms.board.work_order(3)
    shop.rooms.work.edit(
        EditWorkOrder(actor=shop.work.actor, work_order_id=3, version=order.version, bay="2")
    )
    shop.settle()
    shop.key("Ctrl+S")
    assert kept(shop)[0][1] == 1_200


def test_that_typed_lines_survive_another_visit(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    shop.key("Ctrl+Return")
    shop.type("Half an idea")
    shop.desk.drafts.keep_all()
    shop.settle()
    shop.go("work order", "1")
    shop.go("work order", "3")
    assert [line.text for line in page.price.editor.lines()] == ["Half an idea"]


def test_that_the_whole_way_from_line_to_keys_is_the_main_action(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    said: list[str] = []

    def main() -> None:
        assert page.main is not None
        said.append(page.main.words)
        shop.key("Ctrl+Return")

    main()
    shop.type("Axle inspection")
    press(shop, "Return", "Return", "Return")
    shop.type("80")
    main()
    main()
    main()
    focused = QApplication.focusWidget()
    assert focused is not None
    assert focused.accessibleName() == "Who agreed"
    page.price.consent.form.field("said").setFocus()
    shop.type("Yes, look at it.")
    main()
    main()
    assert page.main is not None
    assert page.main.words == "Start the service record"
    without = next(other for other in page.others if other.words == "Finish without a record")
    without.do()
    shop.settle()
    main()
    main()
    assert page.panes.choice() == "papers"
    main()
    assert said == [
        "Add a line",
        "Keep the lines",
        "Make estimate",
        "Record consent",
        "Record consent",
        "Start in bay",
        "Issue invoice",
        "Take payment",
        "Picked up",
    ]
    order = shop.rooms.board.work_order(3)
    assert order.stage is Stage.COLLECTED
    assert order.invoice is not None
    assert (order.invoice.total_minor, order.invoice.open_minor) == (8_000, 0)
    assert order.consents[0].said == "Yes, look at it."
    assert page.main is None


def test_that_consent_without_words_is_refused_beside_its_field(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    one_line(shop)
    press(shop, "Ctrl+Return", "Ctrl+Return", "Ctrl+Return")
    assert "what was said" in page.price.consent.form.field("said").error
    assert shop.rooms.board.work_order(3).stage is Stage.QUOTED


def test_that_an_estimate_that_no_longer_holds_is_said(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    one_line(shop)
    shop.key("Ctrl+Return")
    assert page.price.consent.estimate_badge.accessibleName() == "Estimate revision 1 holds"
    page.price.editor.rows[0].cells["quantity"].setFocus()
    shop.type("1")
    shop.key("Ctrl+S")
    assert page.price.consent.estimate_badge.accessibleName() == "The lines differ from revision 1 by $23.60"


def test_that_an_invoice_above_what_was_agreed_is_refused_in_words(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    screen = shop.go("work order", "2")
    assert isinstance(screen, WorkOrderScreen)
    screen.show_pane("price")
    screen.price.editor.rows[0].cells["quantity"].setFocus()
    shop.type("3")
    shop.key("Ctrl+S")
    assert "above" in screen.price.consent.agreed_badge.accessibleName()
    press(shop, "Ctrl+Return", "Ctrl+Return")
    assert shop.rooms.board.work_order(2).stage is Stage.FINISHED
    assert "188.80" in shop.window.notices.words


def test_that_part_of_the_money_leaves_the_rest_open(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    screen = shop.go("work order", "2")
    assert isinstance(screen, WorkOrderScreen)
    press(shop, "Ctrl+Return", "Ctrl+Return")
    screen.money.form.field("amount").setFocus()
    shop.type("1,000")
    shop.key("Ctrl+Return")
    assert screen.money.form.field("amount").error
    assert screen.money.form.field("amount").text() == "1,000"
    shop.key("Ctrl+A")
    shop.type("100.00")
    shop.key("Ctrl+Return")
    assert shop.window.notices.words == "$100.00 taken, $119.11 still open."
    assert [label.text() for label in screen.money._paid] == [
        "$100.00 by card on 25 Nov 2026, taken by Rhea Sandoval"
    ]


def test_that_papers_open_with_enter(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    screen = shop.go("work order", "1")
    assert isinstance(screen, WorkOrderScreen)
    assert [row.words for row in screen.money.papers.rows] == [
        "Estimate",
        "Job sheet",
        "Service record",
        "Service record without names",
        "Sticker",
        "Invoice",
    ]
    screen.money.papers.setFocus()
    press(shop, "Down", "Down", "Return")
    assert shop.place() == ("paper", "service record:1")
    shop.key("Esc")
    shop.key("Ctrl+L")
    assert shop.place() == ("paper", "sticker:1")


def test_that_odd_texts_in_lines_are_said_or_kept_and_never_break(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    dice = Random(20261125)
    page.price.editor.add_line()
    for _turn in range(60):
        row = page.price.editor.rows[0]
        for name in ("text", "quantity", "unit", "price", "discount"):
            row.cells[name].setText(odd_text(dice))  # type: ignore[union-attr]
        before = row.texts()
        page.price.save()
        shop.settle()
        after = page.price.editor.rows[0].texts() if page.price.editor.rows else None
        refused = row.error.isVisible() or page.price.editor.error.isVisible()
        assert refused == (after == before and page.price.has_unkept)
        if not refused and not page.price.editor.rows:
            page.price.editor.add_line()


def test_that_tab_reaches_everything_once_and_all_has_a_name(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    one_line(shop)
    assert_tab_walks(shop, page)


def test_that_work_in_the_bay_begins_with_its_record(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    one_line(shop)
    press(shop, "Ctrl+Return", "Ctrl+Return")
    page.price.consent.form.field("said").set_text("Yes.")
    press(shop, "Ctrl+Return", "Ctrl+Return", "Ctrl+Return")
    assert page.panes.choice() == "service"
    assert shop.rooms.board.work_order(3).records
    assert page.main is not None
    assert page.main.words == "Finish"


def test_that_the_form_of_a_consent_comes_into_sight_when_it_opens(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    shop.show(1280, 620)
    one_line(shop)
    press(shop, "Ctrl+Return", "Ctrl+Return")
    focused = QApplication.focusWidget()
    assert focused is not None
    assert focused.accessibleName() == "Who agreed"
    below = focused.mapTo(shop.window, focused.rect().bottomLeft()).y()
    assert below < shop.window.height()
