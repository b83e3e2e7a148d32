"""What is known of one item: how much there is, in which containers, and every move of it."""

from dataclasses import dataclass
from gettext import gettext as _

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from shopdesk.services.items import ItemKind, ItemView
from shopdesk.services.stock import ContainerRow, MoveRow, OnHandRow
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.items import claim_line, particulars
from shopdesk.ui.presenters.shelf import (
    container_label,
    container_state,
    container_words,
    count_warning,
    holds_some,
    move_words,
    signed_money,
    signed_stock,
    stands,
    unit_cost,
)
from shopdesk.ui.presenters.today import glass_text
from shopdesk.ui.screens.fluids.over_time import OverTime
from shopdesk.ui.theme.tokens import GAP, GAP_PAGE, GAP_WIDE
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns
from shopdesk.ui.widgets.facts import Facts, WarningLine
from shopdesk.ui.widgets.figure import CameFrom, Figure
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column, RowsQuery
from shopdesk.ui.widgets.sight_glass import Level, SightGlass
from shopdesk.ui.widgets.state_mark import State, StateBadge
from shopdesk.ui.widgets.table import RowTable

_MOST_CONTAINERS = 5
_LEAST_LEDGER = 260


@dataclass(frozen=True, kw_only=True, slots=True)
class ItemRead:
    """An item with how it stands."""

    goods: ItemView
    row: OnHandRow
    containers: tuple[ContainerRow, ...]


