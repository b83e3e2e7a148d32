"""How long the window does not answer while the whole job is typed in by keyboard.

Run by hand: ``python -m tests.speed.bench_stalls``. A heart beats every millisecond on the window's thread;
what it is late by is a stall, told with the page, the key, and the line of the program that was at work.
Prints milliseconds and ratios to the beats of an empty window that is typed into; asserts nothing.
Goal: no stall above 100 ms, which is where a person begins to notice (common practice, no source).
"""

from __future__ import annotations

import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

from PySide6.QtCore import QEventLoop, QObject, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QMainWindow, QWidget

import tests.conftest  # noqa: F401 - a home of its own, and no screen, before any window
from tests.journeys.conftest import Run, end, program_on, wait_until_ready
from tests.journeys.counter_work import SHOP
from tests.journeys.test_first_call_to_sticker import save_and_print, work_through

_NOTHING_HELD = Qt.KeyboardModifier.NoModifier
_EVERY_MS = 1
_TOLD = 12
_LOOK_AFTER = 0.03
"""Seconds after which the watcher begins to look at what the window's thread is doing."""


@dataclass
class Stall:
    """One beat that came late: seconds, where, and what was at work."""

    late: float
    where: str
    lines: Counter[str] = field(default_factory=Counter)


class Heart(QObject):
    """Beats on the window's thread; a watcher on another thread looks at what holds it up."""

    def __init__(self, place: Callable[[], str]) -> None:
        super().__init__()
        self.stalls: list[Stall] = []
        self.doing = "start"
        self._place = place
        self._last = time.perf_counter()
        self._lines: Counter[str] = Counter()
        self._ended = threading.Event()
        self._timer = QTimer(self, interval=_EVERY_MS, timerType=Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._beat)
        self._timer.start()
        self._watcher = threading.Thread(target=self._watch, args=(threading.get_ident(),))
        self._watcher.start()

    def rest(self) -> None:
        """Begin anew: what went before was the test's own time."""
        self._last = time.perf_counter()
        self._lines.clear()

    def stop(self) -> None:
        """Beat no more."""
        self._timer.stop()
        self._ended.set()
        self._watcher.join()

    def _beat(self) -> None:
        now = time.perf_counter()
        where = f"{self._place()}: {self.doing}"
        self.stalls.append(Stall(now - self._last - _EVERY_MS / 1000, where, Counter(self._lines)))
        self.rest()

    def _watch(self, thread: int) -> None:
        while not self._ended.wait(0.005):
            frame = sys._current_frames().get(thread)
            if frame is not None and time.perf_counter() - self._last > _LOOK_AFTER:
                self._lines[_line_of(frame)] += 1


def _line_of(frame: FrameType | None) -> str:
    """Give the lines of the program that are at work, the innermost last."""
    found: list[str] = []
    while frame is not None and len(found) < 3:
        file = frame.f_code.co_filename
        if "shopdesk/" in file:
            found.append(f"{file.rpartition('shopdesk/')[2]}:{frame.f_lineno}")
        elif "importlib" in file and "import" not in found:
            found.append("import")
        frame = frame.f_back
    return " < ".join(found) or "Qt"


def pace(heart: Heart) -> Callable[[], None]:
    """Let the window's thread go round after every key, as it does when a person types. Gives the undoing."""
    click = QTest.keyClick

    def paced(part: QWidget, key: Qt.Key, held: Qt.KeyboardModifier = _NOTHING_HELD) -> None:
        heart.rest()
        heart.doing = f"{Qt.Key(key).name.removeprefix('Key_')}"
        click(part, key, held)
        _turn()

    def paced_text(part: QWidget, text: str) -> None:
        for letter in text:
            heart.rest()
            heart.doing = "a letter"
            letters(part, letter)
            _turn()

    letters = QTest.keyClicks
    setattr(QTest, "keyClick", paced)  # noqa: B010
    setattr(QTest, "keyClicks", paced_text)  # noqa: B010

    def undo() -> None:
        setattr(QTest, "keyClick", click)  # noqa: B010
        setattr(QTest, "keyClicks", letters)  # noqa: B010

    return undo


def _turn() -> None:
    """Let what is queued happen, until the heart has beaten."""
    loop = QEventLoop()
    QTimer.singleShot(2 * _EVERY_MS, loop.quit)
    loop.exec()


def of_the_job(application: QApplication, folder: Path) -> list[Stall]:
    """Do the whole job by keyboard."""
    run = program_on(application, str(folder / "shop.db"))
    heart = Heart(lambda: run.keyboard.place[0])
    undo = pace(heart)
    try:
        wait_until_ready(run, run.program.start)
        heart.doing = "first page"
        run.keyboard.type("Alder Driveline")
        run.keyboard.fill(SHOP)
        wait_until_ready(run, lambda: run.keyboard.key("Ctrl+Return"))
        work_through(run)
        save_and_print(run, folder)
        look_round(run)
    finally:
        heart.stop()
        undo()
        end(run)
    return heart.stalls


def look_round(run: Run) -> None:
    """Go to every page of the rail, twice: the first visit makes the page."""
    for _visit in range(2):
        for number in range(1, 8):
            run.keyboard.key(f"Ctrl+{number}")
        run.keyboard.key("Ctrl+,")


def of_an_empty_window() -> list[Stall]:
    """Type into a window with one line in it."""
    window, line = QMainWindow(), QLineEdit()
    window.setCentralWidget(line)
    window.resize(1280, 800)
    heart = Heart(lambda: "empty window")
    undo = pace(heart)
    window.show()
    window.activateWindow()
    for _round in range(20):
        QTest.keyClicks(line, "the whole job by keyboard")
    heart.stop()
    undo()
    window.close()
    return heart.stalls


def _share(stalls: list[Stall], share: float) -> float:
    ordered = sorted(stall.late for stall in stalls)
    return ordered[min(len(ordered) - 1, int(len(ordered) * share))] * 1000


def main() -> None:
    """Measure both and print what was late."""
    application = QApplication(sys.argv[:1])
    application.setStyle("Fusion")
    empty = of_an_empty_window()
    with tempfile.TemporaryDirectory() as folder:
        ours = of_the_job(application, Path(folder))
    for name, share in (("half", 0.5), ("99 of 100", 0.99), ("longest", 1.0)):
        one, other = _share(empty, share), _share(ours, share)
        print(f"{name:10} empty {one:7.2f} ms  ours {other:7.2f} ms  ratio {other / max(one, 0.01):.1f}")
    print(f"{sum(stall.late > 0.1 for stall in ours)} of {len(ours)} beats late by more than 100 ms")
    for stall in sorted(ours, key=lambda stall: -stall.late)[:_TOLD]:
        at_work = "; ".join(f"{line} ({times})" for line, times in stall.lines.most_common(3))
        print(f"{stall.late * 1000:7.1f} ms  {stall.where}\n            {at_work}")


if __name__ == "__main__":
    main()
