"""What people type as text is kept as text: cleaned of what nobody can see, and printed as it was typed."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from shopdesk.documents.fonts import REPLACEMENT, Fonts
from shopdesk.domain import text
from tests.cli.asking import ask, written
from tests.cli.places import NAMES, TEXTS
from tests.documents.reading import solid, symbols, words
from tests.services.floors import Floor
from tests.services.shopfloor import CLONE, contents, document, put


def with_text(value: str, *paths: str) -> dict[str, Any]:
    """Give the US job with a text at some places; the sections it lacks are added."""
    found = document("us")
    found["service"]["deviations"] = [{"what": "pan gasket glued", "reason": "as found"}]
    found["service"]["notes"] = ["looked at the mounts"]
    for path in paths:
        put(found, path.split("/"), value)
    return found


@pytest.mark.parametrize("path", TEXTS)
def test_that_ten_thousand_characters_fit_nowhere(one_floor: Floor, tmp_path: Path, path: str) -> None:
    before = contents(one_floor.url)
    said = ask(one_floor.desk, "job", written(with_text("x" * 10_000, path), tmp_path))
    assert said.code == 2
    assert said.err.startswith(f"{tmp_path / 'job.json'}: /{path}"), said.err
    assert f"at most {TEXTS[path]} fit here" in said.err
    assert contents(one_floor.url) == before


def test_that_every_text_fits_to_its_last_character(floor: Floor, tmp_path: Path) -> None:
    content = with_text("x")
    for path, most in TEXTS.items():
        put(content, path.split("/"), "W" * most)
    content["customer"]["phones"] = ["303 555 0188"]
    said = ask(floor.desk, "job", written(content, tmp_path), "--papers", tmp_path, "--json")
    assert (said.code, said.err) == (0, "")
    # No label holds a shop's name of 200 capitals beside its numbers; that is said, and the rest is made.
    too_small = [note for note in said.data["notes"] if "for the label" in note or "on the label" in note]
    assert said.data["notes"] == too_small
    assert len(said.data["papers"]) + len(too_small) == 7
    assert floor.desk.safekeeping.check().findings == ()


HOSTILE: dict[str, str] = {
    "a picture from this machine": "<img src='/etc/hostname'>",
    "markup": "<b>&amp;</b> <a href='javascript:1'>x</a>",
    "a sum": "=1+1",
    "controls": "Ka\u0000re\u0007n\u001b[31m",
    "turned reading": "\u202egpj.exe\u2066 \u200fx",
    "quotes": 'O\'Brien "Bobby"; DROP TABLE invoice;--',
    "percents": "%s %d {0} {name} %(x)s",
    "backslashes": "C:\\new\\table \\u0041",
    "letters of many scripts": "Łęcki Ωμέγα Ђорђе Ước",
    "letters without a glyph": "漢字 עברית العربية",
    "a letter that swells": "ﷺﬃ",
    "emoji": "👩‍🔧🛻",
    "accents apart": "e\u0301a\u0308o\u0302",
}

#: Names that decide what is looked up, so that they cannot all be one text.
LEFT_OUT = {"sheet/designation", "service/notes/0"}


@pytest.mark.parametrize("name", HOSTILE)
def test_that_hostile_text_is_printed_as_it_was_typed(one_floor: Floor, tmp_path: Path, name: str) -> None:
    value = HOSTILE[name]
    paths = [path for path, most in TEXTS.items() if most >= len(value) and path not in LEFT_OUT]
    said = ask(one_floor.desk, "job", written(with_text(value, *paths), tmp_path), "--papers", tmp_path / "p")
    assert (said.code, said.err) == (0, "")
    printed = {paper.name: paper.read_bytes() for paper in (tmp_path / "p").iterdir()}
    assert len(printed) == 7
    shown = solid(Fonts(CLONE / "resources" / "fonts").printable(text.clean(value, field="", most=200)))
    for paper in (
        "invoice-1001.pdf",
        "estimate-1001-1.pdf",
        "job-sheet-1001.pdf",
        "service-record-1001-1.pdf",
    ):
        # PDFium may read a composed letter back as its parts.
        assert shown in solid(text.clean(words(printed[paper]), field="", most=1_000_000)), paper
    kept = [cell for rows in contents(one_floor.url).values() for row in rows for cell in row]
    assert text.clean(value, field="", most=200) in kept
    assert not any(_has_unseen(cell) for cell in kept if isinstance(cell, str))
    assert one_floor.desk.safekeeping.check().findings == ()


def _has_unseen(kept: str) -> bool:
    return any(letter in kept for letter in "\u0000\u0007\u001b\u202e\u2066\u200f")


def test_that_letters_without_a_glyph_print_as_one_mark(one_floor: Floor, tmp_path: Path) -> None:
    ask(one_floor.desk, "job", written(with_text("漢字", "customer/name"), tmp_path), "--papers", tmp_path)
    assert REPLACEMENT * 2 in words((tmp_path / "invoice-1001.pdf").read_bytes())


def test_that_a_hostile_shop_name_stands_in_the_square_code_as_text(one_floor: Floor, tmp_path: Path) -> None:
    value = "<img src='/etc/hostname'>"
    ask(one_floor.desk, "job", written(with_text(value, "shop/name"), tmp_path), "--papers", tmp_path)
    assert symbols((tmp_path / "invoice-1001.pdf").read_bytes()) == [
        f"{value}: invoice 1001 of 2026-11-25, total 225.11 USD"
    ]


@pytest.mark.parametrize("path", NAMES)
@pytest.mark.parametrize(
    "value", ["\u0000", "Ka\u0000ren", "<img src='/etc/hostname'>", "\u202e", "x" * 10_000]
)
def test_that_a_name_that_must_be_known_takes_nothing_else(
    one_floor: Floor, tmp_path: Path, path: str, value: str
) -> None:
    before = contents(one_floor.url)
    said = ask(one_floor.desk, "job", written(with_text(value, path), tmp_path))
    assert said.code == 2
    assert said.err.startswith(f"{tmp_path / 'job.json'}: /{path.removesuffix('/0')}"), said.err
    assert said.err.removesuffix("\n").isprintable()
    assert len(said.err) < 1000
    assert contents(one_floor.url) == before


def test_that_a_name_that_takes_more_room_without_its_accents_is_refused(
    one_floor: Floor, tmp_path: Path
) -> None:
    # U+FDFA is one letter that compares as eighteen.
    for path, most in (("items/0/claims/0/specification", 120), ("sheet/designation", 120)):
        said = ask(one_floor.desk, "job", written(with_text("ﷺ" * most, path), tmp_path))
        assert said.code == 2
        assert f"/{path}" in said.err


def test_that_the_command_itself_ends_with_a_sentence_and_not_with_a_trace(tmp_path: Path) -> None:
    file = written(with_text("9**9**9 qt", "service/put_in/volume"), tmp_path)
    said = subprocess.run(
        [sys.executable, "-m", "shopdesk", "job", str(file)],
        cwd=CLONE,
        env={**os.environ, "SHOPDESK_DATABASE": str(tmp_path / "shop.db")},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (said.returncode, said.stdout) == (2, "")
    assert "/service/put_in/volume: " in said.stderr
    assert "Traceback" not in said.stderr


def test_that_an_answer_can_be_written_where_not_every_letter_can(tmp_path: Path) -> None:
    file = written(with_text("Øyvind 漢字", "customer/name"), tmp_path)
    for how in (["--json"], []):
        said = subprocess.run(
            [sys.executable, "-m", "shopdesk", "job", str(file), *how],
            cwd=CLONE,
            env={**os.environ, "SHOPDESK_DATABASE": str(tmp_path / "shop.db"), "PYTHONIOENCODING": "ascii"},
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
        assert (said.returncode, said.stderr) == (0, "")
