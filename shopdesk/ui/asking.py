"""What may be asked of the person: nothing but the shape of it, so that any part may hold one.

Nothing waits: a question is opened and the answer comes to a callback. A question that is put aside
(Esc) calls nothing.
"""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Protocol

Chosen = Callable[[Path], None]


class Ask(Protocol):
    """What a screen may ask. Sentences are plain text."""

    def say(self, sentence: str, detail: str = "") -> None:
        """Tell something that must be seen."""

    def confirm(self, question: str, verb: str, then: Callable[[], None], detail: str = "") -> None:
        """Ask before what cannot be undone; ``verb`` is on the button."""

    def choose(
        self, question: str, answers: Sequence[tuple[str, str]], then: Callable[[str], None], detail: str = ""
    ) -> None:
        """Let one of several (key, words) be chosen; ``then`` gets the key."""

    def choose_file(self, title: str, kinds: str, then: Chosen) -> None:
        """Let a file be chosen; ``kinds`` as "Pictures (*.png *.jpg)"."""

    def save_file(self, title: str, name: str, kinds: str, then: Chosen) -> None:
        """Let a place to save be chosen; ``name`` is the name offered."""
