"""Papers read back: words, where letters stand, and what a scanner sees. None of it uses the code that
wrote them."""

from collections.abc import Iterator
from dataclasses import dataclass

import pypdfium2 as pdfium
import zxingcpp
from PIL import Image


@dataclass(frozen=True, slots=True)
class Letter:
    """A visible character and its box in points, y counted from the foot of the page."""

    text: str
    left: float
    bottom: float
    right: float
    top: float


def texts(pdf: bytes) -> list[str]:
    """The text of every page."""
    document = pdfium.PdfDocument(pdf)
    try:
        return [page.get_textpage().get_text_range() for page in document]
    finally:
        document.close()


def words(pdf: bytes) -> str:
    """All text with every run of white space as one space."""
    return " ".join(" ".join(texts(pdf)).split())


def solid(text: str) -> str:
    """A text without its white space: what stays the same wherever lines are broken."""
    return "".join(text.split())


def sizes(pdf: bytes) -> list[tuple[float, float, float, float]]:
    """The MediaBox of every page, in points."""
    document = pdfium.PdfDocument(pdf)
    try:
        return [page.get_mediabox() for page in document]
    finally:
        document.close()


def letters(pdf: bytes, page: int = 0) -> list[Letter]:
    """Every visible character of a page with its box."""
    document = pdfium.PdfDocument(pdf)
    try:
        return list(_letters(document[page].get_textpage()))
    finally:
        document.close()


def _letters(text_page: pdfium.PdfTextPage) -> Iterator[Letter]:
    for at in range(text_page.count_chars()):
        text = text_page.get_text_range(at, 1)
        if text.strip():
            yield Letter(text, *text_page.get_charbox(at))


def picture(pdf: bytes, page: int = 0, *, dpi: int = 300) -> Image.Image:
    """A page as a grey picture."""
    document = pdfium.PdfDocument(pdf)
    try:
        return document[page].render(scale=dpi / 72).to_pil().convert("L")
    finally:
        document.close()


def symbols(pdf: bytes, page: int = 0, *, dpi: int = 300) -> list[str]:
    """What a scanner reads from the QR symbols of a page."""
    found = zxingcpp.read_barcodes(picture(pdf, page, dpi=dpi), formats=zxingcpp.BarcodeFormat.QRCode)
    return [symbol.text for symbol in found]


def line_of(pdf: bytes, text: str, page: int = 0) -> list[Letter]:
    """The letters of the first place where a text (without spaces) stands on a page."""
    found = letters(pdf, page)
    at = "".join(letter.text for letter in found).index(solid(text))
    return found[at : at + len(solid(text))]
