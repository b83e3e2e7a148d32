"""The price table: lines to type into, with what they come to worked out while one types."""

from collections.abc import Mapping, Sequence
from gettext import gettext as _

from PySide6.QtCore import QStringListModel, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.text import match_key
from shopdesk.domain.units import NumberStyle
from shopdesk.services.items import ItemView
from shopdesk.services.typed import Typed
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.presenters.line_texts import (
    LineTexts,
    by_key,
    flat,
    from_item,
    is_blank,
    net_of,
    net_of_all,
    place_of,
    unflat,
)
from shopdesk.ui.screens.work_order.line_row import WIDE, LineCells
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_TIGHT, TextRole
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.controls import Pick
from shopdesk.ui.widgets.flow import Flow
from shopdesk.ui.widgets.plain_label import PlainLabel

_NARROW = 640


class LinesEditor(QWidget):
    """``edited``: the person changed a line; ``completed``: Enter in the last cell of an empty last line;
    ``rearranged``: there are other lines now."""

    edited = Signal()
    completed = Signal()
    rearranged = Signal()

    def __init__(self, look: Look, work: AtWork) -> None:
        super().__init__()
        self._look = look
        self._work = work
        self._rows: list[LineCells] = []
        self._items: Mapping[str, ItemView] = {}
        self._names = QStringListModel(self)
        self._touched = False
        self._editable = True
        self._wide: bool | None = None
        self._heads = [PlainLabel(words, TextRole.HELP, tone="ink2", parent=self) for words in _titles()]
        for head in (self._heads[2], *self._heads[4:]):
            head.setAlignment(Qt.AlignmentFlag.AlignRight)
        self._heads[3].setContentsMargins(look.px(10), 0, 0, 0)  # as its texts stand in their fields
        self.empty = PlainLabel(_("No line yet."), tone="ink2", parent=self)
        self.error = PlainLabel("", TextRole.HELP, tone="late", wrap=True, parent=self)
        self.error.hide()
        self.add_button = Button(look, _("Add a line"), ButtonPart.QUIET, icon="plus")
        self.add_button.clicked.connect(lambda: self.add_line())
        self.from_list = Pick()
        self.from_list.setAccessibleName(_("Add from the list: choose, then Enter"))
        self.from_list.entered.connect(self._add_item)
        self.from_list.picked.connect(self._add_item)
        self.from_list.setMinimumWidth(look.px(220))
        self.net = PlainLabel("", TextRole.VALUE)
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(look.px(GAP_TIGHT))
        self._grid.setVerticalSpacing(look.px(GAP_TIGHT))
        self._lay_out()

    @property
    def touched(self) -> bool:
        """Whether the person changed anything since the lines were filled in."""
        return self._touched

    @property
    def rows(self) -> Sequence[LineCells]:
        """The lines as cells, in order."""
        return self._rows

    def offer(self, goods: Sequence[ItemView]) -> None:
        """Offer these items while a line's text is typed."""
        self._items = by_key(goods)
        self._names.setStringList([item.name for item in goods])
        self.from_list.offer([("", _("Add from the list…")), *((g.name, g.name) for g in goods)])

    def lines(self) -> tuple[LineTexts, ...]:
        """Return the lines that hold something."""
        return tuple(line for line in (row.texts() for row in self._rows) if not is_blank(line))

    def fill(self, lines: Sequence[LineTexts]) -> None:
        """Show kept lines; they count as untouched."""
        self._set_count(len(lines))
        for row, line in zip(self._rows, lines, strict=True):
            row.put(line)
            row.refuse("text", "")
        self._touched = False
        self._say()

    def texts(self) -> dict[str, str]:
        """Return every line for a draft."""
        return flat([row.texts() for row in self._rows])

    def restore(self, texts: Mapping[str, str]) -> None:
        """Put a draft back; it counts as typed."""
        self.fill(unflat(texts))
        self._touched = True
        self.edited.emit()

    def add_line(self, line: LineTexts | None = None) -> None:
        """Add a line and put the keyboard into it."""
        self._set_count(len(self._rows) + 1)
        self._rows[-1].put(line or LineTexts())
        self._say()
        self._rows[-1].cells["text"].setFocus()

    def set_editable(self, editable: bool) -> None:
        """Allow or stop changes."""
        self._editable = editable
        self.add_button.setVisible(editable)
        self.from_list.setVisible(editable)
        for row in self._rows:
            self._allow(row)

    def show_refusal(self, refusal: RuleBroken) -> None:
        """Say beside the line what was refused."""
        place = place_of(refusal.field)
        filled = [row for row in self._rows if not is_blank(row.texts())]
        if place is None or place[0] >= len(filled):
            self.error.setText(refusal.sentence)
            self.error.show()
            return
        filled[place[0]].refuse(place[1], refusal.sentence)

    def focus_first(self) -> None:
        """Put the keyboard where a line begins."""
        if self._rows:
            self._rows[0].cells["text"].setFocus()
        else:
            self.add_button.setFocus()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Take two rows for a line when one is too short."""
        super().resizeEvent(event)
        self._place()

    def _typed(self) -> Typed:
        return Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)

    def _set_count(self, count: int) -> None:
        if count == len(self._rows):
            return
        while len(self._rows) > count:
            self._drop(self._rows.pop())
        while len(self._rows) < count:
            self._rows.append(self._new_row())
        self._wide = None
        self._place()
        self.rearranged.emit()

    def _new_row(self) -> LineCells:
        row = LineCells(self._look, len(self._rows) + 1, self._names, self)
        row.edited.connect(self._changed)
        row.picked.connect(lambda name: self._pick(row, name))
        row.ended.connect(lambda: self._go_on(row))
        row.gone.connect(lambda: self._remove(row))
        for part in row.widgets():
            part.setVisible(part is not row.error)
        self._allow(row)
        return row

    def _allow(self, row: LineCells) -> None:
        for cell in row.cells.values():
            cell.setEnabled(self._editable)
        row.remove.setVisible(self._editable)

    def _drop(self, row: LineCells) -> None:
        for part in row.widgets():
            self._grid.removeWidget(part)
            part.hide()
            part.deleteLater()
        row.deleteLater()

    def _remove(self, row: LineCells) -> None:
        place = self._rows.index(row)
        self._drop(self._rows.pop(place))
        for number, each in enumerate(self._rows, start=1):
            each.number(number)
        self._wide = None
        self._place()
        after = self._rows[min(place, len(self._rows) - 1)] if self._rows else None
        (after.remove if after is not None else self.add_button).setFocus()
        self.rearranged.emit()
        self._changed()

    def _pick(self, row: LineCells, name: str) -> None:
        item = self._items.get(match_key(name))
        line = row.texts()
        if item is None or line.item == item.name:
            return
        row.put(from_item(line, item, self._work.figures))
        self._changed()

    def _add_item(self) -> None:
        """Add a line for the item picked from the list; the quantity comes next."""
        item = self._items.get(match_key(self.from_list.typed()))
        if item is None:
            return
        self.add_line(from_item(LineTexts(), item, self._work.figures))
        self._rows[-1].cells["quantity"].setFocus()
        self.from_list.put("")
        self._changed()

    def _go_on(self, row: LineCells) -> None:
        place = self._rows.index(row)
        if place + 1 < len(self._rows):
            self._rows[place + 1].cells["text"].setFocus()
        elif is_blank(row.texts()):
            self.completed.emit()
        else:
            self.add_line()

    def _changed(self) -> None:
        self._touched = True
        self.error.hide()
        self._say()
        self.edited.emit()

    def _say(self) -> None:
        figures, typed = self._work.figures, self._typed()
        for row in self._rows:
            line = row.texts()
            net = None if is_blank(line) else net_of(line, typed)
            row.net.setText("" if net is None else figures.money(net, sign=False))
        total, unread = net_of_all([row.texts() for row in self._rows], typed)
        words = _("{amount} before tax").format(amount=figures.money(total))
        self.net.setText(f"{words} …" if unread else words)
        self.empty.setVisible(not self._rows)

    def _place(self) -> None:
        wide = self.width() >= self._look.px(_NARROW)
        if wide == self._wide:
            return
        self._wide = wide
        for part in (*self._heads, *(part for row in self._rows for part in row.widgets())):
            self._grid.removeWidget(part)
        for column in range(len(WIDE)):
            share = WIDE[column] if wide else (3 if column < 4 else 2 if column == 4 else 0)
            self._grid.setColumnStretch(column, share)
        for column, head in enumerate(self._heads):
            head.setVisible(wide and bool(self._rows))
            if wide:
                self._grid.addWidget(head, 0, column)
        place = 1
        for row in self._rows:
            place = row.place_wide(self._grid, place) if wide else row.place_narrow(self._grid, place)
            row.show_kind()

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(self._look.px(GAP))
        column.addWidget(self.empty)
        column.addLayout(self._grid)
        column.addWidget(self.error)
        foot = Flow(self._look.px(GAP))
        foot.addWidget(self.add_button)
        foot.addWidget(self.from_list)
        column.addLayout(foot)
        self.net.setAlignment(Qt.AlignmentFlag.AlignRight)
        column.addWidget(self.net)


def _titles() -> tuple[str, ...]:
    return (
        _("Kind"),
        _("What it is for"),
        _("Quantity"),
        _("Unit"),
        _("Price of one"),
        _("Discount"),
        _("Net"),
    )
