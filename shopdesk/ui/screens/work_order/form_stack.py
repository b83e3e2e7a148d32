"""Several forms one beneath the other that are filled, checked, kept and refused as one."""

from collections.abc import Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_TIGHT, TextRole
from shopdesk.ui.widgets.card import Rule
from shopdesk.ui.widgets.field import LabelledField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel


class FormStack(QWidget):
    """``edited``: the person changed something; ``completed``: Enter after the last field."""

    edited = Signal()
    completed = Signal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._forms: list[Form] = []
        self._sections: list[QWidget] = []
        self._error = PlainLabel("", TextRole.HELP, tone="late", wrap=True)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(look.px(GAP))
        self._column.addWidget(self._error)
        self._error.hide()

    def add_form(self, heading: str, form: Form, beside: QWidget | None = None) -> QWidget:
        """Add a form under its heading; ``beside`` (a button) stands beneath it. Returns the section."""
        section = QWidget(self)
        section.setAccessibleName(heading)
        column = QVBoxLayout(section)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(self._look.px(GAP_TIGHT))
        if self._forms:
            column.addWidget(Rule())
        if heading:
            column.addWidget(PlainLabel(heading, strong=True))
        column.addWidget(form)
        if beside is not None:
            column.addWidget(beside)
        self._column.insertWidget(self._column.count() - 1, section)
        self._forms.append(form)
        self._sections.append(section)
        form.edited.connect(self._edited)
        form.completed.connect(lambda: self._go_on(form))
        return section

    def texts(self) -> dict[str, str]:
        """Return what stands in every field, right or wrong."""
        return {name: text for form in self._forms for name, text in form.texts().items()}

    def fill(self, texts: Mapping[str, str]) -> None:
        """Put in what the program knows; everything counts as untouched afterwards."""
        for form in self._forms:
            form.fill(texts)

    def restore(self, texts: Mapping[str, str]) -> None:
        """Put back a draft; it counts as typed by the person."""
        for form in self._forms:
            form.fill(texts)
        if self._forms:
            self._forms[0].restore({})

    @property
    def touched(self) -> bool:
        """Whether the person changed anything."""
        return any(form.touched for form in self._forms)

    def field(self, name: str) -> LabelledField | None:
        """Return a field by name, or None."""
        form = self._form_of(name)
        return form.field(name) if form is not None else None

    def check(self) -> bool:
        """Read every field; the keyboard goes to the first that is wrong."""
        wrong = [form for form in self._forms if form.isVisibleTo(self) and not form.check()]
        for form in wrong[:1]:
            form.check()
        return not wrong

    def show_refusal(self, name: str, sentence: str) -> None:
        """Say what is wrong beside the field, or beneath everything where there is no such field."""
        form = self._form_of(name)
        if form is not None:
            form.show_refusal(RuleBroken(sentence, name))
            return
        self._error.setText(sentence)
        self._error.show()

    def focused(self) -> str:
        """Return the name of the field the keyboard is in, or nothing."""
        for form in self._forms:
            for name in form.texts():
                if form.field(name).control.hasFocus():
                    return name
        return ""

    def focus_first(self) -> None:
        """Put the keyboard into the first field."""
        for form in self._forms:
            if form.isVisibleTo(self):
                form.focus_first()
                return

    def _form_of(self, name: str) -> Form | None:
        return next((form for form in self._forms if name in form.texts()), None)

    def _edited(self) -> None:
        self._error.hide()
        self.edited.emit()

    def _go_on(self, form: Form) -> None:
        after = self._forms[self._forms.index(form) + 1 :]
        for following in after:
            if following.isVisibleTo(self):
                following.focus_first()
                return
        self.completed.emit()
