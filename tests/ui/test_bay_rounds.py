"""The bay's rounds of a repeated drain and fill, fluid added after them, and every target of every step."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QAbstractButton, QLineEdit

from shopdesk.domain.methods import ServiceMethod
from shopdesk.services.bay import ChangeRecord
from shopdesk.services.instruments import InstrumentKind, SaveInstrument
from shopdesk.ui.screens.bay.screen import BayScreen
from shopdesk.ui.theme.look import Look
from tests.ui.bay_hands import answer, go_to, press, say_it_was_done, values
from tests.ui.shop_window import ShopInWindow
from tests.ui.work_shop import work_in_window


@pytest.fixture
def shop(look: Look, sqlite_template: Path, tmp_path: Path) -> Iterator[ShopInWindow]:
    with work_in_window(look, sqlite_template, tmp_path / "shop.db") as found:
        yield found


@pytest.fixture
def page(shop: ShopInWindow) -> BayScreen:
    record = shop.rooms.bay.record(2)
    shop.rooms.bay.change(
        ChangeRecord(
            actor=shop.work.actor, record_id=2, version=record.version, item_id=record.item_id,
            service_method=ServiceMethod.REPEATED, done_on=record.done_on,
        )
    )  # fmt: skip
    screen = shop.go("bay", "2")
    assert isinstance(screen, BayScreen)
    return screen


def keep(shop: ShopInWindow, page: BayScreen, *texts: str) -> None:
    """Type along the lines of a step and say that it is done; steps before it are recorded too."""
    for text in texts:
        shop.type(text)
        if text is not texts[-1]:
            shop.key("Return")
    shop.key("Ctrl+Return")
    if page.working.why.isVisible():
        say_it_was_done(shop, page)


def drain_and_fill_twice(shop: ShopInWindow, page: BayScreen) -> None:
    go_to(shop, page, "Drained")
    keep(shop, page, "3 L")
    go_to(shop, page, "Filled")
    keep(shop, page, "3 L", "", "0 L")
    go_to(shop, page, "Filled")
    press(shop, page, "Drain and fill once more")
    assert page.title_line.text() == "Drain and fill, round 2"
    keep(shop, page, "3 L", "", "3.2 L", "", "0 L")


def test_that_fluid_added_after_the_rounds_is_a_filling_of_its_own(
    shop: ShopInWindow, page: BayScreen
) -> None:
    drain_and_fill_twice(shop, page)
    go_to(shop, page, "Open the level plug")
    answer(shop, page, "Flow at opening", "None")
    keep(shop, page, "100")
    assert page.title_line.text() == "Close, add fluid"
    keep(shop, page, "0.5 L", "", "0 L")
    go_to(shop, page, "Open the level plug again, 2")
    answer(shop, page, "Flow at opening, round 2", "Stream")
    keep(shop, page, "105")
    assert page.title_line.text() == "Close the level plug"
    answer(shop, page, "Flow at closing, round 2", "Drip")
    keep(shop, page, "107", "0.4 L")
    kept = values(shop)
    assert {name: kept.get(name) for name in ("put_in:1", "put_in:2", "put_in:3", "ran_out:2")} == {
        "put_in:1": 3_000_000,
        "put_in:2": 3_200_000,
        "put_in:3": 500_000,
        "ran_out:2": 400_000,
    }
    assert "drained:3" not in kept
    # Computed: old 4/7, then 3.8/7; 0.5 L mixed into 7.4 L, of which 0.4 L ran out (all of it at 15 °C).
    share = shop.rooms.bay.record(2).outcome.fresh.share
    assert share == pytest.approx(1 - 4 / 7 * 3.8 / 7 * (1 - 0.5 / 7.4), abs=3e-3)


def test_that_a_round_whose_old_fluid_was_not_measured_stays_a_round(
    shop: ShopInWindow, page: BayScreen
) -> None:
    go_to(shop, page, "Filled")
    keep(shop, page, "3 L")
    go_to(shop, page, "Filled")
    press(shop, page, "Drain and fill once more")
    keep(shop, page, "", "", "3.2 L")
    step = go_to(shop, page, "Drain and fill, round 2")
    assert (step.texts()["drained:2"], step.texts()["put_in:2"]) == ("", "3.2 L")


def test_that_enter_goes_down_the_step_and_stops_at_a_question_without_an_answer(
    shop: ShopInWindow, page: BayScreen
) -> None:
    step = go_to(shop, page, "Close the level plug")
    shop.type("107")
    shop.key("Return")
    focused = shop._focused()
    assert focused.accessibleName() == "Flow at closing: None"
    assert step.texts()["flow_at_closing:1"] == ""
    shop.key("Return")
    assert isinstance(shop._focused(), QLineEdit)
    assert shop._focused().accessibleName().startswith("Ran out at level check")
    assert step.texts()["flow_at_closing:1"] == ""


def test_that_one_of_several_tools_is_chosen_once_and_stays(shop: ShopInWindow, page: BayScreen) -> None:
    add = SaveInstrument(
        actor=shop.work.actor, kind=InstrumentKind.PAN, name="Drain pan 3", tolerance="20 mL"
    )
    pan = shop.rooms.instruments.save(add)
    page.refresh()
    shop.settle()
    go_to(shop, page, "Drained")
    shop.ask.answers = [str(pan.id)]
    press(shop, page, "What came out, read in: Not chosen")
    shop.type("3 L")
    keep(shop, page)
    entry = next(each.entry for each in shop.rooms.bay.record(2).entries if each.entry.field == "drained")
    assert (entry.instrument, entry.half_width) == ("Drain pan 3", 20_000)
    go_to(shop, page, "Drained")
    names = [b.accessibleName() for b in page.findChildren(QAbstractButton) if b.isVisible()]
    assert "What came out, read in: Drain pan 3" in names


def test_that_every_target_of_every_step_is_large_enough_for_gloves(
    shop: ShopInWindow, page: BayScreen
) -> None:
    met: list[str] = []
    for _step in range(24):
        met.append(page.title_line.text())
        targets = [t for kind in (QAbstractButton, QLineEdit) for t in page.findChildren(kind)]
        small = {
            target.accessibleName(): (target.width(), target.height())
            for target in targets
            if target.isVisible() and (target.height() < 56 or target.width() < 56)
        }
        assert not small, met[-1]
        if met[-1] == "What comes of it":
            break
        shop.key("Alt+Right")
    assert met[-1] == "What comes of it"
    assert len(set(met)) >= 15
    shop.go("bay", "")
    assert page.choosing.orders.rowHeight(0) >= 64
