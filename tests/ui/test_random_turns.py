"""A few turns of random inputs at every form; ``tests.ui.random_turns`` plays thousands by hand."""

import sqlite3
from pathlib import Path

import pytest
from PySide6.QtCore import qWarning

from shopdesk.ui.screens.customer import CustomerScreen
from shopdesk.ui.theme.look import Look
from tests.ui.first_run_turns import play_first_run
from tests.ui.form_cases import CASES, Case, Hand, cases_of_other_pages
from tests.ui.random_turns import Tally, Turns, hearing, play
from tests.ui.shop_window import ShopInWindow, shop_in_window
from tests.ui.work_shop import make_work_shop

SEED = 26
TURNS = 4


@pytest.fixture
def shop_file(sqlite_template: Path, tmp_path: Path) -> Path:
    file = tmp_path / "turns.db"
    kept = sqlite_template.with_name("turns.db")
    if not kept.exists():
        make_work_shop(sqlite_template, kept)
    file.write_bytes(kept.read_bytes())
    return file


@pytest.mark.parametrize("part", range(4))
def test_that_random_inputs_are_saved_or_answered_with_a_sentence(
    look: Look, shop_file: Path, part: int
) -> None:
    found: dict[str, list[str]] = {}
    sums = Tally()
    with hearing() as heard, shop_in_window(look, shop_file) as shop:
        shop.show()
        for case in CASES[part::4]:
            tally = Turns(shop, shop_file, case, heard, SEED).play(10_000, TURNS)
            found |= {case.name: tally.findings} if tally.findings else {}
            sums.saves += tally.saves
            sums.sentences += tally.sentences
    assert not found
    assert sums.saves > 3
    assert sums.sentences > 3


def test_that_forms_of_pages_added_later_are_found_and_played(look: Look, shop_file: Path) -> None:
    with hearing() as heard, shop_in_window(look, shop_file) as shop:
        shop.show()
        cases = cases_of_other_pages(shop)
        found = {case.name: Turns(shop, shop_file, case, heard, SEED).play(10_000, TURNS) for case in cases}
    assert "page verify" in found
    assert not {name: tally.findings for name, tally in found.items() if tally.findings}


def test_that_random_inputs_at_the_first_run_set_a_shop_up_whole_or_not_at_all(
    look: Look, sqlite_template: Path, tmp_path: Path
) -> None:
    file = tmp_path / "first.db"
    tally = play_first_run(look, sqlite_template, file, inputs=10_000, seed=3, most_turns=30)
    assert not tally.findings
    assert tally.saves
    assert tally.sentences


def test_that_faults_at_a_form_are_found(look: Look, shop_file: Path) -> None:
    def reach(shop: ShopInWindow, _dice: object) -> Hand:
        screen = shop.go("customer", "1")
        assert isinstance(screen, CustomerScreen)
        form = screen.form

        def save() -> None:
            form.field("name").set_text("lost")
            qWarning("said by Qt")
            with sqlite3.connect(shop_file) as behind:
                behind.execute("INSERT INTO tax_class (name) SELECT 'half' || count(*) FROM tax_class")
            behind.close()
            raise ZeroDivisionError

        screen.form.completed.disconnect()
        screen.form.completed.connect(save)
        return Hand(root=lambda: form, save=form.completed.emit)

    tally = play(look, shop_file, Case("faulty", reach), inputs=10, seed=1, most_turns=1)
    assert set(tally.found) >= {"heard", "half stored", "neither sentence nor save", "text lost"}
    assert tally.found["heard"] == 2
