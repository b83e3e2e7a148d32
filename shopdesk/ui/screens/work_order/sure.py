"""How sure the balance is and what would make it surer; how the level would stand at another temperature."""

from gettext import gettext as _

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout

from shopdesk.domain.budget import LevelSetting
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.units import NumberStyle
from shopdesk.services.bay import RecordView
from shopdesk.services.figures import shown_unit
from shopdesk.services.typed import Typed
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.forms.worked_figure import WorkedFigure
from shopdesk.ui.presenters import sure
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.card import Card, Rule
from shopdesk.ui.widgets.fields import NumberField


class SureCard(Card):
    """Follows the record as it is typed. ``opened`` tells a page about the unit that is wanted."""

    opened = Signal(str, int)

    def __init__(self, look: Look, work: AtWork) -> None:
        super().__init__(look, _("How sure, and what if"))
        self._work = work
        self._view: RecordView | None = None
        self._level: LevelSetting | None = None
        self.largest = WorkedFigure(look, _("Most of the uncertainty"))
        self.helps = WorkedFigure(look, _("Would make it surest"))
        self.degree = WorkedFigure(look, _("What a degree is worth"))
        self.other = NumberField(
            look,
            "other",
            _("Had the level been set at"),
            self._read,
            unit=shown_unit(work.figures.shop.temperature_unit),
        )
        self.what_if = WorkedFigure(look, _("The level would stand"))
        self.other.edited.connect(self._work_out)
        for part in (self.largest, self.helps, Rule(), self.degree, self.other, self.what_if):
            self.add(part)
        self.what_if.hide()
        self.plan = Button(look, _("Plan new fluid"), icon="droplets")
        self.plan.clicked.connect(lambda: self._go("plan"))
        self.years = Button(look, _("Unit over the years"), icon="calendar-clock")
        self.years.clicked.connect(lambda: self._go("unit"))
        ways = QHBoxLayout()
        ways.setSpacing(look.px(GAP))
        ways.addWidget(self.plan)
        ways.addWidget(self.years)
        ways.addStretch(1)
        self.add(Rule())
        self.add(ways)

    def _go(self, page: str) -> None:
        if self._view is not None:
            self.opened.emit(page, self._view.unit_id)

    def show_record(self, view: RecordView) -> None:
        """Show what the record says now, or would say with what was typed."""
        figures = self._work.figures
        self._view, self._level = view, sure.level_now(view)
        self.largest.show_worked(sure.largest_part(view, figures))
        self.helps.show_worked(sure.best_help(view, figures))
        self.degree.show_worked(sure.degree(view, self._level, figures))
        self._work_out()

    def _work_out(self) -> None:
        if self._view is None:
            return
        try:
            found = sure.what_if(
                self._view, self._level, self.other.text(), self._typed(), self._work.figures
            )
        except RuleBroken as refusal:
            found = None
            if self._level is None:
                self.other.set_error(refusal.sentence)
        if found is not None:
            self.other.clear_error()
            self.what_if.show_worked(found)
        self.what_if.setVisible(found is not None)

    def _typed(self) -> Typed:
        return Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)

    def _read(self, text: str) -> str:
        return self._work.figures.temperature(self._typed().temperature(text, "other").value)