class ItemPage(QWidget):
    """``work_order`` tells the number of a move's work order when a line of the ledger is opened."""

    work_order = Signal(int)

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._item_id = 0
        self._base, self._name = "ul", ""
        self._glass = SightGlass(desk.look)
        self._on_hand = Figure(desk.look, _("On hand"), big=True)
        self._worth = Figure(desk.look, _("Cost of what is left"))
        self._state = StateBadge(desk.look)
        self._warning = WarningLine(desk.look, _("Count it"))
        self._facts = Facts(desk.look)
        self._claims = Facts(desk.look)
        self.over_time = OverTime(desk, work)
        self.containers = self._containers_table()
        self.ledger = self._ledger_table()
        self.kit = Button(desk.look, _("Sold as a kit"), ButtonPart.QUIET)
        self.kit.clicked.connect(lambda: desk.ways.go("kit", str(self._item_id)))
        self._lay_out()

    def show_item(self, read: ItemRead) -> None:
        """Show an item as it stands now."""
        figures, goods, row = self._work.figures, read.goods, read.row
        self._base, self._name = row.base, goods.name
        glass = glass_text(figures, row)
        self._glass.setVisible(goods.kind is ItemKind.FLUID)
        self._glass.set_level(Level(full=glass.full, mark=glass.mark, figure="", name=glass.mark_words))
        self._on_hand.set_value(glass.figure)
        cost = unit_cost(figures, goods.sale_unit, row.on_hand, row.cost_minor)
        came_from = CameFrom(
            rows=((_("On hand"), glass.figure), (_("On average"), cost or "—")),
            formula=_("What the deliveries cost that are not used up yet."),
        )
        self._worth.set_value(figures.money(row.cost_minor), came_from=came_from)
        mark, word = stands(row)
        self._state.set_state(State(mark), word)
        self._warning.show_warning(count_warning(row, figures))
        self._facts.show_facts(particulars(goods, figures))
        self.kit.setVisible(goods.kind is ItemKind.PART)
        self._claims_card.setVisible(bool(goods.claims))
        self._claims.show_facts([(claim.specification, claim_line(claim)) for claim in goods.claims])
        held = [each for each in read.containers if holds_some(each, row.base)]
        self.containers.set_rows(held)
        self._read_ledger(goods.id)
        self.over_time.show_item(goods.id)

    def focus_first(self) -> None:
        """Put the keyboard into the ledger, or at the top where the ledger would push that out of sight."""
        (self.containers if self._columns.is_one else self.ledger).setFocus()

    def _read_ledger(self, item_id: int) -> None:
        if item_id == self._item_id:
            self.ledger.refresh()
            return
        self._item_id = item_id
        self.ledger.set_rows(())
        self.ledger.read_from(self._desk.background, self._moves)

    def _moves(self, query: RowsQuery[MoveRow]) -> tuple[MoveRow, ...]:
        before = query.after.id if query.after else None
        room = self._work.rooms.stock
        return tuple(room.ledger(self._item_id, before_id=before, most=query.limit))

    def _lay_out(self) -> None:
        look = self._desk.look
        stock = Card(look, _("On the shelf"))
        stock.add_to_head(self._state)
        row = QHBoxLayout()
        row.setSpacing(look.px(GAP_PAGE))
        row.addWidget(self._glass, 0, Qt.AlignmentFlag.AlignTop)
        words = QVBoxLayout()
        words.setSpacing(look.px(GAP))
        words.addWidget(self._on_hand)
        words.addWidget(self._worth)
        words.addStretch(1)
        row.addLayout(words, 1)
        beside = Columns(look, main=3, side=5, break_at=560)
        beside.add_main(row)
        beside.add_side(self.containers)
        stock.add(beside)
        facts = Card(look, _("Particulars"))
        facts.add(self._facts)
        facts.add_to_head(self.kit)
        self._claims_card = Card(look, _("Said to suit"))
        self._claims_card.add(self._claims)
        self._claims_card.add(
            PlainLabel(_("In its maker's words; check them before you fill."), tone="ink2", wrap=True)
        )
        moves = Card(look, _("Every move"))
        self.ledger.setMinimumHeight(look.px(_LEAST_LEDGER))
        moves.add(self.ledger, 1)
        columns = self._columns = Columns(look, main=2, side=1, break_at=900)
        columns.add_main(stock)
        columns.add_main(moves, 1)
        columns.add_side(self.over_time)
        columns.add_side(facts)
        columns.add_side(self._claims_card)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP_WIDE))
        column.addWidget(self._warning)
        column.addWidget(columns, 1)

    def _containers_table(self) -> RowTable[ContainerRow]:
        def should_hold(row: ContainerRow) -> str:
            return self._work.figures.stock(self._base, row.on_hand)

        def state(row: ContainerRow) -> tuple[str, str]:
            return container_state(row, shop_day(self._work.figures))

        table: RowTable[ContainerRow] = RowTable(
            self._desk.look,
            _("Containers"),
            [
                Column(title=_("Container"), text=self._label, stretch=True, chars=12, strong=True),
                Column(title=_("Lot"), text=lambda row: row.lot or "—", chars=9),
                Column(title=_("Should hold"), text=should_hold, chars=9, number=True),
                Column(
                    title=_("Here since"),
                    text=lambda row: container_words(row, self._work.figures),
                    chars=22,
                    optional=True,
                ),
                Column(
                    title="", text=lambda row: state(row)[1], chars=9, state=lambda row: State(state(row)[0])
                ),
            ],
            key=lambda row: row.id,
            empty=_("No container holds any of it."),
            quiet=True,
        )
        table.fit_rows(_MOST_CONTAINERS)
        return table

    def _ledger_table(self) -> RowTable[MoveRow]:
        table: RowTable[MoveRow] = RowTable(
            self._desk.look,
            _("Every move"),
            [
                Column(title=_("Day"), text=lambda row: self._work.figures.day(row.on_date), chars=11),
                Column(title=_("What"), text=move_words, stretch=True, chars=22, strong=True),
                Column(title=_("Lot"), text=lambda row: row.lot, chars=9),
                Column(title=_("By"), text=lambda row: row.person, chars=13, optional=True),
                Column(title=_("Quantity"), text=self._quantity, chars=10, number=True),
                Column(title=_("Level after"), text=self._level, chars=10, number=True),
                Column(
                    title=_("Cost"),
                    text=lambda row: signed_money(self._work.figures, row.cost_minor),
                    chars=9,
                    number=True,
                ),
            ],
            key=lambda row: row.id,
            empty=_("Nothing has moved yet: receive a delivery."),
        )
        table.opened.connect(self._open_move)
        return table

    def _label(self, row: ContainerRow) -> str:
        return container_label(row, self._name)

    def _quantity(self, row: MoveRow) -> str:
        return signed_stock(self._work.figures, self._base, row.quantity)

    def _level(self, row: MoveRow) -> str:
        return self._work.figures.stock(self._base, row.level_after)

    def _open_move(self, row: MoveRow) -> None:
        if row.work_order_number is not None:
            self.work_order.emit(row.work_order_number)
