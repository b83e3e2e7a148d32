"""The ledger on both engines: shortages made good, containers poured in turn, costs to the penny."""

from __future__ import annotations

from datetime import date

import pytest

from shopdesk.domain.stages import Stage
from shopdesk.domain.stock import CostMethod
from shopdesk.services.stock import SHORT_REASON, OnHandRow
from shopdesk.services.work import MoveStage
from tests.services.floors import Floor
from tests.services.stockroom import Stockroom, stockroom

TAKEN = "SELECT container_id, sum(quantity), sum(cost_minor) FROM stock_move GROUP BY 1 ORDER BY 1"


@pytest.fixture
def room(floor: Floor) -> Stockroom:
    return stockroom(floor.desk, floor.url)


def _row(room: Stockroom, item_id: int) -> OnHandRow:
    return next(row for row in room.desk.stock.on_hand() if row.item_id == item_id)


def test_that_the_next_delivery_covers_what_a_job_used_beyond_the_shelf(room: Stockroom) -> None:
    fluid = room.fluid()
    room.receive(fluid, "2 l", "10.00")
    job = room.vehicle().priced().serviced(fluid, "3.5 l")
    (drawn,) = job.finished().drawn
    assert (drawn.cost_minor, drawn.short, drawn.left) == (1_000, 1_500_000, -1_500_000)
    assert _row(room, fluid).count_due
    room.receive(fluid, "10 l", "60.00")
    row = _row(room, fluid)
    assert (row.on_hand, row.cost_minor) == (8_500_000, 5_100)
    spent = room.ask(
        f"SELECT -sum(quantity), -sum(cost_minor) FROM stock_move WHERE record_id = {job.record_id}"
    )
    assert spent == [(3_500_000, 1_900)]
    assert row.count_due  # the first container gave more than it held; only a count says what is true
    assert room.faults() == []


def test_that_a_shortage_waits_until_enough_has_come(room: Stockroom) -> None:
    fluid = room.fluid()
    room.vehicle().priced().serviced(fluid, "3.5 l").finished()
    assert room.ask("SELECT reason FROM stock_move") == [(SHORT_REASON,)]
    room.receive(fluid, "1 l", "5.00")
    assert (_row(room, fluid).on_hand, _row(room, fluid).cost_minor) == (-2_500_000, 0)
    room.receive(fluid, "1 l", "7.00")
    room.receive(fluid, "4 l", "8.00")
    assert (_row(room, fluid).on_hand, _row(room, fluid).cost_minor) == (2_500_000, 500)
    assert room.faults() == []


@pytest.mark.parametrize("method", CostMethod)
def test_that_what_was_corrected_to_less_goes_back_where_it_came_from(
    floor: Floor, method: CostMethod
) -> None:
    room = stockroom(floor.desk, floor.url, cost_method=method)
    fluid = room.fluid()
    first = room.receive(fluid, "2 l", "10.00")
    second = room.receive(fluid, "4 l", "32.00")
    job = room.vehicle().priced().serviced(fluid, "3 l")
    (drawn,) = job.finished().drawn
    assert drawn.cost_minor == {CostMethod.FIFO: 1_800, CostMethod.AVERAGE: 2_100}[method]
    room.desk.work.move(_back_into_the_bay(room, job.order_id))
    job.entered(put_in="2.5 l")
    (back,) = job.finished().drawn
    assert (back.quantity, back.left) == (-500_000, 3_500_000)
    assert room.ask(TAKEN)[0][:2] == (first, 0)
    assert room.ask(TAKEN)[1][:2] == (second, 3_500_000)
    assert (
        sum(cost for _container, _quantity, cost in room.ask(TAKEN))
        == 4_200 - drawn.cost_minor - back.cost_minor
    )
    assert room.faults() == []


def _back_into_the_bay(room: Stockroom, order_id: int) -> MoveStage:
    return MoveStage(actor=room.actor, work_order_id=order_id, stage=Stage.IN_THE_BAY)


def test_that_costs_go_oldest_first_while_the_earliest_date_is_poured_first(room: Stockroom) -> None:
    fluid = room.fluid()
    old = room.receive(fluid, "4 l", "20.00", best_before=date(2029, 1, 1), lot="OLD")
    soon = room.receive(fluid, "4 l", "40.00", best_before=date(2027, 1, 1), lot="SOON")
    job = room.vehicle().priced().serviced(fluid, "3.5 l")
    (drawn,) = job.finished().drawn
    assert drawn.cost_minor == 1_750  # of the older layer
    assert room.ask(TAKEN) == [(old, 4_000_000, 2_000), (soon, 500_000, 2_250)]
    assert {row.id: row.on_hand for row in room.desk.stock.containers(fluid)} == {
        old: 4_000_000,
        soon: 500_000,
    }
    assert room.faults() == []
