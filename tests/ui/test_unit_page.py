"""A unit over its services, and plans for new fluid: pictures, ages, the usual refill, loss, costs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from shopdesk.domain.level import Arrived
from shopdesk.domain.unit_history import Loss, Outlier, UsualRefill
from shopdesk.services.unit_history import UnitHistory
from shopdesk.ui.presenters import unit_words
from shopdesk.ui.screens.plan import PlanScreen
from shopdesk.ui.screens.unit import UnitScreen
from shopdesk.ui.screens.vehicle.screen import VehicleScreen
from shopdesk.ui.screens.work_order.screen import WorkOrderScreen
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.field import LabelledField
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window
from tests.ui.work_shop import work_in_window


@pytest.fixture
def shop(look: Look, sqlite_template: Path, tmp_path: Path) -> Iterator[ShopInWindow]:
    """The shop with its work pages, in sight: unit 1 has one finished service."""
    with work_in_window(look, sqlite_template, tmp_path / "shop.db") as found:
        yield found


def unit_page(shop: ShopInWindow, subject: str = "1") -> UnitScreen:
    screen = shop.go("unit", subject)
    assert isinstance(screen, UnitScreen)
    return screen


def two_services(shop: ShopInWindow) -> UnitHistory:
    """Give unit 1's history with another service 300 days earlier that came in high by 0.1 L ± 0.05 L."""
    history = shop.rooms.unit_histories.of(1)
    (last,) = history.services
    first = replace(
        last,
        done_on=last.done_on - timedelta(days=300),
        drained_ul=3_100_000,
        open_mc=None,
        appearance=0,
        arrived=Arrived.HIGH,
        deficit_ul=-100_000,
        two_u_ul=50_000,
    )
    return replace(history, services=(first, last))


def test_that_a_unit_with_one_service_shows_it_and_says_what_is_not_known(shop: ShopInWindow) -> None:
    page = unit_page(shop)
    assert page.title.startswith("6-speed automatic")
    assert len(page.table.rows) == 1
    assert [chart.told().split(",")[0] for chart in page.charts] == ["26 Sep 2026"] * 4
    assert page.loss.figure._value == "Cannot be said"
    assert "history" in page.age_run.note.text()
    assert page.age_run.figure._value.startswith("At most")
    assert "from 1 refill" in page.usual.note.text()
    for figure in (page.age_run, page.age_days, page.usual):
        assert figure.figure._came_from is not None
        assert figure.figure._came_from.formula
        assert figure.figure._came_from.rows
    assert not page.hint.isVisible()
    assert_tab_walks(shop, page)
    page.table.setFocus()
    shop.key("Return")
    assert shop.place() == ("verify", "1")


def test_that_a_unit_without_a_service_is_shown_as_unknown(shop: ShopInWindow) -> None:
    page = unit_page(shop, "3")
    assert page.usual.figure._value == "Not known yet"
    assert page.charts[0].told() == "Nothing of it is recorded yet."
    assert page.table.rows == []
    gone = shop.go("unit", "999")
    assert gone.main is None
    assert shop.window.notices.words == "That unit is not there any more."


def test_that_pictures_stand_by_day_and_walk_by_keyboard(shop: ShopInWindow) -> None:
    page = unit_page(shop)
    history, about = two_services(shop), shop.rooms.unit_histories.about(1)
    volumes, degrees, condition, low = unit_words.pictures(history, about, shop.work.figures)
    drained, put_in = volumes.courses
    assert [round(place[0], 2) for place in drained.places if place] == [0.08, 0.92]
    assert put_in.tone == "fluid"
    assert volumes.upward[0] == (0.0, "0 qt")
    assert degrees.courses[0].places[0] is None
    assert degrees.band is not None
    assert "not recorded" in degrees.told[0]
    assert condition.told[0].startswith("30 Nov 2025, Looks: 0 ")
    assert low.zero is not None
    assert 0 < low.zero < 1
    assert "came in high by 0.11 qt ± 0.05 qt" in low.told[0]
    spread = low.courses[0].spread[0]
    place = low.courses[0].places[0]
    assert spread is not None
    assert place is not None
    assert spread[0] < place[1] < spread[1]
    chart = page.charts[3]
    chart.set_picture(low)
    chart.setFocus()
    shop.key("Left")
    assert chart.told() == low.told[0]
    shop.key("Left")
    assert chart.accessibleDescription() == low.told[0]


