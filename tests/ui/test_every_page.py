"""Every page on a small busy shop: it opens, Tab walks it, everything has a name, nothing is cut.

The pages are those the program registers: a new page is walked without being named here, but one that is
not reached by the rail or by a section needs its subject in ``SUBJECTS``.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QObject, QSize
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QLineEdit, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from shopdesk.domain.stages import Stage
from shopdesk.launch import open_desk
from shopdesk.services.board import WorkOrderRow
from shopdesk.services.demo.make import ensure_demo
from shopdesk.services.demo.plan import SMALL
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.items import ItemKind
from shopdesk.ui.presenters.billing import papers_of
from shopdesk.ui.screens.first_run import FirstRunScreen
from shopdesk.ui.theme.look import Look, LookChoice, Shade
from shopdesk.ui.theme.tokens import DARK, LIGHT
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.window import PageEntry
from tests.ui.shop_window import NOW, ShopInWindow, shop_in_window
from tests.ui.walking import controls, cut, lay_out, marked_up, nameless, tab_walk, told, twins

Subjects = Callable[[Rooms], Sequence[str]]


def _orders(rooms: Rooms, stage: Stage) -> Sequence[WorkOrderRow]:
    return rooms.board.work_orders(stages=(stage,), most=1)


def _work_orders(rooms: Rooms) -> list[str]:
    """One of every stage that the shop has."""
    return [str(row.id) for stage in Stage for row in _orders(rooms, stage)]


def _bays(rooms: Rooms) -> list[str]:
    return ["", str(_orders(rooms, Stage.IN_THE_BAY)[0].id)]


def _records(rooms: Rooms) -> list[str]:
    order = rooms.board.work_order(int(_bays(rooms)[1]))
    return [str(record.record_id) for record in order.records[:1]]


def _vehicles(rooms: Rooms) -> list[str]:
    vehicles = rooms.intake.vehicles(most=10)
    most_units = max(vehicles, key=lambda row: len(rooms.intake.vehicle(row.id).units))
    return [str(most_units.id)]


def _units(rooms: Rooms) -> list[str]:
    return [str(unit.id) for unit in rooms.intake.vehicle(int(_vehicles(rooms)[0])).units[:2]]


def _invoices(rooms: Rooms) -> list[str]:
    rows = rooms.board.work_orders(stages=(Stage.INVOICED, Stage.COLLECTED), most=10)
    found = [rooms.board.work_order(row.id).invoice for row in rows]
    return [str(invoice.id) for invoice in found if invoice is not None][:2]


def _papers(rooms: Rooms) -> list[str]:
    """A paper of every kind."""
    order = rooms.board.work_order(_orders(rooms, Stage.COLLECTED)[0].id)
    by_kind = {line.words: line.subject for line in papers_of(order)}
    return list(by_kind.values())


SUBJECTS: dict[str, Subjects] = {
    "work order": _work_orders,
    "order": lambda rooms: ["new", *[str(row.id) for row in rooms.buying.orders()[:1]]],
    "receiving file": lambda _rooms: [""],
    "bill": lambda rooms: [f"supplier:{row.id}" for row in rooms.buying.suppliers()[:1]],
    "new work order": lambda rooms: ["", f"vehicle:{_vehicles(rooms)[0]}"],
    "bay": _bays,
    "vehicle": _vehicles,
    "unit": _units,
    "plan": lambda rooms: _units(rooms)[:1],
    "customer": lambda rooms: ["new", str(rooms.intake.customers(most=1)[0].id)],
    "item": lambda rooms: ["new:Halden", *[str(item.id) for item in rooms.items.all()][::8]],
    "kit": lambda rooms: [str(item.id) for item in rooms.items.all() if item.kind is ItemKind.PART][:1],
    "lots": lambda rooms: ["", *rooms.recalls.lots()[:1]],
    "pours": _records,
    "invoice": _invoices,
    "paper": _papers,
    "sheet": lambda rooms: ["", str(rooms.sheets.all()[0].sheet_id)],
    "setup": lambda _rooms: [
        "shop", "people", "sheets", "items", "tools", "taxes", "papers", "look",
    ],
}  # fmt: skip

SIZE = QSize(1280, 800)

# What is pressed one after the other on a page, by name, so that its other parts and forms are seen too.
PRESSED: dict[str, Sequence[str]] = {
    "work order": (
        "Part of the work order: Service",
        "Part of the work order: Papers and payment",
        "Part of the work order: Price and consent",
        "Change these facts",
        "Record consent",
        "Take payment",
    ),
    "new work order": ("Ask the six questions",),
    "vehicle": ("Add unit", "Change", "Change keeper", "Change the vehicle"),
    "customer": ("Add vehicle",),
    "item": ("Edit",),
}


@pytest.fixture(scope="session")
def _busy_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("busy") / "shop.db"
    ensure_demo(str(file), open_desk, now=NOW, size=SMALL).close()
    return file


@pytest.fixture
def busy_shop(_busy_shop: Path, tmp_path: Path) -> Path:
    return Path(shutil.copyfile(_busy_shop, tmp_path / "shop.db"))


def entries(shop: ShopInWindow) -> Sequence[PageEntry]:
    return list(shop.window._pages.values())


def first_run(shop: ShopInWindow) -> PageEntry:
    """The page of a shop that is not set up yet, which the program shows instead of all others."""

    def build() -> FirstRunScreen:
        return FirstRunScreen(shop.desk, shop.rooms, lambda: None, lambda: None)

    return PageEntry(page="first run", words="First run", icon="", build=build, on_rail=False)


def places(shop: ShopInWindow) -> Iterator[tuple[str, str]]:
    """Every page with each of its subjects; those that one goes to by their words have none."""
    for entry in entries(shop):
        of_page = SUBJECTS.get(entry.page)
        for subject in of_page(shop.rooms) if of_page is not None else [""]:
            yield entry.page, subject


class Openings(QObject):
    """Hears of every other window that opens, were it only for a moment."""

    def __init__(self, window: QWidget) -> None:
        super().__init__()
        self._window = window
        self.heard: list[str] = []

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        shown = event.type() is QEvent.Type.Show and watched is not self._window
        if shown and isinstance(watched, QWidget) and watched.isWindow():
            self.heard.append(f"opens as a window of its own: {told(watched)}")
        return False


def faults(window: QWidget, *, walk: bool) -> list[str]:
    """Name what is wrong with the page in sight."""
    lay_out()
    found = nameless(window) + twins(window) + marked_up(window) + cut(window, SIZE)
    return found + (tab_walk(window) if walk else [])


def look_at_all(shop: ShopInWindow, pressed: set[tuple[str, str]], *, walk: bool) -> Iterator[str]:
    """Go to every page with each of its subjects, press what opens more, and name what is wrong."""
    openings = Openings(shop.window)
    application = QApplication.instance()
    assert application is not None
    application.installEventFilter(openings)
    for page, subject in places(shop):
        shop.go(page, subject)
        here = f"{page} {subject}"
        if shop.place() != (page, subject):
            yield f"{here} leads to {shop.place()}"
        yield from (f"{here}: {fault}" for fault in faults(shop.window, walk=walk))
        for name in PRESSED.get(page, ()) if walk else ():
            if press(shop, name):
                pressed.add((page, name))
                yield from (f"{here}, {name}: {fault}" for fault in faults(shop.window, walk=walk))
    application.removeEventFilter(openings)
    yield from openings.heard


def press(shop: ShopInWindow, name: str) -> bool:
    """Press the button of this name, if it is in sight."""
    wanted = (part for part in controls(shop.window) if part.accessibleName().partition(" (")[0] == name)
    button = next(wanted, None)
    if not isinstance(button, QAbstractButton) or not button.isEnabled():
        return False
    button.click()
    shop.settle()
    return True


def test_that_every_page_says_what_it_is_about(look: Look, busy_shop: Path) -> None:
    with shop_in_window(look, busy_shop) as shop:
        known = {entry.page for entry in entries(shop) if entry.words} | set(SUBJECTS)
        lacking = [entry.page for entry in entries(shop) if entry.page not in known]
        gone = set(SUBJECTS) - {entry.page for entry in entries(shop)}
    assert not lacking, "give these pages a subject in SUBJECTS"
    assert not gone


# Light and dark are laid out alike: each size is walked in one of them and looked at in the other.
LOOKS = [
    (Shade.LIGHT, 100, True),
    (Shade.DARK, 100, False),
    (Shade.LIGHT, 200, False),
    (Shade.DARK, 200, True),
]


@pytest.mark.parametrize(("shade", "percent", "walk"), LOOKS)
def test_that_every_page_can_be_walked_and_read(
    look: Look, busy_shop: Path, shade: Shade, percent: int, walk: bool
) -> None:
    look.choose(LookChoice(shade=shade, percent=percent, less_motion=True))
    pressed: set[tuple[str, str]] = set()
    with shop_in_window(look, busy_shop) as shop:
        shop.window.add_page(first_run(shop))
        shop.show(SIZE.width(), SIZE.height())
        found = list(look_at_all(shop, pressed, walk=walk))
        ground = shop.window.grab().toImage().pixelColor(SIZE.width() - 3, SIZE.height() // 2)
    assert not found, "\n".join(found)
    assert ground == QColor((DARK if shade is Shade.DARK else LIGHT).window)
    if walk:
        assert pressed == {(page, name) for page, names in PRESSED.items() for name in names}


@pytest.fixture
def page(qapp: QApplication) -> Iterator[QWidget]:
    """A page of one's own, to see that a fault is seen."""
    page = QWidget()
    QVBoxLayout(page)
    page.resize(300, 200)
    yield page
    page.close()


