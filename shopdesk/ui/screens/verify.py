"""A second opinion on a record: this shop's own, a file of another shop, or the code off its paper."""

from collections.abc import Callable, Sequence
from gettext import gettext as _
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.record_code import CodeBroken
from shopdesk.services.verifying_files import Judged, RecordRow, Source
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.record_cards import BalanceCard, LevelCard
from shopdesk.ui.presenters import verify_words as words
from shopdesk.ui.presenters.shown import recomputed
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.tab_order import follow_layout
from shopdesk.ui.theme.tokens import GAP, GAP_TIGHT, TextRole
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.fields import TextField
from shopdesk.ui.widgets.figure import CameFrom, came_from_rows
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.rule_row import RuleRow
from shopdesk.ui.widgets.state_mark import State, StateBadge
from shopdesk.ui.widgets.table import RowTable

_MOST_ROWS = 8


class VerifyScreen(Screen):
    """The subject is a kept record's id, or empty: then one is chosen, typed or brought."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Second opinion"))
        self._work = work
        self._judged: Judged | None = None
        look = desk.look
        self.form = Form(look, columns=1)
        self.what = self.form.add(
            TextField(
                look,
                "what",
                _("A record's number such as 1001-1, or the text of its code"),
                help_line=_("A picture or PDF of the paper, or a record's file: Open a file"),
            )
        )
        self.form.completed.connect(self.judge_typed)
        self.judge = Button(look, _("Judge it"), icon="check")
        self.judge.clicked.connect(self.judge_typed)
        self.records = self._make_table()
        self.records_card = Card(look, _("Records of this shop, newest first"), _("Enter judges one"))
        self.records_card.add(self.records)
        self.verdict = VerdictCard(desk)
        self.findings = RulesCard(desk, _("What was found"))
        self.kept = RulesCard(desk, _("Nothing against"), folded=True)
        self.level = LevelCard(look)
        self.balance = BalanceCard(look)
        self.code = CodeCard(desk)
        self.again = Button(look, _("Other records"), ButtonPart.QUIET, icon="undo-2")
        self.again.clicked.connect(lambda: self.open_at(""))
        self.kept.unfolded.connect(lambda: follow_layout(self))
        self._lay_out()
        self.listen(Topic.SERVICE, Topic.WORK, Topic.STOCK)

    def open_at(self, subject: str) -> None:
        """Judge the record with this id, or ask for one."""
        self.subject = subject
        self._judged = None
        self.what.set_text("")
        self._show_nothing()
        self.refresh()

    def refresh(self) -> None:
        """Judge again what is kept here; what was brought stays as it was judged."""
        verifying = self._work.rooms.verifying
        if self.subject.isdecimal():
            number = int(self.subject)
            self.desk.background.read(
                self, "judge", lambda: verifying.kept(number), self._show, self._refused
            )
        elif self._judged is None:
            self.desk.background.read(self, "records", verifying.newest, self.records.set_rows)

    def focus_first(self) -> None:
        """What was found comes first; with nothing judged, the field that asks for a record."""
        rows = [*self.findings.rows, self.kept.fold]
        if self._judged is not None and self._judged.verification is not None:
            rows[0].setFocus()
        else:
            self.what.setFocus()

    def judge_typed(self) -> None:
        """Judge what was typed or pasted."""
        text, typed = self.what.text(), self._work.rooms.verifying.typed
        if not text.strip():
            self.what.set_error(_("Write a record's number such as 1001-1, or paste its code."))
            return
        self._ask(lambda: typed(text))

    def choose_file(self) -> None:
        """Let a file be chosen and judge it."""
        kinds = _("Records ({endings})").format(endings="*.json *.pdf *.jpg *.jpeg *.png *.heic *.txt")
        self.desk.ask.choose_file(_("A record to judge"), kinds, self.judge_file)

    def judge_file(self, file: Path) -> None:
        """Judge a file."""
        self._ask(lambda: self._work.rooms.verifying.file(file))

    def _ask(self, read: Callable[[], Judged]) -> None:
        """Pictures are drawn for it, so it goes where papers are drawn."""
        self.subject = ""
        self.what.clear_error()
        self.desk.background.paper(self, "brought", read, self._brought, self._refused)

    def _brought(self, judged: Judged) -> None:
        self._show(judged)
        self.focus_first()

    def _refused(self, refusal: RuleBroken) -> None:
        if refusal.field == "what":
            self.what.set_error(refusal.sentence)
            self.what.setFocus()
            return
        self._judged = None
        self._show_nothing()
        self._columns.show()
        signed = isinstance(refusal, CodeBroken)
        self.verdict.show_refusal(
            _("Refused: not as it was signed") if signed else _("Cannot be judged"),
            refusal.sentence,
            refusal.field if refusal.field.startswith("/") else "",
        )
        self.refresh()

    def _show_nothing(self) -> None:
        self.set_heading(_("Second opinion"), _("Any record, worked out anew from what was measured"))
        self.records_card.setVisible(True)
        for part in (self.verdict, self.findings, self.kept, self.level, self.balance, self.code):
            part.hide()
        self._columns.hide()
        self.again.hide()
        self._say_actions()

    def _show(self, judged: Judged) -> None:
        self._judged = judged
        figures = self._work.figures
        title = _("Second opinion  ·  {number}").format(number=judged.number or judged.unit)
        self.set_heading(title, judged.unit)
        self.records_card.hide()
        self.verdict.show_judged(judged)
        self.findings.show_rules(words.findings(judged, figures))
        kept = words.kept_rules(judged)
        self.kept.show_rules(kept, words.kept_words(len(kept)))
        view = recomputed(judged)
        self.level.setVisible(view is not None)
        self.balance.setVisible(view is not None)
        if view is not None:
            self.level.show_record(view, figures)
            self.balance.show_record(view, {}, figures)
        self.code.show_told(words.told_by_code(judged))
        self._columns.show()
        self.again.show()
        self._say_actions()
        follow_layout(self)

    def _say_actions(self) -> None:
        judged = self._judged
        opens = PageAction(words=_("Open a file"), do=self.choose_file, icon="file-text")
        if judged is None:
            self.set_actions(opens)
            return
        others = []
        if judged.source is Source.KEPT:
            others.append(PageAction(words=_("Save its file"), do=self._save, icon="save"))
            others.append(PageAction(words=_("Work order"), do=self._open_order, icon="clipboard-list"))
        elif judged.record_id:
            others.append(PageAction(words=_("This shop's own"), do=self._open_own, icon="clipboard-list"))
        self.set_actions(opens, *others)

    def _save(self) -> None:
        judged = self._judged
        if judged is not None:
            self.desk.ask.save_file(
                _("Save the record's file"), f"record-{judged.number}.json", "JSON (*.json)", self._write
            )

    def _write(self, file: Path) -> None:
        judged = self._judged
        if judged is None:
            return
        number, write = judged.record_id, self._work.rooms.verifying.write
        self.desk.background.read(self, "write", lambda: write(number, file), self._written)

    def _written(self, file: Path) -> None:
        self.desk.notices.tell(_("Saved as {name}.").format(name=file.name))

    def _open_order(self) -> None:
        if self._judged is not None:
            self.desk.ways.go("work order", str(self._judged.work_order_id))

    def _open_own(self) -> None:
        if self._judged is not None:
            self.desk.ways.go("verify", str(self._judged.record_id))

    def _make_table(self) -> RowTable[RecordRow]:
        figures = self._work
        table: RowTable[RecordRow] = RowTable(
            self.desk.look,
            _("Records of this shop"),
            [
                Column(title=_("Number"), text=lambda row: row.number, chars=10, strong=True),
                Column(title=_("Done on"), text=lambda row: figures.figures.day(row.done_on), chars=12),
                Column(title=_("Unit"), text=lambda row: row.unit, chars=20, stretch=True),
                Column(title=_("Plate"), text=lambda row: row.plate, chars=10),
                Column(
                    title=_("State"),
                    text=words.record_state,
                    chars=12,
                    state=lambda row: State.FINE if row.finished else State.PLAIN,
                    optional=True,
                ),
            ],
            key=lambda row: row.record_id,
            empty=_("No service record yet."),
        )
        table.fit_rows(_MOST_ROWS)
        table.opened.connect(lambda row: self.desk.ways.go("verify", str(row.record_id)))
        return table

    def _lay_out(self) -> None:
        look = self.desk.look
        asking = Card(look, _("Which record"))
        asking.add(self.form)
        buttons = QHBoxLayout()
        buttons.setSpacing(look.px(GAP))
        buttons.addWidget(self.judge)
        buttons.addWidget(self.again)
        buttons.addStretch(1)
        asking.add(buttons)
        scroll = Scroll(look)
        columns = self._columns = Columns(look, main=7, side=4)
        for card in (self.verdict, self.findings, self.kept, self.code):
            columns.add_main(card)
        columns.add_side(self.level)
        columns.add_side(self.balance)
        for part in (asking, columns, self.records_card):
            scroll.add(part)
        self.column.addWidget(scroll)
        self._show_nothing()


class VerdictCard(Card):
    """How it came out, in a word and a sentence, and who signed it."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk.look, _("Verdict"))
        look = desk.look
        self.badge = StateBadge(look, State.PLAIN, "…")
        self.sentence = PlainLabel("", TextRole.CARD, wrap=True)
        self.about = PlainLabel("", tone="ink2", wrap=True)
        self.key = PlainLabel("", TextRole.HELP, tone="ink2", wrap=True)
        for part in (self.badge, self.sentence, self.about, self.key):
            self.add(part)

    def show_judged(self, judged: Judged) -> None:
        """Show a verdict."""
        found = words.verdict_words(judged)
        _mark, key = words.key_words(judged)
        self._say(State(found.mark), found.word, found.sentence, found.about, key)

    def show_refusal(self, word: str, sentence: str, place: str) -> None:
        """Say why there is no verdict; ``place`` is where in the file."""
        self._say(State.LATE, word, sentence, place, "")

    def _say(self, state: State, word: str, sentence: str, about: str, key: str) -> None:
        self.badge.set_state(state, word)
        for label, text in ((self.sentence, sentence), (self.about, about), (self.key, key)):
            label.setText(text)
            label.setVisible(bool(text))
        self.show()


