"""House rules that no tool of the trade knows."""

from __future__ import annotations

import ast
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.architecture.sources import CLONE, calls, each_test, sources

LONGEST_FILE = 600
VAGUE = re.compile(r"(manager|helper|helpers|utils|util|common)$", re.IGNORECASE)
WAITING = {"qWait", "processEvents", "sleep"}
# Put together here, so that this file does not hold what it looks for.
UNFINISHED = re.compile("|".join(["TO" + "DO", "FIX" + "ME", "Not" + "Implemented", "pragma:" + " no cover"]))
MACHINE_PATHS = re.compile(
    "|".join(["/" + "work/(main|shared|[.]library)", "/" + "root/", "/" + "farm", "/" + "opt/(wheels|pypi)"])
    + "|/" + r"home/\w"
)  # fmt: skip
REGISTRIES = re.compile(
    "|".join(["py" + "pi[.]org", "python" + "hosted", "npm" + "js[.]", "deb[.]" + "debian"])
)  # fmt: skip
TEXT = {".cfg", ".css", ".in", ".ini", ".json", ".lock", ".md", ".po", ".pot", ".py", ".qss", ".sh", ".svg"}
TEXT |= {".toml", ".txt", ""}
NOT_OURS = {".git", ".venv", "__pycache__", "demo-papers", "build", "dist"}


def our_files() -> Iterator[Path]:
    """Give every file of the project that holds text: what git knows or, without git, what lies here."""
    git = ["git", "-c", f"safe.directory={CLONE}", "ls-files", "-z"]
    listed = subprocess.run(
        [*git, "--cached", "--others", "--exclude-standard"],
        cwd=CLONE,
        capture_output=True,
        check=False,
    )
    names = listed.stdout.decode().split("\0") if listed.returncode == 0 else []
    found = [CLONE / name for name in names if name] or list(CLONE.rglob("*"))
    for file in found:
        if file.suffix in TEXT and file.is_file() and not NOT_OURS & set(file.relative_to(CLONE).parts):
            yield file


def lines_with(pattern: re.Pattern[str], files: Iterator[Path]) -> list[str]:
    """Give place and text of each line in which a pattern is found."""
    return [
        f"{file.relative_to(CLONE)}:{number}: {line.strip()[:80]}"
        for file in files
        for number, line in enumerate(file.read_text(encoding="utf-8", errors="replace").splitlines(), 1)
        if pattern.search(line)
    ]


@pytest.mark.parametrize("pattern", [MACHINE_PATHS, REGISTRIES], ids=["path of a machine", "registry"])
def test_that_no_file_names_the_machine_it_was_written_on(pattern: re.Pattern[str]) -> None:
    assert not lines_with(pattern, our_files())


def test_that_nothing_is_left_unfinished() -> None:
    assert not lines_with(UNFINISHED, (CLONE / source.name for source in sources()))


def test_that_no_file_is_longer_than_600_lines() -> None:
    long = {s.name: s.text.count("\n") for s in sources() if s.text.count("\n") > LONGEST_FILE}
    assert not long


def test_that_no_name_is_vague() -> None:
    paths = [Path(s.name).with_suffix("") for s in sources()]
    modules = [str(path) for path in paths if any(VAGUE.search(part) for part in path.parts)]
    classes = [
        f"{s.name}: {node.name}"
        for s in sources()
        for node in ast.walk(s.tree)
        if isinstance(node, ast.ClassDef) and VAGUE.search(node.name)
    ]
    assert not modules + classes


def test_that_no_dialog_blocks_and_nothing_pumps_events() -> None:
    # sqlalchemy has no .exec(); a Qt object that is told to exec() stops everything below it. The one
    # loop that may run is the application's own.
    blocking = [
        f"{s.name}:{call.lineno}"
        for s in sources("shopdesk")
        for name, call in calls(s.tree)
        if name in {"exec", "exec_", "processEvents"} and not _is_the_application(call)
    ]
    assert not blocking


def _is_the_application(call: ast.Call) -> bool:
    owners = {"app", "application", "QApplication"}
    return isinstance(call.func, ast.Attribute) and ast.unparse(call.func.value) in owners


def test_that_no_test_waits_by_the_clock() -> None:
    waiting = [
        f"{s.name}:{call.lineno}" for s in sources("tests") for name, call in calls(s.tree) if name in WAITING
    ]
    assert not waiting


def test_that_every_test_is_a_sentence_and_asserts() -> None:
    wrong = [
        f"{s.name}: {test.name}"
        for s in sources("tests")
        for test in each_test(s.tree)
        if not (test.name.startswith("test_that_") and _states(test, _stating(s.tree)))
    ]
    assert not wrong


def _stating(tree: ast.Module) -> set[str]:
    """Name what states something when called: pytest's own, and functions of the file that assert."""
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    return {"raises", "warns", "fail"} | {function.name for function in functions if _has_assert(function)}


def _states(test: ast.FunctionDef, stating: set[str]) -> bool:
    """Say whether a test can fail by what it states itself or by what it calls."""
    return _has_assert(test) or any(name in stating or name.startswith("assert_") for name, _ in calls(test))


def _has_assert(tree: ast.AST) -> bool:
    return any(isinstance(node, ast.Assert) for node in ast.walk(tree))


def test_that_no_test_is_skipped_or_expected_to_fail() -> None:
    marked = [
        f"{s.name}:{node.lineno}"
        for s in sources("tests")
        for node in ast.walk(s.tree)
        if isinstance(node, ast.Attribute) and node.attr in {"skip", "skipif", "xfail", "importorskip"}
    ]
    assert not marked


def test_that_no_error_is_swallowed() -> None:
    swallowed = [
        f"{s.name}:{node.lineno}"
        for s in sources("shopdesk", "packaging", "migrations")
        for node in ast.walk(s.tree)
        if isinstance(node, ast.ExceptHandler) and (node.type is None or _passes_over_everything(node))
    ]
    assert not swallowed


def _passes_over_everything(handler: ast.ExceptHandler) -> bool:
    broad = isinstance(handler.type, ast.Name) and handler.type.id in {"Exception", "BaseException"}
    return broad and all(isinstance(step, ast.Pass) for step in handler.body)


def test_that_a_sentence_for_people_is_never_put_together_inside_gettext() -> None:
    joined = [
        f"{s.name}:{call.lineno}"
        for s in sources("shopdesk")
        for name, call in calls(s.tree)
        if name in {"_", "ngettext"}
        and any(isinstance(part, ast.JoinedStr | ast.BinOp) for part in call.args[:2])
    ]
    assert not joined
