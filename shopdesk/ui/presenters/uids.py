"""Ids of commands: the same command asked again keeps its id, a changed one gets another.

So a double click, or going on after a refusal, never keeps anything twice, and what was changed after
it had been kept is not mistaken for it.
"""

from collections.abc import Mapping
from hashlib import sha256

from shopdesk.services.acting import new_uid

_PREFIX = "uid "


class Uids:
    """One id for each step and what it says."""

    def __init__(self) -> None:
        self._made: dict[str, tuple[str, str]] = {}

    def of(self, step: str, *content: object) -> str:
        """Give the id of ``step`` as long as its content stays the same."""
        digest = sha256(repr(content).encode("utf-8", "replace")).hexdigest()[:24]
        kept = self._made.get(step)
        if kept is None or kept[1] != digest:
            kept = (new_uid(), digest)
            self._made[step] = kept
        return kept[0]

    def forget(self) -> None:
        """Begin anew: what comes next is something else even if it says the same."""
        self._made.clear()

    def texts(self) -> dict[str, str]:
        """Give the ids for a draft."""
        return {_PREFIX + step: f"{uid} {digest}" for step, (uid, digest) in self._made.items()}

    def restore(self, texts: Mapping[str, str]) -> None:
        """Take the ids of a draft."""
        for name, text in texts.items():
            uid, _gap, digest = text.partition(" ")
            if name.startswith(_PREFIX) and digest:
                self._made[name.removeprefix(_PREFIX)] = (uid, digest)
