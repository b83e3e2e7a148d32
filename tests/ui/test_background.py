"""The three lanes: order, replacement, closed screens, refusals against bugs, and their end."""

import threading
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.background import Background


class Heard:
    """Collects what a background tells."""

    def __init__(self) -> None:
        self.refused: list[str] = []
        self.bugs: list[BaseException] = []
        self.announced: list[set[str]] = []

    def background(self) -> Background:
        return Background(
            refused=lambda error: self.refused.append(error.sentence),
            bug=self.bugs.append,
            announce=lambda topics: self.announced.append(set(topics)),
        )


@pytest.fixture
def heard() -> Heard:
    return Heard()


@pytest.fixture
def background(heard: Heard, qapp: object) -> Iterator[Background]:
    background = heard.background()
    yield background
    background.close()


def refuse() -> None:
    raise RuleBroken("Not so.", "plate")


def fail() -> None:
    raise ZeroDivisionError("a bug")


def test_that_an_answer_comes_on_the_window_thread(background: Background, qtbot: QtBot) -> None:
    owner, seen = QObject(), []
    with qtbot.waitSignal(background.idle):
        background.read(
            owner,
            "who",
            threading.get_ident,
            lambda worker: seen.append((worker, threading.get_ident())),
        )
    ((worker, receiver),) = seen
    assert receiver == threading.get_ident()
    assert worker != receiver


def test_that_a_newer_question_drops_the_older(background: Background, qtbot: QtBot) -> None:
    owner, answers, gate = QObject(), [], threading.Event()
    done: list[str] = []

    def find(text: str) -> str:
        gate.wait()
        done.append(text)
        return text

    with qtbot.waitSignal(background.idle):
        for text in ("k", "kt", "kt4"):
            background.read(owner, "find", lambda text=text: find(text), answers.append)
        gate.set()
    assert answers == ["kt4"]
    assert "kt" not in done


def test_that_questions_of_two_screens_do_not_replace_each_other(
    background: Background, qtbot: QtBot
) -> None:
    one, other, answers = QObject(), QObject(), []
    with qtbot.waitSignal(background.idle):
        background.read(one, "page", lambda: "one", answers.append)
        background.read(other, "page", lambda: "other", answers.append)
    assert answers == ["one", "other"]


def test_that_a_late_answer_to_a_closed_screen_is_dropped(background: Background, qtbot: QtBot) -> None:
    owner, answers, gate = QObject(), [], threading.Event()
    with qtbot.waitSignal(background.idle):
        background.read(owner, "page", gate.wait, answers.append)
        owner.deleteLater()
        with qtbot.waitSignal(owner.destroyed):
            pass
        gate.set()
    assert answers == []


def test_that_a_refusal_goes_to_the_one_who_asked(background: Background, heard: Heard, qtbot: QtBot) -> None:
    owner, mine = QObject(), []
    with qtbot.waitSignal(background.idle):
        background.write(owner, refuse, lambda _none: None, lambda error: mine.append(error.field))
        background.write(owner, refuse, lambda _none: None)
    assert mine == ["plate"]
    assert heard.refused == ["Not so."]
    assert heard.bugs == []


def test_that_a_bug_goes_to_the_crash_handler(background: Background, heard: Heard, qtbot: QtBot) -> None:
    owner, answers = QObject(), []
    with qtbot.waitSignal(background.idle):
        background.read(owner, "page", fail, answers.append, lambda error: answers.append(error.sentence))
    assert answers == []
    assert [type(error) for error in heard.bugs] == [ZeroDivisionError]


def test_that_every_write_is_done_in_order_and_announced_even_for_a_closed_screen(
    background: Background, heard: Heard, qtbot: QtBot
) -> None:
    owner, kept, gate = QObject(), [], threading.Event()
    with qtbot.waitSignal(background.idle):
        background.write(owner, gate.wait, lambda _none: None)
        for number in range(5):
            background.write(
                owner, lambda number=number: kept.append(number), lambda _none: None, changes=("work",)
            )
        owner.deleteLater()
        with qtbot.waitSignal(owner.destroyed):
            pass
        gate.set()
    assert kept == [0, 1, 2, 3, 4]
    assert heard.announced == [{"work"}] * 5


def test_that_a_refused_write_announces_nothing(background: Background, heard: Heard, qtbot: QtBot) -> None:
    owner = QObject()
    with qtbot.waitSignal(background.idle):
        background.write(owner, refuse, lambda _none: None, changes=("work",))
    assert heard.announced == []


def test_that_closing_finishes_the_writes_and_ends_the_threads(heard: Heard, qapp: object) -> None:
    background, owner, kept = heard.background(), QObject(), []
    for number in range(20):
        background.write(owner, lambda number=number: kept.append(number), lambda _none: None)
    background.write(owner, fail, lambda _none: None)
    background.close()
    assert kept == list(range(20))
    assert len(heard.bugs) == 1
    assert not [t for t in threading.enumerate() if t.name.startswith("shopdesk-")]
    with pytest.raises(RuntimeError):
        background.read(owner, "late", lambda: 1, kept.append)


def test_that_closing_asks_nothing_more_but_keeps_what_the_last_answers_bring_about(
    heard: Heard, qapp: object
) -> None:
    background, owner = heard.background(), QObject()
    kept: list[str] = []

    def forget_the_draft(_none: object) -> None:
        background.read(owner, "again", lambda: kept.append("read"), kept.append)
        background.paper(owner, "page", lambda: kept.append("paper"), kept.append)
        background.write(owner, lambda: kept.append("draft forgotten"), lambda _none: None)

    background.read(owner, "page", lambda: "page", kept.append)
    background.write(owner, lambda: kept.append("saved"), forget_the_draft, changes=("work",))
    background.close()
    assert kept == ["saved", "draft forgotten"]
    assert heard.announced == [{"work"}]
    assert heard.bugs == []
    with pytest.raises(RuntimeError):
        background.write(owner, lambda: None, lambda _none: None)
