"""Ordering, receiving what came of it, matching the bill; and a delivery as a file."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from shopdesk.domain.counting import CountMethod
from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.ledger import FreightBy
from shopdesk.services.bills import BillLineTyped, EnterBill
from shopdesk.services.buying import MoveOrder, OrderKept, OrderLineTyped, OrderState, SaveOrder, SaveSupplier
from shopdesk.services.cards import SaveCard
from shopdesk.services.cores import ReturnCores
from shopdesk.services.counting import Count
from shopdesk.services.deliveries import DeliveryLineTyped, DeliveryReceived, LineCondition, ReceiveDelivery
from shopdesk.services.receiving_file import ReceiveFile
from tests.services.floors import Floor
from tests.services.stockroom import Stockroom, stockroom
from tests.services.tampering import tampered


@pytest.fixture
def room(floor: Floor) -> Stockroom:
    return stockroom(floor.desk, floor.url)


def supplier(room: Stockroom, name: str = "Quarry Street Supply") -> int:
    return room.desk.buying.save_supplier(SaveSupplier(actor=room.actor, name=name)).supplier_id


def ordered(room: Stockroom, supplier_id: int, *lines: OrderLineTyped) -> OrderKept:
    """Write an order and send it."""
    buying = room.desk.buying
    kept = buying.save_order(SaveOrder(actor=room.actor, supplier_id=supplier_id, lines=lines))
    return buying.move_order(
        MoveOrder(actor=room.actor, order_id=kept.order_id, version=1, state=OrderState.ORDERED)
    )


def delivered(room: Stockroom, supplier_id: int, *lines: DeliveryLineTyped, **more: Any) -> DeliveryReceived:
    values = {"document_no": "D-1"} | more
    command = ReceiveDelivery(actor=room.actor, supplier_id=supplier_id, lines=lines, **values)
    return room.desk.deliveries.receive(command)


def test_that_an_order_is_received_short_and_the_rest_stays_open(room: Stockroom) -> None:
    fluid, washer, who = room.fluid(), room.part(), supplier(room)
    order = ordered(
        room,
        who,
        OrderLineTyped(item_id=fluid, packages="24", price="5.00"),
        OrderLineTyped(item_id=washer, packages="100", price="0.45"),
    )
    view = room.desk.buying.order(order.order_id)
    assert (view.number, view.total_minor, view.state) == (1, 16_500, OrderState.ORDERED)
    first = delivered(
        room,
        who,
        DeliveryLineTyped(
            item_id=fluid, purchase_line_id=view.lines[0].id, packages="20", damaged="2", lot="L1"
        ),
        DeliveryLineTyped(item_id=washer, purchase_line_id=view.lines[1].id, packages="100"),
        order_id=order.order_id,
        freight="14.50",
    )
    assert [(line.quantity, line.cost_minor) for line in first.lines] == [
        (20_000_000, 11_000),  # 100.00 of goods and 10.00 of the freight, by value
        (100_000, 4_950),
    ]
    assert "damaged" in " ".join(first.notes)
    assert "still to come" in " ".join(first.notes)
    (open_line, done_line) = room.desk.buying.order(order.order_id).lines
    assert (open_line.open, open_line.damaged, done_line.open) == (4_000_000, 2_000_000, 0)
    delivered(
        room,
        who,
        DeliveryLineTyped(item_id=fluid, purchase_line_id=open_line.id, packages="4"),
        order_id=order.order_id,
        document_no="D-2",
    )
    assert room.desk.buying.order(order.order_id).state is OrderState.CLOSED
    assert room.desk.stock.on_hand()[0].cost_minor == 13_000
    assert room.faults() == []


def test_that_over_and_substituted_lines_need_a_note(room: Stockroom) -> None:
    fluid, other, who = room.fluid(), room.fluid("Other ATF"), supplier(room)
    order = ordered(room, who, OrderLineTyped(item_id=fluid, packages="4", price="5.00"))
    line_id = room.desk.buying.order(order.order_id).lines[0].id
    over = DeliveryLineTyped(item_id=fluid, purchase_line_id=line_id, packages="5")
    with pytest.raises(RuleBroken, match="more than was ordered"):
        delivered(room, who, over, order_id=order.order_id)
    instead = {"item_id": other, "purchase_line_id": line_id, "packages": "4", "cost": "22.00"}
    with pytest.raises(RuleBroken, match="not what was ordered") as refused:
        delivered(room, who, DeliveryLineTyped(**instead), order_id=order.order_id)
    assert refused.value.field == "lines/0/note"
    assert room.ask("SELECT count(*) FROM delivery") == [(0,)]
    kept = delivered(
        room,
        who,
        DeliveryLineTyped(**instead, note="agreed by telephone"),
        DeliveryLineTyped(item_id=room.part(), packages="1", cost="2.00"),
        order_id=order.order_id,
    )
    assert [line.condition for line in kept.lines] == [LineCondition.SUBSTITUTED, LineCondition.NOT_ORDERED]
    assert room.faults() == []


def test_that_what_came_damaged_bears_no_freight_and_costs_nothing(room: Stockroom) -> None:
    fluid, washer, who = room.fluid(), room.part(), supplier(room)
    broken = {"item_id": fluid, "damaged": "4"}
    with pytest.raises(RuleBroken, match="costs nothing"):
        delivered(room, who, DeliveryLineTyped(**broken, cost="20.00"))
    with pytest.raises(RuleBroken, match="could bear the freight"):
        delivered(room, who, DeliveryLineTyped(**broken), freight="5.00")
    kept = delivered(
        room,
        who,
        DeliveryLineTyped(**broken),
        DeliveryLineTyped(item_id=washer, packages="10", cost="0.00"),
        freight="5.00",
    )
    assert [(line.quantity, line.cost_minor) for line in kept.lines] == [(0, 0), (10_000, 500)]
    assert room.faults() == []


def test_that_a_changed_delivery_and_count_are_found(floor: Floor, room: Stockroom) -> None:
    fluid, who = room.fluid(), supplier(room)
    kept = delivered(room, who, DeliveryLineTyped(item_id=fluid, packages="4", cost="20.00"))
    room.desk.counting.count(
        Count(
            actor=room.actor,
            item_id=fluid,
            container_id=kept.lines[0].container_ids[0],
            method=CountMethod.WHOLE,
            whole="3",
            reason="one gone",
        )
    )
    assert room.faults() == []
    tampered(
        floor.url, "UPDATE delivery_line SET goods_minor = 1900", "UPDATE count_line SET counted = 2000000"
    )
    said = " ".join(room.faults())
    assert "Its moves brought in something else than it says." in said
    assert "Another difference was booked than was counted." in said


def test_that_freight_by_volume_and_drums_each_a_container(room: Stockroom) -> None:
    drum, can, who = room.fluid("Drum ATF", package="200 l"), room.fluid(), supplier(room)
    kept = delivered(
        room,
        who,
        DeliveryLineTyped(item_id=drum, packages="3", cost="1000.00", lot="D7", best_before=date(2030, 1, 1)),
        DeliveryLineTyped(item_id=can, packages="100", cost="500.00"),
        freight="70.00",
        freight_by=FreightBy.VOLUME,
    )
    assert [line.cost_minor for line in kept.lines] == [106_000, 51_000]
    assert len(kept.lines[0].container_ids) == 3
    views = [room.desk.containers.container(each) for each in kept.lines[0].container_ids]
    assert {(view.held, view.pieces, view.shell, view.lot) for view in views} == {
        (200_000_000, 1, 200_000_000, "D7")
    }
    assert views[0].supplier == "Quarry Street Supply"
    (cans,) = kept.lines[1].container_ids
    assert room.desk.containers.container(cans).pieces == 100
    costs = [
        cost for (cost,) in room.ask(f"SELECT cost_minor FROM stock_move WHERE item_id = {drum} ORDER BY id")
    ]
    assert costs == [35_334, 35_333, 35_333]


def test_that_a_document_number_is_received_once_and_a_price_far_off_is_asked_about(room: Stockroom) -> None:
    fluid, who = room.fluid(), supplier(room)
    line = DeliveryLineTyped(item_id=fluid, packages="4", cost="20.00")
    delivered(room, who, line)
    with pytest.raises(RuleBroken, match="received already"):
        delivered(room, who, line, document_no="d-1")
    far = DeliveryLineTyped(item_id=fluid, packages="4", cost="200.00")
    with pytest.raises(RuleBroken, match="far from what it cost"):
        delivered(room, who, far, document_no="D-2")
    old = DeliveryLineTyped(item_id=fluid, packages="4", cost="20.00", best_before=date(2026, 1, 1))
    with pytest.raises(RuleBroken, match="has passed"):
        delivered(room, who, old, document_no="D-2")
    with pytest.raises(RuleBroken, match="later than today"):
        delivered(room, who, line, document_no="D-3", on=date(2027, 1, 1))


def test_that_a_bill_is_matched_with_order_and_delivery(room: Stockroom) -> None:
    fluid, who = room.fluid(), supplier(room)
    order = ordered(room, who, OrderLineTyped(item_id=fluid, packages="10", price="5.00"))
    line_id = room.desk.buying.order(order.order_id).lines[0].id
    came = delivered(
        room,
        who,
        DeliveryLineTyped(item_id=fluid, purchase_line_id=line_id, packages="8"),
        order_id=order.order_id,
        freight="6.00",
    )
    delivery_line_id = came.lines[0].delivery_line_id
    bill = {"actor": room.actor, "supplier_id": who, "billed_on": date(2026, 11, 25)}
    with pytest.raises(RuleBroken, match="does not add up"):
        room.desk.bills.enter(
            EnterBill(
                **bill,
                bill_no="R-1",
                total="47.00",
                freight="6.00",
                lines=(BillLineTyped(delivery_line_id=delivery_line_id, amount="40.00"),),
            )
        )
    good = EnterBill(
        **bill,
        bill_no="R-1",
        total="46.00",
        freight="6.00",
        lines=(BillLineTyped(delivery_line_id=delivery_line_id, amount="40.00"),),
    )
    assert room.desk.bills.match(room.desk.bills.enter(good).bill_id).agrees
    bad = EnterBill(
        **bill,
        bill_no="R-2",
        total="60.00",
        freight="0",
        lines=(BillLineTyped(delivery_line_id=delivery_line_id, quantity="10 l", amount="60.00"),),
    )
    match = room.desk.bills.match(room.desk.bills.enter(bad).bill_id)
    said = " ".join(match.lines[0].remarks)
    assert "18.00 L billed, 8.00 L accepted" in said
    assert "by the order" in said
    assert "by the delivery" in said
    assert "Freight" in match.remarks[0]
    with pytest.raises(RuleBroken, match="entered already"):
        room.desk.bills.enter(EnterBill(**bill, bill_no="r-2", total="0", lines=()))
    assert room.faults() == []


def test_that_core_deposits_are_no_cost_and_come_back(room: Stockroom) -> None:
    converter, who = room.part("Converter, rebuilt"), supplier(room)
    room.desk.cards.save(SaveCard(actor=room.actor, item_id=converter, version=0, core="120.00"))
    kept = delivered(room, who, DeliveryLineTyped(item_id=converter, packages="3", cost="900.00"))
    assert kept.lines[0].cost_minor == 90_000
    (owed,) = room.desk.cores.owed()
    assert (owed.pieces_milli, owed.amount_minor) == (3_000, 36_000)
    back = {"actor": room.actor, "supplier_id": who, "item_id": converter}
    left = room.desk.cores.give_back(ReturnCores(**back, pieces="2", document_no="C-4"))
    assert (left.pieces_milli, left.amount_minor) == (1_000, 12_000)
    with pytest.raises(RuleBroken, match="no deposit for that many"):
        room.desk.cores.give_back(ReturnCores(**back, pieces="2"))
    room.desk.cores.give_back(ReturnCores(**back, pieces="1", amount="100.00", reason="housing cracked"))
    assert [row.amount_minor for row in room.desk.cores.owed()] == [2_000]
    assert room.faults() == []


def test_that_an_order_prints_as_csv_that_no_spreadsheet_runs(room: Stockroom) -> None:
    part, who = room.part("=cmd()", part_number="-1"), supplier(room)
    order = ordered(room, who, OrderLineTyped(item_id=part, packages="2", price="1.00", supplier_code="@x"))
    assert room.desk.buying.order_csv(order.order_id) == (
        "order,position,code,part_number,item,packages,package\r\n1,1,'@x,'-1,'=cmd(),2,1\r\n"
    )


def test_that_a_sent_order_does_not_change_and_two_people_do_not_overwrite_one_another(
    room: Stockroom,
) -> None:
    fluid, who = room.fluid(), supplier(room)
    lines = (OrderLineTyped(item_id=fluid, packages="4"),)
    save = {"actor": room.actor, "supplier_id": who, "lines": lines}
    draft = room.desk.buying.save_order(SaveOrder(**save))
    room.desk.buying.save_order(SaveOrder(**save, order_id=draft.order_id, version=1))
    with pytest.raises(Conflict):
        room.desk.buying.save_order(SaveOrder(**save, order_id=draft.order_id, version=1))
    move = {"actor": room.actor, "order_id": draft.order_id}
    room.desk.buying.move_order(MoveOrder(**move, version=2, state=OrderState.ORDERED))
    with pytest.raises(RuleBroken, match="was sent"):
        room.desk.buying.save_order(SaveOrder(**save, order_id=draft.order_id, version=3))
    delivered(
        room,
        who,
        DeliveryLineTyped(
            item_id=fluid,
            packages="1",
            cost="5.00",
            purchase_line_id=room.desk.buying.order(draft.order_id).lines[0].id,
        ),
        order_id=draft.order_id,
    )
    with pytest.raises(RuleBroken, match="close it instead"):
        room.desk.buying.move_order(MoveOrder(**move, version=3, state=OrderState.CANCELLED))


GOOD = (
    "document_no;item;packages;cost;lot;best_before\n"
    "D-9;clear atf;12;60.00;L-1;2029-03-31\n"
    "D-9;Crush washer 14 x 20;100;45.00;;\n"
    "D-10;Clear ATF;2;10.00;L-2;\n"
)


def file(room: Stockroom, supplier_id: int, content: str, **more: Any) -> tuple[DeliveryReceived, ...]:
    command = ReceiveFile(actor=room.actor, supplier_id=supplier_id, content=content, **more)
    return room.desk.receiving_files.receive(command).deliveries


def test_that_a_file_becomes_its_deliveries(room: Stockroom) -> None:
    fluid, washer, who = room.fluid(), room.part(), supplier(room)
    first, second = file(room, who, GOOD)
    assert [(line.item_id, line.quantity, line.cost_minor) for line in first.lines] == [
        (fluid, 12_000_000, 6_000),
        (washer, 100_000, 4_500),
    ]
    assert second.lines[0].on_hand == 14_000_000
    assert {row.lot for row in room.desk.stock.containers(fluid)} == {"L-1", "L-2"}
    assert room.faults() == []


@pytest.mark.parametrize(
    ("change", "place"),
    [
        (("clear atf", "unknown oil"), "line 2/item"),
        (("L-2", "L-1"), None),  # another document: the same lot may come twice
        (("D-10;Clear ATF;2;10.00;L-2", "D-9;Clear ATF;2;10.00;L-1"), "line 4/lot"),
        ((";12;", ";-12;"), "line 2/packages"),
        ((";12;", ";12.5;"), "line 2/packages"),
        ((";12;", ";999999999;"), "line 2/packages"),
        (("60.00", "-60.00"), "line 2/cost"),
        (("60.00", "sixty"), "line 2/cost"),
        (("10.00", "9000.00"), "line 4/cost"),
        (("2029-03-31", "31.03.2029"), "line 2/best_before"),
        (("2029-03-31", "2019-03-31"), "line 2/best_before"),
        (("packages", "boxes"), "line 1/boxes"),
        (("D-9;Crush", '"D-9;Crush'), "line 4"),
        (("D-9;clear", ";clear"), "line 2/document_no"),
        ((GOOD, "item;packages;cost\n"), "line 1"),
        ((GOOD, ""), "line 1/item"),
        ((GOOD, GOOD + "\0"), "content"),
    ],
)
def test_that_a_bad_file_names_line_and_column_and_keeps_nothing(
    room: Stockroom, change: tuple[str, str], place: str | None
) -> None:
    room.fluid()
    room.part()
    who = supplier(room)
    content = GOOD.replace(*change)
    if place is None:
        assert len(file(room, who, content)) == 2
        return
    with pytest.raises(RuleBroken) as refused:
        file(room, who, content)
    assert refused.value.field == place, refused.value.sentence
    assert room.ask("SELECT count(*) FROM delivery") == [(0,)]
    assert room.ask("SELECT count(*) FROM stock_move") == [(0,)]
    assert room.ask("SELECT count(*) FROM container") == [(0,)]


def test_that_a_preview_names_every_line_in_trouble_and_keeps_nothing(room: Stockroom) -> None:
    room.fluid()
    room.part()
    who = supplier(room)
    content = GOOD.replace("60.00", "sixty").replace("Crush washer 14 x 20", "Unknown washer")
    command = ReceiveFile(actor=room.actor, supplier_id=who, content=content)
    seen = room.desk.receiving_files.preview(command)
    assert {(trouble.line, trouble.column) for trouble in seen.troubles} == {(2, "cost"), (3, "item")}
    assert [line.cost_minor for each in seen.deliveries for line in each.lines] == [1_000]
    good = room.desk.receiving_files.preview(ReceiveFile(actor=room.actor, supplier_id=who, content=GOOD))
    assert good.troubles == ()
    assert sum(line.cost_minor for each in good.deliveries for line in each.lines) == 11_500
    for table in ("delivery", "stock_move", "container"):
        assert room.ask(f"SELECT count(*) FROM {table}") == [(0,)]
    assert room.faults() == []


def test_that_a_preview_of_a_broken_head_says_so_once(room: Stockroom) -> None:
    command = ReceiveFile(actor=room.actor, supplier_id=supplier(room), content="boxes\n1\n")
    seen = room.desk.receiving_files.preview(command)
    assert [(trouble.line, trouble.column) for trouble in seen.troubles] == [(1, "boxes")]
