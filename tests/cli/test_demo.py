"""``shopdesk demo``: the demo shop without a window, and its main job with its papers."""

from __future__ import annotations

import json
from functools import partial
from io import StringIO
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from shopdesk.cli import commands
from shopdesk.host.paths import program_folder
from shopdesk.launch import open_desk
from shopdesk.services.demo.main_job import main_job
from shopdesk.services.demo.make import ensure_demo
from shopdesk.services.demo.plan import SMALL

SCHEMAS = program_folder() / "resources" / "schemas"


def doors(folder: Path) -> commands.Doors:
    return commands.Doors(
        open_desk=open_desk,
        address=str(folder / "shop.db"),
        demo_address=str(folder / "demo.db"),
        schemas=SCHEMAS,
        out=StringIO(),
        err=StringIO(),
    )


def said(given: commands.Doors) -> str:
    assert isinstance(given.out, StringIO)
    return given.out.getvalue()


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A folder in which a small demo shop was made before."""
    ensure_demo(str(tmp_path / "demo.db"), open_desk, size=SMALL).close()
    return tmp_path


def test_that_the_demo_does_its_main_job_and_names_its_papers(small: Path) -> None:
    given = doors(small)
    assert commands.run(["demo", "--papers", str(small / "papers")], given) == 0
    written = sorted(file.name for file in (small / "papers").iterdir())
    assert len(written) == 7
    assert all(name in said(given) for name in written)
    assert str(small / "papers") in said(given)
    assert "all 7 conditions recorded as met" in said(given)


def test_that_without_a_folder_the_papers_lie_beside_the_demo_shop(small: Path) -> None:
    given = doors(small)
    assert commands.run(["demo"], given) == 0
    assert len(list((small / "demo-papers").glob("*.pdf"))) == 7


def test_that_the_demo_can_be_run_again_and_its_shelf_stays_filled(small: Path) -> None:
    left = []
    for _run in range(3):
        given = doors(small)
        assert commands.run(["demo"], given) == 0
        left.append([line for line in said(given).splitlines() if line.endswith(" left")])
    assert left[0] == left[1] == left[2]
    assert len(list((small / "demo-papers").glob("invoice-*.pdf"))) == 3


def test_that_the_demo_leaves_the_real_shop_alone(small: Path) -> None:
    assert commands.run(["demo"], doors(small)) == 0
    assert not (small / "shop.db").exists()


def test_that_a_folder_that_cannot_be_one_is_refused_before_anything_is_kept(small: Path) -> None:
    (small / "taken").write_text("a file")
    before = (small / "demo.db").read_bytes()
    given = doors(small)
    assert commands.run(["demo", "--papers", str(small / "taken")], given) == 2
    assert (small / "demo.db").read_bytes() == before


def test_that_the_main_job_is_a_job_file_like_any_other(small: Path) -> None:
    desk = open_desk(str(small / "demo.db"))
    try:
        document = json.loads(json.dumps(main_job(desk)))
    finally:
        desk.close()
    rules = json.loads((SCHEMAS / "job.json").read_text(encoding="utf-8"))
    assert [fault.message for fault in Draft202012Validator(rules).iter_errors(document)] == []


def test_that_the_command_makes_the_demo_shop_when_there_is_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("shopdesk.services.demo.make.ensure_demo", partial(ensure_demo, size=SMALL))
    given = doors(tmp_path)
    assert commands.run(["demo"], given) == 0
    assert "Making the demo shop" in said(given)
    assert (tmp_path / "demo.db").exists()
