"""What is no quantity is refused by its place in the file, and nothing of the file is kept."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.cli.asking import ask, job_file, written
from tests.cli.places import NO_NUMBERS, NO_TEXT, OF_ANOTHER_KIND, OPTIONAL, QUANTITIES
from tests.services.floors import Floor
from tests.services.shopfloor import contents, document, put

#: How many of the values that are wrong everywhere each place is asked to take; together they meet them all.
IN_TURN = 2


def placed(path: str, value: object) -> dict[str, Any]:
    """Give the US job with a value at a place; objects on the way are made when they are not there."""
    found = document("us")
    if path.startswith("service/torques/level plug/"):
        found["service"]["torques"]["level plug"] = {"value": "18 lbf*ft", "reason": "as found"}
    put(found, path.split("/"), value)
    return found


def assert_refused(floor: Floor, content: object, path: str, folder: Path) -> None:
    """A file is refused by its place; no row of any table is there afterwards."""
    said = ask(floor.desk, "job", written(content, folder), "--papers", folder / "papers", "--json")
    assert said.code == 2, (path, said.out[:200])
    assert said.out == ""
    assert said.err.startswith(f"{folder / 'job.json'}: /{path}"), said.err[:300]
    assert said.err.count("\n") == 1
    assert len(said.err) < 1000
    assert "Traceback" not in said.err
    assert list((folder / "papers").iterdir()) == []


@pytest.mark.parametrize("path", QUANTITIES)
def test_that_no_place_takes_what_is_no_quantity_of_its_kind(
    one_floor: Floor, tmp_path: Path, path: str
) -> None:
    before = contents(one_floor.url)
    for value in _wrong(path):
        assert_refused(one_floor, placed(path, value), path, tmp_path)
    assert contents(one_floor.url) == before


def _wrong(path: str) -> Iterator[object]:
    turn = list(QUANTITIES).index(path)
    yield from _of_another_kind(path)
    for step in range(IN_TURN):
        yield NO_NUMBERS[(turn * IN_TURN + step) % len(NO_NUMBERS)]
    yield NO_TEXT[turn % len(NO_TEXT)]
    if path not in OPTIONAL:
        yield ""


def _of_another_kind(path: str) -> Iterator[str]:
    """Share what is wrong for a kind among the places of that kind, two at least for each."""
    others = OF_ANOTHER_KIND[QUANTITIES[path]]
    places = [place for place, kind in QUANTITIES.items() if kind == QUANTITIES[path]]
    share = max(2, -(-len(others) // len(places)))
    first = places.index(path) * share
    yield from (others[(first + step) % len(others)] for step in range(share))


def test_that_together_the_places_meet_everything_that_is_no_quantity() -> None:
    met = [value for path in QUANTITIES for value in _wrong(path)]
    missed = [value for value in (*NO_NUMBERS, *NO_TEXT) if value not in met]
    missed += [value for kind, values in OF_ANOTHER_KIND.items() for value in values if value not in met]
    assert missed == []


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("36 lbf*ft", "is a torque; a volume is wanted here, such as 3.2 qt"),
        ("3,2 qt", "has a comma"),
        ("3.2", "has no unit"),
        ("", "Nothing is written here"),
        ("-3.2 qt", "is below zero"),
        ("99999999 L", "is outside what is possible here"),
        ("٣ qt", "Only the digits 0 to 9 are read here"),
        ("9**9**9 qt", "is not one clear number"),
        ("3.2 lb*ft", "a volume is wanted here"),
        ("q" * 10_000, "This text has 10000 characters"),
        ("3.2\u202e qt", "invisible character"),
        ("<img src='/etc/hostname'>", "does not begin with a number"),
    ],
)
def test_that_the_sentence_says_what_is_wrong(
    one_floor: Floor, tmp_path: Path, value: str, words: str
) -> None:
    said = ask(one_floor.desk, "job", written(placed("service/put_in/volume", value), tmp_path))
    assert said.code == 2
    assert "/service/put_in/volume: " in said.err
    assert words in said.err


@pytest.mark.parametrize("floor", ["sqlite", "postgresql"], indirect=True)
def test_that_the_refused_job_leaves_no_shop_behind(floor: Floor) -> None:
    before = contents(floor.url)
    said = ask(floor.desk, "job", job_file("refused"))
    assert said.code == 2
    assert str(job_file("refused")) in said.err
    assert "/service/put_in/volume" in said.err
    assert contents(floor.url) == before
    assert all(not rows for name, rows in before.items() if name not in LAID_OUT)
    assert not floor.desk.setup.is_set_up()


#: Tables that an empty shop's layout itself fills.
LAID_OUT = {"alembic_version", "sqlite_sequence"}


@pytest.mark.parametrize(
    "path", ["service/put_in/volume", "service/drained/volume", "service/ran_out/volume"]
)
def test_that_an_enormous_but_possible_volume_is_kept(one_floor: Floor, tmp_path: Path, path: str) -> None:
    said = ask(one_floor.desk, "job", written(placed(path, "20000 L"), tmp_path), "--json")
    assert said.code == 0
    assert said.data["balance"]["arrived"] in {"low", "high", "no difference"}


def test_that_more_spilled_than_was_put_in_is_refused(one_floor: Floor, tmp_path: Path) -> None:
    assert_refused(one_floor, placed("service/spilled/volume", "4 L"), "service/spilled", tmp_path)


def test_that_a_density_without_a_known_expansion_is_refused(one_floor: Floor, tmp_path: Path) -> None:
    for density in ("800 kg/m3", "1165 kg/m3"):
        assert_refused(one_floor, placed("items/0/density", density), "items/0/density", tmp_path)


def test_that_lines_beyond_any_bill_are_refused(one_floor: Floor, tmp_path: Path) -> None:
    line = {"kind": "labour", "text": "Work", "quantity": "1000000", "unit_price": "9999999999.99"}
    before = contents(one_floor.url)
    said = ask(one_floor.desk, "job", written(document("us", lines=[line] * 12), tmp_path))
    assert (said.code, said.err.partition(": ")[2].partition(":")[0]) == (2, "/lines")
    assert contents(one_floor.url) == before
