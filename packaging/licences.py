"""Print NOTICE: whose work travels with the program, and under which licence.

Run with the project's own Python: ``.venv/bin/python packaging/licences.py > NOTICE``. The licences are read
from the installed packages' own metadata; one that is not in ``ACCEPTED`` is named and the exit code is 1,
so nothing gets in unread.
"""

from __future__ import annotations

import re
import sys
from importlib import metadata
from pathlib import Path

CLONE = Path(__file__).resolve().parent.parent

ACCEPTED = {
    "Apache-2.0",
    "Apache-2.0 OR BSD-2-Clause",
    "Apache-2.0 OR BSD-3-Clause",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSD-3-Clause AND Apache-2.0",
    "LGPL-3.0-only",
    "LGPL-3.0-only OR GPL-2.0-only OR GPL-3.0-only",
    "MIT",
    "MIT-0",
    "MIT-CMU",
    "MPL-2.0",
    "PSF-2.0",
}

# What some packages write instead of an SPDX expression.
OTHER_WORDS = {
    "Apache 2.0": "Apache-2.0",
    "BSD": "BSD-3-Clause",
    "BSD 2-Clause License": "BSD-2-Clause",
    "BSD License": "BSD-3-Clause",
    "BSD-3-Clause, Apache-2.0, dependency licenses": "BSD-3-Clause AND Apache-2.0",
    "BSD license (see license.txt for details)": "BSD-3-Clause",
    "MIT License": "MIT",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "Revised BSD License": "BSD-3-Clause",
}

HEAD = """\
shopdesk is under the MIT licence (LICENSE). It stands on the work below; each keeps its own licence.

Nothing of these packages is copied into this repository: packaging/start.py installs them, unchanged, from
the versions and hashes in packaging/requirements.lock. Qt (in PySide6_Essentials and shiboken6) and psycopg
are used under the LGPL, version 3, as separate libraries that you may replace by your own builds. pypdfium2
brings PDFium, psycopg-binary brings libpq and OpenSSL, cryptography brings OpenSSL, and pi-heif brings
libheif and libde265 (both under the LGPL, version 3); their licences lie in the installed packages.

What travels inside the repository
----------------------------------
resources/fonts   IBM Plex Sans: SIL Open Font License 1.1, reserved font name "Plex" (OFL.txt there)
resources/icons   Lucide icons: ISC licence, in part MIT (LICENSE there)
"""


def locked_names(lock: Path) -> list[str]:
    """Return the distribution names that a lock file pins, in its order."""
    return re.findall(r"^([A-Za-z0-9._-]+)==", lock.read_text(encoding="utf-8"), re.MULTILINE)


def licence_of(about: metadata.PackageMetadata) -> str:
    """Return the SPDX expression of an installed package, or its own words where we know none for them."""
    words = [about[key] for key in ("License-Expression", "License") if key in about]
    words += [
        line.rsplit("::", 1)[-1].strip()
        for line in about.get_all("Classifier") or []
        if line.startswith("License ::")
    ]
    said = next((word.strip() for word in words if word.strip()), "nothing").split(", Copyright")[0]
    return OTHER_WORDS.get(said, said)


def table(names: list[str]) -> list[tuple[str, str, str]]:
    """Return name, version and licence of those named packages that this platform has installed."""
    rows = []
    for name in names:
        try:
            about = metadata.metadata(name)
        except metadata.PackageNotFoundError:  # a marker in the lock leaves it out on this platform
            continue
        rows.append((about["Name"], about["Version"], licence_of(about)))
    return rows


def section(title: str, rows: list[tuple[str, str, str]]) -> str:
    """Return one underlined list of packages."""
    lines = [f"{name:<27}{version:<12}{licence}" for name, version, licence in rows]
    return "\n".join(["", title, "-" * len(title), *lines, ""])


def main() -> int:
    """Print NOTICE to standard output and unknown licences to standard error."""
    running = locked_names(CLONE / "packaging" / "requirements.lock")
    testing = [
        name for name in locked_names(CLONE / "packaging" / "requirements-dev.lock") if name not in running
    ]
    used, tools = table(running), table(testing)
    print(HEAD + section("What the program uses", used) + section("What only its tests use", tools), end="")
    unknown = [row for row in used + tools if row[2] not in ACCEPTED]
    for name, version, licence in unknown:
        print(f"{name} {version}: licence not looked at yet: {licence}", file=sys.stderr)
    return 1 if unknown else 0


if __name__ == "__main__":
    sys.exit(main())
