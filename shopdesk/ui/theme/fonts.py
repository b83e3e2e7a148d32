"""The type that comes with the program."""

import logging
from pathlib import Path

from PySide6.QtGui import QFont, QFontDatabase

log = logging.getLogger(__name__)

FAMILY = "IBM Plex Sans"


def load_family(folder: Path) -> str:
    """Load every TrueType file of ``folder`` and return the family to use.

    Without the bundled type the window still opens, in the system's own face: that is worth a line
    in the log, not a refusal.
    """
    loaded: set[str] = set()
    for path in sorted(folder.glob("*.ttf")):
        number = QFontDatabase.addApplicationFont(str(path))
        loaded.update(QFontDatabase.applicationFontFamilies(number) if number >= 0 else [])
    if FAMILY in loaded:
        return FAMILY
    log.warning("The type %s is not in %s; the system's own type is used.", FAMILY, folder.name)
    return QFontDatabase.systemFont(QFontDatabase.SystemFont.GeneralFont).family()


def font_of(family: str, points: float, *, strong: bool = False) -> QFont:
    """Return the face at ``points``, with figures of one width so that columns line up."""
    font = QFont(family)
    font.setPointSizeF(points)
    font.setWeight(QFont.Weight.DemiBold if strong else QFont.Weight.Normal)
    font.setFeature(QFont.Tag("tnum"), 1)
    return font
