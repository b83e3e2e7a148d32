"""Cycles that may hold widgets are collected on the window's thread and nowhere else."""

import gc
import threading
import weakref
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot

from shopdesk.ui.background import Background
from shopdesk.ui.collecting import collect_due


class Knot:
    """Refers to itself, so that only the cyclic collection frees it."""

    def __init__(self) -> None:
        self.me = self


def _raise(error: BaseException) -> None:
    raise error


@pytest.fixture
def background(qtbot: QtBot) -> Iterator[Background]:
    """Lanes of their own."""
    background = Background(refused=_raise, bug=_raise, announce=lambda _: None)
    yield background
    background.close()


def test_that_no_lane_collects_cycles_whatever_it_makes(background: Background, qtbot: QtBot) -> None:
    freed_on: list[str] = []
    knot = Knot()
    weakref.finalize(knot, lambda: freed_on.append(threading.current_thread().name))
    del knot
    owner = QObject()
    with qtbot.waitSignal(background.idle):
        background.read(owner, "much", lambda: [Knot() for _ in range(50_000)], lambda _: None)
    assert freed_on == []
    gc.collect()
    assert freed_on == [threading.main_thread().name]


def test_that_what_has_become_due_is_collected_when_the_window_has_time(background: Background) -> None:
    assert not gc.isenabled()
    freed: list[bool] = []
    gc.collect()
    knot = Knot()
    weakref.finalize(knot, lambda: freed.append(True))
    del knot
    kept = [Knot() for _ in range(gc.get_threshold()[0] + 100)]
    collect_due()
    assert freed == [True]
    assert all(knot.me is knot for knot in kept)


def test_that_python_collects_again_once_the_lanes_have_ended(background: Background) -> None:
    background.close()
    assert gc.isenabled()
