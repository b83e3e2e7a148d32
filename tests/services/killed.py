"""Carries a command out again and again and kills itself later each time; run as a program of its own.

    python -m tests.services.killed URL WHAT

WHAT is ``job`` (with a file behind it), ``finish`` or ``invoice`` (with a work order's id). For every
number n read from standard input a forked child connects, carries the command out under one and the
same request id, and is killed with SIGKILL after its n-th statement; what became of it is written as
one line: ``killed``, or ``done`` when there was nothing left to kill. It forks, so it is no part of
pytest, and it starts neither Qt nor threads.
"""

from __future__ import annotations

import json
import os
import signal
import sys
import traceback
from collections.abc import Callable
from contextlib import suppress
from itertools import count
from pathlib import Path

from sqlalchemy import Connection, Engine, event

from shopdesk.launch import open_desk
from shopdesk.services.acting import Actor
from shopdesk.services.bay import FinishWork
from shopdesk.services.billing import IssueInvoice
from shopdesk.services.desk import Desk
from tests.services.shopfloor import StandingClock

REQUEST = "7d1f0c52-94c1-4a53-8f0b-5c0f7f3b0001"


class RolledBack(Exception):
    """Ends the rehearsal before it is kept."""


def rounds(url: str, work: Callable[[Desk], object]) -> None:
    """Kill a child after as many statements as standard input asks for."""
    desk = open_desk(url, clock=StandingClock())
    _rehearse(desk, work)
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            _work_and_die(desk, work, int(line))
        status = os.waitpid(child, 0)[1]
        if os.WIFEXITED(status) and os.WEXITSTATUS(status) != 0:
            raise RuntimeError(f"The command failed by itself in round {line.strip()}.")
        sys.stdout.write(("killed" if os.WIFSIGNALED(status) else "done") + "\n")
        sys.stdout.flush()


def _rehearse(desk: Desk, work: Callable[[Desk], object]) -> None:
    """Put every statement into SQL once, and keep nothing; no connection stays open for the forks."""

    def refuse(connection: Connection) -> None:
        if connection.get_execution_options().get("shopdesk_write"):
            raise RolledBack

    event.listen(Engine, "commit", refuse)
    with suppress(RolledBack):
        work(desk)
    event.remove(Engine, "commit", refuse)
    desk.close()


def _work_and_die(desk: Desk, work: Callable[[Desk], object], n: int) -> None:
    statements = count(1)

    def die(*_: object) -> None:
        if next(statements) == n:
            os.kill(os.getpid(), signal.SIGKILL)

    event.listen(Engine, "after_cursor_execute", die)
    code = 1
    try:
        work(desk)
        code = 0
    finally:
        if code:
            traceback.print_exc()
        os._exit(code)


def _work(what: str, argument: str) -> Callable[[Desk], object]:
    if what == "job":
        content = json.loads(Path(argument).read_text(encoding="utf-8"))
        return lambda desk: desk.jobs.run(content)
    actor, order_id = Actor(person_id=1, station_id=1), int(argument)
    if what == "finish":
        finish = FinishWork(actor=actor, uid=REQUEST, work_order_id=order_id)
        return lambda desk: desk.bay.finish(finish)
    issue = IssueInvoice(actor=actor, uid=REQUEST, work_order_id=order_id)
    return lambda desk: desk.billing.issue(issue)


if __name__ == "__main__":
    rounds(sys.argv[1], _work(sys.argv[2], sys.argv[3]))
