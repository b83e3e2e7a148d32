"""Pages: the flow of bands down them, and what stands on each: running head, closing sentence, page n of
m."""

from collections.abc import Sequence
from dataclasses import dataclass
from gettext import gettext as _
from io import BytesIO
from typing import Final

from shopdesk.documents.fonts import Fonts
from shopdesk.documents.ink import Box, Ink, Page, Text
from shopdesk.documents.parts import Align, Band, Column, Words, row, rule, shortened
from shopdesk.documents.stock import PaperSize, mm
from shopdesk.documents.theme import (
    BOTTOM_MARGIN,
    GAP,
    HAIR,
    LABEL,
    LINE,
    NOTE,
    SIDE_MARGIN,
    SMALL_GAP,
    STRONG,
    TOP_MARGIN,
    deferral,
)

_KEEP_ROW: Final = 0.4


@dataclass(frozen=True, kw_only=True, slots=True)
class PaperName:
    """What a paper is called on its further pages and in its file's properties."""

    shop: str
    title: str

    def __str__(self) -> str:
        return f"{self.title} · {self.shop}" if self.shop else self.title


class Flow:
    """Bands laid down one page after another. A page's inner column is `column`."""

    def __init__(self, *, size: PaperSize, fonts: Fonts, name: PaperName) -> None:
        self.fonts = fonts
        self.size = size
        self.name = name
        self.column = Column(SIDE_MARGIN, size.width - 2 * SIDE_MARGIN)
        self._repeat: Sequence[Band] = ()
        self._foot = size.height - BOTTOM_MARGIN - _height(self._closing(1, 1)) - GAP
        self._pages: list[list[tuple[float, Band]]] = [[]]
        self._y = TOP_MARGIN

    def add(self, bands: Sequence[Band], *, keep: bool = True) -> None:
        """Lay bands down; with `keep` they stay on one page when one page can hold them."""
        if keep and self._y + _height(bands) > self._foot and self._fits_a_page(bands):
            self._turn()
        for band in bands:
            if self._y + band.height > self._foot and self._pages[-1]:
                self._turn()
            self._lay(band)

    def table(self, title: Sequence[Band], head: Sequence[Band], rows: Sequence[Sequence[Band]]) -> None:
        """A table whose head comes again on each page; short rows stay whole, long ones run over."""
        first = rows[0] if rows and self._is_short(rows[0]) else ()
        self.add([*title, *head, *first])
        self._repeat = head
        for bands in rows[1:] if first else rows:
            self.add(bands, keep=self._is_short(bands))
        self._repeat = ()

    def pages(self, copy_note: str) -> list[list[tuple[float, Band]]]:
        """Every page's bands with their place, feet included."""
        count = len(self._pages)
        return [
            [*page, *self._feet(number, count), *self._copy_mark(copy_note)]
            for number, page in enumerate(self._pages, start=1)
        ]

    def _is_short(self, bands: Sequence[Band]) -> bool:
        return _height(bands) < self.size.height * _KEEP_ROW

    def _fits_a_page(self, bands: Sequence[Band]) -> bool:
        head = _height(self._running_head()) + _height(self._repeat)
        return TOP_MARGIN + head + _height(bands) <= self._foot

    def _lay(self, band: Band) -> None:
        self._pages[-1].append((self._y, band))
        self._y += band.height

    def _turn(self) -> None:
        self._pages.append([])
        self._y = TOP_MARGIN
        for band in (*self._running_head(), *self._repeat):
            self._lay(band)

    def _running_head(self) -> list[Band]:
        """Title and shop in one line; the first page has them in full."""
        half = self.column.width / 2 - GAP
        columns = [
            Column(self.column.x, half),
            Column(self.column.x + self.column.width - half, half, Align.RIGHT),
        ]
        title = shortened(self.fonts, self.name.title, STRONG, half)
        shop = shortened(self.fonts, self.name.shop, LABEL, half)
        bands = row(self.fonts, columns, [[Words(title, STRONG)], [Words(shop, LABEL)]])
        return [*bands, *rule(self.column.x, self.column.width, LINE, above=2, below=GAP)]

    def _closing(self, number: int, count: int) -> list[Band]:
        """The closing sentence, and beside it which page this is."""
        left = Column(self.column.x, self.column.width * 0.8)
        right = Column(self.column.x + left.width, self.column.width - left.width, Align.RIGHT)
        page = _("Page {page} of {pages}").format(page=number, pages=count)
        lines = row(self.fonts, [left, right], [[Words(deferral(), NOTE)], [Words(page, NOTE)]])
        return [*rule(self.column.x, self.column.width, HAIR, below=SMALL_GAP), *lines]

    def _feet(self, number: int, count: int) -> list[tuple[float, Band]]:
        y = self._foot + GAP
        placed: list[tuple[float, Band]] = []
        for band in self._closing(number, count):
            placed.append((y, band))
            y += band.height
        return placed

    def _copy_mark(self, note: str) -> list[tuple[float, Band]]:
        """A framed COPY in the top margin, so that nothing of the original moves."""
        if not note:
            return []
        text = self.fonts.printable(_("COPY · {note}").format(note=note)).replace("\n", " ")
        wide = self.fonts.width(text, STRONG.face, STRONG.size) + 2 * GAP
        x = self.column.x + self.column.width - wide
        ink: tuple[Ink, ...] = (
            Box(x, 0, wide, STRONG.leading + 2, LINE),
            Text(x + GAP, STRONG.baseline + 1, text, STRONG.face, STRONG.size),
        )
        return [(mm(6), Band(STRONG.leading + 2, ink))]


def _height(bands: Sequence[Band]) -> float:
    return sum(band.height for band in bands)


def write_pages(
    pages: Sequence[Sequence[tuple[float, Band]]], *, width: float, height: float, name: PaperName
) -> bytes:
    """The PDF of laid-out pages; the same pages give the same bytes, whenever and wherever they are
    written."""
    buffer = BytesIO()
    from reportlab.pdfgen.canvas import Canvas  # loaded with the first paper

    canvas = Canvas(buffer, pagesize=(width, height), invariant=1, pageCompression=1)
    canvas.setTitle(str(name))
    canvas.setAuthor(name.shop)
    for bands in pages:
        page = Page(canvas, height)
        for y, band in bands:
            for ink in band.ink:
                page.put(ink, 0, y)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def finish(flow: Flow, copy_note: str) -> bytes:
    """The PDF of a flow; `copy_note` ("printed 4 Mar 2027 10:14") marks every page as a copy."""
    return write_pages(flow.pages(copy_note), width=flow.size.width, height=flow.size.height, name=flow.name)
