"""Stock layers: nothing is created or lost, neither quantity nor a penny."""

import random
from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.stock import (
    CostMethod,
    Layer,
    MoveKind,
    Take,
    draw,
    draw_average,
    draw_fifo,
    share,
)

THREE = (
    Layer(move_id=1, quantity=3, cost_minor=100),
    Layer(move_id=2, quantity=2, cost_minor=75),
    Layer(move_id=3, quantity=4, cost_minor=1),
)


def after(layers: Sequence[Layer], takes: Sequence[Take]) -> tuple[Layer, ...]:
    """What is left once ``takes`` have gone; layers with neither quantity nor cost are dropped."""
    gone = {take.move_id: take for take in takes}
    nothing = Take(move_id=0, quantity=0, cost_minor=0)
    left = (
        replace(
            layer,
            quantity=layer.quantity - gone.get(layer.move_id, nothing).quantity,
            cost_minor=layer.cost_minor - gone.get(layer.move_id, nothing).cost_minor,
        )
        for layer in layers
    )
    return tuple(layer for layer in left if layer.quantity or layer.cost_minor)


def empties_as_one(layers: Sequence[Layer]) -> tuple[Layer, ...]:
    """The moving average leaves cost on emptied layers; as one layer they mean the same."""
    cost_minor = sum(layer.cost_minor for layer in layers if not layer.quantity)
    held = (layer for layer in layers if layer.quantity)
    return (Layer(move_id=-1, quantity=0, cost_minor=cost_minor), *held)


def test_that_the_oldest_layer_goes_first_and_its_pennies_go_with_it() -> None:
    takes, short = draw_fifo(THREE, 4)
    assert takes == (
        Take(move_id=1, quantity=3, cost_minor=100),
        Take(move_id=2, quantity=1, cost_minor=38),  # 37.5 rounded half up
    )
    assert short == 0
    assert after(THREE, takes) == (
        Layer(move_id=2, quantity=1, cost_minor=37),
        Layer(move_id=3, quantity=4, cost_minor=1),
    )


def test_that_three_single_draws_give_a_layers_cost_to_the_penny() -> None:
    layers: tuple[Layer, ...] = THREE[:1]
    costs = []
    for _ in range(3):
        takes, _short = draw_fifo(layers, 1)
        costs.append(takes[0].cost_minor)
        layers = after(layers, takes)
    assert costs == [33, 34, 33]
    assert layers == ()


def test_that_the_average_takes_old_quantities_at_the_average_cost() -> None:
    takes, short = draw_average(THREE, 4)
    assert [(take.move_id, take.quantity) for take in takes] == [(1, 3), (2, 1)]
    assert sum(take.cost_minor for take in takes) == share(176, 4, 9) == 78
    assert short == 0


def test_that_the_last_of_the_average_takes_every_penny_left() -> None:
    first = draw_average(THREE, 5)
    left = after(THREE, first.takes)
    assert sum(layer.quantity for layer in left) == 4
    last = draw_average(left, 4)
    assert sum(take.cost_minor for take in (*first.takes, *last.takes)) == 176
    assert sum(layer.cost_minor for layer in after(left, last.takes)) == 0


@pytest.mark.parametrize("method", CostMethod)
def test_that_drawing_more_than_there_is_takes_all_and_says_what_is_short(method: CostMethod) -> None:
    takes, short = draw(method, THREE, 12)
    assert short == 3
    assert sum(take.quantity for take in takes) == 9
    assert sum(take.cost_minor for take in takes) == 176
    assert draw(method, (), 5) == ((), 5)


@pytest.mark.parametrize("method", CostMethod)
@pytest.mark.parametrize("quantity", [0, -1])
def test_that_a_draw_of_nothing_or_less_is_a_mistake(method: CostMethod, quantity: int) -> None:
    with pytest.raises(ValueError, match="draw"):
        draw(method, THREE, quantity)


def test_that_a_layer_cannot_hold_less_than_nothing() -> None:
    with pytest.raises(ValueError, match="layer 1"):
        Layer(move_id=1, quantity=-1, cost_minor=0)


def test_that_shares_round_half_up_away_from_zero() -> None:
    assert [share(cost, 1, 2) for cost in (1, 3, -1, -3, 0)] == [1, 2, -1, -2, 0]
    assert share(999, 7, 7) == 999


class Book:
    """What came in and went out of one item, and what its layers say."""

    def __init__(self, method: CostMethod) -> None:
        self.method = method
        self.layers: tuple[Layer, ...] = ()
        self.quantity_in = self.cost_in = self.quantity_out = self.cost_out = 0

    def receive(self, move_id: int, quantity: int, cost_minor: int) -> None:
        self.layers += (Layer(move_id=move_id, quantity=quantity, cost_minor=cost_minor),)
        self.quantity_in += quantity
        self.cost_in += cost_minor

    def issue(self, quantity: int) -> None:
        held = sum(layer.quantity for layer in self.layers)
        takes, short = draw(self.method, self.layers, quantity)
        assert short == max(0, quantity - held)
        self.layers = empties_as_one(after(self.layers, takes))
        self.quantity_out += sum(take.quantity for take in takes)
        self.cost_out += sum(take.cost_minor for take in takes)

    def check(self) -> None:
        held = sum(layer.quantity for layer in self.layers)
        left_minor = sum(layer.cost_minor for layer in self.layers)
        assert self.quantity_in == self.quantity_out + held
        assert self.cost_in == self.cost_out + left_minor
        assert 0 <= self.cost_out <= self.cost_in
        if held == 0:
            assert left_minor == 0


operation = st.one_of(
    st.tuples(st.just("receive"), st.integers(1, 10**9), st.integers(0, 10**7)),
    st.tuples(st.just("issue"), st.integers(1, 10**9), st.just(0)),
)


@given(st.sampled_from(CostMethod), st.lists(operation, max_size=60))
def test_that_cost_in_is_cost_out_plus_cost_left(
    method: CostMethod, operations: list[tuple[str, int, int]]
) -> None:
    book = Book(method)
    for number, (kind, quantity, cost_minor) in enumerate(operations):
        if kind == "receive":
            book.receive(number, quantity, cost_minor)
        else:
            book.issue(quantity)
        book.check()


@pytest.mark.parametrize("method", CostMethod)
def test_that_ten_thousand_movements_lose_no_penny(method: CostMethod) -> None:
    source, book = random.Random(20_261), Book(method)
    for number in range(10_000):
        if source.random() < 0.3:
            book.receive(number, source.randint(1, 20_000_000), source.randint(0, 40_000))
        else:
            book.issue(source.randint(1, 10_000_000))
        book.check()
    assert book.cost_out > 0


def test_that_every_kind_of_movement_has_a_word_of_its_own() -> None:
    assert len({kind.value for kind in MoveKind}) == 12
