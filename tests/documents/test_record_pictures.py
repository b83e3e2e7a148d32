"""The service record's drawing of the warm-up and its pictures, on both sizes of paper."""

from __future__ import annotations

from dataclasses import replace

import pypdfium2 as pdfium
import pytest

from shopdesk.documents.fonts import Fonts
from shopdesk.documents.service_record import PhotoOnPaper, render_service_record
from shopdesk.documents.stock import A4, LETTER, PaperSize
from shopdesk.documents.window_chart import Event, Tick, WindowChart
from tests.documents.cameras import drawn, jpeg
from tests.documents.examples import RECORD
from tests.documents.reading import letters, texts, words

CHART = WindowChart(
    readings=tuple((at / 20, 0.1 + 0.7 * at / 20) for at in range(21)),
    low=0.5,
    high=0.75,
    window="window 95–113 °F",
    events=(Event(at=0.6, height=0.55, text="opened 97 °F"), Event(at=0.7, height=0.6, text="", closes=True)),
    across=(Tick(at=0, text="0 min"), Tick(at=1, text="20 min")),
    upward=(Tick(at=0.1, text="70 °F"), Tick(at=0.9, text="120 °F")),
    note="Minutes from 4 Mar 2027 10:14.",
)


def _photo(width: int, height: int, caption: str) -> PhotoOnPaper:
    return PhotoOnPaper(jpeg=jpeg(drawn(width, height)), width=width, height=height, caption=caption)


PHOTOS = (
    _photo(1600, 1200, "Fluid: as it came out"),
    _photo(1200, 1600, "Magnet and pan"),
    _photo(1600, 900, "Odometer"),
    _photo(400, 300, "Other"),
)


def _images(pdf: bytes) -> list[tuple[int, tuple[float, float, float, float]]]:
    """Every picture with its page and its place in points."""
    document = pdfium.PdfDocument(pdf)
    try:
        return [
            (number, tuple(item.get_bounds()))
            for number, page in enumerate(document)
            for item in page.get_objects(filter=[pdfium.raw.FPDF_PAGEOBJ_IMAGE])
        ]
    finally:
        document.close()


@pytest.mark.parametrize("size", [LETTER, A4])
def test_that_pictures_stand_inside_the_page_in_their_own_shape(fonts: Fonts, size: PaperSize) -> None:
    pdf = render_service_record(replace(RECORD, photos=PHOTOS, chart=CHART), size=size, fonts=fonts)
    found = _images(pdf)
    assert len(found) == len(PHOTOS)
    assert len({page for page, _box in found}) == 1
    ratios = [photo.width / photo.height for photo in PHOTOS]
    for (_page, (left, bottom, right, top)), ratio in zip(found, ratios, strict=True):
        assert 0 < left < right < size.width
        assert 0 < bottom < top < size.height
        assert (right - left) / (top - bottom) == pytest.approx(ratio, rel=0.01)
    text = words(pdf)
    for said in ("Pictures", "Fluid: as it came out", "Magnet and pan", "Odometer", "Other"):
        assert said in text


def test_that_what_a_camera_noted_is_not_in_the_paper(fonts: Fonts) -> None:
    pdf = render_service_record(replace(RECORD, photos=PHOTOS), size=LETTER, fonts=fonts)
    assert b"Invented Camera Works" in PHOTOS[0].jpeg
    assert b"Invented Camera Works" not in pdf
    assert b"Exif" not in pdf


def test_that_the_drawing_has_its_words_and_stays_on_one_page(fonts: Fonts) -> None:
    pdf = render_service_record(replace(RECORD, chart=CHART), size=LETTER, fonts=fonts)
    (page,) = [at for at, text in enumerate(texts(pdf)) if "Warming up" in text]
    text = " ".join(texts(pdf)[page].split())
    for said in ("window 95–113 °F", "opened 97 °F", "0 min", "20 min", "70 °F", "120 °F", "Minutes from"):
        assert said in text
    assert all(0 < letter.left < letter.right < LETTER.width for letter in letters(pdf, page))


def test_that_a_record_without_warm_up_and_pictures_has_no_trace_of_them(fonts: Fonts) -> None:
    text = words(render_service_record(RECORD, size=LETTER, fonts=fonts))
    assert "Warming up" not in text
    assert "Pictures" not in text


def test_that_the_same_record_has_the_same_bytes(fonts: Fonts) -> None:
    paper = replace(RECORD, photos=PHOTOS[:2], chart=CHART)
    first = render_service_record(paper, size=A4, fonts=fonts)
    assert render_service_record(paper, size=A4, fonts=fonts) == first
    assert len(first) < 200_000


def test_that_the_key_and_how_to_check_stand_beside_the_code(fonts: Fonts) -> None:
    text = words(
        render_service_record(
            replace(RECORD, key_fingerprint="1111-2222-3333-4444-5555"), size=LETTER, fonts=fonts
        )
    )
    assert "1111-2222-3333-4444-5555" in text
    assert "not that they were taken well" in text
