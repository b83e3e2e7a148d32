"""Bringing in a scan tool's log: its first rows, the columns to read, the tool they are remembered for."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from gettext import gettext as _
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.warmup_log import BringLog, LogKept, LogLook
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.log_words import (
    LogTable,
    began_at,
    choice_of,
    column_choices,
    first_rows,
    kept_words,
    texts_of_look,
    time_choices,
    unit_choices,
)
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_WIDE, TextRole
from shopdesk.ui.widgets.button import BigButton
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.fields import ChoiceField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel


@dataclass(frozen=True, kw_only=True, slots=True)
class _Looked:
    look: LogLook
    tools: Sequence[str]


class FirstRows(QWidget):
    """The first rows of a log; the chosen columns stand out."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._cells: list[tuple[int, int, PlainLabel]] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(look.px(GAP_WIDE))
        self._grid.setVerticalSpacing(look.px(2))

    def show_table(self, table: LogTable) -> None:
        """Show headings and rows."""
        for _row, _column, label in self._cells:
            self._grid.removeWidget(label)
            label.hide()
            label.deleteLater()
        self._cells = []
        for row, cells in enumerate((table.headings, *table.rows)):
            for column, text in enumerate(cells):
                label = PlainLabel(text, TextRole.HELP, tone="ink2" if row == 0 else "ink")
                label.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
                self._grid.addWidget(label, row, column)
                self._cells.append((row, column, label))
        self._grid.setColumnStretch(len(table.headings), 1)
        self.setAccessibleName(_("First rows of the log"))
        self.setAccessibleDescription("; ".join(", ".join(row) for row in (table.headings, *table.rows)))

    def mark(self, chosen: Sequence[str]) -> None:
        """Make the chosen columns stand out."""
        for _row, column, label in self._cells:
            label.setProperty("strong", str(column) in chosen)
            label.style().unpolish(label)
            label.style().polish(label)

    def texts(self) -> list[str]:
        """Return every cell's words."""
        return [label.text() for _row, _column, label in self._cells]


class LogPanel(Card):
    """Opened with a file; ``shown`` comes then, ``brought`` when it was kept, ``closed`` when put aside."""

    brought = Signal()
    shown = Signal()
    closed = Signal()

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk.look, _("From a scan tool's log"))
        self._desk = desk
        self._work = work
        self._file: Path | None = None
        self._record = 0
        self._day = date.min
        self._looked: LogLook | None = None
        self._sending = Sending(desk, self)
        look = desk.look
        self.rows = FirstRows(look)
        self.form = Form(look, columns=2, least_width=240)
        self._tool = self.form.add(
            TextField(
                look,
                "tool",
                _("Scan tool"),
                help_line=_("Its columns are remembered for its next log"),
                bay=True,
            )
        )
        self._began = self.form.add(
            TextField(
                look,
                "started_at",
                _("When it began"),
                help_line=_("Empty: its clock, or that it ends now"),
                bay=True,
            )
        )
        self._time = self.form.add(ChoiceField(look, "time_column", _("Column with the time"), bay=True))
        self._kind = self.form.add(ChoiceField(look, "time_kind", _("Time as"), time_choices(), bay=True))
        self._warm = self.form.add(
            ChoiceField(look, "temperature_column", _("Column with the fluid's temperature"), bay=True)
        )
        self._unit = self.form.add(ChoiceField(look, "unit", _("Degrees"), unit_choices(), bay=True))
        self._tool.control.changed.connect(self._tool_changed)
        self.form.edited.connect(self._mark)
        self.form.completed.connect(self.bring)
        self.keep = BigButton(look, _("Bring it in"), icon="check")
        self.keep.clicked.connect(self.bring)
        self.aside = BigButton(look, _("Leave it"), icon="x")
        self.aside.clicked.connect(self.put_aside)
        self.trouble = PlainLabel("", TextRole.CARD, tone="late", wrap=True)
        self._lay_out(look)
        self.hide()

    def open_file(self, record_id: int, day: date, file: Path) -> None:
        """Look at a log and ask what to read from it."""
        self._file, self._record, self._day = file, record_id, day
        self._tool.set_text("")
        self._began.set_text("")
        self.trouble.hide()
        self.set_note(file.name)
        self._look_at("")

    def bring(self) -> None:
        """Read the whole log and keep it, or say what is wrong with it."""
        look, file = self._looked, self._file
        if look is None or file is None:
            return
        self.trouble.hide()
        self.form.clear_errors()
        try:
            texts = self.form.texts()
            command = BringLog(
                actor=self._work.actor,
                record_id=self._record,
                file=file,
                choice=choice_of(look, texts),
                tool=texts["tool"],
                started_at=began_at(texts["started_at"], self._day, self._work.figures),
            )
        except RuleBroken as refusal:
            self.form.show_refusal(refusal)
            return
        logs = self._work.rooms.warmup_logs
        self._sending.send(lambda: logs.bring(command), self._brought, self._refused)

    def put_aside(self) -> None:
        """Leave the log."""
        self._looked = self._file = None
        self.hide()
        self.closed.emit()

    def _look_at(self, tool: str) -> None:
        file, logs = self._file, self._work.rooms.warmup_logs
        if file is None:
            return

        def read() -> _Looked:
            tools = logs.tools()
            only = tools[0] if not tool and len(tools) == 1 else tool
            return _Looked(look=logs.look(file, only), tools=tools)

        self._desk.background.read(self, "log", read, self._show, self._not_read)

    def _show(self, read: _Looked) -> None:
        if self._file is None:
            return
        first = self._looked is None
        self._looked = read.look
        self.rows.show_table(first_rows(read.look.preview))
        for field in (self._time, self._warm):
            field.set_choices(column_choices(read.look.preview))
        known = read.look.remembered and not self._tool.text() and read.tools
        texts = texts_of_look(read.look) | ({"tool": read.tools[0]} if known else {})
        self.form.fill(texts)
        self._tool.set_help(
            _("Known: {tools}").format(tools=", ".join(read.tools))
            if read.tools
            else _("Its columns are remembered for its next log")
        )
        self._mark()
        self.show()
        self.shown.emit()
        if first:
            (self.keep if read.look.choice is not None else self._unit).setFocus()

    def _not_read(self, refusal: RuleBroken) -> None:
        self.closed.emit()
        self.hide()
        self._desk.notices.refuse(refusal.sentence)

    def _tool_changed(self) -> None:
        """A tool that is known brings its columns."""
        self._look_at(self._tool.text())

    def _mark(self) -> None:
        texts = self.form.texts()
        self.rows.mark([texts["time_column"], texts["temperature_column"]])

    def _brought(self, kept: LogKept) -> None:
        self._desk.notices.tell(kept_words(kept, self._work.figures))
        self._looked = self._file = None
        self.hide()
        self.brought.emit()

    def _refused(self, refusal: RuleBroken) -> None:
        if refusal.field in self.form.texts():
            self.form.show_refusal(refusal)
            return
        self.trouble.setText(refusal.sentence)
        self.trouble.show()

    def _lay_out(self, look: Look) -> None:
        buttons = QHBoxLayout()
        buttons.setSpacing(look.px(GAP))
        buttons.addWidget(self.keep)
        buttons.addWidget(self.aside)
        buttons.addStretch(1)
        body = QVBoxLayout()
        body.setSpacing(look.px(GAP))
        body.addWidget(self.rows)
        body.addWidget(self.form)
        body.addWidget(self.trouble)
        body.addLayout(buttons)
        self.add(body)
        self.trouble.hide()
