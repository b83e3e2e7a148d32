"""Questions, and what happens when the program is at fault."""

import logging
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTimer, qWarning
from PySide6.QtWidgets import QLabel, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from shopdesk.ui.ask import Question, WindowAsk
from shopdesk.ui.crash import CrashHandler
from shopdesk.ui.scripted_ask import ScriptedAsk
from shopdesk.ui.theme.look import Look


@pytest.fixture
def window(shown: Callable[[QWidget], QWidget]) -> QWidget:
    return shown(QWidget())


def test_that_the_verb_is_on_the_button_and_does_the_deed(look: Look, window: QWidget, qtbot: QtBot) -> None:
    done: list[str] = []
    WindowAsk(look, window).confirm("Void invoice 12?", "Void it", lambda: done.append("void"))
    (question,) = window.findChildren(Question)
    verb = next(b for b in question.findChildren(QPushButton) if b.text() == "Void it")
    qtbot.keyClick(verb, Qt.Key.Key_Return)
    assert done == ["void"]


def test_that_a_question_put_aside_does_nothing(look: Look, window: QWidget, qtbot: QtBot) -> None:
    done: list[str] = []
    WindowAsk(look, window).confirm("Void invoice 12?", "Void it", lambda: done.append("void"))
    (question,) = window.findChildren(Question)
    qtbot.keyClick(question, Qt.Key.Key_Escape)
    assert done == []
    assert not question.isVisible()


def test_that_markup_in_a_question_stays_plain(look: Look, window: QWidget) -> None:
    WindowAsk(look, window).say("Customer <b>Lee</b> & <img src=x>", "<i>really</i>")
    (question,) = window.findChildren(Question)
    labels = question.findChildren(QLabel)
    assert [label.textFormat() for label in labels] == [Qt.TextFormat.PlainText] * 2
    assert labels[0].text() == "Customer <b>Lee</b> & <img src=x>"


def test_that_a_scripted_ask_answers_in_order_and_remembers() -> None:
    ask, got = ScriptedAsk(["yes", None, "b", "/tmp/x.pdf"]), []
    ask.confirm("Sure?", "Go", lambda: got.append("went"))
    ask.confirm("Sure?", "Go", lambda: got.append("never"))
    ask.choose("Which?", [("a", "A"), ("b", "B")], got.append)
    ask.save_file("Save", "x.pdf", "PDF (*.pdf)", got.append)
    assert got == ["went", "b", Path("/tmp/x.pdf")]
    assert ask.asked[2] == "Which? [A / B]"
    with pytest.raises(IndexError):
        ask.confirm("Once more?", "Go", lambda: None)


@pytest.fixture
def said() -> list[str]:
    return []


@pytest.fixture
def handler(said: list[str], qapp: object) -> CrashHandler:
    return CrashHandler("shopdesk.log", lambda: said.append("kept"), said.append)


def a_fault() -> ZeroDivisionError:
    try:
        return ZeroDivisionError(str(1 / 0))
    except ZeroDivisionError as error:
        return error


def test_that_a_fault_is_logged_every_time_and_told_once(
    handler: CrashHandler, said: list[str], caplog: pytest.LogCaptureFixture
) -> None:
    fault = a_fault()
    handler.handle(fault)
    handler.handle(fault)
    assert len([r for r in caplog.records if r.exc_info and r.exc_info[1] is fault]) == 2
    assert [text for text in said if text != "kept"] == [
        "Something went wrong in the program. What you typed is kept. The details are in shopdesk.log."
    ]
    assert said[0] == "kept"


def test_that_the_person_is_told_even_if_keeping_fails(
    said: list[str], caplog: pytest.LogCaptureFixture, qapp: object
) -> None:
    def cannot() -> None:
        raise OSError("disk full")

    CrashHandler("shopdesk.log", cannot, said.append).handle(a_fault())
    assert len(said) == 1
    assert "could not be kept" in caplog.text


def test_that_uncaught_faults_of_all_threads_arrive_and_the_hooks_go_back(
    handler: CrashHandler, said: list[str], qtbot: QtBot, caplog: pytest.LogCaptureFixture
) -> None:
    before = (sys.excepthook, threading.excepthook)
    handler.install()
    try:
        thread = threading.Thread(target=lambda: 1 / 0)
        thread.start()
        thread.join()
        qtbot.waitUntil(lambda: bool(said))
        sys.excepthook(ZeroDivisionError, a_fault(), None)
    finally:
        handler.remove()
    assert (sys.excepthook, threading.excepthook) == before
    assert len([text for text in said if text != "kept"]) == 2


def test_that_a_message_of_qt_reaches_the_log(
    handler: CrashHandler, caplog: pytest.LogCaptureFixture, qtbot: QtBot
) -> None:
    handler.install()
    try:
        qWarning("something Qt says")
    finally:
        handler.remove()
    assert ("qt", logging.WARNING, "something Qt says") in caplog.record_tuples
    assert not QTimer().isActive()
