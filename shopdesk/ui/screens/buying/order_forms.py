"""The forms of an order: its lines while it is a draft, and what came of each once it is on its way."""

from collections.abc import Sequence
from datetime import date
from gettext import gettext as _

from shopdesk.domain.ledger import FreightBy
from shopdesk.services.buying import OrderState, OrderView, SupplierRow
from shopdesk.services.items import ItemView
from shopdesk.services.ordering_hints import OrderHintRow
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.presenters.buying import line_words, money_words, supplier_choices, to_order
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.shelf import find_item
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import TextRole
from shopdesk.ui.widgets.fields import ChoiceField, DateField, NumberField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.search_field import SearchField

LEAST_ROWS, MOST_ROWS = 3, 60


class DraftForm(Form):
    """A draft order: supplier, expected day, note, then lines; an empty line counts for nothing."""

    def __init__(self, look: Look, work: AtWork) -> None:
        super().__init__(look, columns=4, least_width=150, step=4)
        self._work = work
        self._draft_look = look
        self._items: tuple[ItemView, ...] = ()
        self.rows = 0
        self.supplier = self.add(ChoiceField(look, "supplier", _("Supplier")))
        self.expected = self.add(DateField(look, "expected_on", _("Expected on"), self._today))
        self.add(TextField(look, "note", _("Note on the order")), 2)
        self.more_lines(LEAST_ROWS)

    def offer(self, suppliers: Sequence[SupplierRow], items: Sequence[ItemView]) -> None:
        """Offer who delivers and what is on the list."""
        self.supplier.set_choices(supplier_choices(suppliers))
        self._items = tuple(items)
        for row in range(self.rows):
            self._offer_at(row)

    def more_lines(self, rows: int) -> None:
        """Have at least so many lines."""
        while self.rows < min(rows, MOST_ROWS):
            self._add_line(self.rows)
            self.rows += 1

    def another_line(self) -> None:
        """Add a line and put the keyboard there."""
        self.more_lines(self.rows + 1)
        self.field(f"lines/{self.rows - 1}/item").setFocus()

    def begin(self, hints: Sequence[OrderHintRow], item_id: int) -> None:
        """Write the lines that the marks ask for, of the supplier of an item."""
        texts = dict.fromkeys(self.texts(), "")
        asked = next((row for row in hints if row.item_id == item_id), None)
        texts["supplier"] = str(asked.supplier_id or "") if asked else ""
        wanted = [
            row
            for row in to_order(hints)
            if asked is not None
            and (row.item_id == item_id or (row.supplier_id and row.supplier_id == asked.supplier_id))
        ]
        self.more_lines(len(wanted) + 1)
        for at, row in enumerate(wanted):
            texts[f"lines/{at}/item"] = row.name
            texts[f"lines/{at}/packages"] = str(row.packages)
        if not texts["supplier"]:
            del texts["supplier"]  # the first on the list stays chosen
        self.fill(texts)

    def texts_of(self, order: OrderView) -> dict[str, str]:
        """Give a kept draft as it stands in the fields, with a line for each of its lines."""
        figures = self._work.figures
        self.more_lines(len(order.lines) + 1)
        texts = dict.fromkeys(self.texts(), "")
        texts |= {"supplier": str(order.supplier.id), "note": order.note}
        texts["expected_on"] = order.expected_on.isoformat() if order.expected_on else ""
        for at, line in enumerate(order.lines):
            texts[f"lines/{at}/item"] = line.item
            texts[f"lines/{at}/packages"] = str(line.packages)
            texts[f"lines/{at}/price"] = figures.money(line.price_minor, sign=False)
        return texts

    def fill_from(self, order: OrderView) -> None:
        """Show a kept draft."""
        self.fill(self.texts_of(order))

    def _add_line(self, row: int) -> None:
        look, figures = self._draft_look, self._work.figures
        number = row + 1
        self.add(SearchField(look, f"lines/{row}/item", _("Item {n}").format(n=number), self._read_item), 2)
        self.add(NumberField(look, f"lines/{row}/packages", _("Packages {n}").format(n=number)))
        self.add(
            NumberField(
                look,
                f"lines/{row}/price",
                _("Price of one package {n}").format(n=number),
                lambda text: money_words(figures, text, "price"),
            )
        )
        self._offer_at(row)

    def _offer_at(self, row: int) -> None:
        field = self.field(f"lines/{row}/item")
        if isinstance(field, SearchField):
            field.offer([goods.name for goods in self._items])

    def _read_item(self, text: str) -> str:
        goods = find_item(self._items, text)
        return _("comes in {package}").format(package=goods.package_text) if goods.package_text else ""

    def _today(self) -> date:
        return shop_day(self._work.figures)


