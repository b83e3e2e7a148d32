"""A pad of large keys that types into the field in use. The keyboard types there as ever."""

from collections.abc import Callable, Sequence
from functools import partial
from gettext import gettext as _

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLineEdit, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import BAY_TARGET, GAP
from shopdesk.ui.widgets.button import BigButton

_ROWS = ("789", "456", "123")


class NumberPad(QWidget):
    """Keys of 56 pixels; the units that may be typed have keys of their own. ``next`` is the Enter key."""

    next = Signal()

    def __init__(self, look: Look, units: Sequence[str] = (), parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("Number pad"))
        self._look = look
        self._aim: QLineEdit | None = None
        self._unit_keys: list[BigButton] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(look.px(GAP))
        for column in range(3):
            self._grid.setColumnStretch(column, 1)
            self._grid.setColumnMinimumWidth(column, look.px(BAY_TARGET))
        for row, digits in enumerate(_ROWS):
            for column, digit in enumerate(digits):
                self._key(row, column, digit, digit)
        self._key(3, 0, ".", _("Decimal point"))
        self._key(3, 1, "0", "0")
        self._press(3, 2, "", _("Delete the last one"), self._delete, icon="delete")
        self._press(5, 0, _("Clear"), _("Clear"), self._clear)
        self._press(5, 1, _("Next"), _("Next field"), self.next.emit, span=2)
        self.set_units(units)

    def aim_at(self, line: QLineEdit, units: Sequence[str] = ()) -> None:
        """Type into ``line`` from now on, with keys for its units."""
        self._aim = line
        self.set_units(units)

    def set_units(self, units: Sequence[str]) -> None:
        """Show keys for these units (three at most)."""
        for key in self._unit_keys:
            self._grid.removeWidget(key)
            key.deleteLater()
        self._unit_keys = [
            self._press(4, column, unit, unit, partial(self._type_unit, unit))
            for column, unit in enumerate(units[:3])
        ]

    def _key(self, row: int, column: int, text: str, name: str) -> None:
        self._press(row, column, text, name, lambda: self._type(text))

    def _press(
        self,
        row: int,
        column: int,
        text: str,
        name: str,
        do: Callable[[], None],
        *,
        icon: str = "",
        span: int = 1,
    ) -> BigButton:
        key = BigButton(self._look, text, icon=icon, name=name)
        key.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        key.clicked.connect(lambda: do())
        self._grid.addWidget(key, row, column, 1, span)
        return key

    def _type(self, text: str) -> None:
        if self._aim is not None:
            self._aim.insert(text)

    def _type_unit(self, unit: str) -> None:
        if self._aim is not None:
            number = self._aim.text().rstrip(" abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ°·-")
            self._aim.setText(f"{number} {unit}")

    def _delete(self) -> None:
        if self._aim is not None:
            self._aim.backspace()

    def _clear(self) -> None:
        if self._aim is not None:
            self._aim.clear()
