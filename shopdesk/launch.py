"""Puts the program together: database, clock, rooms, and the window or a command.

The only module that sees every layer.
"""

import gettext
import sys
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

from shopdesk.cli import commands
from shopdesk.documents.fonts import Fonts
from shopdesk.host import paths
from shopdesk.host.clock import SystemClock
from shopdesk.host.station import this_station
from shopdesk.persistence.engine import open_database
from shopdesk.persistence.schema import migrate
from shopdesk.services.acting import Clock
from shopdesk.services.desk import Desk


def open_desk(
    address: str,
    *,
    clock: Clock | None = None,
    announce: Callable[[frozenset[str]], None] = lambda _: None,
) -> Desk:
    """Open the shop at an address, bringing its tables up to date first.

    Raises RuleBroken with a sentence when there is something else at that address.
    """
    program = paths.program_folder()
    database = open_database(address)
    migrate(database, program / "migrations")
    station = this_station(paths.settings_folder())
    return Desk(
        database,
        clock or SystemClock(),
        cache(lambda: Fonts(program / "resources" / "fonts")),
        station=(station.uid, station.name),
        announce=announce,
    )


def main(arguments: Sequence[str] | None = None) -> int:
    """Open the window, or carry out a command when one is named."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    gettext.bindtextdomain("shopdesk", str(paths.program_folder() / "resources" / "translations"))
    gettext.textdomain("shopdesk")
    if given and given[0] in commands.NAMES:
        return commands.run(given, _doors())
    return _open_window(given)


def _doors() -> commands.Doors:
    return commands.Doors(
        open_desk=open_desk,
        address=paths.database_address(),
        demo_address=paths.demo_address(),
        schemas=paths.program_folder() / "resources" / "schemas",
    )


def _open_window(arguments: Sequence[str]) -> int:
    raise SystemExit(2)


__all__ = ["Path", "main", "open_desk"]
