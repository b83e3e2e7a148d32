"""A unit sheet typed in: what it asks for, what it refuses, and that looking at it changes nothing."""

from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from shopdesk.domain.level_rules import EngineState, Flow
from shopdesk.domain.methods import LevelMethod, UnitKind
from shopdesk.domain.sheet import Plug
from shopdesk.services.sheets import SheetView
from shopdesk.services.vehicles import AddUnit
from shopdesk.ui import drafts
from shopdesk.ui.presenters.sheets import sheet_command, sheet_texts
from shopdesk.ui.screens.setup.sheet import SheetScreen
from shopdesk.ui.theme.look import Look, LookChoice, Shade
from tests.ui.odd_texts import odd_text
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("sheet",)) as found:
        found.show()
        yield found


def page(shop: ShopInWindow, subject: str = "") -> SheetScreen:
    screen = shop.go("sheet", subject)
    assert isinstance(screen, SheetScreen)
    return screen


def choose(screen: SheetScreen, name: str, key: str) -> None:
    field = screen.form.field(name)
    field.set_text(key)
    field.edited.emit()


def put(screen: SheetScreen, **texts: str) -> None:
    for name, text in texts.items():
        screen.form.field(name).set_text(text)


def newest(shop: ShopInWindow, designation: str) -> SheetView:
    return next(sheet for sheet in shop.rooms.sheets.all() if sheet.designation == designation)


def test_that_a_sheet_is_typed_in_and_kept_whole(shop: ShopInWindow) -> None:
    screen = page(shop)
    shop.type("QX8-B")
    put(screen, specification="KX-8", service_fill="5 qt", total="9.1 L", level_repeatability="60 mL")
    put(screen, window_low="35 degC", window_high="45 degC", selector_dwell_s="5")
    put(screen, cautions="The tube is soft.\n\nLet it cool.", source="Invented manual, page 3")
    for name, text in (
        ("torque fill plug", "36 ft-lb"),
        ("tolerance fill plug", "3 ft-lb"),
        ("washer drain plug", "18 x 24 x 1.5 aluminum"),
        ("maker_normal/distance", "60,000"),
        ("maker_normal/months", "72"),
        ("shop_severe/none_needed", "yes"),
        ("flow_at_closing/pulse", "yes"),
    ):
        screen.form.field(name).set_text(text)
    shop.key("Ctrl+Return")
    view = newest(shop, "QX8-B")
    body, level = view.body, view.body.level
    assert shop.place() == ("sheet", str(view.sheet_id))
    assert (view.revision, view.kind, view.total_ul) == (1, UnitKind.AUTOMATIC, 9_100_000)
    assert (level.window_low_mc, level.window_high_mc) == (35_000, 45_000)
    assert (level.engine, level.selector_cycled, level.selector_dwell_s) == (EngineState.IDLING, True, 5)
    assert level.flow_at_closing == {Flow.DRIP, Flow.PULSE}
    torque = body.torque_of(Plug.FILL)
    assert torque is not None
    assert (torque.torque_mnm, torque.tolerance_mnm) == (48_809, 4_067)
    assert [(each.plug, each.text) for each in body.washers] == [(Plug.DRAIN, "18 x 24 x 1.5 aluminum")]
    assert body.maker_normal is not None
    assert (body.maker_normal.distance_tenths, body.maker_normal.months) == (600_000, 72)
    assert body.shop_severe is not None
    assert body.shop_severe.none_needed
    assert body.cautions == ("The tube is soft.", "Let it cool.")


def test_that_looking_at_a_sheet_and_saving_it_makes_no_revision(shop: ShopInWindow) -> None:
    before = newest(shop, "PX6-A")
    screen = page(shop, str(before.sheet_id))
    assert screen.form.field("total").text() == "7 L"
    shop.key("Ctrl+Return")
    assert newest(shop, "PX6-A") == before


def test_that_a_changed_value_makes_the_next_revision(shop: ShopInWindow) -> None:
    before = newest(shop, "PX6-A")
    screen = page(shop, str(before.sheet_id))
    assert screen.main is not None
    assert screen.main.words == "Save revision 2"
    assert not screen.form.field("designation").control.isEnabled()
    screen.form.field("torque level plug").set_text("20 ft-lb")
    shop.key("Ctrl+Return")
    after = newest(shop, "PX6-A")
    assert after.revision == 2
    assert after.service_fill_ul == before.service_fill_ul
    assert after.body.maker_normal == before.body.maker_normal
    assert screen.subtitle.startswith("Revision 2")


def test_that_fields_come_and_go_with_the_level_method(shop: ShopInWindow) -> None:
    screen = page(shop)
    put(screen, window_low="35 degC")
    choose(screen, "level_method", "measured refill")
    seen = {name for name in screen.form.texts() if screen.form.field(name).isVisible()}
    assert {"refill", "refill_tolerance"} <= seen
    assert not {"window_low", "engine", "flow_at_opening/stream", "torque level plug"} & seen
    command = sheet_command(screen.form.texts(), shop.work.actor, "u")
    assert (command.level_method, command.window_low) == (LevelMethod.MEASURED_REFILL, "")
    choose(screen, "level_method", "fill-hole edge")
    assert screen.form.field("edge_offset").isVisible()
    assert screen.form.field("window_low").text() == "35 degC"
    choose(screen, "has_drain_plug", "")
    assert not screen.form.field("torque drain plug").isVisible()
    assert "Drain plug torqued" not in screen._steps.text()


