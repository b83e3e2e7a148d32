"""Service as measured: every thing the sheet asks for as a field, what is kept shown as kept."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from gettext import gettext as _

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from shopdesk.domain.record import EntryKind
from shopdesk.domain.units import NumberStyle
from shopdesk.services.bay import RecordKept, RecordView
from shopdesk.services.figures import shown_unit
from shopdesk.services.instruments import InstrumentKind, InstrumentRow
from shopdesk.services.typed import Typed
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper
from shopdesk.ui.presenters.record_shape import STOP, Shape, Slot, rounds_of, shape_of
from shopdesk.ui.presenters.record_slots import (
    TYPED_KINDS,
    Change,
    Kept,
    changes,
    field_of_refusal,
    kept_slots,
    readable,
    texts_of,
    tool_kind,
    usual_tools,
)
from shopdesk.ui.presenters.record_words import (
    beneath,
    choices_of,
    explainable,
    help_words,
    kept_words,
    label_in_form,
    live_volumes,
    sheet_help,
    tool_choices,
    tool_label,
    value_shown,
    within_hint,
)
from shopdesk.ui.screens.work_order.form_stack import FormStack
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.field import LabelledField
from shopdesk.ui.widgets.fields import CheckField, ChoiceField, NumberField, TextField
from shopdesk.ui.widgets.form import Form

_NUMBERS = (*TYPED_KINDS, EntryKind.SECONDS)
_READ_WELL = ("drained", "put_in", "spilled", "ran_out")
_CHOICES = (EntryKind.YES_NO, EntryKind.CHOICE, EntryKind.GRADE)
WHY_CHANGED = "why changed"
MOST_ROUNDS = 20


class RecordForm(QWidget):
    """``edited``: the person typed or picked something; ``completed``: Enter after the last field;
    ``rebuilt``: there are other fields now."""

    edited = Signal()
    completed = Signal()
    rebuilt = Signal()

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._view: RecordView | None = None
        self._tools: Sequence[InstrumentRow] = ()
        self._kept: Mapping[str, Kept] = {}
        self._base: dict[str, str] = {}
        self._shape: Shape | None = None
        self._extra = (1, 1)
        self._sent: dict[str, str] = {}
        self._sent_until = 0
        self._draft: DraftKeeper | None = None
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self.stack = FormStack(desk.look, self)
        self._why = Form(desk.look, columns=2, least_width=220)
        self._why_fields: dict[str, LabelledField] = {}

    @property
    def record_id(self) -> int:
        """Which record is in the form; 0 when none is."""
        return self._view.record_id if self._view is not None else 0

    @property
    def shape(self) -> Shape | None:
        """What the form shows."""
        return self._shape

    def show_record(self, view: RecordView, tools: Sequence[InstrumentRow], *, editable: bool) -> None:
        """Show a record. What was typed and not kept yet stays where it stands."""
        other = self._view is None or self._view.record_id != view.record_id
        if other:
            self._extra = (1, 1)
        shape = shape_of(view, fillings=self._extra[0], openings=self._extra[1])
        rebuilt = other or shape != self._shape or tools != self._tools
        typed = {} if other else self._still_typed(view)
        self._view, self._tools = view, tools
        self._kept = kept_slots(view, self._work.figures)
        self._base = texts_of(shape.slots(), self._kept)
        if rebuilt:
            self._build(shape)
        self._show(typed)
        self.stack.setEnabled(editable)
        if other:
            self._keep_draft(view)

    def add_filling(self) -> None:
        """Show fields for one more filling."""
        self._grow(fillings=1)

    def add_opening(self) -> None:
        """Show fields for one more opening of the level plug."""
        self._grow(openings=1)

    def changes(self, *, readable_only: bool = False) -> tuple[Change, ...]:
        """Return an entry for everything typed that is not kept yet."""
        if self._shape is None:
            return ()
        texts = self.stack.texts()
        found = changes(texts, self._kept, self._chosen_tools(texts), self._shape.slots(), texts[WHY_CHANGED])
        if not readable_only:
            return found
        return tuple(change for change in found if readable(change, self._reader()))

    def volumes(self) -> dict[str, int]:
        """Return the volumes in the form that can be read, in µL."""
        if self._shape is None:
            return {}
        return live_volumes(self.stack.texts(), self._shape, self._reader())

    def put_text(self, name: str, text: str) -> None:
        """Put what was answered to a question into a field; it stays what the person typed."""
        field = self.stack.field(name)
        if field is not None:
            field.set_text(text)

    def ask_stop(self, on: bool) -> None:
        """Show what a stop asks for, or what was answered to one."""
        texts = self.stack.texts()
        answered = any(texts.get(f"{field}:1") for field in STOP)
        self._stop.setVisible(on or answered)

    def ask_why(self, wanted: Iterable[str], *, correcting: bool) -> None:
        """Show the fields for reasons that are wanted now, and those that hold one."""
        names = {f"{name}:reason" for name in wanted}
        shown = False
        for name, field in self._why_fields.items():
            on = bool(field.text()) or name in names or (name == WHY_CHANGED and correcting)
            field.setVisible(on)
            shown = shown or on
        self._why_section.setVisible(shown)
        self._why.arrange()

    def show_refusal(self, path: str, sentence: str, sent: tuple[Change, ...]) -> None:
        """Say beside its field what was refused."""
        self.stack.show_refusal(field_of_refusal(path, sent), sentence)

    def show_theirs(self, name: str) -> None:
        """Say beside a field what somebody else kept there while something was typed into it."""
        known = self._kept.get(name)
        if known is not None:
            self.stack.show_refusal(name, _("Somebody else put meanwhile: {value}").format(value=known.words))

    def kept_now(self, sent: tuple[Change, ...], kept: RecordKept) -> None:
        """Forget what was sent: it stands in the record now, and is shown from there when it is read."""
        if self._draft is not None:
            self._draft.forget()
        texts = self.stack.texts()
        names = {change.slot.name for change in sent}
        self._sent = {
            n: t for n, t in texts.items() if n == WHY_CHANGED or ":".join(n.split(":")[:2]) in names
        }
        self._sent_until = max(kept.entry_ids, default=0)

    def _still_typed(self, view: RecordView) -> dict[str, str]:
        """What was typed and is not what has just been kept."""
        typed = self._typed()
        if max((each.entry.id for each in view.entries), default=0) < self._sent_until:
            return typed
        sent, self._sent = self._sent, {}
        return {name: text for name, text in typed.items() if sent.get(name) != text}

    def _typed(self) -> dict[str, str]:
        """What the person typed that differs from what was kept when it was shown."""
        return {name: text for name, text in self.stack.texts().items() if text != self._base.get(name, "")}

    def _show(self, typed: Mapping[str, str]) -> None:
        texts = {**self._base, **self._tool_texts(), **typed}
        touched = self.stack.touched
        self.stack.fill(texts)
        if typed and touched:
            self.stack.restore(texts)
        self._say_kept()

    def _say_kept(self) -> None:
        for slot in self._shape.slots() if self._shape else ():
            field, known = self.stack.field(slot.name), self._kept.get(slot.name)
            if field is None or self._view is None:
                continue
            words = sheet_help(slot, self._view, self._work.figures)
            if known is not None and slot.kind not in _NUMBERS:
                words = kept_words(known, self._work.figures)
            field.set_help(words)

    def _keep_draft(self, view: RecordView) -> None:
        if self._draft is not None:
            self._draft.flush_if_waiting()
            self._draft.deleteLater()
        subject = str(view.record_id)
        self._draft = self._desk.drafts.keep(self, "service record", subject, self)
        self._draft.restored.connect(lambda: self.edited.emit())

    @property
    def touched(self) -> bool:
        """Whether something was typed that is not kept."""
        return bool(self.changes())

    def texts(self) -> dict[str, str]:
        """Return what was typed and not kept, and how many rounds are shown."""
        fillings, openings = self._extra
        return {**self._typed(), "rounds": f"{fillings} {openings}"}

    def restore(self, texts: Mapping[str, str]) -> None:
        """Put a draft back."""
        rounds = texts.get("rounds", "").split()
        if len(rounds) == 2 and all(number.isdecimal() for number in rounds):
            wanted = (min(int(rounds[0]), MOST_ROUNDS), min(int(rounds[1]), MOST_ROUNDS))
            if wanted != self._extra:
                self._extra = wanted
                self._grow()
        self.stack.restore({**self._base, **self._tool_texts(), **texts})
        self._say_kept()

    def _grow(self, *, fillings: int = 0, openings: int = 0) -> None:
        if self._view is None or self._shape is None:
            return
        now = rounds_of(self._shape)
        most = tuple(max(one, other) for one, other in zip(now, self._extra, strict=True))
        self._extra = (most[0] + fillings, most[1] + openings)
        typed = self._typed()
        shape = shape_of(self._view, fillings=self._extra[0], openings=self._extra[1])
        self._base = texts_of(shape.slots(), self._kept)
        self._build(shape)
        self.stack.restore({**self._base, **self._tool_texts(), **typed})
        self._say_kept()

    def _reader(self) -> Typed:
        return Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)

    def _tool_texts(self) -> dict[str, str]:
        chosen = usual_tools(self._tools, self._kept)
        return {f"tool:{kind.value}": str(chosen[kind] or "") for kind in InstrumentKind}

    def _chosen_tools(self, texts: Mapping[str, str]) -> dict[InstrumentKind, int | None]:
        picked = {kind: texts.get(f"tool:{kind.value}", "") for kind in InstrumentKind}
        return {kind: int(key) if key.isdecimal() else None for kind, key in picked.items()}

    def _build(self, shape: Shape) -> None:
        old, focused = self.stack, self.stack.focused()
        self._shape = shape
        self.stack = FormStack(self._desk.look, self)
        self._column.addWidget(self.stack)
        self._column.removeWidget(old)
        old.hide()
        old.deleteLater()
        self._add_sections(shape)
        self.stack.edited.connect(self.edited)
        self.stack.completed.connect(self.completed)
        field = self.stack.field(focused)
        if field is not None:
            field.setFocus()
        self.rebuilt.emit()

    def _add_sections(self, shape: Shape) -> None:
        self._section(_("Volumes"), shape.filling, 3, step=3, beside=self._filling_button())
        if shape.level:
            self._section(_("While the level was set"), shape.level, 2)
        if shape.openings:
            tube = any(slot.field == "open_temperature" for slot in shape.openings)
            beside = self._opening_button() if tube else None
            heading = _("Level plug") if tube else _("Level as it was read")
            self._section(heading, shape.openings, 2, beside=beside)
        self._section(_("Plugs and washers"), shape.plugs, 2)
        self._section(_("The old fluid"), shape.condition, 2)
        self._stop = self._section(_("Before anything else is done"), shape.stop, 2)
        self._section(_("Level as found, before anything was drained"), shape.found, 3)
        self._section(_("Also measured"), shape.beside, 2)
        self._section(_("Steps done"), shape.steps, 3)
        self._section(_("Done otherwise, and notes"), shape.said, 2)
        self._add_why(shape)
        self._add_tools()

    def _section(
        self,
        heading: str,
        slots: tuple[Slot, ...],
        columns: int,
        *,
        step: int = 1,
        beside: QWidget | None = None,
    ) -> QWidget:
        form = Form(self._desk.look, columns=columns, least_width=150, step=step)
        for slot in slots:
            self._add(form, slot)
        return self.stack.add_form(heading, form, beside)

    def _add(self, form: Form, slot: Slot) -> None:
        look = self._desk.look
        label = label_in_form(slot)
        if slot.kind in _CHOICES:
            form.add(ChoiceField(look, slot.name, label, choices_of(slot)))
        elif slot.kind is EntryKind.STEP:
            form.add(CheckField(look, slot.name, label))
        elif slot.kind is EntryKind.TEXT:
            whole = 0 if slot.field == "note" else 1
            form.add(TextField(look, slot.name, slot.label), whole)
            if slot.field == "deviation":
                form.add(TextField(look, f"{slot.name}:reason", _("Why")))
        else:
            reader, unit = self._value_reader(slot), self._unit(slot)
            more = help_words(slot.field)
            form.add(NumberField(look, slot.name, label, reader, unit=unit, more_help=more))
            if slot.field in _READ_WELL:
                self._add_how_well(form, slot)

    def _add_how_well(self, form: Form, slot: Slot) -> None:
        look, chosen = self._desk.look, usual_tools(self._tools, self._kept)
        kind = tool_kind(slot.field)
        hint = within_hint(kind, self._tools, chosen.get(kind) if kind else None, self._work.figures)
        asked = (
            ("within", _("Read to within ±"), self._volume, hint),
            (
                "temperature",
                _("Fluid's temperature when read"),
                self._temperature,
                _("That of the fluid itself"),
            ),
        )
        for key, label, reader, help_line in asked:
            spoken = f"{label_in_form(slot)}: {label}"
            name = f"{slot.name}:{key}"
            form.add(TextField(look, name, label, reader, help_line=help_line, spoken=spoken))

    def _add_why(self, shape: Shape) -> None:
        self._why = Form(self._desk.look, columns=2, least_width=220)
        self._why_fields = {}
        for slot in explainable(shape):
            label = _("Why: {what}").format(what=slot.label)
            name = f"{slot.name}:reason"
            self._why_fields[name] = self._why.add(TextField(self._desk.look, name, label))
        label = _("Why kept values are changed")
        self._why_fields[WHY_CHANGED] = self._why.add(TextField(self._desk.look, WHY_CHANGED, label))
        self._why_section = self.stack.add_form(_("Reasons"), self._why)
        self.ask_why((), correcting=False)

    def _add_tools(self) -> None:
        form = Form(self._desk.look, columns=2, least_width=150)
        for kind in InstrumentKind:
            choices = tool_choices(self._tools, kind)
            form.add(ChoiceField(self._desk.look, f"tool:{kind.value}", tool_label(kind), choices))
        self.stack.add_form(_("Read with"), form)

    def _filling_button(self) -> QWidget:
        return self._small(_("Another filling"), self.add_filling)

    def _opening_button(self) -> QWidget:
        return self._small(_("Further opening"), self.add_opening)

    def _small(self, words: str, do: Callable[[], None]) -> QWidget:
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        button = Button(self._desk.look, words, ButtonPart.QUIET, icon="plus")
        button.clicked.connect(lambda: do())
        row.addWidget(button)
        row.addStretch(1)
        return holder

    def _unit(self, slot: Slot) -> str:
        shop = self._work.figures.shop
        units = {
            EntryKind.VOLUME: shop.volume_unit,
            EntryKind.TEMPERATURE: shop.temperature_unit,
            EntryKind.TORQUE: shop.torque_unit,
            EntryKind.SECONDS: "s",
            EntryKind.LENGTH: "",
        }
        return shown_unit(units[slot.kind])

    def _value_reader(self, slot: Slot) -> Callable[[str], str]:
        def read(text: str) -> str:
            shown = value_shown(slot, text, self._reader(), self._work.figures)
            if slot.kind is EntryKind.SECONDS and slot.name not in self._kept:
                return ""
            return beneath(shown, text, self._kept.get(slot.name), self._work.figures)

        return read

    def _volume(self, text: str) -> str:
        return f"± {self._work.figures.volume(self._reader().volume(text, 'within').value, places=3)}"

    def _temperature(self, text: str) -> str:
        return self._work.figures.temperature(self._reader().temperature(text, "temperature").value)
