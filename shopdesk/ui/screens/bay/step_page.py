"""One step of the work on the bay's screen: cautions first, big fields, one big button."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from gettext import gettext as _

from PySide6.QtCore import QEvent, QObject, QRectF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from shopdesk.domain.record import EntryKind
from shopdesk.ui.presenters.bay_plan import BayStep
from shopdesk.ui.presenters.record_shape import Slot
from shopdesk.ui.presenters.record_words import choices_of
from shopdesk.ui.screens.bay.warm_panel import WarmPanel
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_TIGHT, RADIUS, TextRole
from shopdesk.ui.widgets.facts import Sign
from shopdesk.ui.widgets.field import Reader
from shopdesk.ui.widgets.fields import NumberField, TextField
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.segments import Segments

_CHOICES = (EntryKind.YES_NO, EntryKind.CHOICE, EntryKind.GRADE)


class Cautions(QWidget):
    """The cautions of a step, each in one line behind a triangle."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._rows: list[QWidget] = []
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(*(look.px(GAP),) * 4)
        self._column.setSpacing(look.px(GAP_TIGHT))

    def show_cautions(self, cautions: tuple[str, ...]) -> None:
        """Show these, or nothing."""
        for row in self._rows:
            self._column.removeWidget(row)
            row.hide()
            row.deleteLater()
        self._rows = [self._row(text) for text in cautions]
        for row in self._rows:
            self._column.addWidget(row)
        self.setAccessibleName(" ".join(cautions))
        self.setVisible(bool(cautions))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the ground."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(self._look.colour("soon"))
        painter.setBrush(self._look.colour("soon_soft"))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), RADIUS, RADIUS)
        painter.end()

    def _row(self, text: str) -> QWidget:
        row = QWidget(self)
        box = QHBoxLayout(row)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(self._look.px(GAP))
        box.addWidget(Sign(self._look, "triangle-alert", "soon", 18))
        box.addWidget(PlainLabel(text, TextRole.CARD, wrap=True), 1)
        return row


