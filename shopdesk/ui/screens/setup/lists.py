"""Unit sheets and items: lists from which one is opened."""

from collections.abc import Callable, Sequence
from functools import partial
from gettext import gettext as _
from typing import TypeVar

from shopdesk.services.items import ItemView
from shopdesk.services.sheets import SheetView
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.items import class_words, kind_words, price_words
from shopdesk.ui.presenters.set_up import fits
from shopdesk.ui.presenters.sheet_words import capital, level_words
from shopdesk.ui.screen import PageAction
from shopdesk.ui.screens.setup.section import Section
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.rows_model import Column, RowsQuery
from shopdesk.ui.widgets.search_line import SearchLine
from shopdesk.ui.widgets.table import RowTable

Row = TypeVar("Row")


def window(
    rows: Sequence[Row], words: Callable[[Row], Sequence[str]], query: RowsQuery[Row]
) -> Sequence[Row]:
    """Give a window of the rows in which every word of the filter stands."""
    found = [row for row in rows if fits(words(row), query.text)]
    return found[query.offset : query.offset + query.limit]


class SheetsSection(Section):
    """The shop's unit sheets; Enter opens one."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, work)
        self.line = SearchLine(desk.look, _("Narrow the list"), _("Designation, kind or fluid"))
        self.table: RowTable[SheetView] = RowTable(
            desk.look,
            _("Unit sheets"),
            [
                Column(title=_("Designation"), text=lambda row: row.designation, chars=12, strong=True),
                Column(title=_("Unit"), text=lambda row: capital(_(row.kind.value)), chars=16),
                Column(title=_("Fluid"), text=lambda row: row.specification, chars=10),
                Column(
                    title=_("Level"),
                    text=lambda row: level_words(row, work.figures),
                    stretch=True,
                    chars=18,
                    optional=True,
                ),
                Column(title=_("Revision"), text=lambda row: str(row.revision), chars=7, number=True),
            ],
            key=lambda row: row.sheet_id,
            empty=_("No unit sheet fits. A new one needs the values of your own source."),
        )
        self.table.opened.connect(lambda row: desk.ways.go("sheet", str(row.sheet_id)))
        self.main = PageAction(words=_("New sheet"), do=partial(desk.ways.go, "sheet", ""), icon="plus")
        _lay_out(self, _("Unit sheets"), self.line, self.table)
        self.table.read_from(desk.background, self._rows)

    def refresh(self) -> None:
        """Read the list again."""
        self.table.refresh()

    def focus_first(self) -> None:
        """The list."""
        self.table.setFocus()

    def _rows(self, query: RowsQuery[SheetView]) -> Sequence[SheetView]:
        def words(row: SheetView) -> Sequence[str]:
            return (row.designation, _(row.kind.value), row.specification)

        return window(self.work.rooms.sheets.all(), words, query)


class ItemsSection(Section):
    """Fluids and parts with what they sell for; Enter opens one."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, work)
        self.line = SearchLine(desk.look, _("Narrow the list"), _("Name, maker, number or specification"))
        self.table: RowTable[ItemView] = RowTable(
            desk.look,
            _("Fluids and parts"),
            [
                Column(title=_("Name"), text=lambda row: row.name, stretch=True, chars=18, strong=True),
                Column(title=_("Kind"), text=lambda row: kind_words(row.kind), chars=7),
                Column(title=_("Part number"), text=lambda row: row.part_number, chars=11, optional=True),
                Column(title=_("Package"), text=lambda row: row.package_text, chars=8, optional=True),
                Column(
                    title=_("Taxed as"), text=lambda row: class_words(row.tax_class), chars=13, optional=True
                ),
                Column(
                    title=_("Price"), text=lambda row: price_words(row, work.figures), chars=12, number=True
                ),
            ],
            key=lambda row: row.id,
            empty=_("No item fits."),
        )
        self.table.opened.connect(lambda row: desk.ways.go("item", str(row.id)))
        self.main = PageAction(words=_("New item"), do=partial(desk.ways.go, "item", "new"), icon="plus")
        _lay_out(self, _("Fluids and parts"), self.line, self.table)
        self.table.read_from(desk.background, self._rows)

    def refresh(self) -> None:
        """Read the list again."""
        self.table.refresh()

    def focus_first(self) -> None:
        """The list."""
        self.table.setFocus()

    def _rows(self, query: RowsQuery[ItemView]) -> Sequence[ItemView]:
        def words(row: ItemView) -> Sequence[str]:
            claims = (claim.specification for claim in row.claims)
            return (row.name, row.maker, row.part_number, kind_words(row.kind), *claims)

        return window(self.work.rooms.items.all(), words, query)


def _lay_out(section: Section, title: str, line: SearchLine, table: RowTable[Row]) -> None:
    line.textChanged.connect(lambda text: table.ask(text=text))
    line.down.connect(table.setFocus)
    table.setMinimumHeight(section.desk.look.px(220))
    card = Card(section.desk.look, title)
    card.add(line)
    card.add(table, 1)
    section.column.addWidget(card, 1)
