"""Every question to the person goes through one object, so that tests can answer it."""

from collections.abc import Callable, Sequence
from gettext import gettext as _
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QFileDialog, QHBoxLayout, QVBoxLayout, QWidget

from shopdesk.ui.asking import Ask, Chosen
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_PAGE, GAP_WIDE, TextRole
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.plain_label import PlainLabel

__all__ = ["Ask", "Chosen", "Question", "WindowAsk"]


class Question(QDialog):
    """One sentence and its buttons. The first answer is the main one; Esc puts the question aside."""

    def __init__(
        self,
        look: Look,
        sentence: str,
        detail: str,
        answers: Sequence[tuple[str, str]],
        then: Callable[[str], None],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowModality(Qt.WindowModality.WindowModal)
        self.setWindowTitle(_("Question") if len(answers) > 1 else _("Please note"))
        self.setAccessibleName(sentence)
        self.setAccessibleDescription(detail)
        self.setMinimumWidth(look.px(380))
        self._then = then
        column = QVBoxLayout(self)
        column.setContentsMargins(*(look.px(GAP_PAGE),) * 4)
        column.setSpacing(look.px(GAP_WIDE))
        column.addWidget(PlainLabel(sentence, TextRole.CARD, wrap=True))
        if detail:
            column.addWidget(PlainLabel(detail, tone="ink2", wrap=True))
        column.addLayout(self._buttons(look, answers))

    def _buttons(self, look: Look, answers: Sequence[tuple[str, str]]) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(look.px(GAP))
        row.addStretch(1)
        for number, (key, words) in enumerate(answers):
            button = Button(look, words, ButtonPart.PLAIN if number else ButtonPart.PRIMARY)
            button.setAutoDefault(True)
            button.clicked.connect(lambda _checked=False, key=key: self._answer(key))
            row.insertWidget(1, button)
            if number == 0:
                button.setDefault(True)
                button.setFocus()
        return row

    def _answer(self, key: str) -> None:
        self.accept()
        self._then(key)


class WindowAsk:
    """Asks in front of a window."""

    def __init__(self, look: Look, window: QWidget) -> None:
        self._look = look
        self._window = window

    def say(self, sentence: str, detail: str = "") -> None:
        """See Ask."""
        self._open(sentence, detail, [("ok", _("OK"))], lambda _key: None)

    def confirm(self, question: str, verb: str, then: Callable[[], None], detail: str = "") -> None:
        """See Ask."""
        answers = [("yes", verb), ("", _("Keep as it is"))]
        self._open(question, detail, answers, lambda key: then() if key else None)

    def choose(
        self, question: str, answers: Sequence[tuple[str, str]], then: Callable[[str], None], detail: str = ""
    ) -> None:
        """See Ask."""
        self._open(question, detail, answers, then)

    def choose_file(self, title: str, kinds: str, then: Chosen) -> None:
        """See Ask."""
        dialog = self._files(title, kinds, then)
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.open()

    def save_file(self, title: str, name: str, kinds: str, then: Chosen) -> None:
        """See Ask."""
        dialog = self._files(title, kinds, then)
        dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
        dialog.selectFile(name)
        dialog.open()

    def _open(
        self, sentence: str, detail: str, answers: Sequence[tuple[str, str]], then: Callable[[str], None]
    ) -> None:
        Question(self._look, sentence, detail, answers, then, self._window).open()

    def _files(self, title: str, kinds: str, then: Chosen) -> QFileDialog:
        dialog = QFileDialog(self._window, title, "", kinds)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.fileSelected.connect(lambda name: then(Path(name)))
        return dialog
