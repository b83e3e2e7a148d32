"""One customer: who they are, how to reach them, and their vehicles."""

from gettext import gettext as _

from PySide6.QtCore import QObject, Signal

from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.services.customers import CustomerKept
from shopdesk.services.intake import CustomerView, VehicleRow
from shopdesk.services.vehicles import VehicleKept
from shopdesk.ui.actions import Verb
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper
from shopdesk.ui.forms.both_versions import meet_kept, show_both
from shopdesk.ui.forms.customer_form import CustomerForm
from shopdesk.ui.forms.form_card import FormCard
from shopdesk.ui.forms.vehicle_form import VehicleForm
from shopdesk.ui.presenters.customers import (
    add_customer,
    customer_texts,
    edit_customer,
    saved_sentence,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.presenters.vehicles import MARK_OF_DUE, add_vehicle, due_cell, vehicle_name
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.facts import WarningLine
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

NEW = "new"


class CustomerScreen(Screen):
    """The subject is a customer's id, or "new"."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Customer"))
        self._work = work
        self._view: CustomerView | None = None
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self._keeper: DraftKeeper | None = None
        self.warning = WarningLine(desk.look, _("Customer"))
        self.form = CustomerForm(desk.look, work.figures.shop.locale)
        self.form.completed.connect(self._save)
        self.vehicles = CustomersVehicles(desk, work)
        self.vehicles.form_toggled.connect(self._show_actions)
        self._lay_out()
        self.commands = {Verb.NEW: self._new_work}
        self.listen(Topic.CUSTOMERS, Topic.VEHICLES, Topic.DUE)

    def open_at(self, subject: str) -> None:
        """Show a customer, or an empty form; what is typed for another is kept as a draft."""
        if subject != self.subject or self._keeper is None:
            self._leave()
            self._view = None
            self.form.fill(dict.fromkeys(self.form.texts(), "") | {"kind": "person"})
            self.vehicles.close_form()
            self._keeper = self.desk.drafts.keep(self.form, "customer", subject, self)
            self._keeper.restored.connect(self._tell_restored)
        self.subject = subject
        self._show()
        self.refresh()

    def refresh(self) -> None:
        """Read the customer again; what is being typed stays."""
        if self.subject == NEW:
            return
        customer_id = int(self.subject)
        self.desk.background.read(
            self, "customer", lambda: self._work.rooms.intake.customer(customer_id), self._take, self._gone
        )

    def focus_first(self) -> None:
        """A new customer begins with the name; a known one is looked at first."""
        self.form.focus_first()

    def _lay_out(self) -> None:
        look = self.desk.look
        card = Card(look, _("Particulars"))
        card.add(self.form)
        scroll = Scroll(look)
        self.column.addWidget(scroll)
        scroll.add(self.warning)
        columns = Columns(look, main=6, side=5)
        scroll.add(columns)
        columns.add_main(card)
        columns.add_side(self.vehicles.list_card)
        columns.add_side(self.vehicles.form_card)

    def _leave(self) -> None:
        if self._keeper is not None:
            self._keeper.flush_if_waiting()
            self._keeper.deleteLater()
            self._keeper = None
        self._uids.forget()

    def _take(self, view: CustomerView) -> None:
        if str(view.id) != self.subject:
            return
        if not self.form.touched:
            self.form.fill(customer_texts(view))
        elif self._view is None:
            meet_kept(self.form, customer_texts(view))
        if not self.form.touched or self._view is None:
            self._view = view  # while somebody types, the version stays the one they began from
        self.warning.show_warning(view.warning)
        self.vehicles.show_rows(view.id, view.vehicles)
        self._show()

    def _gone(self, refusal: RuleBroken) -> None:
        self.desk.notices.refuse(refusal.sentence)
        self.desk.ways.go("customers")

    def _show(self) -> None:
        view = self._view
        if self.subject == NEW:
            self.warning.show_warning("")
            self.set_heading(_("New customer"), _("Their vehicles come next"))
        elif view is not None:
            self.set_heading(view.name, " · ".join((_(view.kind).capitalize(), *view.phones)))
        self.vehicles.list_card.setVisible(self.subject != NEW)
        self._show_actions()

    def _show_actions(self) -> None:
        work = PageAction(words=_("New work order"), do=self._new_work, icon="plus", verb=Verb.NEW)
        save = PageAction(words=_("Save customer"), do=self._save, icon="check")
        if self.vehicles.is_open:
            self.set_actions(PageAction(words=_("Add vehicle"), do=self.vehicles.save, icon="check"), save)
        elif self.subject == NEW:
            self.set_actions(save)
        else:
            self.set_actions(save, work)

    def _tell_restored(self) -> None:
        self.desk.notices.tell(
            _("What was typed here before and not saved is back."), _("Throw it away"), self._throw_away
        )

    def _throw_away(self) -> None:
        if self._keeper is not None:
            self._keeper.forget()
        empty = dict.fromkeys(self.form.texts(), "") | {"kind": "person"}
        self.form.fill(customer_texts(self._view) if self._view else empty)

    def _new_work(self) -> None:
        self.desk.ways.go("new work order", "" if self.subject == NEW else f"customer:{self.subject}")

    def _save(self) -> None:
        self.form.clear_errors()
        if not self.form.check():
            return
        texts, intake, actor = self.form.texts(), self._work.rooms.intake, self._work.actor
        view = self._view
        if view is None:
            uid = self._uids.of("add", texts)
            adding = add_customer(texts, actor, uid)
            self._sending.send(lambda: intake.add_customer(adding), self._saved, self._refused)
            return
        uid = self._uids.of("edit", texts, view.version)
        editing = edit_customer(texts, actor, uid, customer_id=view.id, version=view.version)
        self._sending.send(lambda: intake.edit_customer(editing), self._saved, self._refused)

    def _saved(self, kept: CustomerKept) -> None:
        name = self.form.field("name").text().strip()
        if self._keeper is not None:
            self._keeper.forget()
        self.form.fill(self.form.texts())
        self._uids.forget()
        if self.subject == NEW:
            self.form.fill(dict.fromkeys(self.form.texts(), "") | {"kind": "person"})
            self.desk.ways.go("customer", str(kept.customer_id))
        else:
            self.refresh()
        self.desk.notices.tell(saved_sentence(name, kept.notes))

    def _refused(self, refusal: RuleBroken) -> None:
        if not isinstance(refusal, Conflict) or self._view is None:
            self.form.show_refusal(refusal)
            return
        before = self._view

        def show(now: CustomerView) -> None:
            self._view = now
            show_both(self.form, customer_texts(before), customer_texts(now))

        self.desk.background.read(
            self, "conflict", lambda: self._work.rooms.intake.customer(before.id), show, self._gone
        )


class CustomersVehicles(QObject):
    """The card with their vehicles, and the one to add another; ``form_toggled`` tells of the latter."""

    form_toggled = Signal()

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._customer_id = 0
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.list_card = Card(desk.look, _("Vehicles"))
        self.add = Button(desk.look, _("Add vehicle"), icon="plus")
        self.add.clicked.connect(self._open_form)
        self.table = self._make_table()
        self.list_card.add_to_head(self.add)
        self.list_card.add(self.table)
        self.form = VehicleForm(desk.look, work.figures.shop.distance_unit)
        self.form.completed.connect(self.save)
        self.form_card = FormCard(desk.look, _("Another vehicle"), _("Add vehicle"))
        self.form_card.add(self.form)
        self.form_card.end()
        self.form_card.wanted.connect(self.save)
        self.form_card.put_aside.connect(self.close_form)
        self.form_card.hide()

    @property
    def is_open(self) -> bool:
        """Whether another vehicle is being typed in."""
        return not self.form_card.isHidden()

    def show_rows(self, customer_id: int, rows: tuple[VehicleRow, ...]) -> None:
        """Show a customer's vehicles."""
        self._customer_id = customer_id
        self.table.set_rows(rows)

    def close_form(self) -> None:
        """Put the form aside."""
        self._uids.forget()
        self.form.begin()
        self.form_card.hide()
        self.add.setEnabled(True)
        self.form_toggled.emit()

    def save(self) -> None:
        """Keep the vehicle that was typed in, and go to its page."""
        self.form.clear_errors()
        if not self.form.check():
            return
        texts, customer_id = self.form.texts(), self._customer_id
        uid = self._uids.of("vehicle", texts, customer_id)
        try:
            command = add_vehicle(texts, self._work.actor, uid, customer_id=customer_id)
        except RuleBroken as refusal:
            self.form.show_refusal(refusal)
            return
        intake = self._work.rooms.intake
        self._sending.send(lambda: intake.add_vehicle(command), self._saved, self.form.show_refusal)

    def _open_form(self) -> None:
        self.form_card.show()
        self.add.setEnabled(False)
        self.form.focus_first()
        self.form_toggled.emit()

    def _saved(self, kept: VehicleKept) -> None:
        self.close_form()
        self._desk.ways.go("vehicle", str(kept.vehicle_id))
        if kept.notes:
            self._desk.notices.tell(" ".join(kept.notes))

    def _make_table(self) -> RowTable[VehicleRow]:
        table: RowTable[VehicleRow] = RowTable(
            self._desk.look,
            _("Vehicles"),
            [
                Column(
                    title=_("Plate"), text=lambda row: vehicle_name(row.plate, row.vin), chars=10, strong=True
                ),
                Column(title=_("Vehicle"), text=lambda row: row.words, chars=16, stretch=True),
                Column(
                    title=_("Next due"),
                    text=lambda row: due_cell(row.due_on, self._work.figures),
                    chars=15,
                    state=lambda row: State(MARK_OF_DUE[row.due_state]),
                ),
            ],
            key=lambda row: row.id,
            empty=_("No vehicle yet."),
        )
        table.fit_rows(6)
        table.opened.connect(lambda row: self._desk.ways.go("vehicle", str(row.id)))
        return table
