"""Containers: opened, put aside, measured up; goods that leave otherwise; and a lot called back."""

from __future__ import annotations

from datetime import date

import pytest

from shopdesk.domain.counting import Stands
from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.hazards import Pictogram, SignalWord
from shopdesk.domain.stock import MoveKind
from shopdesk.services.cards import KeepSafetySheet, PartKind, SaveCard
from shopdesk.services.containers import (
    BringBack,
    EventKind,
    MeasureContainer,
    NoteContainer,
    PourOver,
    TakeOff,
)
from shopdesk.services.recall import PutLotAside
from shopdesk.services.shelf_settings import ChangeShelfSetting
from tests.services.floors import Floor
from tests.services.stockroom import Stockroom, stockroom


@pytest.fixture
def room(floor: Floor) -> Stockroom:
    return stockroom(floor.desk, floor.url)


def test_that_one_step_names_every_vehicle_of_a_lot_with_its_telephone(room: Stockroom) -> None:
    fluid = room.fluid()
    room.receive(fluid, "4 l", "20.00", lot="Lot-7")
    rest = room.receive(fluid, "8 l", "40.00", lot="LOT-8")
    first = room.vehicle("AA 1", "Ida Brook", "+12025550143").priced().serviced(fluid, "3.5 l")
    first.finished()
    second = room.vehicle("BB 2", "Olof Stone", "+12025550199").priced().serviced(fluid, "1 l")
    second.finished()
    found = room.desk.recalls.recall("lot-7")
    assert [(each.plate, each.customer, each.phones, each.quantity) for each in found.vehicles] == [
        ("AA 1", "Ida Brook", ("+12025550143",), 3_500_000),
        ("BB 2", "Olof Stone", ("+12025550199",), 500_000),
    ]
    by_sql = room.ask(
        "SELECT DISTINCT o.vehicle_id FROM stock_move m JOIN container c ON c.id = m.container_id"
        " JOIN work_order o ON o.id = m.work_order_id WHERE c.lot = 'Lot-7' ORDER BY 1"
    )
    assert [(each.vehicle_id,) for each in found.vehicles] == by_sql
    assert [each.vehicle_id for each in room.desk.recalls.recall("LOT-8").vehicles] == [second.vehicle_id]
    put = PutLotAside(actor=room.actor, lot="LOT-8", reason="blender's notice")
    assert room.desk.recalls.put_aside(put).container_ids == (rest,)
    assert room.desk.containers.suggestion(fluid) == ()
    assert room.faults() == []


def test_that_a_lot_is_found_from_its_first_two_characters_and_no_sign_stands_for_others(
    room: Stockroom,
) -> None:
    fluid = room.fluid()
    for lot in ("Lot-7", "LOT-70", "Other", "lo%"):
        room.receive(fluid, "4 l", "20.00", lot=lot)
    assert room.desk.recalls.lots_from(" lot-7") == ("LOT-70", "Lot-7")
    assert room.desk.recalls.lots_from("lo", most=2) == ("lo%", "LOT-70")
    assert room.desk.recalls.lots_from("lo%") == ("lo%",)
    assert room.desk.recalls.lots_from("l") == ()


def test_that_an_unknown_lot_was_in_nothing(room: Stockroom) -> None:
    found = room.desk.recalls.recall("nowhere")
    assert (found.vehicles, found.containers) == ((), ())
    with pytest.raises(RuleBroken, match="lot number"):
        room.desk.recalls.recall("  ")


