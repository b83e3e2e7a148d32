"""What jobs draw from the shelf: first in first out or at the average, down to the last penny and litre."""

from __future__ import annotations

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.pricing import LineKind
from shopdesk.domain.stages import Stage
from shopdesk.domain.stock import CostMethod
from shopdesk.services.bay import EntryTyped, FinishWork
from shopdesk.services.desk import Desk
from shopdesk.services.lines import LineTyped
from shopdesk.services.stock import SHORT_REASON
from tests.services.counter import LABOUR, Counter
from tests.services.floors import Floor
from tests.services.shopfloor import ask
from tests.services.test_asking_twice import at_once


def drawn_costs(floor: Floor, item_id: int) -> list[int]:
    """Give what each issue from the shelf cost, oldest first."""
    question = f"SELECT -cost_minor FROM stock_move WHERE item_id = {item_id} AND kind = 'issue' ORDER BY id"
    return [int(cost) for (cost,) in ask(floor.url, question)]


def test_that_the_oldest_delivery_is_drawn_first(floor: Floor) -> None:
    # 5 L for 50.00 and 5 L for 70.00; 7 L drawn cost 50.00 and 2/5 of 70.00. Computed by hand.
    counter = Counter(floor.desk)
    item_id = counter.fluid()
    counter.receive(item_id, "5 L", "50.00")
    counter.receive(item_id, "5 L", "70.00")
    finished = counter.finish(counter.ready(counter.car(), item_id, "7 L"))
    assert [drawn.cost_minor for drawn in finished.drawn] == [7800]
    assert drawn_costs(floor, item_id) == [5000, 2800]
    (shelf,) = floor.desk.stock.on_hand()
    assert (shelf.on_hand, shelf.cost_minor) == (3_000_000, 4200)


def test_that_the_average_costs_every_litre_alike(floor: Floor) -> None:
    # 10 L for 120.00 are 12.00 a litre; 7 L are 84.00. Computed by hand.
    counter = Counter(floor.desk, cost_method=CostMethod.AVERAGE)
    item_id = counter.fluid()
    counter.receive(item_id, "5 L", "50.00")
    counter.receive(item_id, "5 L", "70.00")
    finished = counter.finish(counter.ready(counter.car(), item_id, "7 L"))
    assert finished.drawn[0].cost_minor == 8400
    (shelf,) = floor.desk.stock.on_hand()
    assert (shelf.on_hand, shelf.cost_minor) == (3_000_000, 3600)


@pytest.mark.parametrize("method", [CostMethod.FIFO, CostMethod.AVERAGE])
def test_that_the_pennies_of_a_delivery_all_leave_with_it(one_floor: Floor, method: CostMethod) -> None:
    # 3 L for 10.00 drawn litre by litre: 3.33, then 3.34 (6.67 halved, rounded half up), then the rest.
    counter = Counter(one_floor.desk, cost_method=method)
    item_id = counter.fluid()
    counter.receive(item_id, "3 L", "10.00")
    for plate in "ABC":
        counter.finish(counter.ready(counter.car(f"KT {plate}"), item_id, "1 L"))
    assert sorted(drawn_costs(one_floor, item_id)) == [333, 333, 334]
    (shelf,) = one_floor.desk.stock.on_hand()
    assert (shelf.on_hand, shelf.cost_minor) == (0, 0)


def test_that_what_the_shelf_did_not_hold_is_recorded_and_flagged(floor: Floor) -> None:
    counter = Counter(floor.desk)
    item_id = counter.fluid()
    counter.receive(item_id, "2 L", "20.00")
    (drawn,) = counter.finish(counter.ready(counter.car(), item_id, "3 L")).drawn
    assert (drawn.short, drawn.left, drawn.cost_minor) == (1_000_000, -1_000_000, 2000)
    (shelf,) = floor.desk.stock.on_hand()
    assert shelf.count_due
    assert floor.desk.stock.ledger(item_id)[0].reason == SHORT_REASON
    assert floor.desk.safekeeping.check().findings == ()


def test_that_two_stations_drawing_the_last_litre_together_lose_nothing(floor: Floor) -> None:
    counter = Counter(floor.desk)
    item_id = counter.fluid()
    counter.receive(item_id, "3 L", "30.00")
    orders = [counter.ready(counter.car(f"KT {letter}"), item_id, "2 L") for letter in "AB"]
    before = floor.desk.stock.on_hand()[0].on_hand
    answers = at_once(*[lambda order=order: counter.finish(order) for order in orders])
    drawn = [each for answer in answers for each in answer.drawn]  # type: ignore[attr-defined]
    (shelf,) = floor.desk.stock.on_hand()
    assert sum(each.quantity for each in drawn) == before - shelf.on_hand == 4_000_000
    assert sum(each.cost_minor for each in drawn) == 3000
    assert sorted(each.short for each in drawn) == [0, 1_000_000]
    assert shelf.count_due
    layers = ask(floor.url, "SELECT -sum(quantity) FROM stock_move WHERE layer_move_id IS NOT NULL")
    assert [int(taken) for (taken,) in layers] == [3_000_000]


