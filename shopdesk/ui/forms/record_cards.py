"""What follows from a record, kept here or brought from elsewhere: the level's conditions, the balance."""

from gettext import gettext as _

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from shopdesk.services.figures import Figures
from shopdesk.ui.forms.worked_figure import WorkedFigure
from shopdesk.ui.presenters import verdict as words
from shopdesk.ui.presenters.shown import Shown
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP_TIGHT, TextRole
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.sight_glass import Level, SightGlass
from shopdesk.ui.widgets.state_mark import State, StateBadge, draw_mark, state_tone


class Mark(QWidget):
    """The drawn mark of a state beside words."""

    def __init__(self, look: Look, state: State, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._state = state
        self.setFixedSize(look.px(14), look.px(18))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the mark."""
        side = self._look.px(11)
        painter = QPainter(self)
        box = QRectF(0, (self.height() - side) / 2, side, side)
        draw_mark(painter, box, self._state, self._look.colour(state_tone(self._state)))
        painter.end()


class LevelCard(Card):
    """Whether the record shows that the level was set: every condition, met, not met or not recorded."""

    def __init__(self, look: Look) -> None:
        super().__init__(look, _("Level"))
        self._look = look
        self.badge = StateBadge(look, State.UNKNOWN, _("Not set yet"))
        self.add(self.badge)
        self._rows: list[QWidget] = []
        self._list = QVBoxLayout()
        self._list.setSpacing(look.px(GAP_TIGHT))
        self.add(self._list)

    def show_record(self, view: Shown, figures: Figures) -> None:
        """Show what the record says now."""
        mark, sentence = words.level_sentence(view)
        self.badge.set_state(State(mark), sentence)
        for row in self._rows:
            self._list.removeWidget(row)
            row.hide()
            row.deleteLater()
        self._rows = [self._row(each) for each in words.conditions(view, figures)]
        for row in self._rows:
            self._list.addWidget(row)

    def texts(self) -> list[str]:
        """Return every condition in one line each."""
        return [row.accessibleName() for row in self._rows]

    def _row(self, each: words.ConditionWords) -> QWidget:
        look = self._look
        row = QWidget(self)
        detail = ", ".join(part for part in (each.state, each.detail) if part)
        row.setAccessibleName(f"{each.text}: {detail}")
        box = QHBoxLayout(row)
        box.setContentsMargins(0, 0, 0, 0)
        box.setSpacing(look.px(GAP_TIGHT))
        box.addWidget(Mark(look, State(each.mark), row), 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout()
        column.setSpacing(0)
        column.addWidget(PlainLabel(each.text, wrap=True))
        if each.detail:
            column.addWidget(PlainLabel(each.detail, TextRole.HELP, tone="ink2", wrap=True))
        box.addLayout(column, 1)
        state = PlainLabel(each.state, TextRole.HELP, tone=state_tone(State(each.mark)))
        box.addWidget(state, 0, Qt.AlignmentFlag.AlignTop)
        return row


class BalanceCard(Card):
    """The four glasses, how the unit came in, and how much of the fluid is new."""

    def __init__(self, look: Look) -> None:
        super().__init__(look, _("Fluid balance"))
        self._glasses = [SightGlass(look) for _tube in range(4)]
        tubes = QHBoxLayout()
        tubes.setSpacing(look.px(GAP_TIGHT))
        for glass in self._glasses:
            tubes.addWidget(glass)
        self.add(tubes)
        self.arrived = WorkedFigure(look, _("How it came in"), big=True)
        self.fresh = WorkedFigure(look, _("New fluid now in the unit"))
        self.found = WorkedFigure(look, _("By the check before draining"))
        self.add(self.arrived)
        self.add(self.found)
        self.add(self.fresh)

    def show_record(self, view: Shown, volumes: dict[str, int], figures: Figures) -> None:
        """Show what the record says now; ``volumes`` are typed and not kept yet."""
        found = words.totals(view, volumes)
        tubes = words.glasses(found["put_in"], found["spilled"], found["ran_out"], found["drained"], figures)
        for glass, tube in zip(self._glasses, tubes, strict=True):
            glass.set_level(Level(full=tube.full, figure=tube.figure, name=tube.name))
        self.arrived.show_worked(words.balance(view, figures))
        checked = words.as_found(view, figures)
        self.found.setVisible(checked is not None)
        if checked is not None:
            self.found.show_worked(checked)
        self.fresh.show_worked(words.fresh(view, figures))
