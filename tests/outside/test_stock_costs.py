"""Cost of what was sold and of what is left, against published examples.

Sources. OpenStax, Principles of Financial Accounting, chapter 10, perpetual FIFO and moving average
(module m67891; goods available from m67889). Small vectors: the cogs page of the FinCal package,
rdrr.io/cran/FinCal/man/cogs.html. Three-decimal moving average: justaaa.com/accounting/965119.
Periodic FIFO: smartsolve.ai. Published sums are in whole currency; here all is in hundredths.
"""

from dataclasses import replace

import pytest

from shopdesk.domain.stock import CostMethod, Layer, draw

Line = tuple[str, int, int]
"""buy or sell, pieces, price of one piece in whole currency"""

OPENSTAX: list[Line] = [
    ("buy", 150, 21),
    ("sell", 120, 0),
    ("buy", 225, 27),
    ("sell", 180, 0),
    ("buy", 210, 33),
]
FINCAL: list[Line] = [("buy", 2, 2), ("buy", 3, 3), ("buy", 5, 5), ("sell", 7, 0)]
THREE_DECIMALS: list[Line] = [
    ("buy", 150, 5),
    ("buy", 350, 6),
    ("sell", 420, 0),
    ("buy", 240, 7),
    ("sell", 50, 0),
]
FOUR_LOTS: list[Line] = [
    ("buy", 11, 100),
    ("buy", 46, 103),
    ("buy", 51, 104),
    ("buy", 18, 105),
    ("sell", 104, 0),
]


def sold_and_left(method: CostMethod, lines: list[Line]) -> tuple[int, int]:
    """Cost of what was sold and of what is left, in hundredths."""
    layers: dict[int, Layer] = {}
    sold = 0
    for number, (what, pieces, price) in enumerate(lines):
        if what == "buy":
            layers[number] = Layer(move_id=number, quantity=pieces, cost_minor=pieces * price * 100)
            continue
        takes, short = draw(method, tuple(layers.values()), pieces)
        assert short == 0
        for take in takes:
            layer = layers[take.move_id]
            layers[take.move_id] = replace(
                layer,
                quantity=layer.quantity - take.quantity,
                cost_minor=layer.cost_minor - take.cost_minor,
            )
            sold += take.cost_minor
    return sold, sum(layer.cost_minor for layer in layers.values())


def test_that_perpetual_fifo_gives_7200_sold_and_8955_left() -> None:
    assert sold_and_left(CostMethod.FIFO, OPENSTAX) == (720_000, 895_500)


def test_that_the_moving_average_gives_7253_sold_and_8902_left() -> None:
    sold, left = sold_and_left(CostMethod.AVERAGE, OPENSTAX)
    assert (round(sold / 100), round(left / 100)) == (7_253, 8_902)
    # Unrounded, computed: 7252.941176 and 8902.058824; the goods available stay whole.
    assert (sold, left) == (725_294, 890_206)
    assert sold + left == 1_615_500


@pytest.mark.parametrize(
    ("method", "sold", "left"), [(CostMethod.FIFO, 2_300, 1_500), (CostMethod.AVERAGE, 2_660, 1_140)]
)
def test_that_the_small_vectors_are_met(method: CostMethod, sold: int, left: int) -> None:
    assert sold_and_left(method, FINCAL) == (sold, left)


def test_that_the_example_with_three_decimals_is_met_to_the_whole() -> None:
    assert sold_and_left(CostMethod.FIFO, THREE_DECIMALS) == (267_000, 186_000)
    sold, left = sold_and_left(CostMethod.AVERAGE, THREE_DECIMALS)
    # The page rounds to whole sums: 2,728 and 1,802; unrounded, computed: 2727.75 and 1802.25.
    assert (sold, left) == (272_775, 180_225)


def test_that_four_lots_by_fifo_give_10726_sold_and_2306_left() -> None:
    assert sold_and_left(CostMethod.FIFO, FOUR_LOTS) == (1_072_600, 230_600)
    # The page's average rounds the unit cost wrongly; computed from 13,032/126: 10,756.57.
    assert sold_and_left(CostMethod.AVERAGE, FOUR_LOTS)[0] == 1_075_657
