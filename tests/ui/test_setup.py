"""Set-up: the shop, people, tools, taxes, papers, look and the lists, each by keyboard."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from random import Random

import pytest

from shopdesk.services.instruments import InstrumentKind
from shopdesk.services.setup import EditShop
from shopdesk.ui import drafts
from shopdesk.ui.screens.setup.lists import ItemsSection, SheetsSection
from shopdesk.ui.screens.setup.look import LookSection
from shopdesk.ui.screens.setup.people import PeopleSection
from shopdesk.ui.screens.setup.screen import SetUpScreen
from shopdesk.ui.screens.setup.shop import PapersSection, ShopSection
from shopdesk.ui.screens.setup.taxes import TaxesSection
from shopdesk.ui.screens.setup.tools import ToolsSection
from shopdesk.ui.theme.look import Look, LookChoice, Shade
from shopdesk.ui.widgets.controls import Line
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.window import PageEntry
from tests.ui.odd_texts import odd_text
from tests.ui.shop_window import ShopInWindow, assert_tab_walks, shop_in_window

SECTIONS = ("shop", "people", "sheets", "items", "tools", "taxes", "papers", "look")


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("setup",)) as found:
        found.show()
        yield found
    look.choose(LookChoice(shade=Shade.LIGHT, less_motion=True))


def setup(shop: ShopInWindow, section: str) -> SetUpScreen:
    screen = shop.go("setup", section)
    assert isinstance(screen, SetUpScreen)
    return screen


def retype(shop: ShopInWindow, line: object, text: str) -> None:
    assert isinstance(line, Line)
    line.setFocus()
    line.selectAll()
    shop.type(text)


def another_edit(shop: ShopInWindow, **changes: str) -> None:
    """Change the shop's page as another counter would."""
    facts = shop.rooms.setup.shop()
    names = ("name", "address", "phone", "email", "registration_text", "warranty_text", "paper_size")
    names += ("label_size", "volume_unit", "temperature_unit", "torque_unit", "distance_unit")
    values = {name: getattr(facts, name) for name in names} | changes
    shop.rooms.setup.edit_shop(EditShop(actor=shop.work.actor, version=facts.version, **values))


def test_that_sections_are_chosen_by_arrow_keys_and_built_when_seen(shop: ShopInWindow) -> None:
    screen = setup(shop, "")
    assert isinstance(screen.section, ShopSection)
    for _step in range(4):
        shop.key("Down")
    assert isinstance(screen.section, ToolsSection)
    assert screen.subtitle == "Measuring tools"
    assert screen.main is not None
    assert screen.main.words == "Add tool"


def test_that_the_shops_page_is_saved_and_its_other_page_left_alone(shop: ShopInWindow) -> None:
    screen = setup(shop, "shop")
    section = screen.section
    assert isinstance(section, ShopSection)
    retype(shop, section.form.field("phone").control, "555-0199")
    section.form.field("volume_unit").set_text("l")
    shop.key("Ctrl+Return")
    facts = shop.rooms.setup.shop()
    assert (facts.phone, facts.volume_unit) == ("555-0199", "l")
    assert facts.warranty_text.startswith("12 months")
    assert facts.name == "Quillfern Driveline"


def test_that_an_empty_name_is_refused_beside_it(shop: ShopInWindow) -> None:
    section = setup(shop, "shop").section
    assert isinstance(section, ShopSection)
    retype(shop, section.form.field("name").control, " ")
    shop.key("Ctrl+Return")
    assert section.form.field("name").error
    assert shop.rooms.setup.shop().name == "Quillfern Driveline"


def test_that_two_people_at_the_shops_page_see_both_values(shop: ShopInWindow) -> None:
    section = setup(shop, "shop").section
    assert isinstance(section, ShopSection)
    phone = section.form.field("phone")
    retype(shop, phone.control, "555-0100")
    another_edit(shop, phone="555-0200")
    shop.settle()
    shop.key("Ctrl+Return")
    assert phone.error == "Somebody else put meanwhile: 555-0200"
    assert phone.text() == "555-0100"
    shop.key("Ctrl+Return")
    assert shop.rooms.setup.shop().phone == "555-0100"


