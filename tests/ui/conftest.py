"""One application for all window tests: no screen, the bundled type, no motion; a Qt warning fails."""

import os
import shutil
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

os.environ["QT_QPA_PLATFORM"] = "offscreen"
os.environ["QT_SCALE_FACTOR"] = "1"

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from shopdesk.ui.theme.fonts import load_family
from shopdesk.ui.theme.icons import Icons
from shopdesk.ui.theme.look import Look, LookChoice, Shade
from tests.ui.shop_window import make_shop

RESOURCES = Path(__file__).parents[2] / "resources"


@pytest.fixture(scope="session")
def _drawn_by_fusion(qapp: QApplication) -> QApplication:
    qapp.setStyle("Fusion")
    qapp.setCursorFlashTime(0)
    return qapp


@pytest.fixture(scope="session")
def _family(_drawn_by_fusion: QApplication) -> str:
    return load_family(RESOURCES / "fonts")


@pytest.fixture
def look(_drawn_by_fusion: QApplication, _family: str) -> Iterator[Look]:
    """The light look at 100 % without motion."""
    choice = LookChoice(shade=Shade.LIGHT, less_motion=True)
    look = Look(_drawn_by_fusion, Icons(RESOURCES / "icons"), _family, choice)
    yield look
    look.deleteLater()


@pytest.fixture(autouse=True)
def _nothing_is_left_behind(qapp: QApplication) -> Iterator[None]:
    """Windows closed in a test are gone after it, and so are its threads."""
    before = set(threading.enumerate())
    yield
    for window in QApplication.topLevelWidgets():
        window.close()
        window.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    left = [thread.name for thread in set(threading.enumerate()) - before]
    assert not left, f"threads left behind: {left}"


@pytest.fixture
def shown(qtbot: QtBot) -> Callable[..., QWidget]:
    """Show a widget at a size and give it the keyboard."""

    def show(widget: QWidget, width: int = 900, height: int = 600) -> QWidget:
        qtbot.addWidget(widget)
        widget.resize(width, height)
        widget.show()
        widget.activateWindow()
        qtbot.waitUntil(widget.isActiveWindow)
        return widget

    return show


@pytest.fixture(scope="session")
def _small_shop(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("shop") / "shop.db"
    make_shop(sqlite_template, file)
    return file


@pytest.fixture
def small_shop(_small_shop: Path, tmp_path: Path) -> Path:
    """A fresh copy of the small shop's database, to be opened by ``shop_in_window``."""
    return Path(shutil.copyfile(_small_shop, tmp_path / "shop.db"))
