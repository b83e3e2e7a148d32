"""Plain text as a QR symbol (ISO/IEC 18004), in whole printer dots with its quiet zone."""

from dataclasses import dataclass
from gettext import gettext as _
from itertools import groupby
from math import ceil
from typing import Final

import segno

from shopdesk.documents.ink import Symbol
from shopdesk.documents.stock import POINTS_PER_INCH
from shopdesk.domain.errors import RuleBroken

QUIET_MODULES: Final = 4
PAPER_DPI: Final = 300
_MM_PER_INCH: Final = 25.4


@dataclass(frozen=True, kw_only=True, slots=True)
class QrMatrix:
    """A symbol without a place: its dark runs as (row, first column, modules), and modules per side."""

    side: int
    runs: tuple[tuple[int, int, int], ...]

    def outer(self, module: float) -> float:
        """Side with the quiet zone, in the unit of `module`."""
        return (self.side + 2 * QUIET_MODULES) * module

    def symbol(self, x: float, y: float, module: float) -> Symbol:
        """Ink with the top left corner of the quiet zone at x, y."""
        quiet = QUIET_MODULES * module
        return Symbol(x + quiet, y + quiet, module, self.runs)


def module_points(dpi: int, *, at_least_mm: float) -> float:
    """Side of one module in points: the fewest whole dots that reach `at_least_mm`."""
    dots = ceil(at_least_mm * dpi / _MM_PER_INCH)
    return dots * POINTS_PER_INCH / dpi


def qr_matrix(text: str) -> QrMatrix:
    """The symbol for a text, at recovery level M (15 %). Raises RuleBroken when no symbol holds it."""
    try:
        code = segno.make_qr(text, error="m", boost_error=False)
    except segno.DataOverflowError as error:
        sentence = _("The text for the square code is too long: {count} characters.").format(count=len(text))
        raise RuleBroken(sentence, "qr_text") from error
    rows = [[bool(module) for module in row] for row in code.matrix]
    return QrMatrix(side=len(rows), runs=tuple(run for at, row in enumerate(rows) for run in _runs(at, row)))


def _runs(at: int, row: list[bool]) -> list[tuple[int, int, int]]:
    runs, column = [], 0
    for dark, modules in groupby(row):
        count = len(list(modules))
        if dark:
            runs.append((at, column, count))
        column += count
    return runs
