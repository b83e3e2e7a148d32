"""Counting the shelf: what was read, what was booked, what it cost, on both engines."""

from __future__ import annotations

from typing import Any

import pytest

from shopdesk.domain.counting import CountMethod, Stands
from shopdesk.domain.errors import RuleBroken
from shopdesk.services.containers import MeasureContainer
from shopdesk.services.counting import CloseSheet, Count, Counted, OpenSheet
from tests.services.floors import Floor
from tests.services.stockroom import Stockroom, stockroom


@pytest.fixture
def room(floor: Floor) -> Stockroom:
    return stockroom(floor.desk, floor.url)


def counted(room: Stockroom, item_id: int, container_id: int | None, **readings: Any) -> Counted:
    """Count one container or item."""
    command = Count(actor=room.actor, item_id=item_id, container_id=container_id, **readings)
    return room.desk.counting.count(command)


def sums(room: Stockroom) -> tuple[int, int]:
    """Give quantity and cost of all moves together."""
    ((quantity, cost),) = room.ask("SELECT sum(quantity), sum(cost_minor) FROM stock_move")
    return int(quantity), int(cost)


def test_that_missing_bottles_leave_with_their_cost_and_a_reason(room: Stockroom) -> None:
    fluid = room.fluid()
    bottles = room.receive(fluid, "12 l", "60.00")
    whole = {"method": CountMethod.WHOLE, "whole": "10", "rest": "0.4 l", "rest_within": "50 ml"}
    with pytest.raises(RuleBroken, match="write the reason"):
        counted(room, fluid, bottles, **whole)
    found = counted(room, fluid, bottles, **whole, reason="two bottles gone, one opened")
    assert (found.expected, found.counted, found.difference) == (12_000_000, 10_400_000, -1_600_000)
    assert (found.cost_minor, found.on_hand) == (-800, 10_400_000)
    assert sums(room) == (10_400_000, 5_200)
    assert room.faults() == []


def test_that_what_is_found_comes_in_at_the_newest_cost_and_covers_the_shortage(room: Stockroom) -> None:
    fluid = room.fluid()
    can = room.receive(fluid, "2 l", "10.00")
    room.vehicle().priced().serviced(fluid, "3.5 l").finished()
    assert room.desk.stock.containers(fluid)[0].on_hand == -1_500_000
    found = counted(
        room, fluid, can, method=CountMethod.WHOLE, rest="0.5 l", rest_within="20 ml", reason="fuller"
    )
    assert (found.difference, found.cost_minor, found.on_hand) == (2_000_000, 1_000, 500_000)
    # The job bears what it used beyond the books: 1.5 of the 2 litres found.
    assert room.ask("SELECT -sum(cost_minor) FROM stock_move WHERE record_id IS NOT NULL") == [(1_750,)]
    assert sums(room) == (500_000, 250)
    assert room.faults() == []


def test_that_what_stands_in_no_container_is_set_right_when_all_were_counted(room: Stockroom) -> None:
    fluid = room.fluid()
    room.vehicle().priced().serviced(fluid, "2 l").finished()  # nothing was on the shelf
    one = room.receive(fluid, "4 l", "20.00")
    two = room.receive(fluid, "4 l", "20.00")
    sheet = room.desk.counting.open_sheet(OpenSheet(actor=room.actor))
    whole = {"sheet_id": sheet.sheet_id, "method": CountMethod.WHOLE, "whole": "4"}
    assert counted(room, fluid, one, **whole).on_hand == 6_000_000
    assert counted(room, fluid, two, **whole).on_hand == 8_000_000
    assert not any(row.count_due for row in room.desk.stock.on_hand())
    assert room.faults() == []


