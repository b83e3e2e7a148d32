"""Type, lines and spacing of the papers. Black on white only: a cheap laser prints grey as dots."""

from dataclasses import dataclass
from gettext import gettext as _
from typing import Final

from shopdesk.documents.fonts import Face
from shopdesk.documents.stock import mm


@dataclass(frozen=True, kw_only=True, slots=True)
class Style:
    """A face at a size on a line height, in points."""

    size: float
    leading: float
    face: Face = Face.REGULAR

    @property
    def baseline(self) -> float:
        """From the top of the line to its baseline: capitals (0.698 of the size) stand in the middle."""
        return self.leading / 2 + self.size * 0.349


NOTE: Final = Style(size=7.5, leading=10)
LABEL: Final = Style(size=8, leading=11)
BODY: Final = Style(size=9.5, leading=13)
STRONG: Final = Style(size=9.5, leading=13, face=Face.STRONG)
SECTION: Final = Style(size=11, leading=15, face=Face.STRONG)
TOTAL: Final = Style(size=13, leading=20, face=Face.STRONG)
SHOP: Final = Style(size=15, leading=16, face=Face.STRONG)
TITLE: Final = Style(size=20, leading=26, face=Face.STRONG)

HAIR: Final = 0.4
LINE: Final = 0.8
HEAVY: Final = 1.6

SMALL_GAP: Final = 4.0
GAP: Final = 8.0
WIDE_GAP: Final = 14.0
SIDE_MARGIN: Final = mm(18)
TOP_MARGIN: Final = mm(14)
BOTTOM_MARGIN: Final = mm(11)


def deferral() -> str:
    """The sentence every paper carries."""
    return _(
        "These reminders do not replace the vehicle maker's service information, the product's safety data "
        "sheet, or the rules where you work. If they differ, follow those."
    )
