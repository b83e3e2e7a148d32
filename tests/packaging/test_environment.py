"""The scripts that make the environment, open the program and run the tests."""

from __future__ import annotations

import ast
import importlib.util
import shutil
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from types import ModuleType

import pytest

from tests.architecture.sources import CLONE, imported, sources, top_level


@pytest.fixture
def small_clone(tmp_path: Path) -> Path:
    """A clone in a folder with a space, whose locks are empty."""
    clone = tmp_path / "a b"
    shutil.copytree(CLONE / "packaging", clone / "packaging", ignore=shutil.ignore_patterns("__pycache__"))
    for lock in ("requirements", "requirements-dev"):
        (clone / "packaging" / f"{lock}.lock").write_text("", encoding="utf-8")
    program = clone / "shopdesk"
    program.mkdir()
    (program / "__init__.py").touch()
    (program / "__main__.py").write_text("import sys\nprint('told', *sys.argv[1:])\n", encoding="utf-8")
    return clone


def run(command: Sequence[str | Path], cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run a program with hardly any environment variables."""
    surroundings = {"PATH": "/usr/bin:/bin", "HOME": str(cwd), "LC_ALL": "C.UTF-8"}
    return subprocess.run(command, cwd=cwd, env=surroundings, capture_output=True, text=True, check=False)


@pytest.mark.parametrize("version", [(3, 9, 2), (3, 10, 14), (3, 14, 0), (2, 7, 18)])
def test_that_another_python_is_refused_with_a_sentence(
    environment: ModuleType, version: tuple[int, int, int]
) -> None:
    with pytest.raises(environment.Refused, match=r"needs Python 3\.11, 3\.12 or 3\.13; this is"):
        environment.check_python(version)


@pytest.mark.parametrize("version", [(3, 11, 0), (3, 12, 9), (3, 13, 5)])
def test_that_the_pythons_named_are_taken(environment: ModuleType, version: tuple[int, int, int]) -> None:
    assert environment.check_python(version) is None


def test_that_the_scripts_can_be_read_by_an_old_python_and_need_no_package() -> None:
    scripts = [source for source in sources("packaging") if not source.name.endswith("licences.py")]
    modules = {module for source in scripts for module in imported(source.tree)}
    assert len(scripts) == 3
    assert {top_level(module) for module in modules} - {"environment"} <= sys.stdlib_module_names
    for source in scripts:
        assert ast.parse(source.text, feature_version=(3, 7))


def test_that_a_missing_ensurepip_names_the_package(
    environment: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    monkeypatch.setattr(environment, "environment_folder", lambda lock: tmp_path / "new")
    with pytest.raises(environment.Refused, match="apt install python3-venv"):
        environment.ensure("requirements")
    assert not (tmp_path / "new").exists()


def test_that_a_missing_library_names_its_debian_package(environment: ModuleType) -> None:
    wanted = {"libno-such-thing.so.9": "libno-such-thing9", **environment.ALWAYS}
    assert environment.missing_libraries(wanted) == ["libno-such-thing9"]


def test_that_missing_libraries_are_refused_with_the_command_that_installs_them(
    environment: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(environment, "ALWAYS", {"libno-such-thing.so.9": "libno-such-thing9"})
    with pytest.raises(environment.Refused, match="sudo apt install libno-such-thing9"):
        environment.check_libraries({"QT_QPA_PLATFORM": "offscreen"})


def test_that_libraries_for_a_screen_are_wanted_only_with_a_screen(environment: ModuleType) -> None:
    assert "libxcb-cursor.so.0" not in environment.wanted_libraries({})
    assert "libxcb-cursor.so.0" in environment.wanted_libraries({"DISPLAY": ":0"})
    assert "libxcb-cursor.so.0" not in environment.wanted_libraries(
        {"DISPLAY": ":0", "QT_QPA_PLATFORM": "offscreen"}
    )
    assert "libwayland-client.so.0" in environment.wanted_libraries({"WAYLAND_DISPLAY": "wayland-0"})


def test_that_the_package_list_for_a_bare_machine_is_whole(environment: ModuleType) -> None:
    lines = (CLONE / "packaging" / "debian-packages.txt").read_text(encoding="utf-8").splitlines()
    listed = {line for line in lines if not line.startswith("#")}
    assert {
        *environment.ALWAYS.values(),
        *environment.ON_X11.values(),
        "git",
        "python3-venv",
        "xvfb",
    } <= listed


def test_that_what_a_screen_of_the_tests_lacks_is_named(
    environment: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(environment, "ON_X11", {"libno-such-thing.so.9": "libno-such-thing9"})
    monkeypatch.setattr(environment, "ALWAYS", {})
    monkeypatch.setattr(shutil, "which", lambda name: None)
    assert environment.missing_for_screen() == ["libno-such-thing9", "xvfb"]
    monkeypatch.setattr(shutil, "which", lambda name: f"/usr/bin/{name}")
    monkeypatch.setattr(environment, "ON_X11", {})
    assert environment.missing_for_screen() == []


@pytest.mark.parametrize(
    ("surroundings", "screen"),
    [
        ({}, False),
        ({"DISPLAY": ""}, False),
        ({"DISPLAY": ":0"}, True),
        ({"WAYLAND_DISPLAY": "wayland-0"}, True),
        ({"DISPLAY": ":0", "QT_QPA_PLATFORM": "offscreen"}, False),
        ({"QT_QPA_PLATFORM": "vnc:size=800x600"}, True),
    ],
)
def test_that_a_screen_is_known_by_the_environment(
    environment: ModuleType, surroundings: dict[str, str], screen: bool
) -> None:
    assert environment.has_display(surroundings) is screen


def test_that_the_first_start_makes_an_environment_and_the_second_uses_it(small_clone: Path) -> None:
    script = small_clone / "packaging" / "start.py"
    start: list[str | Path] = [sys.executable, script, "--demo", "--papers", "my papers"]
    first = run(start, small_clone.parent)
    second = run(start, small_clone.parent)
    assert (first.returncode, second.returncode) == (0, 0), first.stderr + second.stderr
    assert "Making a Python environment" in first.stdout
    assert "Making" not in second.stdout
    assert second.stdout.splitlines()[-1] == "told demo --papers my papers"

    command = small_clone / ".venv" / "bin" / "shopdesk"
    from_anywhere = run([command, "due", "--within", "30"], small_clone.parent)
    assert from_anywhere.stdout == "told due --within 30\n"

    moved = small_clone.rename(small_clone.with_name("moved"))
    third = run([sys.executable, moved / "packaging" / "start.py", "--demo", "--papers", "p"], moved)
    assert third.stdout.splitlines()[-1] == "told demo --papers p", third.stderr


def test_that_another_lock_is_installed_again(environment: ModuleType, tmp_path: Path) -> None:
    stamp = tmp_path / "shopdesk-requirements.sha256"
    stamp.write_text("0" * 64, encoding="ascii")
    assert not environment._stands(tmp_path, "requirements")
    stamp.write_text(environment._hash("requirements"), encoding="ascii")
    assert environment._stands(tmp_path, "requirements")


def test_that_a_clone_of_somebody_else_is_left_as_it_is(
    environment: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("os.access", lambda path, mode: False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "mine"))
    (tmp_path / "theirs").mkdir()
    folders = [
        environment.environment_folder("requirements", tmp_path / "theirs"),
        environment.caches_folder(tmp_path / "theirs"),
    ]
    assert all(folder.is_relative_to(tmp_path / "mine") for folder in folders)
    assert not list((tmp_path / "theirs").iterdir())


def test_that_a_command_needs_no_screen(small_clone: Path) -> None:
    done = run([sys.executable, small_clone / "packaging" / "start.py", "job", "a.json"], small_clone)
    assert done.stdout.splitlines()[-1] == "told job a.json", done.stderr


def test_that_without_a_screen_and_without_demo_a_sentence_says_so(small_clone: Path) -> None:
    done = run([sys.executable, small_clone / "packaging" / "start.py"], small_clone)
    assert done.returncode == 1
    assert done.stderr.startswith("shopdesk: There is no screen")
    assert not (small_clone / ".venv").exists()


def test_that_the_tests_run_two_at_a_time_unless_told_otherwise(checker: ModuleType, tmp_path: Path) -> None:
    words = checker.pytest_words(["-k", "pan"], tmp_path)
    assert words[-6:] == ["-n", "2", "--dist", "loadfile", "-k", "pan"]
    assert "2" not in checker.pytest_words(["-n0"], tmp_path)


@pytest.mark.parametrize("words", [[], ["-q"], ["-k", "pan", "-q"]])
def test_that_the_closing_line_is_printed_once_quiet_or_not(
    checker: ModuleType, tmp_path: Path, words: list[str]
) -> None:
    assert checker.pytest_words(words, tmp_path).count("-q") == 1


def test_that_a_failed_check_fails_the_whole_though_the_tests_pass(
    checker: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    def play(name: str, command: list[str], surroundings: dict[str, str]) -> int:
        sys.stdout.write(f"{name}\n")
        return int("mypy" in name)

    monkeypatch.setattr(checker, "_run", play)
    monkeypatch.setattr(checker.environment, "ensure", lambda lock: tmp_path / "python")
    assert checker.main([]) == 1
    told = capsys.readouterr().out.splitlines()
    assert told[-2:] == ["Not passed: types (mypy --strict)", "tests"]
