"""The ledger's rules beyond a single draw: where goods come out of, shortages made good, landed cost.

A draw has two sides that need not agree: the cost layers it takes (oldest first, or the average)
and the containers the goods physically come out of (first expiring first). Both are cut into the
same pieces, so that every row of the ledger names one layer and one container.

A shortage is what was used beyond what the shelf was said to hold. It has no cost of its own; the
next delivery or count covers it first, and what it used is then charged at that layer's cost. So
layers less shortages is always what is on hand, and cost in is cost out plus cost left.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.money import share_out
from shopdesk.domain.stock import CostMethod, Layer, Take, draw, share
from shopdesk.domain.words import N_

Source = tuple[int | None, int]
"""A container (None: not said which) and how much of it, in the item's base unit."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Shortage:
    """What the move ``move_id`` used beyond what was held and no layer has covered yet (> 0)."""

    move_id: int
    quantity: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Cover:
    """A layer's share that goes to an earlier shortage; quantity and cost leave the layer."""

    shortage_id: int
    take: Take


def settle(method: CostMethod, layers: Sequence[Layer], shortages: Sequence[Shortage]) -> tuple[Cover, ...]:
    """Cover shortages, the oldest first, as far as the layers reach; costs by the shop's method."""
    left = list(layers)
    covers: list[Cover] = []
    for shortage in shortages:
        held = sum(layer.quantity for layer in left)
        if held == 0:
            break
        takes, _short = draw(method, left, min(held, shortage.quantity))
        covers += [Cover(shortage_id=shortage.move_id, take=take) for take in takes]
        left = left_after(left, takes)
    return tuple(covers)


def left_after(layers: Sequence[Layer], takes: Sequence[Take]) -> list[Layer]:
    """Give what is left of the layers once ``takes`` have gone; empty ones stay in the list."""
    gone = {take.move_id: take for take in takes}
    nothing = Take(move_id=0, quantity=0, cost_minor=0)
    return [
        replace(
            layer,
            quantity=layer.quantity - gone.get(layer.move_id, nothing).quantity,
            cost_minor=layer.cost_minor - gone.get(layer.move_id, nothing).cost_minor,
        )
        for layer in layers
    ]


@dataclass(frozen=True, kw_only=True, slots=True)
class Placed:
    """One row of a draw: from which layer (None: the shelf held no more) and which container."""

    move_id: int | None
    container_id: int | None
    quantity: int
    cost_minor: int


def place(takes: Sequence[Take], short: int, sources: Sequence[Source]) -> tuple[Placed, ...]:
    """Cut takes and containers into common pieces.

    ``sources`` are in the order they are poured from; what they do not reach comes from the last of
    them. The pennies of a take all leave with its pieces.
    """
    total = sum(take.quantity for take in takes) + short
    pour = _reaching(sources, total)
    placed: list[Placed] = []
    for take in takes:
        left, cost_left = take.quantity, take.cost_minor
        while left:
            container_id, part = _pour(pour, left)
            cost = share(cost_left, part, left)
            placed.append(
                Placed(move_id=take.move_id, container_id=container_id, quantity=part, cost_minor=cost)
            )
            left, cost_left = left - part, cost_left - cost
    while short:
        container_id, part = _pour(pour, short)
        placed.append(Placed(move_id=None, container_id=container_id, quantity=part, cost_minor=0))
        short -= part
    return tuple(placed)


def _reaching(sources: Sequence[Source], total: int) -> list[Source]:
    """Sources that reach exactly as far as ``total``."""
    reach: list[Source] = []
    for container_id, held in sources:
        part = min(held, total)
        if part > 0:
            reach.append((container_id, part))
            total -= part
    if total > 0:
        last = sources[-1][0] if sources else None
        reach.append((last, total))
    return reach


def _pour(sources: list[Source], most: int) -> Source:
    """Take from the first source what it has, at most ``most``; an emptied one is dropped."""
    container_id, held = sources[0]
    part = min(held, most)
    if part == held:
        del sources[0]
    else:
        sources[0] = (container_id, held - part)
    return container_id, part


@dataclass(frozen=True, kw_only=True, slots=True)
class Pourable:
    """A container that goods could come out of, with what it should hold."""

    container_id: int
    held: int
    received_on: date
    opened_on: date | None = None
    best_before: date | None = None
    quarantined: bool = False

    def expired(self, today: date) -> bool:
        """Say whether its best-before day has passed; that day itself is still good."""
        return self.best_before is not None and self.best_before < today


def pouring_order(containers: Sequence[Pourable], today: date) -> tuple[Pourable, ...]:
    """Suggest the order to pour from: first expiring, then what is open, then what came first.

    Quarantined containers are left out; expired ones come last and are for the person to decide.
    """
    fit = [each for each in containers if each.held > 0 and not each.quarantined]
    return tuple(sorted(fit, key=lambda each: (each.expired(today), *_turn(each))))


def _turn(each: Pourable) -> tuple[date, bool, date, int]:
    return (each.best_before or date.max, each.opened_on is None, each.received_on, each.container_id)


class FreightBy(StrEnum):
    """How freight is shared among the lines of a delivery."""

    VALUE = N_("by value")
    VOLUME = N_("by volume")


def share_freight(
    freight_minor: int, by: FreightBy, costs_minor: Sequence[int], volumes_ul: Sequence[int | None]
) -> tuple[int, ...]:
    """Give each line its share of the freight; every penny goes somewhere.

    By volume only fluids bear it: a part has no volume (None). Refused when nothing could bear it.
    """
    if by is FreightBy.VALUE:
        return share_out(freight_minor, costs_minor)
    weights = [volume or 0 for volume in volumes_ul]
    if freight_minor and not any(weights):
        sentence = _("Freight by volume needs at least one fluid in the delivery; share it by value instead.")
        raise RuleBroken(sentence, "freight_by")
    return share_out(freight_minor, weights)


def found_cost(quantity: int, newest: Layer | None) -> int:
    """Give the cost at which goods found in a count come in: the newest delivery's, else nothing.

    ``newest`` holds that delivery as it came: its whole quantity and cost.
    """
    return share(newest.cost_minor, quantity, newest.quantity) if newest and newest.quantity else 0
