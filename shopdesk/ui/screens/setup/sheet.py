"""One unit sheet: every value with its source; saving makes the next revision."""

from dataclasses import dataclass
from functools import partial
from gettext import gettext as _

from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.text import match_key
from shopdesk.services.acting import Actor, new_uid
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.intake import UnitView
from shopdesk.services.sheets import SaveSheet, SheetKept, SheetView
from shopdesk.services.vehicles import EditUnit
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper
from shopdesk.ui.forms.both_versions import meet_kept, show_both
from shopdesk.ui.presenters.exact import exact_volume
from shopdesk.ui.presenters.sheet_words import revision_words, steps_words
from shopdesk.ui.presenters.sheets import (
    check_designation,
    field_of_refusal,
    sheet_command,
    sheet_texts,
    usual_texts,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.screens.setup.sheet_form import SheetForm
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.plain_label import PlainLabel

FOR_UNIT = "unit:"


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    view: SheetView | None
    unit: UnitView | None
    specifications: tuple[str, ...]


class SheetScreen(Screen):
    """The subject is a sheet's id, nothing for a new one, or "unit:ID" for a new one that unit gets."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Unit sheet"))
        self._work = work
        self._view: SheetView | None = None
        self._unit: UnitView | None = None
        self._keeper: DraftKeeper | None = None
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.form = SheetForm(desk.look, work)
        self._steps = PlainLabel("", wrap=True)
        self._lay_out()
        self.form.edited.connect(self._show_steps)
        self.form.completed.connect(self._save)
        self.listen(Topic.SHEETS, Topic.SHOP)

    @property
    def is_new(self) -> bool:
        """Whether the sheet is not kept yet."""
        return not self.subject or self.subject.startswith(FOR_UNIT)

    def open_at(self, subject: str) -> None:
        """Show a sheet, or an empty form."""
        if subject != self.subject or self._keeper is None:
            self.subject = subject
            self._begin()
        self.refresh()

    def refresh(self) -> None:
        """Read the sheet again; what is being typed stays."""
        rooms, subject = self._work.rooms, self.subject
        self.desk.background.read(
            self, "sheet", lambda: _read(rooms, subject), partial(self._take, subject), self._gone
        )

    def focus_first(self) -> None:
        """The first field that can be changed."""
        self.form.focus_first()

    def _lay_out(self) -> None:
        look = self.desk.look
        scroll = Scroll(look)
        self.column.addWidget(scroll)
        columns = Columns(look, main=8, side=3, break_at=860)
        scroll.add(columns)
        card, order, yours = Card(look), Card(look, _("Order of work")), Card(look, _("Your own data"))
        columns.add_main(card)
        columns.add_side(order)
        columns.add_side(yours)
        card.add(self.form)
        order.add(self._steps)
        order.add(
            PlainLabel(
                _("Common practice for such a unit; the job sheet prints it with its cautions."),
                tone="ink2",
                wrap=True,
            )
        )
        yours.add(
            PlainLabel(
                _(
                    "The program knows no maker's values. What you type here is used for every unit with "
                    "this sheet, and older work keeps the revision it was done by."
                ),
                tone="ink2",
                wrap=True,
            )
        )

    def _begin(self) -> None:
        if self._keeper is not None:
            self._keeper.flush_if_waiting()
            self._keeper.deleteLater()
        self._view = self._unit = None
        self._uids.forget()
        self.form.fill(dict.fromkeys(self.form.texts(), "") | usual_texts())
        self.form.hold_name(not self.is_new)
        self._keeper = self.desk.drafts.keep(self.form, "sheet", self.subject, self)
        self._keeper.restored.connect(self._restored)
        self.set_heading(_("New unit sheet") if self.is_new else _("Unit sheet"))
        self._show_actions()
        self._show_steps()

    def _restored(self) -> None:
        self._show_steps()
        self.desk.notices.tell(_("What you had begun to type is back."), _("Throw it away"), self._put_aside)

    def _take(self, subject: str, read: _Read) -> None:
        if subject != self.subject:
            return
        self.form.offer(read.specifications)
        if read.view is not None:
            self._take_sheet(read.view)
        elif read.unit is not None:
            self._take_unit(read.unit)
        self._show_steps()
        self._show_actions()

    def _take_sheet(self, view: SheetView) -> None:
        if not self.form.touched:
            self._fill(view)
        elif self._view is None:
            meet_kept(self.form, self._texts(view))
        if not self.form.touched or self._view is None:
            self._view = view  # while somebody types, the revision stays the one they began from
        self.set_heading(view.designation, revision_words(view, self._work.figures))

    def _take_unit(self, unit: UnitView) -> None:
        if self._unit is None and not self.form.touched:
            own_name = "" if unit.label == unit.kind.value else unit.label
            self.form.fill(usual_texts(unit.kind) | {"designation": own_name})
        self._unit = unit
        self.set_heading(_("New unit sheet"), _("For the {unit}").format(unit=unit.label))

    def _fill(self, view: SheetView) -> None:
        self.form.fill(self._texts(view))

    def _texts(self, view: SheetView) -> dict[str, str]:
        return dict.fromkeys(self.form.texts(), "") | sheet_texts(view, self._work.figures.shop)

    def _gone(self, refusal: RuleBroken) -> None:
        self.desk.ways.go("setup", "sheets")
        self.desk.notices.refuse(refusal.sentence)

    def _show_steps(self) -> None:
        steps = steps_words(self.form.texts())
        self._steps.setText("\n".join(f"{number}  {step}" for number, step in enumerate(steps, 1)))

    def _show_actions(self) -> None:
        words = _("Save sheet")
        if self._view is not None:
            words = _("Save revision {n}").format(n=self._view.revision + 1)
        cancel = PageAction(words=_("Cancel"), do=self._put_aside, icon="x")
        self.set_actions(PageAction(words=words, do=self._save, icon="check"), cancel)

    def _put_aside(self) -> None:
        if self._keeper is not None:
            self._keeper.forget()
        if self._view is not None:
            self._fill(self._view)
        else:
            kind = self._unit.kind if self._unit is not None else None
            usual = usual_texts(kind) if kind is not None else usual_texts()
            self.form.fill(dict.fromkeys(self.form.texts(), "") | usual)
        self.desk.ways.back()

    def _save(self) -> None:
        self.form.clear_errors()
        if not self.form.check():
            return
        texts = self.form.texts()
        began = self._view.revision_id if self._view is not None else 0
        uid = self._uids.of("save", began, *sorted(texts.items()))
        try:
            command = sheet_command(texts, self._work.actor, uid)
        except RuleBroken as refusal:
            self.form.show_refusal(refusal)
            return
        rooms, unit, actor = self._work.rooms, self._unit, self._work.actor
        base = self._view
        self._sending.send(
            lambda: _keep(rooms, command, base, unit, actor), self._saved, partial(self._refused, command)
        )

    def _refused(self, command: SaveSheet, refusal: RuleBroken) -> None:
        if isinstance(refusal, Conflict) and self._view is not None:
            rooms, sheet_id = self._work.rooms, self._view.sheet_id
            self.desk.background.read(self, "theirs", lambda: rooms.sheets.sheet(sheet_id), self._show_theirs)
            return
        refusal.field = field_of_refusal(refusal.field, command)
        self.form.show_refusal(refusal)

    def _show_theirs(self, view: SheetView) -> None:
        shop = self._work.figures.shop
        before = sheet_texts(self._view, shop) if self._view is not None else {}
        self._view = view
        self.set_heading(view.designation, revision_words(view, self._work.figures))
        self._show_actions()
        show_both(self.form, before, sheet_texts(view, shop))

    def _saved(self, kept: SheetKept) -> None:
        name = self.form.texts()["designation"].strip()
        if self._keeper is not None:
            self._keeper.forget()
        self._uids.forget()
        sentence = _("{name} is saved as revision {n}.").format(name=name, n=kept.revision)
        if self._unit is not None:
            sentence += " " + _("The {unit} has it now.").format(unit=self._unit.label)
        self.form.fill({})
        for_unit = self._unit is not None
        self.subject, self._view, self._unit = "?", None, None
        if for_unit:
            self.desk.ways.back()
        else:
            self.desk.ways.go("sheet", str(kept.sheet_id))
        self.desk.notices.tell(sentence)


def _read(rooms: Rooms, subject: str) -> _Read:
    known = {sheet.specification for sheet in rooms.sheets.all()}
    known |= {claim.specification for goods in rooms.items.all() for claim in goods.claims}
    unit = subject.removeprefix(FOR_UNIT) if subject.startswith(FOR_UNIT) else ""
    return _Read(
        view=rooms.sheets.sheet(int(subject)) if subject and not unit else None,
        unit=rooms.intake.unit(int(unit)) if unit else None,
        specifications=tuple(sorted(known, key=match_key)),
    )


def _keep(
    rooms: Rooms, command: SaveSheet, base: SheetView | None, unit: UnitView | None, actor: Actor
) -> SheetKept:
    """Keep a revision on the one it was begun from, and give the sheet to its unit."""
    if not rooms.office.knows(command.uid):
        _check_base(rooms, command, base)
    kept = rooms.sheets.save(command)
    if unit is not None and unit.sheet_id != kept.sheet_id:
        rooms.intake.edit_unit(
            EditUnit(
                actor=actor,
                uid=new_uid(),
                unit_id=unit.id,
                version=rooms.intake.unit(unit.id).version,
                sheet_id=kept.sheet_id,
                label=unit.label,
                total=exact_volume(unit.total_ul, rooms.setup.shop()),
            )
        )
    return kept


def _check_base(rooms: Rooms, command: SaveSheet, base: SheetView | None) -> None:
    if base is None:
        check_designation(command.designation, [match_key(sheet.designation) for sheet in rooms.sheets.all()])
    elif rooms.sheets.sheet(base.sheet_id).revision_id != base.revision_id:
        raise Conflict(_("Somebody else wrote a revision meanwhile."))
