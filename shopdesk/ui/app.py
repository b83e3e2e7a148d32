"""The application itself: style, type, icons, look."""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtWidgets import QApplication

from shopdesk.ui.theme.fonts import load_family
from shopdesk.ui.theme.icons import Icons
from shopdesk.ui.theme.look import Look, LookChoice


def make_application(argv: Sequence[str], name: str) -> QApplication:
    """Return the one QApplication, drawn by Fusion so that it looks the same everywhere."""
    app = QApplication(list(argv))
    app.setApplicationName(name)
    app.setDesktopFileName(name)
    app.setStyle("Fusion")
    return app


def make_look(app: QApplication, resources: Path, choice: LookChoice) -> Look:
    """Load type and icons from ``resources`` and put the look in force."""
    return Look(app, Icons(resources / "icons"), load_family(resources / "fonts"), choice)
