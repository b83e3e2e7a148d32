"""The shelf by keyboard alone: ordered, come short, counted, used oil picked up, a lot followed.

What the window leaves in the file is added up again with SQL of the test's own.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from shopdesk.domain.dated_rules import RuleKey
from shopdesk.services.buying import SaveSupplier
from shopdesk.services.chosen_rules import ChooseRule
from shopdesk.services.used_oil import AddUsedOil, SaveVessel
from tests.journeys.conftest import Run, Start
from tests.ui.shop_window import NOW, StandingClock, make_shop

ATF, LOT = "Halden ATF-6", "H-77"
QUART_UL = 946_353


@pytest.fixture
def file(sqlite_template: Path, tmp_path: Path) -> Path:
    """A shop that has done one job."""
    make_shop(sqlite_template, tmp_path / "shop.db")
    return tmp_path / "shop.db"


def test_that_the_shelf_is_looked_after_by_keyboard_and_adds_up(start: Start, file: Path) -> None:
    run = start(f"sqlite:///{file}", clock=StandingClock(NOW))
    furnish(run)
    before = levels(file)
    order_and_receive_short(run)
    count_one_short(run)
    have_oil_picked_up(run)
    look_the_lot_up(run)
    assert_it_adds_up(run, file, before)


def furnish(run: Run) -> None:
    """A supplier, a vessel with something in it, and the rule on hauling oneself."""
    rooms, actor = run.rooms, run.rooms.actor()
    rooms.buying.save_supplier(SaveSupplier(actor=actor, name="Quarry Supply"))
    rooms.used_oil.save_vessel(SaveVessel(actor=actor, name="Tank", capacity="275 gal"))
    rooms.used_oil.add(AddUsedOil(actor=actor, vessel_id=1, quantity="100 gal", reason="from before"))
    rooms.chosen_rules.choose(
        ChooseRule(actor=actor, key=RuleKey.SELF_HAUL_MOST, from_on=NOW.date().replace(day=1))
    )


def go(run: Run, words: str) -> None:
    """Open the shelf with its key and press the section of this name."""
    run.keyboard.key("Ctrl+5")
    run.keyboard.press(words)
    run.keyboard.settle()


def order_and_receive_short(run: Run) -> None:
    """Twelve packages ordered; nine come whole, one damaged."""
    keys = run.keyboard
    go(run, "Orders")
    keys.key("Ctrl+Return")
    keys.fill({"Item 1": ATF, "Packages 1": "12", "Price of one package 1": "6.50"})
    keys.key("Ctrl+Return")
    keys.key("Ctrl+Return")
    assert keys.complaints() == []
    line = f"1 {ATF}"
    keys.fill(
        {
            "Document number": "D-9",
            "Freight": "5.01",
            f"{line}: Packages": "9",
            f"{line}: Damaged, not taken": "1",
            f"{line}: Lot": LOT,
            f"{line}: Best before": "1 May 2029",
        }
    )
    keys.key("Ctrl+Return")
    assert "the rest is still to come" in run.program.window.notices.words


def count_one_short(run: Run) -> None:
    """The first container of the fluid holds less than the ledger says; that wants a reason."""
    keys = run.keyboard
    go(run, "Counts")
    keys.key("Ctrl+Return")
    keys.open_row("To count", ATF)
    keys.fill({"Whole ones": "1", "In the opened one": "0.5 qt", "Read to ±": "0.1 qt"})
    keys.key("Ctrl+Return")
    assert [each.partition(":")[0] for each in keys.complaints()] == ["Why it differs"]
    keys.choose("Why it differs", "Spilled")
    keys.key("Ctrl+Return")
    assert "booked" in run.program.window.notices.words


def have_oil_picked_up(run: Run) -> None:
    """More than a shop may take away itself wants the carrier's number."""
    keys = run.keyboard
    go(run, "Used oil")
    keys.key("Ctrl+Return")
    keys.fill({"Quantity": "80 gal", "Carrier": "Tallow Road Oils"})
    keys.key("Ctrl+Return")
    assert [each.partition(":")[0] for each in keys.complaints()] == ["Carrier's id number"]
    keys.fill({"Carrier's id number": "XYR000000001", "Document number": "M-17"})
    keys.key("Ctrl+Return")
    assert keys.complaints() == []


def look_the_lot_up(run: Run) -> None:
    """The new lot stands in its container and went nowhere yet."""
    keys = run.keyboard
    go(run, "Where a lot went")
    keys.write("Lot", LOT.lower())
    keys.key("Return")
    keys.key("Return")
    found = run.rooms.recalls.recall(LOT)
    assert keys.place == ("lots", LOT)
    assert (len(found.vehicles), len(found.containers)) == (0, 1)


def rows(file: Path, question: str) -> list[tuple[Any, ...]]:
    """Ask the file itself."""
    with closing(sqlite3.connect(file)) as behind:
        return behind.execute(question).fetchall()


def levels(file: Path) -> dict[str, int]:
    """What the ledger's moves of each item come to."""
    moves = "SELECT i.name, sum(m.quantity) FROM stock_move m JOIN item i ON i.id = m.item_id GROUP BY 1"
    return dict(rows(file, moves))


def assert_it_adds_up(run: Run, file: Path, before: dict[str, int]) -> None:
    """Every total of the program is the file's."""
    assert {row.name: row.on_hand for row in run.rooms.stock.on_hand()} == levels(file)
    came = assert_the_order(run, file)
    ((difference,),) = rows(file, "SELECT sum(counted - expected) FROM count_line")
    assert difference < 0
    assert levels(file)[ATF] == before[ATF] + came + difference
    assert_the_money(run, file)
    ((oil_in, oil_out),) = rows(
        file,
        "SELECT sum(quantity_ul) FILTER (WHERE quantity_ul > 0), "
        "-sum(quantity_ul) FILTER (WHERE quantity_ul < 0) FROM oil_move",
    )
    (vessel,) = run.rooms.used_oil.vessels()
    assert (oil_in, oil_out) == (378_541_178, 302_832_943)  # 100 and 80 gallons of 231 cubic inches
    assert vessel.held_ul == oil_in - oil_out
    assert run.rooms.safekeeping.check().findings == ()


def assert_the_order(run: Run, file: Path) -> int:
    """Give what came: nine of twelve, at their price and the freight."""
    ((came, damaged),) = rows(file, "SELECT quantity, damaged FROM delivery_line")
    ((cost,),) = rows(file, "SELECT sum(cost_minor) FROM stock_move WHERE document_no = 'D-9'")
    (line,) = run.rooms.buying.order(1).lines
    assert cost == 9 * 650 + 501
    assert (line.received, line.damaged) == (came, damaged)
    assert (came, damaged) == (9 * line.package_quantity, line.package_quantity)
    assert line.open == 3 * line.package_quantity
    return int(came)


def assert_the_money(run: Run, file: Path) -> None:
    """Cost in is cost out and cost left, to the penny."""
    money = "SELECT sum(cost_minor) FROM stock_move"
    ((paid,),) = rows(file, f"{money} WHERE kind = 'receive'")
    ((gone,),) = rows(file, f"{money} WHERE kind <> 'receive'")
    value = run.rooms.shelf_reports.value().rows
    assert sum(row.in_minor for row in value) == paid
    assert sum(row.used_minor + row.other_minor for row in value) == -gone > 0
    assert sum(row.left_minor for row in value) == paid + gone
