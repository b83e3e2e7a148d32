"""One line of a count sheet, typed back: its readings, what they show, and the reason of a difference."""

from gettext import gettext as _

from PySide6.QtCore import Signal

from shopdesk.domain.counting import CountMethod
from shopdesk.domain.errors import RuleBroken
from shopdesk.services.count_sheets import ToCount
from shopdesk.services.counting import Counted, CountReading
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.form_card import FormCard
from shopdesk.ui.presenters.counts import (
    READINGS,
    count_command,
    fields_of,
    kept_sentence,
    line_name,
    method_words,
    methods_of,
    reading_facts,
    reasons,
    verdict,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.facts import Facts
from shopdesk.ui.widgets.fields import ChoiceField, NumberField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.state_mark import State, StateBadge


class CountCard(FormCard):
    """The form of one count. ``counted`` comes when it is kept."""

    counted = Signal()

    def __init__(self, desk: Desk, work: AtWork, line: ToCount, sheet_id: int) -> None:
        note = _("lot {lot}").format(lot=line.lot) if line.lot else ""
        super().__init__(desk.look, line_name(line), _("Keep the count"), note=note)
        self._desk = desk
        self._work = work
        self.line = line
        self._sheet_id = sheet_id
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.facts = Facts(desk.look)
        self._badge = StateBadge(desk.look)
        self._badge.hide()
        self.says = PlainLabel("", tone="ink2", wrap=True)
        self.form = self._make_form()
        for part in (self.form, self.facts, self.says):
            self.add(part)
        self.add_to_head(self._badge)
        self.end()
        self.form.completed.connect(self.keep)
        self.wanted.connect(self.keep)
        self.form.edited.connect(self._edited)
        self._draft = desk.drafts.keep(
            self.form, "count", f"{sheet_id}:{line.item_id}:{line.container_id}", self
        )
        self._draft.restored.connect(self._edited)
        self._edited()

    def begin(self) -> None:
        """Put the keyboard into the first reading."""
        self.form.field(fields_of(self.line, self._method())[0]).setFocus()

    def keep(self) -> None:
        """Keep the count and book its difference, or say beside a field what is missing."""
        self.form.clear_errors()
        texts = self.form.texts()
        uid = self._uids.of("count", *sorted(texts.items()))
        command = count_command(self.line, self._sheet_id, texts, self._work.actor, uid)
        room = self._work.rooms.counting
        self._sending.send(lambda: room.count(command), self._kept, self._refused)

    def _method(self) -> CountMethod:
        return CountMethod(self.form.field("method").text())

    def _make_form(self) -> Form:
        look = self._desk.look
        form = Form(look, columns=2, least_width=130)
        ways = [(method.value, method_words(method)) for method in methods_of(self.line)]
        method = form.add(ChoiceField(look, "method", _("Counted by"), ways), 0)
        method.setVisible(len(ways) > 1)
        for field in self._readings():
            form.add(field)
        form.add(ChoiceField(look, "why", _("Why it differs"), reasons()), 0)
        form.add(TextField(look, "reason", _("More about it")), 0)
        return form

    def _readings(self) -> tuple[NumberField, ...]:
        look = self._desk.look
        close = _("How closely it can be read")
        return (
            NumberField(look, "whole", _("Whole ones"), help_line=_("Unopened")),
            NumberField(look, "rest", _("In the opened one")),
            NumberField(look, "rest_within", _("Read to ±"), help_line=close),
            NumberField(look, "dip", _("Wet on the stick"), help_line=_("Such as 14 1/2 in or 368 mm")),
            NumberField(look, "gross", _("Weighs"), help_line=_("With its container")),
            NumberField(look, "tare", _("Empty container weighs"), help_line=_("Empty: as on its card")),
            NumberField(
                look, "reading", _("Reads"), help_line=_("On the glass, or pumped since it was full")
            ),
            NumberField(look, "within", _("Read to ±"), help_line=close),
            NumberField(look, "temperature", _("Fluid's temperature")),
        )

    def _edited(self) -> None:
        wanted = fields_of(self.line, self._method())
        hidden = {name: name not in wanted for name in READINGS}
        if any(self.form.field(name).isHidden() != hide for name, hide in hidden.items()):
            for name, hide in hidden.items():
                self.form.field(name).setVisible(not hide)
            self.form.arrange()
        self._read()

    def _read(self) -> None:
        texts = self.form.texts()
        names = fields_of(self.line, self._method())
        if not any(texts[name].strip() for name in names):
            self._unread("")
            return
        command = count_command(self.line, self._sheet_id, texts, self._work.actor)
        room = self._work.rooms.counting
        self._desk.background.read(
            self,
            "reading",
            lambda: room.read(command),
            self._show,
            lambda refusal: self._unread(refusal.sentence),
        )

    def _show(self, read: CountReading) -> None:
        self.facts.show_facts(reading_facts(self.line, read, self._work.figures))
        mark, words = verdict(read)
        self._badge.set_state(State(mark), _("Give a reason") if read.needs_reason else _("Fine"))
        self._badge.show()
        self.says.setText(words)

    def _not_read(self, refusal: RuleBroken) -> None:
        self._unread(refusal.sentence)

    def _unread(self, sentence: str) -> None:
        self.facts.show_facts(())
        self._badge.hide()
        self.says.setText(sentence)

    def _refused(self, refusal: RuleBroken) -> None:
        if refusal.field == "reason":
            refusal.field = "why"
        if refusal.field in READINGS and self.form.field(refusal.field).isHidden():
            refusal.field = fields_of(self.line, self._method())[0]  # too much for the container, say
        self.form.show_refusal(refusal)

    def _kept(self, kept: Counted) -> None:
        self._draft.forget()
        self._uids.forget()
        self.form.fill({})
        self._desk.notices.tell(kept_sentence(self.line, kept, self._work.figures))
        self.counted.emit()
