"""What is typed is kept."""

from collections.abc import Iterator, Mapping

import pytest
from PySide6.QtCore import QObject, QTimer, Signal
from pytestqt.qtbot import QtBot
from shiboken6 import delete

from shopdesk.ui import drafts
from shopdesk.ui.background import Background
from shopdesk.ui.drafts import Drafts


class Memory:
    """A draft store without a database."""

    def __init__(self) -> None:
        self.kept: dict[tuple[str, str], dict[str, str]] = {}

    def load_draft(self, form: str, subject: str) -> Mapping[str, str] | None:
        return self.kept.get((form, subject))

    def save_draft(self, form: str, subject: str, texts: Mapping[str, str]) -> None:
        self.kept[form, subject] = dict(texts)

    def drop_draft(self, form: str, subject: str) -> None:
        self.kept.pop((form, subject), None)


class Typed(QObject):
    """A form reduced to one text."""

    edited = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.text = ""
        self.touched = False

    def type(self, text: str) -> None:
        self.text, self.touched = text, True
        self.edited.emit()

    def texts(self) -> dict[str, str]:
        return {"text": self.text}

    def restore(self, texts: Mapping[str, str]) -> None:
        self.type(texts["text"])


@pytest.fixture
def background(qapp: object) -> Iterator[Background]:
    background = Background(refused=pytest.fail, bug=pytest.fail, announce=pytest.fail)
    yield background
    background.close()


def test_that_a_draft_is_kept_after_the_last_key_and_put_back(
    background: Background, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(drafts, "WAIT_MS", 1)
    store, form, owner = Memory(), Typed(), QObject()
    keeper = Drafts(background, store).keep(form, "customer", "new", owner)
    form.type("Le")
    with qtbot.waitSignal(keeper.kept):
        form.type("Lee")
    assert store.kept == {("customer", "new"): {"text": "Lee"}}
    again = Typed()
    with qtbot.waitSignal(Drafts(background, store).keep(again, "customer", "new", owner).restored):
        pass
    assert again.text == "Lee"


def test_that_an_old_draft_never_overwrites_what_is_being_typed(background: Background, qtbot: QtBot) -> None:
    store, form, owner = Memory(), Typed(), QObject()
    store.save_draft("customer", "new", {"text": "old"})
    with qtbot.waitSignal(background.idle):
        Drafts(background, store).keep(form, "customer", "new", owner)
        form.type("fresh")
    assert form.text == "fresh"


def test_that_waiting_drafts_are_kept_at_once_when_asked(background: Background, qtbot: QtBot) -> None:
    store, form, owner = Memory(), Typed(), QObject()
    all_drafts = Drafts(background, store)
    all_drafts.keep(form, "customer", "new", owner)
    form.type("Lee")
    all_drafts.keep_all()
    background.close()
    assert store.kept == {("customer", "new"): {"text": "Lee"}}


def test_that_a_saved_form_leaves_no_draft(background: Background, qtbot: QtBot) -> None:
    store, form, owner = Memory(), Typed(), QObject()
    keeper = Drafts(background, store).keep(form, "customer", "new", owner)
    with qtbot.waitSignal(background.idle):
        form.type("Lee")
        keeper.flush()
        keeper.forget()
    assert store.kept == {}


def test_that_a_form_that_is_gone_leaves_nothing_waiting(background: Background, qtbot: QtBot) -> None:
    store, form, owner = Memory(), Typed(), QObject()
    store.save_draft("customer", "new", {"text": "old"})
    all_drafts = Drafts(background, store)
    keeper = all_drafts.keep(form, "customer", "new", owner)
    form.type("Lee")
    delete(form)
    waiting = keeper.findChild(QTimer)
    assert isinstance(waiting, QTimer)
    assert not waiting.isActive()
    all_drafts.keep_all()
    with qtbot.waitSignal(background.idle):
        pass  # the draft that was asked for comes, and there is nothing to put it into
    assert store.kept == {("customer", "new"): {"text": "old"}}
