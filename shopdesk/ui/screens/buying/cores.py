"""Core deposits: what is to go back to whom, since when, and the form that brings one back."""

from collections.abc import Sequence
from datetime import date
from gettext import gettext as _

from PySide6.QtWidgets import QVBoxLayout, QWidget

from shopdesk.services.cores import CoreRow, CoresKept, ReturnCores
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper
from shopdesk.ui.forms.form_card import FormCard
from shopdesk.ui.presenters.buying import money_words
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.tokens import GAP_WIDE, TextRole
from shopdesk.ui.widgets.card import card_of
from shopdesk.ui.widgets.fields import DateField, NumberField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.table import RowTable

_MOST_ROWS = 8


class CoresPart(QWidget):
    """The deposits not come back yet. Enter on one opens the form that returns some of it."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(desk.look.px(GAP_WIDE))
        self._desk = desk
        self._work = work
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self._keeper: DraftKeeper | None = None
        self._owed: CoreRow | None = None
        self.table = self._make_table()
        self.table.opened.connect(self.begin)
        column.addWidget(card_of(desk.look, _("Cores to send back"), self.table))
        self.returning = FormCard(desk.look, _("Send back"), _("Sent back"))
        self.form: Form | None = None
        self.returning.wanted.connect(self.send_back)
        self.returning.put_aside.connect(self._put_aside)
        self.returning.hide()
        self._place = QVBoxLayout()
        self.returning.add(self._place)
        self.returning.end()
        column.addWidget(self.returning)

    def show_owed(self, rows: Sequence[CoreRow]) -> None:
        """Show what is owed; a form that is open stays."""
        self.table.set_rows(rows)

    def begin(self, row: CoreRow) -> None:
        """Open the form for one supplier's cores of one item."""
        self._drop_form()
        self._owed = row
        self.form = form = self._make_form(row)
        self._place.addWidget(form)
        self._keeper = self._desk.drafts.keep(form, "cores", f"{row.supplier_id}:{row.item_id}", form)
        self.returning.show()
        form.focus_first()

    def send_back(self) -> None:
        """Keep the return, or say beside a field what is wrong."""
        form, row = self.form, self._owed
        if form is None or row is None or not form.check():
            return
        texts = form.texts()
        day = form.field("on")
        command = ReturnCores(
            actor=self._work.actor,
            uid=self._uids.of("return", row.supplier_id, row.item_id, *sorted(texts.items())),
            supplier_id=row.supplier_id,
            item_id=row.item_id,
            on=day.day() if isinstance(day, DateField) else None,
            **{name: text for name, text in texts.items() if name != "on"},  # type: ignore[arg-type]
        )
        room = self._work.rooms.cores
        self._sending.send(lambda: room.give_back(command), self._kept, form.show_refusal)

    def _kept(self, kept: CoresKept) -> None:
        left = self._work.figures.pieces(kept.pieces_milli)
        money = self._work.figures.money(kept.amount_minor)
        said = _("Kept. {pieces} and {money} are still owed.").format(pieces=left, money=money)
        self._desk.notices.tell(said if kept.pieces_milli else _("Kept. All of these cores are back."))
        self._uids.forget()
        if self._keeper is not None:
            self._keeper.forget()
        self._put_aside()

    def _put_aside(self) -> None:
        self._drop_form()
        self.returning.hide()
        self.table.setFocus()

    def _drop_form(self) -> None:
        if self.form is not None:
            self.form.hide()
            self.form.deleteLater()
        self.form = self._keeper = self._owed = None

    def _make_form(self, row: CoreRow) -> Form:
        look, figures = self._desk.look, self._work.figures
        form = Form(look, columns=2, least_width=140)
        words = _("{item} to {supplier}").format(item=row.item, supplier=row.supplier)
        form.insert_part(PlainLabel(words, TextRole.CARD, wrap=True))
        form.add(NumberField(look, "pieces", _("Pieces sent back"), help_line=self._pieces(row)))
        form.add(
            NumberField(
                look,
                "amount",
                _("Deposit that came back"),
                lambda text: money_words(figures, text, "amount"),
                help_line=_("Empty: the deposit of so many"),
            )
        )
        form.add(TextField(look, "document_no", _("Document number")))
        form.add(DateField(look, "on", _("Sent back on"), self._today, help_line=_("Empty: today")))
        form.add(TextField(look, "reason", _("Note")), 0)
        form.completed.connect(self.send_back)
        return form

    def _pieces(self, row: CoreRow) -> str:
        return _("of {pieces}").format(pieces=self._work.figures.pieces(row.pieces_milli))

    def _make_table(self) -> RowTable[CoreRow]:
        figures = self._work.figures

        def since(row: CoreRow) -> str:
            return figures.day(row.since) if row.since else ""

        table: RowTable[CoreRow] = RowTable(
            self._desk.look,
            _("Cores to send back"),
            [
                Column(title=_("Item"), text=lambda row: row.item, stretch=True, chars=12, strong=True),
                Column(title=_("Supplier"), text=lambda row: row.supplier, chars=12, optional=True),
                Column(title=_("Since"), text=since, chars=11, optional=True),
                Column(
                    title=_("Pieces"), text=lambda row: figures.pieces(row.pieces_milli), chars=6, number=True
                ),
                Column(
                    title=_("Deposit"),
                    text=lambda row: figures.money(row.amount_minor),
                    chars=8,
                    number=True,
                ),
            ],
            key=lambda row: (row.supplier_id, row.item_id),
            empty=_("No deposit is out."),
            quiet=True,
        )
        table.fit_rows(_MOST_ROWS)
        return table

    def _today(self) -> date:
        return shop_day(self._work.figures)
