"""Beside the balance: what makes it unsure and what would help, what if, units taken for one another,
pictures. Figures of the balance are those of its own tests; here they are shown and opened."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from shopdesk.domain.unit_history import Outlier
from shopdesk.services.photos import PhotoSubject
from shopdesk.ui.screens.work_order.screen import WorkOrderScreen
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.controls import Line, Pick
from shopdesk.ui.widgets.figure import Figure
from tests.documents import cameras
from tests.ui.form_cases import put as put_into
from tests.ui.shop_window import ShopInWindow, assert_tab_walks
from tests.ui.test_work_order_service import MEASURED, field
from tests.ui.work_shop import work_in_window


@pytest.fixture
def shop(look: Look, sqlite_template: Path, tmp_path: Path) -> Iterator[ShopInWindow]:
    """The shop with its work pages, in sight."""
    with work_in_window(look, sqlite_template, tmp_path / "shop.db") as found:
        yield found


@pytest.fixture
def page(shop: ShopInWindow) -> WorkOrderScreen:
    """The work order in the bay, in sight."""
    screen = shop.go("work order", "2")
    assert isinstance(screen, WorkOrderScreen)
    return screen


def put(page: WorkOrderScreen, name: str, text: str) -> None:
    """Put a text into a field, or pick in it, at once: typing by keys is tested with the service's page."""
    control = field(page, name).control
    if isinstance(control, Pick):
        control.setCurrentIndex(control.findData(text))
    else:
        assert isinstance(control, Line)
        put_into(control, text)


