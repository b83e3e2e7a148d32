"""The form of a supplier's bill: its number, a row for each delivered line, freight, tax and total."""

from collections.abc import Callable
from datetime import date
from functools import partial
from gettext import gettext as _

from shopdesk.ui.at_work import AtWork
from shopdesk.ui.presenters.bills import (
    LINE_PARTS,
    BillRow,
    amount_words,
    quantity_shown,
    received_words,
    sums_words,
)
from shopdesk.ui.presenters.buying import money_words
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import TextRole
from shopdesk.ui.widgets.fields import DateField, NumberField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel


class BillForm(Form):
    """A line left empty is not on this bill. Fields of a line are named after the delivered line's id."""

    def __init__(self, look: Look, work: AtWork, rows: tuple[BillRow, ...]) -> None:
        super().__init__(look, columns=3, least_width=170)
        self._work = work
        self._form_look = look
        self.rows = rows
        self.add(TextField(look, "bill_no", _("Bill number")))
        self.on = self.add(DateField(look, "on", _("Billed on"), self._today, help_line=_("Empty: today")))
        self.add(TextField(look, "note", _("Note")))
        for row in rows:
            self.insert_part(PlainLabel(received_words(row, work.figures), TextRole.CARD, wrap=True))
            self._add_line(row)
        self.heading(_("The bill as a whole"))
        for name, words in (("freight", _("Freight")), ("tax", _("Tax")), ("total", _("Total of the bill"))):
            self.add(NumberField(look, name, words, self._money))
        self._sums = PlainLabel("", TextRole.BODY, wrap=True)
        self.insert_part(self._sums)
        self.edited.connect(self._show_sums)
        self._show_sums()

    @property
    def sums(self) -> str:
        """What is said of the bill as typed."""
        return self._sums.text()

    def typed_lines(self) -> frozenset[int]:
        """Give the delivered lines into which something was typed."""
        texts = self.texts()
        return frozenset(
            row.line.id for row in self.rows if any(texts[f"{row.line.id}/{part}"] for part in LINE_PARTS)
        )

    def _add_line(self, row: BillRow) -> None:
        look, figures, at = self._form_look, self._work.figures, row.line.id

        def add(part: str, words: str, read: Callable[[str], str], help_line: str = "") -> NumberField:
            spoken = _("{item}: {field}").format(item=f"{at} {row.line.item}", field=words)
            return self.add(
                NumberField(look, f"{at}/{part}", words, read, spoken=spoken, help_line=help_line)
            )

        whole = _("Empty: all that was received") if not row.billed.quantity else ""
        quantity = add(
            "quantity", _("Quantity billed"), lambda text: quantity_shown(row, text, figures), whole
        )
        amount = add(
            "amount",
            _("Amount"),
            lambda text: amount_words(row, quantity.text(), text, figures),
            _("Empty: not on this bill"),
        )
        add("core", _("Core deposit"), self._money)
        quantity.edited.connect(partial(amount.show_again))

    def _show_sums(self) -> None:
        self._sums.setText(sums_words(self.rows, self.texts(), self._work.figures))

    def _money(self, text: str) -> str:
        return money_words(self._work.figures, text, "")

    def _today(self) -> date:
        return shop_day(self._work.figures)
