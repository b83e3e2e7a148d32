"""The lock files: exact, hashed, the same everywhere, and what is installed."""

from __future__ import annotations

import re
from importlib import metadata
from types import ModuleType

import pytest

from tests.architecture.sources import CLONE

PACKAGING = CLONE / "packaging"


def blocks(name: str) -> dict[str, str]:
    """Give each requirement of a lock file, under its name, with its version, marker and hashes."""
    text = (PACKAGING / f"{name}.lock").read_text(encoding="utf-8")
    found = re.split(r"^(?=[a-z0-9])", text, flags=re.MULTILINE)
    return {block.partition("==")[0]: block for block in found if block.strip()}


def version(block: str) -> str:
    """Give the version a requirement is pinned to."""
    return re.split(r"[ \\;]", block.partition("==")[2], maxsplit=1)[0]


@pytest.mark.parametrize("name", ["requirements", "requirements-dev"])
def test_that_every_locked_package_has_an_exact_version_and_hashes(name: str) -> None:
    loose = [package for package, block in blocks(name).items() if "--hash=sha256:" not in block]
    assert len(blocks(name)) > 20
    assert not loose


@pytest.mark.parametrize("name", ["requirements", "requirements-dev"])
def test_that_a_lock_names_no_address_and_no_path(name: str) -> None:
    text = (PACKAGING / f"{name}.lock").read_text(encoding="utf-8")
    assert not re.search(r"://|--index|--find-links|^#.*uv", text, re.MULTILINE)


@pytest.mark.parametrize("name", ["requirements", "requirements-dev"])
def test_that_the_lock_holds_what_was_asked_for(name: str) -> None:
    asked = re.findall(
        r"^([\w.-]+)==([\w.]+)", (PACKAGING / f"{name}.in").read_text(encoding="utf-8"), re.MULTILINE
    )
    locked = {package: version(block) for package, block in blocks(name).items()}
    assert asked
    assert {package.lower(): number for package, number in asked}.items() <= locked.items()


def test_that_the_larger_lock_holds_all_of_the_smaller_one() -> None:
    # start.py takes an environment made by test.py for its own.
    assert blocks("requirements").items() <= blocks("requirements-dev").items()


def test_that_the_tests_run_on_the_locked_versions() -> None:
    installed = {dist.name.lower().replace("_", "-"): dist.version for dist in metadata.distributions()}
    other = {
        package: (version(block), installed[package])
        for package, block in blocks("requirements-dev").items()
        if package in installed and installed[package] != version(block)
    }
    assert not other


def test_that_every_licence_is_known_and_the_notice_is_true(
    licences: ModuleType, capsys: pytest.CaptureFixture[str]
) -> None:
    code = licences.main()
    told = capsys.readouterr()
    assert (code, told.err) == (0, "")
    notice = (CLONE / "NOTICE").read_text(encoding="utf-8").splitlines()
    # Not every package is installed on every platform; what is installed must stand in NOTICE as it is.
    assert not set(told.out.splitlines()) - set(notice)


def test_that_an_unread_licence_is_named(
    licences: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(licences, "ACCEPTED", licences.ACCEPTED - {"MPL-2.0"})
    assert licences.main() == 1
    assert "hypothesis" in capsys.readouterr().err