def test_that_a_drum_is_counted_by_dip_and_by_weight(room: Stockroom) -> None:
    drum_ul = 208_200_000
    fluid = room.fluid(package="208.2 l")
    drum = room.receive(fluid, "208.2 l", "900.00")
    with pytest.raises(RuleBroken, match="measured up"):
        counted(room, fluid, drum, method=CountMethod.DIP, dip="400 mm", within="3 mm")
    room.desk.containers.measure(
        MeasureContainer(
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
    )
    dipped = counted(
        room,
        fluid,
        drum,
        method=CountMethod.DIP,
        dip="789 mm",
        within="3 mm",
        temperature="20 degC",
        reason="first dip",
    )
    assert dipped.counted == pytest.approx(drum_ul * 789 / 810, abs=1)
    assert dipped.half_width == pytest.approx(drum_ul * 3 / 810, abs=2)
    with pytest.raises(RuleBroken, match="higher than the container"):
        counted(room, fluid, drum, method=CountMethod.DIP, dip="900 mm", within="3 mm")
    weighed = counted(
        room, fluid, drum, method=CountMethod.WEIGHT, gross="190.5 kg", within="0.2 kg", temperature="20 degC"
    )
    assert weighed.counted == pytest.approx(172_000_000 / 0.850 * 1.0037, rel=2e-4)
    assert room.faults() == []


def test_that_a_counter_and_a_glass_say_what_is_left(room: Stockroom) -> None:
    fluid = room.fluid(package="60 l")
    keg = room.receive(fluid, "60 l", "300.00")
    room.vehicle().priced().serviced(fluid, "3.5 l").finished()
    by_counter = counted(room, fluid, keg, method=CountMethod.COUNTER, reading="3.6 l", within="0.2 l")
    assert (by_counter.counted, by_counter.difference) == (56_400_000, -100_000)
    by_glass = counted(room, fluid, keg, method=CountMethod.SIGHT_GLASS, reading="56 l", within="1 l")
    assert by_glass.on_hand == 56_000_000


@pytest.mark.parametrize(
    ("readings", "sentence"),
    [
        ({"method": CountMethod.WHOLE, "whole": "13"}, "more than the container can hold"),
        ({"method": CountMethod.WHOLE, "whole": "-1"}, "whole number"),
        ({"method": CountMethod.WHOLE, "whole": "1", "rest": "0.5 l"}, "how closely"),
        ({"method": CountMethod.WHOLE, "rest": "1.5 l", "rest_within": "20 ml"}, "more than a whole one"),
        ({"method": CountMethod.SIGHT_GLASS, "reading": "99 l", "within": "1 l"}, "can hold"),
        (
            {"method": CountMethod.WEIGHT, "gross": "9 kg", "within": "1 g", "temperature": "20 degC"},
            "empty container",
        ),
        ({"method": CountMethod.WEIGHT, "gross": "9", "tare": "1 kg", "within": "1 g"}, "has no unit"),
    ],
)
def test_that_an_impossible_reading_is_refused_and_nothing_is_kept(
    room: Stockroom, readings: dict[str, Any], sentence: str
) -> None:
    fluid = room.fluid()
    bottles = room.receive(fluid, "12 l", "60.00")
    with pytest.raises(RuleBroken, match=sentence):
        counted(room, fluid, bottles, **readings, reason="try")
    assert room.ask("SELECT count(*) FROM count_line") == [(0,)]
    assert sums(room) == (12_000_000, 6_000)


def test_that_parts_are_counted_by_the_piece_and_the_sheet_lists_what_is_there(room: Stockroom) -> None:
    washer, fluid = room.part(), room.fluid()
    room.receive(washer, "100", "45.00")
    can = room.receive(fluid, "4 l", "20.00", lot="L-1")
    sheet_id = room.desk.counting.open_sheet(OpenSheet(actor=room.actor, note="month's end")).sheet_id
    listed = [
        (line.item, line.container_id, line.counted) for line in room.desk.counting.sheet(sheet_id).lines
    ]
    assert listed == [("Clear ATF", can, False), ("Crush washer 14 x 20", None, False)]
    found = counted(
        room, washer, None, sheet_id=sheet_id, method=CountMethod.WHOLE, whole="97", reason="lost"
    )
    assert (found.difference, found.cost_minor) == (-3_000, -135)
    assert [line.counted for line in room.desk.counting.sheet(sheet_id).lines] == [False, True]
    room.desk.counting.close_sheet(CloseSheet(actor=room.actor, sheet_id=sheet_id))
    with pytest.raises(RuleBroken, match="closed"):
        counted(room, washer, None, sheet_id=sheet_id, method=CountMethod.WHOLE, whole="97")
    with pytest.raises(RuleBroken, match="which container"):
        counted(room, fluid, None, method=CountMethod.WHOLE, whole="4")