def test_that_goods_leave_for_other_reasons_and_come_back_unused(room: Stockroom) -> None:
    fluid = room.fluid()
    can = room.receive(fluid, "5 l", "25.00")
    off = TakeOff(
        actor=room.actor, item_id=fluid, kind=MoveKind.SPILL, quantity="0.5 l", reason="knocked over"
    )
    assert room.desk.containers.take_off(off).on_hand == 4_500_000
    job = room.vehicle().priced().serviced(fluid, "3.5 l")
    job.finished()
    back = BringBack(
        actor=room.actor,
        work_order_id=job.order_id,
        record_id=job.record_id,
        item_id=fluid,
        quantity="1 l",
        container_id=can,
        reason="jug not used up",
    )
    assert room.desk.containers.bring_back(back).on_hand == 2_000_000
    assert room.ask("SELECT sum(cost_minor) FROM stock_move") == [(1_000,)]
    with pytest.raises(RuleBroken, match="did not take that much"):
        room.desk.containers.bring_back(
            BringBack(
                actor=room.actor,
                work_order_id=job.order_id,
                record_id=job.record_id,
                item_id=fluid,
                quantity="3 l",
                reason="too much",
            )
        )
    with pytest.raises(RuleBroken, match="Choose"):
        room.desk.containers.take_off(
            TakeOff(actor=room.actor, item_id=fluid, kind=MoveKind.RECEIVE, quantity="1 l", reason="no")
        )
    assert room.faults() == []


def test_that_pouring_over_moves_no_penny_and_mixes_no_lot_unseen(room: Stockroom) -> None:
    fluid = room.fluid()
    one = room.receive(fluid, "4 l", "20.00", lot="A")
    two = room.receive(fluid, "4 l", "40.00", lot="B")
    room.vehicle().priced().serviced(fluid, "3.5 l").finished()
    pour = {"actor": room.actor, "from_id": two, "into_id": one}
    with pytest.raises(RuleBroken, match="mix two lots"):
        room.desk.containers.pour_over(PourOver(**pour, quantity="1 l"))
    with pytest.raises(RuleBroken, match="other takes"):
        room.desk.containers.pour_over(PourOver(**pour, quantity="3.6 l", reason="room"))
    room.desk.containers.pour_over(PourOver(**pour, quantity="1 l", reason="half empty cans"))
    assert room.desk.containers.container(one).held == 1_500_000
    assert room.desk.containers.container(two).held == 3_000_000
    assert room.ask("SELECT sum(quantity), sum(cost_minor) FROM stock_move") == [(4_500_000, 4_250)]
    assert room.faults() == []


def test_that_a_container_put_aside_is_not_suggested_until_it_is_released(room: Stockroom) -> None:
    fluid = room.fluid()
    can = room.receive(fluid, "4 l", "20.00")
    aside = {"actor": room.actor, "container_id": can}
    with pytest.raises(RuleBroken, match="reason"):
        room.desk.containers.note(NoteContainer(**aside, kind=EventKind.QUARANTINED))
    room.desk.containers.note(NoteContainer(**aside, kind=EventKind.QUARANTINED, reason="looks cloudy"))
    assert room.desk.containers.suggestion(fluid) == ()
    room.desk.containers.note(NoteContainer(**aside, kind=EventKind.RELEASED, reason="it was the light"))
    assert [each.id for each in room.desk.containers.suggestion(fluid)] == [can]
    with pytest.raises(RuleBroken, match="count it to nothing"):
        room.desk.containers.note(NoteContainer(**aside, kind=EventKind.GONE, reason="away"))


def test_that_an_opened_container_is_good_for_its_opened_life_only(room: Stockroom) -> None:
    fluid = room.fluid()
    can = room.receive(fluid, "4 l", "20.00", best_before=date(2029, 1, 1), on=date(2026, 11, 1))
    room.desk.cards.save(SaveCard(actor=room.actor, item_id=fluid, version=0, opened_days="180"))
    assert room.desk.containers.container(can).good_until == date(2029, 1, 1)
    room.desk.containers.note(
        NoteContainer(actor=room.actor, container_id=can, kind=EventKind.OPENED, on=date(2026, 11, 10))
    )
    assert room.desk.containers.container(can).good_until == date(2027, 5, 9)
    with pytest.raises(RuleBroken, match="between its receipt and today"):
        room.desk.containers.note(
            NoteContainer(actor=room.actor, container_id=can, kind=EventKind.OPENED, on=date(2026, 10, 10))
        )


