"""The program as it is started, with a shop of the test's own and nothing of this machine's."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QEventLoop
from PySide6.QtWidgets import QApplication

from shopdesk.launch import open_desk
from shopdesk.services.acting import Clock
from shopdesk.services.desk import Desk as Rooms
from shopdesk.ui.program import Announce, Program, Surroundings
from shopdesk.ui.scripted_ask import ScriptedAsk
from shopdesk.ui.theme.look import LookChoice, Shade
from tests.journeys.keyboard import Keyboard

RESOURCES = Path(__file__).parents[2] / "resources"


@dataclass
class FakePrinting:
    """Two printers that keep what they are given."""

    printed: list[tuple[str, bytes]] = field(default_factory=list)

    def printers(self) -> tuple[str, ...]:
        return ("Counter laser", "Label roll")

    def print_pdf(self, data: bytes, printer: str) -> None:
        self.printed.append((printer, data))


@dataclass
class Run:
    """The program while it runs, and the hands at its keyboard."""

    program: Program
    ask: ScriptedAsk
    printing: FakePrinting
    keyboard: Keyboard
    opened: list[Rooms]

    @property
    def rooms(self) -> Rooms:
        """The shop that is open now."""
        return self.opened[-1]


Start = Callable[..., Run]


@pytest.fixture
def start(qapp: QApplication, caplog: pytest.LogCaptureFixture) -> Iterator[Start]:
    """Start the program on the shop at an address, which need not be there yet."""
    qapp.setStyle("Fusion")
    qapp.setCursorFlashTime(0)
    runs: list[Run] = []

    def begin(address: str, *, clock: Clock | None = None) -> Run:
        runs.append(program_on(qapp, address, clock))
        wait_until_ready(runs[-1], runs[-1].program.start)
        return runs[-1]

    yield begin
    for run in runs:
        end(run)
    faults = [record.getMessage() for record in caplog.records if record.levelno >= logging.ERROR]
    assert not faults


def program_on(qapp: QApplication, address: str, clock: Clock | None = None, *, demo: str = "") -> Run:
    """Make the program for the shop at an address, with the demo shop at another; it is not started yet."""
    ask, printing, opened = ScriptedAsk(), FakePrinting(), list[Rooms]()

    def opens(place: str) -> Callable[[Announce], Rooms]:
        def open_shop(announce: Announce) -> Rooms:
            opened.append(open_desk(place, clock=clock, announce=announce))
            return opened[-1]

        return open_shop

    given = Surroundings(
        open_shop=opens(address),
        open_demo=opens(demo or address),
        resources=RESOURCES,
        log_place="the log",
        choice=LookChoice(shade=Shade.LIGHT, less_motion=True),
        keep_choice=lambda _choice: None,
        printing=printing,
        ask=lambda _window: ask,
    )
    program = Program(qapp, given)
    return Run(program, ask, printing, Keyboard(program.window, program.background), opened)


def end(run: Run) -> None:
    """Close the window as a person does, and let go of what is left of the program."""
    run.program.window.close()
    run.program.window.deleteLater()
    run.program.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)


def wait_until_ready(run: Run, deed: Callable[[], None]) -> None:
    """Do something that opens a shop, and wait until its first page is in sight."""
    loop, came = QEventLoop(), list[bool]()
    run.program.ready.connect(lambda: came.append(True))
    run.program.ready.connect(loop.quit)
    deed()
    if not came:
        loop.exec()
    run.keyboard.settle()
