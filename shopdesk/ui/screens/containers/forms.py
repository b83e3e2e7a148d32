"""The small forms of a container. Each is made when it is begun and gone when it is kept."""

from collections.abc import Callable, Mapping
from functools import partial
from gettext import gettext as _
from pathlib import Path

from PySide6.QtCore import Signal

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.cards import Card, KeepSafetySheet
from shopdesk.services.containers import ContainerView, EventKind, NoteContainer
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.form_card import FormCard
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.containers import (
    box_name,
    done_words,
    hazard_command,
    hazard_texts,
    measure_command,
    pictogram_words,
    pour_command,
    signal_choices,
    stands_choices,
    step_words,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.fields import CheckField, ChoiceField, DateField, NotesField, NumberField, TextField
from shopdesk.ui.widgets.form import Form

Run = Callable[[Mapping[str, str], str], object]


class StepCard(FormCard):
    """A form that does one thing. ``kept`` comes with the sentence that says so."""

    kept = Signal(str)

    def __init__(self, desk: Desk, title: str, verb: str, form: Form, name: str, subject: str) -> None:
        super().__init__(desk.look, title, verb)
        self.form = form
        self._run: Run = lambda _texts, _uid: None
        self._sentence = ""
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.add(form)
        self.end()
        form.completed.connect(self.keep)
        self.wanted.connect(self.keep)
        self._draft = desk.drafts.keep(form, name, subject, self)

    def does(self, run: Run, sentence: str) -> None:
        """Say what is done with the texts and the request's id, and what is said then."""
        self._run, self._sentence = run, sentence

    def keep(self) -> None:
        """Do it, or say beside a field what is missing."""
        if not self.form.check():
            return
        texts = self.form.texts()
        uid = self._uids.of("keep", *sorted(texts.items()))
        run = self._run
        self._sending.send(lambda: run(texts, uid), self._done, self.form.show_refusal)

    def _done(self, _kept: object) -> None:
        self._draft.forget()
        self.form.fill({})
        self.kept.emit(self._sentence)


def note_card(desk: Desk, work: AtWork, box: ContainerView, kind: EventKind) -> StepCard:
    """Return the form that says why a container is put aside, released or gone, or since when it is open."""
    form = Form(desk.look, columns=1)
    on = DateField(desk.look, "on", _("On"), lambda: shop_day(work.figures), help_line=_("Empty: today"))
    if kind is EventKind.OPENED:
        form.add(on)
    else:
        form.add(TextField(desk.look, "reason", _("Why")))
    title = f"{step_words(kind)}: {box_name(box)}"
    card = StepCard(desk, title, step_words(kind), form, "container", f"{box.id}:{kind.value}")
    room = work.rooms.containers
    opening = kind is EventKind.OPENED

    def run(texts: Mapping[str, str], uid: str) -> object:
        return room.note(
            NoteContainer(
                actor=work.actor,
                uid=uid,
                container_id=box.id,
                kind=kind,
                on=on.day() if opening else None,
                reason=texts.get("reason", ""),
            )
        )

    card.does(run, done_words(kind, box))
    return card


def measure_card(desk: Desk, work: AtWork, box: ContainerView) -> StepCard:
    """Return the form that measures a drum up for the dip stick and keeps its empty weight."""
    look = desk.look
    form = Form(look, columns=2, least_width=140)
    form.add(ChoiceField(look, "stands", _("The drum is"), stands_choices()), 0)
    inside = _("Inside: its height upright, its diameter lying")
    form.add(NumberField(look, "height", _("Greatest dip"), help_line=inside))
    form.add(NumberField(look, "brim", _("Brimful it holds"), help_line=_("More than its nominal content")))
    form.add(NumberField(look, "dip_now", _("Wet on the stick now"), help_line=_("If its content is known")))
    form.add(NumberField(look, "content_now", _("Content now"), help_line=_("As delivered, say")))
    form.add(NumberField(look, "tare", _("Empty it weighs"), help_line=_("For counting by weight")), 0)
    title = _("Measure up: {name}").format(name=box_name(box))
    card = StepCard(desk, title, _("Keep the measures"), form, "measure", str(box.id))
    room = work.rooms.containers
    card.does(
        lambda texts, uid: room.measure(measure_command(box, texts, work.actor, uid)),
        _("{name} is measured up.").format(name=box_name(box)),
    )
    return card


def pour_card(desk: Desk, work: AtWork, box: ContainerView, into: tuple[tuple[str, str], ...]) -> StepCard:
    """Return the form that pours from one container into another of the same item."""
    look = desk.look
    form = Form(look, columns=2, least_width=140)
    form.add(ChoiceField(look, "into_id", _("Into"), into), 0)
    form.add(NumberField(look, "quantity", _("Quantity")))
    form.add(TextField(look, "reason", _("Why"), help_line=_("Needed where two lots are mixed")))
    title = _("Move from {name}").format(name=box_name(box))
    card = StepCard(desk, title, _("Move it"), form, "pour over", str(box.id))
    room = work.rooms.containers
    card.does(
        lambda texts, uid: room.pour_over(pour_command(box, texts, work.actor, uid)),
        _("Moved from {name}.").format(name=box_name(box)),
    )
    return card


def hazard_card(desk: Desk, work: AtWork, item: str, goods: Card) -> StepCard:
    """Return the form of a product's hazards, copied from its own safety data sheet."""
    look = desk.look
    form = Form(look, columns=2, least_width=150)
    form.add(ChoiceField(look, "signal_word", _("Signal word"), signal_choices()))
    sds_on = form.add(DateField(look, "sds_on", _("Sheet's own date"), lambda: shop_day(work.figures)))
    form.add(NotesField(look, "hazard_text", _("Hazard statements"), lines=3), 0)
    for sign, words in pictogram_words():
        form.add(CheckField(look, sign.value, words))
    form.add(TextField(look, "emergency_phone", _("Emergency phone")))
    form.add(NumberField(look, "opened_days", _("Days good after opening")))
    day = work.figures.day(goods.sds_on) if goods.sds_on else ""
    form.fill({**hazard_texts(goods), "sds_on": day})
    title = _("Hazards: {name}").format(name=item)
    card = StepCard(desk, title, _("Keep the hazards"), form, "hazards", f"{goods.item_id}:{goods.version}")
    sheet = Button(look, _("Keep its safety data sheet"), icon="file-text")
    sheet.clicked.connect(partial(_choose_sheet, desk, work, card, goods, sds_on))
    card.add(sheet)
    room, figures = work.rooms.cards, work.figures
    card.does(
        lambda texts, uid: room.save(hazard_command(goods, texts, figures, work.actor, uid, sds_on.day())),
        _("The hazards of {name} are kept.").format(name=item),
    )
    return card


def _choose_sheet(
    desk: Desk, work: AtWork, card: StepCard, goods: Card, sds_on: DateField, _checked: bool = False
) -> None:
    day = sds_on.day() if sds_on.check() else None
    if day is None:
        sds_on.set_error(_("Write the date that stands on the sheet first."))
        sds_on.setFocus()
        return
    room, uids = work.rooms.cards, Uids()

    def keep(path: Path) -> object:
        content = path.read_bytes().hex()
        return room.keep_safety_sheet(
            KeepSafetySheet(
                actor=work.actor,
                uid=uids.of("sheet", content),
                item_id=goods.item_id,
                name=path.name,
                content_hex=content,
                sds_on=day,
            )
        )

    def refused(refusal: RuleBroken) -> None:
        desk.notices.refuse(refusal.sentence)

    def chosen(path: Path) -> None:
        said = _("{file} is kept.").format(file=path.name)
        desk.background.write(card, lambda: keep(path), lambda _kept: card.kept.emit(said), refused)

    desk.ask.choose_file(_("Safety data sheet"), _("PDF files (*.pdf)"), chosen)
