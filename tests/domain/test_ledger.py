"""The ledger beyond a draw: shortages, counts and containers lose neither a drop nor a penny."""

import random
from dataclasses import dataclass, field
from datetime import date

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.ledger import (
    Cover,
    FreightBy,
    Placed,
    Pourable,
    Shortage,
    found_cost,
    left_after,
    place,
    pouring_order,
    settle,
    share_freight,
)
from shopdesk.domain.stock import CostMethod, Layer, Take, draw

TODAY = date(2026, 11, 25)


def test_that_the_next_layer_covers_a_shortage_at_its_own_cost() -> None:
    layers = (Layer(move_id=7, quantity=10, cost_minor=1_005),)
    assert settle(CostMethod.FIFO, layers, (Shortage(move_id=3, quantity=4),)) == (
        Cover(shortage_id=3, take=Take(move_id=7, quantity=4, cost_minor=402)),
    )


def test_that_the_oldest_shortage_is_covered_first_and_the_rest_waits() -> None:
    layers = (Layer(move_id=7, quantity=5, cost_minor=500),)
    shortages = (Shortage(move_id=3, quantity=4), Shortage(move_id=4, quantity=9))
    covers = settle(CostMethod.AVERAGE, layers, shortages)
    assert [(cover.shortage_id, cover.take.quantity) for cover in covers] == [(3, 4), (4, 1)]
    assert sum(cover.take.cost_minor for cover in covers) == 500


@pytest.mark.parametrize("method", CostMethod)
def test_that_without_layers_nothing_is_covered(method: CostMethod) -> None:
    empty = (Layer(move_id=1, quantity=0, cost_minor=0),)
    assert settle(method, empty, (Shortage(move_id=3, quantity=4),)) == ()
    assert settle(method, empty, ()) == ()


def test_that_layers_and_containers_are_cut_into_the_same_pieces() -> None:
    takes = (Take(move_id=1, quantity=3, cost_minor=100), Take(move_id=2, quantity=4, cost_minor=80))
    assert place(takes, 1, ((9, 2), (8, 4))) == (
        Placed(move_id=1, container_id=9, quantity=2, cost_minor=67),
        Placed(move_id=1, container_id=8, quantity=1, cost_minor=33),
        Placed(move_id=2, container_id=8, quantity=3, cost_minor=60),
        Placed(move_id=2, container_id=8, quantity=1, cost_minor=20),
        Placed(move_id=None, container_id=8, quantity=1, cost_minor=0),
    )


def test_that_a_draw_without_a_container_names_none() -> None:
    (only,) = place((Take(move_id=1, quantity=3, cost_minor=5),), 0, ())
    assert (only.container_id, only.quantity, only.cost_minor) == (None, 3, 5)


def test_that_what_expires_first_is_poured_first_and_quarantine_is_left_alone() -> None:
    shelf = (
        Pourable(container_id=1, held=5, received_on=date(2026, 1, 1)),
        Pourable(container_id=2, held=5, received_on=date(2026, 2, 1), best_before=date(2027, 1, 1)),
        Pourable(container_id=3, held=5, received_on=date(2026, 3, 1), best_before=TODAY),
        Pourable(container_id=4, held=5, received_on=date(2025, 3, 1), best_before=date(2026, 11, 24)),
        Pourable(container_id=5, held=5, received_on=date(2025, 3, 1), quarantined=True),
        Pourable(container_id=6, held=0, received_on=date(2025, 3, 1)),
        Pourable(container_id=7, held=5, received_on=date(2026, 5, 1), opened_on=date(2026, 11, 1)),
    )
    assert [each.container_id for each in pouring_order(shelf, TODAY)] == [3, 2, 7, 1, 4]


def test_that_freight_goes_by_value_or_by_volume_to_the_last_penny() -> None:
    assert share_freight(1_000, FreightBy.VALUE, (30_000, 10_000, 0), (1, 9, None)) == (750, 250, 0)
    assert share_freight(1_000, FreightBy.VOLUME, (30_000, 10_000, 0), (1, 2, None)) == (333, 667, 0)
    assert sum(share_freight(100, FreightBy.VALUE, (1, 1, 1), (None,) * 3)) == 100
    with pytest.raises(RuleBroken, match="by volume"):
        share_freight(1, FreightBy.VOLUME, (5,), (None,))


def test_that_found_goods_come_in_at_the_newest_cost_or_at_none() -> None:
    assert found_cost(3, Layer(move_id=1, quantity=4, cost_minor=10)) == 8
    assert found_cost(3, None) == 0


@dataclass
class Book:
    """An item's ledger kept by the rules, and beside it plain sums that know nothing of layers."""

    method: CostMethod
    layers: list[Layer] = field(default_factory=list)
    shortages: list[Shortage] = field(default_factory=list)
    newest: Layer | None = None
    moves: int = 0
    held: int = 0
    cost_in: int = 0
    cost_out: int = 0

    def number(self) -> int:
        self.moves += 1
        return self.moves

    def come(self, quantity: int, cost_minor: int) -> None:
        layer = Layer(move_id=self.number(), quantity=quantity, cost_minor=cost_minor)
        self.layers.append(layer)
        self.held += quantity
        self.cost_in += cost_minor
        self._settle()

    def receive(self, quantity: int, cost_minor: int) -> None:
        self.newest = Layer(move_id=0, quantity=quantity, cost_minor=cost_minor)
        self.come(quantity, cost_minor)

    def use(self, quantity: int) -> None:
        takes, short = draw(self.method, self.layers, quantity)
        self._leave(takes)
        self.held -= quantity
        if short:
            self.shortages.append(Shortage(move_id=self.number(), quantity=short))

    def count(self, counted: int) -> None:
        if counted > self.held:
            self.come(counted - self.held, found_cost(counted - self.held, self.newest))
        elif counted < self.held:
            self.use(self.held - counted)

    def _settle(self) -> None:
        covers = settle(self.method, self.layers, self.shortages)
        for cover in covers:
            self._leave((cover.take,))
            self.shortages = [
                Shortage(move_id=each.move_id, quantity=each.quantity - cover.take.quantity)
                if each.move_id == cover.shortage_id
                else each
                for each in self.shortages
            ]
        self.shortages = [each for each in self.shortages if each.quantity]

    def _leave(self, takes: tuple[Take, ...]) -> None:
        self.layers = [each for each in left_after(self.layers, takes) if each.quantity or each.cost_minor]
        self.cost_out += sum(take.cost_minor for take in takes)

    def check(self) -> None:
        in_layers = sum(layer.quantity for layer in self.layers)
        short = sum(each.quantity for each in self.shortages)
        assert self.held == in_layers - short
        assert not (in_layers and short)
        assert self.cost_in == self.cost_out + sum(layer.cost_minor for layer in self.layers)
        assert 0 <= self.cost_out <= self.cost_in
        if in_layers == 0:
            assert self.cost_out == self.cost_in


@pytest.mark.parametrize("method", CostMethod)
def test_that_ten_thousand_sequences_with_shortages_and_counts_lose_no_penny(method: CostMethod) -> None:
    source = random.Random(20_2611)
    shorts = 0
    for _ in range(10_000):
        book = Book(method)
        for _ in range(source.randint(3, 12)):
            kind = source.random()
            if kind < 0.35:
                book.receive(source.randint(1, 2_000_000), source.randint(0, 30_000))
            elif kind < 0.85:
                book.use(source.randint(1, 1_500_000))
            else:
                book.count(source.randint(0, 2_000_000))
            shorts += bool(book.shortages)
            book.check()
    assert shorts > 5_000
