"""The next-due sticker: two big numbers, and nothing that names a person."""

from collections.abc import Sequence
from dataclasses import dataclass
from gettext import gettext as _
from typing import Final

from shopdesk.documents.fonts import Face, Fonts
from shopdesk.documents.ink import Ink, Rule, Text
from shopdesk.documents.page import PaperName, write_pages
from shopdesk.documents.parts import Band, wrap
from shopdesk.documents.qr import QrMatrix, module_points, qr_matrix
from shopdesk.documents.stock import POINTS_PER_INCH, LabelSize, PaperSize, mm
from shopdesk.documents.theme import HAIR, Style, deferral
from shopdesk.domain.errors import RuleBroken

MARGIN: Final = mm(1.5)
LEAST_CAPITALS: Final = mm(5)
LEAST_MODULE_MM: Final = 0.33
_CAPITALS_PER_SIZE: Final = 0.698
_BIG_LEAST: Final = LEAST_CAPITALS / _CAPITALS_PER_SIZE + 0.05
_BIG_SHARE: Final = 0.74
_UNIT_SHARE: Final = 0.6
_CUT_MARK: Final = mm(3)
_CUT_GAP: Final = mm(1)
_SHEET_GAP: Final = mm(8)


@dataclass(frozen=True, kw_only=True, slots=True)
class StickerPaper:
    """`due_date` has its month in letters ("04 MAR 2027"); `due_odometer` the digits, `odometer_unit` "mi"
    or "km".

    With neither of the two, `instead` is printed large ("INSPECT"). There is no field for a person, plate
    or VIN.
    """

    shop_name: str
    phone: str
    item: str
    done_on: str
    done_odometer: str = ""
    due_date: str = ""
    due_odometer: str = ""
    odometer_unit: str = ""
    instead: str = ""
    qr_text: str = ""


def render_sticker(paper: StickerPaper, *, label: LabelSize, fonts: Fonts) -> bytes:
    """One label of a roll as a PDF page of its size. RuleBroken names the field that does not fit."""
    label = label.in_whole_dots()
    band = Band(label.height, tuple(_Label(paper, label, fonts).ink()))
    name = PaperName(shop=paper.shop_name, title=_("Next due"))
    return write_pages([[(0.0, band)]], width=label.width, height=label.height, name=name)


def sheet_places(size: PaperSize, label: LabelSize) -> int:
    """How many labels a sheet holds."""
    columns, rows = _grid(size, label)
    return columns * rows


def render_sticker_sheet(
    papers: Sequence[StickerPaper], *, size: PaperSize, label: LabelSize, fonts: Fonts, start: int = 1
) -> bytes:
    """Labels with cut marks on sheets of paper, from place `start` (1 is the top left) on the first sheet."""
    places = sheet_places(size, label)
    if not 1 <= start <= places:
        sentence = _("The sheet has places 1 to {places}; it cannot start at {start}.")
        raise RuleBroken(sentence.format(places=places, start=start), "start")
    columns, rows = _grid(size, label)
    left = (size.width - columns * (label.width + _SHEET_GAP) + _SHEET_GAP) / 2
    top = (size.height - rows * (label.height + _SHEET_GAP) + _SHEET_GAP) / 2
    pages: list[list[tuple[float, Band]]] = []
    for at, paper in enumerate(papers, start=start - 1):
        if at % places == 0 or not pages:
            pages.append([])
        row, column = divmod(at % places, columns)
        x = left + column * (label.width + _SHEET_GAP)
        ink = (*_Label(paper, label, fonts, x=x).ink(), *_cut_marks(x, label))
        pages[-1].append((top + row * (label.height + _SHEET_GAP), Band(label.height, ink)))
    shop = papers[0].shop_name if papers else ""
    name = PaperName(shop=shop, title=_("Next due"))
    return write_pages(pages or [[]], width=size.width, height=size.height, name=name)


