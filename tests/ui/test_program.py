"""The program from its start to its end: the frame, the lane, the first run, drafts, faults, and again."""

from __future__ import annotations

import gc
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from types import ModuleType

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.desk import Desk as Rooms
from shopdesk.ui.program import Announce
from shopdesk.ui.screens.customer import CustomerScreen
from tests.journeys.conftest import Run, end, program_on, wait_until_ready

Open = Callable[..., Run]


@pytest.fixture
def program(qapp: QApplication, tmp_path: Path) -> Iterator[Open]:
    """Make the program on a shop that need not be there yet; it is ended with the test."""
    runs: list[Run] = []

    def make(shop: Path = tmp_path / "shop.db", demo: str = "") -> Run:
        runs.append(program_on(qapp, f"sqlite:///{shop}", demo=demo))
        return runs[-1]

    yield make
    for run in runs:
        end(run)


def started(run: Run) -> Run:
    wait_until_ready(run, run.program.start)
    return run


def new_customer(run: Run, name: str) -> CustomerScreen:
    """Begin to type somebody new in and stop half-way."""
    run.program.window.ways.go("customer", "new")
    run.keyboard.settle()
    run.keyboard.type(name)
    screen = run.program.window.ways.screen
    assert isinstance(screen, CustomerScreen)
    return screen


def kept_draft(run: Run) -> str:
    texts = run.rooms.drafts(run.rooms.actor()).load_draft("customer", "new")
    return dict(texts or {}).get("name", "")


def test_that_the_frame_is_in_sight_before_the_shop_is_opened_on_a_lane(program: Open) -> None:
    run, seen = program(), list[tuple[bool, bool]]()
    opens = run.program._given.open_shop

    def watched(announce: Announce) -> Rooms:
        seen.append((run.program.window.isVisible(), threading.current_thread() is threading.main_thread()))
        return opens(announce)

    run.program._given = replace(run.program._given, open_shop=watched)
    started(run)
    assert seen == [(True, False)]
    assert run.keyboard.place == ("first run", "")


def test_that_the_demo_can_be_looked_at_instead_of_the_first_run(
    program: Open, small_shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run = started(program(tmp_path / "own.db", demo=f"sqlite:///{small_shop}"))
    assert run.keyboard.place == ("first run", "")
    closed: list[str] = []
    own = run.opened[0]
    close = own.close

    def watched() -> None:
        closed.append("own")
        close()

    monkeypatch.setattr(own, "close", watched)
    wait_until_ready(run, lambda: run.keyboard.press("Look at the demo shop"))
    assert run.keyboard.place == ("today", "")
    assert run.program.window.windowTitle() == run.rooms.setup.shop().name
    assert closed == ["own"]


def test_that_the_demo_is_opened_at_once_when_asked_for(
    program: Open, small_shop: Path, tmp_path: Path
) -> None:
    run = program(tmp_path / "own.db", demo=f"sqlite:///{small_shop}")
    wait_until_ready(run, lambda: run.program.start(demo=True))
    assert run.keyboard.place == ("today", "")
    assert not (tmp_path / "own.db").exists()


def test_that_what_is_half_typed_when_the_window_closes_is_there_again(
    program: Open, small_shop: Path
) -> None:
    first = started(program(small_shop))
    new_customer(first, "Odalys Br")
    first.program.window.close()
    second = started(program(small_shop))
    second.program.window.ways.go("customer", "new")
    second.keyboard.settle()
    screen = second.program.window.ways.screen
    assert isinstance(screen, CustomerScreen)
    assert screen.form.field("name").text() == "Odalys Br"


def test_that_a_fault_keeps_what_is_typed_and_the_program_goes_on(
    program: Open, small_shop: Path, caplog: pytest.LogCaptureFixture
) -> None:
    run = started(program(small_shop))
    screen = new_customer(run, "Odalys Br")
    assert kept_draft(run) == ""
    run.program.background.read(screen, "fault", lambda: 1 / 0, lambda _none: None)
    run.keyboard.settle()
    assert kept_draft(run) == "Odalys Br"
    assert run.ask.asked == [
        "Something went wrong in the program. What you typed is kept. The details are in the log."
    ]
    assert "ZeroDivisionError" in caplog.text
    run.keyboard.type("andt")
    run.keyboard.key("Ctrl+Return")
    assert [row.name for row in run.rooms.intake.customers(starts="odalys", most=5)] == ["Odalys Brandt"]


def test_that_the_pages_are_loaded_on_a_lane_once_the_first_is_in_sight(
    program: Open, small_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    loaded: dict[str, bool] = {}

    def load(name: str) -> ModuleType:
        loaded[name] = threading.current_thread() is threading.main_thread()
        return import_module(name)

    monkeypatch.setattr("shopdesk.ui.warming.import_module", load)
    run = started(program(small_shop))
    assert loaded["shopdesk.ui.screens.work_order.screen"] is False
    assert set(loaded.values()) == {False}
    assert gc.get_freeze_count() > 0
    run.program.window.close()
    assert gc.get_freeze_count() == 0


def test_that_a_shop_that_cannot_be_opened_is_told_and_the_frame_stays(program: Open, qtbot: QtBot) -> None:
    run = program()

    def refuse(_announce: Announce) -> Rooms:
        raise RuleBroken("That file is not a shop.", field="")

    run.program._given = replace(run.program._given, open_shop=refuse)
    run.program.start()
    qtbot.waitUntil(lambda: bool(run.ask.asked))
    assert run.ask.asked == ["That file is not a shop. Nothing at that place was changed."]
    assert run.program.window.isVisible()
    assert run.opened == []


def test_that_a_second_run_finds_what_the_first_kept(program: Open, small_shop: Path) -> None:
    first = started(program(small_shop))
    new_customer(first, "Odalys Brandt")
    first.keyboard.key("Ctrl+Return")
    assert first.keyboard.complaints() == []
    first.program.window.close()
    second = started(program(small_shop))
    assert [row.name for row in second.rooms.intake.customers(starts="odalys", most=5)] == ["Odalys Brandt"]
    assert kept_draft(second) == ""


def test_that_a_lot_is_found_among_everything_else_and_leads_to_where_it_went(
    program: Open, small_shop: Path, qtbot: QtBot
) -> None:
    run = started(program(small_shop))
    window = run.program.window
    with qtbot.waitSignal(window.ways.arrived):
        run.keyboard.key("Ctrl+K")
        run.keyboard.type("h6-22")
        run.keyboard.key("Return")
    run.keyboard.settle()
    assert run.keyboard.place == ("lots", "H6-2207")
