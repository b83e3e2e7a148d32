"""A field: a label, an input, and one line beneath that helps, shows the value read, or says what is wrong.

A field never changes or loses what was typed. A reader, handed in, turns the text into the words to show
beneath (the value in the shop's unit) or raises RuleBroken; the sentence then stands beside the field
once the person has left it.
"""

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QSizePolicy, QVBoxLayout, QWidget

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_TIGHT, LARGE_TEXT, TextRole
from shopdesk.ui.widgets.controls import Control
from shopdesk.ui.widgets.plain_label import PlainLabel, button_text
from shopdesk.ui.widgets.state_mark import State, draw_mark

Reader = Callable[[str], str]


class _Mark(QWidget):
    """The triangle before a sentence that says what is wrong."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        look.changed.connect(self._fit)
        self._fit()

    def _fit(self) -> None:
        self.setFixedSize(self._look.px(12), self._look.px(16))

    def paintEvent(self, _event: QPaintEvent) -> None:
        side = self._look.px(10)
        painter = QPainter(self)
        box = QRectF(0, (self.height() - side) / 2, side, side)
        draw_mark(painter, box, State.LATE, self._look.colour("late"))
        painter.end()


class LabelledField(QWidget):
    """What all fields share. ``edited``: the person changed it; ``entered``: Enter, go on."""

    edited = Signal()
    entered = Signal()

    def __init__(
        self,
        look: Look,
        name: str,
        label: str,
        control: Control,
        *,
        unit: str = "",
        help_line: str = "",
        more_help: str = "",
        spoken: str = "",
        reader: Reader | None = None,
        bay: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        """``name`` is what a refusal calls the field; ``more_help`` is what F1 shows.

        ``spoken`` is what is read out in place of a label that stands several times on a page.
        """
        super().__init__(parent)
        self._look = look
        self._name = name
        self._help = help_line
        self._more_help = more_help
        self._spoken = spoken
        self._reader = reader
        self._error = ""
        self._compact = False
        self._control = control
        self._label = PlainLabel(
            button_text(label), TextRole.BODY if bay else TextRole.HELP, strong=True, parent=self
        )
        self._label.setBuddy(control)
        self._label.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        self._wrap_label()
        look.changed.connect(self._wrap_label)
        self._unit = PlainLabel(unit, TextRole.VALUE if bay else TextRole.BODY, tone="ink2", parent=self)
        self._unit.setVisible(bool(unit))
        self._beneath = PlainLabel(help_line, TextRole.HELP, tone="ink2", wrap=True, parent=self)
        self._mark = _Mark(look, self)
        self._mark.hide()
        self._name_aloud(control, spoken or label, unit)
        control.setAccessibleDescription(help_line)
        control.setProperty("part", "bay" if bay else control.property("part"))
        control.installEventFilter(self)
        self.setFocusProxy(control)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        self._lay_out()
        control.entered.connect(self.entered)
        control.changed.connect(self._changed)

    @property
    def name(self) -> str:
        """The name a refusal uses for the field."""
        return self._name

    @property
    def control(self) -> Control:
        """The input itself."""
        return self._control

    @property
    def label(self) -> str:
        """The words above the input."""
        return self._label.text().replace("&&", "&")

    @property
    def help_words(self) -> str:
        """What F1 shows."""
        return self._more_help or self._help

    @property
    def error(self) -> str:
        """The sentence that stands beside the field, or nothing."""
        return self._error

    @property
    def beneath(self) -> str:
        """The line beneath the input as it is shown now."""
        return self._beneath.text()

    def text(self) -> str:
        """Return what stands in the field, right or wrong."""
        return self._control.typed()

    def set_text(self, text: str) -> None:
        """Put a text in; it counts as the program's, not the person's."""
        self._control.put(text)
        self.clear_error()
        self._show_reading()

    def set_help(self, help_line: str) -> None:
        """Change the line that helps."""
        self._help = help_line
        if not self._error:
            self._control.setAccessibleDescription(help_line)
            self._show_reading()

    def set_unit(self, unit: str) -> None:
        """Change the unit beside the input."""
        self._unit.setText(unit)
        self._unit.setVisible(bool(unit))
        self._name_aloud(self._control, self._spoken or self.label, unit)

    def set_error(self, sentence: str) -> None:
        """Say what is wrong beside the field; the text stays."""
        self._error = sentence
        self._mark.show()
        self._say(sentence, "late")
        self._control.setAccessibleDescription(sentence)
        self._set_wrong(True)

    def clear_error(self) -> None:
        """Take back what was said to be wrong."""
        if not self._error:
            return
        self._error = ""
        self._mark.hide()
        self._control.setAccessibleDescription(self._help)
        self._set_wrong(False)
        self._show_reading()

    def show_again(self) -> None:
        """Read the text again, because what its reading depends on has changed."""
        self.clear_error()
        self._show_reading()

    def check(self) -> bool:
        """Read the text now and say what is wrong with it; whether it can be read."""
        if self._reader is None or not self.text().strip():
            return not self._error
        try:
            self._reader(self.text())
        except RuleBroken as refusal:
            self.set_error(refusal.sentence)
            return False
        return not self._error

    def hide_label(self) -> None:
        """Leave the label empty, for an input that carries its own words and stands beside others."""
        self._label.setText(" ")

    def stand_alone(self) -> None:
        """Take no room for a label, nor for a line beneath while there is none: for ticks among ticks."""
        self._label.hide()
        self._compact = True
        self._show_reading()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Come into sight with the keyboard, however it came here; check the text when the person leaves."""
        if watched is self._control and event.type() is QEvent.Type.FocusIn:
            self._come_into_sight()
            QTimer.singleShot(0, self, self._come_into_sight)  # a form opened just now has no place yet
        if watched is self._control and event.type() is QEvent.Type.FocusOut:
            self.check()
        return super().eventFilter(watched, event)

    def _wrap_label(self) -> None:
        """Large words go over two lines rather than widen the page; small ones keep inputs in line."""
        self._label.setWordWrap(self._look.percent > LARGE_TEXT)

    @staticmethod
    def _name_aloud(control: Control, words: str, unit: str) -> None:
        control.setAccessibleName(f"{words} ({unit})" if unit else words)

    def _come_into_sight(self) -> None:
        if not self._control.hasFocus():
            return
        around = self.parentWidget()
        while around is not None and not isinstance(around, QScrollArea):
            around = around.parentWidget()
        if isinstance(around, QScrollArea):
            around.ensureWidgetVisible(self, 0, self._look.px(GAP))

    def _changed(self) -> None:
        self.clear_error()
        self._show_reading()
        self.edited.emit()

    def _show_reading(self) -> None:
        shown = ""
        if self._reader is not None and self.text().strip():
            try:
                shown = self._reader(self.text())
            except RuleBroken:
                shown = ""
        self._say(shown or self._help, "ink" if shown else "ink2")

    def _say(self, words: str, tone: str) -> None:
        self._beneath.set_tone(tone)
        self._beneath.setText(words)
        self._beneath.setMinimumHeight(0 if self._compact else self._look.px(16))
        self._beneath.setVisible(bool(words) or not self._compact)

    def _set_wrong(self, wrong: bool) -> None:
        self._control.setProperty("wrong", wrong)
        self._control.style().unpolish(self._control)
        self._control.style().polish(self._control)

    def _lay_out(self) -> None:
        look = self._look
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP_TIGHT))
        column.addWidget(self._label)
        row = QHBoxLayout()
        row.setSpacing(look.px(GAP))
        row.addWidget(self._control, 1)
        row.addWidget(self._unit)
        column.addLayout(row)
        beneath = QHBoxLayout()
        beneath.setSpacing(look.px(GAP_TIGHT))
        beneath.addWidget(self._mark, 0, Qt.AlignmentFlag.AlignTop)
        beneath.addWidget(self._beneath, 1)
        self._beneath.setMinimumHeight(look.px(16))
        column.addLayout(beneath)
