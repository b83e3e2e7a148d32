"""Another text size, and somebody else at work: what the whole window does about it."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QObject
from PySide6.QtWidgets import QApplication

from shopdesk.services.setup import AddPerson
from shopdesk.ui.opening import follow_person
from shopdesk.ui.resizing import Resizing
from shopdesk.ui.screens.new_work_order import NewWorkOrderScreen
from shopdesk.ui.screens.setup.people import PeopleSection
from shopdesk.ui.screens.setup.screen import SetUpScreen
from shopdesk.ui.theme.look import Look, LookChoice, Shade
from tests.ui.shop_window import ShopInWindow, shop_in_window


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("setup", "new work order", "due")) as found:
        resizing = Resizing(look, found.background, found.desk.drafts, found.window.ways)
        found.show()
        yield found
        resizing.stop()
    look.choose(LookChoice(shade=Shade.LIGHT, less_motion=True))


def larger(look: Look, shop: ShopInWindow, percent: int) -> None:
    look.choose(LookChoice(shade=Shade.LIGHT, percent=percent, less_motion=True))
    shop.settle()


def test_that_another_text_size_makes_the_pages_anew_and_keeps_what_was_typed(
    look: Look, shop: ShopInWindow
) -> None:
    shop.go("due")
    before = shop.go("new work order")
    assert isinstance(before, NewWorkOrderScreen)
    before.focus_first()
    shop.key("Tab")
    shop.type("Kim Alvarez")
    name = QApplication.focusWidget()
    assert name is not None
    called = name.accessibleName()
    narrow = before.column.spacing()
    larger(look, shop, 200)
    after = shop.window.ways.screen
    assert isinstance(after, NewWorkOrderScreen)
    assert after is not before
    assert after.column.spacing() == 2 * narrow
    focused = QApplication.focusWidget()
    assert focused is not None
    assert focused.accessibleName() == called
    assert focused.property("text") == "Kim Alvarez"


def test_that_set_up_stays_at_its_section(look: Look, shop: ShopInWindow) -> None:
    screen = shop.go("setup")
    assert isinstance(screen, SetUpScreen)
    screen.sections.choose("look")
    screen.sections.chosen.emit("look")
    shop.settle()
    larger(look, shop, 150)
    after = shop.window.ways.screen
    assert isinstance(after, SetUpScreen)
    assert after is not screen
    assert after.sections.choice() == "look"


def test_that_another_colour_makes_no_page_anew(look: Look, shop: ShopInWindow) -> None:
    before = shop.go("due")
    look.choose(LookChoice(shade=Shade.DARK, less_motion=True))
    shop.settle()
    assert shop.window.ways.screen is before


def test_that_whoever_takes_over_is_named_on_the_rail(shop: ShopInWindow) -> None:
    owner = QObject()
    follow_person(shop.window, shop.background, shop.bus, shop.work, owner)
    shop.rooms.setup.add_person(AddPerson(actor=shop.work.actor, name="Noor Vance", role="technician"))
    screen = shop.go("setup", "people")
    assert isinstance(screen, SetUpScreen)
    section = screen.section
    assert isinstance(section, PeopleSection)
    noor = next(row for row in section.table.rows if row.name == "Noor Vance")
    section.table.opened.emit(noor)
    shop.settle()
    assert shop.work.actor.person_id == noor.id
    assert shop.window.rail.person == "Noor Vance"
    shop.window.notices.undo()
    shop.settle()
    assert shop.window.rail.person != "Noor Vance"
