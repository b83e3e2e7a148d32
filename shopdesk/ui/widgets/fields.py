"""The kinds of field."""

from collections.abc import Callable, Sequence
from datetime import date
from gettext import gettext as _
from typing import TypedDict, Unpack

from PySide6.QtCore import Qt

from shopdesk.ui.presenters.dates import read_date, show_date
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.controls import Check, Line, Notes, Pick
from shopdesk.ui.widgets.field import LabelledField, Reader
from shopdesk.ui.widgets.plain_label import button_text


class FieldOptions(TypedDict, total=False):
    """What every field may be told: see LabelledField."""

    unit: str
    help_line: str
    more_help: str
    spoken: str
    bay: bool


class TextField(LabelledField):
    """One line of text."""

    def __init__(
        self,
        look: Look,
        name: str,
        label: str,
        reader: Reader | None = None,
        *,
        hint: str = "",
        **more: Unpack[FieldOptions],
    ) -> None:
        line = Line()
        line.setPlaceholderText(hint)
        super().__init__(look, name, label, line, reader=reader, **more)


class NumberField(LabelledField):
    """A measured value: any known unit may be typed, the value in the shop's unit stands beneath."""

    def __init__(
        self,
        look: Look,
        name: str,
        label: str,
        reader: Reader | None = None,
        **more: Unpack[FieldOptions],
    ) -> None:
        self.line = Line(select_all=True)
        self.line.setProperty("part", "value")
        self.line.setAlignment(Qt.AlignmentFlag.AlignRight)
        super().__init__(look, name, label, self.line, reader=reader, **more)


class DateField(LabelledField):
    """A date typed in words or figures. ``today`` is asked for each time it is read."""

    def __init__(
        self, look: Look, name: str, label: str, today: Callable[[], date], **more: Unpack[FieldOptions]
    ) -> None:
        self._today = today
        super().__init__(look, name, label, Line(select_all=True), reader=self._read, **more)

    def day(self) -> date | None:
        """Return the date, or None if there is none. Raises RuleBroken if it cannot be read."""
        typed = self.text().strip()
        return read_date(typed, self._today(), self.name) if typed else None

    def _read(self, text: str) -> str:
        return show_date(read_date(text, self._today(), self.name))


class ChoiceField(LabelledField):
    """One of several, each a key and its words. ``text`` is the key."""

    def __init__(
        self,
        look: Look,
        name: str,
        label: str,
        choices: Sequence[tuple[str, str]] = (),
        **more: Unpack[FieldOptions],
    ) -> None:
        self._pick = Pick()
        self._pick.offer(choices)
        super().__init__(look, name, label, self._pick, **more)

    def set_choices(self, choices: Sequence[tuple[str, str]]) -> None:
        """Offer other choices; the one chosen stays if it is among them."""
        self._pick.offer(choices)

    def words(self) -> str:
        """Return the words of the choice."""
        return self._pick.currentText()

    def words_of(self, key: str) -> str:
        """Return the words of a choice by its key, or the key where it is not offered."""
        place = self._pick.findData(key)
        return self._pick.itemText(place) if place >= 0 else key


class NotesField(LabelledField):
    """Several lines of text."""

    def __init__(
        self, look: Look, name: str, label: str, *, lines: int = 3, **more: Unpack[FieldOptions]
    ) -> None:
        notes = Notes(lines)
        super().__init__(look, name, label, notes, **more)
        look.changed.connect(notes.fit)


class CheckField(LabelledField):
    """A tick with its words beside it. ``text`` is "yes" or nothing."""

    def __init__(self, look: Look, name: str, label: str, **more: Unpack[FieldOptions]) -> None:
        self._words = label
        super().__init__(look, name, label, Check(button_text(label)), **more)
        self.hide_label()

    @property
    def label(self) -> str:
        """The words beside the tick."""
        return self._words


def reading(words: str) -> str:
    """Return the line that shows a value read in the shop's own unit."""
    return _("reads as {value}").format(value=words)
