"""How a vehicle is driven: six questions, and whether the answers make it severe use."""

from collections.abc import Mapping
from gettext import gettext as _

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from shopdesk.domain.duty import DUTY_QUESTIONS, DutyAnswer, is_severe, severe_use_text
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_WIDE
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.segments import Segments

_PREFIX = "duty "
_YES, _NO = "yes", "no"


class DutyForm(QWidget):
    """``edited``: the person answered. A question that was not asked has no answer."""

    edited = Signal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._rows: dict[str, Segments] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP))
        grid = QGridLayout()
        grid.setHorizontalSpacing(look.px(GAP_WIDE))
        grid.setVerticalSpacing(look.px(GAP))
        grid.setColumnStretch(0, 1)
        for number, (key, question) in enumerate(DUTY_QUESTIONS):
            answers = Segments(look, _(question), [("", _("Not asked")), (_NO, _("No")), (_YES, _("Yes"))])
            answers.chosen.connect(self._answered)
            self._rows[key] = answers
            grid.addWidget(PlainLabel(_(question), wrap=True), number, 0)
            grid.addWidget(answers, number, 1, Qt.AlignmentFlag.AlignTop)
        column.addLayout(grid)
        self._verdict = PlainLabel("", strong=True, wrap=True)
        column.addWidget(self._verdict)
        self._say()

    def put(self, answers: Mapping[str, bool]) -> None:
        """Show these answers."""
        for key, row in self._rows.items():
            row.choose("" if key not in answers else _YES if answers[key] else _NO)
        self._say()

    def answers(self) -> dict[str, bool]:
        """Return what was answered, by question."""
        return {key: row.choice() == _YES for key, row in self._rows.items() if row.choice()}

    def verdict(self) -> str:
        """Return what the answers come to, in words."""
        return duty_words(self.answers())

    def texts(self) -> dict[str, str]:
        """Return the answers for a draft."""
        return {_PREFIX + key: row.choice() for key, row in self._rows.items() if row.choice()}

    def restore(self, texts: Mapping[str, str]) -> None:
        """Take the answers of a draft."""
        self.put({key: texts[_PREFIX + key] == _YES for key in self._rows if texts.get(_PREFIX + key)})

    def _answered(self, _key: str) -> None:
        self._say()
        self.edited.emit()

    def _say(self) -> None:
        self._verdict.setText(self.verdict())
        self._verdict.set_tone("soon" if any(self.answers().values()) else "ink2")


def duty_words(answers: Mapping[str, bool]) -> str:
    """Say what answers come to: severe use and which rule says so, normal use, or not asked."""
    if not answers:
        return _("Not asked yet: counted as normal use.")
    severe, fired = is_severe([DutyAnswer(question=key, yes=yes) for key, yes in answers.items()])
    return severe_use_text(fired) if severe else _("Normal use.")
