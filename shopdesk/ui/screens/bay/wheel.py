"""The wheel's own step: its nuts, torqued before the work is finished."""

from collections.abc import Callable
from gettext import gettext as _

from PySide6.QtWidgets import QVBoxLayout, QWidget

from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.units import NumberStyle
from shopdesk.services.board import WorkOrderView
from shopdesk.services.figures import shown_unit
from shopdesk.services.typed import Typed
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.bay_plan import BayStep
from shopdesk.ui.presenters.work_facts import edit_command, texts_of
from shopdesk.ui.screens.bay.step_page import Cautions
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.tokens import GAP_WIDE
from shopdesk.ui.widgets.fields import NumberField, reading
from shopdesk.ui.widgets.number_pad import NumberPad


class WheelPage(QWidget):
    """One big field; what is typed goes to the work order itself."""

    def __init__(self, desk: Desk, work: AtWork, order: WorkOrderView, pad: NumberPad, step: BayStep) -> None:
        super().__init__()
        self._work = work
        self._order = order
        self._pad = pad
        self._sending = Sending(desk, self)
        self._desk = desk
        cautions = Cautions(desk.look)
        self.field = NumberField(desk.look, "wheel_torque", _("Wheel-nut torque"), self._read, bay=True)
        self.field.set_text(order.wheel_torque_typed)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(desk.look.px(GAP_WIDE))
        column.addWidget(cautions)
        cautions.show_cautions(step.cautions)
        column.addWidget(self.field)

    def focus_first(self) -> None:
        """The field, with the number pad aimed at it."""
        own = self._work.figures.shop.torque_unit
        units = dict.fromkeys((own, "lbf*ft", "nm"))
        self._pad.aim_at(self.field.line, tuple(shown_unit(unit) for unit in units))
        self.field.setFocus()

    def save(self, then: Callable[[], None]) -> None:
        """Keep the torque in the work order, then go on."""
        if not self.field.check():
            return
        texts = texts_of(self._order, self._work.figures)
        if texts["wheel_torque"] == self.field.text().strip():
            then()
            return
        texts["wheel_torque"] = self.field.text()
        command = edit_command(
            self._work.actor, self._order, self._order.version, texts, self._order.promised_at
        )
        self._sending.send(
            lambda: self._work.rooms.work.edit(command),
            lambda _kept: then(),
            lambda r: self._refused(r, then),
        )

    def _refused(self, refusal: RuleBroken, then: Callable[[], None]) -> None:
        if not isinstance(refusal, Conflict):
            self.field.set_error(refusal.sentence)
            return
        number, read = self._order.id, self._work.rooms.board.work_order

        def again(order: WorkOrderView) -> None:
            self._order = order  # somebody else changed other facts: theirs stay, only the torque is ours
            self.save(then)

        self._desk.background.read(self, "order", lambda: read(number), again)

    def _read(self, text: str) -> str:
        typed = Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)
        return reading(self._work.figures.torque(typed.torque(text, "wheel_torque").value))
