"""The typeface, read once for all papers."""

from pathlib import Path

import pytest

from shopdesk.documents.fonts import Fonts

FONT_FOLDER = Path(__file__).parents[2] / "resources" / "fonts"


@pytest.fixture(scope="session")
def fonts() -> Fonts:
    return Fonts(FONT_FOLDER)