def test_that_a_refusal_stands_beside_its_field_and_nothing_is_lost(shop: ShopInWindow) -> None:
    screen = page(shop)
    shop.type("QX8-B")
    put(screen, specification="KX-8", window_low="35 degC", window_high="45 degC")
    screen.form.field("torque level plug").set_text("36 qt")
    shop.key("Ctrl+Return")
    assert screen.form.field("torque level plug").error
    screen.form.field("torque level plug").set_text("36 ft-lb")
    screen.form.field("maker_severe/months").set_text("9999")
    shop.key("Ctrl+Return")
    assert screen.form.field("maker_severe/months").error
    screen.form.field("maker_severe/months").set_text("")
    shop.key("Ctrl+Return")
    assert screen.form.field("source").error
    put(screen, source="Invented manual", window_low="")
    shop.key("Ctrl+Return")
    assert screen.form.field("window_low").error.startswith("A level by overflow tube")
    assert screen.form.field("torque level plug").text() == "36 ft-lb"
    assert [sheet.designation for sheet in shop.rooms.sheets.all()] == ["PX6-A"]


def test_that_a_new_sheet_does_not_write_over_one_of_the_same_name(shop: ShopInWindow) -> None:
    screen = page(shop)
    shop.type("px6-a")
    put(screen, specification="X", window_low="35 degC", window_high="45 degC", source="S")
    shop.key("Ctrl+Return")
    assert screen.form.field("designation").error.startswith("There is a sheet for px6-a already")
    assert newest(shop, "PX6-A").revision == 1


def test_that_two_people_at_one_sheet_see_both_values(shop: ShopInWindow) -> None:
    view = newest(shop, "PX6-A")
    screen = page(shop, str(view.sheet_id))
    screen.form.field("checked_by").control.setFocus()
    shop.type(" and Sam")
    texts = sheet_texts(view, shop.work.figures.shop) | {"checked_by": "Bo Ek"}
    shop.rooms.sheets.save(sheet_command(texts, shop.work.actor, "another"))
    shop.settle()
    shop.key("Ctrl+Return")
    checked = screen.form.field("checked_by")
    assert checked.error == "Somebody else put meanwhile: Bo Ek"
    assert checked.text().endswith("and Sam")
    shop.key("Ctrl+Return")
    after = newest(shop, "PX6-A")
    assert (after.revision, after.checked_by) == (3, checked.text())


def test_that_a_sheet_begun_for_a_unit_is_given_to_it(shop: ShopInWindow) -> None:
    unit = shop.rooms.intake.add_unit(
        AddUnit(actor=shop.work.actor, vehicle_id=1, kind=UnitKind.REAR_DIFFERENTIAL, label="Rear axle")
    ).unit_id
    shop.go("vehicle", "1")
    screen = page(shop, f"unit:{unit}")
    assert screen.subtitle == "For the Rear axle"
    assert screen.form.field("kind").text() == "rear differential"
    assert screen.form.field("level_method").text() == "fill-hole edge"
    put(screen, designation="KX-R3", specification="KX-90", source="Invented manual")
    shop.key("Ctrl+Return")
    assert shop.place() == ("vehicle", "1")
    assert shop.rooms.intake.unit(unit).designation == "KX-R3"
    assert "The Rear axle has it now." in shop.window.notices.words


def test_that_a_half_typed_sheet_comes_back(
    shop: ShopInWindow, look: Look, small_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(drafts, "WAIT_MS", 0)
    page(shop)
    shop.type("QX8-B")
    shop.settle()
    page(shop, "1")
    assert page(shop).form.field("designation").text() == "QX8-B"
    shop.desk.drafts.keep_all()
    shop.settle()
    with shop_in_window(look, small_shop, real=("sheet",)) as again:
        again.show()
        assert page(again).form.field("designation").text() == "QX8-B"
        assert "What you had begun to type is back." in again.window.notices.words
        again.window.notices.undo()
        again.settle()
        assert page(again).form.field("designation").text() == ""


def test_that_a_sheet_that_is_not_there_is_said(shop: ShopInWindow) -> None:
    shop.go("sheet", "999")
    assert shop.place() == ("setup", "sheets")
    assert shop.window.notices.words == "That unit sheet is not there."


@pytest.mark.parametrize("subject", ["", "1"])
def test_that_tab_reaches_each_part_once(shop: ShopInWindow, subject: str) -> None:
    assert_tab_walks(shop, page(shop, subject))


def test_that_the_page_fits_a_small_screen_at_any_text_size(shop: ShopInWindow, look: Look) -> None:
    for percent in (100, 200):
        look.choose(LookChoice(shade=Shade.DARK, percent=percent, less_motion=True))
        page(shop, "1")
        least = shop.window.minimumSizeHint()
        assert (least.width() <= 1280, least.height() <= 800) == (True, True), (percent, least)
    look.choose(LookChoice(shade=Shade.LIGHT, less_motion=True))


def test_that_odd_texts_are_refused_beside_a_field_or_kept(shop: ShopInWindow) -> None:
    dice = Random(3)
    screen = page(shop)
    outcomes = set()
    for turn in range(30):
        known = {"designation": f"T-{turn}", "specification": "X", "source": "S", "kind": "CVT"}
        known |= {"level_method": dice.choice(("measured refill", "sight glass", "fill-hole edge"))}
        odd = {name: odd_text(dice) for name in screen.form.texts() if dice.random() < 0.04}
        screen.form.restore(dict.fromkeys(screen.form.texts(), "") | known | odd)
        typed, before = screen.form.texts(), len(shop.rooms.sheets.all())
        screen._save()
        shop.settle()
        said = [screen.form.error, *(screen.form.field(name).error for name in screen.form.texts())]
        kept = len(shop.rooms.sheets.all()) > before
        assert kept == (not any(said)), (typed, said)
        assert kept or screen.form.texts() == typed
        outcomes.add(kept)
        screen = page(shop)
    assert outcomes == {True, False}
