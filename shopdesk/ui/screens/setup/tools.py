"""Measuring tools: to within what each can be read, and until when its calibration holds."""

from datetime import date
from gettext import gettext as _

from shopdesk.services.instruments import InstrumentKind, InstrumentRow
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.set_up import (
    calibration_state,
    save_instrument,
    tool_choices,
    tool_help,
    tool_reader,
    tool_words,
    within_words,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.screen import PageAction
from shopdesk.ui.screens.setup.section import Section
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.card import card_of
from shopdesk.ui.widgets.fields import ChoiceField, DateField, NumberField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

_MOST_ROWS = 10


class ToolsSection(Section):
    """The tools in use, and a form for a new one."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, work)
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.table = self._make_table()
        self.form = self._make_form()
        self.form.completed.connect(self.save)
        self.main = PageAction(words=_("Add tool"), do=self.save, icon="plus")
        self._keeper = desk.drafts.keep(self.form, "tool", "", self)
        self._keeper.restored.connect(self._kind_changed)
        words = _(
            "A verdict on the level is only as sure as its readings. How well a tool reads goes into every "
            "service record that names it."
        )
        beneath = PlainLabel(words, tone="ink2", wrap=True)
        self.column.addWidget(card_of(desk.look, _("Measuring tools"), self.table, beneath))
        self.column.addWidget(card_of(desk.look, _("A new tool"), self.form))
        self.column.addStretch()

    def refresh(self) -> None:
        """Read the list again."""
        self.desk.background.read(self, "tools", self.work.rooms.instruments.all, self.table.set_rows)

    def focus_first(self) -> None:
        """The form, because the list only shows."""
        self.form.focus_first()

    def save(self) -> None:
        """Keep the tool, or say beside a field what is wrong."""
        self.form.clear_errors()
        if not self.form.check():
            return
        texts = self.form.texts()
        command = save_instrument(
            texts,
            self.work.actor,
            self._uids.of("add", *sorted(texts.items())),
            calibrated_on=self._calibrated.day(),
            due_on=self._due.day(),
        )
        room = self.work.rooms.instruments
        self._sending.send(lambda: room.save(command), self._saved, self.form.show_refusal)

    def _make_form(self) -> Form:
        look, figures = self.desk.look, self.work.figures
        form = Form(look, columns=3, least_width=170)
        self._kind = form.add(ChoiceField(look, "kind", _("Kind"), tool_choices()))
        form.add(TextField(look, "name", _("Name"), help_line=_("As it is marked in the bay")), 2)
        self._within = form.add(
            NumberField(
                look, "tolerance", _("Reads to within ±"), tool_reader(figures, self._chosen, "tolerance")
            )
        )
        self._marks = form.add(
            NumberField(look, "marks", _("Marked every"), tool_reader(figures, self._chosen, "marks")), 2
        )
        self._calibrated = form.add(DateField(look, "calibrated_on", _("Calibrated on"), self._today))
        self._due = form.add(DateField(look, "due_on", _("Due again on"), self._today))
        self._kind.edited.connect(self._kind_changed)
        self._say_examples()
        return form

    def _make_table(self) -> RowTable[InstrumentRow]:
        figures = self.work.figures

        def state(row: InstrumentRow) -> tuple[str, str]:
            return calibration_state(row, self._today())

        def day(on: date | None) -> str:
            return "" if on is None else figures.day(on)

        table: RowTable[InstrumentRow] = RowTable(
            self.desk.look,
            _("Measuring tools"),
            [
                Column(title=_("Name"), text=lambda row: row.name, stretch=True, chars=14, strong=True),
                Column(title=_("Kind"), text=lambda row: tool_words(row.kind), chars=20),
                Column(
                    title=_("Reads to"),
                    text=lambda row: within_words(row, self.work.figures.shop),
                    chars=10,
                    number=True,
                ),
                Column(
                    title=_("Calibrated"), text=lambda row: day(row.calibrated_on), chars=11, optional=True
                ),
                Column(title=_("Due again"), text=lambda row: day(row.due_on), chars=11, optional=True),
                Column(
                    title=_("State"),
                    text=lambda row: state(row)[1],
                    chars=10,
                    state=lambda row: State(state(row)[0]),
                ),
            ],
            key=lambda row: row.id,
            empty=_("No tool is on the list yet: readings then need their ± typed each time."),
            quiet=True,
        )
        table.fit_rows(_MOST_ROWS)
        return table

    def _today(self) -> date:
        return shop_day(self.work.figures)

    def _chosen(self) -> InstrumentKind:
        return InstrumentKind(self._kind.text() or InstrumentKind.PAN)

    def _kind_changed(self) -> None:
        self._say_examples()
        self._within.show_again()
        self._marks.show_again()

    def _say_examples(self) -> None:
        within, marks = tool_help(self._chosen())
        self._within.set_help(within)
        self._marks.set_help(marks)

    def _saved(self, row: InstrumentRow) -> None:
        self._keeper.forget()
        self._uids.forget()
        self.form.fill({name: "" for name in self.form.texts() if name != "kind"})
        within = within_words(row, self.work.figures.shop)
        self.desk.notices.tell(_("{name} is on the list, {within}.").format(name=row.name, within=within))
        self.form.focus_first()
