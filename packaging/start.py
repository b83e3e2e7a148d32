"""Open the program: ``python3 packaging/start.py``; ``--demo`` opens an invented shop.

The first start makes the Python environment in the clone. Everything else on the command line goes to the
program: ``packaging/start.py job FILE.json`` is a command that needs no screen. Without a screen ``--demo``
does the demo's main job and says where its papers are; ``--papers FOLDER`` chooses the folder.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

import environment
from environment import Refused


def main(words: list[str]) -> int:
    """Make the environment if need be, then become the program. Gives the exit code."""
    screen = environment.has_display(dict(os.environ))
    command = bool(words) and not words[0].startswith("-")
    try:
        if not screen and not command:
            words = _words_for_demo(words)
        python = environment.ensure("requirements")
        if screen and not command:
            environment.check_libraries(dict(os.environ))
    except Refused as refusal:
        print(f"shopdesk: {refusal}", file=sys.stderr)
        return 1
    return environment.become([str(python), "-P", "-m", "shopdesk", *words])


def _words_for_demo(words: list[str]) -> list[str]:
    """Turn ``--demo`` into the command that does the demo's main job where no window can be opened."""
    if "--demo" not in words:
        raise Refused(
            "There is no screen to open the window on (neither DISPLAY nor WAYLAND_DISPLAY is set). "
            "Add --demo to make the demo's papers without a window."
        )
    print("There is no screen, so the demo does its main job without a window.")
    rest = [word for word in words if word != "--demo"]
    chosen = any(word.startswith("--papers") for word in rest)
    return ["demo", *rest] if chosen else ["demo", *rest, "--papers", str(_papers_folder())]


def _papers_folder() -> Path:
    """Give the folder demo-papers in the clone, or a new one where the clone cannot be written."""
    if os.access(environment.CLONE, os.W_OK):
        papers = environment.CLONE / "demo-papers"
        papers.mkdir(exist_ok=True)
        return papers
    return Path(tempfile.mkdtemp(prefix="shopdesk-demo-papers-"))


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
