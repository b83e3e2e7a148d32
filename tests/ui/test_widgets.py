"""The drawn parts: what they say to those who cannot see them, and what the keyboard does."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from itertools import pairwise

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QLabel, QWidget
from pytestqt.qtbot import QtBot

from shopdesk.ui.theme.look import Look, LookChoice, Shade
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.driveline_strip import DrivelineStrip, StripUnit
from shopdesk.ui.widgets.figure import CameFrom, Figure
from shopdesk.ui.widgets.notice import NoticeBar
from shopdesk.ui.widgets.odometer_line import OdometerLine, OdometerPoint
from shopdesk.ui.widgets.popover import Popover
from shopdesk.ui.widgets.segments import Segments
from shopdesk.ui.widgets.sight_glass import Level, SightGlass
from shopdesk.ui.widgets.state_mark import State, StateBadge

Show = Callable[..., QWidget]
GEARBOX = StripUnit(key="g", title="Gearbox", detail="9.0 L", due="in 900 mi", state=State.SOON, used=0.9)
UNITS = (
    GEARBOX,
    replace(GEARBOX, key="t", title="Transfer case"),
    replace(GEARBOX, key="f", title="Front axle", branch=True),
    replace(GEARBOX, key="r", title="Rear axle", state=State.LATE, due="40 mi over"),
)


@pytest.fixture
def strip(look: Look, shown: Show) -> DrivelineStrip:
    strip = DrivelineStrip(look)
    strip.set_units(UNITS)
    shown(strip, 1200, 200)
    return strip


def test_that_stepping_goes_along_the_strip_and_stops_at_its_ends(strip: DrivelineStrip) -> None:
    heard: list[str] = []
    strip.chosen.connect(heard.append)
    for by in (-1, 1, 1, 1, 1):
        strip.step(by)
    assert heard == ["t", "f", "r"]
    assert strip.choice() == "r"


def test_that_each_card_says_everything_in_words_and_is_chosen_by_key(
    strip: DrivelineStrip, qtbot: QtBot
) -> None:
    assert strip.cards[3].accessibleName() == "Rear axle, 9.0 L, Overdue, 40 mi over"
    strip.cards[0].setFocus()
    with qtbot.waitSignal(strip.chosen) as chosen:
        qtbot.keyClick(strip.cards[0], Qt.Key.Key_Right)
    assert chosen.args == ["t"]


def test_that_the_front_axle_branches_off_after_the_transfer_case(strip: DrivelineStrip) -> None:
    gearbox, transfer, front, rear = (card.geometry() for card in strip.cards)
    assert gearbox.right() < transfer.left() < transfer.right() < front.left()
    assert front.left() == rear.left()
    assert front.bottom() < rear.top()


def test_that_a_narrow_strip_stands_upright_without_losing_a_card(strip: DrivelineStrip) -> None:
    strip.resize(300, 400)
    boxes = [card.geometry() for card in strip.cards]
    assert all(one.bottom() < other.top() for one, other in pairwise(boxes))
    assert boxes[-1].bottom() <= strip.height()


def test_that_a_glass_moves_only_when_motion_is_wanted(look: Look, shown: Show, qtbot: QtBot) -> None:
    glass = SightGlass(look, Level(full=0.0, figure="0 L", name="ATF"))
    shown(glass)
    glass.set_level(Level(full=1.0, figure="60 L", name="ATF", state=State.LATE, state_words="too full"))
    assert glass.shown == 1.0
    assert glass.accessibleName() == "ATF, 60 L, too full"
    look.choose(LookChoice(shade=Shade.LIGHT, less_motion=False))
    glass.set_level(Level(full=0.0, figure="0 L", name="ATF"))
    assert glass.shown > 0.5
    qtbot.waitUntil(lambda: glass.shown == 0.0)


def test_that_the_fluid_stands_as_high_as_it_should(look: Look, shown: Show) -> None:
    glass = SightGlass(look, Level(full=0.5, figure="", name=""))
    shown(glass)
    fluid = look.colour("fluid").rgb()
    picture: QImage = glass.grab().toImage()
    middle = picture.width() // 2
    rows = [y for y in range(picture.height()) if picture.pixel(middle, y) == fluid]
    tube = look.px(92)
    assert len(rows) == pytest.approx(tube / 2, abs=2)
    assert max(rows) == pytest.approx(tube, abs=3)


def test_that_a_derived_figure_opens_what_it_came_from_and_gives_the_keyboard_back(
    look: Look, shown: Show, qtbot: QtBot
) -> None:
    figure = Figure(look, "Came in low by")
    figure.set_value(
        "0.21 qt", came_from=CameFrom(rows=(("Put in", "5.1 <b>qt</b>"),), formula="put in − drained")
    )
    page = QWidget()
    figure.setParent(page)
    shown(page)
    figure.setFocus()
    qtbot.keyClick(figure, Qt.Key.Key_Return)
    (panel,) = page.findChildren(Popover)
    assert [label.text() for label in panel.findChildren(QLabel)] == [
        "Came in low by",
        "put in − drained",
        "Put in",
        "5.1 <b>qt</b>",
    ]
    qtbot.keyClick(panel, Qt.Key.Key_Escape)
    assert not panel.isVisible()
    assert figure.hasFocus()


def test_that_a_measured_figure_has_nothing_to_open(look: Look, shown: Show, qtbot: QtBot) -> None:
    figure = Figure(look, "Drained", "4.7 qt")
    shown(figure)
    figure.explain()
    assert figure.findChildren(Popover) == []
    assert figure.focusPolicy() is Qt.FocusPolicy.NoFocus
    assert figure.accessibleName() == "Drained: 4.7 qt"


def test_that_the_keyboard_walks_along_the_odometer(look: Look, shown: Show, qtbot: QtBot) -> None:
    line = OdometerLine(look)
    line.set_points(
        [
            OdometerPoint(on=date(2026, 5, 1), distance=70, shown="70 mi"),
            OdometerPoint(on=date(2026, 1, 1), distance=90, shown="90 mi", doubt="higher than the next"),
        ]
    )
    shown(line)
    assert line.accessibleDescription() == "1 May 2026, 70 mi"
    qtbot.keyClick(line, Qt.Key.Key_Left)
    qtbot.keyClick(line, Qt.Key.Key_Left)
    assert line.accessibleDescription() == "1 Jan 2026, 90 mi, higher than the next"


def test_that_a_line_without_readings_says_so(look: Look, shown: Show) -> None:
    line = OdometerLine(look)
    line.set_points([])
    shown(line)
    assert line.accessibleDescription() == "No readings yet."


def test_that_a_notice_undoes_once(look: Look, shown: Show) -> None:
    done: list[str] = []
    notice = NoticeBar(look)
    shown(notice)
    notice.tell("Line removed.", "Undo", lambda: done.append("undone"))
    notice.page_changed()
    assert notice.words == "Line removed."
    assert notice.undo()
    assert not notice.undo()
    assert done == ["undone"]
    notice.refuse("Not so.")
    notice.page_changed()
    assert notice.words == ""


def test_that_arrow_keys_move_along_a_row_of_choices(look: Look, shown: Show, qtbot: QtBot) -> None:
    row = Segments(look, "Stage", [("all", "All"), ("bay", "In the bays"), ("bill", "To bill")])
    shown(row)
    row.findChildren(Button)[0].setFocus()
    with qtbot.waitSignal(row.chosen) as chosen:
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Right)
    assert (chosen.args, row.choice()) == (["bay"], "bay")


def test_that_a_state_without_a_word_of_its_own_has_the_usual_one(look: Look, shown: Show) -> None:
    badge = StateBadge(look, State.LATE)
    shown(badge)
    assert badge.accessibleName() == "Overdue"
    badge.set_state(State.UNKNOWN)
    assert badge.accessibleName() == "Cannot be said"
