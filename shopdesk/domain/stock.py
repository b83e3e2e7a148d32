"""Stock layers and what a draw takes from them: quantities and costs are exact integers.

A layer is what is left of one receipt: quantity in the item's base unit (µL or thousandths) and
cost in minor money units. The pennies of a layer all leave with it, so cost in = cost out + cost
left, always. Drawing more than there is is never refused here: the rest is ``short`` and the
caller flags the item for counting.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from shopdesk.domain.words import N_


class CostMethod(StrEnum):
    """How what leaves is valued; the shop's choice."""

    FIFO = N_("fifo")
    AVERAGE = N_("moving average")


class MoveKind(StrEnum):
    """What a stock movement is."""

    RECEIVE = N_("receive")
    OPEN = N_("open")
    ISSUE = N_("issue")
    RETURN = N_("return")
    TRANSFER = N_("transfer")
    COUNT = N_("count")
    SPILL = N_("spill")
    WASTE = N_("waste")
    OWN_USE = N_("own use")
    SUPPLIER_RETURN = N_("supplier return")
    USED_OIL_IN = N_("used oil in")
    USED_OIL_OUT = N_("used oil out")


@dataclass(frozen=True, kw_only=True, slots=True)
class Layer:
    """What is left of the receipt ``move_id``.

    With the moving average a layer may be empty and still carry cost, of either sign: hand in
    every layer of the item whose quantity or cost is not zero.
    """

    move_id: int
    quantity: int
    cost_minor: int

    def __post_init__(self) -> None:
        """A layer cannot hold less than nothing; a shortage has no layer."""
        if self.quantity < 0:
            raise ValueError(f"layer {self.move_id} holds {self.quantity}")


@dataclass(frozen=True, kw_only=True, slots=True)
class Take:
    """What one layer gives: quantity and cost, both leaving."""

    move_id: int
    quantity: int
    cost_minor: int


class Draw(NamedTuple):
    """What a draw takes, oldest layer first, and how much was not there."""

    takes: tuple[Take, ...]
    short: int


def draw(method: CostMethod, layers: Sequence[Layer], quantity: int) -> Draw:
    """Draw by the shop's method; ``layers`` from the oldest to the newest."""
    if method is CostMethod.FIFO:
        return draw_fifo(layers, quantity)
    return draw_average(layers, quantity)


def draw_fifo(layers: Sequence[Layer], quantity: int) -> Draw:
    """Take from the oldest layer first, at that layer's cost.

    A part of a layer takes cost·part/quantity, rounded half up; an emptied layer gives all it
    has left. Raises ValueError unless quantity > 0.
    """
    pieces, short = _pieces(layers, quantity)
    takes = tuple(
        Take(move_id=layer.move_id, quantity=part, cost_minor=share(layer.cost_minor, part, layer.quantity))
        for layer, part in pieces
    )
    return Draw(takes, short)


def draw_average(layers: Sequence[Layer], quantity: int) -> Draw:
    """Take the oldest quantities at the average cost of all layers together.

    The draw as a whole costs total·drawn/held, rounded half up; when everything is drawn, all the
    cost goes. Raises ValueError unless quantity > 0.
    """
    pieces, short = _pieces(layers, quantity)
    held = sum(layer.quantity for layer in layers)
    total_minor = sum(layer.cost_minor for layer in layers)
    takes: list[Take] = []
    drawn = given_minor = 0
    for layer, part in pieces:
        drawn += part
        so_far_minor = share(total_minor, drawn, held)
        takes.append(Take(move_id=layer.move_id, quantity=part, cost_minor=so_far_minor - given_minor))
        given_minor = so_far_minor
    return Draw(tuple(takes), short)


def share(cost_minor: int, part: int, whole: int) -> int:
    """cost·part/whole, rounded half up (away from zero for a negative cost); all of it for the whole."""
    doubled = 2 * abs(cost_minor) * part + whole
    rounded = doubled // (2 * whole)
    return rounded if cost_minor >= 0 else -rounded


def _pieces(layers: Sequence[Layer], quantity: int) -> tuple[list[tuple[Layer, int]], int]:
    """Which layers give how much, oldest first, and what is short."""
    if quantity <= 0:
        raise ValueError(f"a draw of {quantity}")
    pieces: list[tuple[Layer, int]] = []
    for layer in layers:
        part = min(layer.quantity, quantity)
        if part:
            pieces.append((layer, part))
            quantity -= part
    return pieces, quantity
