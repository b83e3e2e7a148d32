"""A line that offers what is known already while one types; anything else may be typed too."""

from collections.abc import Sequence
from typing import Unpack

from PySide6.QtCore import QStringListModel, Qt
from PySide6.QtWidgets import QCompleter

from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.controls import Line
from shopdesk.ui.widgets.field import LabelledField, Reader
from shopdesk.ui.widgets.fields import FieldOptions

_ROWS = 9


class SuggestField(LabelledField):
    """Down opens the list, Enter takes what is marked in it, and Enter once more goes on."""

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
        line = Line(select_all=True)
        line.setPlaceholderText(hint)
        super().__init__(look, name, label, line, reader=reader, **more)
        self._names = QStringListModel(self)
        completer = QCompleter(self._names, self)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        completer.setMaxVisibleItems(_ROWS)
        popup = completer.popup()
        if popup is not None:
            popup.setAccessibleName(label)
        line.setCompleter(completer)

    def offer(self, names: Sequence[str]) -> None:
        """Offer these."""
        self._names.setStringList(list(names))
        self.show_again()
