"""Random inputs at the first run: each shop that was set up is put away for a new empty one."""

from __future__ import annotations

import shutil
from pathlib import Path
from random import Random
from typing import Any

from shopdesk.launch import open_desk
from shopdesk.ui.background import Background
from shopdesk.ui.changes import Bus
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import Drafts
from shopdesk.ui.printing import QtPrinting
from shopdesk.ui.screens.first_run import FirstRunScreen
from shopdesk.ui.scripted_ask import ScriptedAsk
from shopdesk.ui.theme.look import Look
from shopdesk.ui.window import MainWindow, PageEntry
from tests.ui.form_cases import Case, Hand
from tests.ui.random_turns import Tally, Turns, hearing
from tests.ui.shop_window import StandingClock, Typing

NAME = "first run"


class EmptyShop(Typing):
    """The window before there is a shop."""

    def __init__(self, look: Look, file: Path) -> None:
        self.rooms = open_desk(f"sqlite:///{file}", clock=StandingClock())
        self.ask = ScriptedAsk()
        self.set_up: list[str] = []
        bus = Bus()
        self.background = Background(
            refused=lambda refusal: self.window.notices.refuse(refusal.sentence),
            bug=_raise,
            announce=bus.announce,
        )
        self.window = MainWindow(look, self.background)
        self._desk = Desk(
            look=look,
            background=self.background,
            bus=bus,
            ask=self.ask,
            drafts=Drafts(self.background, self.rooms.drafts(self.rooms.actor())),
            printing=QtPrinting(),
            ways=self.window.ways,
            notices=self.window.notices,
        )
        self.window.add_page(PageEntry(page=NAME, words="", icon="", build=self._build, on_rail=False))
        self.window.show()
        self.window.ways.go(NAME)
        self.settle()

    def _build(self) -> FirstRunScreen:
        return FirstRunScreen(
            self._desk, self.rooms, lambda: self.set_up.append("set up"), lambda: self.set_up.append("demo")
        )

    def place(self) -> tuple[str, str]:
        """There is one page only."""
        return NAME, ""

    def close(self) -> None:
        """Close the window, its lanes and the shop."""
        self.window.close()
        self.background.close()
        self.rooms.close()
        self.window.deleteLater()


def _raise(error: BaseException) -> None:
    raise error


def _reach(shop: Any, _dice: Random) -> Hand:
    form = shop.window.ways.screen.form
    return Hand(root=lambda: form, save=form.completed.emit)


_USUAL = {
    "name": ("Alder Driveline",),
    "currency": ("USD", "EUR"),
    "locale": ("English, United States", "en_US"),
    "zone": ("America/Denver", "Europe/Berlin"),
    "tax_name": ("Sales tax", ""),
    "tax_on_parts": ("8.25", ""),
    "tax_on_labour": ("8.25", "0", ""),
}
CASE = Case(NAME, _reach, wild=0.15, usual=_USUAL, says_nothing_alone=frozenset({"tax_name"}))


def play_first_run(
    look: Look, empty: Path, file: Path, *, inputs: int, seed: int, most_turns: int = 1_000_000
) -> Tally:
    """Play until this many inputs were made, or so many turns."""
    total = Tally()
    with hearing() as heard:
        while total.inputs < inputs and total.turns < most_turns:
            shutil.copyfile(empty, file)
            shop: Any = EmptyShop(look, file)
            turns = Turns(shop, file, CASE, heard, seed + total.turns)
            while not shop.set_up and total.turns + turns.tally.turns < most_turns:
                turns.turn()
                if total.inputs + turns.tally.inputs >= inputs:
                    break
            if shop.rooms.setup.is_set_up() is not bool(shop.set_up):
                turns.tally.note("half set up", str(shop.set_up))
            shop.close()
            _add(total, turns.tally)
    return total


def _add(total: Tally, one: Tally) -> None:
    total.turns += one.turns
    total.inputs += one.inputs
    total.saves += one.saves
    total.sentences += one.sentences
    total.nothing += one.nothing
    total.findings += one.findings
    total.found.update(one.found)
    total.said.update(one.said)
