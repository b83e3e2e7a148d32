"""A paper on screen: its pages one beneath the other, to be saved or printed as they are."""

from functools import partial
from gettext import gettext as _
from gettext import ngettext
from pathlib import Path

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QImage, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.asking import Ask
from shopdesk.ui.background import Background
from shopdesk.ui.pdf_pages import POINTS_PER_INCH, PageSize, page_picture, page_sizes
from shopdesk.ui.printing import Printing
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_WIDE, TextRole
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.plain_label import PlainLabel

_WIDEST = 860
_DOTS_ON_SCREEN = 96
_MOST_ENLARGED = 3  # a sticker is shown larger than life, but not as large as a page


class PageSheet(QWidget):
    """One page. It is drawn when it comes into sight, at the width it has."""

    def __init__(self, look: Look, background: Background, data: bytes, number: int, size: PageSize) -> None:
        super().__init__()
        self._look = look
        self._background = background
        self._data = data
        self._number = number
        self._size = size
        self._picture: QImage | None = None
        self._asked = 0
        self.setAccessibleName(_("Page {number}").format(number=number + 1))
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    @property
    def is_drawn(self) -> bool:
        """Whether the page is on screen and not just its empty sheet."""
        return self._picture is not None

    def fit(self, width: int) -> None:
        """Take a width in pixels; the height follows the page."""
        most = self._look.px(self._size.width / POINTS_PER_INCH * _DOTS_ON_SCREEN * _MOST_ENLARGED)
        shown = min(width, most)
        self.setFixedSize(shown, round(shown * self._size.height / self._size.width))

    def sizeHint(self) -> QSize:
        """The size it was given."""
        return self.size()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the page, or a white sheet until it has been drawn."""
        wanted = round(self.width() * self.devicePixelRatioF())
        if self._asked != wanted:
            self._ask(wanted)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        box = QRectF(self.rect())
        painter.fillRect(box, self._look.colour("paper"))
        if self._picture is not None:
            painter.drawImage(box, self._picture)
        painter.setPen(QPen(self._look.colour("edge"), 1))
        painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5))
        painter.end()

    def _ask(self, width: int) -> None:
        self._asked = width
        dots = width / self._size.width * POINTS_PER_INCH
        data, number = self._data, self._number
        self._background.paper(self, "page", lambda: page_picture(data, number, dots), self._show)

    def _show(self, picture: QImage) -> None:
        self._picture = picture
        self.update()


class PdfView(QWidget):
    """Shows a PDF page by page. ``ready`` comes when its pages are laid out, ``said`` with what was done."""

    ready = Signal()
    said = Signal(str)

    def __init__(
        self,
        look: Look,
        background: Background,
        ask: Ask,
        printing: Printing,
        *,
        bare: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        """``bare`` leaves out its own buttons, for a page that has them in its head."""
        super().__init__(parent)
        self._look = look
        self._background = background
        self._ask = ask
        self._printing = printing
        self._data = b""
        self._name = ""
        self._sheets: list[PageSheet] = []
        self._count = PlainLabel("", TextRole.HELP, tone="ink2")
        self._save = Button(look, _("Save"), icon="save", name=_("Save the paper"))
        self._save.clicked.connect(self.save)
        self._print = Button(look, _("Print"), icon="printer", name=_("Print the paper"))
        self._print.clicked.connect(self.print_paper)
        if bare:
            self._save.hide()
            self._print.hide()
        self._area = QScrollArea()
        if bare:
            self.setFocusProxy(self._area)  # Tab passes over the other parts of what has a focus proxy
        self._pages = QWidget()
        self._lay_out()
        self._allow(False)

    @property
    def sheets(self) -> list[PageSheet]:
        """The pages laid out."""
        return self._sheets

    def show_pdf(self, data: bytes, name: str) -> None:
        """Show a PDF; ``name`` is its file name without the ending, and what a screen reader says."""
        self._data = data
        self._name = name
        self._area.setAccessibleName(name)
        self._background.paper(self, "sizes", lambda: page_sizes(data), partial(self._lay_pages, data))

    def focus_pages(self) -> None:
        """Put the keyboard on the pages, to scroll them."""
        self._area.setFocus()

    def clear(self, words: str = "") -> None:
        """Show no paper, and say why."""
        self._data = b""
        self._lay_pages(b"", ())
        self._count.setText(words)

    def save(self) -> None:
        """Let the person choose where to keep a copy, and keep it there."""
        if self._data:
            self._ask.save_file(_("Save the paper"), f"{self._name}.pdf", "PDF (*.pdf)", self._keep)

    def print_paper(self) -> None:
        """Print; with no printer offer to save, with several ask which."""
        names = self._printing.printers()
        if not self._data:
            return
        if not names:
            question = _("No printer is set up on this computer. Save the paper as a PDF instead?")
            self._ask.confirm(question, _("Save"), self.save)
        elif len(names) == 1:
            self._print_on(names[0])
        else:
            self._ask.choose(_("Print on which printer?"), [(n, n) for n in names], self._print_on)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fit the pages to the width."""
        super().resizeEvent(event)
        self._fit()

    def _lay_out(self) -> None:
        look = self._look
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP))
        row = QHBoxLayout()
        row.setSpacing(look.px(GAP))
        row.addWidget(self._count, 1)
        row.addWidget(self._save)
        row.addWidget(self._print)
        column.addLayout(row)
        self._area.setWidgetResizable(True)
        self._area.setFrameShape(QFrame.Shape.NoFrame)
        self._area.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._area.setAccessibleName(_("Paper"))
        self._pages.setProperty("part", "page")
        self._column = QVBoxLayout(self._pages)
        self._column.setContentsMargins(2, 2, 2, 2)
        self._column.setSpacing(look.px(GAP_WIDE))
        self._column.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignHCenter)
        self._area.setWidget(self._pages)
        column.addWidget(self._area, 1)

    def _lay_pages(self, data: bytes, sizes: tuple[PageSize, ...]) -> None:
        for sheet in self._sheets:
            self._column.removeWidget(sheet)
            sheet.deleteLater()
        self._sheets = [
            PageSheet(self._look, self._background, data, number, size) for number, size in enumerate(sizes)
        ]
        for sheet in self._sheets:
            self._column.addWidget(sheet, 0, Qt.AlignmentFlag.AlignHCenter)
        self._count.setText(ngettext("{n} page", "{n} pages", len(sizes)).format(n=len(sizes)))
        self._allow(bool(sizes))
        self._fit()
        self.ready.emit()

    def _allow(self, there: bool) -> None:
        self._save.setEnabled(there)
        self._print.setEnabled(there)

    def _fit(self) -> None:
        room = self._area.width() - self._look.px(24)
        for sheet in self._sheets:
            sheet.fit(max(120, min(room, self._look.px(_WIDEST))))
        self._column.activate()  # places the sheets now, so that only those in sight are drawn

    def _keep(self, path: Path) -> None:
        data = self._data
        self._background.write(
            self,
            lambda: _write(path, data),
            lambda _none: self.said.emit(_("Saved as {name}.").format(name=path.name)),
        )

    def _print_on(self, printer: str) -> None:
        data, printing = self._data, self._printing
        self._background.paper(
            self,
            f"print {self._name}",
            lambda: printing.print_pdf(data, printer),
            lambda _none: self.said.emit(_("Sent to {printer}.").format(printer=printer)),
        )


def _write(path: Path, data: bytes) -> None:
    try:
        path.write_bytes(data)
    except OSError as error:
        raise RuleBroken(
            _("{name} could not be saved there: {reason}.").format(name=path.name, reason=error.strerror)
        ) from error
