"""The vehicle changed hands: somebody else keeps it from a day on; its history stays with it."""

from datetime import date
from gettext import gettext as _

from PySide6.QtCore import QObject

from shopdesk.services.intake import CustomerRow, VehicleView
from shopdesk.services.vehicles import ChangeKeeper, VehicleKept
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.form_card import FormCard
from shopdesk.ui.presenters.customers import list_filter
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.fields import DateField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column, RowsQuery
from shopdesk.ui.widgets.search_line import SearchLine
from shopdesk.ui.widgets.table import RowTable


class KeeperPart(QObject):
    """Somebody is looked up by name or phone; Enter on a name and a day make them the keeper."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._view: VehicleView | None = None
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.card = FormCard(desk.look, _("Change keeper"), _("Make this the keeper"))
        self.search = SearchLine(
            desk.look, _("Find the new keeper"), _("Name, or a part of the phone number")
        )
        self.table = self._make_table()
        self.search.textChanged.connect(lambda text: self.table.ask(text=text))
        self.search.down.connect(self.table.setFocus)
        self.search.entered.connect(self.table.setFocus)
        self.form = Form(desk.look, columns=2, least_width=150)
        self.on = self.form.add(
            DateField(desk.look, "on", _("From"), self._today, help_line=_("Empty: today"))
        )
        self.form.completed.connect(self.save)
        new = Button(desk.look, _("New customer"), ButtonPart.QUIET, icon="plus")
        new.clicked.connect(lambda: desk.ways.go("customer", "new"))
        for part in (self.search, self.table, PlainLabel(_("Not here yet? Take them in first."), wrap=True)):
            self.card.add(part)
        self.card.add_to_head(new)
        self.card.add(self.form)
        self.card.end()
        self.card.wanted.connect(self.save)
        self.card.put_aside.connect(self.close_form)
        self.card.hide()

    def show_vehicle(self, view: VehicleView) -> None:
        """Take note of the vehicle."""
        if self._view is not None and self._view.id != view.id:
            self.close_form()
        self._view = view

    def open_form(self) -> None:
        """Begin to look for the new keeper."""
        self.form.fill({"on": ""})
        self.search.clear()
        self.table.read_from(self._desk.background, self._rows)
        self.card.show()
        self.search.setFocus()

    def close_form(self) -> None:
        """Put it aside."""
        self._uids.forget()
        self.card.hide()

    def save(self) -> None:
        """Make the customer the keyboard is on the keeper."""
        view, row = self._view, self.table.current()
        self.form.clear_errors()
        if view is None or not self.form.check():
            return
        if row is None or row.id == view.keeper_id:
            self.form.set_error("", _("Choose somebody else than the keeper of now."))
            return
        on = self.on.day() or view.today
        command = ChangeKeeper(
            actor=self._work.actor,
            uid=self._uids.of("keeper", view.id, row.id, on),
            vehicle_id=view.id,
            customer_id=row.id,
            on=on,
        )
        intake = self._work.rooms.intake
        self._sending.send(
            lambda: intake.change_keeper(command), lambda kept: self._saved(kept, row), self.form.show_refusal
        )

    def _saved(self, _kept: VehicleKept, row: CustomerRow) -> None:
        self.close_form()
        self._desk.notices.tell(_("{name} keeps the vehicle now.").format(name=row.name))

    def _today(self) -> date:
        return self._view.today if self._view is not None else date.min

    def _rows(self, query: RowsQuery[CustomerRow]) -> tuple[CustomerRow, ...]:
        key, digits = list_filter(query.text)
        after = (query.after.sort_key, query.after.id) if query.after else None
        return self._work.rooms.intake.customers(starts=key, digits=digits, after=after, most=query.limit)

    def _make_table(self) -> RowTable[CustomerRow]:
        table: RowTable[CustomerRow] = RowTable(
            self._desk.look,
            _("Customers"),
            [
                Column(title=_("Name"), text=lambda row: row.name, chars=20, stretch=True, strong=True),
                Column(title=_("Phone"), text=lambda row: row.phone, chars=14, optional=True),
            ],
            key=lambda row: row.id,
            empty=_("Nobody fits."),
        )
        table.fit_rows(4)
        table.opened.connect(lambda _row: self.on.setFocus())
        return table
