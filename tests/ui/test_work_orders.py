"""The list of work orders: stages with counts, narrowing, opening by the keyboard."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from shopdesk.domain.stages import Stage
from shopdesk.services.work import MoveStage
from shopdesk.ui.presenters.work_orders import filter_key, moves, stages_of
from shopdesk.ui.screens.work_orders import WorkOrdersScreen
from shopdesk.ui.theme.look import Look
from tests.ui.shop_window import ShopInWindow, assert_tab_walks
from tests.ui.work_shop import work_in_window


@pytest.fixture
def shop(look: Look, sqlite_template: Path, tmp_path: Path) -> Iterator[ShopInWindow]:
    """The shop with its work pages, in sight."""
    with work_in_window(look, sqlite_template, tmp_path / "shop.db") as found:
        yield found


@pytest.fixture
def page(shop: ShopInWindow) -> WorkOrdersScreen:
    """The list, in sight."""
    screen = shop.go("work orders")
    assert isinstance(screen, WorkOrdersScreen)
    return screen


def numbers(page: WorkOrdersScreen) -> list[int]:
    return [row.number for row in page.table.rows]


def words(page: WorkOrdersScreen) -> list[str]:
    return [button.text() for button in page.stages._buttons.values()]


def test_that_the_stages_tell_their_counts(page: WorkOrdersScreen) -> None:
    assert words(page)[:5] == ["All open  3", "Quoted  1", "Approved  0", "In the bay  1", "Finished  0"]


def test_that_a_stage_shows_its_work_orders_alone(shop: ShopInWindow, page: WorkOrdersScreen) -> None:
    assert numbers(page) == [1003, 1002, 1001]
    page.stages._buttons["in the bay"].click()
    shop.settle()
    assert numbers(page) == [1002]


def test_that_typing_narrows_by_plate_and_by_number(shop: ShopInWindow, page: WorkOrdersScreen) -> None:
    shop.key("Ctrl+F")
    shop.type("kt 44")
    shop.settle()
    assert numbers(page) == [1001]
    shop.key("Ctrl+A")
    shop.type("1003")
    shop.settle()
    assert numbers(page) == [1003]


def test_that_enter_opens_the_chosen_work_order(shop: ShopInWindow, page: WorkOrdersScreen) -> None:
    shop.key("Down")
    shop.key("Return")
    assert shop.place() == ("work order", "2")


def test_that_another_program_moving_a_work_order_is_seen(shop: ShopInWindow, page: WorkOrdersScreen) -> None:
    shop.rooms.work.move(MoveStage(actor=shop.work.actor, work_order_id=3, stage=Stage.CANCELLED))
    shop.settle()
    assert numbers(page) == [1002, 1001]
    assert "Cancelled  1" in words(page)


def test_that_a_new_work_order_is_the_main_action(shop: ShopInWindow, page: WorkOrdersScreen) -> None:
    shop.key("Ctrl+Return")
    assert shop.place() == ("new work order", "")


def test_that_the_list_reads_a_window_of_rows(shop: ShopInWindow, page: WorkOrdersScreen) -> None:
    asked: list[int] = []
    read = shop.rooms.board.work_orders

    def counted(**more: object) -> object:
        asked.append(int(str(more["most"])))
        return read(**more)  # type: ignore[arg-type]

    shop.rooms.board.work_orders = counted  # type: ignore[method-assign, assignment]
    page.refresh()
    shop.settle()
    assert asked == [100]


def test_that_tab_reaches_everything_once_and_all_has_a_name(
    shop: ShopInWindow, page: WorkOrdersScreen
) -> None:
    assert_tab_walks(shop, page)


def test_that_a_plate_is_compared_without_its_gaps() -> None:
    assert filter_key("kt-44 71") == "KT4471"


def test_that_finishing_and_invoicing_are_no_stages_to_move_to_by_hand() -> None:
    offered = {key for stage in Stage for key, _words in moves(stage)}
    assert not offered & {Stage.FINISHED.value, Stage.INVOICED.value}
    assert moves(Stage.COLLECTED) == []


def test_that_all_open_leaves_out_what_is_picked_up_and_cancelled() -> None:
    assert Stage.COLLECTED not in stages_of("open")
    assert stages_of("all") == ()
