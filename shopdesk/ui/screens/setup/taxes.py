"""Tax rates: dated data of the shop, each with where it is written."""

from collections.abc import Sequence
from datetime import date
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.setup import Done, TaxRateRow
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.items import class_choices
from shopdesk.ui.presenters.set_up import (
    add_tax_rate,
    end_tax_rate,
    not_legal_advice,
    percent_reader,
    rate_class,
    rate_days,
    rate_state,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.screen import PageAction
from shopdesk.ui.screens.setup.section import Section
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.card import Card, card_of
from shopdesk.ui.widgets.fields import ChoiceField, DateField, NumberField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

_MOST_ROWS = 8


class TaxesSection(Section):
    """Every rate with its days, a form for a new one, and the last day of the one chosen."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, work)
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.table = self._make_table()
        self.form = self._make_form()
        self.ending = self._make_ending()
        self._end_button = Button(desk.look, _("End this rate"))
        self._end_button.clicked.connect(self.end_rate)
        self._end_card = Card(desk.look, _("The chosen rate ends"))
        self._end_words = PlainLabel("", tone="ink2", wrap=True)
        self.form.completed.connect(self.save)
        self.ending.completed.connect(self.end_rate)
        self.table.chosen.connect(self._chosen)
        self.main = PageAction(words=_("Add rate"), do=self.save, icon="plus")
        self._keeper = desk.drafts.keep(self.form, "tax rate", "", self)
        self._lay_out()

    def refresh(self) -> None:
        """Read the rates again."""
        self.desk.background.read(self, "rates", self.work.rooms.setup.tax_rates, self._take)

    def focus_first(self) -> None:
        """The rates."""
        self.table.setFocus()

    def save(self) -> None:
        """Add the rate, or say beside a field what is wrong."""
        self.form.clear_errors()
        if not self.form.check():
            return
        texts = self.form.texts()
        from_on = self._from.day()
        if from_on is None:
            self.form.show_refusal(RuleBroken(_("Write the first day of this rate."), "from_on"))
            return
        uid = self._uids.of("add", *sorted(texts.items()))
        command = add_tax_rate(texts, self.work.actor, uid, from_on=from_on, to_on=self._to.day())
        room = self.work.rooms.setup
        self._sending.send(lambda: room.add_tax_rate(command), self._saved, self.form.show_refusal)

    def end_rate(self) -> None:
        """Give the chosen rate its last day."""
        row = self.table.current()
        self.ending.clear_errors()
        if row is None or not self.ending.check():
            return
        day = self._last.day()
        if day is None:
            self.ending.show_refusal(RuleBroken(_("Write the last day of this rate."), "to_on"))
            return
        command = end_tax_rate(row, day, self.work.actor, self._uids.of("end", row.id, day))
        room = self.work.rooms.setup
        self._sending.send(lambda: room.end_tax_rate(command), self._ended, self.ending.show_refusal)

    def _lay_out(self) -> None:
        look = self.desk.look
        advice = PlainLabel(not_legal_advice(), tone="ink2", wrap=True)
        self.column.addWidget(card_of(look, _("Tax rates"), self.table, advice))
        self._end_card.add(self._end_words)
        self._end_card.add(self.ending)
        self._end_card.add_to_head(self._end_button)
        self.column.addWidget(self._end_card)
        self._end_card.hide()
        self.column.addWidget(card_of(look, _("A new rate"), self.form))
        self.column.addStretch()

    def _make_form(self) -> Form:
        look = self.desk.look
        form = Form(look, columns=3, least_width=170)
        form.add(ChoiceField(look, "tax_class", _("On"), class_choices()))
        form.add(TextField(look, "name", _("Name"), help_line=_("As it prints, such as Sales tax")))
        form.add(NumberField(look, "percent", _("Rate"), percent_reader(self.work.figures), unit=_("%")))
        self._from = form.add(
            DateField(
                look,
                "from_on",
                _("First day"),
                self._today,
                help_line=_("The rate of this name before it ends the day before"),
            )
        )
        self._to = form.add(
            DateField(look, "to_on", _("Last day"), self._today, help_line=_("Empty: no end is known"))
        )
        form.add(
            TextField(
                look, "citation", _("Where it is written"), help_line=_("Law or notice, and when it was read")
            )
        )
        return form

    def _make_ending(self) -> Form:
        form = Form(self.desk.look, columns=3, least_width=170)
        self._last = form.add(
            DateField(
                self.desk.look,
                "to_on",
                _("Last day"),
                self._today,
                help_line=_("Papers issued until then keep this rate"),
            )
        )
        return form

    def _make_table(self) -> RowTable[TaxRateRow]:
        def state(row: TaxRateRow) -> tuple[str, str]:
            return rate_state(row, self._today())

        table: RowTable[TaxRateRow] = RowTable(
            self.desk.look,
            _("Tax rates"),
            [
                Column(title=_("On"), text=rate_class, chars=15, strong=True),
                Column(title=_("Name"), text=lambda row: row.name, chars=10),
                Column(
                    title=_("Rate"),
                    text=lambda row: self.work.figures.rate(row.rate_ppm),
                    chars=7,
                    number=True,
                ),
                Column(title=_("Days"), text=lambda row: rate_days(row, self.work.figures), chars=20),
                Column(
                    title=_("Where it is written"),
                    text=lambda row: row.citation,
                    stretch=True,
                    chars=14,
                    optional=True,
                ),
                Column(
                    title=_("State"),
                    text=lambda row: state(row)[1],
                    chars=9,
                    state=lambda row: State(state(row)[0]),
                ),
            ],
            key=lambda row: row.id,
            empty=_("No rate is on the list: nothing is taxed."),
        )
        table.fit_rows(_MOST_ROWS)
        return table

    def _today(self) -> date:
        return shop_day(self.work.figures)

    def _take(self, rows: Sequence[TaxRateRow]) -> None:
        self.table.set_rows(rows)
        self._chosen(self.table.current())

    def _chosen(self, row: TaxRateRow | None) -> None:
        self._end_card.setVisible(row is not None and row.to_on is None)
        if row is not None:
            words = _("{name} on {what}").format(name=row.name, what=rate_class(row))
            self._end_words.setText(words)

    def _saved(self, _done: Done) -> None:
        self._keeper.forget()
        self._uids.forget()
        self.form.fill({name: "" for name in self.form.texts() if name != "tax_class"})
        self.desk.notices.tell(_("The rate is on the list."))

    def _ended(self, _done: Done) -> None:
        self._uids.forget()
        self.ending.fill({"to_on": ""})
        self.desk.notices.tell(_("The rate has its last day."))
        self.table.setFocus()
