"""A migration that is cut short leaves the old layout or the new one, and the next start ends it."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

from shopdesk.persistence.engine import open_database
from shopdesk.persistence.guards import missing_guards
from shopdesk.persistence.schema import known_layouts, layout_of

CLONE = Path(__file__).resolve().parents[2]
CHANGES = """
import sqlalchemy as sa
from alembic import op

revision, down_revision = "9001", "{head}"


def upgrade() -> None:
    with op.batch_alter_table("customer") as customer:
        customer.add_column(sa.Column("nickname", sa.String(40), nullable=False, server_default="none"))
        customer.create_check_constraint("nickname_length", "length(nickname) <= 40")
    op.execute("UPDATE customer SET nickname = 'moved'")
    op.add_column("invoice", sa.Column("more", sa.BigInteger()))
    op.create_table("keepsake", sa.Column("id", sa.BigInteger, primary_key=True), sa.Column("sha", sa.Text))
    op.create_index("ix_keepsake_sha", "keepsake", ["sha"])
"""


def _run(program: str, *words: object) -> str:
    done = subprocess.run(
        [sys.executable, str(Path(__file__).with_name(program)), *map(str, words)],
        cwd=CLONE,
        env={"PYTHONPATH": str(CLONE), "PATH": "", "TZ": "UTC", "LC_ALL": "C.UTF-8"},
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def _rounds(*words: object) -> list[dict[str, Any]]:
    return [json.loads(line) for line in _run("killed.py", *words).splitlines()]


def test_that_a_kill_after_any_statement_leaves_old_or_new(
    empty_database_url: str, migrations: Path, tmp_path: Path
) -> None:
    newer = Path(shutil.copytree(migrations, tmp_path / "next", ignore=shutil.ignore_patterns("__pycache__")))
    head = known_layouts(migrations)[-1]
    (newer / "versions" / "9001_more.py").write_text(CHANGES.format(head=head), encoding="utf-8")
    rounds = _rounds(empty_database_url, migrations, newer, 1)
    old, new = rounds[0]["before"], rounds[-1]["found"]
    assert (old["layout"], new["layout"]) == (head, "9001")
    assert "moved" in new["customer"][0]
    assert old["addresses"] == new["addresses"] == 1
    assert old["unguarded"] == new["unguarded"] == []
    assert sum(round_["killed"] for round_ in rounds) == len(rounds) - 1 > 10
    for round_ in rounds:
        assert round_["found"] in (old, new), round_["n"]
        assert round_["after"] == new
    assert rounds[0]["found"] == old


def test_that_a_kill_while_a_shop_is_made_leaves_nothing_or_a_whole_shop(
    empty_database_url: str, migrations: Path
) -> None:
    rounds = _rounds(empty_database_url, "-", migrations, 13)
    whole = rounds[-1]["found"]
    assert (whole["layout"], whole["unguarded"]) == (known_layouts(migrations)[-1], [])
    assert len(rounds) > 10
    for round_ in rounds:
        assert round_["found"] == whole or round_["found"]["layout"] is None
        assert round_["after"] == whole
    assert rounds[0]["found"]["layout"] is None


def test_that_stations_which_start_together_make_one_shop(empty_database_url: str, migrations: Path) -> None:
    assert _run("race.py", empty_database_url, migrations).split() == ["[0,", "0,", "0,", "0]"]
    database = open_database(empty_database_url)
    with database.read() as connection:
        assert layout_of(connection) == known_layouts(migrations)[-1]
        assert missing_guards(connection) == ()
    if database.file is not None:
        assert [file.name for file in database.file.parent.iterdir()] == [database.file.name]
    database.close()
