"""What this station is called: a name of its own, made once and kept beside the shop."""

import platform
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
