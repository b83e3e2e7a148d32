"""The scripts in packaging/ are no package: here they are imported as they import one another."""

from __future__ import annotations

import importlib
import sys
from types import ModuleType

import pytest

from tests.architecture.sources import CLONE


@pytest.fixture
def environment(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The module packaging/environment.py."""
    return _script("environment", monkeypatch)


@pytest.fixture
def start(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The module packaging/start.py."""
    return _script("start", monkeypatch)


@pytest.fixture
def checker(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The module packaging/test.py, which shares its name with a package of the standard library."""
    monkeypatch.delitem(sys.modules, "test", raising=False)
    return _script("test", monkeypatch)


@pytest.fixture
def licences(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The module packaging/licences.py."""
    return _script("licences", monkeypatch)


def _script(name: str, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    monkeypatch.syspath_prepend(str(CLONE / "packaging"))
    module = importlib.import_module(name)
    monkeypatch.delitem(sys.modules, name)
    return module
