"""Papers of the shelf made from what is kept."""

from __future__ import annotations

from datetime import date

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.hazards import Pictogram, SignalWord
from shopdesk.services.buying import OrderLineTyped, SaveOrder, SaveSupplier
from shopdesk.services.cards import SaveCard
from shopdesk.services.counting import OpenSheet
from shopdesk.services.used_oil import SaveVessel
from tests.documents.reading import words
from tests.services.floors import Floor
from tests.services.stockroom import Stockroom, stockroom


@pytest.fixture
def room(one_floor: Floor) -> Stockroom:
    return stockroom(one_floor.desk, one_floor.url)


def test_that_labels_say_what_the_card_and_the_container_say(room: Stockroom) -> None:
    fluid = room.fluid()
    can = room.receive(fluid, "4 l", "20.00", lot="L-7", best_before=date(2029, 3, 31))
    card = SaveCard(
        actor=room.actor,
        item_id=fluid,
        version=0,
        signal_word=SignalWord.WARNING,
        hazard_text="May cause an allergic skin reaction.",
        pictograms=(Pictogram.EXCLAMATION_MARK,),
        sds_on=date(2026, 3, 1),
    )
    room.desk.cards.save(card)
    said = words(room.desk.shelf_papers.container_label(can).content)
    for part in (
        "Clear ATF",
        "L-7",
        "31 Mar 2029",
        "WARNING",
        "allergic skin",
        "Exclamation mark",
        "1 Mar 2026",
    ):
        assert part in said
    second = words(room.desk.shelf_papers.secondary_label(fluid, container_id=can, on_sheet=True).content)
    assert "SECONDARY CONTAINER · Gearhouse" in second
    with pytest.raises(RuleBroken, match="holds a fluid"):
        room.desk.shelf_papers.secondary_label(room.part())


def test_that_vessel_count_sheet_and_order_are_printed(room: Stockroom) -> None:
    fluid = room.fluid()
    room.receive(fluid, "4 l", "20.00", lot="L-7")
    vessel = SaveVessel(actor=room.actor, name="Drum by the door", capacity="208 l")
    vessel_id = room.desk.used_oil.save_vessel(vessel).vessel_id
    assert "USED OIL Drum by the door" in words(room.desk.shelf_papers.used_oil_label(vessel_id).content)
    sheet_id = room.desk.counting.open_sheet(OpenSheet(actor=room.actor)).sheet_id
    blind = room.desk.shelf_papers.count_sheet(sheet_id)
    assert blind.name == "count-sheet-1.pdf"
    assert "lot L-7" in words(blind.content)
    assert "Ledger" not in words(blind.content)
    assert "Ledger" in words(room.desk.shelf_papers.count_sheet(sheet_id, with_expected=True).content)
    who = room.desk.buying.save_supplier(SaveSupplier(actor=room.actor, name="Quarry")).supplier_id
    lines = (OrderLineTyped(item_id=fluid, packages="24", price="5.00"),)
    order = room.desk.buying.save_order(SaveOrder(actor=room.actor, supplier_id=who, lines=lines))
    said = words(room.desk.shelf_papers.purchase_order(order.order_id).content)
    assert "24 × 1 l" in said
    assert "€120.00" in said
