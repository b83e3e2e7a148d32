"""The last step in the bay: what the record says, and the end of the work."""

from gettext import gettext as _

from PySide6.QtWidgets import QVBoxLayout, QWidget

from shopdesk.services.bay import RecordView
from shopdesk.services.figures import Figures
from shopdesk.ui.presenters.verdict import balance, conditions, fresh, level_sentence
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import BAY_TARGET, GAP, GAP_TIGHT, TextRole
from shopdesk.ui.widgets.advice_sign import AdviceSign, Sign
from shopdesk.ui.widgets.figure import Figure
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.state_mark import State, StateBadge

_SIGNS = {"fine": Sign.GO, "late": Sign.WARN}


class ResultPage(QWidget):
    """The level, how the unit came in, and how much of the fluid is new."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.sign = AdviceSign(look)
        self.sentence = PlainLabel("", TextRole.CARD, wrap=True)
        self.arrived = Figure(look, "", big=True)
        self.fresh = Figure(look, _("New fluid now in the unit"), big=True)
        self.note = PlainLabel("", TextRole.BODY, tone="ink2", wrap=True)
        for figure in (self.arrived, self.fresh):
            figure.setMinimumHeight(look.px(BAY_TARGET))
        self._rows: list[QWidget] = []
        self._conditions = QVBoxLayout()
        self._conditions.setSpacing(look.px(GAP_TIGHT))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP))
        column.addWidget(self.sign)
        column.addWidget(self.sentence)
        column.addLayout(self._conditions)
        for part in (self.arrived, self.note, self.fresh):
            column.addWidget(part)

    def show_record(self, view: RecordView, figures: Figures) -> None:
        """Show what the record says now."""
        mark, sentence = level_sentence(view)
        words = {"fine": _("Level set"), "late": _("Level not shown")}
        word = words.get(mark, _("Not all recorded"))
        self.sign.show_advice(_SIGNS.get(mark, Sign.ASK), word, "", "", f"{word}. {sentence}")
        self.sentence.setText(sentence)
        self._show_conditions(view, figures)
        arrived = balance(view, figures)
        self.arrived.set_label(arrived.label)
        self.arrived.set_value(arrived.words, state=State(arrived.mark))
        self.note.setText(arrived.note)
        worked = fresh(view, figures)
        self.fresh.set_value(worked.words, state=State(worked.mark))

    def _show_conditions(self, view: RecordView, figures: Figures) -> None:
        """What is not met or not recorded, each with its mark; what is met is counted in the sentence."""
        for row in self._rows:
            self._conditions.removeWidget(row)
            row.hide()
            row.deleteLater()
        lacking = [each for each in conditions(view, figures) if each.mark != State.FINE]
        self._rows = [
            StateBadge(self._look, State(each.mark), f"{each.text}: {each.state}") for each in lacking
        ]
        for row in self._rows:
            self._conditions.addWidget(row)
