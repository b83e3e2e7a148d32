"""Lines and price, the estimates made of them, and what the customer agreed to."""

from collections.abc import Sequence
from gettext import gettext as _

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.services.board import WorkOrderView
from shopdesk.services.items import ItemView
from shopdesk.services.work import MakeEstimate, SetLines
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper
from shopdesk.ui.presenters.line_texts import LineTexts, line_words, lines_of, sums, typed_line
from shopdesk.ui.presenters.work_orders import is_changeable
from shopdesk.ui.screens.work_order.consent import ConsentCard
from shopdesk.ui.screens.work_order.lines import LinesEditor
from shopdesk.ui.sending import Sending
from shopdesk.ui.tab_order import follow_layout
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_TIGHT, TextRole
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.card import Card, Rule
from shopdesk.ui.widgets.columns import Columns
from shopdesk.ui.widgets.flow import Flow
from shopdesk.ui.widgets.plain_label import PlainLabel


class SumsCard(Card):
    """What the kept lines come to."""

    def __init__(self, look: Look) -> None:
        super().__init__(look, _("To bill"))
        self._cells: list[QWidget] = []
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(look.px(GAP))
        self._grid.setVerticalSpacing(look.px(GAP_TIGHT))
        self._grid.setColumnStretch(0, 1)
        self.add(self._grid)

    def show_sums(self, rows: Sequence[tuple[str, str]]) -> None:
        """Show these sums; the last is the total."""
        for cell in self._cells:
            self._grid.removeWidget(cell)
            cell.hide()
            cell.deleteLater()
        self._cells = []
        for number, (name, amount) in enumerate(rows):
            last = number == len(rows) - 1
            if last:
                self._put(Rule(), number, 0, 2)
            figure = PlainLabel(amount, TextRole.VALUE if last else TextRole.BODY)
            figure.setAlignment(Qt.AlignmentFlag.AlignRight)
            self._put(PlainLabel(name, strong=last, tone="ink" if last else "ink2"), number + last, 0)
            self._put(figure, number + last, 1)

    def texts(self) -> list[str]:
        """Return every word shown."""
        return [cell.text() for cell in self._cells if isinstance(cell, PlainLabel)]

    def _put(self, cell: QWidget, row: int, column: int, span: int = 1) -> None:
        self._cells.append(cell)
        self._grid.addWidget(cell, row, column, 1, span)


