"""Builds every part of the window and saves pictures of it, to be looked at.

    python tests/ui/gallery.py FOLDER

Everything shown is invented. Light and dark, text at 100 and 200 %, 1280×800 and 1920×1080.
"""

import os
import sys
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QBuffer, QEventLoop, QIODevice, QMarginsF, QRectF, QTimer
from PySide6.QtGui import QPageLayout, QPageSize, QPainter, QPdfWriter
from PySide6.QtWidgets import QHBoxLayout

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.actions import Verb
from shopdesk.ui.app import make_application, make_look
from shopdesk.ui.ask import WindowAsk
from shopdesk.ui.background import Background
from shopdesk.ui.changes import Bus
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import Drafts
from shopdesk.ui.find_list import FindHit
from shopdesk.ui.printing import QtPrinting
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.theme.look import Look, LookChoice, Shade
from shopdesk.ui.theme.tokens import TextRole
from shopdesk.ui.widgets.button import BigButton, Button, ButtonPart
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.driveline_strip import DrivelineStrip, StripUnit
from shopdesk.ui.widgets.empty import EmptyState
from shopdesk.ui.widgets.fields import (
    CheckField,
    ChoiceField,
    DateField,
    NotesField,
    NumberField,
    TextField,
    reading,
)
from shopdesk.ui.widgets.figure import CameFrom, Figure
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.number_pad import NumberPad
from shopdesk.ui.widgets.odometer_line import OdometerLine, OdometerPoint
from shopdesk.ui.widgets.pdf_view import PdfView
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column, RowsQuery
from shopdesk.ui.widgets.search_line import SearchLine
from shopdesk.ui.widgets.segments import Segments
from shopdesk.ui.widgets.sight_glass import Level, SightGlass
from shopdesk.ui.widgets.state_mark import State, StateBadge
from shopdesk.ui.widgets.table import RowTable
from shopdesk.ui.window import MainWindow, PageEntry

RESOURCES = Path(__file__).parents[2] / "resources"
TODAY = date(2026, 11, 25)

UNITS = (
    StripUnit(
        key="g", title="Automatic, 8-speed", detail="ATF long-life · 9.0 L", due="in 12,400 mi",
        state=State.FINE, used=0.37,
    ),
    StripUnit(
        key="t", title="Transfer case", detail="75W-80 · 1.5 L", due="in 600 mi", state=State.SOON, used=0.97
    ),
    StripUnit(
        key="f", title="Front differential", detail="75W-90 · 0.9 L", due="in 22,000 mi", state=State.FINE,
        used=0.2, branch=True,
    ),
    StripUnit(
        key="r", title="Rear differential", detail="75W-90 LS · 1.3 L", due="2,100 mi over",
        state=State.LATE, used=1.1,
    ),
)  # fmt: skip
BOARD = (
    ("1", "KT 4471 · 8-speed automatic", "Pan drop, filter, fluid", "08:10", State.PLAIN, "Draining"),
    ("2", "LM 902 · variable gearbox", "Double drain and fill", "09:25", State.SOON, "Wait for 35 °C"),
    ("3", "PR 1180 · manual, 6-speed", "Gear oil", "10:05", State.FINE, "Ready to bill"),
    ("—", "DD 77 · <b>transfer</b> case & rear seal", "Seep", "Wed", State.UNKNOWN, "Not looked at"),
    ("—", "AB 3320 · rear differential", "Gear oil, limited slip", "Thu", State.LATE, "Promised 12:00"),
)  # fmt: skip
Board = tuple[str, str, str, str, State, str]


class NoDrafts:
    """Keeps nothing."""

    def load_draft(self, form: str, subject: str) -> Mapping[str, str] | None:
        return None

    def save_draft(self, form: str, subject: str, texts: Mapping[str, str]) -> None:
        return None

    def drop_draft(self, form: str, subject: str) -> None:
        return None


def board_columns() -> tuple[Column[Board], ...]:
    return (
        Column(title="Bay", text=lambda row: row[0], chars=4),
        Column(title="Vehicle", text=lambda row: row[1], key="vehicle", chars=22, stretch=True, strong=True),
        Column(title="Work", text=lambda row: row[2], key="work", chars=20, optional=True),
        Column(title="Since", text=lambda row: row[3], chars=6, number=True),
        Column(title="State", text=lambda row: row[5], state=lambda row: row[4], chars=17),
    )


