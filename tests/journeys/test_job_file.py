"""A finished service from a file to its papers: file, answer, papers, square codes and database agree."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from tests.cli.asking import SCHEMAS, Said, ask, job_file, written
from tests.documents.reading import solid, symbols, texts, words
from tests.services.floors import Floor
from tests.services.floors import floor as floor
from tests.services.floors import one_floor as one_floor
from tests.services.floors import postgresql_ground as postgresql_ground
from tests.services.floors import sqlite_ground as sqlite_ground
from tests.services.shopfloor import CLONE, contents, counts, document
from tests.services.shopfloor import ask as ask_database

JOBS = ("us", "metric", "fixed_point")
PAPERS = {
    "estimate-1001-1.pdf",
    "job-sheet-1001.pdf",
    "invoice-1001.pdf",
    "service-record-1001-1.pdf",
    "service-record-1001-1-no-names.pdf",
    "sticker-1001.pdf",
    "sticker-1001-sheet.pdf",
}
Done = tuple[Floor, Any, dict[str, bytes]]


@pytest.fixture(params=JOBS)
def done(request: pytest.FixtureRequest, floor: Floor, tmp_path: Path) -> Done:
    """One of the good files kept, on each engine: the shop, the answer, and the papers by name."""
    return _kept(floor, request.param, tmp_path / "p")


@pytest.fixture(params=JOBS)
def made(request: pytest.FixtureRequest, one_floor: Floor, tmp_path: Path) -> Done:
    """The same on SQLite alone, for what is only printed."""
    return _kept(one_floor, request.param, tmp_path / "p")


def _kept(floor: Floor, name: str, folder: Path) -> Done:
    said = ask(floor.desk, "job", job_file(name), "--papers", folder, "--json")
    assert (said.code, said.err) == (0, "")
    return floor, said.data, _files(folder)


def _files(folder: Path) -> dict[str, bytes]:
    return {file.name: file.read_bytes() for file in folder.iterdir()}


def number(text: str) -> Decimal:
    """Read a number as printed, in the American or the German way."""
    if re.fullmatch(r"[0-9.]*,[0-9]{2}", text):
        text = text.replace(".", "").replace(",", ".")
    return Decimal(text.replace(",", ""))


def after(label: str, text: str) -> Decimal:
    """Give the amount that stands behind a word on a paper."""
    found = re.search(re.escape(label) + r" ([0-9][0-9.,]*)", text)
    assert found, f"{label} is not on the paper"
    return number(found[1])


def test_that_answer_papers_and_database_agree_to_the_cent(done: Done) -> None:
    floor, data, papers = done
    billed = data["invoice"]
    sums = ("number", "net_minor", "tax_minor", "total_minor", "currency")
    (row,) = ask_database(floor.url, f"SELECT {', '.join(sums)} FROM invoice")
    assert row == tuple(billed[key] for key in sums)
    lines = ask_database(floor.url, "SELECT text, net_minor, tax_minor FROM invoice_line ORDER BY position")
    assert lines == [(line["text"], line["net_minor"], line["tax_minor"]) for line in billed["lines"]]
    assert sum(line["net_minor"] for line in billed["lines"]) == billed["net_minor"]
    assert sum(line["tax_minor"] for line in billed["lines"]) == billed["tax_minor"]
    assert billed["net_minor"] + billed["tax_minor"] == billed["total_minor"]
    printed = words(papers["invoice-1001.pdf"])
    assert after("Net", printed) * 100 == billed["net_minor"]
    assert after("Total", printed) * 100 == billed["total_minor"]
    assert after("Balance due", printed) * 100 == billed["total_minor"]
    assert all(solid(line["text"]) in solid(printed) for line in billed["lines"])
    (symbol,) = symbols(papers["invoice-1001.pdf"])
    total = re.search(r"total ([0-9.,]+) ([A-Z]{3})$", symbol)
    assert total is not None
    assert (number(total[1]) * 100, total[2]) == (billed["total_minor"], billed["currency"])


def test_that_answer_and_database_agree_to_the_microlitre(done: Done) -> None:
    floor, data, _papers = done
    for left in data["stock"]:
        question = (
            "SELECT sum(m.quantity), -sum(CASE WHEN m.kind = 'issue' THEN m.quantity ELSE 0 END), "
            "-sum(CASE WHEN m.kind = 'issue' THEN m.cost_minor ELSE 0 END) "
            f"FROM stock_move m JOIN item i ON i.id = m.item_id WHERE i.name = '{left['item']}'"
        )
        (row,) = ask_database(floor.url, question)
        assert tuple(int(value) for value in row) == (left["left"], left["drawn"], left["cost_minor"])
    fluid = next(left for left in data["stock"] if left["base"] == "ul")
    put_in = ask_database(floor.url, "SELECT sum(value_int) FROM service_entry WHERE field = 'put_in'")
    assert int(put_in[0][0]) == fluid["drawn"]


def test_that_measured_volumes_are_kept_exactly_as_the_file_says(floor: Floor, tmp_path: Path) -> None:
    # 1 US liquid quart = 0.946 352 946 L (NIST Handbook 44, appendix C); 3.2 of them and 0.05 of one.
    put_in = {"volume": "3.2 qt", "within": "0.05 qt", "temperature": "97 degF"}
    said = ask(floor.desk, "job", written(document("us", service__put_in=put_in), tmp_path))
    assert said.code == 0
    question = "SELECT typed, value_int, half_width, temp_mc FROM service_entry WHERE field = 'put_in'"
    assert ask_database(floor.url, question) == [("3.2 qt", 3_028_329, 47_318, 36_111)]
    torque = ask_database(floor.url, "SELECT value_int FROM service_entry WHERE field = 'drain_plug_torque'")
    assert torque == [(48_809,)]  # 36 lbf·ft at 1.355 817 948 N·m (NIST SP 811, B.8)


def test_that_each_paper_is_made_and_says_what_the_answer_says(made: Done) -> None:
    _floor, data, papers = made
    assert set(papers) == set(data["papers"]) == PAPERS
    record = solid(words(papers["service-record-1001-1.pdf"]))
    said = [data["proof"]["sentence"], data["balance"]["sentence"]]
    said += [condition["text"] for condition in data["proof"]["conditions"]]
    said += data["due"]["reason"].split()  # it stands in a narrow column, beside another
    assert [each for each in said if solid(each) not in record] == []
    if data["due"]["odometer"]:
        assert solid(data["due"]["odometer"]) in record
        assert data["due"]["odometer"].split(" ")[0] in words(papers["sticker-1001.pdf"])


def test_that_every_paper_defers_to_the_makers_information_and_warns(made: Done) -> None:
    _floor, _data, papers = made
    for name, paper in papers.items():
        if not name.startswith("sticker"):
            assert "If they differ, follow those." in words(paper), name
    assert "nobody under the vehicle" in words(papers["job-sheet-1001.pdf"]).lower()


def test_that_the_record_without_names_names_nobody(made: Done) -> None:
    _floor, _data, papers = made
    without = solid(words(papers["service-record-1001-1-no-names.pdf"]))
    people = ("Okonjo", "Łęcki", "KT4471", "LDKX512", "11111111111111111", "3035550188", "WeirLane")
    assert [person for person in people if person in without] == []


def test_that_the_square_codes_say_what_is_printed_beside_them(made: Done) -> None:
    _floor, data, papers = made
    last = len(texts(papers["service-record-1001-1.pdf"])) - 1
    (record,) = symbols(papers["service-record-1001-1.pdf"], last)
    assert record.startswith("SD1:")  # a signed record, read back by tests of its own
    (sticker,) = symbols(papers["sticker-1001.pdf"], dpi=600)
    assert (data["due"]["odometer"] or "inspect") in sticker
    assert len(texts(papers["sticker-1001.pdf"])) == 1


def test_that_the_same_file_again_changes_nothing_and_says_so(done: Done, tmp_path: Path) -> None:
    floor, data, papers = done
    before = contents(floor.url)
    name = next(job for job in JOBS if document(job)["id"] == data["id"])
    said = ask(floor.desk, "job", job_file(name), "--papers", tmp_path / "again", "--json")
    assert said.code == 0
    assert said.data == data | {"already_kept": True}
    assert contents(floor.url) == before
    assert _files(tmp_path / "again") == papers  # to the byte


def test_that_the_same_file_again_says_so_in_words(one_floor: Floor) -> None:
    assert "Already kept" not in ask(one_floor.desk, "job", job_file("us")).out
    said = ask(one_floor.desk, "job", job_file("us"))
    assert said.code == 0
    assert said.out.splitlines()[0] == "Already kept: nothing changed."


def test_that_the_same_id_with_other_content_is_refused(floor: Floor, tmp_path: Path) -> None:
    assert ask(floor.desk, "job", job_file("us")).code == 0
    before = contents(floor.url)
    for changes in ({"service__put_in__volume": "3.8 L"}, {"id": document("us")["id"].upper()}):
        said = ask(floor.desk, "job", written(document("us", **changes), tmp_path))
        assert said.code == 2
        assert ".json: /id: " in said.err
        assert "was already used for something else" in said.err
        assert contents(floor.url) == before


def test_that_a_second_job_adds_only_what_belongs_to_a_job(floor: Floor, tmp_path: Path) -> None:
    assert ask(floor.desk, "job", job_file("us")).code == 0
    before = counts(contents(floor.url))
    second = document("us", new_id=True, items=[], deliveries=[], odometer__reading="84500 mi")
    said = ask(floor.desk, "job", written(second, tmp_path), "--json")
    assert said.code == 0
    assert (said.data["work_order"], said.data["invoice"]["number"]) == (1002, 1002)
    now = counts(contents(floor.url))
    grown = {name for name in now if now[name] > before.get(name, 0)}
    same = {
        "shop",
        "person",
        "station",
        "customer",
        "vehicle",
        "unit",
        "unit_sheet",
        "sheet_revision",
        "item",
    }
    assert not grown & same
    assert {"work_order", "service_record", "invoice", "stock_move", "payment", "chain", "request"} <= grown


def test_that_the_refused_file_leaves_a_shop_with_work_in_it_as_it_was(floor: Floor) -> None:
    assert ask(floor.desk, "job", job_file("us")).code == 0
    before = contents(floor.url)
    said = ask(floor.desk, "job", job_file("refused"), "--json")
    assert (said.code, said.out) == (2, "")
    assert said.err.startswith(f"{job_file('refused')}: /service/put_in/volume: ")
    assert contents(floor.url) == before


def test_that_what_falls_due_is_told_in_words_and_as_data(floor: Floor) -> None:
    assert ask(floor.desk, "job", job_file("us")).code == 0
    assert ask(floor.desk, "due", "--within", "30").out == "0 units\n"
    said = ask(floor.desk, "due", "--within", "800")
    assert "25 Nov 2028" in said.out
    assert "6-speed automatic" in said.out
    assert said.out.splitlines()[-1] == "1 unit"
    (row,) = ask(floor.desk, "due", "--within", "800", "--json").data
    assert (row["due_on"], row["odometer_tenths"], row["plate"]) == ("2028-11-25", 1_143_100, "KT 4471")


@pytest.mark.parametrize("days", ["-1", "36501"])
def test_that_days_beyond_counting_are_refused(one_floor: Floor, days: str) -> None:
    said = ask(one_floor.desk, "due", "--within", days)
    assert (said.code, said.err) == (2, "--within: Days are counted from 0 to 36500.\n")


def test_that_a_shop_not_set_up_says_so(one_floor: Floor) -> None:
    said = ask(one_floor.desk, "due")
    assert said.code == 2
    assert "not set up yet" in said.err


def test_that_the_check_finds_nothing_after_a_job(floor: Floor) -> None:
    assert ask(floor.desk, "job", job_file("metric")).code == 0
    said = ask(floor.desk, "check")
    assert (said.code, said.err) == (0, "")
    assert said.out == "Everything that follows from the facts is as it is kept.\n"


def test_that_papers_that_cannot_be_written_stop_the_job(one_floor: Floor, tmp_path: Path) -> None:
    before = contents(one_floor.url)
    (tmp_path / "taken").write_text("a file", encoding="utf-8")
    said = ask(one_floor.desk, "job", job_file("us"), "--papers", tmp_path / "taken")
    assert said.code == 2
    assert "Nothing was kept" in said.err
    assert contents(one_floor.url) == before


def test_that_the_command_does_all_this_in_a_process_of_its_own(tmp_path: Path) -> None:
    folder = tmp_path / "a b"
    folder.mkdir()

    def shopdesk(*said: str | Path) -> Said:
        ended = subprocess.run(
            [sys.executable, "-m", "shopdesk", *map(str, said)],
            cwd=CLONE,
            env={**os.environ, "SHOPDESK_DATABASE": str(folder / "the shop.db"), "PYTHONUTF8": "1"},
            capture_output=True,
            text=True,
            encoding="utf-8",
            timeout=120,
            check=False,
        )
        return Said(ended.returncode, ended.stdout, ended.stderr)

    assert shopdesk("job", job_file("refused")).code == 2
    kept = shopdesk("job", job_file("fixed_point"), "--papers", folder / "papers", "--json")
    assert (kept.code, kept.err) == (0, "")
    assert abs(kept.data["balance"]["delta_ul"] - 210_000) <= 1
    schema = json.loads((SCHEMAS / "job-result.json").read_text(encoding="utf-8"))
    assert list(Draft202012Validator(schema).iter_errors(kept.data)) == []
    assert set(_files(folder / "papers")) == PAPERS
    again = shopdesk("job", job_file("fixed_point"), "--json")
    assert (again.code, again.data["already_kept"]) == (0, True)
    assert shopdesk("check").code == 0
