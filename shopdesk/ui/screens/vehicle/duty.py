"""How the vehicle is driven; what is due follows it."""

from gettext import gettext as _

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QHBoxLayout

from shopdesk.services.intake import VehicleView
from shopdesk.services.vehicles import AnswerDuty, DutyTyped, VehicleKept
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.duty_form import DutyForm
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.presenters.vehicles import duty_of
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.card import Card


class DutyPart(QObject):
    """Six questions. Only answers that differ from those kept are sent; earlier ones stay on record."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._vehicle_id = 0
        self._kept: dict[str, bool] = {}
        self._touched = False
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.card = Card(desk.look, _("How it is driven"))
        self.form = DutyForm(desk.look)
        self.form.edited.connect(self._answered)
        self.keep = Button(desk.look, _("Keep answers"), icon="check")
        self.keep.clicked.connect(self.save)
        row = QHBoxLayout()
        row.addWidget(self.keep)
        row.addStretch(1)
        self.card.add(self.form)
        self.card.add(row)

    def show_vehicle(self, view: VehicleView) -> None:
        """Show a vehicle's answers; what is being answered stays."""
        another = view.id != self._vehicle_id
        self._vehicle_id = view.id
        self._kept = duty_of(view)
        if another or not self._touched:
            self._touched = False
            self.form.put(self._kept)
        self.keep.setEnabled(self._touched)

    def save(self) -> None:
        """Keep the answers that are new."""
        vehicle_id, answers = self._vehicle_id, self.form.answers()
        new = {key: yes for key, yes in answers.items() if self._kept.get(key) is not yes}
        if not new:
            self._touched = False
            self.keep.setEnabled(False)
            return
        command = AnswerDuty(
            actor=self._work.actor,
            uid=self._uids.of("duty", vehicle_id, new, self._kept),
            vehicle_id=vehicle_id,
            answers=tuple(DutyTyped(question=key, yes=yes) for key, yes in new.items()),
        )
        intake = self._work.rooms.intake
        self._sending.send(lambda: intake.answer_duty(command), self._saved)

    def _answered(self) -> None:
        self._touched = True
        self.keep.setEnabled(True)

    def _saved(self, _kept: VehicleKept) -> None:
        self._touched = False
        self._uids.forget()
        self._desk.notices.tell(self.form.verdict())
