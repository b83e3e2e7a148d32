"""What this station is called: a name of its own, made once and kept beside the shop."""

import json
import platform
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from uuid import UUID, uuid4


@dataclass(frozen=True, slots=True)
class StationName:
    """The station's id and how people call it."""

    uid: str
    name: str


def this_station(folder: Path) -> StationName:
    """Give this station's name from ``folder``; a missing or damaged one is made anew."""
    file = folder / "station"
    uid = _kept(file)
    if uid is None:
        uid = str(uuid4())
        file.write_text(uid + "\n", encoding="ascii")
    return StationName(uid=uid, name=platform.node()[:120] or "station")


def _kept(file: Path) -> str | None:
    try:
        return str(UUID(file.read_text(encoding="ascii").strip()))
    except (OSError, ValueError):
        return None


class StationSettings:
    """What this station has chosen for itself, as text by name, in one small file."""

    def __init__(self, folder: Path) -> None:
        self._file = folder / "settings.json"

    def load(self) -> dict[str, str]:
        """Give what was chosen; nothing where the file is missing or damaged."""
        try:
            kept = json.loads(self._file.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return {}
        return {str(name): str(value) for name, value in kept.items()} if isinstance(kept, dict) else {}

    def save(self, chosen: Mapping[str, str]) -> None:
        """Keep what was chosen in the place of what was there."""
        part = self._file.with_suffix(".part")
        part.write_text(json.dumps({**self.load(), **chosen}, indent=1), encoding="utf-8")
        part.replace(self._file)
