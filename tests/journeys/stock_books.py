"""A shopkeeper's own books of a shelf, kept beside the program's and knowing nothing of it.

Plain lists and whole numbers: what came, what went, what it cost. The rules are the shop's own words:
oldest delivery's money first (or the average of all), first expiring container first, pennies never
lost, and what was used beyond the shelf is paid for by the next that comes in.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date


def half_up(numerator: int, denominator: int) -> int:
    """Round a quotient of whole numbers, halves up."""
    return (2 * numerator + denominator) // (2 * denominator)


@dataclass
class Box:
    """A container by its label."""

    label: str
    best_before: date
    came: int
    lot: str
    holds: int = 0


@dataclass
class Goods:
    """One item's books: money layers [quantity, cost], boxes, and what was used beyond the shelf."""

    average: bool
    layers: list[list[int]] = field(default_factory=list)
    boxes: dict[str, Box] = field(default_factory=dict)
    nowhere: int = 0
    short: int = 0
    paid: int = 0
    used_cost: int = 0
    other_cost: int = 0
    newest: tuple[int, int] = (0, 0)
    counted: list[tuple[int, int]] = field(default_factory=list)
    users: dict[str, set[int]] = field(default_factory=dict)

    @property
    def on_hand(self) -> int:
        return sum(box.holds for box in self.boxes.values()) + self.nowhere

    @property
    def left_cost(self) -> int:
        return sum(cost for _quantity, cost in self.layers)

    def receive(
        self, label: str, quantity: int, cost: int, *, lot: str = "", best_before: date = date.max
    ) -> None:
        self.boxes[label] = Box(label, best_before, len(self.boxes), lot, quantity)
        self.newest = (quantity, cost)
        self.paid += cost
        self._in(quantity, cost)

    def _in(self, quantity: int, cost: int) -> None:
        self.layers.append([quantity, cost])
        if self.short:
            covered = min(self.short, sum(held for held, _cost in self.layers))
            self.short -= covered
            self.used_cost += self._money(covered)

    def use(self, quantity: int, job: int) -> None:
        """A job takes this much; the boxes are poured in turn."""
        self.used_cost += self._take(quantity)
        turn = sorted(
            (box for box in self.boxes.values() if box.holds > 0), key=lambda box: (box.best_before, box.came)
        )
        last, left = None, quantity
        for box in turn:
            part = min(box.holds, left)
            if part:
                box.holds -= part
                left -= part
                last = box
                self.users.setdefault(box.lot, set()).add(job)
        if left and last is not None:
            last.holds -= left
        elif left:
            self.nowhere -= left

    def _take(self, quantity: int) -> int:
        held = sum(each for each, _cost in self.layers)
        self.short += max(0, quantity - held)
        return self._money(min(quantity, held))

    def _money(self, quantity: int) -> int:
        """Take money out of the layers for a quantity they do hold."""
        if quantity == 0:
            return 0
        if self.average:
            total, held = self.left_cost, sum(each for each, _cost in self.layers)
            cost = half_up(total * quantity, held)
            self.layers = [[held - quantity, total - cost]] if held > quantity else []
            return cost
        cost = 0
        while quantity:
            held, worth = self.layers[0]
            part = min(held, quantity)
            gone = half_up(worth * part, held)
            cost += gone
            quantity -= part
            self.layers[0] = [held - part, worth - gone]
            if held == part:
                del self.layers[0]
        return cost

    def count(self, label: str | None, found: int) -> None:
        """Set a box (or what stands in none) to what was found."""
        expected = self.boxes[label].holds if label is not None else self.nowhere
        self.counted.append((expected, found))
        if label is not None:
            self.boxes[label].holds = found
        else:
            self.nowhere = found
        if found > expected:
            quantity, cost = self.newest
            worth = half_up(cost * (found - expected), quantity)
            self.other_cost -= worth
            self._in(found - expected, worth)
        elif found < expected:
            self.other_cost += self._take(expected - found)
