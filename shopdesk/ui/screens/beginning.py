"""A new shop's first steps, until what every service needs is there."""

from collections.abc import Callable
from gettext import gettext as _

from PySide6.QtWidgets import QGridLayout

from shopdesk.services.desk import Desk as Rooms
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.today import Known, first_steps
from shopdesk.ui.theme.tokens import GAP, GAP_TIGHT
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.state_mark import State, StateBadge


def read_known(rooms: Rooms) -> Known:
    """Count what every service needs."""
    return Known(
        fluids=len(rooms.items.all()), sheets=len(rooms.sheets.all()), tools=len(rooms.instruments.all())
    )


class BeginningCard(Card):
    """One line for each step: what it is for, the way there, and whether it is done."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk.look, _("To begin with"))
        look = desk.look
        self.ways: list[Button] = []
        self._badges: list[StateBadge] = []
        grid = QGridLayout()
        grid.setHorizontalSpacing(look.px(GAP))
        grid.setVerticalSpacing(look.px(GAP_TIGHT))
        grid.setColumnStretch(0, 1)
        for number, step in enumerate(first_steps(Known())):
            way = Button(look, step.way)
            way.clicked.connect(_going(desk, step.page, step.subject))
            badge = StateBadge(look, State.UNKNOWN, step.state)
            grid.addWidget(PlainLabel(step.words, wrap=True), number, 0)
            grid.addWidget(badge, number, 1)
            grid.addWidget(way, number, 2)
            self.ways.append(way)
            self._badges.append(badge)
        self.add(grid)
        self.hide()

    def show_known(self, known: Known) -> None:
        """Say what is done; out of sight once the shop can write its first record."""
        for badge, step in zip(self._badges, first_steps(known), strict=True):
            badge.set_state(State.FINE if step.done else State.UNKNOWN, step.state)
        self.setVisible(not known.ready)


def _going(desk: Desk, page: str, subject: str) -> Callable[[], None]:
    return lambda: desk.ways.go(page, subject)
