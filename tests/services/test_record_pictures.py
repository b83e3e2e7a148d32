"""What a record's paper shows of its warm-up and its pictures, with and without names."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pypdfium2 as pdfium
import pytest

from shopdesk.services.desk import Desk
from shopdesk.services.photos import AttachPhoto, PhotoKind, PhotoSubject
from shopdesk.services.record_check import check_code, codes_of
from shopdesk.services.warmup import AddReading
from shopdesk.services.warmup_log import BringLog
from tests.documents.cameras import drawn, jpeg
from tests.documents.reading import words
from tests.services.logs import celsius
from tests.services.shopfloor import NOW, document, run

OPENED, CLOSED = "2026-11-25T16:49:20+00:00", "2026-11-25T16:52:10+00:00"


@pytest.fixture
def record_id(desk: Desk) -> int:
    """A record whose plug was opened and closed at noted times."""
    content = document("us", service__openings__0__opened_at=OPENED, service__openings__0__closed_at=CLOSED)
    return run(desk, content).record_id


def _attach(desk: Desk, record_id: int, kind: PhotoKind, note: str = "", side: int = 300) -> None:
    command = AttachPhoto(
        actor=desk.actor(),
        subject=PhotoSubject.RECORD,
        subject_id=record_id,
        kind=kind,
        name="a.jpg",
        content=jpeg(drawn(side, side)),
        note=note,
    )
    desk.photos.attach(command)


def _pictures(pdf: bytes) -> int:
    document_ = pdfium.PdfDocument(pdf)
    try:
        return sum(len(list(page.get_objects(filter=[pdfium.raw.FPDF_PAGEOBJ_IMAGE]))) for page in document_)
    finally:
        document_.close()


def test_that_the_warm_up_is_drawn_with_the_opening_that_counts(
    desk: Desk, record_id: int, tmp_path: Path
) -> None:
    file = celsius(tmp_path / "c.csv")
    choice = desk.warmup_logs.look(file).choice
    assert choice is not None
    began = NOW - timedelta(minutes=20)
    desk.warmup_logs.bring(
        BringLog(actor=desk.actor(), record_id=record_id, file=file, choice=choice, started_at=began)
    )
    text = words(desk.papers.service_record(record_id).content)
    for said in (
        "Warming up",
        "window 95–113 °F / 35–45 °C",
        "opened 97 °F",
        "closed 104 °F",
        "Minutes from 25 Nov 2026 9:40 AM",
        "Readings: scan tool's log.",
    ):
        assert said in text


def test_that_an_assumed_beginning_of_a_log_is_told(desk: Desk, record_id: int, tmp_path: Path) -> None:
    file = celsius(tmp_path / "c.csv")
    choice = desk.warmup_logs.look(file).choice
    assert choice is not None
    desk.warmup_logs.bring(BringLog(actor=desk.actor(), record_id=record_id, file=file, choice=choice))
    text = words(desk.papers.service_record(record_id).content)
    assert "When c.csv began was not known" in text


def test_that_without_times_there_is_no_drawing(desk: Desk) -> None:
    record_id = run(desk, document("us")).record_id
    assert "Warming up" not in words(desk.papers.service_record(record_id).content)
    command = AddReading(actor=desk.actor(), record_id=record_id, temperature="80")
    desk.warmups.add(command)
    assert "Warming up" not in words(desk.papers.service_record(record_id).content)


def test_that_four_pictures_stand_on_the_paper_one_of_each_kind_first(desk: Desk, record_id: int) -> None:
    for at, kind in enumerate((PhotoKind.OTHER, PhotoKind.FLUID, PhotoKind.FLUID, PhotoKind.FLUID)):
        _attach(desk, record_id, kind, note=f"picture {at}", side=300 + at)
    _attach(desk, record_id, PhotoKind.MAGNET, side=350)
    paper = desk.papers.service_record(record_id)
    text = words(paper.content)
    assert _pictures(paper.content) == 4
    for said in ("Fluid: picture 3", "Magnet and pan", "Other: picture 0", "Fluid: picture 2"):
        assert said in text
    assert "picture 1" not in text
    assert paper.unprintable == ()


def test_that_a_paper_without_names_shows_no_dial_and_no_plate(desk: Desk, record_id: int) -> None:
    for at, kind in enumerate((PhotoKind.FLUID, PhotoKind.ODOMETER, PhotoKind.OTHER)):
        _attach(desk, record_id, kind, side=300 + at)
    assert _pictures(desk.papers.service_record(record_id).content) == 3
    nameless = desk.papers.service_record(record_id, personal=False).content
    assert _pictures(nameless) == 1
    assert not {"vin", "plate"} & set(check_code(codes_of(nameless)[0]).facts)
