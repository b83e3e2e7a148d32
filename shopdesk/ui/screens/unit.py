"""One unit over its services: pictures, the fluid's age, the usual refill, what it loses in between."""

from dataclasses import dataclass
from gettext import gettext as _

from PySide6.QtWidgets import QGridLayout, QWidget

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.unit_history import ServiceRow, UnitAbout, UnitHistory
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.worked_figure import WorkedFigure
from shopdesk.ui.presenters import unit_words as words
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.tab_order import follow_layout
from shopdesk.ui.theme.tokens import GAP_WIDE, LARGE_TEXT
from shopdesk.ui.widgets.card import Card, card_of
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.course_chart import CourseChart
from shopdesk.ui.widgets.facts import WarningLine
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.table import RowTable

_MOST_ROWS = 8
_CHARTS = 4


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    about: UnitAbout
    history: UnitHistory


class UnitScreen(Screen):
    """The subject is a unit's id."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Unit"))
        self._work = work
        self._about: UnitAbout | None = None
        look = desk.look
        self.hint = WarningLine(look, _("Last refill"))
        self.charts = [CourseChart(look) for _number in range(_CHARTS)]
        self.cards = [Card(look) for _number in range(_CHARTS)]
        for card, chart in zip(self.cards, self.charts, strict=True):
            card.add(chart)
        self.age_run = WorkedFigure(look, _("Average age now, by distance"))
        self.age_days = WorkedFigure(look, _("Average age now, by time"))
        self.usual = WorkedFigure(look, _("This shop's usual refill"))
        self.loss = WorkedFigure(look, _("Lost between services"))
        self.table = self._make_table()
        self._lay_out()
        self.listen(Topic.SERVICE, Topic.VEHICLES, Topic.WORK, Topic.SHEETS)

    def refresh(self) -> None:
        """Read the unit's history again."""
        if not self.subject.isdecimal():
            return
        number, rooms = int(self.subject), self._work.rooms.unit_histories
        self.desk.background.read(
            self,
            "unit",
            lambda: _Read(about=rooms.about(number), history=rooms.of(number)),
            self._show,
            self._gone,
        )

    def focus_first(self) -> None:
        """The services come first; without one, the way to a plan is the page's action."""
        self.table.setFocus()

    def _show(self, read: _Read) -> None:
        figures, about, history = self._work.figures, read.about, read.history
        self._about = about
        title = _("{unit}  ·  {plate}").format(unit=about.label, plate=about.plate)
        self.set_heading(title, about.designation)
        self.hint.show_warning(words.unusual_refill(history.hint, figures))
        for figure, worked in zip((self.age_run, self.age_days), words.ages(history, figures), strict=True):
            figure.show_worked(worked)
        self.usual.show_worked(words.usual(history, about, figures))
        self.loss.show_worked(words.loss(history, figures))
        found = words.pictures(history, about, figures)
        for card, chart, picture in zip(self.cards, self.charts, found, strict=True):
            card.set_title(picture.name)
            chart.set_picture(picture)
        self.table.set_rows(tuple(reversed(history.services)))
        self.set_actions(
            PageAction(words=_("Plan new fluid"), do=self._plan, icon="droplets"),
            PageAction(words=_("Vehicle"), do=self._vehicle, icon="car"),
        )
        follow_layout(self)

    def _gone(self, refusal: RuleBroken) -> None:
        self.desk.notices.refuse(refusal.sentence)
        self.set_actions(None)

    def _plan(self) -> None:
        self.desk.ways.go("plan", self.subject)

    def _vehicle(self) -> None:
        if self._about is not None:
            self.desk.ways.go("vehicle", str(self._about.vehicle_id))

    def _distance(self, row: ServiceRow) -> str:
        return "" if row.shown_tenths is None else self._work.figures.number(row.shown_tenths // 10, 0)

    def _make_table(self) -> RowTable[ServiceRow]:
        table: RowTable[ServiceRow] = RowTable(
            self.desk.look,
            _("Services of this unit"),
            [
                Column(title=_("Done on"), text=lambda row: self._work.figures.day(row.done_on), chars=12),
                Column(title=_("Odometer"), text=self._distance, chars=10, number=True),
                Column(title=_("What"), text=lambda row: _(row.method.value).capitalize(), chars=16),
                Column(
                    title=_("Stayed in"),
                    text=lambda row: words.service_volume(row, self._work.figures),
                    chars=10,
                    number=True,
                ),
                Column(
                    title=_("How it came in"),
                    text=lambda row: words.service_arrived(row, self._work.figures),
                    chars=24,
                    stretch=True,
                ),
            ],
            key=lambda row: row.record_id,
            empty=_("No service of this unit is recorded: its history is not known."),
        )
        table.fit_rows(_MOST_ROWS)
        table.opened.connect(lambda row: self.desk.ways.go("verify", str(row.record_id)))
        return table

    def _lay_out(self) -> None:
        look = self.desk.look
        services = Card(look, _("Services"), _("Enter gives a second opinion"))
        services.add(self.table)
        scroll = Scroll(look)
        self.column.addWidget(scroll)
        scroll.add(self.hint)
        columns = Columns(look, main=8, side=3)
        columns.add_main(services)
        for title, figures in (
            (_("The fluid's age"), (self.age_run, self.age_days)),
            (_("Usual refill"), (self.usual,)),
            (_("Loss"), (self.loss,)),
        ):
            columns.add_side(card_of(look, title, *figures))
        pairs = QWidget()
        grid = QGridLayout(pairs)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(look.px(GAP_WIDE))
        beside = 1 if look.percent > LARGE_TEXT else 2
        for number, chart in enumerate(self.cards):
            grid.addWidget(chart, number // beside, number % beside)
        for column in range(beside):
            grid.setColumnStretch(column, 1)
        columns.add_main(pairs)
        scroll.add(columns)
