"""The last step in the bay: what the record says, and the end of the work."""

from gettext import gettext as _

from PySide6.QtWidgets import QVBoxLayout, QWidget

from shopdesk.services.bay import RecordView
from shopdesk.services.figures import Figures
from shopdesk.ui.presenters.verdict import Worked, balance, conditions, fresh, level_sentence
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import BAY_TARGET, GAP, TextRole
from shopdesk.ui.widgets.figure import CameFrom, Figure
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.state_mark import State, StateBadge


class ResultPage(QWidget):
    """The level, how the unit came in, and how much of the fluid is new."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.badge = StateBadge(look, State.UNKNOWN)
        self.lacking = PlainLabel("", TextRole.CARD, wrap=True)
        self.arrived = Figure(look, "", big=True)
        self.fresh = Figure(look, _("New fluid now in the unit"), big=True)
        self.note = PlainLabel("", TextRole.BODY, tone="ink2", wrap=True)
        for figure in (self.arrived, self.fresh):
            figure.setMinimumHeight(look.px(BAY_TARGET))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP))
        for part in (self.badge, self.lacking, self.arrived, self.note, self.fresh):
            column.addWidget(part)

    def show_record(self, view: RecordView, figures: Figures) -> None:
        """Show what the record says now."""
        mark, sentence = level_sentence(view)
        self.badge.set_state(State(mark), sentence)
        lacking = [f"{c.text}: {c.state}" for c in conditions(view, figures) if c.mark != State.FINE]
        self.lacking.setText("\n".join(lacking))
        self.lacking.setVisible(bool(lacking))
        arrived = balance(view, figures)
        self.arrived.set_label(arrived.label)
        self.arrived.set_value(arrived.words, came_from=_source(arrived), state=State(arrived.mark))
        self.note.setText(arrived.note)
        worked = fresh(view, figures)
        self.fresh.set_value(worked.words, came_from=_source(worked), state=State(worked.mark))


def _source(worked: Worked) -> CameFrom | None:
    """Give what a figure opens; nothing where there is nothing behind it."""
    return CameFrom(rows=worked.rows, formula=worked.formula) if worked.rows else None
