"""The bundled drawings: those used, no more, in the colour asked for."""

import re
from pathlib import Path

import pytest
from PySide6.QtCore import QSize

from shopdesk.ui.theme import icons
from shopdesk.ui.theme.look import Look

UI = Path(icons.__file__).parents[1]
DRAWINGS = sorted(path.stem for path in (UI.parents[1] / "resources" / "icons").glob("*.svg"))


@pytest.mark.parametrize("name", DRAWINGS)
def test_that_every_icon_kept_is_used(name: str) -> None:
    written = re.compile(rf'"{re.escape(name)}"')
    assert any(written.search(path.read_text(encoding="utf-8")) for path in UI.rglob("*.py"))


@pytest.mark.parametrize("name", DRAWINGS)
def test_that_every_icon_is_drawn_in_the_colour_of_its_token(look: Look, name: str) -> None:
    picture = look.icon(name, "accent", 40).pixmap(QSize(40, 40)).toImage()
    pixels = [picture.pixelColor(x, y) for x in range(picture.width()) for y in range(picture.height())]
    solid = {pixel.name() for pixel in pixels if pixel.alpha() == 255}
    assert solid == {look.colour("accent").name()}


def test_that_the_licence_stands_beside_them() -> None:
    licence = (UI.parents[1] / "resources" / "icons" / "LICENSE").read_text(encoding="utf-8")
    assert licence.startswith("ISC License")
