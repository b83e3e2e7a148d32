"""A customer as a form."""

from gettext import gettext as _

from shopdesk.ui.presenters.customers import kind_choices, phones_reader
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.fields import ChoiceField, NotesField, TextField
from shopdesk.ui.widgets.form import Form


class CustomerForm(Form):
    """Name, kind and ways to reach them; unless ``short`` also address, warning and note."""

    def __init__(self, look: Look, locale: str, *, short: bool = False, columns: int = 2) -> None:
        super().__init__(look, columns=columns, least_width=220)
        self.add(TextField(look, "name", _("Name")), 2 if columns > 2 else 1)
        self.add(ChoiceField(look, "kind", _("Kind"), kind_choices()))
        several = _("Several: with commas between")
        self.add(TextField(look, "phones", _("Phone"), phones_reader(locale), help_line=several))
        self.add(TextField(look, "emails", _("E-mail"), help_line="" if short else several))
        if not short:
            self.add(NotesField(look, "address", _("Address"), lines=3))
            self.add(NotesField(look, "note", _("Note"), lines=3))
            help_line = _("Shown at take-in and on the job sheet")
            self.add(TextField(look, "warning", _("Warning"), help_line=help_line), 0)
