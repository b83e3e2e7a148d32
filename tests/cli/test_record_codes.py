"""``verify-record`` and ``public-key``: what they say, how they end, and that they need no shop."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from shopdesk.cli import commands
from shopdesk.services.desk import Desk
from tests.cli.asking import SCHEMAS, Said, ask
from tests.documents.cameras import drawn, jpeg
from tests.documents.reading import picture, symbols
from tests.services.shopfloor import CLONE, document, run


def _no_shop(_address: str) -> Desk:
    raise AssertionError("checking a code must not open a shop")


def _verify(*words: str | Path, given: bytes = b"") -> Said:
    out, err = io.StringIO(), io.StringIO()
    doors = commands.Doors(
        open_desk=_no_shop,
        address="",
        demo_address="",
        schemas=SCHEMAS,
        out=out,
        err=err,
        given=io.BytesIO(given),
    )
    code = commands.run(["verify-record", *map(str, words)], doors)
    return Said(code, out.getvalue(), err.getvalue())


@pytest.fixture
def paper(one_desk: Desk) -> bytes:
    """A finished service record."""
    return one_desk.papers.service_record(run(one_desk, document("us")).record_id).content


@pytest.fixture
def code(paper: bytes) -> str:
    """The code on it, read by a scanner of our own."""
    (found,) = [text for page in range(3) for text in symbols(paper, page)]
    return found


def test_that_a_paper_a_picture_and_the_text_are_checked(paper: bytes, code: str, tmp_path: Path) -> None:
    (tmp_path / "record.pdf").write_bytes(paper)
    (tmp_path / "record.jpg").write_bytes(jpeg(picture(paper, 2, dpi=150)))
    (tmp_path / "record.txt").write_text(f"\ufeff {code}\n", encoding="utf-8")
    for what in (tmp_path / "record.pdf", tmp_path / "record.jpg", tmp_path / "record.txt", code):
        said = _verify(what, "--json")
        assert (said.code, said.err) == (0, "")
        (found,) = said.data["codes"]
        assert found["facts"]["number"] == "1001-1"
        assert found["facts"]["put_in"] == 3_785_000
        assert found["key_named"] is False
    assert _verify("-", given=code.encode()).code == 0


def test_that_it_says_what_is_shown_and_what_is_not(code: str, one_desk: Desk) -> None:
    key = one_desk.keys.public()
    said = _verify(code)
    assert said.code == 0
    assert "not one letter was changed" in said.out
    assert "compare it with the one the shop itself gives" in said.out
    assert f"Key: {key.fingerprint}" in said.out
    assert "Not shown by this" in said.out
    assert "It is the key that you named." in _verify(code, "--key", key.fingerprint).out


def test_that_the_shops_key_may_stand_in_the_file_it_gave_out(
    code: str, one_desk: Desk, tmp_path: Path
) -> None:
    given = ask(one_desk, "public-key")
    assert given.code == 0
    file = tmp_path / "key.txt"
    file.write_text(given.out, encoding="utf-8")
    assert "It is the key that you named." in _verify(code, "--key", file).out


def test_that_a_changed_code_ends_with_one_and_says_where(code: str) -> None:
    at = len(code) // 2
    changed = code[:at] + ("A" if code[at] != "A" else "B") + code[at + 1 :]
    said = _verify(changed)
    assert (said.code, said.out) == (1, "")
    assert "was changed (letters " in said.err
    other = _verify(code, "--key", "0000-1111-2222-3333-4444")
    assert (other.code, other.out) == (1, "")
    assert "another key" in other.err


@pytest.mark.parametrize("what", ["none.pdf", "x" * 5000, "a\0b", ""])
def test_that_what_is_neither_file_nor_code_ends_with_two(what: str) -> None:
    said = _verify(what)
    assert (said.code, said.out) == (2, "")
    assert "no code" in said.err


def test_that_a_picture_without_a_code_ends_with_two(tmp_path: Path) -> None:
    file = tmp_path / "wheel.jpg"
    file.write_bytes(jpeg(drawn()))
    said = _verify(file)
    assert (said.code, said.out) == (2, "")
    assert "No square code" in said.err


def test_that_a_key_that_is_none_ends_with_two(code: str) -> None:
    said = _verify(code, "--key", "their key")
    assert (said.code, said.out) == (2, "")
    assert "64 hexadecimal digits" in said.err


def test_that_it_works_as_a_program_where_no_database_can_be(code: str, tmp_path: Path) -> None:
    surroundings = {
        **os.environ,
        "PYTHONPATH": str(CLONE),
        "SHOPDESK_DATABASE": "postgresql://127.0.0.1:1/none",
        "XDG_DATA_HOME": str(tmp_path / "data"),
    }
    done = subprocess.run(
        [sys.executable, "-m", "shopdesk", "verify-record", code, "--json"],
        env=surroundings,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["codes"][0]["facts"]["unit"] == "6-speed automatic"
    assert not [file for file in tmp_path.rglob("*") if file.is_file()]
