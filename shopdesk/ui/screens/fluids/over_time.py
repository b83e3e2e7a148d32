"""A product over time and for the buyer: its level with counts, how long it lasts, what is left of it."""

from dataclasses import dataclass
from datetime import date
from gettext import gettext as _

from PySide6.QtWidgets import QVBoxLayout, QWidget

from shopdesk.domain.intervals import add_months
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.ordering_hints import OrderHintRow
from shopdesk.services.shelf_reports import ProductHistory, StockValue
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.history import layer_facts, ordering_facts, picture
from shopdesk.ui.theme.tokens import GAP_WIDE
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.facts import Facts
from shopdesk.ui.widgets.level_chart import LevelChart
from shopdesk.ui.widgets.plain_label import PlainLabel

_MONTHS = 6


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    history: ProductHistory
    hint: OrderHintRow | None
    value: StockValue


class OverTime(QWidget):
    """Reads for itself; ``show_item`` says of which item."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._item_id = 0
        look = desk.look
        self.chart = LevelChart(look)
        self.ordering = Facts(look)
        self.basis = PlainLabel("", tone="ink2", wrap=True)
        self.layers = Facts(look)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP_WIDE))
        level = Card(look, _("Level in half a year"))
        level.add(self.chart)
        marks = _(
            "Dashed: your order mark. Dotted: your fill-to mark. A dot is a count, its bar what it can show."
        )
        level.add(PlainLabel(marks, tone="ink2", wrap=True))
        buying = Card(look, _("Ordering"))
        buying.add(self.ordering)
        buying.add(self.basis)
        self._cost = Card(look, _("What is left, by delivery"))
        self._cost.add(self.layers)
        for card in (level, buying, self._cost):
            column.addWidget(card)

    def show_item(self, item_id: int) -> None:
        """Show an item as it stands now."""
        self._item_id = item_id
        rooms, from_on = self._work.rooms, add_months(shop_day(self._work.figures), -_MONTHS)
        self._desk.background.read(self, "over time", lambda: _read(rooms, item_id, from_on), self._show)

    def _show(self, read: _Read) -> None:
        if read.history.item_id != self._item_id:
            return
        figures = self._work.figures
        self.chart.show_picture(picture(read.history, shop_day(figures), figures))
        self.ordering.show_facts(ordering_facts(read.hint, figures) if read.hint else ())
        self.basis.setText(read.hint.basis if read.hint else "")
        facts = layer_facts(read.value, self._item_id, figures)
        self.layers.show_facts(facts)
        self._cost.setVisible(bool(facts))


def _read(rooms: Rooms, item_id: int, from_on: date) -> _Read:
    hints = rooms.ordering_hints.rows()
    return _Read(
        history=rooms.shelf_reports.history(item_id, from_on),
        hint=next((row for row in hints if row.item_id == item_id), None),
        value=rooms.shelf_reports.value(),
    )