class BigChoice(QWidget):
    """A question with big buttons to answer it; unanswered until one is pressed.

    Space answers; Enter goes on (``entered``), answered or not.
    """

    edited = Signal()
    entered = Signal()

    def __init__(self, look: Look, name: str, label: str, slot: Slot) -> None:
        super().__init__()
        self.name = name
        self._answers = Segments(look, label, [c for c in choices_of(slot) if c[0]], bay=True)
        self._answers.clear()
        self._answers.chosen.connect(lambda _key: self.edited.emit())
        self._help = PlainLabel("", TextRole.HELP, tone="ink2", wrap=True)
        self._help.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP_TIGHT))
        column.addWidget(PlainLabel(label, strong=True))
        column.addWidget(self._answers)
        column.addWidget(self._help)

    def text(self) -> str:
        """Return the answer's key, or nothing."""
        return self._answers.choice()

    def set_text(self, key: str) -> None:
        """Show an answer."""
        if key:
            self._answers.choose(key)
        else:
            self._answers.clear()

    def set_help(self, words: str) -> None:
        """Say who kept the answer, or what the sheet asks for."""
        self._help.setText(words)
        self._help.setVisible(bool(words))

    def set_error(self, sentence: str) -> None:
        """Say what is wrong."""
        self.set_help(sentence)
        self._help.set_tone("late")

    def take_focus(self) -> None:
        """Put the keyboard on the answer, or on the first there is to give."""
        self._answers.focus_choice()

    def has_focus(self) -> bool:
        """Whether the keyboard is on one of the answers."""
        return any(button.hasFocus() for button in self._answers.buttons())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter goes on; it gives no answer. The buttons leave that key alone."""
        if _is_enter(event):
            self.entered.emit()
        else:
            super().keyPressEvent(event)


def _is_enter(event: QKeyEvent) -> bool:
    plain = event.modifiers() in (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier)
    return plain and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class StepPage(QWidget):
    """``edited``: something was typed; ``aimed``: a line has the keyboard, with the slot it is for;
    ``completed``: Enter after the last field."""

    edited = Signal()
    aimed = Signal(object, object)
    completed = Signal()

    def __init__(
        self,
        look: Look,
        step: BayStep,
        reader_of: Callable[[Slot], Reader],
        *,
        panel: WarmPanel | None = None,
        before: Sequence[QWidget] = (),
        after: Sequence[QWidget] = (),
    ) -> None:
        """``panel`` is the warm-up of the step, if any; ``before`` and ``after`` stand around the fields."""
        super().__init__()
        self._look = look
        self.step = step
        self.panel = panel
        self._lines: dict[QObject, Slot] = {}
        self._fields: dict[str, NumberField | TextField | BigChoice] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP))
        cautions = Cautions(look)
        column.addWidget(cautions)
        cautions.show_cautions(step.cautions)
        if step.advice:
            column.addWidget(PlainLabel(step.advice, TextRole.CARD, wrap=True))
        for part in before:
            column.addWidget(part)
        if panel is not None and not step.slots:
            column.addWidget(panel)
            self._watch_panel(panel)
        for slot in step.slots:
            for field in self._make(slot, reader_of):
                self._fields[field.name] = field
                field.edited.connect(self.edited)
                column.addWidget(field)
        if panel is not None and step.slots:
            column.addWidget(panel)
        for part in after:
            column.addWidget(part)

    @property
    def has_lines(self) -> bool:
        """Whether there is anything for the number pad to type into."""
        return bool(self._lines)

    def texts(self) -> dict[str, str]:
        """Return what stands in the fields."""
        return {name: field.text() for name, field in self._fields.items()}

    def fill(self, texts: Mapping[str, str]) -> None:
        """Put texts in."""
        for name, field in self._fields.items():
            field.set_text(texts.get(name, ""))

    def set_help(self, name: str, words: str) -> None:
        """Say something beneath a field."""
        if name in self._fields:
            self._fields[name].set_help(words)

    def propose(self, name: str, text: str, before: str) -> None:
        """Put a text in where nothing stands, or what was proposed ``before``; the person may change it."""
        field = self._fields.get(name)
        if field is not None and field.text() in ("", before) and field.text() != text:
            field.set_text(text)
            line = field.focusProxy()
            if isinstance(line, QLineEdit) and line.hasFocus():
                line.selectAll()  # the next key replaces it

    def refuse(self, name: str, sentence: str) -> bool:
        """Say what is wrong beside a field and put the keyboard there; whether there is such a field."""
        field = self._fields.get(name)
        if field is None:
            return False
        field.set_error(sentence)
        field.setFocus()
        return True

    def check(self) -> bool:
        """Read every field that is read; whether all can be.

        What was said before is taken back: a refusal beside one field may be mended in another.
        """
        read = [field for field in self._fields.values() if not isinstance(field, BigChoice)]
        for field in read:
            field.clear_error()
        wrong = [field for field in read if not field.check()]
        for field in wrong[:1]:
            field.setFocus()
        return not wrong

    def focus_first(self) -> bool:
        """Put the keyboard into the first thing to answer; whether there is one."""
        for stop in self._stops():
            if isinstance(stop, QLineEdit) or not stop.text():
                _focus(stop)
                return True
        return False

    def go_on(self) -> None:
        """Go from where the keyboard is to the next line or open question, or say it was the last."""
        panel = self.panel
        if panel is not None and panel.field.line.hasFocus() and panel.field.text().strip():
            panel.add_typed()
            return
        stops = self._stops()
        here = next((at for at, stop in enumerate(stops) if _has_focus(stop)), None)
        later = stops[here + 1 :] if here is not None else []
        wanted = next((s for s in later if isinstance(s, QLineEdit) or not s.text()), None)
        if wanted is None:
            self.completed.emit()
        else:
            _focus(wanted)

    def _stops(self) -> list[QLineEdit | BigChoice]:
        """What Enter goes along, from top to bottom."""
        stops: list[QLineEdit | BigChoice] = []
        if self.panel is not None and self.panel.field.line in self._lines:
            stops.append(self.panel.field.line)
        for field in self._fields.values():
            line = field if isinstance(field, BigChoice) else field.focusProxy()
            if isinstance(line, QLineEdit | BigChoice):
                stops.append(line)
        return stops

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Tell which line the number pad types into."""
        if event.type() is QEvent.Type.FocusIn and watched in self._lines:
            self.aimed.emit(watched, self._lines[watched])
        return super().eventFilter(watched, event)

    def _make(
        self, slot: Slot, reader_of: Callable[[Slot], Reader]
    ) -> Iterator[NumberField | TextField | BigChoice]:
        label = (
            _("{label}, round {n}").format(label=slot.label, n=slot.round) if slot.round > 1 else slot.label
        )
        if slot.kind in _CHOICES:
            choice = BigChoice(self._look, slot.name, label, slot)
            choice.entered.connect(self.go_on)
            yield choice
            return
        if slot.kind is EntryKind.TEXT:
            text = TextField(self._look, slot.name, label, bay=True)
            text.entered.connect(self.go_on)
            yield text
            return
        field = NumberField(self._look, slot.name, label, reader_of(slot), bay=True)
        self._watch(field.line, slot)
        field.entered.connect(self.go_on)
        yield field
        if slot.kind is EntryKind.VOLUME:
            warm = Slot("ambient", slot.round)
            name = f"{slot.name}:temperature"
            temperature = NumberField(
                self._look, name, _("Its temperature when read"), reader_of(warm), bay=True
            )
            self._watch(temperature.line, warm)
            temperature.entered.connect(self.go_on)
            yield temperature

    def _watch_panel(self, panel: WarmPanel) -> None:
        """Where readings are typed into the panel, the pad types there; Enter on nothing goes on."""
        if panel.field.isHidden():
            return
        self._watch(panel.field.line, Slot("ambient"))

    def _watch(self, line: QLineEdit, slot: Slot) -> None:
        self._lines[line] = slot
        line.installEventFilter(self)


def _has_focus(stop: QLineEdit | BigChoice) -> bool:
    return stop.has_focus() if isinstance(stop, BigChoice) else stop.hasFocus()


def _focus(stop: QLineEdit | BigChoice) -> None:
    if isinstance(stop, BigChoice):
        stop.take_focus()
    else:
        stop.setFocus()
