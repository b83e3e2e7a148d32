"""The Qt binding that everything stands on."""

from __future__ import annotations

import sys
from collections.abc import Callable

import PySide6
import pytest
from PySide6.QtCore import QObject, QThread, QTimer
from PySide6.QtGui import QPainterPath
from PySide6.QtWidgets import QLabel

from tests.left_running import running_in_qt

CALLS = 300


def test_that_the_binding_is_of_the_sound_series() -> None:
    # 6.12.0 on Python 3.11 ends the process in none_dealloc after about 5,000 calls without a result
    # (found by running it, November 2026); 6.11 is sound on 3.11, 3.12 and 3.13.
    assert PySide6.__version__.startswith("6.11.")


@pytest.mark.parametrize(
    "call",
    [
        pytest.param(lambda: QObject().setObjectName("glass"), id="QObject"),
        pytest.param(lambda: QPainterPath().moveTo(1.0, 2.0), id="QPainterPath"),
        pytest.param(lambda: QLabel().setText("97 °F"), id="QLabel"),
    ],
)
@pytest.mark.usefixtures("qapp")
def test_that_calls_without_a_result_leave_the_count_of_none_alone(call: Callable[[], None]) -> None:
    call()
    before = sys.getrefcount(None)
    for _ in range(CALLS):
        call()
    # From Python 3.12 on None is not counted and the change is always 0.
    assert abs(sys.getrefcount(None) - before) < 10


@pytest.mark.usefixtures("qapp")
def test_that_a_forgotten_timer_is_found() -> None:
    timer = QTimer()
    timer.setObjectName("forgotten")
    timer.start(60_000)
    found = running_in_qt()
    timer.stop()
    assert found == ["QTimer 'forgotten'"]
    assert running_in_qt() == []


@pytest.mark.usefixtures("qapp")
def test_that_a_forgotten_thread_is_found() -> None:
    thread = QThread()
    thread.setObjectName("forgotten")
    thread.start()
    found = running_in_qt()
    thread.quit()
    thread.wait()
    assert found == ["QThread 'forgotten'"]
    assert running_in_qt() == []