def measure(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    """Put in what was measured; the keyboard is in the last field, as after typing it."""
    for name, text in MEASURED.items():
        put(page, name, text)
    field(page, "flow_at_closing:1").setFocus()
    shop.settle()


def told(figure: Figure) -> dict[str, str]:
    assert figure._came_from is not None
    assert figure._came_from.formula
    return dict(figure._came_from.rows)


def test_that_the_largest_part_and_what_would_help_follow_what_is_typed(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    sure = page.service.sure
    assert sure.largest.figure._value == "Not known yet"
    measure(shop, page)
    assert sure.largest.figure._value.startswith("Drained, ")
    assert sure.helps.figure._value.startswith("± 0.14")
    assert "weigh it and divide by the density" in sure.helps.note.text()
    shop.key("Ctrl+S")
    terms = shop.rooms.bay.record(page.service.record_id).outcome.balance.terms
    share = f"{round(100 * max(term.share_of_variance for term in terms))} %"
    assert sure.largest.figure._value == f"Drained, {share}"
    rows = told(sure.largest.figure)
    assert "Pump 1" in rows
    assert "± 0.106 qt, Rhea Sandoval" in rows["Drained"]


def test_that_the_level_had_it_been_set_warmer_is_lower(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    """7 L at 860 kg/m³: 5.26 mL for 1 °C at 40 °C (computed, tests of the level); here 1 °F is 5/9."""
    sure = page.service.sure
    sure.other.setFocus()
    shop.type("50 C")
    assert "not recorded yet" in sure.other.error
    assert not sure.what_if.isVisible()
    measure(shop, page)
    assert sure.degree.figure._value.endswith("for 1 °F")
    assert sure.what_if.figure._value.endswith("lower")
    assert "Set at 104 °F" in sure.what_if.note.text()
    assert told(sure.what_if.figure)["Set at instead"] == "122 °F"
    sure.other.set_text("")
    sure.other.setFocus()
    shop.type("30 C")
    assert sure.what_if.figure._value.endswith("higher")
    sure.other.set_text("")
    shop.type("hot")
    assert not sure.what_if.isVisible()
    assert not sure.other.check()


def test_that_the_new_fluid_tells_its_bounds_by_how_it_mixed(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    measure(shop, page)
    shop.key("Ctrl+S")
    rows = told(page.service.balance.fresh.figure)
    assert list(rows)[:3] == [
        "Mixed fully",
        "At least: only new fluid ran out",
        "At most: only old fluid ran out",
    ]
    assert rows["At least: only new fluid ran out"] < rows["Mixed fully"]
    assert "Rhea Sandoval" in rows["Put in"]


def test_that_a_torque_in_the_other_unit_is_asked_about(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    put(page, "drain_plug_torque:1", "48.8")
    shop.ask.answers = ["other"]
    shop.key("Ctrl+S")
    assert "taken for ft-lb" in shop.ask.asked[0]
    record = shop.rooms.bay.record(page.service.record_id)
    kept = [each.entry.value_int for each in record.entries if each.entry.field == "drain_plug_torque"]
    assert kept == [48_800]
    put(page, "level_plug_torque:1", "24.4")
    shop.ask.answers = ["typed"]
    shop.key("Ctrl+S")
    record = shop.rooms.bay.record(page.service.record_id)
    kept = [each.entry.value_int for each in record.entries if each.entry.field == "level_plug_torque"]
    assert kept == [33_082]


def test_that_a_torque_question_put_aside_keeps_nothing(shop: ShopInWindow, page: WorkOrderScreen) -> None:
    put(page, "drain_plug_torque:1", "48.8")
    shop.ask.answers = [None]
    shop.key("Ctrl+S")
    assert shop.rooms.bay.record(page.service.record_id).entries == ()
    assert page.service.form.stack.texts()["drain_plug_torque:1"] == "48.8"


def test_that_the_wrench_is_reckoned_with_an_adapter_and_not_with_a_bar(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    """36 ft-lb with a 2 in adapter straight out on a 16 in wrench: 36 · 16 / 18 = 32 (computed)."""
    torque = page.service.torque
    assert torque.isVisible()
    torque.opens.click()
    torque.between._buttons["straight bar: the socket stays in line with the drive"].click()
    assert torque.result._value.startswith("36 ft-lb")
    torque.between._buttons["crowfoot or offset adapter: the socket moves sideways"].click()
    torque.form.field("wrench_length").setFocus()
    shop.type("16 in")
    torque.form.field("adapter_length").setFocus()
    shop.type("2 in")
    assert torque.result._value.startswith("32 ft-lb")
    assert told(torque.result)["Adapter, drive to socket"].startswith("50.8 mm")


def test_that_a_picture_is_attached_with_its_caption_seen_and_taken_back(
    shop: ShopInWindow, page: WorkOrderScreen, tmp_path: Path
) -> None:
    photos = page.service.photos
    good, heic, broken = tmp_path / "pan.jpg", tmp_path / "plug.heic", tmp_path / "note.jpg"
    good.write_bytes(cameras.jpeg(cameras.drawn()))
    heic.write_bytes(cameras.HEIC.read_bytes())
    broken.write_bytes(b"no picture at all")
    photos.caption.setFocus()
    shop.type("Fine paste")
    shop.ask.answers = [str(good), str(heic), str(broken)]
    photos.add.click()
    shop.settle()
    photos.add.click()
    shop.settle()
    photos.add.click()
    shop.settle()
    rows = shop.rooms.photos.of(PhotoSubject.RECORD, page.service.record_id)
    assert [(row.note, row.name) for row in rows] == [("Fine paste", "pan.jpg"), ("", "plug.heic")]
    assert photos.error.isVisible()
    assert photos.error.text().endswith(".")
    assert len(photos.thumbs) == 2
    photos.thumbs[0].click()
    shop.settle()
    assert photos.large.isVisible()
    assert "Fine paste" in photos.large.accessibleName()
    assert_tab_walks(shop, page)
    shop.ask.answers = ["yes"]
    photos.away.click()
    shop.settle()
    assert [row.name for row in shop.rooms.photos.of(PhotoSubject.RECORD, page.service.record_id)] == [
        "plug.heic"
    ]
    assert not photos.large.isVisible()


def test_that_an_unusual_refill_is_pointed_out_beside_the_balance(
    shop: ShopInWindow, page: WorkOrderScreen, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When one is unusual the tests of the unit's history say; here it is shown."""
    assert not page.service.unusual.isVisible()
    found = Outlier(away_ul=400_000, sentence="Less than usual.")
    monkeypatch.setattr(shop.rooms.unit_histories, "hint", lambda _record: found)
    shop.go("work order", "2")
    shop.key("F5")
    assert page.service.unusual.isVisible()
    assert page.service.unusual.accessibleName() == "Refill: 0.42 qt from the usual. Less than usual."


def test_that_the_check_before_draining_opens_what_it_came_from(
    shop: ShopInWindow, page: WorkOrderScreen
) -> None:
    for name, text in (
        ("vehicle_level:1", "yes"),
        ("found_temperature:1", "104"),
        ("found_ran_out:1", "0"),
        ("found_added:1", "300 mL"),
    ):
        put(page, name, text)
    shop.key("Ctrl+S")
    found = page.service.balance.found
    assert found.isVisible()
    assert found.figure._value.startswith("Came in low by 0.3")
    rows = told(found.figure)
    assert rows["Difference"].startswith("0.3")
    assert any("Rhea Sandoval" in value for value in rows.values())
