"""The bay keeps to the rules: stop, order, reasons, units, hand-over, pictures."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from shopdesk.domain.stages import Stage
from shopdesk.services.photos import PhotoSubject
from shopdesk.services.setup import AddPerson
from shopdesk.ui.screens.bay.screen import BayScreen
from shopdesk.ui.screens.bay.step_page import StepPage
from shopdesk.ui.theme.look import Look
from tests.ui.bay_hands import answer, go_to, press, say_it_was_done, standing, values
from tests.ui.shop_window import ShopInWindow, assert_tab_walks
from tests.ui.work_shop import work_in_window


@pytest.fixture
def shop(look: Look, sqlite_template: Path, tmp_path: Path) -> Iterator[ShopInWindow]:
    with work_in_window(look, sqlite_template, tmp_path / "shop.db") as found:
        yield found


@pytest.fixture
def page(shop: ShopInWindow) -> BayScreen:
    screen = shop.go("bay", "2")
    assert isinstance(screen, BayScreen)
    return screen


def black_fluid(shop: ShopInWindow, page: BayScreen) -> None:
    """Grade the old fluid so that it calls for a stop."""
    go_to(shop, page, "Look at the old fluid")
    answer(shop, page, "How the old fluid looked", "4  black or milky")
    shop.key("Ctrl+Return")


def test_that_a_step_out_of_order_is_asked_about_and_its_reason_kept(
    shop: ShopInWindow, page: BayScreen
) -> None:
    go_to(shop, page, "Drained")
    shop.type("3.1")
    shop.key("Ctrl+Return")
    assert "fill plug loosened" in page.working.why.sentences
    assert not page.done.isVisible()
    assert standing(shop) == []
    press(shop, page, "Could not be reached or loosened")
    deviation = next(entry for entry in standing(shop) if entry.field == "deviation")
    assert deviation.value_text == "Not recorded before “Drained”: fill plug loosened."
    assert deviation.reason == "Could not be reached or loosened"
    assert page.title_line.text() == "Look at the old fluid"


def test_that_a_reason_can_be_written_and_is_wanted(shop: ShopInWindow, page: BayScreen) -> None:
    go_to(shop, page, "Drained")
    shop.key("Ctrl+Return")
    why = page.working.why
    press(shop, page, "Keep with these words")
    assert why.words.error == "Pick a reason above, or write one."
    why.words.setFocus()
    shop.type("Sucked out from above")
    shop.key("Return")
    assert [e.reason for e in standing(shop) if e.field == "deviation"] == ["Sucked out from above"]


def test_that_putting_the_question_aside_keeps_nothing(shop: ShopInWindow, page: BayScreen) -> None:
    go_to(shop, page, "Drained")
    shop.type("3.1")
    shop.key("Ctrl+Return")
    press(shop, page, "Back to the step")
    assert standing(shop) == []
    assert isinstance(page._page, StepPage)
    assert page._page.texts()["drained:1"] == "3.1"
    assert page.done.isVisible()


def test_that_steps_done_before_and_not_recorded_are_recorded_without_a_time(
    shop: ShopInWindow, page: BayScreen
) -> None:
    go_to(shop, page, "Filled")
    shop.type("4")
    shop.key("Ctrl+Return")
    say_it_was_done(shop, page)
    steps = {entry.value_text: entry.measured_at for entry in standing(shop) if entry.field == "step"}
    assert set(steps) == {"fill plug loosened", "drained", "filled"}
    assert steps["drained"] is None
    assert steps["filled"] is not None
    assert shop.rooms.bay.record(2).outcome.order == ()


def test_that_bad_fluid_leads_to_a_stop_with_all_that_it_asks_for(
    shop: ShopInWindow, page: BayScreen, tmp_path: Path
) -> None:
    black_fluid(shop, page)
    assert page.title_line.text() == "Stop"
    words = page._pages.stop_words
    assert words is not None
    assert words.sign.word == "Stop"
    assert words.call.text() == "Odalys Brandt: 303 555 0121"
    picture = tmp_path / "pan.jpg"
    Image.new("RGB", (400, 300), (90, 60, 30)).save(picture)
    assert page._pages.photos is not None
    page._pages.photos.attach(picture)
    shop.settle()
    assert len(shop.rooms.photos.of(PhotoSubject.RECORD, 2)) == 1
    answer(shop, page, "Customer told what was found", "Yes")
    answer(shop, page, "What was decided", "Go on anyway")
    assert words.needed.text() == "Still to do: the consent in writing."
    step = page._page
    assert isinstance(step, StepPage)
    step._fields["stop_consent:1"].setFocus()
    shop.type("Signed on the estimate by O. Brandt")
    assert words.sign.word == "Go on"
    shop.key("Ctrl+Return")
    kept = values(shop)
    assert kept["picture_taken:1"] == 1
    assert kept["stop_decision:1"] == "go on anyway"
    assert page.title_line.text() == "Drain plug torqued"
    assert not page.working.stopped.isVisible()


def test_that_work_goes_on_against_a_stop_only_with_a_reason(shop: ShopInWindow, page: BayScreen) -> None:
    black_fluid(shop, page)
    go_to(shop, page, "Filled")
    assert page.working.stopped.isVisible()
    shop.type("4")
    shop.key("Ctrl+Return")
    assert "still holds" in page.working.why.sentences


def test_that_closing_a_plug_is_not_held_up_by_a_stop(shop: ShopInWindow, page: BayScreen) -> None:
    go_to(shop, page, "Fill plug loosened")
    shop.key("Ctrl+Return")
    go_to(shop, page, "Drained")
    shop.key("Ctrl+Return")
    black_fluid(shop, page)
    go_to(shop, page, "Drain plug torqued")
    shop.key("Ctrl+Return")
    assert not page.working.why.isVisible()
    assert "drain plug torqued" in [entry.value_text for entry in standing(shop)]


def test_that_the_work_is_not_finished_while_it_must_be_stopped(shop: ShopInWindow, page: BayScreen) -> None:
    black_fluid(shop, page)
    for _step in range(24):
        shop.key("Alt+Right")
    shop.key("Ctrl+Return")
    assert page.title_line.text() == "Stop"
    assert shop.rooms.board.work_order(2).stage is Stage.IN_THE_BAY


def test_that_no_service_is_a_decision_too(shop: ShopInWindow, page: BayScreen) -> None:
    black_fluid(shop, page)
    answer(shop, page, "Picture taken of what was found", "Yes")
    answer(shop, page, "Customer told what was found", "Yes")
    answer(shop, page, "What was decided", "No service")
    assert page._pages.stop_words is not None
    assert page._pages.stop_words.sign.word == "No service"
    shop.key("Ctrl+Return")
    for _step in range(24):
        shop.key("Alt+Right")
    shop.key("Ctrl+Return")
    assert shop.rooms.board.work_order(2).stage is Stage.FINISHED


def test_that_a_torque_in_the_other_unit_is_asked_about(shop: ShopInWindow, page: BayScreen) -> None:
    step = go_to(shop, page, "Fill plug torqued")
    shop.type("48.8")  # the sheet's 36 ft-lb are 48.8 N·m
    assert "taken for ft-lb?" in step._fields["fill_plug_torque:1"].beneath  # type: ignore[union-attr]
    shop.ask.answers = ["other"]
    shop.key("Ctrl+Return")
    assert shop.ask.asked[-1].endswith(
        "[It was 36 ft-lb (48.8 N·m): put it right / It really was 48.8 ft-lb (66.2 N·m)]"
    )
    say_it_was_done(shop, page)
    assert values(shop)["fill_plug_torque:1"] == 48_800


def test_that_a_torque_that_really_was_so_wants_a_reason(shop: ShopInWindow, page: BayScreen) -> None:
    go_to(shop, page, "Fill plug torqued")
    shop.type("48.8")
    shop.ask.answers = ["typed"]
    shop.key("Ctrl+Return")
    assert "torque differs from the sheet" in page.working.why.sentences
    press(shop, page, "This unit needs it otherwise")
    entry = next(entry for entry in standing(shop) if entry.field == "fill_plug_torque")
    assert (entry.value_int, entry.reason) == (66_164, "This unit needs it otherwise")


def test_that_a_reused_washer_wants_a_reason(shop: ShopInWindow, page: BayScreen) -> None:
    go_to(shop, page, "Fill plug torqued")
    answer(shop, page, "Fill plug washer", "Reused")
    shop.key("Ctrl+Return")
    assert "washer reused" in page.working.why.sentences


def test_that_an_adapter_changes_the_setting_and_a_bar_does_not(shop: ShopInWindow, page: BayScreen) -> None:
    go_to(shop, page, "Fill plug torqued")
    torque = page._pages.torque
    assert torque is not None
    torque.opens.click()
    question = "Does it move the socket sideways? A straight bar changes nothing."
    answer(shop, page, question, "No: a straight bar")
    assert torque.result.accessibleName() == "Set the wrench to: 36 ft-lb (48.8 N·m)"
    answer(shop, page, question, "Yes: crowfoot or offset adapter")
    assert torque.note.text() == "Write a length with its unit, such as 16 in or 400 mm."
    torque.form.field("wrench_length").setFocus()
    shop.type("16 in")
    shop.key("Return")
    shop.type("2 in")
    assert torque.result.accessibleName() == "Set the wrench to: 32 ft-lb (43.4 N·m)"


def test_that_the_check_as_found_comes_before_draining_and_can_be_left_out(
    shop: ShopInWindow, page: BayScreen
) -> None:
    shop.key("Ctrl+Return")
    assert page.title_line.text() == "Level as found, before draining"
    shop.type("100")
    shop.key("Return")
    shop.type("0")
    shop.key("Return")
    shop.key("Return")
    shop.type("0.25")
    shop.key("Return")
    shop.key("Return")
    kept = values(shop)
    assert (kept["found_temperature:1"], kept["found_ran_out:1"]) == (37_778, 0)
    assert kept["found_added:1"] == 236_588
    assert page.title_line.text() == "Drained"


def test_that_a_second_technician_takes_over_and_both_names_stay(shop: ShopInWindow, page: BayScreen) -> None:
    first = shop.work.actor.person_id
    shop.rooms.setup.add_person(AddPerson(actor=shop.work.actor, name="Ivo Marsh", role="technician"))
    other = next(p.id for p in shop.rooms.setup.people() if p.name == "Ivo Marsh")
    shop.key("Ctrl+Return")
    page.refresh()
    shop.settle()
    shop.ask.answers = [str(other)]
    press(shop, page, "Hand over")
    assert shop.work.actor.person_id == other != first
    assert page.working.people.text() == "At work: Ivo Marsh  ·  before: Rhea Sandoval"
    go_to(shop, page, "Drained")
    shop.type("3.1")
    shop.key("Ctrl+Return")
    view = shop.rooms.bay.record(2)
    assert view.people == ("Rhea Sandoval", "Ivo Marsh")
    notes = [e.entry.value_text for e in view.entries if e.entry.field == "note"]
    assert notes == ["Handed over: Rhea Sandoval to Ivo Marsh."]


def test_that_pictures_are_shown_small_and_large_and_taken_back(
    shop: ShopInWindow, page: BayScreen, tmp_path: Path
) -> None:
    go_to(shop, page, "Look at the old fluid")
    strip = page._pages.photos
    assert strip is not None
    for number in (1, 2):
        Image.new("RGB", (300, 200), (40 * number, 60, 30)).save(tmp_path / f"{number}.png")
        shop.ask.answers = [str(tmp_path / f"{number}.png")]
        strip.add.click()
        shop.settle()
    assert [thumb.accessibleName().split(",")[0] for thumb in strip.thumbs] == ["Picture: Fluid"] * 2
    strip.thumbs[0].setFocus()
    shop.key("Return")
    assert strip.large.isVisible()
    assert strip.large.accessibleName().endswith("Rhea Sandoval")
    shop.ask.answers = ["yes"]
    strip.away.click()
    shop.settle()
    assert len(strip.thumbs) == 1
    assert not strip.large.isVisible()


def test_that_what_is_no_picture_is_refused_with_a_sentence(
    shop: ShopInWindow, page: BayScreen, tmp_path: Path
) -> None:
    go_to(shop, page, "Look at the old fluid")
    strip = page._pages.photos
    assert strip is not None
    (tmp_path / "x.jpg").write_bytes(b"no picture at all")
    strip.attach(tmp_path / "x.jpg")
    shop.settle()
    assert strip.error.isVisible()
    assert strip.error.text()
    assert strip.thumbs == []


def test_that_tab_reaches_everything_of_a_stop_and_of_a_question(shop: ShopInWindow, page: BayScreen) -> None:
    black_fluid(shop, page)
    assert_tab_walks(shop, page)
    go_to(shop, page, "Filled")
    shop.key("Ctrl+Return")
    assert page.working.why.isVisible()
    assert_tab_walks(shop, page)
