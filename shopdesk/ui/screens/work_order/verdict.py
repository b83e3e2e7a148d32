"""What follows from the record, worked out while one types: level, balance, new fluid, next due, shelf."""

from collections.abc import Sequence
from gettext import gettext as _

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from shopdesk.domain.deviations import Deviation
from shopdesk.services.bay import RecordView
from shopdesk.services.duedates import WorkedOutDue
from shopdesk.services.figures import Figures
from shopdesk.ui.forms.worked_figure import WorkedFigure
from shopdesk.ui.presenters import verdict as words
from shopdesk.ui.presenters.shelf_words import UseWords, shelf_note
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_TIGHT, TextRole
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.state_mark import State, StateBadge


class StopCard(Card):
    """The old fluid calls for a stop: why, and what is still to do before anything else."""

    def __init__(self, look: Look) -> None:
        super().__init__(look, _("What the old fluid says"))
        self.badge = StateBadge(look, State.LATE, _("Stop"))
        self._words = PlainLabel("", wrap=True)
        self.add(self.badge)
        self.add(self._words)
        self.hide()

    def show_stop(self, lines: Sequence[str], *, holds: bool) -> None:
        """Show it, or nothing where the fluid says nothing of the kind."""
        self.badge.set_state(State.LATE if holds else State.SOON, _("Stop") if holds else _("Going on"))
        self._words.setText("\n".join(lines))
        self.setVisible(bool(lines))

    def text(self) -> str:
        """Return what is said."""
        return self._words.text()


class DueCard(Card):
    """When the unit is next due once this service is finished, and why."""

    def __init__(self, look: Look) -> None:
        super().__init__(look, _("Next due"))
        self.due = WorkedFigure(look, _("After this service"))
        self.add(self.due)

    def show_due(self, found: WorkedOutDue | None, view: RecordView, figures: Figures) -> None:
        """Show when and why."""
        worked = words.due(found.due if found else None, figures, figures.day(view.done_on))
        self.due.show_worked(worked)


class ShelfCard(Card):
    """What leaves the shelf for this work order, and what is left there.

    ``wanted``: it is to be said out of which containers.
    """

    wanted = Signal()

    def __init__(self, look: Look) -> None:
        super().__init__(look, _("From stock"))
        self._look = look
        self._cells: list[QWidget] = []
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(look.px(GAP))
        self._grid.setVerticalSpacing(look.px(GAP_TIGHT))
        self._grid.setColumnStretch(0, 1)
        self.add(self._grid)
        self.containers = Button(look, _("From which containers"), ButtonPart.QUIET, icon="droplets")
        self.containers.clicked.connect(lambda: self.wanted.emit())
        self.add(self.containers)

    def show_uses(self, rows: Sequence[UseWords]) -> None:
        """Show one line for each item."""
        for cell in self._cells:
            self._grid.removeWidget(cell)
            cell.hide()
            cell.deleteLater()
        self._cells = []
        self.set_note(shelf_note(rows))
        if not rows:
            self._put(0, 0, PlainLabel(_("Nothing yet"), tone="ink2"))
            return
        for column, title in enumerate((_("Item"), _("Used"), _("Left"))):
            self._put(0, column, PlainLabel(title, TextRole.HELP, tone="ink2"))
        for number, row in enumerate(rows, start=1):
            name = f"{row.name}  ({row.lots})" if row.lots else row.name
            self._put(number, 0, PlainLabel(name, wrap=True))
            self._put(number, 1, PlainLabel(row.amount, strong=True))
            self._put(number, 2, PlainLabel(row.left, tone="late" if row.is_short else "ink"))

    def texts(self) -> list[str]:
        """Return every cell's words."""
        return [cell.text() for cell in self._cells if isinstance(cell, PlainLabel)]

    def _put(self, row: int, column: int, label: PlainLabel) -> None:
        side = Qt.AlignmentFlag.AlignRight if column else Qt.AlignmentFlag.AlignLeft
        label.setAlignment(side | Qt.AlignmentFlag.AlignTop)
        self._cells.append(label)
        self._grid.addWidget(label, row, column)


class OtherwiseCard(Card):
    """What was done otherwise than the sheet says, with its reason or the lack of one."""

    def __init__(self, look: Look) -> None:
        super().__init__(look, _("Done otherwise"))
        self._lines: list[PlainLabel] = []
        self._list = QVBoxLayout()
        self._list.setSpacing(0)
        self.add(self._list)
        self.hide()

    def show_deviations(self, found: Sequence[Deviation]) -> None:
        """Show them, or nothing where everything went by the sheet."""
        for line in self._lines:
            self._list.removeWidget(line)
            line.hide()
            line.deleteLater()
        self._lines = []
        for each in found:
            reason = each.reason or _("No reason written yet")
            self._lines.append(PlainLabel(each.what[:1].upper() + each.what[1:], wrap=True))
            tone = "ink2" if each.reason else "soon"
            self._lines.append(PlainLabel(reason, TextRole.HELP, tone=tone, wrap=True))
        for line in self._lines:
            self._list.addWidget(line)
        self.setVisible(bool(found))

    def texts(self) -> list[str]:
        """Return every line shown."""
        return [line.text() for line in self._lines]