def test_that_what_another_changed_on_the_other_page_of_the_shop_is_no_conflict(shop: ShopInWindow) -> None:
    section = setup(shop, "papers").section
    assert isinstance(section, PapersSection)
    section.form.field("label_size").set_text("50x50 mm")
    section.form._touched = True
    another_edit(shop, phone="555-0200")
    shop.settle()
    shop.key("Ctrl+Return")
    shop.settle()
    facts = shop.rooms.setup.shop()
    assert (facts.phone, facts.label_size) == ("555-0200", "50x50 mm")


def test_that_half_typed_texts_of_a_section_come_back(
    shop: ShopInWindow, look: Look, small_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(drafts, "WAIT_MS", 0)
    section = setup(shop, "papers").section
    assert isinstance(section, PapersSection)
    section.form.field("warranty_text").control.setFocus()
    shop.type("Two years. ")
    shop.settle()
    shop.desk.drafts.keep_all()
    shop.settle()
    with shop_in_window(look, small_shop, real=("setup",)) as again:
        again.show()
        other = setup(again, "papers").section
        assert isinstance(other, PapersSection)
        assert "Two years." in other.form.field("warranty_text").text()
        assert "Two years." not in again.rooms.setup.shop().warranty_text


def test_that_somebody_new_is_taken_on(shop: ShopInWindow) -> None:
    screen = setup(shop, "people")
    section = screen.section
    assert isinstance(section, PeopleSection)
    shop.type("Sam Pell")
    shop.key("Return")
    shop.key("Return")
    assert [(row.name, row.role) for row in shop.rooms.setup.people()][1:] == [("Sam Pell", "technician")]
    assert [row.name for row in section.table.rows] == ["Rhea Sandoval", "Sam Pell"]
    shop.key("Ctrl+Return")
    assert section.form.field("name").error
    assert len(shop.rooms.setup.people()) == 2


def test_that_a_tool_is_kept_by_its_marks_or_by_what_it_reads_to(shop: ShopInWindow) -> None:
    section = setup(shop, "tools").section
    assert isinstance(section, ToolsSection)
    shop.key("Tab")
    shop.type("Pan 3")
    section.form.field("marks").set_text("100 mL")
    section.form.field("due_on").set_text("1 May 2027")
    shop.key("Ctrl+Return")
    section.form.field("kind").set_text("thermometer or scan tool")
    section.form.field("kind").edited.emit()
    assert section.form.field("tolerance").beneath == "You can read it to ±, such as 2 °C"
    section.form.field("name").set_text("Scan tool")
    section.form.field("tolerance").set_text("2 degC")
    assert section.form.field("tolerance").beneath == "2 °C"
    shop.key("Ctrl+Return")
    rows = {row.name: row for row in shop.rooms.instruments.all()}
    assert (rows["Pan 3"].half_width, rows["Pan 3"].due_on) == (50_000, date(2027, 5, 1))
    assert (rows["Scan tool"].kind, rows["Scan tool"].half_width) == (InstrumentKind.THERMOMETER, 2000)
    section.form.field("name").set_text("Wrench")
    shop.key("Ctrl+Return")
    assert section.form.field("tolerance").error.startswith("Write to within what it can be read")


def test_that_a_new_rate_follows_the_old_one_and_says_where_it_is_written(shop: ShopInWindow) -> None:
    section = setup(shop, "taxes").section
    assert isinstance(section, TaxesSection)
    form = section.form
    for name, text in (
        ("name", "Sales tax"),
        ("percent", "8.5"),
        ("from_on", "1 Jan 2027"),
        ("citation", "Marrow Code 3-9 (invented), read 2 Nov 2026"),
    ):
        form.field(name).set_text(text)
    shop.key("Ctrl+Return")
    rows = [(row.rate_ppm, row.to_on, row.citation[:6]) for row in shop.rooms.setup.tax_rates()]
    assert rows == [(82_500, date(2026, 12, 31), "as typ"), (85_000, None, "Marrow")]
    assert [row.rate_ppm for row in section.table.rows] == [82_500, 85_000]


def test_that_a_rate_needs_its_first_day_and_does_not_apply_twice(shop: ShopInWindow) -> None:
    section = setup(shop, "taxes").section
    assert isinstance(section, TaxesSection)
    form = section.form
    form.field("name").set_text("Sales tax")
    form.field("percent").set_text("9")
    shop.key("Ctrl+Return")
    assert form.field("from_on").error == "Write the first day of this rate."
    form.field("from_on").set_text("1 Jan 2000")
    shop.key("Ctrl+Return")
    assert form.field("from_on").error.startswith("There is a rate of this name already")
    assert len(shop.rooms.setup.tax_rates()) == 1


def test_that_a_rate_gets_its_last_day(shop: ShopInWindow) -> None:
    section = setup(shop, "taxes").section
    assert isinstance(section, TaxesSection)
    section.ending.focus_first()
    shop.type("31 Dec 2026")
    shop.key("Return")
    assert shop.rooms.setup.tax_rates()[0].to_on == date(2026, 12, 31)
    assert not section._end_card.isVisible()


def test_that_the_tax_page_says_that_it_is_no_legal_advice(shop: ShopInWindow) -> None:
    screen = setup(shop, "taxes")
    words = [label.text() for label in screen.section.findChildren(PlainLabel)]
    assert any("This is not legal or tax advice" in text for text in words)


def test_that_the_look_is_chosen_at_once_and_kept(look: Look, small_shop: Path) -> None:
    kept: list[LookChoice] = []
    with shop_in_window(look, small_shop, real=()) as shop:
        shop.show()
        desk = replace(shop.desk, keep_choice=kept.append)
        shop.window.add_page(
            PageEntry(
                page="look", words="", icon="", build=lambda: SetUpScreen(desk, shop.work), on_rail=False
            )
        )
        screen = shop.go("look", "look")
        assert isinstance(screen, SetUpScreen)
        section = screen.section
        assert isinstance(section, LookSection)
        section.shade._buttons["dark"].click()
        section.text_size._buttons["150"].click()
        shop.settle()
        assert (look.dark, look.percent) == (True, 150)
        assert kept[-1] == LookChoice(shade=Shade.DARK, percent=150, less_motion=True)
        section.motion.setChecked(False)
        shop.settle()
        assert not kept[-1].less_motion
        look.choose(LookChoice(shade=Shade.LIGHT, less_motion=True))
        assert section.shade.choice() == "light"


def test_that_sheets_and_items_are_narrowed_and_opened(shop: ShopInWindow) -> None:
    sheets = setup(shop, "sheets").section
    assert isinstance(sheets, SheetsSection)
    assert [row.designation for row in sheets.table.rows] == ["PX6-A"]
    sheets.line.setText("nothing like it")
    shop.settle()
    assert list(sheets.table.rows) == []
    sheets.line.setText("automatic hx-6")
    shop.settle()
    sheets.table.setFocus()
    shop.key("Return")
    assert shop.place() == ("sheet", "1")
    items = setup(shop, "items").section
    assert isinstance(items, ItemsSection)
    items.line.setText("hx-6")
    shop.settle()
    assert [row.name for row in items.table.rows] == ["Halden ATF-6"]
    items.table.setFocus()
    shop.key("Return")
    assert shop.place() == ("item", "1")


@pytest.mark.parametrize("section", SECTIONS)
def test_that_tab_reaches_each_part_of_a_section_once(shop: ShopInWindow, section: str) -> None:
    assert_tab_walks(shop, setup(shop, section))


def test_that_every_section_fits_a_small_screen_at_any_text_size(shop: ShopInWindow, look: Look) -> None:
    for percent in (100, 200):
        look.choose(LookChoice(shade=Shade.DARK, percent=percent, less_motion=True))
        for section in SECTIONS:
            setup(shop, section)
            least = shop.window.minimumSizeHint()
            assert (least.width() <= 1280, least.height() <= 800) == (True, True), (section, percent, least)


def test_that_odd_texts_are_refused_or_kept_and_never_lost(shop: ShopInWindow) -> None:
    dice = Random(11)
    for name in ("shop", "people", "tools", "taxes", "papers"):
        section = setup(shop, name).section
        assert isinstance(section, ShopSection | PapersSection | PeopleSection | ToolsSection | TaxesSection)
        form = section.form
        for _turn in range(15):
            shop.window.notices.hide()
            form.restore({field: odd_text(dice) for field in form.texts() if dice.random() < 0.5})
            typed = form.texts()
            section.save()
            shop.settle()
            said = [form.error, *(form.field(field).error for field in form.texts())]
            assert any(said) != bool(shop.window.notices.words), (name, typed, said)
            assert not any(said) or form.texts() == typed
