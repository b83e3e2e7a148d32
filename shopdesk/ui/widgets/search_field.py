"""A field that offers what fits while one types: for lists too long to look through."""

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QPoint, QStringListModel, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QFrame, QListView, QVBoxLayout

from shopdesk.domain.text import match_key
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import ROW_HEIGHT
from shopdesk.ui.widgets.controls import Line
from shopdesk.ui.widgets.field import LabelledField, Reader

_MOST_SHOWN = 8
_WIDEST = 420


class OfferLine(Line):
    """The input. While something is offered, Up, Down, Enter and Esc are for the list."""

    moved = Signal(int)
    taken = Signal()
    put_away = Signal()

    def __init__(self) -> None:
        super().__init__(select_all=True)
        self.offers = False

    def event(self, event: QEvent) -> bool:
        """Keep Esc while something is offered: here it puts the list away."""
        override = event.type() is QEvent.Type.ShortcutOverride and self.offers
        if override and isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Steer the list; everything else is typed."""
        steps = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}
        by = steps.get(Qt.Key(event.key()), 0)
        if by and not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            self.moved.emit(by)
        elif event.key() == Qt.Key.Key_Escape and self.offers:
            self.put_away.emit()
        else:
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self.taken.emit()
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Put the list away."""
        super().focusOutEvent(event)
        self.put_away.emit()


class SearchField(LabelledField):
    """Any part of a line finds it. Enter takes the line chosen with Up and Down, or the only one that fits.

    What is typed need not be among the lines: the reader says so.
    """

    def __init__(
        self,
        look: Look,
        name: str,
        label: str,
        reader: Reader | None = None,
        *,
        help_line: str = "",
        spoken: str = "",
    ) -> None:
        self._line = OfferLine()
        super().__init__(look, name, label, self._line, reader=reader, help_line=help_line, spoken=spoken)
        self._look = look
        self._lines: list[tuple[str, str]] = []
        self._fitting = QStringListModel(self)
        self._frame: QFrame | None = None
        self._list = QListView()
        self._line.textEdited.connect(lambda _text: self._offer_fitting())
        self._line.moved.connect(self._move)
        self._line.taken.connect(self._take_current)
        self._line.put_away.connect(self.put_away)

    def offer(self, lines: Sequence[str]) -> None:
        """Offer these lines from now on."""
        self._lines = [(match_key(line), line) for line in lines]

    def offered(self) -> list[str]:
        """Return the lines in sight."""
        return self._fitting.stringList() if self._line.offers else []

    def put_away(self) -> None:
        """Put the list away; what was typed stays."""
        self._line.offers = False
        if self._frame is not None:
            self._frame.hide()

    def _offer_fitting(self) -> None:
        wanted = match_key(self.text()[:100])
        fitting = [(key, line) for key, line in self._lines if wanted and wanted in key]
        begun = [line for key, line in fitting if any(part.startswith(wanted) for part in key.split(" · "))]
        rest = [line for _key, line in fitting if line not in begun]
        self._fitting.setStringList([*begun, *rest][:_MOST_SHOWN])
        if fitting and [*begun, *rest] != [self.text()]:
            self._show()
        else:
            self.put_away()

    def _move(self, by: int) -> None:
        if not self._line.offers:
            self._offer_fitting()
            return
        count = self._fitting.rowCount()
        row = self._list.currentIndex().row()
        place = 0 if row < 0 and by > 0 else (row + by) % count
        self._list.setCurrentIndex(self._fitting.index(place))

    def _take_current(self) -> None:
        if not self._line.offers:
            return
        row = self._list.currentIndex().row()
        lines = self._fitting.stringList()
        if row >= 0 or len(lines) == 1:
            self._take(lines[max(row, 0)])
        self.put_away()

    def _take(self, line: str) -> None:
        self._line.setText(line)
        self.put_away()

    def _show(self) -> None:
        frame = self._frame or self._make_frame()
        look, window = self._look, self.window()
        self._list.setStyleSheet(
            f"QListView::item {{ min-height: {look.px(ROW_HEIGHT)}px; }}"
            f"QListView::item:selected {{ background: {look.tokens.accent_soft}; color: {look.tokens.ink}; }}"
        )
        self._list.setCurrentIndex(self._fitting.index(-1))
        width = max(self._line.width(), min(look.px(_WIDEST), window.width() - 16))
        height = self._fitting.rowCount() * look.px(ROW_HEIGHT) + 10
        corner = self._line.mapTo(window, QPoint(0, self._line.height() + 4))
        if corner.y() + height > window.height() - 8:
            corner.setY(max(8, corner.y() - self._line.height() - height - 8))
        frame.setGeometry(max(8, min(corner.x(), window.width() - width - 8)), corner.y(), width, height)
        frame.show()
        frame.raise_()
        self._line.offers = True

    def _make_frame(self) -> QFrame:
        """Make the list when it is first wanted: by then the field stands in its window."""
        frame = QFrame(self.window())
        frame.setProperty("part", "floating")
        frame.setAccessibleName(self.label)
        self._list.setModel(self._fitting)
        self._list.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._list.setFrameShape(QFrame.Shape.NoFrame)
        self._list.setEditTriggers(QListView.EditTrigger.NoEditTriggers)
        self._list.setUniformItemSizes(True)
        self._list.setSpacing(0)
        self._list.setAccessibleName(self.label)
        self._list.clicked.connect(lambda index: self._take(self._fitting.stringList()[index.row()]))
        column = QVBoxLayout(frame)
        column.setContentsMargins(4, 4, 4, 4)
        column.addWidget(self._list)
        frame.hide()
        self._frame = frame
        return frame
