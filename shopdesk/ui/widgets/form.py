"""Fields in one, two or three columns, as many as the width and the text size allow."""

import re
from collections.abc import Mapping
from typing import TypeVar

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_WIDE, TextRole
from shopdesk.ui.widgets.field import LabelledField
from shopdesk.ui.widgets.plain_label import PlainLabel

Field = TypeVar("Field", bound=LabelledField)
_BEGUN_FROM = "begun from "


class Form(QWidget):
    """Holds fields by name. Enter goes from one to the next; ``completed`` comes after the last.

    Nothing is ever cleared by an error: the sentence goes beside its field, or beneath the form when it
    is about none of them.
    """

    edited = Signal()
    completed = Signal()

    def __init__(
        self,
        look: Look,
        *,
        columns: int = 2,
        least_width: int = 200,
        step: int = 1,
        parent: QWidget | None = None,
    ) -> None:
        """``columns`` is the most there may be, ``least_width`` a column's least width in pixels.

        ``step`` keeps fields together that belong beside one another: there are a whole number of
        steps of columns, or one column.
        """
        super().__init__(parent)
        self._look = look
        self._most = columns
        self._step = step
        self._least_width = least_width
        self._parts: list[tuple[QWidget, int]] = []
        self._fields: dict[str, LabelledField] = {}
        self._touched = False
        self._base: dict[str, str] = {}
        self._from_draft = False
        self._columns_now = 0  # as the parts are laid out
        self._free = (0, 0)
        self._error = PlainLabel("", TextRole.HELP, tone="late", wrap=True)
        self._error.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP))
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(look.px(GAP_WIDE))
        self._grid.setVerticalSpacing(look.px(GAP))
        column.addLayout(self._grid)
        column.addWidget(self._error)
        look.changed.connect(self.arrange)

    def add(self, field: Field, span: int = 1) -> Field:
        """Add a field over ``span`` columns (0: the whole width) and return it."""
        self._fields[field.name] = field
        self._parts.append((field, span))
        field.edited.connect(self._field_edited)
        field.entered.connect(lambda: self._go_on(field))
        self._arrange_last()
        return field

    def heading(self, words: str) -> PlainLabel:
        """Add a heading over the whole width."""
        label = PlainLabel(words, TextRole.CARD)
        self._parts.append((label, 0))
        self._arrange_last()
        return label

    def insert_part(self, part: QWidget) -> None:
        """Add something that is not a field over the whole width."""
        self._parts.append((part, 0))
        self._arrange_last()

    def field(self, name: str) -> LabelledField:
        """Return a field by name; KeyError if there is none."""
        return self._fields[name]

    @property
    def touched(self) -> bool:
        """Whether the person changed anything since the form was filled."""
        return self._touched

    @property
    def error(self) -> str:
        """The sentence beneath the form, or nothing."""
        return self._error.text()

    def texts(self) -> dict[str, str]:
        """Return what stands in every field, right or wrong, by name."""
        return {name: field.text() for name, field in self._fields.items()}

    values = texts

    @property
    def base(self) -> Mapping[str, str]:
        """What the person began from, by name."""
        return self._base

    @property
    def is_from_draft(self) -> bool:
        """Whether a draft was put back that knows what it was begun from."""
        return self._from_draft

    def draft(self) -> dict[str, str]:
        """Return every text, and what each that was changed was begun from."""
        texts = self.texts()
        begun = {name: self._base.get(name, "") for name in texts}
        return texts | {_BEGUN_FROM + n: text for n, text in begun.items() if text != texts[n]}

    def fill(self, texts: Mapping[str, str]) -> None:
        """Put in what the program knows; the form counts as untouched afterwards."""
        self.follow(texts)
        self.clear_errors()
        self._touched = self._from_draft = False

    def follow(self, texts: Mapping[str, str]) -> None:
        """Put in what the program knows now, beside what was typed into other fields."""
        for name, text in texts.items():
            if name in self._fields:
                self._fields[name].set_text(text)
                self._base[name] = self._fields[name].text()

    def begin_from(self, texts: Mapping[str, str]) -> None:
        """Take note of what is kept now: what is typed is a change of that."""
        self._base |= {name: text for name, text in texts.items() if name in self._fields}

    def restore(self, texts: Mapping[str, str]) -> None:
        """Put back a draft; it counts as typed by the person."""
        size = len(_BEGUN_FROM)
        begun = {name[size:]: text for name, text in texts.items() if name.startswith(_BEGUN_FROM)}
        self.fill(texts)
        self.begin_from(begun)
        self._from_draft = bool(begun)
        self._touched = True
        self.edited.emit()

    def set_error(self, name: str, sentence: str) -> None:
        """Say what is wrong beside the field ``name``, or beneath the form if there is no such field."""
        field = self._fields.get(name)
        if field is not None and not field.isHidden():
            field.set_error(sentence)
            return
        self._error.setText(sentence)
        self._error.show()

    def clear_errors(self) -> None:
        """Take back everything that was said to be wrong."""
        self._error.setText("")
        self._error.hide()
        for field in self._fields.values():
            field.clear_error()

    def show_refusal(self, refusal: RuleBroken) -> None:
        """Show a refusal beside the field it is about and put the keyboard there."""
        name = self._field_of(refusal.field)
        self.set_error(name, refusal.sentence)
        if name in self._fields and not self._fields[name].isHidden():
            self._fields[name].setFocus()

    def check(self) -> bool:
        """Read every field now; the keyboard goes to the first that is wrong. Whether all can be read.

        What was said before is taken back: a refusal beside one field may be mended in another.
        """
        self.clear_errors()
        wrong = [field for field in self._fields.values() if not field.isHidden() and not field.check()]
        if wrong:
            wrong[0].setFocus()
        return not wrong

    def focus_first(self) -> None:
        """Put the keyboard into the first field."""
        for field in self._fields.values():
            if field.isVisibleTo(self) and field.control.isEnabled():
                field.setFocus()
                return

    def arrange(self) -> None:
        """Lay the fields out again, after one was hidden or shown or the width changed."""
        for part, _span in self._parts:
            self._grid.removeWidget(part)  # an item taken from Python would linger and keep an old height
        self._columns_now = self._columns()
        self._free = (0, 0)
        for part, wanted in self._parts:
            self._place(part, wanted)
        for number in range(self._most):
            self._grid.setColumnStretch(number, 1 if number < self._columns_now else 0)

    def _arrange_last(self) -> None:
        """Lay out the part added last; those before it stay where they are, unless the width has changed."""
        if self._columns_now != self._columns():
            self.arrange()
        else:
            self._place(*self._parts[-1])

    def _place(self, part: QWidget, wanted: int) -> None:
        if part.isHidden() and part.parent() is not None:
            return
        (row, column), columns = self._free, self._columns_now
        span = columns if wanted == 0 else min(wanted, columns)
        if column + span > columns:
            row, column = row + 1, 0
        self._grid.addWidget(part, row, column, 1, span, Qt.AlignmentFlag.AlignTop)
        self._free = (row, column + span)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Take another number of columns when the width asks for it."""
        super().resizeEvent(event)
        if self._grid.columnStretch(self._columns() - 1) == 0 or self._surplus():
            self.arrange()

    def _surplus(self) -> bool:
        columns = self._columns()
        return columns < self._most and self._grid.columnStretch(columns) > 0

    def _columns(self) -> int:
        room = self.width() + self._look.px(GAP_WIDE)
        each = self._look.px(self._least_width) + self._look.px(GAP_WIDE)
        columns = max(1, min(self._most, room // each))
        return columns if columns == 1 else max(1, columns - columns % self._step)

    def _field_edited(self) -> None:
        self._touched = True
        self._error.hide()
        self._error.setText("")
        self.edited.emit()

    def _go_on(self, field: LabelledField) -> None:
        field.check()
        after = list(self._fields.values())
        for following in after[after.index(field) + 1 :]:
            if following.isVisibleTo(self) and following.control.isEnabled():
                following.setFocus()
                return
        self.completed.emit()

    def _field_of(self, path: str) -> str:
        if path in self._fields:
            return path
        steps = [step for step in re.split(r"[/.\[\]]+", path) if step]
        return next((step for step in reversed(steps) if step in self._fields), "")
