"""Papers on screen, saved, and on the printer at true size."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSizeF
from PySide6.QtGui import QPageSize
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.background import Background
from shopdesk.ui.pdf_pages import page_picture, page_sizes
from shopdesk.ui.printing import QtPrinting, print_pages
from shopdesk.ui.scripted_ask import ScriptedAsk
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.pdf_view import PdfView
from tests.ui.gallery import a_paper

LETTER = (612, 792)  # points; ANSI A paper is 8.5 × 11 in, a point is 1/72 in


class Printers:
    """Printers that remember what they were given."""

    def __init__(self, *names: str) -> None:
        self.names = names
        self.printed: list[tuple[str, bytes]] = []
        self.broken = False

    def printers(self) -> tuple[str, ...]:
        return self.names

    def print_pdf(self, data: bytes, printer: str) -> None:
        if self.broken:
            raise RuleBroken("The printer does not answer.")
        self.printed.append((printer, data))


@pytest.fixture
def refusals() -> list[str]:
    return []


@pytest.fixture
def background(refusals: list[str], qapp: object) -> Iterator[Background]:
    background = Background(
        refused=lambda refusal: refusals.append(refusal.sentence), bug=pytest.fail, announce=pytest.fail
    )
    yield background
    background.close()


@pytest.fixture
def ask() -> ScriptedAsk:
    return ScriptedAsk()


@pytest.fixture
def make(
    look: Look, background: Background, ask: ScriptedAsk, shown: Callable[..., QWidget], qtbot: QtBot
) -> Callable[[Printers], PdfView]:
    def make(printers: Printers) -> PdfView:
        view = PdfView(look, background, ask, printers)
        shown(view, 500, 600)
        with qtbot.waitSignal(view.ready):
            view.show_pdf(a_paper(3), "Invoice 1041")
        return view

    return make


def test_that_pages_are_laid_out_at_the_width_and_drawn_when_in_sight(
    make: Callable[[Printers], PdfView], background: Background, qtbot: QtBot
) -> None:
    view = make(Printers())
    qtbot.waitUntil(lambda: view.sheets[0].is_drawn)
    first = view.sheets[0]
    assert len(view.sheets) == 3
    assert first.height() / first.width() == pytest.approx(LETTER[1] / LETTER[0], abs=0.01)
    assert first.width() <= view.width()
    assert not view.sheets[2].is_drawn
    background.paper(view, "wait", lambda: None, lambda _none: None)


def test_that_a_paper_is_saved_byte_for_byte(
    make: Callable[[Printers], PdfView], ask: ScriptedAsk, tmp_path: Path, qtbot: QtBot
) -> None:
    view = make(Printers())
    target = tmp_path / "a b.pdf"
    ask.answers = [str(target)]
    with qtbot.waitSignal(view.said) as said:
        view.save()
    assert target.read_bytes()[:5] == b"%PDF-"
    assert page_sizes(target.read_bytes()) == page_sizes(a_paper(3))
    assert said.args == ["Saved as a b.pdf."]


def test_that_a_place_that_cannot_be_written_is_a_refusal_in_words(
    make: Callable[[Printers], PdfView],
    ask: ScriptedAsk,
    tmp_path: Path,
    refusals: list[str],
    background: Background,
    qtbot: QtBot,
) -> None:
    view = make(Printers())
    ask.answers = [str(tmp_path / "no such folder" / "x.pdf")]
    view.save()
    qtbot.waitUntil(lambda: bool(refusals))
    assert refusals[0].startswith("x.pdf could not be saved there: ")


def test_that_without_a_printer_saving_is_offered(
    make: Callable[[Printers], PdfView], ask: ScriptedAsk, tmp_path: Path, qtbot: QtBot
) -> None:
    view = make(Printers())
    ask.answers = ["yes", str(tmp_path / "x.pdf")]
    with qtbot.waitSignal(view.said):
        view.print_paper()
    assert ask.asked[0].startswith("No printer is set up on this computer.")
    assert (tmp_path / "x.pdf").exists()


def test_that_one_printer_prints_and_several_are_asked_about(
    make: Callable[[Printers], PdfView], ask: ScriptedAsk, qtbot: QtBot
) -> None:
    one = Printers("Front desk")
    view = make(one)
    with qtbot.waitSignal(view.said) as said:
        view.print_paper()
    assert said.args == ["Sent to Front desk."]
    two = Printers("Front desk", "Labels")
    view = make(two)
    ask.answers = ["Labels"]
    with qtbot.waitSignal(view.said):
        view.print_paper()
    assert [name for name, _data in (*one.printed, *two.printed)] == ["Front desk", "Labels"]


def test_that_a_printer_that_does_not_answer_is_a_refusal(
    make: Callable[[Printers], PdfView], refusals: list[str], qtbot: QtBot
) -> None:
    printers = Printers("Front desk")
    printers.broken = True
    make(printers).print_paper()
    qtbot.waitUntil(lambda: bool(refusals))
    assert refusals == ["The printer does not answer."]


@pytest.mark.parametrize(
    "size",
    [QPageSize(QPageSize.PageSizeId.Letter), QPageSize(QSizeF(50, 50), QPageSize.Unit.Millimeter)],
    ids=["letter", "label of 50 mm"],
)
def test_that_a_page_is_printed_at_true_size(size: QPageSize, tmp_path: Path, qapp: object) -> None:
    paper = a_paper(2, size)
    printer = QPrinter()
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    print_pages(paper, printer)
    printed = (tmp_path / "printed.pdf").read_bytes()
    wanted, found = page_sizes(paper), page_sizes(printed)
    assert [(page.width, page.height) for page in found] == [
        (pytest.approx(page.width, abs=1), pytest.approx(page.height, abs=1)) for page in wanted
    ]
    assert frame_of(printed) == pytest.approx(frame_of(paper), abs=2)


def frame_of(data: bytes) -> tuple[int, ...]:
    """Return the box of what is not white on the first page, in points."""
    picture = page_picture(data, 0, 72)
    dark = [
        (x, y)
        for x in range(picture.width())
        for y in range(picture.height())
        if picture.pixelColor(x, y).lightness() < 235
    ]
    columns, rows = [x for x, _y in dark], [y for _x, y in dark]
    return (min(columns), min(rows), max(columns), max(rows))


def test_that_the_printers_of_this_computer_can_be_asked_for(qapp: object) -> None:
    assert isinstance(QtPrinting().printers(), tuple)