def put(page: QWidget, *parts: QWidget) -> None:
    layout = page.layout()
    assert layout is not None
    for part in parts:
        layout.addWidget(part)
        part.show()
    page.show()
    page.activateWindow()
    lay_out()


def test_that_a_control_without_a_name_or_with_anothers_is_seen(page: QWidget) -> None:
    for name in ("", "Save", "Save"):
        part = QLineEdit()
        part.setAccessibleName(name)
        put(page, part)
    assert nameless(page) == ["no name: QLineEdit ''"]
    assert twins(page) == ["2 controls called 'Save' in ''"]


def test_that_one_name_in_two_named_groups_is_allowed(page: QWidget) -> None:
    for group in ("Drain plug", "Fill plug"):
        around = QWidget()
        around.setAccessibleName(group)
        QLineEdit(around).setAccessibleName("Torque")
        put(page, around)
    assert twins(page) == []


def test_that_markup_and_cut_words_are_seen(page: QWidget) -> None:
    short = PlainLabel("A sentence that has no room here")
    short.setFixedWidth(40)
    put(page, QLabel("<b>Lee</b>"), short)
    assert marked_up(page) == ["not plain: QLabel '<b>Lee</b>'"]
    assert cut(page, page.size()) == ["cut: PlainLabel 'A sentence that has no room here'"]
    assert cut(page, QSize(1, 1))[-1] == "the window grew to 300 x 200"


class Trap(QLineEdit):
    """Lets nobody go on."""

    def focusNextPrevChild(self, _on: bool, /) -> bool:
        return True


def test_that_a_part_that_keeps_the_keyboard_is_seen(page: QWidget, qtbot: QtBot) -> None:
    for name in ("one", "two"):
        part = QLineEdit()
        part.setAccessibleName(name)
        put(page, part)
    qtbot.waitUntil(page.isActiveWindow)
    assert tab_walk(page) == []
    put(page, Trap(), QLineEdit())
    assert tab_walk(page) == ["Tab stops 2 times at Trap ''", "Tab stops 0 times at QLineEdit ''"]
