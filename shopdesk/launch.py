"""Puts the program together: database, clock, rooms, and the window or a command.

The only module that sees every layer. What a run does not need it does not load.
"""

import gettext
import sys
from collections.abc import Callable, Sequence
from functools import cache
from typing import TYPE_CHECKING

from shopdesk.host import paths

if TYPE_CHECKING:
    from shopdesk.services.acting import Clock
    from shopdesk.services.desk import Desk
    from shopdesk.ui.program import Announce, Surroundings

COMMANDS = (
    "job",
    "due",
    "check",
    "demo",
    "verify-record",
    "public-key",
    "verify",
    "record-file",
    "stock",
    "recall",
)


def main(arguments: Sequence[str] | None = None) -> int:
    """Open the window (on the demo shop with ``--demo``), or carry out a command when one is named."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    gettext.bindtextdomain("shopdesk", str(paths.program_folder() / "resources" / "translations"))
    gettext.textdomain("shopdesk")
    if given and (given[0] in COMMANDS or given[0] in ("-h", "--help")):
        return _run_command(given)
    return _open_window(demo="--demo" in given)


def open_desk(
    address: str,
    *,
    clock: "Clock | None" = None,
    announce: Callable[[frozenset[str]], None] = lambda _: None,
) -> "Desk":
    """Open the shop at an address, bringing its tables up to date first.

    Raises RuleBroken with a sentence when there is something else at that address.
    """
    from shopdesk.documents.fonts import Fonts
    from shopdesk.host.clock import SystemClock
    from shopdesk.host.station import this_station
    from shopdesk.persistence.engine import open_database
    from shopdesk.persistence.schema import migrate
    from shopdesk.services.desk import Desk

    program = paths.program_folder()
    database = open_database(address)
    migrate(database, program / "migrations")
    station = this_station(paths.settings_folder())
    return Desk(
        database,
        clock or SystemClock(),
        cache(lambda: Fonts(program / "resources" / "fonts")),
        program / "resources" / "schemas",
        station=(station.uid, station.name),
        announce=announce,
    )


def _run_command(given: Sequence[str]) -> int:
    from shopdesk.cli import commands

    doors = commands.Doors(
        open_desk=open_desk,
        address=paths.database_address(),
        demo_address=paths.demo_address(),
        schemas=paths.program_folder() / "resources" / "schemas",
    )
    return commands.run(given, doors)


def _open_window(*, demo: bool) -> int:
    from shopdesk.host.log import start_log
    from shopdesk.ui.app import make_application
    from shopdesk.ui.program import Program

    app = make_application(sys.argv[:1], "shopdesk")
    program = Program(app, surroundings(str(start_log(paths.log_folder()))))
    program.crash.install()
    program.start(demo=demo)
    return app.exec()


def surroundings(log_place: str) -> "Surroundings":
    """Give what the window needs of this machine."""
    from shopdesk.host.station import StationSettings
    from shopdesk.ui.program import Surroundings, usual_printing
    from shopdesk.ui.theme.look import LookChoice, Shade

    settings = StationSettings(paths.settings_folder())
    kept = settings.load()

    def keep(choice: LookChoice) -> None:
        settings.save(
            {
                "shade": choice.shade.value,
                "percent": str(choice.percent),
                "less_motion": str(int(choice.less_motion)),
            }
        )

    choice = LookChoice(
        shade=Shade(kept["shade"]) if kept.get("shade") in set(Shade) else Shade.SYSTEM,
        percent=_percent(kept.get("percent", "100")),
        less_motion=kept.get("less_motion") == "1",
    )
    return Surroundings(
        open_shop=lambda announce: open_desk(paths.database_address(), announce=announce),
        open_demo=_open_demo,
        resources=paths.program_folder() / "resources",
        log_place=log_place,
        choice=choice,
        keep_choice=keep,
        printing=usual_printing(),
    )


def _percent(text: str) -> int:
    return min(200, max(100, int(text))) if text.isdecimal() and len(text) < 5 else 100


def _open_demo(announce: "Announce") -> "Desk":
    """Open the demo shop, made at the first visit."""
    from shopdesk.services.demo.make import ensure_demo

    return ensure_demo(paths.demo_address(), open_desk, announce)
