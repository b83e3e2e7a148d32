"""A figure that was worked out, with a line beneath; it opens what it came from."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from shopdesk.ui.presenters.verdict import Worked
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import TextRole
from shopdesk.ui.widgets.figure import CameFrom, Figure
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.state_mark import State


class WorkedFigure(QWidget):
    """Label, figure and note; Enter or a click on the figure opens where it came from."""

    def __init__(self, look: Look, label: str, *, big: bool = False) -> None:
        super().__init__()
        self.figure = Figure(look, label, big=big)
        self.note = PlainLabel("", TextRole.HELP, tone="ink2", wrap=True)
        self.note.setContentsMargins(look.px(5), 0, 0, 0)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.figure)
        column.addWidget(self.note)

    def show_worked(self, worked: Worked) -> None:
        """Show a figure."""
        if worked.label:
            self.figure.set_label(worked.label)
        source = CameFrom(rows=worked.rows, formula=worked.formula) if worked.rows else None
        self.figure.set_value(worked.words, came_from=source, state=State(worked.mark))
        self.note.setText(worked.note)
        self.note.setVisible(bool(worked.note))
