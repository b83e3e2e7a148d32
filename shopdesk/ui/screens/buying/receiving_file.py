"""A delivery from a CSV file: chosen, looked through line by line, then received as a whole or not at all."""

from dataclasses import dataclass
from datetime import date
from gettext import gettext as _
from pathlib import Path

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.ledger import FreightBy
from shopdesk.services.buying import OrderView, SupplierRow
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.items import ItemView
from shopdesk.services.receiving_file import KNOWN, FilePreview, FileReceived, FileTrouble, ReceiveFile
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.buying import money_words, supplier_choices
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.receiving import (
    ComingRow,
    coming_rows,
    file_text,
    place_words,
    preview_words,
    sum_words,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.tokens import TextRole
from shopdesk.ui.widgets.card import card_of
from shopdesk.ui.widgets.columns import Scroll
from shopdesk.ui.widgets.fields import ChoiceField, DateField, NumberField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.table import RowTable

_MOST_ROWS = 14


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    order: OrderView | None
    suppliers: tuple[SupplierRow, ...]
    items: dict[int, ItemView]


class ReceivingFileScreen(Screen):
    """The subject is nothing, or the id of the order that came."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Receive from a file"))
        self._work = work
        self._read: _Read | None = None
        self._content = ""
        self._path: Path | None = None
        self._previewed: ReceiveFile | None = None
        self._preview: FilePreview | None = None
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.form = self._make_form()
        self.file = PlainLabel("", wrap=True, strong=True)
        self.says = PlainLabel("", wrap=True)
        self.troubles = self._trouble_table()
        self.coming = self._coming_table()
        columns = _("The first row names the columns: {names}.").format(names=", ".join(KNOWN))
        scroll = Scroll(desk.look)
        help_line = PlainLabel(columns, TextRole.HELP, tone="ink2", wrap=True)
        scroll.add(card_of(desk.look, _("The file"), self.form, help_line, self.file, self.says))
        self._trouble_card = card_of(desk.look, _("What is wrong"), self.troubles)
        self._coming_card = card_of(desk.look, _("What would go on the shelf"), self.coming)
        scroll.add(self._trouble_card)
        scroll.add(self._coming_card)
        self.column.addWidget(scroll)
        self._show_preview(None)
        self.form.completed.connect(self.go_on)
        self.form.edited.connect(lambda: self._show_preview(None))
        self.listen(Topic.STOCK)

    def open_at(self, subject: str) -> None:
        """Begin with no file; what was chosen for another order is not for this one."""
        if subject != self.subject:
            self._content = ""
            self.file.setText("")
            self.form.fill(dict.fromkeys(("document_no", "on", "freight"), ""))
            self._show_preview(None)
        super().open_at(subject)

    def refresh(self) -> None:
        """Read again who delivers, and the order."""
        rooms, subject = self._work.rooms, self.subject
        self.desk.background.read(self, "file", lambda: _read(rooms, subject), self._show, self._gone)

    def focus_first(self) -> None:
        """The first field."""
        self.form.focus_first()

    def go_on(self) -> None:
        """Take the next step: choose a file, look through it, receive it."""
        if self._read is not None and not self._read.suppliers:
            self.desk.ways.go("orders", "supplier")
        elif not self._content or self._path is None:
            self.choose()
        elif self._preview is None or self._preview.troubles:
            self._chosen(self._path)  # it may have been mended meanwhile
        else:
            self._receive()

    def choose(self) -> None:
        """Let a file be chosen and look through it."""
        self.desk.ask.choose_file(_("A delivery as a file"), _("CSV (*.csv *.txt)"), self._chosen)

    def look_through(self) -> None:
        """Say what the file would do and everything that is wrong in it; nothing is kept."""
        command = self._command()
        if command is None:
            return
        room, texts = self._work.rooms.receiving_files, self.form.texts()

        def looked(preview: FilePreview) -> None:
            if texts != self.form.texts():  # typed meanwhile: this is no longer what would be received
                return
            self._previewed = command
            self._show_preview(preview)

        self._sending.send(lambda: room.preview(command), looked, self.form.show_refusal)

    def _chosen(self, file: Path) -> None:
        def read(content: str) -> None:
            self._content, self._path = content, file
            self.file.setText(file.name)
            self._show_preview(None)
            self.look_through()

        self._sending.send(lambda: file_text(file), read)

    def _command(self) -> ReceiveFile | None:
        read = self._read
        if read is None or not self.form.check():
            return None
        texts = self.form.texts()
        if not texts["supplier"]:
            self.form.set_error("supplier", _("Put a supplier on the list first."))
            return None
        return ReceiveFile(
            actor=self._work.actor,
            uid=self._uids.of("file", self._content, *sorted(texts.items())),
            supplier_id=read.order.supplier.id if read.order is not None else int(texts["supplier"]),
            order_id=read.order.id if read.order is not None else None,
            content=self._content,
            document_no=texts["document_no"],
            on=self.on.day(),
            freight=texts["freight"].strip() or "0",
            freight_by=FreightBy(texts["freight_by"] or FreightBy.VALUE),
        )

    def _receive(self) -> None:
        command = self._previewed
        if command is None:
            return
        room = self._work.rooms.receiving_files
        self._sending.send(lambda: room.receive(command), self._received, self._refused)

    def _refused(self, refusal: RuleBroken) -> None:
        """Something changed since it was looked through: say so, and look through it again."""
        self.desk.notices.refuse(refusal.sentence)
        self.look_through()

    def _received(self, kept: FileReceived) -> None:
        self._uids.forget()
        said = _("On the shelf: {said}").format(said=sum_words(kept.deliveries, self._work.figures))
        notes = [note for delivery in kept.deliveries for note in delivery.notes]
        self.desk.notices.tell(" ".join([said, *notes]))
        self._content = ""
        self.file.setText("")
        self._keeper.forget()
        self.form.fill(dict.fromkeys(("document_no", "on", "freight"), ""))
        self._show_preview(None)

    def _show(self, read: _Read) -> None:
        self._read = read
        self._show_actions()
        order = read.order
        suppliers = (order.supplier,) if order is not None else read.suppliers
        self._supplier.set_choices(supplier_choices(suppliers))
        title = _("Receive order {number} from a file").format(number=order.number) if order else ""
        self.set_heading(title or _("Receive from a file"), order.supplier.name if order else "")

    def _show_preview(self, preview: FilePreview | None) -> None:
        self._preview = preview
        self._previewed = self._previewed if preview is not None else None
        figures, read = self._work.figures, self._read
        troubles = preview.troubles if preview is not None else ()
        rows = coming_rows(preview.deliveries, read.items, figures) if preview and read else ()
        self.troubles.set_rows(troubles)
        self.coming.set_rows(rows)
        self._trouble_card.setVisible(bool(troubles))
        self._coming_card.setVisible(bool(rows))
        self.says.setText(preview_words(preview, figures) if preview is not None else "")
        self._show_actions()

    def _show_actions(self) -> None:
        other = PageAction(words=_("Choose another file"), do=self.choose)
        if self._read is not None and not self._read.suppliers:
            self.set_actions(PageAction(words=_("New supplier"), do=self.go_on, icon="plus"))
        elif not self._content:
            self.set_actions(PageAction(words=_("Choose a file"), do=self.go_on))
        elif self._preview is None or self._preview.troubles:
            self.set_actions(PageAction(words=_("Look through it"), do=self.go_on), other)
        else:
            self.set_actions(PageAction(words=_("Put on the shelf"), do=self.go_on, icon="check"), other)

    def _gone(self, refusal: RuleBroken) -> None:
        self.desk.ways.go("orders")
        self.desk.notices.refuse(refusal.sentence)

    def _make_form(self) -> Form:
        look = self.desk.look
        form = Form(look, columns=3, least_width=170)
        self._supplier = form.add(ChoiceField(look, "supplier", _("Supplier")))
        words = _("For lines that name none")
        form.add(TextField(look, "document_no", _("Document number"), help_line=words))
        self.on = form.add(DateField(look, "on", _("Received on"), self._today, help_line=_("Empty: today")))
        form.add(
            NumberField(
                look, "freight", _("Freight"), lambda text: money_words(self._work.figures, text, "freight")
            )
        )
        shared = [(by.value, _(by)) for by in FreightBy]
        form.add(ChoiceField(look, "freight_by", _("Freight is shared"), shared))
        self._keeper = self.desk.drafts.keep(form, "receiving file", "", self)
        return form

    def _trouble_table(self) -> RowTable[FileTrouble]:
        table: RowTable[FileTrouble] = RowTable(
            self.desk.look,
            _("What is wrong"),
            [
                Column(
                    title=_("Line"),
                    text=lambda row: place_words(row, self._work.figures),
                    chars=6,
                    number=True,
                    strong=True,
                ),
                Column(title=_("Column"), text=lambda row: row.column, chars=12),
                Column(title=_("What is wrong"), text=lambda row: row.sentence, stretch=True, chars=24),
            ],
            key=lambda row: (row.line, row.column),
        )
        table.fit_rows(_MOST_ROWS)
        return table

    def _coming_table(self) -> RowTable[ComingRow]:
        table: RowTable[ComingRow] = RowTable(
            self.desk.look,
            _("What would go on the shelf"),
            [
                Column(title=_("Item"), text=lambda row: row.item, stretch=True, chars=14, strong=True),
                Column(title=_("Quantity"), text=lambda row: row.quantity, chars=10, number=True),
                Column(title=_("Cost with freight"), text=lambda row: row.cost, chars=14, number=True),
                Column(title=_("How it came"), text=lambda row: row.condition, chars=12, optional=True),
            ],
            key=lambda row: row.at,
            quiet=True,
        )
        table.fit_rows(_MOST_ROWS)
        return table

    def _today(self) -> date:
        return shop_day(self._work.figures)


def _read(rooms: Rooms, subject: str) -> _Read:
    return _Read(
        order=rooms.buying.order(int(subject)) if subject else None,
        suppliers=rooms.buying.suppliers(),
        items={item.id: item for item in rooms.items.all()},
    )
