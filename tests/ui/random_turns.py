"""Random inputs typed into the window's forms, each turn saved: a sentence beside the field or a save.

By hand, from the root of the clone: ``python -m tests.ui.random_turns --form customer --inputs 10000``.
``--form page`` plays the forms of pages that are not named among the cases, ``--form all`` every form. It
prints, for each: turns, inputs, saves, turns refused with a sentence, turns in which there was nothing to
save, and what was found to be wrong.
"""

from __future__ import annotations

import argparse
import shutil
import sqlite3
import sys
import tempfile
import time
import unicodedata
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from types import TracebackType

from PySide6.QtCore import QMessageLogContext, QtMsgType, qInstallMessageHandler
from shiboken6 import isValid

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.text import clean
from shopdesk.ui.theme.look import Look
from tests.ui.form_cases import CASES, Box, Case, Hand, Typist, cases_of_other_pages
from tests.ui.shop_window import ShopInWindow, shop_in_window
from tests.ui.work_shop import make_work_shop

_NOT_COUNTED = {"draft", "change_mark", "find_doc", "find_token", "find_doc_content"}
_MOST_FINDINGS = 12
_SHOWN = 400
_KNOWN = ("This plugin does not support propagateSizeHints", "OpenType support missing for")
"""What Qt says of a window on no screen, and of letters for which this machine has no type."""


@dataclass
class Tally:
    """What came of a form's turns."""

    turns: int = 0
    inputs: int = 0
    saves: int = 0
    sentences: int = 0
    nothing: int = 0
    seconds: float = 0.0
    findings: list[str] = field(default_factory=list)
    found: Counter[str] = field(default_factory=Counter)
    said: Counter[str] = field(default_factory=Counter)

    def note(self, what: str, detail: str) -> None:
        """Keep a finding; of many of a kind the first few in full."""
        self.found[what] += 1
        if self.found[what] <= 3 and len(self.findings) < _MOST_FINDINGS:
            self.findings.append(f"{what}: {detail[: _SHOWN * 4]}")

    def line(self, name: str) -> str:
        """Say it in one line."""
        words = f"{name:26} {self.turns:6} turns {self.inputs:6} inputs {self.saves:6} saved "
        words += f"{self.sentences:6} refused {self.nothing:5} nothing to save {self.seconds:6.0f} s  "
        return words + (", ".join(f"{n} x {what}" for what, n in self.found.items()) or "nothing found")


class Books:
    """What is kept, looked at from outside."""

    def __init__(self, file: Path) -> None:
        self._reader = sqlite3.connect(file)
        self._mark = -1
        self._counts: dict[str, int] = {}
        names = self._reader.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        self._tables = [name for (name,) in names if name not in _NOT_COUNTED and "fts" not in name]

    def counts(self) -> dict[str, int]:
        """Give the number of rows of every kept table."""
        mark = self._reader.execute("PRAGMA data_version").fetchone()[0]
        if mark != self._mark:
            self._mark, self._counts = mark, self._count()
        return self._counts

    def _count(self) -> dict[str, int]:
        return {t: self._reader.execute(f'SELECT count(*) FROM "{t}"').fetchone()[0] for t in self._tables}

    def words(self) -> str:
        """Give every text that is kept, as letters and figures alone."""
        texts: list[str] = []
        for table in self._tables:
            for row in self._reader.execute(f'SELECT * FROM "{table}"'):
                texts += [letters(value) for value in row if isinstance(value, str)]
        return "|".join(texts)

    def close(self) -> None:
        """Let go of the file."""
        self._reader.close()


def letters(text: str) -> str:
    """Give only the letters and figures of a text, without case."""
    return "".join(c for c in unicodedata.normalize("NFKC", text).casefold() if c.isalnum())


