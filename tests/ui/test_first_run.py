"""The first run: from nothing to a shop, by keyboard."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from random import Random

import pytest

from shopdesk.launch import open_desk
from shopdesk.services.desk import Desk as Rooms
from shopdesk.ui.background import Background
from shopdesk.ui.changes import Bus
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import Drafts
from shopdesk.ui.printing import QtPrinting
from shopdesk.ui.screens.first_run import FirstRunScreen
from shopdesk.ui.scripted_ask import ScriptedAsk
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.search_field import SearchField
from shopdesk.ui.window import MainWindow, PageEntry
from tests.ui.odd_texts import odd_text
from tests.ui.shop_window import StandingClock, Typing, assert_tab_walks


@dataclass
class Run(Typing):
    """The window with the page in it, and what was called."""

    rooms: Rooms
    window: MainWindow
    background: Background
    called: list[str] = field(default_factory=list)

    @property
    def screen(self) -> FirstRunScreen:
        screen = self.window.ways.screen
        assert isinstance(screen, FirstRunScreen)
        return screen


@pytest.fixture
def run(look: Look, sqlite_url: str) -> Iterator[Run]:
    rooms = open_desk(sqlite_url, clock=StandingClock())
    bus = Bus()
    background = Background(refused=pytest.fail, bug=pytest.fail, announce=bus.announce)
    window = MainWindow(look, background)
    desk = Desk(
        look=look, background=background, bus=bus, ask=ScriptedAsk(),
        drafts=Drafts(background, rooms.drafts(rooms.actor())), printing=QtPrinting(), ways=window.ways,
        notices=window.notices,
    )  # fmt: skip
    found = Run(rooms, window, background)

    def build() -> FirstRunScreen:
        return FirstRunScreen(
            desk, rooms, lambda: found.called.append("set up"), lambda: found.called.append("demo")
        )

    window.add_page(PageEntry(page="first run", words="", icon="", build=build, on_rail=False))
    window.show()
    window.activateWindow()
    window.ways.go("first run")
    found.settle()
    yield found
    window.close()
    background.close()
    rooms.close()
    window.deleteLater()


def test_that_there_is_nowhere_to_go_and_nothing_to_find_before_there_is_a_shop(run: Run) -> None:
    assert not run.window.rail.isVisible()
    assert not run.window.bar.search.isVisible()


def test_that_three_names_are_enough_to_be_at_work(run: Run) -> None:
    run.type("Alder Driveline")
    run.key("Return")
    run.type("Maya Kestrel")
    run.key("Return")
    run.type("Marrow State")
    run.key("Ctrl+Return")
    assert run.called == ["set up"]
    shop = run.rooms.setup.shop()
    assert (shop.name, shop.place, shop.currency.code) == ("Alder Driveline", "Marrow State", "USD")
    assert (shop.volume_unit, shop.distance_unit, shop.paper_size) == ("qt", "mi", "Letter")
    assert [person.name for person in run.rooms.setup.people()] == ["Maya Kestrel"]


def test_that_what_is_missing_is_said_beside_each_field_at_once(run: Run) -> None:
    run.type("Alder")
    run.key("Ctrl+Return")
    form = run.screen.form
    assert [bool(form.field(name).error) for name in ("name", "owner", "place")] == [False, True, True]
    assert not run.rooms.setup.is_set_up()
    assert form.field("name").text() == "Alder"


def test_that_a_country_brings_its_usual_values_but_not_over_ones_own(run: Run) -> None:
    form = run.screen.form
    form.field("tax_name").setFocus()
    run.type("TVA")
    form.field("locale").setFocus()
    run.type("German, Ger")
    locale = form.field("locale")
    assert isinstance(locale, SearchField)
    assert locale.offered() == ["de_DE · German, Germany", "nds_DE · Low German, Germany"]
    run.key("Down")
    run.key("Return")
    assert form.field("locale").text() == "de_DE · German, Germany"
    assert form.field("currency").text() == "EUR · Euro"
    assert form.field("units").text() == "metric"
    assert form.field("volume_unit").text() == "l"
    assert form.field("tax_name").text().endswith("TVA")


def test_that_one_choice_sets_all_four_units_and_each_can_be_changed(run: Run) -> None:
    form = run.screen.form
    form.field("units").setFocus()
    run.key("Down")
    units = ("volume_unit", "temperature_unit", "torque_unit", "distance_unit")
    assert [form.field(name).text() for name in units] == ["l", "degc", "nm", "km"]
    form.field("distance_unit").setFocus()
    run.key("Up")
    assert form.field("units").text() == "miles"
    form.field("torque_unit").setFocus()
    run.key("Up")
    assert form.field("units").text() == "mix"


def test_that_a_currency_is_found_by_its_name_and_taxes_are_kept(run: Run) -> None:
    form = run.screen.form
    for name, text in (("name", "Alder"), ("owner", "Maya"), ("place", "Ostmark")):
        form.field(name).set_text(text)
    form.field("currency").setFocus()
    run.type("dollar")
    run.key("Ctrl+Return")
    assert "More than one fits" in form.field("currency").error
    currency = form.field("currency")
    assert isinstance(currency, SearchField)
    run.key("Ctrl+A")
    run.type("franc")
    for key in ("Down", "Up", "Up", "Escape"):
        run.key(key)
    assert form.field("currency").text() == "franc"
    run.type(" sui")
    assert currency.offered() == []
    form.field("currency").set_text("")
    run.type("swiss")
    run.key("Down")
    run.key("Return")
    form.field("zone").set_text("zurich")
    form.field("tax_on_parts").set_text("8,1")
    form.field("tax_on_labour").set_text("101")
    run.key("Ctrl+Return")
    assert form.field("tax_on_labour").error
    form.field("tax_on_labour").set_text("8.1 %")
    run.key("Ctrl+Return")
    shop = run.rooms.setup.shop()
    assert (shop.currency.code, shop.zone) == ("CHF", "Europe/Zurich")
    rates = {(rate.tax_class, rate.rate_ppm) for rate in run.rooms.setup.tax_rates()}
    assert rates == {("parts and fluids", 81_000), ("labour", 81_000)}


def test_that_a_tax_that_was_named_without_a_rate_is_asked_about(run: Run) -> None:
    form = run.screen.form
    for name in ("name", "owner", "place"):
        form.field(name).set_text("Alder")
    form.field("tax_name").setFocus()
    run.key("Ctrl+A")
    run.type("County tax")
    run.key("Ctrl+Return")
    assert form.field("tax_on_parts").error.startswith("Write the tax's rate")
    assert not run.rooms.setup.is_set_up()
    assert form.field("tax_name").text() == "County tax"
    run.type("8.25")
    run.key("Ctrl+Return")
    assert [(rate.name, rate.rate_ppm) for rate in run.rooms.setup.tax_rates()] == [("County tax", 82_500)]


@pytest.mark.parametrize(("name", "rate"), [("", ""), ("County tax", "0")])
def test_that_a_shop_without_a_tax_says_so_and_is_set_up(run: Run, name: str, rate: str) -> None:
    form = run.screen.form
    for field_name in ("name", "owner", "place", "tax_on_parts"):
        form.field(field_name).set_text(rate if field_name == "tax_on_parts" else "Alder")
    form.field("tax_name").setFocus()
    run.key("Ctrl+A")
    run.key("Delete")
    run.type(name)
    run.key("Ctrl+Return")
    assert run.called == ["set up"]
    assert run.rooms.setup.tax_rates() == ()


def test_that_a_double_click_sets_up_one_shop(run: Run) -> None:
    form = run.screen.form
    for name in ("name", "owner", "place"):
        form.field(name).set_text("Alder")
    run.screen.start()
    run.screen.start()
    run.settle()
    assert run.called == ["set up"]


def test_that_the_demo_shop_can_be_looked_at_instead(run: Run) -> None:
    other = run.screen.others[0]
    other.do()
    assert run.called == ["demo"]
    assert not run.rooms.setup.is_set_up()


def test_that_tab_reaches_each_part_once_and_all_have_names(run: Run) -> None:
    assert_tab_walks(run, run.screen)


def test_that_odd_texts_are_refused_beside_a_field_or_set_the_shop_up(run: Run) -> None:
    dice = Random(5)
    form = run.screen.form
    choices = {"units", "volume_unit", "temperature_unit", "torque_unit", "distance_unit"}
    for _turn in range(60):
        form.restore({name: odd_text(dice) for name in form.texts() if name not in choices})
        typed = form.texts()
        run.key("Ctrl+Return")
        said = [form.field(name).error for name in typed] + [form.error]
        assert any(said) or run.called
        assert form.texts() == typed
        if run.called:
            break
    assert run.rooms.setup.is_set_up() is bool(run.called)
