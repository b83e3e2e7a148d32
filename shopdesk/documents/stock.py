"""Paper and label sizes, in PDF points (1/72 inch)."""

from dataclasses import dataclass, replace
from typing import Final

POINTS_PER_INCH: Final = 72.0
POINTS_PER_MM: Final = 72.0 / 25.4


def mm(length: float) -> float:
    """Millimetres in points."""
    return length * POINTS_PER_MM


@dataclass(frozen=True, kw_only=True, slots=True)
class PaperSize:
    """A sheet for estimates, invoices and the like. `name` is the key kept in settings; sides in points."""

    name: str
    width: float
    height: float


@dataclass(frozen=True, kw_only=True, slots=True)
class LabelSize:
    """One label of a roll: the page is exactly this large. Sides in points; `dpi` is the printer's
    resolution.

    Symbols are drawn in whole printer dots of `dpi`, so that no module is wider than its neighbour.
    """

    name: str
    width: float
    height: float
    dpi: int = 203

    def in_whole_dots(self) -> "LabelSize":
        """The label with sides of whole printer dots: at most half a dot off, 0.06 mm at 203 dpi."""
        dot = POINTS_PER_INCH / self.dpi
        return replace(self, width=round(self.width / dot) * dot, height=round(self.height / dot) * dot)


LETTER: Final = PaperSize(name="Letter", width=612.0, height=792.0)
A4: Final = PaperSize(name="A4", width=mm(210), height=mm(297))
PAPER_SIZES: Final = {size.name: size for size in (LETTER, A4)}

TWO_BY_TWO_INCH: Final = LabelSize(name="2x2 in", width=144.0, height=144.0)
FIFTY_MM: Final = LabelSize(name="50x50 mm", width=mm(50), height=mm(50))
SIXTY_TWO_BY_HUNDRED_MM: Final = LabelSize(name="62x100 mm", width=mm(100), height=mm(62))
LABEL_SIZES: Final = {size.name: size for size in (TWO_BY_TWO_INCH, FIFTY_MM, SIXTY_TWO_BY_HUNDRED_MM)}
