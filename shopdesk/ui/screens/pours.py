"""Out of which containers a service's fluid came, read before and after, checked against what was put in."""

from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.bay import RecordView
from shopdesk.services.containers import ContainerView
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.items import ItemKind
from shopdesk.services.pouring import Billed, PourCheck
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper
from shopdesk.ui.presenters.pours import (
    MOST,
    box_choices,
    check_facts,
    check_state,
    field_name,
    field_of,
    say_command,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.facts import Facts
from shopdesk.ui.widgets.fields import ChoiceField, NumberField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.state_mark import State, StateBadge


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    view: RecordView
    check: PourCheck
    billed: Billed | None
    boxes: tuple[ContainerView, ...]
    fluids: frozenset[int]


class PoursScreen(Screen):
    """The subject is a service record's id."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("From which containers"))
        self._work = work
        self._keeper: DraftKeeper | None = None
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.form = self._make_form()
        self.form.completed.connect(self.keep)
        self.facts = Facts(desk.look)
        self.says = PlainLabel("", wrap=True)
        self.badge = StateBadge(desk.look)
        scroll = Scroll(desk.look)
        self.column.addWidget(scroll)
        columns = Columns(desk.look, main=7, side=4)
        scroll.add(columns)
        typed, checked = (
            Card(desk.look, _("Containers")),
            Card(desk.look, _("Checked against what was put in")),
        )
        typed.add(self.form)
        checked.add_to_head(self.badge)
        checked.add(self.says)
        checked.add(self.facts)
        columns.add_main(typed)
        columns.add_side(checked)
        self.listen(Topic.STOCK, Topic.SERVICE)

    def open_at(self, subject: str) -> None:
        """Show a record; what was begun to be typed for it comes back."""
        if subject != self.subject:
            self.form.fill(dict.fromkeys(self.form.texts(), ""))
            if self._keeper is not None:
                self._keeper.flush_if_waiting()
                self._keeper.deleteLater()
            self._keeper = self.desk.drafts.keep(self.form, "pours", subject, self)
        super().open_at(subject)

    def refresh(self) -> None:
        """Read the record again; what is being typed stays."""
        rooms, record_id = self._work.rooms, int(self.subject)
        self.desk.background.read(self, "pours", lambda: _read(rooms, record_id), self._show, self._gone)

    def focus_first(self) -> None:
        """The first container."""
        self.form.focus_first()

    def keep(self) -> None:
        """Keep which containers it were, or say beside a field what is wrong."""
        self.form.clear_errors()
        texts = self.form.texts()
        uid = self._uids.of("say", self.subject, *sorted(texts.items()))
        command = say_command(int(self.subject), texts, self._work.actor, uid)
        room = self._work.rooms.pours
        self._sending.send(lambda: room.say(command), self._kept, self._refused)

    def _refused(self, refusal: RuleBroken) -> None:
        refusal.field = field_of(refusal.field)
        self.form.show_refusal(refusal)

    def _kept(self, check: PourCheck) -> None:
        if self._keeper is not None:
            self._keeper.forget()
        self._uids.forget()
        self.form.fill({})
        self.desk.notices.tell(check.sentence)
        self.refresh()

    def _show(self, read: _Read) -> None:
        figures = self._work.figures
        choices = box_choices(read.boxes, read.view.item_id, read.fluids, figures)
        for place in range(MOST):
            field = self.form.field(field_name("box", place))
            if isinstance(field, ChoiceField):
                field.set_choices(choices)
        mark, word = check_state(read.check)
        self.badge.set_state(State(mark), word)
        self.says.setText(read.check.sentence)
        self.facts.show_facts(check_facts(read.check, read.billed, figures))
        self.set_heading(_("From which containers"), read.view.unit_label)
        keeping = PageAction(words=_("Keep the containers"), do=self.keep, icon="check")
        self.set_actions(None if read.view.finished else keeping)

    def _gone(self, refusal: RuleBroken) -> None:
        self.desk.ways.go("work orders")
        self.desk.notices.refuse(refusal.sentence)

    def _make_form(self) -> Form:
        look = self.desk.look
        form = Form(look, columns=4, least_width=120)
        titles = (_("First container"), _("Second container"), _("Third container"))
        for place, title in enumerate(titles):

            def name(part: str, place: int = place) -> str:
                return field_name(part, place)

            def named(words: str, title: str = title) -> str:
                return f"{title}: {words}"

            form.add(ChoiceField(look, name("box"), title, [("", _("None"))]), 0)
            readings = (
                ("before", _("Before")),
                ("after", _("After")),
                ("quantity", _("Or it gave")),
                ("within", _("Read to ±")),
            )
            for part, words in readings:
                form.add(NumberField(look, name(part), words, spoken=named(words)))
            why = _("Why, where it is past its day")
            form.add(TextField(look, name("reason"), why, spoken=named(why)), 0)
        return form


def _read(rooms: Rooms, record_id: int) -> _Read:
    fluids = frozenset(row.id for row in rooms.items.all() if row.kind is ItemKind.FLUID)
    return _Read(
        view=rooms.bay.record(record_id),
        check=rooms.pours.check(record_id),
        billed=rooms.pours.billed(record_id),
        boxes=rooms.containers.all(),
        fluids=fluids,
    )
