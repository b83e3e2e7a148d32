"""A product's picture over time as shares of a drawing, and how it is ordered in words."""

from dataclasses import dataclass
from datetime import date
from gettext import gettext as _
from gettext import ngettext

from shopdesk.domain.stock import CostMethod
from shopdesk.services.figures import Figures
from shopdesk.services.ordering_hints import OrderHintRow
from shopdesk.services.shelf_reports import LayerRow, ProductHistory, StockValue

_ROOM_ABOVE = 1.08
_MOST_LAYERS = 5


@dataclass(frozen=True, kw_only=True, slots=True)
class Picture:
    """A level over time. Every place is a pair of shares of width and height, from the lower left.

    ``steps`` are the corners of the level's line, ``dots`` the counts, each with half its height of doubt.
    """

    steps: tuple[tuple[float, float], ...]
    dots: tuple[tuple[float, float, float], ...]
    order_at: float | None
    fill_to: float | None
    zero: float
    first: str
    last: str
    top: str
    words: str


def picture(history: ProductHistory, today: date, figures: Figures) -> Picture:
    """Lay a history out between its first day and today."""
    first = history.line[0].on_date
    days = max(1, (today - first).days)
    levels = [point.level for point in history.line]
    marks = [mark for mark in (history.order_at, history.fill_to) if mark is not None]
    most = max(1, *levels, *marks, *(dot.counted for dot in history.dots)) * _ROOM_ABOVE
    least = min(0, *levels)

    def across(day: date) -> float:
        return min(1.0, max(0.0, (day - first).days / days))

    def up(level: float) -> float:
        return (level - least) / (most - least)

    steps: list[tuple[float, float]] = []
    for point in history.line:
        if steps:
            steps.append((across(point.on_date), steps[-1][1]))
        steps.append((across(point.on_date), up(point.level)))
    steps.append((1.0, steps[-1][1]))
    return Picture(
        steps=tuple(steps),
        dots=tuple(
            (across(dot.on_date), up(dot.counted), dot.two_u / (most - least)) for dot in history.dots
        ),
        order_at=up(history.order_at) if history.order_at is not None else None,
        fill_to=up(history.fill_to) if history.fill_to is not None else None,
        zero=up(0),
        first=figures.day(first),
        last=figures.day(today),
        top=figures.stock(history.base, max(levels)),
        words=_words(history, figures),
    )


def _words(history: ProductHistory, figures: Figures) -> str:
    levels = [point.level for point in history.line]
    n = len(history.dots)
    sentence = ngettext(
        "Level from {low} to {high} since {day}, now {now}; counted on {n} day",
        "Level from {low} to {high} since {day}, now {now}; counted on {n} days",
        n,
    )
    return sentence.format(
        low=figures.stock(history.base, min(levels)),
        high=figures.stock(history.base, max(levels)),
        day=figures.day(history.line[0].on_date),
        now=figures.stock(history.base, levels[-1]),
        n=n,
    )


def ordering_facts(row: OrderHintRow, figures: Figures) -> tuple[tuple[str, str], ...]:
    """Give how an item stands for the buyer: the owner's own marks first, the formula's hint after."""

    def stock(quantity: int | None) -> str:
        return figures.stock(row.base, quantity) if quantity is not None else "—"

    asked = _("{n} × {package}").format(n=row.packages, package=stock(row.package_quantity))
    return (
        (_("Lasts about"), cover_words(row, figures)),
        (_("Set aside for work"), stock(row.reserved) if row.reserved else _("nothing")),
        (_("Free to promise"), stock(row.usable - row.reserved)),
        (_("On order"), stock(row.on_order) if row.on_order else _("nothing")),
        (_("Your order mark"), stock(row.order_at)),
        (_("Your fill-to mark"), stock(row.fill_to)),
        (_("To order now"), asked if row.packages else _("nothing")),
        (_("Hint: order at"), stock(row.hint.point) if row.hint else "—"),
        (_("Supplier"), row.supplier),
    )


def cover_words(row: OrderHintRow, figures: Figures) -> str:
    """Say how long the shelf lasts at the usual use."""
    if row.cover_days is None:
        return _("not used lately")
    if row.runs_out_on is None:
        return _("years")
    words = _("{n} days, to {day}")
    return words.format(n=row.cover_days, day=figures.day(row.runs_out_on))


def layer_facts(value: StockValue, item_id: int, figures: Figures) -> tuple[tuple[str, str], ...]:
    """Give what is left of each delivery with its cost, the next to leave first; or the average."""
    row = next((each for each in value.rows if each.item_id == item_id), None)
    if row is None or not row.layers:
        return ()
    if value.method is not CostMethod.FIFO:
        held = sum(layer.quantity for layer in row.layers)
        return ((_("At the average"), f"{figures.stock(row.base, held)} · {figures.money(row.left_minor)}"),)
    shown, others = row.layers[:_MOST_LAYERS], row.layers[_MOST_LAYERS:]
    facts = [
        (_("Leaves next") if number == 0 else _("Then"), layer_words(row.base, layer, figures))
        for number, layer in enumerate(shown)
    ]
    if others:
        rest = LayerRow(
            move_id=0,
            quantity=sum(layer.quantity for layer in others),
            cost_minor=sum(layer.cost_minor for layer in others),
        )
        words = ngettext("{n} more delivery", "{n} more deliveries", len(others)).format(n=len(others))
        facts.append((words, layer_words(row.base, rest, figures)))
    return tuple(facts)


def layer_words(base: str, layer: LayerRow, figures: Figures) -> str:
    """Say what is left of a delivery and what that cost."""
    return f"{figures.stock(base, layer.quantity)} · {figures.money(layer.cost_minor)}"
