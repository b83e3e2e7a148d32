"""The bay's warm-up: readings typed, tapped and from a log; the large word; openings repeated."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from shopdesk.ui.screens.bay.screen import BayScreen
from shopdesk.ui.screens.bay.step_page import StepPage
from shopdesk.ui.screens.bay.warm_panel import WarmPanel
from shopdesk.ui.theme.look import Look
from tests.ui.bay_hands import answer, go_to, press, say_it_was_done, values
from tests.ui.shop_window import ShopInWindow, StandingClock, assert_tab_walks
from tests.ui.work_shop import work_in_window


@pytest.fixture
def clock() -> StandingClock:
    return StandingClock()


@pytest.fixture
def shop(look: Look, sqlite_template: Path, tmp_path: Path, clock: StandingClock) -> Iterator[ShopInWindow]:
    with work_in_window(look, sqlite_template, tmp_path / "shop.db", clock=clock) as found:
        yield found


@pytest.fixture
def page(shop: ShopInWindow, clock: StandingClock) -> BayScreen:
    screen = shop.go("bay", "2")
    assert isinstance(screen, BayScreen)
    screen.clock = clock.now  # type: ignore[method-assign]
    return screen


def panel(page: BayScreen) -> WarmPanel:
    assert isinstance(page._page, StepPage)
    assert page._page.panel is not None
    return page._page.panel


def warm(shop: ShopInWindow, clock: StandingClock, *degrees: str) -> None:
    """Type temperatures a minute apart."""
    for text in degrees:
        shop.type(text)
        shop.key("Return")
        clock.forward(seconds=60)
    clock.forward(seconds=-60)


def read_degrees(shop: ShopInWindow) -> list[int]:
    from shopdesk.domain import units

    return [round(units.from_mc(each.mc, "degf")) for each in shop.rooms.warmups.view(2).readings]


def test_that_it_begins_by_asking_for_a_reading(shop: ShopInWindow, page: BayScreen) -> None:
    go_to(shop, page, "Warm up")
    found = panel(page)
    assert found.sign.word == "Take a reading"
    assert found.field.line.hasFocus()
    assert not any(button.isEnabled() for button in found.taps)
    assert found.worth.text() == "1 °F is worth about 2.9 mL on this unit"


def test_that_typed_readings_give_the_word_and_the_time_left(
    shop: ShopInWindow, page: BayScreen, clock: StandingClock
) -> None:
    go_to(shop, page, "Warm up")
    warm(shop, clock, "78", "82", "85", "88")
    found = panel(page)
    assert found.sign.word == "Wait"
    assert found.sign.left == "Open in 2:20 min, then 6 min to close"
    assert found.rests_on.text() == "Last reading 88 °F at 10:03 AM."
    assert len(found.band.picture.dots) == 4
    assert found.field.text() == ""


def test_that_the_time_counts_down_only_while_the_page_is_in_sight(
    shop: ShopInWindow, page: BayScreen, clock: StandingClock
) -> None:
    go_to(shop, page, "Warm up")
    warm(shop, clock, "78", "82", "85", "88")
    found = panel(page)
    assert found.is_ticking
    clock.forward(seconds=30)
    found.tick()
    assert found.sign.left.startswith("Open in 1:50 min")
    shop.go("work order", "2")
    assert not found.is_ticking


def test_that_each_tap_counts_however_quick(
    shop: ShopInWindow, page: BayScreen, clock: StandingClock
) -> None:
    go_to(shop, page, "Warm up")
    warm(shop, clock, "88")
    found = panel(page)
    for button in (found.taps[1], found.taps[1], found.taps[2]):
        button.click()
    shop.settle()
    assert read_degrees(shop)[-1] == 92
    shop.type("+5")
    shop.key("Return")
    assert read_degrees(shop)[-1] == 97
    assert found.sign.word == "Open now"


def test_that_a_wrong_temperature_stays_in_the_field_with_a_sentence(
    shop: ShopInWindow, page: BayScreen
) -> None:
    go_to(shop, page, "Warm up")
    shop.type("3 qt")
    shop.key("Return")
    assert panel(page).field.text() == "3 qt"
    assert "temperature" in panel(page).field.error
    assert read_degrees(shop) == []


def test_that_it_calls_once_when_the_window_opens_and_can_be_silenced(
    shop: ShopInWindow, page: BayScreen, clock: StandingClock
) -> None:
    rung: list[str] = []
    page._pages.sound.ring = lambda: rung.append(panel(page).sign.word)
    go_to(shop, page, "Warm up")
    warm(shop, clock, "90")
    assert rung == []
    shop.type("96")
    shop.key("Return")
    panel(page).tick()
    assert rung == ["Open now"]
    press(shop, page, "Sound is on")
    shop.type("120")
    shop.key("Return")
    assert panel(page).sign.word == "Too hot: let it cool"
    assert rung == ["Open now"]


def test_that_a_reading_can_be_taken_back(shop: ShopInWindow, page: BayScreen, clock: StandingClock) -> None:
    go_to(shop, page, "Warm up")
    warm(shop, clock, "88", "180")
    press(shop, page, "Take back the last")
    assert read_degrees(shop) == [88]


def test_that_no_forecast_is_told_where_the_temperature_stands_still(
    shop: ShopInWindow, page: BayScreen, clock: StandingClock
) -> None:
    go_to(shop, page, "Warm up")
    warm(shop, clock, "88", "88", "88")
    assert panel(page).sign.left == ""
    assert "No forecast: the temperature stands still." in panel(page).sign.accessibleDescription()


def test_that_the_last_reading_stands_at_the_plug_while_it_is_new(
    shop: ShopInWindow, page: BayScreen, clock: StandingClock
) -> None:
    go_to(shop, page, "Warm up")
    warm(shop, clock, "94", "97")
    shop.key("Ctrl+Return")
    assert page.title_line.text() == "Open the level plug"
    step = page._page
    assert isinstance(step, StepPage)
    assert step.texts()["open_temperature:1"] == "97 °F"
    panel(page).taps[1].click()
    shop.settle()
    assert step.texts()["open_temperature:1"] == "98 °F"
    clock.forward(seconds=100)
    panel(page).tick()
    assert step.texts()["open_temperature:1"] == ""


def test_that_what_was_only_proposed_is_no_draft(
    shop: ShopInWindow, page: BayScreen, clock: StandingClock
) -> None:
    go_to(shop, page, "Warm up")
    warm(shop, clock, "97")
    go_to(shop, page, "Open the level plug")
    shop.key("Alt+Right")
    assert not page._unkept.touched


def test_that_what_is_seen_at_the_plug_changes_the_word(
    shop: ShopInWindow, page: BayScreen, clock: StandingClock
) -> None:
    go_to(shop, page, "Warm up")
    warm(shop, clock, "97")
    go_to(shop, page, "Open the level plug")
    assert panel(page).sign.word == "Open now"
    answer(shop, page, "Flow at opening", "Stream")
    assert panel(page).sign.word == "Let it run"
    answer(shop, page, "Flow at opening", "None")
    assert panel(page).sign.word == "Close now"


def test_that_no_flow_asks_for_fluid_and_opens_again_and_both_openings_stay(
    shop: ShopInWindow, page: BayScreen, clock: StandingClock
) -> None:
    go_to(shop, page, "Warm up")
    warm(shop, clock, "97")
    go_to(shop, page, "Open the level plug")
    answer(shop, page, "Flow at opening", "None")
    shop.key("Ctrl+Return")
    assert page.title_line.text() == "Close, add fluid"
    shop.type("0.4")
    for _field in range(2):
        shop.key("Return")
    shop.type("0")
    shop.key("Return")
    shop.key("Return")
    assert page.title_line.text() == "Warm up again, 2"
    warm(shop, clock, "99")
    shop.key("Ctrl+Return")
    assert page.title_line.text() == "Open the level plug again, 2"
    answer(shop, page, "Flow at opening, round 2", "Stream")
    shop.key("Ctrl+Return")
    assert page.title_line.text() == "Close the level plug"
    answer(shop, page, "Flow at closing, round 2", "Drip")
    shop.key("Ctrl+Return")
    say_it_was_done(shop, page)
    kept = values(shop)
    assert (kept["flow_at_opening:1"], kept["flow_at_opening:2"]) == ("none", "stream")
    assert kept["flow_at_closing:2"] == "drip"
    assert kept["put_in:2"] == 378_541


def test_that_a_closed_plug_can_be_opened_once_more(
    shop: ShopInWindow, page: BayScreen, clock: StandingClock
) -> None:
    go_to(shop, page, "Warm up")
    warm(shop, clock, "97")
    go_to(shop, page, "Close the level plug")
    answer(shop, page, "Flow at closing", "Drip")
    shop.key("Ctrl+Return")
    say_it_was_done(shop, page)
    go_to(shop, page, "Close the level plug")
    press(shop, page, "Open once more")
    assert page.title_line.text() == "Warm up again, 2"
    go_to(shop, page, "Open the level plug again, 2")
    shop.key("Alt+Right")
    assert page.title_line.text() == "Close the level plug"
    assert page.done.accessibleName() == "Done"


def test_that_opening_outside_the_window_asks_why(
    shop: ShopInWindow, page: BayScreen, clock: StandingClock
) -> None:
    go_to(shop, page, "Open the level plug")
    shop.type("120")
    answer(shop, page, "Flow at opening", "Stream")
    shop.key("Ctrl+Return")
    assert page.working.why.isVisible()
    assert "window" in page.working.why.sentences
    press(shop, page, "Seen too late")
    entry = next(e.entry for e in shop.rooms.bay.record(2).entries if e.entry.field == "open_temperature")
    assert (entry.value_int, entry.reason) == (48_889, "Seen too late")


def test_that_a_log_comes_in_with_its_columns_and_is_remembered(
    shop: ShopInWindow, page: BayScreen, tmp_path: Path
) -> None:
    file = tmp_path / "log.csv"
    rows = [f"{second};{60 + second / 60:.1f};{26 + second / 60:.2f}".replace(".", ",")
            for second in range(0, 600, 10)]  # fmt: skip
    file.write_text("Time (s);Engine coolant (°C);Transmission fluid (°C)\n" + "\n".join(rows))
    go_to(shop, page, "Warm up")
    shop.ask.answers = [str(file), str(file)]
    panel(page).choose_log()
    shop.settle()
    log = panel(page).log
    assert log.isVisible()
    assert log.rows.texts()[:3] == ["Time (s)", "Engine coolant (°C)", "Transmission fluid (°C)"]
    assert log.form.texts()["temperature_column"] == "2"
    assert log.keep.hasFocus()
    log.form.field("tool").setFocus()
    shop.type("Tool 4")
    shop.settle()
    log.bring()
    shop.settle()
    assert log.isHidden()
    assert shop.window.notices.words == "60 rows read, taken to end just now."
    assert panel(page).sign.word == "Open now"
    assert panel(page).field.line.hasFocus()
    assert shop.rooms.warmup_logs.tools() == ("Tool 4",)
    panel(page).choose_log()
    shop.settle()
    assert log.form.texts()["tool"] == "Tool 4"


def test_that_a_log_that_cannot_be_read_names_line_and_column_and_keeps_nothing(
    shop: ShopInWindow, page: BayScreen, tmp_path: Path
) -> None:
    file = tmp_path / "log.csv"
    good = "\n".join(f"{second},{26 + second}" for second in range(60))
    file.write_text(f"Time (s),Transmission fluid (C)\n{good}\n60,oops\n")
    go_to(shop, page, "Warm up")
    shop.ask.answers = [str(file)]
    panel(page).choose_log()
    shop.settle()
    panel(page).log.bring()
    shop.settle()
    assert "62" in panel(page).log.trouble.text()
    assert "oops" in panel(page).log.trouble.text()
    assert read_degrees(shop) == []
    panel(page).log.put_aside()
    assert panel(page).field.isVisible()


def test_that_a_log_without_its_degrees_asks_for_them(
    shop: ShopInWindow, page: BayScreen, tmp_path: Path
) -> None:
    file = tmp_path / "log.csv"
    file.write_text(
        "Time,Fluid temp\n" + "\n".join(f"{second},{80 + second / 10:.1f}" for second in range(90))
    )
    go_to(shop, page, "Warm up")
    shop.ask.answers = [str(file)]
    panel(page).choose_log()
    shop.settle()
    log = panel(page).log
    log.bring()
    assert log.form.field("unit").error == "Say whether the temperatures are °C or °F."
    log.form.fill({"unit": "degf"})
    log.bring()
    shop.settle()
    assert read_degrees(shop)[0] == 80


def test_that_tab_reaches_everything_of_the_warm_up_once(
    shop: ShopInWindow, page: BayScreen, clock: StandingClock
) -> None:
    go_to(shop, page, "Warm up")
    warm(shop, clock, "88", "90")
    assert_tab_walks(shop, page)


def test_that_every_target_of_the_warm_up_is_large_enough_for_gloves(
    shop: ShopInWindow, page: BayScreen, clock: StandingClock
) -> None:
    from PySide6.QtWidgets import QPushButton

    go_to(shop, page, "Warm up")
    warm(shop, clock, "88")
    targets = [b for b in page.findChildren(QPushButton) if b.isVisible()]
    assert min(min(b.width(), b.height()) for b in targets) >= 56


def test_that_interrupted_work_goes_on_where_it_was(
    look: Look, sqlite_template: Path, tmp_path: Path, clock: StandingClock
) -> None:
    file = tmp_path / "shop.db"
    with work_in_window(look, sqlite_template, file, clock=clock) as shop:
        page = shop.go("bay", "2")
        assert isinstance(page, BayScreen)
        shop.key("Ctrl+Return")
        go_to(shop, page, "Drained")
        shop.type("3.1")
        shop.key("Ctrl+Return")
        assert page.title_line.text() == "Look at the old fluid"
        go_to(shop, page, "Drain plug torqued")
        shop.key("Ctrl+Return")
    from tests.ui.shop_window import shop_in_window
    from tests.ui.work_shop import PAGES

    with shop_in_window(look, file, real=PAGES, clock=clock) as again:
        again.show()
        page = again.go("bay", "2")
        assert isinstance(page, BayScreen)
        assert page.title_line.text() == "Filled"
        assert QApplication.focusWidget() is not None
