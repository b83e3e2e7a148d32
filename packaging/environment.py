"""The Python environment of this clone: made once, known by the hash of its lock file.

Used by start.py and test.py. Standard library only, and no newer syntax than Python 3.7 knows, so that an old
Python is refused with a sentence. Nothing here needs root; the clone may be read-only and its path may hold
spaces.
"""

from __future__ import annotations

import ctypes
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path

CLONE = Path(__file__).resolve().parent.parent
LOCKS = CLONE / "packaging"
OLDEST, NEWEST = (3, 11), (3, 13)

# What Qt and the wheels want from the system, by the name the loader knows, with Debian's package.
ALWAYS = {
    "libstdc++.so.6": "libstdc++6",
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libfontconfig.so.1": "libfontconfig1",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libdbus-1.so.3": "libdbus-1-3",
    "libxkbcommon.so.0": "libxkbcommon0",
}
ON_X11 = {
    "libX11-xcb.so.1": "libx11-xcb1",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
ON_WAYLAND = {
    "libwayland-client.so.0": "libwayland-client0",
    "libwayland-cursor.so.0": "libwayland-cursor0",
}


class Refused(Exception):
    """The environment cannot be made or used; the sentence says why and what to do."""


def check_python(version: tuple[int, ...] = sys.version_info[:3]) -> None:
    """Refuse a Python that the program is not tested with."""
    if not OLDEST <= version[:2] <= NEWEST:
        raise Refused(
            "shopdesk needs Python 3.11, 3.12 or 3.13; this is {}. Start the script with one of those, "
            "for example: python3.11 packaging/start.py".format(".".join(map(str, version)))
        )


def environment_folder(lock: str, clone: Path = CLONE) -> Path:
    """Say where the environment lies: in the clone, or in the person's own cache when the clone is another's.

    An environment in the clone that has what ``lock`` lists is used by everybody who can run it.
    """
    inside = clone / ".venv"
    if _is_ours(inside, clone) or (_stands(inside, lock) and _runs(inside)):
        return inside
    return _own_folder(clone) / "venv"


def caches_folder(clone: Path = CLONE) -> Path:
    """Say where the checking tools may keep what they know."""
    inside = clone / ".venv"
    return (inside if _is_ours(inside, clone) else _own_folder(clone)) / "caches"


def _is_ours(inside: Path, clone: Path) -> bool:
    return os.access(str(inside if inside.exists() else clone), os.W_OK)


def _own_folder(clone: Path) -> Path:
    """Give a folder in the person's cache that belongs to this clone."""
    cache = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    return cache / "shopdesk" / hashlib.sha256(str(clone).encode()).hexdigest()[:12]


def python_of(environment: Path) -> Path:
    """Give the environment's own Python."""
    return environment / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def ensure(lock: str) -> Path:
    """Give a Python that has exactly what a lock file lists; make the environment if it does not stand yet.

    ``lock`` is the name of the file in packaging/, without ``.lock``. Raises Refused.
    """
    check_python()
    environment = environment_folder(lock)
    if not _runs(environment):
        _make(environment)
    if not _stands(environment, lock):
        print(f"Installing what {lock}.lock lists into {environment} (once; a minute or two) …", flush=True)
        _install(environment, lock)
    if os.access(environment, os.W_OK):
        _point_to_clone(environment)
    return python_of(environment)


def missing_libraries(wanted: dict[str, str]) -> list[str]:
    """Name the Debian packages of those system libraries that the loader does not find."""
    return sorted({package for library, package in wanted.items() if not _loads(library)})


def missing_for_screen() -> list[str]:
    """Name the Debian packages that a screen of the tests' own lacks: the X server Xvfb and what Qt loads."""
    server = [] if shutil.which("Xvfb") else ["xvfb"]
    return missing_libraries({**ALWAYS, **ON_X11}) + server


def wanted_libraries(surroundings: dict[str, str]) -> dict[str, str]:
    """Say which system libraries Qt needs for the screen that the environment variables speak of."""
    if not sys.platform.startswith("linux"):
        return {}
    wanted = dict(ALWAYS)
    if surroundings.get("QT_QPA_PLATFORM"):
        return wanted
    if surroundings.get("DISPLAY"):
        wanted.update(ON_X11)
    if surroundings.get("WAYLAND_DISPLAY"):
        wanted.update(ON_WAYLAND)
    return wanted


def check_libraries(surroundings: dict[str, str]) -> None:
    """Refuse with the command that installs what is missing."""
    packages = missing_libraries(wanted_libraries(surroundings))
    if packages:
        raise Refused(
            "Some system libraries that the window needs are missing. On Debian and Ubuntu: "
            "sudo apt install " + " ".join(packages)
        )


def has_display(surroundings: dict[str, str]) -> bool:
    """Say whether there is a screen to open a window on."""
    if not sys.platform.startswith("linux"):
        return True
    platform = surroundings.get("QT_QPA_PLATFORM")
    if platform:
        return platform.partition(":")[0] not in {"offscreen", "minimal"}
    return any(surroundings.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY"))


def become(command: list[str]) -> int:
    """Let a program take this one's place, where the system can; else run it and give its exit code."""
    if os.name == "posix":
        sys.stdout.flush()
        os.execv(command[0], command)
    return subprocess.call(command)


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def _runs(environment: Path) -> bool:
    """Say whether the environment's Python starts, is of a fit version and has pip."""
    python = python_of(environment)
    question = f"import sys, pip; sys.exit(not {OLDEST} <= sys.version_info[:2] <= {NEWEST})"
    try:
        done = subprocess.run(
            [str(python), "-I", "-c", question],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            check=False,
        )
    except OSError:  # not there, or not for us to run
        return False
    return done.returncode == 0


def _make(environment: Path) -> None:
    """Lay an empty environment, in place of a broken one."""
    if importlib.util.find_spec("ensurepip") is None:
        raise Refused(
            "This Python cannot make an environment, because ensurepip is missing. "
            "On Debian and Ubuntu: sudo apt install python3-venv"
        )
    print(f"Making a Python environment in {environment} …", flush=True)
    try:
        if environment.exists():
            shutil.rmtree(environment)
        environment.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Refused(f"The environment cannot be made in {environment}: {error.strerror}.") from error
    _run([sys.executable, "-m", "venv", str(environment)], "The environment could not be made.")


def _install(environment: Path, lock: str) -> None:
    """Install a lock file's packages, wheels only and each by its hash, and remember that they stand."""
    _stamp(environment, lock).unlink(missing_ok=True)
    how = ["-qq", "--no-input", "--disable-pip-version-check", "--no-deps", "--only-binary", ":all:"]
    what = ["--require-hashes", "--requirement", str(LOCKS / (lock + ".lock"))]
    _run(
        [str(python_of(environment)), "-m", "pip", "install", *how, *what],
        "The packages could not be installed. Is there a network, and space on the disk?",
    )
    for name in {lock, "requirements"}:  # the larger lock holds all of the smaller one
        _stamp(environment, name).write_text(_hash(name), encoding="ascii")


def _run(command: list[str], sentence: str) -> None:
    elsewhere = {"PYTHONHOME", "PIP_USER", "PIP_TARGET", "PIP_PREFIX"}
    surroundings = {name: value for name, value in os.environ.items() if name not in elsewhere}
    if subprocess.run(command, env=surroundings, stdin=subprocess.DEVNULL, check=False).returncode:
        raise Refused(sentence)


def _stands(environment: Path, lock: str) -> bool:
    try:
        return _stamp(environment, lock).read_text(encoding="ascii") == _hash(lock)
    except OSError:
        return False


def _stamp(environment: Path, lock: str) -> Path:
    return environment / f"shopdesk-{lock}.sha256"


def _hash(lock: str) -> str:
    return hashlib.sha256((LOCKS / (lock + ".lock")).read_bytes()).hexdigest()


def _point_to_clone(environment: Path) -> None:
    """Put the clone on the environment's path and lay the command ``shopdesk``; anew when the clone moved."""
    if os.name == "nt":
        packages = environment / "Lib" / "site-packages"
        command, text = environment / "Scripts" / "shopdesk.cmd", '@"%~dp0python.exe" -P -m shopdesk %*\n'
    else:
        packages = next((environment / "lib").glob("python3.*/site-packages"))
        command = environment / "bin" / "shopdesk"
        text = '#!/bin/sh\nexec "$(dirname -- "$(readlink -f -- "$0")")/python" -P -m shopdesk "$@"\n'
    _write(packages / "shopdesk-clone.pth", str(CLONE) + "\n")
    _write(command, text)
    command.chmod(0o755)


def _write(file: Path, text: str) -> None:
    """Write a small file unless it already says so."""
    if not file.exists() or file.read_text(encoding="utf-8") != text:
        file.write_text(text, encoding="utf-8")
