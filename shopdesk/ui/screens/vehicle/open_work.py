"""Work orders of the vehicle that are still open: a way to each."""

from collections.abc import Sequence
from functools import partial

from PySide6.QtWidgets import QWidget

from shopdesk.services.board import WorkOrderRow
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.work_orders import open_work_words
from shopdesk.ui.theme.tokens import GAP
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.flow import Flow


class OpenWorkPart(QWidget):
    """One button for each; out of sight where there is none."""

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._flow = Flow(desk.look.px(GAP), self)
        self._rows: tuple[WorkOrderRow, ...] = ()
        self.buttons: list[Button] = []
        self.hide()

    def show_rows(self, rows: Sequence[WorkOrderRow]) -> None:
        """Show these work orders."""
        if self._rows == tuple(rows):
            return
        self._rows = tuple(rows)
        for button in self.buttons:
            self._flow.removeWidget(button)
            button.hide()
            button.deleteLater()
        self.buttons = [self._button(row) for row in rows]
        self.setVisible(bool(rows))

    def _button(self, row: WorkOrderRow) -> Button:
        button = Button(self._desk.look, open_work_words(row), icon="clipboard-list")
        button.clicked.connect(partial(self._go, row.id))
        self._flow.addWidget(button)
        return button

    def _go(self, work_order_id: int, _checked: bool = False) -> None:
        self._desk.ways.go("work order", str(work_order_id))
