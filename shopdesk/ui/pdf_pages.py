"""Pages of a PDF as pictures. PDFium serves one thread: call these in the lane for papers only."""

from dataclasses import dataclass

from PySide6.QtGui import QImage

POINTS_PER_INCH = 72


@dataclass(frozen=True, kw_only=True, slots=True)
class PageSize:
    """Width and height in points of 1/72 inch."""

    width: float
    height: float


def page_sizes(data: bytes) -> tuple[PageSize, ...]:
    """Return the size of every page."""
    import pypdfium2

    document = pypdfium2.PdfDocument(data)
    try:
        sizes = [document.get_page_size(number) for number in range(len(document))]
    finally:
        document.close()
    return tuple(PageSize(width=width, height=height) for width, height in sizes)


def page_picture(data: bytes, number: int, dots_per_inch: float) -> QImage:
    """Return page ``number`` (from 0) drawn on white at ``dots_per_inch``."""
    import pypdfium2

    document = pypdfium2.PdfDocument(data)
    try:
        page = document[number]
        drawn = page.render(scale=dots_per_inch / POINTS_PER_INCH, prefer_bgrx=True)
        picture = QImage(
            bytes(drawn.buffer), drawn.width, drawn.height, drawn.stride, QImage.Format.Format_RGB32
        ).copy()
        page.close()
    finally:
        document.close()
    return picture
