"""A product's picture over time: places on the drawing, the marks, and the words for it."""

from datetime import date
from typing import Any

import pytest

from shopdesk.domain.stock import CostMethod
from shopdesk.services.shelf_reports import (
    CountPoint,
    LayerRow,
    LevelPoint,
    ProductHistory,
    StockValue,
    ValueRow,
)
from shopdesk.ui.presenters.history import layer_facts, picture
from shopdesk.ui.presenters.shelf import signed_stock
from tests.ui.presenters.shops import US_FIGURES


def history(**values: Any) -> ProductHistory:
    given: dict[str, Any] = {
        "item_id": 1,
        "name": "Halden ATF-6",
        "base": "ul",
        "order_at": 10_000_000,
        "fill_to": 40_000_000,
        "line": (
            LevelPoint(on_date=date(2026, 1, 1), level=40_000_000),
            LevelPoint(on_date=date(2026, 1, 6), level=20_000_000),
        ),
        "dots": (),
    }
    return ProductHistory(**given | values)


def test_that_the_line_stays_level_until_the_day_it_moved() -> None:
    found = picture(history(), date(2026, 1, 11), US_FIGURES)
    across = [step[0] for step in found.steps]
    up = [step[1] for step in found.steps]
    assert across == [0.0, 0.5, 0.5, 1.0]
    assert up[0] == up[1] > up[2] == up[3]
    assert up[2] == pytest.approx(up[0] / 2)
    assert (found.zero, found.fill_to) == (0.0, up[0])


def test_that_a_count_is_a_dot_with_its_doubt_and_a_level_below_nothing_is_drawn() -> None:
    dot = CountPoint(on_date=date(2026, 1, 11), counted=30_000_000, expected=0, two_u=1_000_000)
    line = (LevelPoint(on_date=date(2026, 1, 1), level=-5_000_000),)
    found = picture(history(line=line, dots=(dot,)), date(2026, 1, 11), US_FIGURES)
    assert found.zero > 0
    assert found.steps[0][1] == 0.0
    ((across, up, doubt),) = found.dots
    assert across == 1.0
    assert doubt == pytest.approx((up - found.zero) / 30)
    assert "counted on 1 day" in found.words


def test_that_many_deliveries_are_shown_as_five_and_the_sum_of_the_rest() -> None:
    layers = tuple(LayerRow(move_id=at, quantity=946_353, cost_minor=600 + at) for at in range(8))
    row = ValueRow(
        item_id=1,
        name="Halden ATF-6",
        base="ul",
        on_hand=8 * 946_353,
        short=0,
        in_minor=4828,
        used_minor=0,
        other_minor=0,
        left_minor=4828,
        layers=layers,
    )
    value = StockValue(method=CostMethod.FIFO, currency="USD", rows=(row,))
    facts = layer_facts(value, 1, US_FIGURES)
    assert [name for name, _words in facts] == ["Leaves next", *["Then"] * 4, "3 more deliveries"]
    assert facts[0][1] == "1.00 qt · $6.00"
    assert facts[-1][1] == "3.00 qt · $18.18"
    assert layer_facts(value, 2, US_FIGURES) == ()


def test_that_a_difference_that_shows_as_nothing_has_no_sign() -> None:
    assert signed_stock(US_FIGURES, "ul", 12) == "0.00 qt"
    assert signed_stock(US_FIGURES, "ul", -946_353) == "−1.00 qt"
    assert signed_stock(US_FIGURES, "milli_each", 2000) == "+2 pcs"
