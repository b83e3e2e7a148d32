"""Lists read windows of rows, never all of them."""

from collections.abc import Callable, Iterator, Sequence

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from shopdesk.ui.background import Background
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.rows_model import Column, RowsQuery
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

Show = Callable[..., QWidget]
ENDLESS = 1_000_000


class Numbers:
    """A source of a million rows that remembers what it was asked."""

    def __init__(self) -> None:
        self.asked: list[RowsQuery[int]] = []
        self.gone: set[int] = set()

    def __call__(self, query: RowsQuery[int]) -> Sequence[int]:
        self.asked.append(query)
        start = 0 if query.after is None else query.after + 1
        if query.text:
            return [int(query.text)]
        rows = range(start, min(start + query.limit, ENDLESS))
        found = [row for row in rows if row not in self.gone]
        return found[::-1] if query.descending else found


@pytest.fixture
def background(qapp: object) -> Iterator[Background]:
    background = Background(refused=pytest.fail, bug=pytest.fail, announce=pytest.fail)
    yield background
    background.close()


@pytest.fixture
def numbers() -> Numbers:
    return Numbers()


@pytest.fixture
def table(look: Look, background: Background, numbers: Numbers, shown: Show, qtbot: QtBot) -> RowTable[int]:
    columns = [
        Column[int](title="Number", text=str, key="number", number=True),
        Column[int](title="State", text=lambda row: "odd" if row % 2 else "", state=lambda row: State.SOON),
        Column[int](title="Note", text=lambda row: f"<b>{row}</b>", stretch=True, optional=True),
    ]
    table: RowTable[int] = RowTable(look, "Numbers", columns, empty="No number fits.")
    shown(table)
    with qtbot.waitSignal(table.shown):
        table.read_from(background, numbers)
    return table


def test_that_only_the_first_window_is_read_at_first(table: RowTable[int], numbers: Numbers) -> None:
    assert [(query.offset, query.limit) for query in numbers.asked] == [(0, 100)]
    assert len(table.rows) == 100


def test_that_the_next_window_goes_on_from_the_last_row(
    table: RowTable[int], numbers: Numbers, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(table.shown):
        table.scrollToBottom()
    assert [(query.offset, query.after) for query in numbers.asked] == [(0, None), (100, 99)]
    assert list(table.rows) == list(range(200))


def test_that_the_end_is_noticed_without_counting(
    look: Look, background: Background, shown: Show, qtbot: QtBot
) -> None:
    asked: list[int] = []

    def few(query: RowsQuery[int]) -> Sequence[int]:
        asked.append(query.offset)
        return range(7)

    table: RowTable[int] = RowTable(look, "Few", [Column[int](title="Number", text=str)])
    shown(table)
    with qtbot.waitSignal(table.shown):
        table.read_from(background, few)
    table.scrollToBottom()
    assert background.is_idle
    assert asked == [0]


def test_that_sorting_is_asked_of_the_source_and_turns_round(
    table: RowTable[int], numbers: Numbers, qtbot: QtBot
) -> None:
    for _turn in range(2):
        with qtbot.waitSignal(table.shown):
            table.sort_by(0)
    assert [(query.order, query.descending) for query in numbers.asked[1:]] == [
        ("number", False),
        ("number", True),
    ]
    table.sort_by(1)
    assert len(numbers.asked) == 3


def test_that_filtering_is_asked_of_the_source(table: RowTable[int], numbers: Numbers, qtbot: QtBot) -> None:
    with qtbot.waitSignal(table.shown):
        table.ask(text="4")
        table.ask(text="47")
    assert list(table.rows) == [47]
    assert numbers.asked[-1].offset == 0


def test_that_reading_again_keeps_the_row_in_hand_even_if_others_went(
    table: RowTable[int], numbers: Numbers, qtbot: QtBot
) -> None:
    table.selectRow(42)
    numbers.gone = {3, 4, 5}
    with qtbot.waitSignal(table.shown):
        table.refresh()
    assert table.current() == 42


def test_that_enter_opens_the_row_and_tab_leaves_the_list(table: RowTable[int], qtbot: QtBot) -> None:
    table.selectRow(5)
    with qtbot.waitSignal(table.opened) as opened:
        qtbot.keyClick(table, Qt.Key.Key_Return)
    assert opened.args == [5]
    assert not table.tabKeyNavigation()


def test_that_an_empty_list_says_so(look: Look, shown: Show) -> None:
    table: RowTable[int] = RowTable(
        look, "None", [Column[int](title="Number", text=str)], empty="No number fits."
    )
    shown(table)
    assert table.accessibleDescription() == ""
    table.set_rows(())
    table.grab()
    assert table.accessibleDescription() == "No number fits."


def test_that_optional_columns_go_when_there_is_no_room(table: RowTable[int]) -> None:
    assert not table.isColumnHidden(2)
    table.resize(240, 400)
    assert table.isColumnHidden(2)
    assert not table.isColumnHidden(0)


def test_that_the_list_is_drawn_with_badges_and_choice(table: RowTable[int], look: Look) -> None:
    table.selectRow(1)
    picture = table.grab().toImage()
    colours = {picture.pixel(x, y) for x in range(picture.width()) for y in range(0, picture.height(), 3)}
    assert look.colour("soon_soft").rgb() in colours
    assert look.colour("accent_soft").rgb() in colours