def test_that_two_fluids_drawn_crosswise_never_wait_for_each_other(floor: Floor) -> None:
    counter = Counter(floor.desk)
    first, second = counter.fluid("Halden MT-1"), counter.fluid("Halden GL-5")
    orders = []
    for letter, items in (("A", (first, second)), ("B", (second, first)), ("C", (first, second))):
        car = counter.car(f"KT {letter}")
        order_id = counter.order(car)
        counter.agree(order_id)
        other = counter.unit(car.vehicle_id)
        for unit_id, item_id in zip((car.unit_id, other), items, strict=True):
            counter.record(order_id, unit_id, item_id, ["1 L"])
        orders.append(order_id)
    answers = at_once(*[lambda order=order: counter.finish(order) for order in orders])
    assert [answer for answer in answers if isinstance(answer, RuleBroken)] == []
    assert {row.on_hand for row in floor.desk.stock.on_hand()} == {-3_000_000}


def test_that_parts_leave_as_billed_and_fluid_as_put_in(floor: Floor) -> None:
    counter = Counter(floor.desk)
    fluid, part = counter.fluid(), counter.part()
    counter.receive(fluid, "5 L", "20.00")
    counter.receive(part, "10", "6.00")
    car = counter.car()
    lines = [
        LineTyped(kind=LineKind.FLUID, item="Halden MT-1", quantity="3"),
        LineTyped(kind=LineKind.PART, item="Crush washer", quantity="2"),
        LineTyped(kind=LineKind.PART, item="Crush washer", quantity="1"),
    ]
    order_id = counter.order(car, lines)
    counter.agree(order_id)
    counter.record(order_id, car.unit_id, fluid, ["2.4 L"])
    counter.finish(order_id)
    left = {row.name: row.on_hand for row in floor.desk.stock.on_hand()}
    assert left == {"Halden MT-1": 2_600_000, "Crush washer": 7_000}
    counter.bill(order_id)
    costs = ask(floor.url, "SELECT position, cost_minor FROM invoice_line ORDER BY position")
    assert costs == [(1, 960), (2, 180), (3, None)]


def test_that_work_finished_again_draws_only_what_was_added(floor: Floor) -> None:
    counter = Counter(floor.desk)
    fluid, part = counter.fluid(), counter.part()
    counter.receive(fluid, "5 L", "20.00")
    counter.receive(part, "10", "6.00")
    car = counter.car()
    order_id = counter.order(car, [LABOUR, LineTyped(kind=LineKind.PART, item="Crush washer", quantity="2")])
    counter.agree(order_id)
    record_id = counter.record(order_id, car.unit_id, fluid, ["2 L"])
    counter.finish(order_id)
    counter.move(order_id, Stage.IN_THE_BAY)
    counter.enter(record_id, EntryTyped(field="put_in", value="0.5 L", round=2))
    again = counter.finish(order_id)
    assert [drawn.quantity for drawn in again.drawn] == [500_000]
    left = {row.name: row.on_hand for row in floor.desk.stock.on_hand()}
    assert left == {"Halden MT-1": 2_500_000, "Crush washer": 8_000}


def test_that_fluid_put_in_without_saying_which_is_refused(one_desk: Desk) -> None:
    counter = Counter(one_desk)
    car = counter.car()
    order_id = counter.order(car)
    counter.agree(order_id)
    counter.record(order_id, car.unit_id, None, ["2 L"])
    with pytest.raises(RuleBroken, match="which fluid"):
        one_desk.bay.finish(FinishWork(actor=counter.actor, work_order_id=order_id))
    assert one_desk.board.work_order(order_id).stage is Stage.IN_THE_BAY


def test_that_the_ledger_runs_up_to_what_is_on_hand(floor: Floor) -> None:
    counter = Counter(floor.desk)
    item_id = counter.fluid()
    counter.receive(item_id, "5 L", "50.00")
    counter.finish(counter.ready(counter.car(), item_id, "2 L"))
    counter.receive(item_id, "1 L", "9.00")
    newest = floor.desk.stock.ledger(item_id)
    assert [move.quantity for move in newest] == [1_000_000, -2_000_000, 5_000_000]
    assert [move.level_after for move in newest] == [4_000_000, 3_000_000, 5_000_000]
    assert floor.desk.stock.on_hand()[0].on_hand == newest[0].level_after
