"""The head of a work order: warnings first, then its facts, which open as a form to be changed."""

from datetime import datetime
from gettext import gettext as _

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QVBoxLayout, QWidget

from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.units import NumberStyle
from shopdesk.services.board import WorkOrderView
from shopdesk.services.typed import Typed
from shopdesk.services.work import WorkOrderKept
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper
from shopdesk.ui.forms.both_versions import meet_kept, show_both
from shopdesk.ui.presenters.promised import promised_words
from shopdesk.ui.presenters.work_facts import edit_command, read_promise, texts_of
from shopdesk.ui.presenters.work_orders import (
    facts,
    is_changeable,
    moves,
    parts_choices,
    waiting_choices,
)
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.tokens import GAP
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.facts import Facts, WarningLine
from shopdesk.ui.widgets.fields import CheckField, ChoiceField, NotesField, NumberField, TextField, reading
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel

_NARROW = 640


class Head(QWidget):
    """``stage_wanted``: the person wants to move the work order to another stage; ``vehicle_wanted``: to see
    the vehicle's own page; ``customer_wanted``: the customer's."""

    stage_wanted = Signal()
    vehicle_wanted = Signal()
    customer_wanted = Signal()

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._view: WorkOrderView | None = None
        self._base: dict[str, str] = {}
        self._version = 0
        self._draft: DraftKeeper | None = None
        self._sending = Sending(desk, self)
        look = desk.look
        self.vehicle_warning = WarningLine(look, _("Vehicle"))
        self.customer_warning = WarningLine(look, _("Customer"))
        self.facts = Facts(look)
        self._complaint = PlainLabel("", wrap=True)
        self._note = PlainLabel("", tone="ink2", wrap=True)
        self.change = Button(look, _("Change"), ButtonPart.QUIET, name=_("Change these facts"))
        self.change.clicked.connect(self.begin)
        self.stage = Button(look, _("Change stage"), ButtonPart.QUIET, name=_("Move to another stage"))
        self.stage.clicked.connect(lambda: self.stage_wanted.emit())
        self.vehicle = Button(look, _("Vehicle"), ButtonPart.QUIET, name=_("Open the vehicle's page"))
        self.vehicle.clicked.connect(lambda: self.vehicle_wanted.emit())
        self.customer = Button(look, _("Customer"), ButtonPart.QUIET, name=_("Open the customer's page"))
        self.customer.clicked.connect(lambda: self.customer_wanted.emit())
        self.form = self._make_form()
        self._buttons = self._make_buttons()
        self._lay_out()
        self._open_form(False)

    def show_order(self, view: WorkOrderView) -> None:
        """Show a work order; a form in use keeps what was typed."""
        before = self._view
        self._view = view
        figures = self._work.figures
        self.vehicle_warning.show_warning(view.vehicle_warning)
        self.customer_warning.show_warning(view.customer_warning)
        self.facts.show_facts(facts(view, figures, datetime.now().astimezone()))
        self.stage.setVisible(bool(moves(view.stage)))
        self._complaint.setText(view.complaint)
        self._complaint.setVisible(bool(view.complaint))
        self._note.setText(view.note)
        self._note.setVisible(bool(view.note))
        self.change.setVisible(is_changeable(view.stage))
        if before is None or before.id != view.id:
            self._take_over(view)
            self._open_form(False)
            self._keep_draft(view)
        elif not self.form.touched or texts_of(view, figures) == self._base:
            self._take_over(view)

    def begin(self) -> None:
        """Open the form."""
        self._open_form(True)
        self.form.focus_first()

    def save(self) -> None:
        """Keep what the form says."""
        view = self._view
        self.form.clear_errors()  # what somebody else wrote was read by now
        if view is None or not self.form.check():
            return
        texts = self.form.texts()
        try:
            promised_at = read_promise(
                texts["promised_at"], view, self._work.figures, datetime.now().astimezone()
            )
        except RuleBroken as refusal:
            self.form.show_refusal(refusal)
            return
        command = edit_command(self._work.actor, view, self._version, texts, promised_at)
        self._sending.send(lambda: self._work.rooms.work.edit(command), self._saved, self._refused)

    def put_aside(self) -> None:
        """Close the form and forget what was typed."""
        if self._draft is not None:
            self._draft.forget()
        if self._view is not None:
            self._take_over(self._view, fill=True)
        self._open_form(False)
        self.change.setFocus()

    @property
    def is_open(self) -> bool:
        """Whether the form is in use."""
        return not self.form.isHidden()

    def _saved(self, _kept: WorkOrderKept) -> None:
        if self._draft is not None:
            self._draft.forget()
        self.form.fill(self.form.texts())
        self._open_form(False)
        self.change.setFocus()
        self._desk.notices.tell(_("Kept."))

    def _refused(self, refusal: RuleBroken) -> None:
        if isinstance(refusal, Conflict) and self._view is not None:
            number = self._view.id
            read = self._work.rooms.board.work_order
            self._desk.background.read(self, "theirs", lambda: read(number), self._show_both)
            return
        self.form.show_refusal(refusal)

    def _show_both(self, theirs: WorkOrderView) -> None:
        now = texts_of(theirs, self._work.figures)
        show_both(self.form, self._base, now)
        self._view = theirs
        self._base, self._version = now, theirs.version

    def _take_over(self, view: WorkOrderView, *, fill: bool = False) -> None:
        self._base = texts_of(view, self._work.figures)
        self._version = view.version
        self._waiting.set_choices(waiting_choices(view.waiting_reason))
        if fill or not self.form.touched:
            self.form.fill(self._base)

    def _keep_draft(self, view: WorkOrderView) -> None:
        if self._draft is not None:
            self._draft.flush_if_waiting()
            self._draft.deleteLater()
        self.form.fill(self._base)
        self._draft = self._desk.drafts.keep(self.form, "work order facts", str(view.id), self)
        self._draft.restored.connect(self._restored)

    def _restored(self) -> None:
        meet_kept(self.form, self._base)
        self._open_form(True)

    def _open_form(self, on: bool) -> None:
        self.form.setVisible(on)
        self._buttons.setVisible(on)
        for part in (self.facts, self._complaint, self._note):
            part.setVisible(not on)
        changeable = self._view is not None and is_changeable(self._view.stage)
        self.change.setVisible(not on and changeable)
        if not on and self._view is not None:
            self._complaint.setVisible(bool(self._view.complaint))
            self._note.setVisible(bool(self._view.note))

    def _torque(self, text: str) -> str:
        typed = Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)
        return reading(self._work.figures.torque(typed.torque(text, "wheel_torque").value))

    def _promised(self, text: str) -> str:
        if self._view is None:
            return ""
        at = read_promise(text, self._view, self._work.figures, datetime.now().astimezone())
        return reading(promised_words(self._work.figures, at)) if at is not None else ""

    def _make_form(self) -> Form:
        look = self._desk.look
        form = Form(look, columns=4, least_width=170)
        form.add(NotesField(look, "complaint", _("What the customer says"), lines=2), 0)
        form.add(TextField(look, "promised_at", _("Promised"), self._promised, help_line=_("4 pm, Fri 9:30")))
        self._waiting = form.add(ChoiceField(look, "waiting_reason", _("Waits for"), waiting_choices("")))
        form.add(TextField(look, "driver", _("Driver, if not the payer")))
        form.add(TextField(look, "po_number", _("PO number")))
        form.add(TextField(look, "bay", _("Bay")))
        form.add(TextField(look, "key_tag", _("Key tag")))
        form.add(TextField(look, "parked", _("Parked")))
        form.add(ChoiceField(look, "parts_choice", _("Replaced parts"), parts_choices()))
        form.add(CheckField(look, "waits_here", _("Customer waits here")))
        form.add(CheckField(look, "wheel_off", _("A wheel comes off")))
        form.add(
            NumberField(
                look,
                "wheel_torque",
                _("Wheel-nut torque"),
                self._torque,
                help_line=_("Needed before the work is finished where a wheel was off"),
            ),
            2,
        )
        form.add(NotesField(look, "note", _("Note for the bay"), lines=2), 0)
        form.completed.connect(self.save)
        return form

    def _make_buttons(self) -> QWidget:
        look = self._desk.look
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(look.px(GAP))
        save = Button(look, _("Keep"), icon="check", name=_("Keep these facts"))
        save.clicked.connect(self.save)
        aside = Button(look, _("Cancel"), ButtonPart.QUIET)
        aside.clicked.connect(self.put_aside)
        row.addWidget(save)
        row.addWidget(aside)
        row.addStretch(1)
        return holder

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Where there is little room, what the customer says has its own lines."""
        super().resizeEvent(event)
        narrow = self.width() < self._desk.look.px(_NARROW)
        direction = QBoxLayout.Direction
        self._row.setDirection(direction.TopToBottom if narrow else direction.LeftToRight)

    def _lay_out(self) -> None:
        look = self._desk.look
        card = Card(look)
        card.setAccessibleName(_("Facts of the work order"))
        ways = QHBoxLayout()
        ways.setSpacing(look.px(GAP))
        ways.addStretch(1)
        for way in (self.customer, self.vehicle, self.change, self.stage):
            ways.addWidget(way)
        self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._row.setSpacing(look.px(GAP))
        self._row.addWidget(self._complaint, 1)
        self._row.addLayout(ways)
        card.add(self._row)
        card.add(self.facts)
        card.add(self._note)
        card.add(self.form)
        card.add(self._buttons)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP))
        warnings = QHBoxLayout()
        warnings.setSpacing(look.px(GAP))
        warnings.addWidget(self.vehicle_warning, 1)
        warnings.addWidget(self.customer_warning, 1)
        column.addLayout(warnings)
        column.addWidget(card)