def test_that_a_drum_is_measured_up_once_and_keeps_its_shape(room: Stockroom) -> None:
    drum = room.receive(room.fluid(package="208.2 l"), "208.2 l", "900.00")
    command = MeasureContainer(
        actor=room.actor,
        container_id=drum,
        version=0,
        stands=Stands.UPRIGHT,
        height="851 mm",
        brim="218.3 l",
        dip_now="810 mm",
        content_now="208.2 l",
        tare="18.5 kg",
    )
    room.desk.containers.measure(command)
    view = room.desk.containers.container(drum)
    assert view.shape is not None
    assert view.shape.brim_ul == pytest.approx(208_200_000 * 851 / 810, abs=1)
    assert (view.tare_mg, view.capacity, view.pieces) == (18_500_000, view.shape.brim_ul, 1)
    with pytest.raises(Conflict):
        room.desk.containers.measure(
            MeasureContainer(actor=room.actor, container_id=drum, version=0, tare="1 kg")
        )


def test_that_a_card_keeps_washers_hazards_and_the_safety_sheet(room: Stockroom) -> None:
    washer = room.part()
    save = SaveCard(
        actor=room.actor,
        item_id=washer,
        version=0,
        part_kind=PartKind.WASHER,
        inner="14 mm",
        outer="20 mm",
        thickness="1.5 mm",
        material="copper",
    )
    room.desk.cards.save(save)
    (found,) = room.desk.cards.washers(inner_um=14_000, outer_um=20_000)
    assert (found.size, found.material) == ("14 × 20 × 1.5", "copper")
    with pytest.raises(RuleBroken, match="wider outside"):
        room.desk.cards.save(
            SaveCard(actor=room.actor, item_id=washer, version=1, inner="20 mm", outer="14 mm")
        )
    fluid = room.fluid()
    with pytest.raises(RuleBroken, match="no washer"):
        room.desk.cards.save(SaveCard(actor=room.actor, item_id=fluid, version=0, part_kind=PartKind.WASHER))
    hazards = SaveCard(
        actor=room.actor,
        item_id=fluid,
        version=0,
        signal_word=SignalWord.WARNING,
        hazard_text="May cause an allergic skin reaction.",
        pictograms=(Pictogram.EXCLAMATION_MARK,),
    )
    room.desk.cards.save(hazards)
    sheet = KeepSafetySheet(
        actor=room.actor,
        item_id=fluid,
        name="sheet.pdf",
        content_hex=b"%PDF-1.4 x".hex(),
        sds_on=date(2026, 3, 1),
    )
    room.desk.cards.keep_safety_sheet(sheet)
    card = room.desk.cards.card(fluid)
    assert (card.sds_name, card.sds_on, card.pictograms) == (
        "sheet.pdf",
        date(2026, 3, 1),
        (Pictogram.EXCLAMATION_MARK,),
    )
    assert room.desk.cards.safety_sheet(fluid) == b"%PDF-1.4 x"
    with pytest.raises(RuleBroken, match="PDF"):
        room.desk.cards.keep_safety_sheet(
            KeepSafetySheet(
                actor=room.actor, item_id=fluid, name="x", content_hex="00", sds_on=date(2026, 3, 1)
            )
        )
    assert room.faults() == []


def test_that_a_setting_is_read_by_its_own_rule(room: Stockroom) -> None:
    rules = room.desk.shelf_rules
    assert rules.settings().shrinkage_ppm == 20_000
    rules.change(ChangeShelfSetting(actor=room.actor, key="shrinkage_ppm", value="3.5"))
    rules.change(ChangeShelfSetting(actor=room.actor, key="substitution", value="licensed or better"))
    assert rules.settings().shrinkage_ppm == 35_000
    assert {row.key: row.value for row in rules.rows()}["substitution"] == "licensed or better"
    for key, value in (
        ("lead_days", "0"),
        ("substitution", "anything"),
        ("nothing", "1"),
        ("service_level_ppm", "20"),
    ):
        with pytest.raises(RuleBroken):
            rules.change(ChangeShelfSetting(actor=room.actor, key=key, value=value))
