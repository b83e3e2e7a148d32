"""``verify``: records and jobs judged from their files, planted errors named, clean ones left alone."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from dataclasses import fields
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shopdesk.cli import commands
from shopdesk.domain.level_rules import LevelRules
from shopdesk.domain.record import Entry, Setting
from shopdesk.domain.sheet import SheetBody
from shopdesk.domain.verify import Evidence, Stated, Tool
from shopdesk.services.desk import Desk
from shopdesk.services.plain import to_plain
from tests.cli.asking import SCHEMAS, Said, ask, job_file, written
from tests.domain.planted_errors import PLANTED, Planted
from tests.domain.records_by_seed import clean
from tests.services.floors import Floor
from tests.services.shopfloor import NOW, contents, document, run

UID = "6ea2749e-5276-4515-b43b-0e204504e86b"


def _no_shop(_address: str) -> Desk:
    raise AssertionError("judging a file must not open a shop")


def _verify(file: Path, now: datetime = NOW) -> Said:
    out, err = io.StringIO(), io.StringIO()
    doors = commands.Doors(
        open_desk=_no_shop,
        address="",
        demo_address="",
        schemas=SCHEMAS,
        out=out,
        err=err,
        now=lambda: now,
    )
    code = commands.run(["verify", str(file), "--json"], doors)
    return Said(code, out.getvalue(), err.getvalue())


def _record_file(evidence: Evidence, folder: Path) -> Path:
    plain = to_plain(evidence)
    del plain["now"]
    return written({"format": "shopdesk-record/1", "id": UID, "evidence": plain}, folder, "record.json")


def test_that_thirty_clean_records_raise_no_alarm(tmp_path: Path) -> None:
    for seed in range(30):
        evidence = clean(seed)
        said = _verify(_record_file(evidence, tmp_path), evidence.now)
        assert (said.code, said.err) == (0, ""), seed
        assert (said.data["verdict"], said.data["findings"]) == ("consistent", [])


@pytest.mark.parametrize("planted", PLANTED, ids=[each.name for each in PLANTED])
def test_that_a_planted_error_is_named(planted: Planted, tmp_path: Path) -> None:
    evidence = planted.plant(clean(5, planted.method))
    said = _verify(_record_file(evidence, tmp_path), evidence.now)
    assert (said.code, said.err) == (1, "")
    assert planted.rule.name.lower() in [finding["rule"] for finding in said.data["findings"]]


def test_that_at_least_thirty_errors_were_planted() -> None:
    assert len(PLANTED) >= 30


@pytest.mark.parametrize("name", ["us", "metric", "fixed_point"])
def test_that_a_good_job_file_is_consistent(name: str) -> None:
    said = _verify(job_file(name))
    assert (said.code, said.err) == (0, "")
    assert said.data["verdict"] == "consistent"


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        ({"service__drained__volume": "13.3 L"}, "over_total"),
        ({"service__spilled__volume": "5 L"}, "spilled_over_put_in"),
        ({"service__openings__0__temperature_at_closing": "118 degF"}, "window_close"),
        ({"service__openings__0__flow_at_opening": "none"}, "flow_open"),
        ({"service__torques__drain plug": "36 N*m"}, "torque_taken_for_other"),
        ({"service__vehicle_level": False}, "attitude"),
        ({"service__fluid": ""}, "product_missing"),
        ({"sheet__specification": "ZZ-9"}, "specification"),
    ],
)
def test_that_a_job_that_cannot_be_so_is_judged_not_refused(
    changes: dict[str, Any], rule: str, tmp_path: Path
) -> None:
    said = _verify(written(document("us", **changes), tmp_path))
    assert said.err == ""
    assert rule in [finding["rule"] for finding in said.data["findings"]]
    assert said.code == 1


def _kept_file(floor: Floor, folder: Path) -> Path:
    run(floor.desk, document("us"))
    said = ask(floor.desk, "record-file", "1001-1")
    assert (said.code, said.err) == (0, "")
    file = folder / "kept.json"
    file.write_text(said.out, encoding="utf-8")
    return file


def test_that_a_kept_records_file_is_judged_elsewhere_as_at_home(floor: Floor, tmp_path: Path) -> None:
    file = _kept_file(floor, tmp_path)
    before = contents(floor.url)
    at_home = floor.desk.verifying.record(1)
    said = _verify(file)
    assert (said.code, said.err) == (0, "")
    assert said.data["sentence"] == at_home.sentence
    assert said.data["recomputed"]["delta_ul"] == at_home.outcome.balance.delta_ul
    assert contents(floor.url) == before
    text = file.read_text(encoding="utf-8")
    for private in ("Rhea", "Okonjo", "KT 4471", "11111111111111111"):
        assert private not in text


def test_that_figures_bent_in_a_kept_records_file_are_found_by_what_was_signed(
    one_floor: Floor, tmp_path: Path
) -> None:
    record = json.loads(_kept_file(one_floor, tmp_path).read_text(encoding="utf-8"))
    (drained,) = [each for each in record["evidence"]["entries"] if each["field"] == "drained"]
    drained["value_int"] -= 200_000
    record["evidence"]["stated"] = None
    said = _verify(written(record, tmp_path))
    assert said.code == 1
    assert "stated" in [finding["rule"] for finding in said.data["findings"]]
    code = record["code"]
    record["code"] = code[:200] + ("0" if code[200] != "0" else "1") + code[201:]
    broken = _verify(written(record, tmp_path))
    assert (broken.code, broken.out) == (1, "")
    assert "was changed" in broken.err
    record["code"], record["id"] = code, UID
    other = _verify(written(record, tmp_path))
    assert (other.code, other.out) == (2, "")
    assert "another record" in other.err


@pytest.mark.parametrize("number", ["1001-2", "7-1", "x", "", "1001-1-", "-1", "9" * 40])
def test_that_a_record_that_is_not_there_is_refused(number: str, one_floor: Floor) -> None:
    run(one_floor.desk, document("us"))
    said = ask(one_floor.desk, "record-file", f" {number}")
    assert (said.code, said.out) == (2, "")
    assert said.err


def _bend(path: str, value: object) -> Callable[[dict[str, Any]], None]:
    def bend(record: dict[str, Any]) -> None:
        found: Any = record
        *steps, last = path.split("/")
        for step in steps:
            found = found[int(step)] if isinstance(found, list) else found[step]
        found[last] = value

    return bend


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("format", "shopdesk-record/2"),
        ("id", "none"),
        ("evidence/done_on", "yesterday"),
        ("evidence/entries/0/field", "moon"),
        ("evidence/entries/0/round", 0),
        ("evidence/entries/0/value_int", "3"),
        ("evidence/entries/0/value_text", 3),
        ("evidence/entries/0/measured_at", "2026-11-25T10:00:00"),
        ("evidence/setting/total_ul", 0),
        ("evidence/setting/kind", "rocket"),
        ("evidence/setting/density_kg_m3", 12),
        ("evidence/setting/sheet/level/window_low_mc", 10**9),
        ("evidence/setting/sheet/level/flow_at_opening", []),
        ("evidence/setting/sheet/level/flow_at_opening", ["none"]),
        ("evidence/setting/sheet/more", 1),
        ("code", "SD2:AAA"),
    ],
)
def test_that_a_record_file_that_cannot_be_read_is_refused_with_its_place(
    path: str, value: object, tmp_path: Path
) -> None:
    evidence = to_plain(clean(5))
    del evidence["now"]
    record: dict[str, Any] = {"format": "shopdesk-record/1", "id": UID, "evidence": evidence}
    _bend(path, value)(record)
    said = _verify(written(record, tmp_path))
    assert (said.code, said.out) == (2, "")
    assert "job.json: " in said.err


@pytest.mark.parametrize(
    ("field", "value"), [("engine", "sideways"), ("drained", "three"), ("appearance", 9), ("step", "danced")]
)
def test_that_an_entry_holds_only_what_its_field_can(field: str, value: int | str, tmp_path: Path) -> None:
    evidence = to_plain(clean(5))
    del evidence["now"]
    entry = to_plain(Entry(id=900, field=field))
    entry["value_int" if isinstance(value, int) else "value_text"] = value
    evidence["entries"].append(entry)
    said = _verify(written({"format": "shopdesk-record/1", "id": UID, "evidence": evidence}, tmp_path))
    assert (said.code, said.out) == (2, "")
    assert f"/evidence/entries/{len(evidence['entries']) - 1}" in said.err


def test_that_the_schema_knows_every_fact_and_no_other() -> None:
    schema = json.loads((SCHEMAS / "record.json").read_text(encoding="utf-8"))
    kinds = {"entry": Entry, "setting": Setting, "sheet": SheetBody, "level": LevelRules}
    for name, kind in {**kinds, "tool": Tool, "stated": Stated}.items():
        assert set(schema["$defs"][name]["properties"]) == {each.name for each in fields(kind)}, name
    told = set(schema["properties"]["evidence"]["properties"])
    assert told == {each.name for each in fields(Evidence)} - {"now"}


_WILD = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**14), 10**14),
    st.text(max_size=12),
    st.sampled_from(["stream", "idling", "drained", "2026-03-02", "2026-03-02T15:00:00+00:00"]),
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=150)
@given(data=st.data())
def test_that_no_change_of_a_record_file_does_more_than_change_the_verdict(
    data: st.DataObject, tmp_path: Path
) -> None:
    evidence = to_plain(clean(data.draw(st.integers(0, 60))))
    del evidence["now"]
    for _change in range(data.draw(st.integers(1, 4))):
        found: Any = evidence
        while isinstance(found, dict | list) and found:
            keys = list(found) if isinstance(found, dict) else list(range(len(found)))
            key = data.draw(st.sampled_from(keys))
            inner = found[key]
            if not isinstance(inner, dict | list) or not inner or data.draw(st.integers(0, 9)) == 0:
                found[key] = data.draw(_WILD)
                break
            found = inner
    said = _verify(written({"format": "shopdesk-record/1", "id": UID, "evidence": evidence}, tmp_path))
    assert said.code in (0, 1, 2)
    assert bool(said.err) == (said.code == 2)
