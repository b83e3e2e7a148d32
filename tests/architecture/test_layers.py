"""Who may import whom. The contracts stand in pyproject.toml; here they are run, and shown to bite."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from tests.architecture.sources import CLONE, imported, sources, top_level

LINT = "from importlinter.cli import lint_imports_command as lint; lint()"


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    """Run import-linter over the ``shopdesk`` that lies in a folder."""
    return subprocess.run(
        [sys.executable, "-P", "-c", LINT, "--no-logo", "--no-cache", str(folder / "pyproject.toml")],
        cwd=folder,
        env={"PYTHONPATH": str(folder), "PATH": "", "NO_COLOR": "1"},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )


def test_that_every_contract_of_the_house_is_kept() -> None:
    done = lint(CLONE)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout


def test_that_no_contract_ignores_an_import() -> None:
    settings = tomllib.loads((CLONE / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"]
    loosened = [
        (contract["name"], key)
        for contract in settings["contracts"]
        for key in contract
        if "ignore" in key or key == "skip_descendants"
    ]
    assert not loosened
    assert "exclude_type_checking_imports" not in settings


@pytest.mark.parametrize(
    ("file", "line", "contract"),
    [
        ("ui/planted.py", "import shopdesk.persistence.engine", "The faces"),
        ("cli/planted.py", "import sqlalchemy", "The faces"),
        ("cli/planted.py", "import shopdesk.ui", "Layers"),
        ("services/planted.py", "import PySide6.QtCore", "Qt only"),
        ("services/planted.py", "import pypdfium2", "PDFium"),
        ("documents/planted.py", "import shiboken6", "Qt's binding"),
        ("services/planted.py", "import PIL.Image", "Pictures"),
        ("services/planted.py", "import zxingcpp", "Pictures"),
        ("documents/planted.py", "import cryptography", "Keys"),
        ("host/planted.py", "import sqlalchemy", "SQL only"),
        ("services/planted.py", "import reportlab", "PDF and QR"),
        ("documents/planted.py", "import shopdesk.persistence.engine", "Layers"),
        ("domain/planted.py", "import shopdesk.services", "Layers"),
        ("domain/planted.py", "def late() -> None:\n    import pint", "pint only"),
        ("planted.py", "", "Layers"),
    ],
)
def test_that_a_planted_import_breaks_its_contract(
    tmp_path: Path, file: str, line: str, contract: str
) -> None:
    shutil.copytree(CLONE / "shopdesk", tmp_path / "shopdesk", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(CLONE / "pyproject.toml", tmp_path)
    (tmp_path / "shopdesk" / file).write_text(line + "\n", encoding="utf-8")
    done = lint(tmp_path)
    broken = [said for said in done.stdout.splitlines() if said.endswith("BROKEN")]
    assert done.returncode == 1
    assert any(said.startswith(contract) for said in broken), done.stdout


def test_that_the_rules_stand_on_the_standard_library_alone() -> None:
    strangers = [
        (source.name, module)
        for source in sources("shopdesk/domain")
        for module in imported(source.tree)
        if not module.startswith("shopdesk.domain") and top_level(module) not in sys.stdlib_module_names
    ]
    assert all(stranger == ("shopdesk/domain/units.py", "pint") for stranger in strangers), strangers


def test_that_pint_is_imported_in_one_file() -> None:
    files = {
        source.name
        for source in sources("shopdesk")
        if any(top_level(module) == "pint" for module in imported(source.tree))
    }
    assert files == {"shopdesk/domain/units.py"}


def test_that_a_migration_needs_nothing_of_the_program() -> None:
    versions = sources("migrations/versions")
    strangers = [
        (source.name, module)
        for source in versions
        for module in imported(source.tree)
        if top_level(module) not in {"alembic", "sqlalchemy", "__future__", "collections", "typing"}
    ]
    assert versions
    assert not strangers