def board(query: RowsQuery[Board]) -> Sequence[Board]:
    found = [row for row in BOARD if query.text.casefold() in row[1].casefold()]
    return found[query.offset : query.offset + query.limit]


def litres(text: str) -> str:
    try:
        return reading(f"{float(text.split()[0].replace(',', '.')) * 0.946353:.2f} L")
    except ValueError as error:
        raise RuleBroken("This is not an amount. Write it as 5.1 qt or 4.85 L.", "pumped") from error


def hits(text: str) -> Sequence[FindHit]:
    return (
        hit("Vehicle", "KT 4471", "2019 pickup, 4WD · Okafor", "car"),
        hit("Work order", "2117", "KT 4471 · pan drop", "clipboard-list"),
        hit("Customer", "A. <i>Okafor</i>", "555 0144", "users"),
    )


def hit(kind: str, title: str, detail: str, icon: str) -> FindHit:
    return FindHit(kind=kind, title=title, detail=detail, page="work", subject=title, icon=icon)


class WorkScreen(Screen):
    """One work order: strip, form, figures, lists."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, "Work order 2117 · KT 4471")
        self.subtitle = "Okafor · 2019 pickup, 4WD · bay 1 · Sam"
        look = desk.look
        self.strip = DrivelineStrip(look)
        self.strip.set_units(UNITS, "g")
        self.commands = {
            Verb.STRIP_BACK: lambda: self.strip.step(-1),
            Verb.STRIP_ON: lambda: self.strip.step(1),
        }
        self.main = PageAction(words="Finish", icon="check", do=self.finish)
        self.others = (PageAction(words="Sticker", icon="printer", do=self.finish, verb=Verb.STICKER),)
        scroll = Scroll(look)
        scroll.add(self.strip)
        columns = Columns(look)
        columns.add_main(self.service())
        columns.add_main(self.history())
        columns.add_side(self.verdict())
        columns.add_side(self.shelf())
        scroll.add(columns)
        self.column.addWidget(scroll)

    def finish(self) -> None:
        self.desk.notices.tell("Work order 2117 is finished.", "Undo", lambda: None)

    def service(self) -> Card:
        look = self.desk.look
        card = Card(look, "Service as measured", "Draft kept 14:02")
        self.form = Form(look, columns=3, least_width=190)
        self.form.add(
            NumberField(look, "odometer", "Odometer", unit="mi", help_line="Last 73,570 mi, 14 months ago")
        )
        self.form.add(
            NumberField(look, "drained", "Ran out", litres, unit="qt", help_line="Sheet: about 5.3 qt")
        )
        self.form.add(NumberField(look, "pumped", "Put in", litres, unit="qt", more_help="What went in."))
        self.form.add(
            NumberField(look, "level", "Level checked at", unit="°F", help_line="Window 95 to 113 °F")
        )
        self.form.add(
            ChoiceField(
                look, "magnet", "Magnet and pan", [("", "Choose…"), ("2", "2 Fine paste"), ("5", "5 Chips")]
            )
        )
        self.form.add(DateField(look, "done", "Done on", lambda: TODAY))
        self.form.add(NotesField(look, "notes", "Notes for the invoice", lines=2), 0)
        self.form.add(CheckField(look, "washer", "New washer"))
        self.form.add(TextField(look, "lot", "Lot", hint="from the label"))
        self.form.fill(
            {"odometer": "73,480", "drained": "5.1 qt", "pumped": "5,1 quarts or so", "magnet": "2"}
        )
        self.form.set_error("pumped", "This is not an amount. Write it as 5.1 qt or 4.85 L.")
        card.add(self.form)
        return card

    def history(self) -> Card:
        card = Card(self.desk.look, "In the bays")
        self.table: RowTable[Board] = RowTable(
            self.desk.look, "In the bays", board_columns(), empty="Nothing is in the bays."
        )
        self.table.fit_rows(6)
        self.table.read_from(self.desk.background, board)
        card.add(self.table)
        return card

    def verdict(self) -> Card:
        look = self.desk.look
        card = Card(look, "As it came in")
        low = Figure(look, "Came in low by", big=True)
        came = CameFrom(
            rows=(("Put in", "5.10 qt"), ("Ran out at level check", "0.12 qt"), ("Spilled", "0.05 qt"),
                  ("Drained", "4.72 qt")),
            formula="put in − spilled − ran out − drained, each brought to 59 °F",
        )  # fmt: skip
        low.set_value("0.21 qt (±0.13)", came_from=came, state=State.SOON)
        self.low = low
        share = Figure(look, "New fluid now in the unit", "47 to 53 %")
        card.add(low)
        card.add(share)
        card.add(PlainLabel("Level set: all 7 conditions recorded as met", TextRole.HELP, tone="ok"))
        return card

    def shelf(self) -> Card:
        look = self.desk.look
        card = Card(look, "On the shelf")
        row = QHBoxLayout()
        for level in (
            Level(full=0.62, mark=0.2, figure="37.2 L", name="ATF long-life"),
            Level(full=0.11, mark=0.2, figure="8.4 L", name="Variable gearbox, green", state=State.LATE,
                  state_words="below its order mark"),
            Level(full=0.81, mark=0.2, figure="48.6 L", name="75W-90"),
        ):  # fmt: skip
            row.addWidget(SightGlass(look, level))
        card.add(row)
        return card


class PartsScreen(Screen):
    """The other parts."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, "Parts of the window")
        look = desk.look
        self.main = PageAction(words="New work order", icon="plus", do=self.do)
        scroll = Scroll(look)
        columns = Columns(look)
        columns.add_main(self.lists())
        columns.add_main(self.readings())
        columns.add_side(self.buttons())
        columns.add_side(self.pad())
        scroll.add(columns)
        self.column.addWidget(scroll)

    def do(self) -> None:
        self.desk.notices.refuse("The fluid does not meet the specification on the sheet.")

    def lists(self) -> Card:
        look = self.desk.look
        card = Card(look, "Work orders")
        card.add(
            Segments(look, "Stage", [("all", "All 14"), ("bay", "In the bays 5"), ("bill", "To bill 2")])
        )
        filter_line = SearchLine(look, "Narrow the list", "Type to narrow the list")
        table: RowTable[Board] = RowTable(look, "Work orders", board_columns(), empty="No work order fits.")
        filter_line.textChanged.connect(lambda text: table.ask(text=text))
        filter_line.down.connect(table.setFocus)
        table.fit_rows(5)
        table.read_from(self.desk.background, board)
        card.add(filter_line)
        card.add(table)
        nothing: RowTable[Board] = RowTable(look, "Nothing", board_columns(), empty="No invoice is owed.")
        nothing.fit_rows(2)
        nothing.set_rows(())
        card.add(nothing)
        return card

    def readings(self) -> Card:
        card = Card(self.desk.look, "Odometer")
        line = OdometerLine(self.desk.look)
        readings = ((40, 30100), (33, 38200), (26, 45900), (20, 25000), (14, 61000), (6, 70100), (0, 73480))
        points = [
            OdometerPoint(
                on=TODAY - timedelta(days=30 * months),
                distance=distance,
                shown=f"{distance:,} mi",
                doubt="lower than before" if months == 20 else "",
            )
            for months, distance in readings
        ]
        line.set_points(points)
        card.add(line)
        card.add(
            EmptyState(self.desk.look, "No vehicle yet. The first takes a minute.", "New vehicle", self.do)
        )
        return card

    def buttons(self) -> Card:
        look = self.desk.look
        card = Card(look, "Buttons and states")
        row = QHBoxLayout()
        row.addWidget(Button(look, "Primary", ButtonPart.PRIMARY, icon="check"))
        row.addWidget(Button(look, "Plain"))
        row.addWidget(Button(look, "Quiet", ButtonPart.QUIET))
        card.add(row)
        off = Button(look, "Switched off")
        off.setEnabled(False)
        card.add(off)
        for state, words in (
            (State.FINE, "Fine"), (State.SOON, "Due in 6 days"), (State.LATE, "Overdue"),
            (State.PLAIN, "Parts ordered"), (State.UNKNOWN, ""),
        ):  # fmt: skip
            card.add(StateBadge(look, state, words))
        card.add(BigButton(look, "Close the plug now", icon="check"))
        return card

    def pad(self) -> Card:
        look = self.desk.look
        card = Card(look, "Bay")
        field = NumberField(look, "pumped", "Put in", litres, unit="qt", bay=True)
        pad = NumberPad(look)
        pad.aim_at(field.line, ["qt", "L", "mL"])
        card.add(field)
        card.add(pad)
        return card


