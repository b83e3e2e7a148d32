"""The agreement: estimates as they were frozen, consents word for word, and a form for the next one."""

from gettext import gettext as _

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from shopdesk.domain.units import NumberStyle
from shopdesk.services.board import WorkOrderView
from shopdesk.services.typed import Typed
from shopdesk.services.work import ConsentKept
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper
from shopdesk.ui.presenters.consents import (
    agreed_state,
    consent_command,
    consent_words,
    estimate_state,
    estimate_words,
    first_texts,
    how_choices,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.presenters.work_orders import is_changeable
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.tokens import GAP, GAP_TIGHT, TextRole
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.card import Card, Rule
from shopdesk.ui.widgets.fields import ChoiceField, NotesField, NumberField, TextField, reading
from shopdesk.ui.widgets.flow import Flow
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.state_mark import State, StateBadge


class ConsentCard(Card):
    """``estimate_wanted``: freeze the lines; ``paper_wanted``: show the estimate."""

    estimate_wanted = Signal()
    paper_wanted = Signal()

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk.look, _("Estimate and consent"))
        self._desk = desk
        self._work = work
        self._view: WorkOrderView | None = None
        self._draft: DraftKeeper | None = None
        self._uids = Uids()
        self._sending = Sending(desk, self)
        look = desk.look
        self.estimate_badge = StateBadge(look, State.UNKNOWN, _("No estimate yet"))
        self.agreed_badge = StateBadge(look, State.UNKNOWN, _("Not agreed yet"))
        self._list = QVBoxLayout()
        self._list.setSpacing(look.px(GAP_TIGHT))
        self._entries: list[QWidget] = []
        self.make = Button(look, _("Make estimate"), icon="file-text")
        self.make.clicked.connect(lambda: self.estimate_wanted.emit())
        self.show_paper = Button(look, _("Show the estimate"), ButtonPart.QUIET, icon="printer")
        self.show_paper.clicked.connect(lambda: self.paper_wanted.emit())
        self.open_form = Button(look, _("Record consent"), icon="plus")
        self.open_form.clicked.connect(self.begin)
        self.form = self._make_form()
        self._form_part = self._form_with_buttons()
        self._lay_out()
        self._show_form(False)

    @property
    def is_open(self) -> bool:
        """Whether the form is in use."""
        return not self._form_part.isHidden()

    def show_order(self, view: WorkOrderView) -> None:
        """Show what was estimated and agreed; a form in use keeps what was typed."""
        other = self._view is None or self._view.id != view.id
        self._view = view
        figures = self._work.figures
        mark, words = estimate_state(view, figures)
        self.estimate_badge.set_state(State(mark), words)
        mark, words = agreed_state(view, figures)
        self.agreed_badge.set_state(State(mark), words)
        self._show_entries(view)
        changeable = is_changeable(view.stage)
        self.make.setVisible(changeable)
        self.show_paper.setVisible(bool(view.estimates))
        if other:
            self._keep_draft(view)
        self._show_form(self.is_open and changeable)
        newest = figures.money(view.estimates[0].net_minor) if view.estimates else ""
        help_line = _("Empty: the estimate's {amount}").format(amount=newest) if newest else ""
        self.form.field("up_to").set_help(help_line)

    def begin(self) -> None:
        """Open the form for a consent."""
        if self._view is not None and not self._view.estimates:
            self._desk.notices.refuse(_("There is no estimate yet; consent is to an estimate."))
            self.make.setFocus()
            return
        self._show_form(True)
        self.form.focus_first()

    def save(self) -> None:
        """Keep the consent."""
        view = self._view
        if view is None or not self.form.check():
            return
        texts = self.form.texts()
        command = consent_command(self._work.actor, self._uids.of("consent", texts, view.id), view, texts)
        self._sending.send(
            lambda: self._work.rooms.work.consent(command), self._saved, self.form.show_refusal
        )

    def put_aside(self) -> None:
        """Close the form and forget what was typed."""
        self._forget_draft()
        if self._view is not None:
            self.form.fill(first_texts(self._view))
        self._show_form(False)
        self.open_form.setFocus()

    def _saved(self, kept: ConsentKept) -> None:
        self._uids.forget()
        self.put_aside()
        amount = self._work.figures.money(kept.up_to_minor)
        self._desk.notices.tell(_("Consent up to {amount} before tax is kept.").format(amount=amount))

    def _show_entries(self, view: WorkOrderView) -> None:
        for entry in self._entries:
            self._list.removeWidget(entry)
            entry.hide()
            entry.deleteLater()
        figures = self._work.figures
        self._entries = [PlainLabel(estimate_words(row, figures), wrap=True) for row in view.estimates]
        for row in view.consents:
            first, second = consent_words(row, figures)
            self._entries += [Rule(), PlainLabel(first, strong=True, wrap=True)]
            self._entries.append(PlainLabel(second, TextRole.HELP, tone="ink2", wrap=True))
        for entry in self._entries:
            self._list.addWidget(entry)

    def _keep_draft(self, view: WorkOrderView) -> None:
        if self._draft is not None:
            self._draft.flush_if_waiting()
            self._draft.deleteLater()
        self.form.fill(first_texts(view))
        self._show_form(False)
        self._draft = self._desk.drafts.keep(self.form, "consent", str(view.id), self)
        self._draft.restored.connect(lambda: self._show_form(True))

    def _forget_draft(self) -> None:
        if self._draft is not None:
            self._draft.forget()

    def _show_form(self, on: bool) -> None:
        self._form_part.setVisible(on)
        changeable = self._view is not None and is_changeable(self._view.stage)
        self.open_form.setVisible(not on and changeable)

    def _amount(self, text: str) -> str:
        typed = Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)
        return reading(self._work.figures.money(typed.money(text, "up_to")))

    def _make_form(self) -> Form:
        look = self._desk.look
        form = Form(look, columns=3, least_width=170)
        form.add(TextField(look, "person", _("Who agreed")))
        form.add(TextField(look, "relation", _("Who that is"), hint=_("owner, driver, fleet manager")))
        form.add(ChoiceField(look, "how", _("How"), how_choices()))
        form.add(TextField(look, "reached_at", _("Number or address used")))
        form.add(NumberField(look, "up_to", _("Up to, before tax"), self._amount), 2)
        form.add(NotesField(look, "said", _("What was said, word for word"), lines=2), 0)
        form.completed.connect(self.save)
        return form

    def _form_with_buttons(self) -> QWidget:
        look = self._desk.look
        holder = QWidget()
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP))
        column.addWidget(Rule())
        column.addWidget(self.form)
        row = QHBoxLayout()
        row.setSpacing(look.px(GAP))
        keep = Button(look, _("Keep the consent"), icon="check")
        keep.clicked.connect(self.save)
        aside = Button(look, _("Cancel"), ButtonPart.QUIET)
        aside.clicked.connect(self.put_aside)
        row.addWidget(keep)
        row.addWidget(aside)
        row.addStretch(1)
        column.addLayout(row)
        return holder

    def _lay_out(self) -> None:
        look = self._desk.look
        badges = Flow(look.px(GAP))
        badges.addWidget(self.estimate_badge)
        badges.addWidget(self.agreed_badge)
        buttons = Flow(look.px(GAP))
        buttons.addWidget(self.make)
        buttons.addWidget(self.open_form)
        buttons.addWidget(self.show_paper)
        self.add(badges)
        self.add(self._list)
        self.add(buttons)
        self.add(self._form_part)