class PricePane(QWidget):
    """``changed``: what is typed and not kept yet changed, so the page's main action may be another."""

    changed = Signal()

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._view: WorkOrderView | None = None
        self._base: tuple[LineTexts, ...] = ()
        self._version = 0
        self._draft: DraftKeeper | None = None
        self._sending = Sending(desk, self)
        look = desk.look
        self.editor = LinesEditor(look, work)
        self.editor.edited.connect(self._edited)
        self.editor.completed.connect(self.save)
        self.editor.rearranged.connect(lambda: follow_layout(self))
        self.sums = SumsCard(look)
        self.consent = ConsentCard(desk, work)
        self._save = Button(
            look, _("Keep the lines  {key}").format(key="Ctrl+S"), icon="check", name=_("Keep the lines")
        )
        self._save.clicked.connect(self.save)
        self._theirs = PlainLabel("", wrap=True, tone="late")
        self._take_theirs = Button(look, _("Take what is kept now"), ButtonPart.QUIET)
        self._take_theirs.clicked.connect(self.take_theirs)
        self._card = Card(look, _("Lines and price"))
        self._lay_out()
        self._say_theirs("")
        desk.bus.listen(self, (Topic.STOCK,), self._read_items)

    @property
    def has_unkept(self) -> bool:
        """Whether lines were typed that are not kept yet."""
        return self.editor.touched and self.editor.lines() != self._base

    def show_order(self, view: WorkOrderView) -> None:
        """Show a work order's lines; lines in use keep what was typed."""
        before = self._view
        self._view = view
        kept = lines_of(view, self._work.figures)
        self.sums.show_sums(sums(view, self._work.figures))
        self.consent.show_order(view)
        if before is None or before.id != view.id:
            self._keep_draft(view)
            self._read_items()
            self._take_over(view, kept)
        elif not self.has_unkept or kept == self._base:
            self._take_over(view, kept, fill=not self.has_unkept)
        self.editor.set_editable(is_changeable(view.stage))
        self._save.setVisible(is_changeable(view.stage))
        self._edited()

    def save(self) -> None:
        """Keep the lines."""
        view = self._view
        if view is None:
            return
        command = SetLines(
            actor=self._work.actor,
            work_order_id=view.id,
            version=self._version,
            lines=tuple(typed_line(line) for line in self.editor.lines()),
        )
        self._sending.send(
            lambda: self._work.rooms.work.set_lines(command), lambda _kept: self._saved(), self._refused
        )

    def make_estimate(self) -> None:
        """Freeze the kept lines as the next estimate."""
        if self._view is None:
            return
        command = MakeEstimate(actor=self._work.actor, work_order_id=self._view.id)
        self._sending.send(
            lambda: self._work.rooms.work.estimate(command),
            lambda kept: self._desk.notices.tell(
                _("Estimate revision {n}: {amount} before tax.").format(
                    n=kept.revision, amount=self._work.figures.money(kept.net_minor)
                )
            ),
        )

    def take_theirs(self) -> None:
        """Put the lines as they are kept now in place of those typed."""
        if self._view is not None:
            self._forget_draft()
            self._take_over(self._view, lines_of(self._view, self._work.figures))
            self._say_theirs("")
            self.editor.focus_first()

    def focus_first(self) -> None:
        """The lines come first."""
        self.editor.focus_first()

    def _read_items(self) -> None:
        self._desk.background.read(self, "items", self._work.rooms.items.all, self._offer)

    def _offer(self, goods: Sequence[ItemView]) -> None:
        self.editor.offer(goods)

    def _take_over(self, view: WorkOrderView, kept: tuple[LineTexts, ...], *, fill: bool = True) -> None:
        self._base, self._version = kept, view.version
        if fill:
            self.editor.fill(kept)

    def _keep_draft(self, view: WorkOrderView) -> None:
        if self._draft is not None:
            self._draft.flush_if_waiting()
            self._draft.deleteLater()
        self.editor.fill(())
        self._draft = self._desk.drafts.keep(self.editor, "work order lines", str(view.id), self)

    def _forget_draft(self) -> None:
        if self._draft is not None:
            self._draft.forget()

    def _saved(self) -> None:
        self._forget_draft()
        self._say_theirs("")
        self._base = self.editor.lines()
        self.editor.fill(self._base)
        self._desk.notices.tell(_("The lines are kept."))

    def _refused(self, refusal: RuleBroken) -> None:
        if isinstance(refusal, Conflict) and self._view is not None:
            number, read = self._view.id, self._work.rooms.board.work_order
            self._desk.background.read(self, "theirs", lambda: read(number), self._show_theirs)
            return
        self.editor.show_refusal(refusal)

    def _show_theirs(self, theirs: WorkOrderView) -> None:
        """Both versions are in sight; keeping again puts these lines over theirs."""
        self._view = theirs
        kept = lines_of(theirs, self._work.figures)
        self._base, self._version = kept, theirs.version
        lines = "\n".join(line_words(line) for line in kept) or _("no line")
        self._say_theirs(
            _("Somebody else changed the lines meanwhile. Kept now:\n{lines}\nKeep again to put yours there.")
            .format(lines=lines)
        )  # fmt: skip

    def _say_theirs(self, words: str) -> None:
        self._theirs.setText(words)
        self._theirs.setVisible(bool(words))
        self._take_theirs.setVisible(bool(words))

    def _edited(self) -> None:
        self._card.set_note(_("not kept yet") if self.has_unkept else "")
        self._save.setEnabled(self.has_unkept)
        self.changed.emit()

    def _lay_out(self) -> None:
        look = self._desk.look
        self._card.add(self.editor)
        self._card.add(self._theirs)
        row = Flow(look.px(GAP))
        row.addWidget(self._save)
        row.addWidget(self._take_theirs)
        self._card.add(row)
        columns = Columns(look, main=9, side=3)
        columns.add_main(self._card)
        columns.add_main(self.consent)
        columns.add_side(self.sums)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(columns)