class PaperScreen(Screen):
    """A paper."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, "Invoice 1041")
        self.view = PdfView(desk.look, desk.background, desk.ask, desk.printing)
        self.view.show_pdf(a_paper(), "Invoice 1041")
        self.column.addWidget(self.view)


def a_paper(pages: int = 2, size: QPageSize | None = None) -> bytes:
    """Return a PDF whose every page has a frame one inch, or a fifth of its width, inside its edge."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(72)
    paper = size or QPageSize(QPageSize.PageSizeId.Letter)
    writer.setPageLayout(QPageLayout(paper, QPageLayout.Orientation.Portrait, QMarginsF()))
    painter = QPainter(writer)
    for number in range(pages):
        if number:
            writer.newPage()
        inside = min(72, writer.width() // 5)
        painter.drawRect(QRectF(inside, inside, writer.width() - 2 * inside, writer.height() - 2 * inside))
        painter.drawText(inside + 18, inside + 38, f"Page {number + 1}")
    painter.end()
    return bytes(buffer.data().data())


def build_window(look: Look) -> tuple[MainWindow, Background]:
    """Return a window with the three pages of the gallery."""
    bus = Bus()
    background = Background(refused=_raise, bug=_raise, announce=bus.announce)
    window = MainWindow(look, background)
    desk = Desk(
        look=look, background=background, bus=bus, ask=WindowAsk(look, window),
        drafts=Drafts(background, NoDrafts()), printing=QtPrinting(), ways=window.ways,
        notices=window.notices,
    )  # fmt: skip
    window.set_shop("Alder Driveline")
    window.set_provider(hits)
    rail = (
        ("parts", "Today", "sun"),
        ("work", "Work orders", "clipboard-list"),
        ("vehicles", "Vehicles", "car"),
        ("customers", "Customers", "users"),
        ("fluids", "Fluids", "droplets"),
        ("due", "Due", "calendar-clock"),
        ("money", "Money", "receipt"),
    )
    screens = {"work": WorkScreen, "money": PaperScreen}
    for page, words, icon in rail:
        kind = screens.get(page, PartsScreen)
        window.add_page(PageEntry(page=page, words=words, icon=icon, build=lambda kind=kind: kind(desk)))
    window.add_page(
        PageEntry(
            page="setup", words="Set-up", icon="settings", build=lambda: PartsScreen(desk), at_foot=True
        )
    )
    window.rail.set_person("Maya K. · service")
    window.rail.set_backup("Backed up 12:40, checked", State.FINE)
    return window, background


def _raise(error: BaseException) -> None:
    raise error


def settle(background: Background) -> None:
    """Wait for everything asked."""
    for _turn in range(3):
        loop = QEventLoop()
        if background.is_idle:
            QTimer.singleShot(0, loop.quit)  # drawing that was asked for comes first
        else:
            background.idle.connect(loop.quit)
        loop.exec()


def take(look: Look, folder: Path, tag: str, width: int, height: int) -> None:
    """Save one picture of each page, and of the lists and panels that open over it."""
    window, background = build_window(look)
    window.resize(width, height)
    window.show()
    window.activateWindow()
    settle(background)
    for page in ("work", "parts", "money"):
        window.ways.go(page)
        settle(background)
        if page == "parts":
            window.do(Verb.MAIN)
        if isinstance(window.ways.screen, WorkScreen):
            window.ways.screen.form.field("drained").setFocus()
        settle(background)
        window.grab().save(str(folder / f"{page}_{tag}.png"))
    window.ways.go("work")
    window.do(Verb.FIND)
    window.bar.search.setText("o")
    settle(background)
    window.grab().save(str(folder / f"find_{tag}.png"))
    window.finder.close()
    if isinstance(window.ways.screen, WorkScreen):
        window.ways.screen.low.explain()
        settle(background)
        window.grab().save(str(folder / f"figure_{tag}.png"))
    window.do(Verb.KEYS)
    settle(background)
    window.grab().save(str(folder / f"keys_{tag}.png"))
    window.close()
    background.close()
    window.deleteLater()
    settle(background)


def main(folder: Path) -> None:
    """Save all pictures into ``folder``."""
    folder.mkdir(parents=True, exist_ok=True)
    app = make_application(sys.argv[:1], "shopdesk")
    look = make_look(app, RESOURCES, LookChoice())
    for shade in (Shade.LIGHT, Shade.DARK):
        for percent in (100, 200):
            look.choose(LookChoice(shade=shade, percent=percent, less_motion=True))
            take(look, folder, f"{shade}_{percent}_1280", 1280, 800)
        look.choose(LookChoice(shade=shade, percent=100, less_motion=True))
        take(look, folder, f"{shade}_100_1920", 1920, 1080)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
