"""Run every check and test: ``python3 packaging/test.py``. What follows goes to pytest.

Style (ruff), types (mypy --strict) and layers (import-linter) are checked first, then the tests run two at a
time, without a screen, on SQLite and on a PostgreSQL that they start themselves. Where Xvfb is installed, one
test opens the window on a screen of its own. The exit code is not 0 if anything failed; pytest's closing line
is the last.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import environment
from environment import CLONE, Refused

WITHOUT_SCREEN = {"QT_QPA_PLATFORM": "offscreen", "PYTHONUTF8": "1"}
LINT_IMPORTS = "from importlinter.cli import lint_imports_command; lint_imports_command()"


def main(words: list[str]) -> int:
    """Make the environment if need be and run everything in it. Gives the exit code."""
    try:
        python = str(environment.ensure("requirements-dev"))
        environment.check_libraries(WITHOUT_SCREEN)
    except Refused as refusal:
        print(f"shopdesk: {refusal}", file=sys.stderr)
        return 1
    lacking = environment.missing_for_screen()
    if lacking:
        print(
            "No test opens a window on a screen; for that: sudo apt install " + " ".join(lacking), flush=True
        )
    caches = environment.caches_folder()
    storage = {"HYPOTHESIS_STORAGE_DIRECTORY": str(caches / "hypothesis")}
    surroundings = {**os.environ, **WITHOUT_SCREEN, **storage}
    commands = checks(caches).items()
    failed = [name for name, command in commands if _run(name, [python, *command], surroundings)]
    if failed:
        print("Not passed: " + ", ".join(failed), flush=True)
    tests = _run("tests", [python, "-m", "pytest", *pytest_words(words, caches)], surroundings)
    return tests or (1 if failed else 0)


def checks(caches: Path) -> dict[str, list[str]]:
    """Name the checks that read the code, each with what the environment's Python is told."""
    return {
        "style (ruff)": ["-m", "ruff", "check", "--quiet", "--cache-dir", str(caches / "ruff"), "."],
        "types (mypy --strict)": ["-m", "mypy", "--strict", "--cache-dir", str(caches / "mypy")],
        "layers (import-linter)": ["-c", LINT_IMPORTS, "--no-logo", "--cache-dir", str(caches / "imports")],
    }


def pytest_words(words: list[str], caches: Path) -> list[str]:
    """Give pytest's command line: quiet, in two processes file by file, unless the words say otherwise."""
    own = ["-o", f"cache_dir={caches / 'pytest'}"]
    if not any(word.startswith(("-q", "-v", "--quiet", "--verbose")) for word in words):
        own.append("-q")  # once: with -qq pytest leaves its closing line out
    if not any(word.startswith(("-n", "--numprocesses", "--dist")) for word in words):
        own += ["-n", "2", "--dist", "loadfile"]
    return own + words


def _run(name: str, command: list[str], surroundings: dict[str, str]) -> int:
    print(f"== {name}", flush=True)
    return subprocess.call(command, cwd=CLONE, env=surroundings, stdin=subprocess.DEVNULL)


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
