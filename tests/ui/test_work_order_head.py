"""The facts of a work order: shown, changed, changed by two at once; stages moved by hand."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest

from shopdesk.domain.stages import Stage
from shopdesk.services.work import EditWorkOrder
from shopdesk.ui.screens.work_order.screen import WorkOrderScreen
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.controls import Line, Notes
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
    """The work order in the bay, with its facts opened to be changed."""
    screen = shop.go("work order", "2")
    assert isinstance(screen, WorkOrderScreen)
    screen.head.change.setFocus()
    shop.key("Space")
    return screen


def type_into(shop: ShopInWindow, page: WorkOrderScreen, name: str, text: str) -> None:
    control = page.head.form.field(name).control
    control.setFocus()
    if isinstance(control, Line | Notes):
        control.selectAll()
    shop.type(text)


def test_that_facts_are_changed_and_kept(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    type_into(shop, page, "po_number", "F-118")
    type_into(shop, page, "parked", "row 3")
    waiting = page.head.form.field("waiting_reason").control
    waiting.setCurrentIndex(waiting.findData("parts"))  # type: ignore[union-attr]
    shop.key("Ctrl+S")
    order = shop.rooms.board.work_order(2)
    assert (order.po_number, order.parked, order.waiting_reason) == ("F-118", "row 3", "parts")
    assert not page.head.is_open
    assert "Waits for: parts" in page.head.facts.texts()


def test_that_a_promise_that_was_not_touched_stays_to_the_minute(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    type_into(shop, page, "bay", "2")
    shop.key("Ctrl+S")
    order = shop.rooms.board.work_order(2)
    assert order.promised_at == datetime(2026, 11, 25, 23, 30, tzinfo=UTC)
    assert order.bay == "2"


def test_that_a_time_that_cannot_be_read_is_said_beside_it(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    type_into(shop, page, "promised_at", "soonish")
    shop.key("Ctrl+S")
    assert page.head.form.field("promised_at").error
    assert page.head.form.field("promised_at").text() == "soonish"
    assert page.head.is_open


def test_that_what_two_people_change_stands_beside_one_another(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    type_into(shop, page, "key_tag", "99")
    order = shop.rooms.board.work_order(2)
    shop.rooms.work.edit(
        EditWorkOrder(
            actor=shop.work.actor,
            work_order_id=2,
            version=order.version,
            complaint=order.complaint,
            key_tag="31",
            promised_at=order.promised_at,
        )
    )
    shop.settle()
    assert page.head.form.field("key_tag").text() == "99"
    shop.key("Ctrl+S")
    assert page.head.form.field("key_tag").error == "Somebody else put meanwhile: 31"
    assert shop.rooms.board.work_order(2).key_tag == "31"
    shop.key("Ctrl+S")
    assert shop.rooms.board.work_order(2).key_tag == "99"


def test_that_typed_facts_come_back_as_a_draft(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    type_into(shop, page, "parked", "behind the shed")
    shop.desk.drafts.keep_all()
    shop.settle()
    shop.go("work order", "1")
    shop.go("work order", "2")
    assert page.head.is_open
    assert page.head.form.field("parked").text() == "behind the shed"
    page.head.put_aside()
    assert page.head.form.field("parked").text() == ""


def test_that_markup_stays_as_typed(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    type_into(shop, page, "complaint", "<b>loud</b> & <i>late</i>")
    shop.key("Ctrl+S")
    assert page.head._complaint.text() == "<b>loud</b> & <i>late</i>"
    assert page.head._complaint.textFormat().name == "PlainText"


def test_that_odd_texts_are_said_or_kept_and_never_break(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    dice = Random(20261125)
    names = ("complaint", "promised_at", "driver", "po_number", "bay", "key_tag", "wheel_torque", "note")
    for _turn in range(40):
        page.head.begin()
        for name in names:
            control = page.head.form.field(name).control
            text = odd_text(dice)
            if isinstance(control, Line):
                control.setText(text)
            elif isinstance(control, Notes):
                control.setPlainText(text)
        before = page.head.form.texts()
        page.head.save()
        shop.settle()
        if page.head.is_open:
            errors = [page.head.form.field(name).error for name in names]
            assert any(errors) or page.head.form.error
            assert page.head.form.texts() == before


def test_that_a_stage_is_moved_by_hand_and_back(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    page.head.put_aside()
    shop.ask.answers = ["cancelled"]
    page.head.stage.setFocus()
    shop.key("Space")
    assert shop.ask.asked == ["Work order 1002 is in the bay. Move it to: [Approved / Cancelled]"]
    assert shop.rooms.board.work_order(2).stage is Stage.CANCELLED
    assert page.main is not None
    assert page.main.words == "Open again"
    shop.key("Ctrl+Return")
    assert shop.rooms.board.work_order(2).stage is Stage.QUOTED


def test_that_a_work_order_that_is_not_there_is_said(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    shop.go("work order", "99")
    assert shop.window.notices.words == "That work order is not there."


def test_that_tab_reaches_everything_once_with_the_form_open(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    assert_tab_walks(shop, page)