class DeliveryForm(Form):
    """What came of an order: under one document number, line by line, short, over or damaged."""

    def __init__(self, look: Look, work: AtWork, order: OrderView, items: Sequence[ItemView]) -> None:
        super().__init__(look, columns=4, least_width=150, step=2)
        self._work = work
        self._names = [goods.name for goods in items]
        self.order = order
        self.add(TextField(look, "document_no", _("Document number"), help_line=_("As on the delivery note")))
        self.on = self.add(DateField(look, "on", _("Received on"), self._today, help_line=_("Empty: today")))
        self.add(NumberField(look, "freight", _("Freight"), self._money))
        self.add(
            ChoiceField(look, "freight_by", _("Freight is shared"), [(by.value, _(by)) for by in FreightBy])
        )
        self._days: dict[int, DateField] = {}
        self._heads: list[PlainLabel] = []
        for row, line in enumerate(order.lines):
            words = f"{line.item}: {line_words(line, work.figures)}"
            head = PlainLabel(words, TextRole.CARD, wrap=True)
            self._heads.append(head)
            self.insert_part(head)
            self._add_line(look, row, line.item)

    def meet(self, order: OrderView) -> None:
        """Show how the same order stands now beside what was typed, which stays."""
        self.order = order
        for head, line in zip(self._heads, order.lines, strict=True):
            head.setText(f"{line.item}: {line_words(line, self._work.figures)}")
        if not self.touched:
            return
        sentence = _(
            "This order changed elsewhere meanwhile. Each line says what came by now; what you typed is kept."
        )
        if order.state is not OrderState.ORDERED:
            sentence = _("This order was closed elsewhere meanwhile; what you typed is kept in sight.")
        self.set_error("", sentence)

    def best_before(self) -> dict[int, date | None]:
        """Give the best-before day of each line. Raises RuleBroken for one that cannot be read."""
        return {row: field.day() for row, field in self._days.items()}

    def _add_line(self, look: Look, row: int, item: str) -> None:
        def spoken(words: str) -> str:
            return _("{item}: {field}").format(item=f"{row + 1} {item}", field=words)

        for part, words in (("packages", _("Packages")), ("damaged", _("Damaged, not taken"))):
            self.add(NumberField(look, f"lines/{row}/{part}", words, spoken=spoken(words)))
        cost = _("Cost if not as ordered")
        self.add(NumberField(look, f"lines/{row}/cost", cost, self._money, spoken=spoken(cost)))
        self.add(TextField(look, f"lines/{row}/lot", _("Lot"), spoken=spoken(_("Lot"))))
        words = _("Best before")
        self._days[row] = self.add(
            DateField(look, f"lines/{row}/best_before", words, self._today, spoken=spoken(words))
        )
        self.add(TextField(look, f"lines/{row}/note", _("Note"), spoken=spoken(_("Note"))), 2)
        words = _("Came instead")
        instead = SearchField(look, f"lines/{row}/instead", words, spoken=spoken(words))
        instead.offer(self._names)
        self.add(instead)

    def _money(self, text: str) -> str:
        return money_words(self._work.figures, text, "")

    def _today(self) -> date:
        return shop_day(self._work.figures)