def _grid(size: PaperSize, label: LabelSize) -> tuple[int, int]:
    edge = 2 * (_CUT_MARK + _CUT_GAP + mm(4))
    columns = int((size.width - edge + _SHEET_GAP) // (label.width + _SHEET_GAP))
    rows = int((size.height - edge + _SHEET_GAP) // (label.height + _SHEET_GAP))
    return columns, rows


def _cut_marks(x: float, label: LabelSize) -> list[Ink]:
    """Two short lines at each corner, outside the label."""
    marks: list[Ink] = []
    near, far = _CUT_GAP, _CUT_GAP + _CUT_MARK
    for edge_x, way_x in ((x, -1), (x + label.width, 1)):
        for edge_y, way_y in ((0.0, -1), (label.height, 1)):
            marks.append(Rule(edge_x + way_x * near, edge_y, edge_x + way_x * far, edge_y, HAIR))
            marks.append(Rule(edge_x, edge_y + way_y * near, edge_x, edge_y + way_y * far, HAIR))
    return marks


class _Label:
    """One sticker laid out from the top of its label: item, big numbers, small print, symbol."""

    def __init__(self, paper: StickerPaper, label: LabelSize, fonts: Fonts, x: float = 0.0) -> None:
        self._paper = paper
        self._label = label
        self._fonts = fonts
        self._left = x + MARGIN
        self._width = label.width - 2 * MARGIN
        self._scale = min(label.width, label.height) / 144.0
        self._ink: list[Ink] = []

    def ink(self) -> list[Ink]:
        """Everything on the label; y counts from its top."""
        bottom = self._deferral(self._label.height - MARGIN)
        bottom = self._small_print(bottom)
        line = 8.0 * self._scale
        self._block("", _("Next due"), MARGIN, line, largest=7)
        self._block("item", self._paper.item, MARGIN + line, 1.3 * line, face=Face.STRONG, largest=9.5)
        self._numbers(MARGIN + 2.3 * line, bottom)
        return self._ink

    def _numbers(self, top: float, bottom: float) -> None:
        """The two numbers, or the only one, or what to do instead; all the height that is left is theirs."""
        numbers = [
            (field, self._fonts.printable(number), self._fonts.printable(unit))
            for field, number, unit in (
                ("due_date", self._paper.due_date, ""),
                ("due_odometer", self._paper.due_odometer, self._paper.odometer_unit),
            )
            if number
        ]
        words = _("whichever comes first") if len(numbers) == 2 else ""
        words_height = 8.5 * self._scale if words else 0.0
        share = (bottom - top - words_height) / max(len(numbers), 1)
        size = min((self._size_of(*number, share) for number in numbers), default=0.0)
        for _field, number, unit in numbers:
            self._big(number, unit, size, top + share / 2)
            top += share
        if not numbers:
            self._instead(top, share)
        self._block("", words, top, words_height, largest=8)

    def _instead(self, top: float, height: float) -> None:
        text = self._paper.instead or _("INSPECT")
        self._block("instead", text, top, height, face=Face.STRONG, largest=_BIG_LEAST / self._scale)

    def _size_of(self, field: str, number: str, unit: str, height: float) -> float:
        """As large as a number's place allows, its unit smaller behind it; never below 5 mm."""
        wide = self._fonts.width(number, Face.STRONG, 1)
        wide += self._fonts.width(" ", Face.STRONG, 1) + self._fonts.width(unit, Face.STRONG, _UNIT_SHARE)
        size = min(self._width / wide, height * _BIG_SHARE / _CAPITALS_PER_SIZE)
        if size < _BIG_LEAST:
            sentence = _("{number} does not fit on the label {label} in numbers 5 mm high.")
            raise RuleBroken(sentence.format(number=f"{number} {unit}", label=self._label.name), field)
        return size

    def _big(self, number: str, unit: str, size: float, middle: float) -> None:
        y = middle + size * _CAPITALS_PER_SIZE / 2
        self._ink.append(Text(self._left, y, number, Face.STRONG, size))
        if unit:
            x = self._left + self._fonts.width(f"{number} ", Face.STRONG, size)
            self._ink.append(Text(x, y, unit, Face.STRONG, size * _UNIT_SHARE))

    def _small_print(self, bottom: float) -> float:
        """Done date and odometer, shop and telephone, with the symbol at their right; gives their top."""
        module = module_points(self._label.dpi, at_least_mm=LEAST_MODULE_MM)
        matrix = qr_matrix(self._paper.qr_text) if self._paper.qr_text else None
        side = matrix.outer(module) if matrix else 0.0
        top = bottom - max(side, 40.0 * self._scale)
        if matrix:
            self._symbol(matrix, module, bottom - side)
        width = self._width - side - (2 if matrix else 0)
        line = (bottom - top) / 5
        done = _("Done {date}").format(date=self._paper.done_on)
        self._block("done_on", done, top, line, width=width)
        at = (
            _("at {odometer}").format(odometer=self._paper.done_odometer) if self._paper.done_odometer else ""
        )
        self._block("done_odometer", at, top + line, line, width=width)
        self._block(
            "shop_name", self._paper.shop_name, top + 2 * line, 2 * line, width=width, face=Face.STRONG
        )
        self._block("phone", self._paper.phone, top + 4 * line, line, width=width)
        return top

    def _symbol(self, matrix: QrMatrix, module: float, top: float) -> None:
        """The symbol at the right, its corner on a whole printer dot."""
        dot = POINTS_PER_INCH / self._label.dpi
        right = self._left + self._width - matrix.outer(module)
        self._ink.append(matrix.symbol(right // dot * dot, top // dot * dot, module))

    def _deferral(self, bottom: float) -> float:
        height = 12.5 * self._scale
        self._block("", deferral(), bottom - height, height, largest=4.2, smallest=3.0)
        return bottom - height - 2 * self._scale

    def _block(
        self,
        field: str,
        text: str,
        top: float,
        height: float,
        *,
        width: float = 0.0,
        face: Face = Face.REGULAR,
        largest: float = 7.5,
        smallest: float = 3.0,
    ) -> None:
        """A text as large as its place allows; nothing is cut, so a text too long for it is refused."""
        if not text:
            return
        width = width or self._width
        size = largest * self._scale
        while size >= smallest:
            style = Style(size=size, leading=size * 1.12, face=face)
            lines = wrap(self._fonts, text, style, width)
            if len(lines) * style.leading <= height + 0.01:
                self._lines(lines, style, top + (height - len(lines) * style.leading) / 2)
                return
            size -= 0.25
        sentence = _("This text is too long for the label {label}: {text}")
        raise RuleBroken(sentence.format(label=self._label.name, text=text), field)

    def _lines(self, lines: Sequence[str], style: Style, top: float) -> None:
        for at, line in enumerate(lines):
            y = top + at * style.leading + style.baseline
            self._ink.append(Text(self._left, y, line, style.face, style.size))