def test_that_loss_and_an_unusual_refill_are_told_with_their_range(shop: ShopInWindow) -> None:
    history, about = two_services(shop), shop.rooms.unit_histories.about(1)
    history = replace(
        history,
        usual=UsualRefill(median_ul=3_000_000, mad_ul=20_000, least_ul=2_900_000, most_ul=3_100_000, n=9),
        hint=Outlier(away_ul=400_000, sentence="More than usual."),
        loss=Loss(
            per_1000_mi_ul=31_000, low_ul=12_000, high_ul=50_000, n=1, shown=True, sentence="It loses fluid."
        ),
    )
    figures = shop.work.figures
    loss = unit_words.loss(history, figures)
    assert (loss.words, loss.note) == ("31 mL per 1,000 mi", "12 mL to 50 mL. It loses fluid.")
    assert unit_words.usual(history, about, figures).words == "3.17 qt ± 0.02 qt"
    assert unit_words.unusual_refill(history.hint, figures) == "0.42 qt from the usual. More than usual."


def field(page: PlanScreen, name: str) -> LabelledField:
    return page.form.field(name)


def put(shop: ShopInWindow, page: PlanScreen, name: str, text: str) -> None:
    field(page, name).set_text("")
    field(page, name).setFocus()
    shop.type(text)


def test_that_a_plan_counts_drain_and_fills_against_a_full_exchange(shop: ShopInWindow) -> None:
    """4 of 8 qt a time: 50, 75, 87.5 %; an exchange of 8·ln 5 = 12.8755 qt reaches 80 %: computed."""
    page = shop.go("plan", "1")
    assert isinstance(page, PlanScreen)
    costs = {"fluid_price": "10", "waste": "0.5", "round": "60", "exchange": "90"}
    for name, text in {"total": "8", "refill": "4", **costs}.items():
        put(shop, page, name, text)
    assert page.sentence.text() == "3 drain and fills reach 80 %, $80.81 more than a full exchange."
    assert page.reaching.texts() == [
        "Flow-through exchange with full mixing: $225.19",
        "3 drain and fills: $306.00",
    ]
    assert page.steps.texts()[:2] == ["1 drain and fill: $102.00", "2 drain and fills: $204.00"]
    source = page.reaching.costs[1]._came_from
    assert source is not None
    assert dict(source.rows)["Times"] == "3"
    put(shop, page, "already", "85")
    assert page.sentence.text() == "80 % is new already: nothing need be done."
    assert len(page.steps.texts()) == 3
    put(shop, page, "already", "0")
    field(page, "exchange").setFocus()
    shop.key("Ctrl+A")
    shop.key("Delete")
    assert page.reaching.texts() == ["3 drain and fills: $306.00"]
    assert_tab_walks(shop, page)


@pytest.mark.parametrize(
    ("name", "text"),
    [("wanted", "100"), ("wanted", "lots"), ("refill", "9 qt"), ("total", ""), ("fluid_price", "ten")],
)
def test_that_what_no_plan_can_be_made_of_is_said_beside_its_field(
    shop: ShopInWindow, name: str, text: str
) -> None:
    page = shop.go("plan", "1")
    assert isinstance(page, PlanScreen)
    put(shop, page, "total", "8")
    put(shop, page, "refill", "4")
    put(shop, page, name, "1")
    put(shop, page, name, text)
    if not text:
        shop.type("1")
        shop.key("Backspace")
    assert field(page, name).error.endswith(".")
    assert not page.results.isVisible()


def test_that_the_work_order_leads_to_plan_and_history(shop: ShopInWindow) -> None:
    page = shop.go("work order", "2")
    assert isinstance(page, WorkOrderScreen)
    unit = str(shop.rooms.bay.record(page.service.record_id).unit_id)
    page.service.sure.plan.click()
    shop.settle()
    assert shop.place() == ("plan", unit)
    shop.go("work order", "2")
    page.service.sure.years.click()
    shop.settle()
    assert shop.place() == ("unit", unit)


def test_that_a_vehicles_history_leads_to_its_unit(look: Look, small_shop: Path) -> None:
    with shop_in_window(look, small_shop, real=("vehicle", "unit")) as shop:
        shop.show()
        page = shop.go("vehicle", "1")
        assert isinstance(page, VehicleScreen)
        page.history.over_years.click()
        shop.settle()
        assert shop.place() == ("unit", "1")