class CodeCard(Card):
    """What a signed code tells, name by name."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk.look, _("What the signed code tells"))
        self._look = desk.look
        self._body: QWidget | None = None

    def show_told(self, told: Sequence[tuple[str, str]]) -> None:
        """Show it, or nothing."""
        if self._body is not None:
            self._body.hide()
            self._body.deleteLater()
        self._body = QWidget(self)
        self._body.setLayout(came_from_rows(self._look, CameFrom(rows=tuple(told))))
        self.add(self._body)
        self.setVisible(bool(told))


class RulesCard(Card):
    """Rules, each a line that opens. Folded, there is one button until they are wanted, which tells
    ``unfolded``."""

    unfolded = Signal()

    def __init__(self, desk: Desk, title: str, *, folded: bool = False) -> None:
        super().__init__(desk.look, title)
        self._desk = desk
        self._folded = folded
        self.rows: list[RuleRow] = []
        self.fold = Button(desk.look, "", ButtonPart.QUIET)
        self.fold.clicked.connect(self.unfold)
        self._body = QWidget(self)
        self._list = QVBoxLayout(self._body)
        self._list.setContentsMargins(0, 0, 0, 0)
        self._list.setSpacing(desk.look.px(GAP_TIGHT))
        head = QHBoxLayout()
        head.addWidget(self.fold)
        head.addStretch(1)
        self.add(head)
        self.add(self._body)

    def show_rules(self, rules: Sequence[words.RuleWords], fold_words: str = "") -> None:
        """Show these; nothing where there is none."""
        for row in self.rows:
            self._list.removeWidget(row)
            row.hide()
            row.deleteLater()
        self.rows = [self._row(rule) for rule in rules]
        for row in self.rows:
            self._list.addWidget(row)
        self.fold.set_text(fold_words)
        self.fold.setVisible(self._folded)
        self._body.setVisible(not self._folded)
        self.setVisible(bool(rules))

    def unfold(self) -> None:
        """Show all of them, or put them away again."""
        self._body.setVisible(self._body.isHidden())
        self.unfolded.emit()

    def _row(self, rule: words.RuleWords) -> RuleRow:
        row = RuleRow(self._desk.look, rule.name, self._body)
        row.show_rule(State(rule.mark), rule.weight, rule.sentence, rule.asks, rule.rows)
        return row
