"""Texts of the shelf: glasses, parts, deliveries and the ledger."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from gettext import gettext as _
from gettext import ngettext

from shopdesk.domain import units
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.money import round_half_up
from shopdesk.domain.stock import MoveKind
from shopdesk.domain.text import match_key
from shopdesk.domain.units import NumberStyle
from shopdesk.services.acting import Actor
from shopdesk.services.figures import Figures, shown_unit
from shopdesk.services.items import ItemKind, ItemView
from shopdesk.services.stock import SHORT_REASON, ContainerRow, MoveRow, OnHandRow, Receive
from shopdesk.services.typed import Typed
from shopdesk.ui.presenters.today import GlassText, glass_text


@dataclass(frozen=True, kw_only=True, slots=True)
class Tile:
    """One fluid as it stands on the shelf: its glass, and how it stands as mark and word."""

    glass: GlassText
    mark: str
    word: str

    def words(self) -> str:
        """Give everything in one line."""
        parts = (self.glass.name, self.glass.figure, self.glass.mark_words, self.word)
        return ", ".join(part for part in parts if part)


def is_low(row: OnHandRow) -> bool:
    """Say whether an item is at or below its order mark."""
    return row.order_at is not None and row.on_hand <= row.order_at


def stands(row: OnHandRow) -> tuple[str, str]:
    """Say how an item stands on the shelf: the key of its mark, and a word."""
    if row.count_due:
        return "soon", _("Count it")
    if is_low(row):
        return "late", _("To order")
    if row.on_hand <= 0:
        return "late", _("None left")
    return "plain", ""


def tiles(rows: Iterable[OnHandRow], figures: Figures) -> tuple[Tile, ...]:
    """Give the fluids of the shelf, those to order or to count first."""
    made = [_tile(row, figures) for row in rows if row.kind is ItemKind.FLUID]
    return tuple(sorted(made, key=lambda tile: not tile.word))


def _tile(row: OnHandRow, figures: Figures) -> Tile:
    mark, word = stands(row)
    return Tile(glass=glass_text(figures, row), mark=mark, word=word)


def pieces_first(rows: Iterable[OnHandRow]) -> tuple[OnHandRow, ...]:
    """Give everything that is no fluid, what is to order first."""
    found = [row for row in rows if row.kind is not ItemKind.FLUID]
    return tuple(sorted(found, key=lambda row: not stands(row)[1]))


def shelf_note(rows: Sequence[OnHandRow]) -> str:
    """Say how many items are to order and how many to count."""
    low = sum(is_low(row) for row in rows)
    counts = sum(row.count_due for row in rows)
    words = (
        ngettext("{n} to order", "{n} to order", low).format(n=low) if low else "",
        ngettext("{n} to count", "{n} to count", counts).format(n=counts) if counts else "",
    )
    return " · ".join(word for word in words if word)


def order_words(row: OnHandRow, figures: Figures) -> str:
    """Say at what level an item is ordered again."""
    return figures.stock(row.base, row.order_at) if row.order_at is not None else ""


def base_of(kind: ItemKind) -> str:
    """Give the base unit of a kind of item, as figures take it."""
    return "ul" if kind is ItemKind.FLUID else "milli_each"


def find_item(items: Iterable[ItemView], typed: str) -> ItemView:
    """Give the item whose name or part number was typed; refuses one that is not on the list."""
    key = match_key(typed.strip()[:200])
    for goods in items:
        if key and key in (match_key(goods.name), match_key(goods.part_number)):
            return goods
    sentence = _("No item is called this. Pick one from the list, or make a new item.")
    raise RuleBroken(sentence, "item")


def item_line(goods: ItemView, on_hand: int | None, figures: Figures) -> str:
    """Say what is chosen and how much of it there is."""
    held = figures.stock(base_of(goods.kind), on_hand) if on_hand is not None else ""
    package = _("comes in {package}").format(package=goods.package_text) if goods.package_text else ""
    return " · ".join(part for part in (_(goods.kind).capitalize(), package, _held(held)) if part)


def _held(held: str) -> str:
    return _("{quantity} on hand").format(quantity=held) if held else ""


def quantity_reader(figures: Figures, kind: Callable[[], ItemKind]) -> Callable[[str], str]:
    """Give what reads a quantity while it is typed; the kind decides between volume and pieces."""

    def read(text: str) -> str:
        return quantity_words(figures, kind(), text)

    return read


def quantity_words(figures: Figures, kind: ItemKind, text: str) -> str:
    """Read a typed quantity and say it in the shop's unit; refuses what cannot be read."""
    typed = Typed(shop=figures.shop, style=NumberStyle.PERSON)
    if kind is ItemKind.FLUID:
        return figures.volume_both(typed.volume(text, "quantity").value)
    return figures.stock("milli_each", typed.pieces(text, "quantity"))


def cost_words(figures: Figures, goods: ItemView | None, quantity: str, cost: str) -> str:
    """Read a typed cost and say what one sale unit of it costs, as far as that is known yet."""
    typed = Typed(shop=figures.shop, style=NumberStyle.PERSON)
    minor = typed.money(cost, "cost")
    if goods is None or not quantity.strip():
        return figures.money(minor)
    try:
        kept = (
            typed.volume(quantity, "quantity").value
            if goods.kind is ItemKind.FLUID
            else typed.pieces(quantity, "quantity")
        )
    except RuleBroken:
        return figures.money(minor)
    return unit_cost(figures, goods.sale_unit, kept, minor) or figures.money(minor)


