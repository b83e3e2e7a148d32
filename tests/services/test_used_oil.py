"""Used oil: in from jobs, out with hauls, measured, and the totals the chosen rules ask about."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from shopdesk.domain.counting import Stands
from shopdesk.domain.dated_rules import RuleKey
from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.stages import Stage
from shopdesk.services.chosen_rules import CheckRule, ChooseRule, StopRule
from shopdesk.services.used_oil import AddUsedOil, CountVessel, Haul, SaveVessel
from shopdesk.services.work import MoveStage
from tests.services.floors import Floor
from tests.services.stockroom import Stockroom, stockroom

YEAR = date(2026, 1, 1)


@pytest.fixture
def room(floor: Floor) -> Stockroom:
    return stockroom(floor.desk, floor.url)


def vessel(room: Stockroom, name: str = "Drum by the door", capacity: str = "200 l", **more: Any) -> int:
    command = SaveVessel(actor=room.actor, name=name, capacity=capacity, **more)
    return room.desk.used_oil.save_vessel(command).vessel_id


def held(room: Stockroom) -> dict[str, int]:
    return {row.name: row.held_ul for row in room.desk.used_oil.vessels()}


def haul(room: Stockroom, vessel_id: int, quantity: str, **more: Any) -> int:
    return room.desk.used_oil.haul(
        Haul(actor=room.actor, vessel_id=vessel_id, quantity=quantity, **more)
    ).held_ul


def test_that_a_finished_job_fills_the_vessel_with_what_came_out(room: Stockroom) -> None:
    vessel(room)
    fluid = room.fluid()
    room.receive(fluid, "20 l", "100.00")
    job = room.vehicle().priced().serviced(fluid, "3.6 l", drained="3.2 l")
    job.entered(ran_out="0.4 l")
    job.finished()
    assert held(room) == {"Drum by the door": 3_600_000}
    room.desk.work.move(MoveStage(actor=room.actor, work_order_id=job.order_id, stage=Stage.IN_THE_BAY))
    job.entered(drained="3 l")
    job.finished()
    assert held(room) == {"Drum by the door": 3_400_000}
    (newest, first) = room.desk.used_oil.ledger(1)
    assert (newest.quantity_ul, newest.level_after_ul, first.kind) == (-200_000, 3_400_000, "job")
    assert room.faults() == []


def test_that_a_shop_without_vessels_keeps_no_books_of_used_oil(room: Stockroom) -> None:
    fluid = room.fluid()
    room.receive(fluid, "20 l", "100.00")
    room.vehicle().priced().serviced(fluid, "3.6 l").finished()
    assert room.ask("SELECT count(*) FROM oil_move") == [(0,)]


def test_that_the_fullest_vessel_with_room_is_filled_and_too_much_is_told_not_refused(
    room: Stockroom,
) -> None:
    small, large = vessel(room, "Small", "5 l"), vessel(room, "Large", "50 l")
    add = {"actor": room.actor, "reason": "from before"}
    room.desk.used_oil.add(AddUsedOil(**add, vessel_id=small, quantity="3 l"))
    fluid = room.fluid()
    room.receive(fluid, "20 l", "100.00")
    room.vehicle().priced().serviced(fluid, "3 l", drained="1 l").finished()
    assert held(room) == {"Large": 0, "Small": 4_000_000}
    room.vehicle("CC 3").priced().serviced(fluid, "3 l", drained="3 l").finished()
    assert held(room) == {"Large": 3_000_000, "Small": 4_000_000}
    room.desk.used_oil.add(AddUsedOil(**add, vessel_id=large, quantity="60 l"))
    (row,) = (row for row in room.desk.used_oil.vessels() if row.name == "Large")
    assert (row.over_ul, row.room_ul, row.percent) == (13_000_000, 0, 126)


def test_that_hauls_ask_for_more_only_once_the_rule_is_chosen(room: Stockroom) -> None:
    drum = vessel(room, capacity="1000 l")
    room.desk.used_oil.add(AddUsedOil(actor=room.actor, vessel_id=drum, quantity="900 l", reason="start"))
    with pytest.raises(RuleBroken, match="who took it"):
        haul(room, drum, "100 l")
    assert haul(room, drum, "300 l", carrier="Tallow Road Oils") == 600_000_000
    rules = room.desk.chosen_rules
    (offer,) = (each for each in rules.offered() if each.key is RuleKey.SELF_HAUL_MOST)
    assert offer.citation == "40 CFR 279.24"
    chosen = rules.choose(ChooseRule(actor=room.actor, key=RuleKey.SELF_HAUL_MOST, from_on=YEAR))
    assert (chosen.value_ul, chosen.checked_by) == (208_197_648, "")
    assert "Unchecked until a person checks it" in chosen.remark
    with pytest.raises(RuleBroken, match="id number"):
        haul(room, drum, "300 l", carrier="Tallow Road Oils")
    with pytest.raises(RuleBroken, match="name a carrier"):
        haul(room, drum, "300 l", own_vehicle=True, destination="County yard")
    with pytest.raises(RuleBroken, match="where you take it"):
        haul(room, drum, "100 l", own_vehicle=True)
    assert haul(room, drum, "55 gal", own_vehicle=True, destination="County yard") == 391_802_352
    left = haul(
        room, drum, "300 l", carrier="Tallow Road Oils", carrier_id="XYR000000001", document_no="M-17"
    )
    assert left == 91_802_352
    assert rules.check(CheckRule(actor=room.actor, rule_id=chosen.id, checked_by="Owner")).remark == ""
    rules.stop(StopRule(actor=room.actor, rule_id=chosen.id, to_on=date(2026, 11, 24)))
    assert haul(room, drum, "80 l", own_vehicle=True) == 11_802_352


def test_that_a_newer_figure_ends_the_older_one(room: Stockroom) -> None:
    rules = room.desk.chosen_rules
    choose = {"actor": room.actor, "key": RuleKey.CAPACITY_MOST}
    rules.choose(ChooseRule(**choose, from_on=YEAR))
    rules.choose(ChooseRule(**choose, from_on=date(2026, 6, 1), value="2000 gal", citation="state rule"))
    assert [(each.from_on, each.to_on) for each in rules.chosen()] == [
        (YEAR, date(2026, 5, 31)),
        (date(2026, 6, 1), None),
    ]
    with pytest.raises(RuleBroken, match="already followed"):
        rules.choose(ChooseRule(**choose, from_on=date(2026, 6, 1)))


def test_that_twenty_four_drums_new_and_used_are_not_over_and_one_more_is(room: Stockroom) -> None:
    assert room.desk.used_oil.capacity().total is None
    for key in (RuleKey.CAPACITY_MOST, RuleKey.CAPACITY_LEAST):
        room.desk.chosen_rules.choose(ChooseRule(actor=room.actor, key=key, from_on=YEAR))
    fluid = room.fluid(package="55 gal")
    room.receive(fluid, "1265 gal", "9000.00")  # 23 drums
    bottles = room.fluid("Bottles")
    room.receive(bottles, "900 l", "4500.00")
    vessel(room, capacity="55 gal")
    total = room.desk.used_oil.capacity().total
    assert total is not None
    assert (total.counted, total.over, total.near) == (24, False, True)
    vessel(room, "One more", "55 gal")
    view = room.desk.used_oil.capacity()
    assert view.total is not None
    assert view.total.over
    assert "Unchecked" in view.remark
    assert "40 CFR 112" in view.citation


def test_that_a_vessel_is_counted_by_dip_and_the_books_are_compared(room: Stockroom) -> None:
    tank = vessel(room, "Tank", "400 l", stands=Stands.LYING, height="600 mm", brim="410 l")
    room.desk.used_oil.add(AddUsedOil(actor=room.actor, vessel_id=tank, quantity="200 l", reason="start"))
    haul(room, tank, "50 l", carrier="Tallow Road Oils")
    count = {"actor": room.actor, "vessel_id": tank, "within": "5 mm"}
    with pytest.raises(RuleBroken, match="higher than the container"):
        room.desk.used_oil.count(CountVessel(**count, dip="601 mm", reason="x"))
    with pytest.raises(RuleBroken, match="write the reason"):
        room.desk.used_oil.count(CountVessel(**count, dip="300 mm"))
    room.desk.used_oil.count(CountVessel(**count, dip="300 mm", reason="rain came in"))
    assert held(room) == {"Tank": 205_000_000}
    books = room.desk.used_oil.reconcile(tank, YEAR, date(2026, 12, 31))
    assert (books.in_ul, books.out_ul, books.expected_ul) == (200_000_000, 50_000_000, 150_000_000)
    assert (books.difference_ul, books.agrees) == (55_000_000, False)


def test_that_a_vessel_is_changed_by_one_person_at_a_time_and_not_put_away_full(room: Stockroom) -> None:
    drum = vessel(room)
    change = {"actor": room.actor, "vessel_id": drum, "name": "Drum outside", "capacity": "200 l"}
    room.desk.used_oil.save_vessel(SaveVessel(**change, version=1))
    with pytest.raises(Conflict):
        room.desk.used_oil.save_vessel(SaveVessel(**change, version=1))
    with pytest.raises(RuleBroken, match="of this name"):
        vessel(room, "Drum outside")
    room.desk.used_oil.add(AddUsedOil(actor=room.actor, vessel_id=drum, quantity="1 l", reason="start"))
    with pytest.raises(RuleBroken, match="still holds"):
        room.desk.used_oil.save_vessel(SaveVessel(**change, version=2, active=False))
