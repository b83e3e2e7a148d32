"""What the vehicle is and who keeps it; both are changed here."""

from gettext import gettext as _

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QHBoxLayout

from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.services.intake import VehicleView
from shopdesk.services.vehicles import VehicleKept
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper
from shopdesk.ui.forms.both_versions import meet_kept, show_both
from shopdesk.ui.forms.form_card import FormCard
from shopdesk.ui.forms.vehicle_form import VehicleForm
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.presenters.vehicles import edit_vehicle, vehicle_texts
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.tokens import TextRole
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.facts import Facts
from shopdesk.ui.widgets.plain_label import PlainLabel


class ParticularsPart(QObject):
    """``opened`` tells that the form came into sight or left it."""

    opened = Signal()

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._view: VehicleView | None = None
        self._editing: VehicleView | None = None
        self._keeper: DraftKeeper | None = None
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self._make_card()
        self.form = VehicleForm(desk.look, work.figures.shop.distance_unit)
        self.form.hold_dial()
        self.form.completed.connect(self.save)
        self.form_card = FormCard(desk.look, _("Change the vehicle"), _("Save vehicle"))
        self.form_card.add(self.form)
        self.form_card.end()
        self.form_card.wanted.connect(self.save)
        self.form_card.put_aside.connect(self.throw_away)
        self.form_card.hide()

    @property
    def is_open(self) -> bool:
        """Whether the vehicle is being changed."""
        return not self.form_card.isHidden()

    def show_vehicle(self, view: VehicleView) -> None:
        """Show what a vehicle is."""
        if self._view is not None and self._view.id != view.id:
            self.close_form()
        self._view = view
        if self.is_open and not self.form.touched:
            self._editing = view
            self.form.fill(vehicle_texts(view))
        dial = {"mi": _("miles"), "km": _("kilometers")}
        self._vin.show_facts([(_("VIN"), view.vin)])
        self._facts.show_facts(
            [
                (_("Plate from"), view.plate_place),
                (_("Odometer counts"), dial.get(view.odometer_unit, view.odometer_unit)),
            ]
        )
        self._vin_note.setText(" ".join(view.vin_note.splitlines()))
        self._vin_note.setVisible(bool(view.vin_note))
        self._note.setText(view.note)
        self._note.setVisible(bool(view.note))
        self.keeper.set_text(view.keeper)
        self._vin.setVisible(bool(view.vin))

    def open_form(self) -> None:
        """Begin to change the vehicle."""
        view = self._view
        if view is None or self.is_open:
            return
        self._editing = view
        self.form.fill(vehicle_texts(view))
        self.form.offer_unusual()
        self._keeper = self._desk.drafts.keep(self.form, "vehicle", str(view.id), self)
        self._keeper.restored.connect(self._restored)
        self.card.hide()
        self.form_card.show()
        self.form.focus_first()
        self.opened.emit()

    def _restored(self) -> None:
        if self._editing is not None:
            meet_kept(self.form, vehicle_texts(self._editing))

    def close_form(self) -> None:
        """Put the form away; what was typed and not thrown away stays as a draft."""
        if self._keeper is not None:
            self._keeper.flush_if_waiting()
            self._keeper.deleteLater()
            self._keeper = None
        self._uids.forget()
        self._editing = None
        self.form_card.hide()
        self.card.show()
        self.opened.emit()

    def throw_away(self) -> None:
        """Put the form away with what was typed."""
        if self._keeper is not None:
            self._keeper.forget()
        self.form.fill(self.form.texts())
        self.close_form()

    def save(self) -> None:
        """Keep what was changed."""
        view = self._editing
        self.form.clear_errors()
        if view is None or not self.form.check():
            return
        texts = self.form.texts()
        uid = self._uids.of("edit", view.id, view.version, texts)
        command = edit_vehicle(texts, self._work.actor, uid, vehicle_id=view.id, version=view.version)
        intake = self._work.rooms.intake
        self._sending.send(lambda: intake.edit_vehicle(command), self._saved, self._refused)

    def _saved(self, kept: VehicleKept) -> None:
        self.throw_away()
        self._desk.notices.tell(" ".join((_("The vehicle is saved."), *kept.notes)))

    def _refused(self, refusal: RuleBroken) -> None:
        before = self._editing
        if not isinstance(refusal, Conflict) or before is None:
            self.form.show_refusal(refusal)
            return

        def show(now: VehicleView) -> None:
            self._editing = now
            show_both(self.form, vehicle_texts(before), vehicle_texts(now))

        intake = self._work.rooms.intake
        self._desk.background.read(self, "conflict", lambda: intake.vehicle(before.id), show)

    def _make_card(self) -> None:
        look = self._desk.look
        self.card = Card(look, _("Vehicle"))
        self.change = Button(look, _("Change"), name=_("Change the vehicle"))
        self.change.clicked.connect(self.open_form)
        self.card.add_to_head(self.change)
        self._vin = Facts(look)
        self._facts = Facts(look)
        self._vin_note = PlainLabel("", TextRole.HELP, tone="soon", wrap=True)
        self._note = PlainLabel("", tone="ink2", wrap=True)
        for part in (self._vin, self._vin_note, self._facts, self._note):
            self.card.add(part)
        row = QHBoxLayout()
        self.keeper = Button(look, _("Keeper"), ButtonPart.QUIET, icon="users")
        self.keeper.clicked.connect(self._go_to_keeper)
        self.change_keeper = Button(look, _("Change keeper"))
        row.addWidget(self.keeper)
        row.addStretch(1)
        row.addWidget(self.change_keeper)
        self.card.add(row)

    def _go_to_keeper(self) -> None:
        if self._view is not None:
            self._desk.ways.go("customer", str(self._view.keeper_id))
