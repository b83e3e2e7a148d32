"""Who hears of a change, and for how long."""

import importlib
import pkgutil

import pytest
from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot

import shopdesk.persistence.tables
from shopdesk.persistence.tables.base import metadata
from shopdesk.ui.announcer import TOPIC_OF
from shopdesk.ui.background import Background
from shopdesk.ui.changes import ALL_TOPICS, Bus, Topic, Watch


def test_that_only_those_who_listen_to_a_topic_hear_of_it(qapp: object) -> None:
    bus, stock, money, heard = Bus(), QObject(), QObject(), []
    bus.listen(stock, (Topic.STOCK, Topic.SERVICE), lambda: heard.append("stock"))
    bus.listen(money, (Topic.MONEY,), lambda: heard.append("money"))
    bus.announce((Topic.STOCK, Topic.SERVICE))
    assert heard == ["stock"]


def test_that_a_closed_screen_hears_no_more(qtbot: QtBot) -> None:
    bus, screen, heard = Bus(), QObject(), []
    bus.listen(screen, ALL_TOPICS, lambda: heard.append("screen"))
    screen.deleteLater()
    with qtbot.waitSignal(screen.destroyed):
        pass
    bus.announce((Topic.WORK,))
    assert heard == []


def test_that_a_change_by_another_program_is_announced_once(qtbot: QtBot) -> None:
    bus, screen, heard, marks = Bus(), QObject(), [], [7, 7, 8, 8]
    bus.listen(screen, (Topic.DUE,), lambda: heard.append("due"))
    background = Background(refused=pytest.fail, bug=pytest.fail, announce=bus.announce)
    watch = Watch(background, bus, lambda: marks.pop(0))
    for _turn in range(4):
        with qtbot.waitSignal(background.idle):
            watch.look()
    watch.stop()
    background.close()
    assert heard == ["due"]


#: Written by no command as a fact of the shop, but beside it.
BESIDE = {"chain", "change_mark", "draft", "find_doc", "find_token", "number_series", "request"}


def test_that_a_change_of_any_table_has_its_topic() -> None:
    for module in pkgutil.iter_modules(shopdesk.persistence.tables.__path__):
        importlib.import_module(f"shopdesk.persistence.tables.{module.name}")
    assert set(metadata.tables) - BESIDE == set(TOPIC_OF)
