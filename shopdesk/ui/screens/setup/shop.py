"""The shop's own page and what prints on its papers: two forms on the same particulars."""

from collections.abc import Sequence
from gettext import gettext as _

from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.services.setup import UNIT_CHOICES, Done
from shopdesk.services.shopfacts import ShopFacts
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.both_versions import meet_kept, show_both
from shopdesk.ui.presenters.set_up import (
    PAPER_FIELDS,
    SHOP_FIELDS,
    edit_shop,
    print_choices,
    shop_texts,
    unit_choices,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.screen import PageAction
from shopdesk.ui.screens.setup.section import Section
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.card import card_of
from shopdesk.ui.widgets.fields import ChoiceField, NotesField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel


class _ParticularsSection(Section):
    """A form on some of the shop's particulars, saved on the version it was read at."""

    def __init__(self, desk: Desk, work: AtWork, fields: Sequence[str], draft: str) -> None:
        super().__init__(desk, work)
        self._fields = fields
        self._facts: ShopFacts | None = None
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.form = Form(desk.look, columns=2, least_width=230)
        self.form.completed.connect(self.save)
        self.main = PageAction(words=_("Save"), do=self.save, icon="check")
        self._fill_form()
        self._keeper = desk.drafts.keep(self.form, draft, "", self)

    def refresh(self) -> None:
        """Read the shop's particulars again; what is being typed stays."""
        self.desk.background.read(self, "shop", self.work.rooms.setup.shop, self._take)

    def focus_first(self) -> None:
        """The first field."""
        self.form.focus_first()

    def save(self) -> None:
        """Save, or say beside a field what is wrong."""
        facts = self._facts
        self.form.clear_errors()
        if facts is None or not self.form.check():
            return
        texts = self.form.texts()
        uid = self._uids.of("save", facts.version, *sorted(texts.items()))
        command = edit_shop(texts, facts, self.work.actor, uid)
        room = self.work.rooms.setup
        self._sending.send(lambda: room.edit_shop(command), self._saved, self._refused)

    def _fill_form(self) -> None:
        """Put the fields into the form."""

    def _take(self, facts: ShopFacts) -> None:
        if not self.form.touched:
            self.form.fill(shop_texts(facts, self._fields))
        elif self._facts is None:
            meet_kept(self.form, shop_texts(facts, self._fields))
        if not self.form.touched or self._facts is None:
            self._facts = facts  # while somebody types, the version stays the one they began from

    def _saved(self, _done: Done) -> None:
        self._keeper.forget()
        self._uids.forget()
        self.form.fill(self.form.texts())
        self.desk.notices.tell(_("Saved."))
        self.refresh()

    def _refused(self, refusal: RuleBroken) -> None:
        if isinstance(refusal, Conflict):
            self.desk.background.read(self, "theirs", self.work.rooms.setup.shop, self._show_theirs)
        else:
            self.form.show_refusal(refusal)

    def _show_theirs(self, facts: ShopFacts) -> None:
        before = shop_texts(self._facts, self._fields) if self._facts is not None else {}
        self._facts = facts
        now = shop_texts(facts, self._fields)
        if before == now:
            self.save()  # they changed what stands on another page of the set-up
        else:
            show_both(self.form, before, now)


class ShopSection(_ParticularsSection):
    """Name, address, ways to reach the shop, and the units everything is shown in."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, work, SHOP_FIELDS, "shop")
        self.column.addWidget(card_of(desk.look, _("Shop"), self.form))
        self.column.addStretch()

    def _fill_form(self) -> None:
        look, shop = self.desk.look, self.work.figures.shop
        self.form.add(TextField(look, "name", _("Shop's name"), help_line=_("As it prints on papers")))
        self.form.add(TextField(look, "phone", _("Phone"), help_line=_("Also on the sticker")))
        self.form.add(NotesField(look, "address", _("Address"), lines=3))
        self.form.add(TextField(look, "email", _("E-mail")))
        self.form.heading(_("Shown in"))
        names = {
            "volume_unit": _("Volumes"),
            "temperature_unit": _("Temperatures"),
            "torque_unit": _("Torques"),
            "distance_unit": _("Distances"),
        }
        for field in UNIT_CHOICES:
            choices = unit_choices(field, imperial=shop.imperial)
            self.form.add(ChoiceField(look, field, names[field], choices))
        words = _("Any unit can be typed anywhere; nothing that is kept changes with these.")
        self.form.insert_part(PlainLabel(words, tone="ink2", wrap=True))


class PapersSection(_ParticularsSection):
    """Paper and label size, and the texts the place asks for."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, work, PAPER_FIELDS, "papers")
        self.column.addWidget(card_of(desk.look, _("Papers and labels"), self.form))
        self.column.addStretch()

    def _fill_form(self) -> None:
        look = self.desk.look
        self.form.add(ChoiceField(look, "paper_size", _("Paper"), print_choices("paper_size")))
        self.form.add(ChoiceField(look, "label_size", _("Sticker"), print_choices("label_size")))
        self.form.add(
            NotesField(
                look,
                "registration_text",
                _("Registration"),
                lines=3,
                help_line=_("What your place asks a repair facility to print"),
            ),
            0,
        )
        self.form.add(
            NotesField(look, "warranty_text", _("Warranty"), lines=4, help_line=_("Prints on invoices")),
            0,
        )
        words = _(
            "These texts are yours. Which ones are asked for differs from place to place; this is not "
            "legal advice."
        )
        self.form.insert_part(PlainLabel(words, tone="ink2", wrap=True))
