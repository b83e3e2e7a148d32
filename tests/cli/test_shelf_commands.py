"""The shelf without a window: its value, a delivery from a file, a lot called back."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.asking import ask
from tests.services.floors import Floor
from tests.services.stockroom import Stockroom, stockroom

DELIVERY = (
    "item,packages,cost,lot,document_no\nClear ATF,12,60.00,L-9,D-1\nCrush washer 14 x 20,100,45.00,,D-1\n"
)


@pytest.fixture
def room(floor: Floor) -> Stockroom:
    room = stockroom(floor.desk, floor.url)
    room.fluid()
    room.part()
    return room


def written(folder: Path, content: str) -> Path:
    file = folder / "delivery.csv"
    file.write_text(content, encoding="utf-8")
    return file


def test_that_a_file_is_received_once_and_valued(room: Stockroom, tmp_path: Path) -> None:
    file = written(tmp_path, DELIVERY)
    said = ask(room.desk, "stock", "receive", file, "--supplier", "Quarry", "--freight", "10.50")
    assert (said.code, said.out) == (0, "2 lines received, €115.50\n")
    again = ask(room.desk, "stock", "receive", file, "--supplier", "quarry", "--freight", "10.50", "--json")
    assert again.code == 0
    assert room.ask("SELECT count(*) FROM delivery") == [(1,)]
    value = ask(room.desk, "stock", "value", "--json").data
    assert (value["method"], value["left_minor"]) == ("fifo", 11_550)
    assert [(row["name"], row["on_hand"], row["left_minor"]) for row in value["rows"]] == [
        ("Clear ATF", 12_000_000, 6_600),
        ("Crush washer 14 x 20", 100_000, 4_950),
    ]
    assert ask(room.desk, "stock", "value").out.endswith("Altogether €115.50 by fifo\n")


def test_that_a_bad_file_is_refused_with_line_and_column(room: Stockroom, tmp_path: Path) -> None:
    file = written(tmp_path, DELIVERY.replace("12,60", "-12,60"))
    said = ask(room.desk, "stock", "receive", file, "--supplier", "Quarry")
    assert (said.code, said.out) == (2, "")
    assert "line 2/packages" in said.err
    assert room.ask("SELECT count(*) FROM stock_move") == [(0,)]
    missing = ask(room.desk, "stock", "receive", tmp_path / "none.csv", "--supplier", "Quarry")
    assert missing.code == 2


def test_that_a_lot_is_called_back_from_the_command_line(room: Stockroom, tmp_path: Path) -> None:
    ask(room.desk, "stock", "receive", written(tmp_path, DELIVERY), "--supplier", "Quarry")
    fluid = room.desk.items.all()[0].id
    room.vehicle("AA 1", "Ida Brook", "+12025550143").priced().serviced(fluid, "3.5 l").finished()
    said = ask(room.desk, "recall", "l-9")
    assert said.code == 0
    assert "AA 1" in said.out
    assert "+12025550143" in said.out
    assert "1 vehicle\n" in said.out
    assert "Still here: Clear ATF #1, 8.50 L, in use" in said.out
    data = ask(room.desk, "recall", "L-9", "--json").data
    assert [each["plate"] for each in data["vehicles"]] == ["AA 1"]
    assert ask(room.desk, "recall", "nothing").out == "0 vehicles\n"
