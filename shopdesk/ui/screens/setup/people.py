"""Who works here."""

from dataclasses import replace
from gettext import gettext as _

from shopdesk.services.acting import Actor
from shopdesk.services.setup import Done, PersonRow
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.set_up import add_person, role_choices, role_words
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.screen import PageAction
from shopdesk.ui.screens.setup.section import Section
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.card import card_of
from shopdesk.ui.widgets.fields import ChoiceField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.table import RowTable

_MOST_ROWS = 12


class PeopleSection(Section):
    """Everybody of the shop, and a form for somebody new."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, work)
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.table: RowTable[PersonRow] = RowTable(
            desk.look,
            _("People"),
            [
                Column(title=_("Name"), text=lambda row: row.name, stretch=True, chars=20, strong=True),
                Column(title=_("Role"), text=lambda row: role_words(row.role), chars=14),
            ],
            key=lambda row: row.id,
            quiet=True,
        )
        self.table.opened.connect(self._take_over)
        self.table.fit_rows(_MOST_ROWS)
        self.form = Form(desk.look, columns=2, least_width=200)
        self.form.add(TextField(desk.look, "name", _("Name"), help_line=_("As it prints on papers")))
        self.form.add(ChoiceField(desk.look, "role", _("Role"), role_choices()))
        self.form.completed.connect(self.save)
        self.main = PageAction(words=_("Add person"), do=self.save, icon="plus")
        self._keeper = desk.drafts.keep(self.form, "person", "", self)
        people = card_of(desk.look, _("People"), self.table)
        people.set_note(_("Enter: works at this station from now on"))
        self.column.addWidget(people)
        self.column.addWidget(card_of(desk.look, _("Somebody new"), self.form))
        self.column.addStretch()

    def refresh(self) -> None:
        """Read the list again."""
        self.desk.background.read(self, "people", self.work.rooms.setup.people, self.table.set_rows)

    def _take_over(self, row: PersonRow) -> None:
        """What is kept from now on is kept in this person's name."""
        before = self.work.actor
        if row.id == before.person_id or not row.active:
            return
        self.work.actor = replace(before, person_id=row.id)
        self.desk.notices.tell(
            _("{name} is at work here now.").format(name=row.name), _("Undo"), lambda: self._back_to(before)
        )

    def _back_to(self, before: Actor) -> None:
        self.work.actor = before

    def focus_first(self) -> None:
        """The form, because somebody new is what one mostly comes for."""
        self.form.focus_first()

    def save(self) -> None:
        """Take somebody on, or say beside a field what is wrong."""
        self.form.clear_errors()
        if not self.form.check():
            return
        texts = self.form.texts()
        command = add_person(texts, self.work.actor, self._uids.of("add", *sorted(texts.items())))
        room = self.work.rooms.setup
        self._sending.send(
            lambda: room.add_person(command),
            lambda done: self._saved(command.name, done),
            self.form.show_refusal,
        )

    def _saved(self, name: str, _done: Done) -> None:
        self._keeper.forget()
        self._uids.forget()
        self.form.fill({"name": ""})
        self.desk.notices.tell(_("{name} works here now.").format(name=name.strip()))
        self.form.focus_first()
