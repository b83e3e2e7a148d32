"""Why something is out of order or otherwise than the sheet says: large reasons to pick, or words."""

from collections.abc import Callable, Sequence
from gettext import gettext as _

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from shopdesk.ui.presenters.bay_why import Odd, reasons
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, TextRole
from shopdesk.ui.widgets.button import BigButton
from shopdesk.ui.widgets.facts import WarningLine
from shopdesk.ui.widgets.fields import TextField
from shopdesk.ui.widgets.flow import Flow
from shopdesk.ui.widgets.plain_label import PlainLabel

Answered = Callable[[str], None]


class WhyPanel(QWidget):
    """Asks once; ``opened`` comes when it does, ``closed`` when it was answered or put aside."""

    opened = Signal()
    closed = Signal()

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._then: Answered | None = None
        self._record_too: Callable[[], None] | None = None
        self.about = WarningLine(look, _("Not as the sheet says"))
        self.too = BigButton(look, _("It was done: record that too"), icon="check")
        self.too.clicked.connect(self._done_too)
        self.reasons = [BigButton(look, words) for words in reasons()]
        flow = Flow(look.px(GAP))
        for button, words in zip(self.reasons, reasons(), strict=True):
            button.clicked.connect(lambda _on=False, words=words: self._answer(words))
            flow.addWidget(button)
        self.words = TextField(look, "why", _("Or why, in words"), bay=True)
        self.words.entered.connect(self._answer_words)
        self.keep = BigButton(look, _("Keep with these words"), icon="check")
        self.keep.clicked.connect(self._answer_words)
        self.aside = BigButton(look, _("Back to the step"), icon="undo-2")
        self.aside.clicked.connect(self.put_aside)
        self._lay_out(look, flow)
        self.hide()

    @property
    def sentences(self) -> str:
        """What is asked about."""
        return self.about.accessibleName()

    def ask(self, odd: Sequence[Odd], then: Answered, record_too: Callable[[], None] | None) -> None:
        """Ask why; ``record_too`` is offered where a step may have been done and not been recorded."""
        self._then, self._record_too = then, record_too
        self.about.show_warning(" ".join(_sentence(each.sentence) for each in odd))
        self.too.setVisible(record_too is not None)
        self.words.set_text("")
        self.show()
        self.opened.emit()
        (self.too if record_too is not None else self.reasons[0]).setFocus()

    def put_aside(self) -> None:
        """Keep nothing."""
        self._close()

    def _answer(self, reason: str) -> None:
        then = self._then
        self._close()
        if then is not None:
            then(reason)

    def _answer_words(self) -> None:
        if self.words.text().strip():
            self._answer(self.words.text().strip())
        else:
            self.words.set_error(_("Pick a reason above, or write one."))
            self.words.setFocus()

    def _done_too(self) -> None:
        record_too = self._record_too
        self._close()
        if record_too is not None:
            record_too()

    def _close(self) -> None:
        self._then = self._record_too = None
        if not self.isHidden():
            self.hide()
            self.closed.emit()

    def _lay_out(self, look: Look, flow: Flow) -> None:
        buttons = QHBoxLayout()
        buttons.setSpacing(look.px(GAP))
        buttons.addWidget(self.keep)
        buttons.addWidget(self.aside)
        buttons.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP))
        column.addWidget(self.about)
        column.addWidget(self.too)
        column.addWidget(PlainLabel(_("Why?"), TextRole.CARD))
        column.addLayout(flow)
        column.addWidget(self.words)
        column.addLayout(buttons)


def _sentence(text: str) -> str:
    capital = text[:1].upper() + text[1:]
    return capital if capital.endswith((".", "?", "!")) else f"{capital}."
