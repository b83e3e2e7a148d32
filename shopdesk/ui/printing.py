"""Printing a PDF at its true size. The pages printed are the pages seen."""

from gettext import gettext as _
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import QMarginsF, QRectF, QSizeF
from PySide6.QtGui import QPageLayout, QPageSize, QPainter

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.pdf_pages import POINTS_PER_INCH, PageSize, page_picture, page_sizes

if TYPE_CHECKING:  # loading the printing system takes time that the first window should not wait for
    from PySide6.QtPrintSupport import QPrinter

_SHARPEST = 600


class Printing(Protocol):
    """What a paper needs of printers."""

    def printers(self) -> tuple[str, ...]:
        """Return the names of the printers, the usual one first. On the window's thread."""

    def print_pdf(self, data: bytes, printer: str) -> None:
        """Print every page at true size. In the lane for papers. RuleBroken if the printer refuses."""


class QtPrinting:
    """The printers of this computer."""

    def printers(self) -> tuple[str, ...]:
        """See Printing."""
        from PySide6.QtPrintSupport import QPrinterInfo

        usual = QPrinterInfo.defaultPrinterName()
        names = QPrinterInfo.availablePrinterNames()
        return tuple(sorted(names, key=lambda name: (name != usual, name)))

    def print_pdf(self, data: bytes, printer: str) -> None:
        """See Printing."""
        from PySide6.QtPrintSupport import QPrinter, QPrinterInfo

        device = QPrinter(QPrinterInfo.printerInfo(printer), QPrinter.PrinterMode.HighResolution)
        print_pages(data, device)


def print_pages(data: bytes, device: "QPrinter") -> None:
    """Print every page of a PDF on ``device``, one point of paper for one point of page."""
    sizes = page_sizes(data)
    device.setFullPage(True)
    _use_paper(device, sizes[0])
    painter = QPainter()
    if not painter.begin(device):
        sentence = _("The printer {name} does not answer. Save the paper instead.")
        raise RuleBroken(sentence.format(name=device.printerName()))
    for number, size in enumerate(sizes):
        if number:
            _use_paper(device, size)
            device.newPage()
        _print_page(data, number, size, device, painter)
    painter.end()


def _use_paper(device: "QPrinter", size: PageSize) -> None:
    paper = QPageSize(QSizeF(size.width, size.height), QPageSize.Unit.Point)
    layout = QPageLayout(paper, QPageLayout.Orientation.Portrait, QMarginsF())
    device.setPageLayout(layout)


def _print_page(data: bytes, number: int, size: PageSize, device: "QPrinter", painter: QPainter) -> None:
    dots = device.resolution()
    picture = page_picture(data, number, min(dots, _SHARPEST))
    scale = dots / POINTS_PER_INCH
    painter.drawImage(QRectF(0, 0, size.width * scale, size.height * scale), picture)
