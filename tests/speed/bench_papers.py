"""Our invoice against a bare reportlab page with the same words, fonts and square code.

Run by hand: ``python -m tests.speed.bench_papers``. Prints milliseconds and ratios; asserts nothing. The
bare page draws the very strings, rules and modules of ours at their places, without laying anything out
or reading anything. Goal: our invoice at most 1.5 times the bare page, a batch at most 1.2 times a page.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from unittest import mock

import segno
from reportlab.pdfgen.canvas import Canvas

from shopdesk.documents.fonts import Fonts
from shopdesk.documents.ink import Ink, Page, Rule, Symbol, Text
from shopdesk.documents.invoice import InvoicePaper, render_invoice
from shopdesk.documents.stock import PAPER_SIZES
from tests.documents.examples import INVOICE, LINES

CLONE = Path(__file__).resolve().parents[2]
SIZE = PAPER_SIZES["Letter"]
ROUNDS, LINES_ON_IT = 40, 12


def twelve_lines() -> InvoicePaper:
    """Give an invoice of twelve lines."""
    return replace(INVOICE, lines=tuple(LINES[at % len(LINES)] for at in range(LINES_ON_IT)))


def drawn(paper: InvoicePaper, fonts: Fonts) -> list[list[tuple[Ink, float]]]:
    """Give what our renderer puts on each page, and at which height."""
    pages: list[list[tuple[Ink, float]]] = []
    known: list[int] = []

    def put(page: Page, ink: Ink, _dx: float, dy: float) -> None:
        if id(page) not in known:
            known.append(id(page))
            kept.append(page)
            pages.append([])
        pages[known.index(id(page))].append((ink, dy))

    kept: list[Page] = []  # so that no two pages share an id
    with mock.patch.object(Page, "put", put):
        render_invoice(paper, size=SIZE, fonts=fonts)
    return pages


def bare(pages: list[list[tuple[Ink, float]]], qr_text: str) -> bytes:
    """Draw the same with nothing but a canvas."""
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=(SIZE.width, SIZE.height), invariant=1, pageCompression=1)
    for page in pages:
        for ink, dy in page:
            y = SIZE.height - ink.y - dy
            if isinstance(ink, Text):
                canvas.setFont(ink.face.value, ink.size)
                canvas.drawString(ink.x, y, ink.text)
            elif isinstance(ink, Rule):
                canvas.setLineWidth(ink.weight)
                canvas.line(ink.x, y, ink.to_x, SIZE.height - ink.to_y - dy)
            elif isinstance(ink, Symbol):
                _square_code(canvas, qr_text, ink, y)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _square_code(canvas: Canvas, text: str, place: Symbol, y: float) -> None:
    path, module = canvas.beginPath(), place.module
    for row, modules in enumerate(segno.make_qr(text, error="m", boost_error=False).matrix):
        for column, dark in enumerate(modules):
            if dark:
                path.rect(place.x + column * module, y - (row + 1) * module, module, module)
    canvas.drawPath(path, stroke=0, fill=1)


def milliseconds(work: Callable[[], object]) -> float:
    """Say how long something takes."""
    begun = time.perf_counter()
    work()
    return (time.perf_counter() - begun) * 1000


def main() -> None:
    """Measure both in turn, and print medians with their ratios."""
    fonts = Fonts(CLONE / "resources" / "fonts")
    for name, paper in (("as the example has it", INVOICE), ("twelve lines", twelve_lines())):
        pages = drawn(paper, fonts)
        strings = sum(isinstance(ink, Text) for page in pages for ink, _dy in page)

        def ours(paper: InvoicePaper = paper) -> bytes:
            return render_invoice(paper, size=SIZE, fonts=fonts)

        def canvas(pages: list[list[tuple[Ink, float]]] = pages, paper: InvoicePaper = paper) -> bytes:
            return bare(pages, paper.qr_text)

        sizes = len(ours()), len(canvas())
        pairs = [(milliseconds(ours), milliseconds(canvas)) for _ in range(ROUNDS)]
        mine, theirs = (statistics.median(column) for column in zip(*pairs, strict=True))
        print(
            f"invoice, {name}: ours {mine:.1f} ms, bare canvas {theirs:.1f} ms, ratio {mine / theirs:.2f} "
            f"({len(pages)} page(s), {strings} strings, {sizes[0]} and {sizes[1]} bytes)"
        )


if __name__ == "__main__":
    main()
