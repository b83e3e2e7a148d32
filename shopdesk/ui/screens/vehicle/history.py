"""What was done, by unit; each line opens its work order."""

from gettext import gettext as _

from PySide6.QtCore import QObject

from shopdesk.services.intake import ServiceRow, VehicleView
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.vehicles import capital, service_distance, services_of
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.segments import Segments
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

_ONE, _ALL = "one", "all"


class HistoryPart(QObject):
    """The chosen unit's services, or all of the vehicle's."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._view: VehicleView | None = None
        self._unit_key = ""
        self.card = Card(desk.look, _("History"))
        self.which = Segments(desk.look, _("History"), [(_ONE, _("This unit")), (_ALL, _("All units"))])
        self.which.chosen.connect(lambda _key: self._show())
        self.over_years = Button(desk.look, _("This unit over the years"), ButtonPart.QUIET)
        self.over_years.clicked.connect(self._open_unit)
        self.card.add_to_head(self.over_years)
        self.card.add_to_head(self.which)
        self.table = self._make_table()
        self.card.add(self.table)

    def show_vehicle(self, view: VehicleView, unit_key: str) -> None:
        """Show a vehicle's services, those of one unit first."""
        self._view = view
        self.show_unit(unit_key)

    def show_unit(self, unit_key: str) -> None:
        """Show the services of the unit with this key."""
        self._unit_key = unit_key
        self.over_years.setVisible(bool(unit_key))
        self._show()

    def _show(self) -> None:
        if self._view is not None:
            key = self._unit_key if self.which.choice() == _ONE else ""
            self.table.set_rows(services_of(self._view, key))

    def _open_unit(self) -> None:
        if self._unit_key:
            self._desk.ways.go("unit", self._unit_key)

    def _distance(self, row: ServiceRow) -> str:
        return service_distance(row, self._view, self._work.figures) if self._view is not None else ""

    def _make_table(self) -> RowTable[ServiceRow]:
        table: RowTable[ServiceRow] = RowTable(
            self._desk.look,
            _("History"),
            [
                Column(title=_("Done on"), text=lambda row: self._work.figures.day(row.done_on), chars=12),
                Column(title=_("Odometer"), text=self._distance, chars=11, number=True),
                Column(title=_("Unit"), text=lambda row: row.unit_label, chars=16, optional=True),
                Column(title=_("What"), text=lambda row: capital(_(row.method)), chars=16, stretch=True),
                Column(
                    title=_("State"),
                    text=lambda row: _("Finished") if row.finished else _("Begun"),
                    chars=12,
                    state=lambda row: State.FINE if row.finished else State.PLAIN,
                    optional=True,
                ),
                Column(title=_("Order"), text=lambda row: str(row.work_order_number), chars=7, number=True),
            ],
            key=lambda row: row.record_id,
            empty=_("Nothing was done here yet."),
        )
        table.fit_rows(7)
        table.opened.connect(lambda row: self._desk.ways.go("work order", str(row.work_order_id)))
        return table
