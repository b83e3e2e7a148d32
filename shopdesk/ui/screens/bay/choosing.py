"""Which vehicle, and which unit of it: rows high enough for gloves."""

from gettext import gettext as _

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from shopdesk.services.board import RecordRow, WorkOrderRow, WorkOrderView
from shopdesk.services.intake import UnitView
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.today import waits_for
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable


class BayChoosing(QWidget):
    """``order_chosen`` and ``unit_chosen`` tell the id of what was opened."""

    order_chosen = Signal(int)
    unit_chosen = Signal(int)

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._records: dict[int, RecordRow] = {}
        self.orders: RowTable[WorkOrderRow] = RowTable(
            desk.look,
            _("Vehicles in the bays"),
            [
                Column(title=_("Bay"), text=lambda row: row.bay or "—", chars=5, strong=True),
                Column(title=_("Plate"), text=lambda row: row.plate, chars=12, strong=True),
                Column(title=_("Vehicle"), text=lambda row: row.vehicle, chars=18, optional=True),
                Column(title=_("Work"), text=lambda row: row.work, chars=18, stretch=True),
                Column(title=_("State"), text=waits_for, chars=14, state=lambda _row: State.PLAIN),
            ],
            key=lambda row: row.id,
            empty=_("No vehicle is in the bays."),
            bay=True,
        )
        self.orders.opened.connect(lambda row: self.order_chosen.emit(row.id))
        self.units: RowTable[UnitView] = RowTable(
            desk.look,
            _("Units of the vehicle"),
            [
                Column(title=_("Unit"), text=lambda row: row.label, chars=18, strong=True, stretch=True),
                Column(title=_("Unit sheet"), text=lambda row: row.designation, chars=12),
                Column(title=_("Service"), text=self._service, chars=24),
            ],
            key=lambda row: row.id,
            empty=_("This vehicle has no unit yet."),
            bay=True,
        )
        self.units.opened.connect(lambda row: self.unit_chosen.emit(row.id))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.orders)
        column.addWidget(self.units)

    def show_orders(self, rows: tuple[WorkOrderRow, ...]) -> None:
        """Show the vehicles to choose from."""
        self.units.hide()
        self.orders.show()
        self.orders.set_rows(rows)

    def show_units(self, order: WorkOrderView) -> None:
        """Show the units to choose from; one without a record leads to the counter's page."""
        self._records = {record.unit_id: record for record in order.records}
        self.orders.hide()
        self.units.show()
        self.units.set_rows(order.units)

    def focus_first(self) -> None:
        """The list in sight."""
        (self.units if self.orders.isHidden() else self.orders).setFocus()

    def _service(self, row: UnitView) -> str:
        record = self._records.get(row.id)
        if record is None:
            return _("not begun: begin it at the counter")
        return _("finished") if record.finished else _(record.method)
