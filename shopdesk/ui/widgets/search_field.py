"""A field that offers what fits while one types: for lists too long to look through."""

from collections.abc import Sequence

from PySide6.QtCore import QStringListModel, Qt
from PySide6.QtWidgets import QCompleter

from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.controls import Line
from shopdesk.ui.widgets.field import LabelledField, Reader

_MOST_SHOWN = 9


class SearchField(LabelledField):
    """Any part of a line finds it. What is typed need not be among the lines: the reader says so."""

    def __init__(
        self, look: Look, name: str, label: str, reader: Reader | None = None, *, help_line: str = ""
    ) -> None:
        line = Line(select_all=True)
        self._lines = QStringListModel(line)
        self._completer = QCompleter(self._lines, line)
        self._completer.setFilterMode(Qt.MatchFlag.MatchContains)
        self._completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        self._completer.setMaxVisibleItems(_MOST_SHOWN)
        line.setCompleter(self._completer)
        super().__init__(look, name, label, line, reader=reader, help_line=help_line)
        self._completer.popup().setAccessibleName(label)

    def offer(self, lines: Sequence[str]) -> None:
        """Offer these lines."""
        self._lines.setStringList(list(lines))
