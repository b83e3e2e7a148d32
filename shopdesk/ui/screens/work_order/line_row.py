"""One line of the price table as cells to type into."""

from collections.abc import Callable
from gettext import gettext as _

from PySide6.QtCore import QObject, QStringListModel, Qt, Signal
from PySide6.QtWidgets import QCompleter, QGridLayout, QWidget

from shopdesk.ui.presenters.line_texts import (
    NAMES,
    LineTexts,
    condition_choices,
    kind_choices,
    usual_unit,
)
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import TextRole
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.controls import Control, Line, Pick
from shopdesk.ui.widgets.plain_label import PlainLabel

#: Shares of the width in one row: kind, what, quantity, unit, price, discount, net, remove.
WIDE = (4, 14, 3, 3, 4, 3, 3, 0)


class LineCells(QObject):
    """``edited``: the person changed a cell; ``picked``: an item was chosen by its name; ``ended``: Enter
    in the last cell; ``gone``: the line is to be removed."""

    edited = Signal()
    picked = Signal(str)
    ended = Signal()
    gone = Signal()

    def __init__(self, look: Look, number: int, names: QStringListModel, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self._hidden: dict[str, str] = {"item": "", "tax_class": "", "unit_id": ""}
        self.cells: dict[str, Control] = {
            "kind": Pick(parent),
            "text": Line(parent=parent),
            "quantity": Line(select_all=True, parent=parent),
            "unit": Line(select_all=True, parent=parent),
            "price": Line(select_all=True, parent=parent),
            "discount": Line(select_all=True, parent=parent),
            "condition": Pick(parent),
        }
        self.net = PlainLabel("", strong=True, parent=parent)
        self.net.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.error = PlainLabel("", TextRole.HELP, tone="late", wrap=True, parent=parent)
        self.error.hide()
        self.remove = Button(look, "", ButtonPart.QUIET, icon="x", parent=parent)
        self.remove.clicked.connect(lambda: self.gone.emit())
        self._offer(names)
        self._connect()
        self.number(number)

    def number(self, number: int) -> None:
        """Tell a screen reader which line this is."""
        labels = {
            "kind": _("kind"),
            "text": _("what it is for"),
            "quantity": _("quantity"),
            "unit": _("counted in"),
            "price": _("price of one"),
            "discount": _("discount"),
            "condition": _("condition"),
        }
        for name, cell in self.cells.items():
            cell.setAccessibleName(_("Line {n}: {what}").format(n=number, what=labels[name]))
        self.remove.setAccessibleName(_("Remove line {n}").format(n=number))

    def texts(self) -> LineTexts:
        """Return what stands in the cells."""
        typed = {name: cell.typed() for name, cell in self.cells.items()}
        return LineTexts(**{**typed, **self._hidden})

    def put(self, line: LineTexts) -> None:
        """Put a line in."""
        for name in NAMES:
            if name in self.cells:
                if self.cells[name].typed() != getattr(line, name):  # what is marked stays marked
                    self.cells[name].put(getattr(line, name))
                    self._show_start(self.cells[name])
            else:
                self._hidden[name] = getattr(line, name)
        self.show_kind()

    @staticmethod
    def _show_start(cell: Control) -> None:
        """A text longer than its cell is shown from its beginning."""
        if isinstance(cell, Line) and not cell.hasFocus():
            cell.setCursorPosition(0)

    def show_kind(self) -> None:
        """Only a part has a condition."""
        self.cells["condition"].setVisible(self.cells["kind"].typed() == "part")

    def refuse(self, cell: str, sentence: str) -> None:
        """Say what is wrong with the line, and put the keyboard into the cell it is about."""
        self.error.setText(sentence)
        self.error.setVisible(bool(sentence))
        for name, each in self.cells.items():
            each.setProperty("wrong", bool(sentence) and name == cell)
            each.style().unpolish(each)
            each.style().polish(each)
        if sentence:
            self.cells[cell].setAccessibleDescription(sentence)
            self.cells[cell].setFocus()

    def widgets(self) -> tuple[QWidget, ...]:
        """Return every part of the line."""
        return (*self.cells.values(), self.net, self.error, self.remove)

    def place_wide(self, grid: QGridLayout, row: int) -> int:
        """Place the line in one row, what belongs to it beneath; gives the next free row."""
        order = ("kind", "text", "quantity", "unit", "price", "discount")
        for column, name in enumerate(order):
            grid.addWidget(self.cells[name], row, column)
        grid.addWidget(self.net, row, 6)
        grid.addWidget(self.remove, row, 7)
        grid.addWidget(self.cells["condition"], row + 1, 1)
        grid.addWidget(self.error, row + 1, 2, 1, 6)
        return row + 2

    def place_narrow(self, grid: QGridLayout, row: int) -> int:
        """Place the line in two rows, for narrow windows and large text; gives the next free row."""
        grid.addWidget(self.cells["kind"], row, 0)
        grid.addWidget(self.cells["text"], row, 1, 1, 3)
        grid.addWidget(self.remove, row, 4)
        for column, name in enumerate(("quantity", "unit", "price", "discount")):
            grid.addWidget(self.cells[name], row + 1, column)
        grid.addWidget(self.net, row + 1, 4)
        grid.addWidget(self.cells["condition"], row + 2, 0)
        grid.addWidget(self.error, row + 2, 1, 1, 4)
        return row + 3

    def _offer(self, names: QStringListModel) -> None:
        kind, condition, text = self.cells["kind"], self.cells["condition"], self.cells["text"]
        if isinstance(kind, Pick) and isinstance(condition, Pick) and isinstance(text, Line):
            kind.offer(kind_choices())
            condition.offer(condition_choices())
            completer = QCompleter(names, self)
            completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
            completer.setCompletionMode(QCompleter.CompletionMode.InlineCompletion)
            text.setCompleter(completer)
            text.editingFinished.connect(lambda: self.picked.emit(text.typed()))
        for name in ("quantity", "price", "discount"):
            cell = self.cells[name]
            if isinstance(cell, Line):
                cell.setAlignment(Qt.AlignmentFlag.AlignRight)

    def _connect(self) -> None:
        order = ("kind", "text", "quantity", "unit", "price", "discount")
        for place, name in enumerate(order):
            cell = self.cells[name]
            cell.changed.connect(self._changer(name))
            if place + 1 < len(order):
                cell.entered.connect(self.cells[order[place + 1]].setFocus)
        self.cells["discount"].entered.connect(self.ended)
        self.cells["condition"].changed.connect(self._changer("condition"))

    def _changer(self, name: str) -> Callable[[], None]:
        def changed() -> None:
            if name == "kind":
                self._hidden["tax_class"] = ""
                if not self._hidden["item"]:
                    self.cells["unit"].put(usual_unit(self.cells["kind"].typed()))
                self.show_kind()
            if name == "text" and not self.cells["text"].typed().strip():
                self._hidden["item"] = ""
            self.refuse(name, "")
            self.edited.emit()

        return changed
