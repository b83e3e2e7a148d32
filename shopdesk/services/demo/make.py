"""Makes the demo shop, small or whole, and finds the one that was made before."""

import os
import tempfile
from collections.abc import Callable
from datetime import datetime, time, timedelta
from gettext import gettext as _
from pathlib import Path
from random import Random
from typing import Protocol

from shopdesk.domain.errors import RuleBroken
from shopdesk.host.clock import SystemClock
from shopdesk.services.acting import Clock
from shopdesk.services.demo.back_room import furnish_back_room
from shopdesk.services.demo.clock import DemoClock
from shopdesk.services.demo.crew import open_shop
from shopdesk.services.demo.days import ZONE, Years
from shopdesk.services.demo.open_work import expect_open_work
from shopdesk.services.demo.plan import FULL, Size, make_plan
from shopdesk.services.demo.twists import add_twists
from shopdesk.services.desk import Desk

SEED = 20
_SCARCE_DAYS = 170
_FRESH = timedelta(days=3)


Announce = Callable[[frozenset[str]], None]


class OpensDesk(Protocol):
    """Opens the shop at an address, with a clock of one's own if one is handed in."""

    def __call__(self, address: str, *, clock: Clock | None = None, announce: Announce = ...) -> Desk:
        """Give the desk; whoever asked closes it."""
        ...


def _nothing(_share: float) -> None:
    """Nobody waits to be told."""


def _tell_nobody(_changed: frozenset[str]) -> None:
    """Nobody looks on."""


def demo_clock(now: datetime, size: Size = FULL) -> DemoClock:
    """Give the clock to open a desk with before :func:`make_demo`: it stands at the shop's first day."""
    first = now.astimezone(ZONE).date() - timedelta(days=size.days + 3)
    return DemoClock(datetime.combine(first, time(8), ZONE))


def make_demo(
    desk: Desk,
    clock: DemoClock,
    *,
    now: datetime,
    seed: int = SEED,
    size: Size = FULL,
    progress: Callable[[float], None] = _nothing,
) -> None:
    """Fill an empty shop with work that ends at ``now``, each command carried out by the services.

    ``desk`` was opened with ``clock``, which :func:`demo_clock` gave; it stands at ``now`` afterwards.
    The same seed, size and ``now`` give the same shop but for the ids of its single facts.
    ``progress`` is told how much is done, from 0 to 1.
    """
    rng = Random(seed)  # noqa: S311 - it makes up a shop, no secret
    plan = make_plan(now.astimezone(ZONE).date(), size, rng)
    add_twists(plan, rng)
    crew = open_shop(desk, clock, rng, scarce_from=now - timedelta(days=_SCARCE_DAYS))
    years = Years(crew=crew, plan=plan)
    furnish_back_room(years, seed)
    years.expect_everything()
    expect_open_work(years, now)
    years.work(now, progress)
    clock.set(now)


def ensure_demo(
    address: str,
    open_desk: OpensDesk,
    announce: Announce = _tell_nobody,
    *,
    now: datetime | None = None,
    seed: int = SEED,
    size: Size = FULL,
    progress: Callable[[float], None] = _nothing,
) -> Desk:
    """Open the demo shop kept in the file ``address``; it is made first when it is not there.

    One whose newest work order lies more than three days back is made anew, because nothing in it would
    be for today; the old one stays beside it as ``….before``. It is made beside its name and gets the
    name when it is whole: whoever stops the program meanwhile finds no half a shop afterwards. Raises
    RuleBroken when it cannot be made there, or when the file is something else.
    """
    file = Path(address)
    ends = now or SystemClock().now()
    if file.exists():
        desk = open_desk(address, announce=announce)
        if not _is_old(desk, ends):
            return desk
        desk.close()

    def fill(desk: Desk, clock: DemoClock) -> None:
        make_demo(desk, clock, now=ends, seed=seed, size=size, progress=progress)

    try:
        _make_file(file, open_desk, demo_clock(ends, size), fill)
    except OSError as trouble:
        sentence = _("The demo shop cannot be made in {folder}: {reason}.")
        raise RuleBroken(sentence.format(folder=file.parent, reason=trouble.strerror)) from trouble
    return open_desk(address, announce=announce)


def _is_old(desk: Desk, now: datetime) -> bool:
    """Say whether the newest work order of a demo shop lies too far back to look at a day's work."""
    newest = desk.board.work_orders(most=1) if desk.actor().person_id else ()
    return bool(newest) and now - newest[0].opened_utc > _FRESH


def _make_file(
    file: Path, open_desk: OpensDesk, clock: DemoClock, fill: Callable[[Desk, DemoClock], None]
) -> None:
    with tempfile.TemporaryDirectory(prefix="demo-in-the-making-", dir=file.parent) as folder:
        part = Path(folder) / file.name
        desk = open_desk(str(part), clock=clock)
        try:
            fill(desk, clock)
        finally:
            desk.close()
        if file.exists():
            os.replace(file, file.with_name(f"{file.name}.before"))
        os.replace(part, file)
