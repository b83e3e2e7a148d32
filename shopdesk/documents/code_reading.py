"""Reads square codes off a picture or a PDF, as a telephone or a scanner sees them."""

from collections.abc import Iterator
from gettext import gettext as _
from typing import Final

import pypdfium2
import zxingcpp
from PIL import Image

from shopdesk.documents.pictures import opened
from shopdesk.domain.errors import RuleBroken

_SQUARE: Final = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)
#: A sheet photographed whole needs this much; a JPEG is not opened at less.
_LONGEST: Final = 4000
_PAGE_DPI: Final = 200
_MOST_PAGES: Final = 20
_MOST_PAGE_PIXELS: Final = 50_000_000


def codes_in(content: bytes) -> tuple[str, ...]:
    """Give the texts of all square codes on a picture (JPEG, PNG, HEIC) or in a PDF's first 20 pages.

    Raises RuleBroken (field ``picture``) for a file that cannot be read.
    """
    images = _pages(content) if content.startswith(b"%PDF-") else iter([opened(content, longest=_LONGEST)])
    return tuple(text for image in images for text in _texts(image))


def _texts(image: Image.Image) -> Iterator[str]:
    for found in zxingcpp.read_barcodes(image.convert("L"), formats=_SQUARE):
        yield found.text


def _pages(content: bytes) -> Iterator[Image.Image]:
    """Draw the pages one by one. PDFium serves one thread at a time: call this from one only."""
    try:
        document = pypdfium2.PdfDocument(content)
    except pypdfium2.PdfiumError as trouble:
        raise RuleBroken(_("The PDF is damaged or locked: it cannot be opened."), "picture") from trouble
    try:
        for at in range(min(len(document), _MOST_PAGES)):
            yield _drawn(document[at])
    except pypdfium2.PdfiumError as trouble:
        raise RuleBroken(_("A page of the PDF is damaged: it cannot be drawn."), "picture") from trouble
    finally:
        document.close()


def _drawn(page: pypdfium2.PdfPage) -> Image.Image:
    scale = _PAGE_DPI / 72
    width, height = page.get_size()
    if width * height * scale * scale > _MOST_PAGE_PIXELS:
        raise RuleBroken(_("A page of the PDF is larger than a sheet of paper can be."), "picture")
    image: Image.Image = page.render(scale=scale, grayscale=True).to_pil()
    return image
