"""Kits: one line on the invoice, its parts one by one off the shelf."""

from __future__ import annotations

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.pricing import LineKind
from shopdesk.domain.stages import Stage
from shopdesk.services.billing import IssueInvoice
from shopdesk.services.kits import KitPartTyped, SaveKit
from shopdesk.services.lines import LineTyped
from shopdesk.services.work import MoveStage
from tests.services.floors import Floor
from tests.services.stockroom import LABOUR, Stockroom, stockroom


@pytest.fixture
def room(floor: Floor) -> Stockroom:
    return stockroom(floor.desk, floor.url)


def kit_of(room: Stockroom) -> tuple[int, int, int]:
    """Make a kit of a pan gasket and two washers; gives the kit, the gasket, the washer."""
    kit, gasket, washer = room.part("Pan kit"), room.part("Pan gasket"), room.part()
    parts = (KitPartTyped(item_id=gasket, quantity="1"), KitPartTyped(item_id=washer, quantity="2"))
    room.desk.kits.save(SaveKit(actor=room.actor, item_id=kit, parts=parts))
    return kit, gasket, washer


def line(item: str, quantity: str = "1") -> LineTyped:
    return LineTyped(kind=LineKind.PART, item=item, quantity=quantity)


def test_that_a_kit_moves_its_parts_and_carries_their_cost(room: Stockroom) -> None:
    kit, gasket, washer = kit_of(room)
    room.receive(gasket, "5", "50.00")
    room.receive(washer, "100", "45.00")
    job = room.vehicle().priced(LABOUR, line("Pan kit", "2"), line("Crush washer 14 x 20"))
    drawn = {each.item_id: each.quantity for each in job.finished().drawn}
    assert drawn == {gasket: 2_000, washer: 5_000}
    assert [row.name for row in room.desk.stock.on_hand()] == ["Crush washer 14 x 20", "Pan gasket"]
    room.desk.billing.issue(IssueInvoice(actor=room.actor, work_order_id=job.order_id))
    costs = room.ask("SELECT text, cost_minor FROM invoice_line WHERE kind = 'part' ORDER BY position")
    # 2 gaskets at 10.00 and 4 of 5 washers at 0.45; the fifth washer stands on its own line.
    assert costs == [("Pan kit", 2_180), ("Crush washer 14 x 20", 45)]
    assert room.desk.kits.parts(kit)[1].quantity == 2_000
    assert room.faults() == []


def test_that_a_line_taken_off_again_puts_its_parts_back(room: Stockroom) -> None:
    _kit, gasket, washer = kit_of(room)
    room.receive(gasket, "5", "50.00")
    room.receive(washer, "100", "45.00")
    job = room.vehicle().priced(LABOUR, line("Pan kit"))
    job.finished()
    room.desk.work.move(MoveStage(actor=room.actor, work_order_id=job.order_id, stage=Stage.IN_THE_BAY))
    job.priced(LABOUR, line("Crush washer 14 x 20"))
    assert {each.item_id: each.quantity for each in job.finished().drawn} == {gasket: -1_000, washer: -1_000}
    assert room.ask("SELECT sum(cost_minor) FROM stock_move") == [(9_500 - 45,)]
    assert room.faults() == []


def test_that_a_kit_is_made_of_parts_only(room: Stockroom) -> None:
    kit, gasket, washer = kit_of(room)
    save = {"actor": room.actor, "item_id": kit}
    for parts, sentence in (
        ((KitPartTyped(item_id=kit, quantity="1"),), "not kits"),
        ((KitPartTyped(item_id=washer, quantity="0"),), "how many"),
        ((KitPartTyped(item_id=washer, quantity="1"), KitPartTyped(item_id=washer, quantity="1")), "twice"),
    ):
        with pytest.raises(RuleBroken, match=sentence):
            room.desk.kits.save(SaveKit(**save, parts=parts))
    room.receive(gasket, "5", "50.00")
    with pytest.raises(RuleBroken, match="by itself"):
        room.desk.kits.save(
            SaveKit(actor=room.actor, item_id=gasket, parts=(KitPartTyped(item_id=washer, quantity="1"),))
        )
