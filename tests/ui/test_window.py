"""The window as a whole, with the gallery's pages: keys, ways, finding, and what everybody can reach."""

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton, QAbstractItemView, QApplication, QLabel, QWidget
from pytestqt.qtbot import QtBot

from shopdesk.ui.actions import Verb, commands
from shopdesk.ui.background import Background
from shopdesk.ui.find import FindLine
from shopdesk.ui.find_list import Deed, FindHit
from shopdesk.ui.rail import RailButton
from shopdesk.ui.screen import PageAction
from shopdesk.ui.theme.look import Look, LookChoice, Shade
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.popover import Popover
from shopdesk.ui.window import MainWindow, PageEntry
from tests.ui.gallery import PartsScreen, WorkScreen, build_window

PAGES = ("parts", "work", "money")


@pytest.fixture
def built(look: Look, qtbot: QtBot) -> Iterator[tuple[MainWindow, Background]]:
    window, background = build_window(look)
    window.show()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    yield window, background
    background.close()


@pytest.fixture
def window(built: tuple[MainWindow, Background]) -> MainWindow:
    return built[0]


@pytest.fixture
def background(built: tuple[MainWindow, Background]) -> Background:
    return built[1]


def press(qtbot: QtBot, key: Qt.Key, keys: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    qtbot.keyClick(QApplication.focusWidget(), key, keys)


CTRL = Qt.KeyboardModifier.ControlModifier
ALT = Qt.KeyboardModifier.AltModifier


def page_of(window: MainWindow) -> str:
    place = window.ways.place
    return place.page if place else ""


def test_that_a_page_is_built_when_it_is_first_visited(window: MainWindow) -> None:
    assert window.ways.screen is None
    window.ways.go("work")
    first = window.ways.screen
    window.ways.go("parts")
    window.ways.go("work")
    assert window.ways.screen is first


def test_that_numbers_go_to_pages_and_esc_goes_back(window: MainWindow, qtbot: QtBot) -> None:
    window.ways.go("parts")
    press(qtbot, Qt.Key.Key_2, CTRL)
    press(qtbot, Qt.Key.Key_7, CTRL)
    press(qtbot, Qt.Key.Key_Comma, CTRL)
    assert page_of(window) == "setup"
    press(qtbot, Qt.Key.Key_Escape)
    press(qtbot, Qt.Key.Key_Escape)
    assert page_of(window) == "work"
    window.ways.forward()
    assert page_of(window) == "money"


def test_that_only_the_page_in_sight_is_marked_on_the_rail(window: MainWindow) -> None:
    window.ways.go("parts")
    window.ways.go("work")
    marked = [b.text() for b in window.rail.findChildren(QAbstractButton) if b.accessibleDescription()]
    assert marked == ["Work orders"]


def test_that_the_main_action_and_the_strip_answer_from_within_a_field(
    window: MainWindow, qtbot: QtBot
) -> None:
    window.ways.go("work")
    screen = window.ways.screen
    assert isinstance(screen, WorkScreen)
    for name in ("drained", "notes"):
        window.notices.hide()
        screen.form.field(name).setFocus()
        press(qtbot, Qt.Key.Key_Return, CTRL)
        assert window.notices.words == "Work order 2117 is finished."
    press(qtbot, Qt.Key.Key_Right, ALT)
    assert screen.strip.choice() == "t"
    press(qtbot, Qt.Key.Key_Left, ALT)
    assert screen.strip.choice() == "g"


def test_that_finding_opens_the_first_hit_even_if_enter_is_faster(
    window: MainWindow, background: Background, qtbot: QtBot
) -> None:
    window.ways.go("parts")
    press(qtbot, Qt.Key.Key_K, CTRL)
    with qtbot.waitSignal(window.ways.arrived):
        qtbot.keyClicks(QApplication.focusWidget(), "kt44")
        press(qtbot, Qt.Key.Key_Return)
    place = window.ways.place
    assert place is not None
    assert (place.page, place.subject) == ("work", "KT 4471")
    assert not window.finder.is_open
    assert window.bar.search.text() == ""


def test_that_finding_lists_hits_then_deeds_and_esc_puts_it_aside(
    window: MainWindow, background: Background, qtbot: QtBot
) -> None:
    window.ways.go("parts")
    window.do(Verb.FIND)
    with qtbot.waitSignal(background.idle):
        qtbot.keyClicks(QApplication.focusWidget(), "work")
    kinds = [isinstance(entry, FindHit) for entry in window.finder.entries]
    assert kinds == sorted(kinds, reverse=True)
    assert kinds.count(False) >= 2
    press(qtbot, Qt.Key.Key_Escape)
    assert not window.finder.is_open
    assert page_of(window) == "parts"
    assert not window.bar.search.hasFocus()


def test_that_finding_nothing_is_said_and_what_was_typed_stays(window: MainWindow, qtbot: QtBot) -> None:
    window.ways.go("parts")
    window.set_provider(lambda _text: ())
    window.do(Verb.FIND)
    qtbot.keyClicks(QApplication.focusWidget(), "zz 99 zz")
    qtbot.waitUntil(lambda: window.finder.is_open and len(window.finder.entries) == 1)
    found = [entry.words for entry in window.finder.entries if isinstance(entry, Deed)]
    assert found == ["Nothing was found."]
    press(qtbot, Qt.Key.Key_Return)
    assert window.bar.search.text() == "zz 99 zz"
    assert window.bar.search.hasFocus()


def test_that_the_hint_of_a_narrow_find_field_leaves_its_key_out_whole(
    look: Look, shown: Callable[..., QWidget]
) -> None:
    line = FindLine(look, "Find or do", "Find or do…   Ctrl+K")
    shown(line, width=300, height=40)
    assert line.placeholderText() == "Find or do…   Ctrl+K"
    line.resize(150, 40)
    assert line.placeholderText() == "Find or do…"


def test_that_a_deed_is_done_from_the_list(window: MainWindow, qtbot: QtBot) -> None:
    window.ways.go("parts")
    window.set_provider(lambda _text: ())
    window.do(Verb.FIND)
    with qtbot.waitSignal(window.ways.arrived):
        qtbot.keyClicks(QApplication.focusWidget(), "go fluids")
        press(qtbot, Qt.Key.Key_Return)
    assert page_of(window) == "fluids"


def test_that_f6_goes_round_the_parts_of_the_window(window: MainWindow, qtbot: QtBot) -> None:
    window.ways.go("work")
    visited = []
    for _turn in range(3):
        press(qtbot, Qt.Key.Key_F6)
        focused = QApplication.focusWidget()
        visited.append(
            "rail"
            if window.rail.isAncestorOf(focused)
            else "head"
            if window.bar.isAncestorOf(focused)
            else "page"
        )
    assert visited == ["rail", "head", "page"]


def test_that_help_is_about_the_field_and_otherwise_lists_the_keys(window: MainWindow, qtbot: QtBot) -> None:
    window.ways.go("work")
    screen = window.ways.screen
    assert isinstance(screen, WorkScreen)
    screen.form.field("pumped").setFocus()
    press(qtbot, Qt.Key.Key_F1)
    (panel,) = window.findChildren(Popover)
    assert [label.text() for label in panel.findChildren(QLabel)] == ["Put in", "What went in."]
    press(qtbot, Qt.Key.Key_Escape)
    assert page_of(window) == "work"
    press(qtbot, Qt.Key.Key_Slash, CTRL)
    words = {label.text() for panel in window.findChildren(Popover) for label in panel.findChildren(QLabel)}
    assert {command.words for command in commands() if command.keys} <= words


def test_that_no_two_commands_share_a_key() -> None:
    keys = [key.toString() for command in commands() for key in command.keys]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("percent", [100, 200])
def test_that_tab_reaches_every_part_once(
    window: MainWindow, background: Background, look: Look, qtbot: QtBot, page: str, percent: int
) -> None:
    look.choose(LookChoice(shade=Shade.LIGHT, percent=percent, less_motion=True))
    with qtbot.waitSignal(background.idle):
        window.ways.go(page)
    wanted = {part for part in window.findChildren(QWidget) if takes_tab(part)}
    reached: list[QWidget] = []
    while True:
        part = QApplication.focusWidget()
        if part in reached:
            break
        reached.append(part)
        press(qtbot, Qt.Key.Key_Tab)
    assert part is reached[0]
    assert {name(p) for p in wanted} - {name(p) for p in reached} == set()
    assert len(reached) == len(wanted)
    look.choose(LookChoice(shade=Shade.LIGHT, less_motion=True))


def takes_tab(part: QWidget) -> bool:
    tab = bool(part.focusPolicy() & Qt.FocusPolicy.TabFocus)
    return tab and part.isVisible() and part.isEnabled() and part.focusProxy() is None


def name(part: QWidget) -> str:
    return f"{type(part).__name__} {part.accessibleName()}"


@pytest.mark.parametrize("page", PAGES)
def test_that_every_part_the_keyboard_reaches_has_a_name(window: MainWindow, page: str) -> None:
    window.ways.go(page)
    nameless = [
        part
        for part in window.findChildren(QWidget)
        if (takes_tab(part) or isinstance(part, QAbstractItemView)) and not part.accessibleName()
    ]
    assert [p for p in nameless if not p.objectName().startswith("qt_") and p.isVisible()] == []


@pytest.mark.parametrize("page", PAGES)
def test_that_no_text_is_ever_read_as_markup(window: MainWindow, page: str, qtbot: QtBot) -> None:
    window.ways.go(page)
    screen = window.ways.screen
    if isinstance(screen, WorkScreen):
        screen.low.explain()
    window.do(Verb.KEYS)
    labels = window.findChildren(QLabel)
    assert labels
    assert [label.text() for label in labels if label.textFormat() is not Qt.TextFormat.PlainText] == []
    tips = [part.toolTip() for part in window.findChildren(QWidget) if part.toolTip()]
    assert [tip for tip in tips if "<" in tip and not tip.startswith("<span>")] == []


@pytest.mark.parametrize("page", PAGES)
def test_that_building_a_page_shows_no_stray_window(window: MainWindow, page: str) -> None:
    window.ways.go(page)
    assert [top for top in QApplication.topLevelWidgets() if top.isVisible()] == [window]
    assert window.isActiveWindow()


@pytest.mark.parametrize("percent", [100, 200])
def test_that_the_window_fits_a_small_screen(window: MainWindow, look: Look, percent: int) -> None:
    look.choose(LookChoice(shade=Shade.DARK, percent=percent, less_motion=True))
    for page in PAGES:
        window.ways.go(page)
        least = window.minimumSizeHint()
        assert (least.width() <= 1280, least.height() <= 800) == (True, True), (page, least)
    look.choose(LookChoice(shade=Shade.LIGHT, less_motion=True))


def test_that_the_bay_stands_alone_with_big_targets_and_f11_goes_there_and_back(
    window: MainWindow, qtbot: QtBot
) -> None:
    window.ways.go("work")
    here = window.ways.screen
    assert here is not None
    desk = here.desk
    window.add_page(
        PageEntry(
            page="bay", words="Bay", icon="check", build=lambda: PartsScreen(desk), on_rail=False, bay=True
        )
    )
    press(qtbot, Qt.Key.Key_F11)
    assert page_of(window) == "bay"
    assert not window.rail.isVisible()
    assert not window.bar.search.isVisible()
    assert window.bar.back.isVisible()
    assert window.bar.back.height() >= 56
    press(qtbot, Qt.Key.Key_F11)
    assert page_of(window) == "work"
    assert window.rail.isVisible()


def test_that_nothing_is_undone_twice_and_the_command_says_so(window: MainWindow) -> None:
    window.ways.go("work")
    undone: list[str] = []
    window.notices.tell("Line removed.", "Undo", lambda: undone.append("line"))
    window.do(Verb.UNDO)
    window.do(Verb.UNDO)
    assert undone == ["line"]
    assert window.notices.words == "There is nothing to undo."


def test_that_a_page_reached_from_another_is_marked_on_the_rail_as_under_it(window: MainWindow) -> None:
    window.ways.go("work")
    here = window.ways.screen
    assert here is not None
    desk = here.desk
    window.add_page(
        PageEntry(
            page="one order",
            words="",
            icon="",
            build=lambda: PartsScreen(desk),
            on_rail=False,
            under="work",
        )
    )
    window.ways.go("money")
    window.ways.go("one order")
    marked = [button.accessibleName() for button in window.rail.findChildren(RailButton) if button.here]
    window.ways.go("work")
    assert marked == [
        button.accessibleName() for button in window.rail.findChildren(RailButton) if button.here
    ]
    assert len(marked) == 1


def test_that_enter_presses_the_button_and_the_rail_page_that_have_the_keyboard(
    window: MainWindow, look: Look, qtbot: QtBot
) -> None:
    pressed: list[str] = []
    button = Button(look, "Save", parent=window)
    button.clicked.connect(lambda: pressed.append("save"))
    button.show()
    qtbot.keyClick(button, Qt.Key.Key_Return)
    qtbot.keyClick(button, Qt.Key.Key_Return, CTRL)
    assert pressed == ["save"]
    window.ways.go("work")
    money = next(part for part in window.rail.findChildren(RailButton) if part.text() == "Money")
    qtbot.keyClick(money, Qt.Key.Key_Return)
    assert page_of(window) == "money"


def test_that_the_sections_of_a_page_stand_under_its_title_and_are_reached_by_keyboard(
    window: MainWindow, qtbot: QtBot
) -> None:
    window.ways.go("work")
    here = window.ways.screen
    assert here is not None
    desk = here.desk
    window.add_page(
        PageEntry(
            page="counts",
            words="Counts",
            icon="",
            build=lambda: PartsScreen(desk),
            on_rail=False,
            under="parts",
        )
    )
    window.ways.go("parts")
    words = [button.text() for button in window.sections.buttons]
    assert words[1:] == ["Counts"]
    assert len(words) == 2
    window.sections.buttons[1].setFocus()
    press(qtbot, Qt.Key.Key_Return)
    assert page_of(window) == "counts"
    assert [button.here for button in window.sections.buttons] == [False, True]
    window.ways.go("money")
    assert not window.sections.isVisible()
    window.set_provider(lambda _text: ())
    window.do(Verb.FIND)
    with qtbot.waitSignal(window.ways.arrived):
        qtbot.keyClicks(QApplication.focusWidget(), "go to counts")
        press(qtbot, Qt.Key.Key_Return)
    assert page_of(window) == "counts"


def test_that_the_keys_on_buttons_give_way_to_the_find_field(window: MainWindow) -> None:
    window.resize(1280, 800)
    window.ways.go("work")
    screen = window.ways.screen
    assert screen is not None
    more = [PageAction(words=f"Another thing {n}", do=lambda: None, verb=Verb.PRINT) for n in range(3)]
    screen.set_actions(PageAction(words="Finish", do=lambda: None), *more[:1])
    assert [button.text() for button in window.bar._buttons][-1].startswith("Finish  Ctrl")
    screen.set_actions(PageAction(words="Finish", do=lambda: None), *more)
    assert [button.text() for button in window.bar._buttons][-1] == "Finish"
    assert "Ctrl" in window.bar._buttons[-1].accessibleName()


def test_that_the_page_whose_name_was_typed_comes_before_one_that_only_contains_it(
    window: MainWindow, qtbot: QtBot
) -> None:
    window.ways.go("parts")
    here = window.ways.screen
    assert here is not None
    desk = here.desk
    window.set_provider(lambda _text: ())
    window.add_page(
        PageEntry(
            page="orders",
            words="Orders",
            icon="",
            build=lambda: PartsScreen(desk),
            on_rail=False,
            under="parts",
        )
    )
    window.do(Verb.FIND)
    with qtbot.waitSignal(window.ways.arrived):
        qtbot.keyClicks(QApplication.focusWidget(), "orders")
        press(qtbot, Qt.Key.Key_Return)
    assert page_of(window) == "orders"