class Heard:
    """Errors and Qt's warnings, wherever they come up."""

    def __init__(self) -> None:
        self.words: list[str] = []

    def error(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        """Hear an uncaught error."""
        at = ""
        while trace is not None:
            code = trace.tb_frame.f_code
            at, trace = f"{Path(code.co_filename).name}:{trace.tb_lineno}", trace.tb_next
        self.words.append(f"{kind.__name__} at {at}: {str(error)[:_SHOWN]}")

    def qt(self, kind: QtMsgType, _context: QMessageLogContext, message: str) -> None:
        """Hear Qt."""
        if kind != QtMsgType.QtDebugMsg and not any(known in message for known in _KNOWN):
            self.words.append(f"Qt: {message[:_SHOWN]}")


@contextmanager
def hearing() -> Iterator[Heard]:
    """Hear every uncaught error and every Qt message meanwhile."""
    heard = Heard()
    hook, sys.excepthook = sys.excepthook, heard.error
    before = qInstallMessageHandler(heard.qt)
    try:
        yield heard
    finally:
        sys.excepthook = hook
        qInstallMessageHandler(before)


class Dicey(list[str | None]):
    """Answers to whatever is asked: put aside, yes, or the other."""

    def __init__(self, dice: Random) -> None:
        super().__init__()
        self._dice = dice

    def pop(self, _at: object = 0) -> str | None:
        """Give an answer."""
        return self._dice.choice((None, "yes", "other"))


class Turns:
    """Plays a form."""

    def __init__(self, shop: ShopInWindow, file: Path, case: Case, heard: Heard, seed: int) -> None:
        self._shop = shop
        self._case = case
        self._heard = heard
        self._dice = Random(f"{seed} {case.name}")
        self._books = Books(file)
        self._hand: Hand | None = None
        self.tally = Tally()
        shop.ask.answers = Dicey(self._dice)

    def play(self, inputs: int, most_turns: int = 1_000_000) -> Tally:
        """Play until this many inputs were made."""
        began = time.monotonic()
        while self.tally.inputs < inputs and self.tally.turns < most_turns:
            self.turn()
        self._say_heard("between turns")
        found = self._shop.rooms.safekeeping.check()
        for finding in found.findings:
            self.tally.note("check", str(finding))
        self.tally.seconds = time.monotonic() - began
        self._books.close()
        return self.tally

    def turn(self) -> None:
        """Type into some inputs of the form and save."""
        hand, tally, dice = self._in_hand(), self.tally, self._dice
        typed = self._type(hand)
        tally.turns += 1
        said = "; ".join(f"{name}={text[:60]!r}" for name, text in typed.items())
        self._say_heard(f"typing {said}")
        before = self._books.counts()
        words = self._books.words() if tally.saves % 25 == 0 and sum(before.values()) < 6000 else None
        plain = {box.name: box.get() for box in hand.boxes() if self._is_kept(box)}
        stood = {box.name: box.get() for box in hand.boxes()}
        place = self._shop.place()
        self._shop.window.notices.hide()
        self._shop.ask.asked.clear()
        waits = hand.waits()
        hand.save()
        self._shop.settle()
        self._say_heard(f"saving {said}")
        self._weigh(hand, before, stood, waits, said)
        if words is not None:
            self._look_for(plain, before, said)
        if self._hand is not None and (
            self._case.fresh or self._shop.place() != place or dice.random() < 0.1
        ):
            self._hand = None

    def _is_kept(self, box: Box) -> bool:
        return box.plain and box.name not in self._case.says_nothing_alone

    def _in_hand(self) -> Hand:
        hand = self._hand
        if hand is None or not hand.boxes():
            hand = self._hand = self._case.reach(self._shop, self._dice)
            self._shop.settle()
        return hand

    def _type(self, hand: Hand) -> dict[str, str]:
        share = self._dice.choice((0.2, 0.5, 0.9))
        typist = Typist(self._dice, self._case.wild, self._case.usual)
        typed: dict[str, str] = {}
        for box in hand.boxes():
            if self._dice.random() < share and isValid(box.widget):
                box.type(typist)
                self.tally.inputs += 1
                typed[box.name] = box.get()
        if not typed:
            self.tally.inputs += 1  # saving as it stands is an input too
        return typed

    def _weigh(
        self, hand: Hand, before: dict[str, int], stood: dict[str, str], waits: bool, said: str
    ) -> None:
        tally = self.tally
        after = self._books.counts()
        commands = after["request"] - before["request"]
        changed = {t: after[t] - n for t, n in before.items() if after[t] != n}
        sentences = hand.sentences()
        over = self._shop.window.notices.words
        if commands > hand.most_commands:
            tally.note("more than one command", f"{changed} {said}")
        if not commands and changed:
            tally.note("half stored", f"{changed} {said}")
        if commands:
            tally.saves += 1
            self._hand = None
        elif sentences or over:
            tally.sentences += 1
            tally.said.update(sentences or [over])
        elif not said or waits or hand.waits() or self._shop.ask.asked:
            tally.nothing += 1
            self._hand = None
        else:
            tally.note("neither sentence nor save", said)
            self._hand = None
        if not commands and hand.boxes():
            now = {box.name: box.get() for box in hand.boxes()}
            lost = {name: (text, now[name]) for name, text in stood.items() if now.get(name, text) != text}
            if lost and not self._shop.ask.asked:
                tally.note("text lost", f"{str(lost)[:300]} after {said}")
        elif commands and sentences and hand.most_commands == 1:
            tally.note("saved, yet a sentence", f"{sentences} {said}")

    def _look_for(self, plain: dict[str, str], before: dict[str, int], said: str) -> None:
        """Whether every text typed is kept somewhere, once it was saved."""
        if self._books.counts()["request"] == before["request"]:
            return
        words = self._books.words()
        for name, text in plain.items():
            try:
                wanted = letters(clean(text, field="", most=20_000, lines=True))
            except RuleBroken:
                continue
            if wanted and wanted not in words:
                self.tally.note("typed and nowhere kept", f"{name}={text[:80]!r} of {said}")

    def _say_heard(self, when: str) -> None:
        for words in self._heard.words:
            self.tally.note("heard", f"{words} when {when}")
        self._heard.words.clear()


def play(look: Look, file: Path, case: Case, *, inputs: int, seed: int, most_turns: int = 1_000_000) -> Tally:
    """Play one form on the shop in ``file``; nothing is drawn, which takes half of the time."""
    with hearing() as heard, shop_in_window(look, file) as shop:
        shop.show()
        shop.window.setUpdatesEnabled(False)
        return Turns(shop, file, case, heard, seed).play(inputs, most_turns)


def _migrated(folder: Path) -> Path:
    from shopdesk.launch import open_desk

    file = folder / "empty.db"
    open_desk(f"sqlite:///{file}").close()
    return file


def _asked_for(names: str, look: Look, folder: Path) -> list[Case]:
    file = Path(shutil.copyfile(folder / "shop.db", folder / "pages.db"))
    with shop_in_window(look, file) as shop:
        shop.show()
        others = cases_of_other_pages(shop) if {"page", "all"} & set(names.split(",")) else []
    known, wanted = [*CASES, *others], names.split(",")
    return [
        case
        for case in known
        if names == "all" or case.name in wanted or (case.name.startswith("page ") and "page" in wanted)
    ]


def _tell(name: str, tally: Tally, most_words: int) -> int:
    _say(tally.line(name))
    for finding in tally.findings:
        _say(f"    {finding}")
    for words, times in tally.said.most_common(most_words):
        _say(f"    {times:6} {words[:150]!r}")
    return len(tally.findings)


def _say(words: str) -> None:
    sys.stdout.write(f"{words}\n")
    sys.stdout.flush()


def main(arguments: Sequence[str]) -> int:
    """Play by hand."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--form", default="all", help=", ".join(case.name for case in CASES))
    parser.add_argument("--inputs", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--words", type=int, default=0, help="print so many of the sentences said most often")
    asked = parser.parse_args(arguments)
    from PySide6.QtWidgets import QApplication

    from shopdesk.ui.theme.fonts import load_family
    from shopdesk.ui.theme.icons import Icons
    from shopdesk.ui.theme.look import LookChoice, Shade

    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    app.setStyle("Fusion")
    resources = Path(__file__).parents[2] / "resources"
    choice = LookChoice(shade=Shade.LIGHT, less_motion=True)
    look = Look(app, Icons(resources / "icons"), load_family(resources / "fonts"), choice)
    found = 0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        make_work_shop(_migrated(folder), folder / "shop.db")
        for case in _asked_for(asked.form, look, folder):
            file = Path(shutil.copyfile(folder / "shop.db", folder / "turns.db"))
            tally = play(look, file, case, inputs=asked.inputs, seed=asked.seed)
            found += _tell(case.name, tally, asked.words)
        if asked.form == "all" or "first run" in asked.form.split(","):
            from tests.ui.first_run_turns import play_first_run

            empty, file = folder / "empty.db", folder / "first.db"
            first = play_first_run(look, empty, file, inputs=asked.inputs, seed=asked.seed)
            found += _tell("first run", first, asked.words)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
