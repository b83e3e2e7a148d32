"""How many drain and fills reach a chosen share of new fluid, against a full exchange: fluid and cost."""

from collections.abc import Sequence
from gettext import gettext as _

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QWidget

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.units import NumberStyle
from shopdesk.services.figures import shown_unit
from shopdesk.services.typed import Typed
from shopdesk.services.unit_history import UnitAbout
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.plan_words import PlanRow, planned, start_texts
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.tab_order import follow_layout
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP_TIGHT, GAP_WIDE, TextRole
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.fields import NumberField
from shopdesk.ui.widgets.figure import CameFrom, Figure
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.state_mark import State, StateBadge


class PlanScreen(Screen):
    """The subject is a unit's id. Nothing is kept: it is reckoned while one types."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Plan new fluid"))
        self._work = work
        self._about: UnitAbout | None = None
        self._filled_for = ""
        look = desk.look
        self.form = self._make_form(look)
        self.sentence = PlainLabel("", TextRole.CARD, wrap=True)
        self.reaching = PlanTable(look)
        self.steps = PlanTable(look)
        self.results = Card(look, _("What reaches it"))
        self.results.add(self.sentence)
        self.results.add(self.reaching)
        self.each = Card(look, _("One drain and fill after another"))
        self.each.add(self.steps)
        asking = Card(look, _("For this unit"))
        asking.add(self.form)
        scroll = Scroll(look)
        self.column.addWidget(scroll)
        columns = Columns(look, main=5, side=6)
        columns.add_main(asking)
        columns.add_side(self.results)
        columns.add_side(self.each)
        scroll.add(columns)
        self.form.edited.connect(self._work_out)

    def refresh(self) -> None:
        """Read what is known of the unit; what was typed for it stays."""
        if not self.subject.isdecimal():
            return
        number, about = int(self.subject), self._work.rooms.unit_histories.about
        self.desk.background.read(self, "unit", lambda: about(number), self._show, self._gone)

    def focus_first(self) -> None:
        """The share that is wanted."""
        self.form.focus_first()

    def _show(self, about: UnitAbout) -> None:
        self._about = about
        self.set_heading(
            _("Plan new fluid  ·  {unit}").format(unit=about.label),
            "  ·  ".join(part for part in (about.plate, about.designation, about.fluid) if part),
        )
        if self._filled_for != self.subject:
            self._filled_for = self.subject
            self.form.fill(start_texts(about, self._work.figures))
            self._work_out()
        self.set_actions(
            None,
            PageAction(words=_("Unit over the years"), do=self._unit, icon="calendar-clock"),
            PageAction(words=_("Vehicle"), do=self._vehicle, icon="car"),
        )

    def _gone(self, refusal: RuleBroken) -> None:
        self.desk.notices.refuse(refusal.sentence)
        self.set_actions(None)

    def _unit(self) -> None:
        self.desk.ways.go("unit", self.subject)

    def _vehicle(self) -> None:
        if self._about is not None:
            self.desk.ways.go("vehicle", str(self._about.vehicle_id))

    def _work_out(self) -> None:
        try:
            found = planned(self.form.texts(), self._typed(), self._work.figures)
        except RuleBroken as refusal:
            self.results.hide()
            self.each.hide()
            self.form.set_error(refusal.field, refusal.sentence)
            return
        self.sentence.setText(found.sentence)
        self.reaching.show_plans(found.reaching)
        self.steps.show_plans(found.steps)
        self.results.show()
        self.each.show()
        follow_layout(self)

    def _typed(self) -> Typed:
        return Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)

    def _make_form(self, look: Look) -> Form:
        shop = self._work.figures.shop
        unit, code = shown_unit(shop.volume_unit), shop.currency.code
        form = Form(look, columns=2, least_width=190)
        form.add(NumberField(look, "wanted", _("New fluid wanted"), unit="%"))
        form.add(NumberField(look, "already", _("New already"), unit="%"))
        form.add(NumberField(look, "total", _("Total capacity"), self._volume, unit=unit))
        form.add(NumberField(look, "refill", _("One drain and fill renews"), self._volume, unit=unit))
        each = _("{code} / {unit}").format(code=code, unit=unit)
        form.add(NumberField(look, "fluid_price", _("Fluid"), self._money, unit=each))
        form.add(NumberField(look, "waste", _("Getting rid of the old"), self._money, unit=each))
        form.add(
            NumberField(look, "round", _("Work and washers, each drain and fill"), self._money, unit=code)
        )
        form.add(
            NumberField(
                look,
                "exchange",
                _("Work of a full exchange"),
                self._money,
                unit=code,
                help_line=_("Empty: the shop has no machine for it"),
            )
        )
        return form

    def _volume(self, text: str) -> str:
        return self._work.figures.volume_both(self._typed().volume(text, "volume").value)

    def _money(self, text: str) -> str:
        return self._work.figures.money(self._typed().money(text, "money"))


class ShareBar(QWidget):
    """How much is new, as fluid in a tube laid on its side."""

    def __init__(self, look: Look, full: float, words: str, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self._full = full
        self.setAccessibleName(words)
        self.setFixedHeight(look.px(16))
        self.setMinimumWidth(look.px(80))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw tube and fluid."""
        look = self._look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect()).adjusted(1, 2, -1, -2)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(look.colour("sunken"))
        painter.drawRoundedRect(box, box.height() / 2, box.height() / 2)
        painter.setBrush(look.colour("fluid"))
        filled = QRectF(box.left(), box.top(), box.width() * self._full, box.height())
        painter.drawRoundedRect(filled, box.height() / 2, box.height() / 2)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(look.colour("edge"))
        painter.drawRoundedRect(box, box.height() / 2, box.height() / 2)
        painter.end()


class PlanTable(QWidget):
    """Plans beneath one another; each cost opens what it is made of."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._body: QWidget | None = None
        self.costs: list[Figure] = []
        self._column = QGridLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)

    def show_plans(self, rows: Sequence[PlanRow]) -> None:
        """Show these plans."""
        if self._body is not None:
            self._column.removeWidget(self._body)
            self._body.hide()
            self._body.deleteLater()
        look = self._look
        self._body = body = QWidget(self)
        grid = QGridLayout(body)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(look.px(GAP_WIDE))
        grid.setVerticalSpacing(look.px(GAP_TIGHT))
        grid.setColumnStretch(2, 1)
        self.costs = []
        for number, row in enumerate(rows):
            name = PlainLabel(row.words, strong=row.enough, wrap=True)
            grid.addWidget(name, 2 * number, 0)
            share = _("{share} new").format(share=row.share)
            grid.addWidget(PlainLabel(share, tone="ink" if row.enough else "ink2"), 2 * number, 1)
            grid.addWidget(ShareBar(look, row.full, share, body), 2 * number, 2)
            grid.addWidget(PlainLabel(row.fluid), 2 * number, 3, Qt.AlignmentFlag.AlignRight)
            cost = Figure(look, _("Cost"), parent=body)
            cost.set_value(row.cost, came_from=CameFrom(rows=row.rows, formula=row.formula))
            cost.setAccessibleName(f"{row.words}: {row.cost}")
            grid.addWidget(cost, 2 * number, 4, Qt.AlignmentFlag.AlignRight)
            self.costs.append(cost)
            if row.cheapest:
                grid.addWidget(StateBadge(look, State.FINE, _("Cheapest"), body), 2 * number + 1, 0)
        self._column.addWidget(body, 0, 0)
        body.show()

    def texts(self) -> list[str]:
        """Return each plan's name and cost."""
        return [cost.accessibleName() for cost in self.costs]
