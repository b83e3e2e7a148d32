"""The program in a window on an X screen, in a process of its own: first run, Today, and a clean end.

The screen is Xvfb's. Where that or a library of X is not installed the same journey runs without a screen,
and packaging/test.py has said by then which Debian package is missing.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import ModuleType

import pytest
from PySide6.QtGui import QColor, QImage

from shopdesk.launch import open_desk
from shopdesk.ui.theme.tokens import LIGHT
from tests.packaging.conftest import environment as environment

CLONE = Path(__file__).resolve().parents[2]


@contextmanager
def x_screen() -> Iterator[str]:
    """Run an X server with one screen on the first free display; gives the display's name."""
    out, into = os.pipe()
    command = ["Xvfb", "-displayfd", str(into), "-screen", "0", "1400x900x24", "-nolisten", "tcp"]
    server = subprocess.Popen(command, pass_fds=[into], stderr=subprocess.DEVNULL)
    os.close(into)
    try:
        with os.fdopen(out, encoding="ascii") as told:
            yield f":{told.readline().strip()}"
    finally:
        server.terminate()
        server.wait()


@pytest.fixture
def screen(environment: ModuleType) -> Iterator[dict[str, str]]:
    """What the environment must say for the program to find a screen, or to do without."""
    if environment.missing_for_screen():
        yield {"QT_QPA_PLATFORM": "offscreen"}
        return
    with x_screen() as display:
        yield {"QT_QPA_PLATFORM": "xcb", "DISPLAY": display}


def test_that_the_program_is_started_set_up_and_closed_on_a_screen(
    screen: dict[str, str], tmp_path: Path
) -> None:
    picture, database = tmp_path / "today.png", tmp_path / "shop.db"
    done = subprocess.run(
        [sys.executable, "-m", "tests.journeys.on_screen", str(picture)],
        cwd=CLONE,
        env={**os.environ, **screen, "SHOPDESK_DATABASE": str(database), "XDG_STATE_HOME": str(tmp_path)},
        capture_output=True,
        text=True,
        timeout=50,
        check=False,
    )
    platform = screen["QT_QPA_PLATFORM"]
    assert (done.returncode, done.stdout.splitlines()) == (
        0,
        [f"{platform}: first run", f"{platform}: today"],
    ), done.stderr
    assert_today(QImage(str(picture)))
    rooms = open_desk(str(database))
    assert rooms.setup.shop().name == "Alder Driveline"
    rooms.close()
    logs = "".join(log.read_text(encoding="utf-8") for log in tmp_path.rglob("*.log"))
    assert "ERROR" not in logs + done.stderr
    assert "WARNING" not in logs.replace("propagateSizeHints", "")


def assert_today(image: QImage) -> None:
    """The rail at the left and cards at the right, with words on both."""
    assert image.width() >= 1000
    colours = {image.pixelColor(x, y).name() for x in range(0, image.width(), 3) for y in range(0, 800, 3)}
    assert {QColor(colour).name() for colour in (LIGHT.rail, LIGHT.window, LIGHT.surface)} <= colours
    assert len(colours) > 50  # edges of letters