def unit_cost(figures: Figures, sale_unit: str, quantity: int, cost_minor: int) -> str:
    """Say what one sale unit of a quantity costs; nothing where there is no quantity."""
    if quantity <= 0:
        return ""
    if sale_unit == "each":
        each = Fraction(cost_minor * 1000, quantity)
        return _("{money} each").format(money=figures.money(round_half_up(each)))
    country = "imp " if figures.shop.imperial and sale_unit in ("qt", "gal") else ""
    held = units.from_ul(quantity, f"{country}{sale_unit}")
    money = figures.money(round_half_up(cost_minor / held))
    return _("{money} a {unit}").format(money=money, unit=shown_unit(sale_unit))


def receive_command(
    texts: Mapping[str, str],
    goods: ItemView,
    actor: Actor,
    uid: str,
    *,
    best_before: date | None,
    on: date | None,
) -> Receive:
    """Give the command that puts a delivery on the shelf."""
    return Receive(
        actor=actor,
        uid=uid,
        item_id=goods.id,
        quantity=texts["quantity"],
        cost=texts["cost"],
        lot=texts["lot"],
        container=texts["container"],
        document_no=texts["document_no"],
        best_before=best_before,
        on=on,
    )


_MOVES = {
    MoveKind.RECEIVE: lambda: _("Received"),
    MoveKind.OPEN: lambda: _("Opened"),
    MoveKind.ISSUE: lambda: _("Used"),
    MoveKind.RETURN: lambda: _("Came back from a job"),
    MoveKind.TRANSFER: lambda: _("Moved"),
    MoveKind.COUNT: lambda: _("Counted"),
    MoveKind.SPILL: lambda: _("Spilled"),
    MoveKind.WASTE: lambda: _("Thrown away"),
    MoveKind.OWN_USE: lambda: _("Own use"),
    MoveKind.SUPPLIER_RETURN: lambda: _("Sent back to the supplier"),
    MoveKind.USED_OIL_IN: lambda: _("Used oil taken in"),
    MoveKind.USED_OIL_OUT: lambda: _("Oil pick-up"),
}


def move_words(row: MoveRow) -> str:
    """Say what a move was, with the work order or the document it belongs to."""
    if row.reason == SHORT_REASON:
        sentence = _("Count it: work order {number} took more than there was")
        return sentence.format(number=row.work_order_number)
    what = _MOVES[row.kind]()
    if row.work_order_number is not None:
        used = row.kind is MoveKind.ISSUE
        sentence = _("Work order {number}") if used else _("{what}, work order {number}")
        return sentence.format(what=what, number=row.work_order_number)
    return ", ".join(part for part in (what, row.document_no, row.reason) if part)


def count_warning(row: OnHandRow, figures: Figures) -> str:
    """Say that the shelf and the ledger cannot both be right; nothing where they can."""
    if not row.count_due:
        return ""
    sentence = _("Jobs took {quantity} more than was ever received. Look at the shelf and count it.")
    return sentence.format(quantity=figures.stock(row.base, -row.on_hand))


def signed_stock(figures: Figures, base: str, quantity: int) -> str:
    """Write what a move added or took, with its sign; what shows as nothing has none."""
    shown = figures.stock(base, abs(quantity))
    if shown == figures.stock(base, 0):
        return shown
    return ("+" if quantity > 0 else "−") + shown


def signed_money(figures: Figures, minor: int) -> str:
    """Write what a move's goods cost, with its sign; nothing for nothing."""
    if not minor:
        return ""
    return ("+" if minor > 0 else "−") + figures.money(abs(minor))


def container_label(row: ContainerRow, item_name: str) -> str:
    """Name a container beside its item: a name of its own, or its number alone."""
    return short_label(row.label, item_name)


def short_label(label: str, item_name: str) -> str:
    """Leave the item's name out of a container's label where only a number follows."""
    number = label.removeprefix(item_name[:40]).strip()
    return number if number.startswith("#") else label


def container_words(row: ContainerRow, figures: Figures) -> str:
    """Say since when a container is here and until when it is good."""
    since = _("received {day}").format(day=figures.day(row.received_on))
    if row.best_before is None:
        return since
    return _("{since}, best before {day}").format(since=since, day=figures.day(row.best_before))


def holds_some(row: ContainerRow, base: str) -> bool:
    """Say whether a container should hold anything worth showing: a millilitre or a piece, either way."""
    return abs(row.on_hand) >= 1000 if base == "ul" else row.on_hand != 0


def container_state(row: ContainerRow, today: date) -> tuple[str, str]:
    """Say how a container stands: the key of its mark, and a word."""
    if row.on_hand < 0:
        return "soon", _("Count it")
    if row.on_hand == 0:
        return "plain", _("Empty")
    if row.best_before is not None and row.best_before < today:
        return "late", _("Past its date")
    return "plain", ""
