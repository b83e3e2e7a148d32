"""The project's own Python, read as text and as syntax trees."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

CLONE = Path(__file__).resolve().parents[2]
FOLDERS = ("shopdesk", "migrations", "packaging", "tests")


@dataclass(frozen=True, kw_only=True, slots=True)
class Source:
    """One Python file; ``name`` is its path from the clone, with slashes."""

    name: str
    text: str
    tree: ast.Module


@cache
def sources(*folders: str) -> tuple[Source, ...]:
    """Read all Python files of some folders, or of all of ours; once in a run."""
    files = [file for folder in folders or FOLDERS for file in sorted((CLONE / folder).rglob("*.py"))]
    return tuple(_read(file) for file in files)


def _read(file: Path) -> Source:
    text = file.read_text(encoding="utf-8")
    return Source(name=file.relative_to(CLONE).as_posix(), text=text, tree=ast.parse(text, str(file)))


def imported(tree: ast.AST) -> Iterator[str]:
    """Give the full names of the modules that are imported anywhere in a tree."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module


def top_level(module: str) -> str:
    """Give the package a module belongs to."""
    return module.partition(".")[0]


def calls(tree: ast.AST) -> Iterator[tuple[str, ast.Call]]:
    """Give every call with the last part of the name that is called."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            target = node.func
            if isinstance(target, ast.Attribute):
                yield target.attr, node
            elif isinstance(target, ast.Name):
                yield target.id, node


def each_test(tree: ast.AST) -> Iterator[ast.FunctionDef]:
    """Give the test functions of a file."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
            yield node
