"""A program killed between any two statements of finishing, billing or a whole job: all of it, or nothing."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count

from shopdesk.domain.pricing import LineKind
from shopdesk.services.desk import Desk
from shopdesk.services.lines import LineTyped
from tests.services.counter import LABOUR, Counter
from tests.services.floors import Floor
from tests.services.shopfloor import CLONE, JOBS, Contents, ask, contents, document, run, watched

STEP = 11
"""A whole job has some 300 statements, and each kill begins at the first again."""


class Killer:
    """A process that carries a command out and dies after a given number of statements."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self._process = process

    def dies_after(self, statements: int) -> bool:
        """Say whether the command was killed; False when it got through first."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(f"{statements}\n")
        self._process.stdin.flush()
        said = self._process.stdout.readline().strip()
        assert said in ("killed", "done"), self._process.stderr.read() if self._process.stderr else said
        return said == "killed"


@contextmanager
def killer(url: str, *what: str) -> Iterator[Killer]:
    """Start the process that will be killed in its children."""
    with subprocess.Popen(
        [sys.executable, "-m", "tests.services.killed", url, *what],
        cwd=CLONE,
        env=os.environ | {"PYTHONPATH": str(CLONE)},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        yield Killer(process)
        assert process.stdin is not None
        process.stdin.close()
        assert process.wait(timeout=60) == 0


def assert_all_or_nothing(floor: Floor, *what: str, step: int = 1) -> tuple[Contents, Contents, int]:
    """Kill after every statement (or every ``step``-th) in turn; the shop is as before each time.

    Ends when the command gets through. Gives the contents before and after, and after how many
    statements the last kill came: before COMMIT, so it too leaves nothing.
    """
    before = contents(floor.url)
    assert floor.desk.safekeeping.check().findings == ()
    with killer(floor.url, *what) as process, watched(floor.url) as look:
        as_before = look()
        for statements in count(1, step):
            if not process.dies_after(statements):
                break
            assert look() == as_before, f"after statement {statements}"  # so the check finds nothing either
    after = contents(floor.url)
    assert after != before
    assert floor.desk.safekeeping.check().findings == ()
    return before, after, statements - step


def prepared_order(desk: Desk) -> tuple[Counter, int]:
    """Bring a work order with fluid and parts to where it can be finished."""
    counter = Counter(desk)
    fluid, part = counter.fluid(), counter.part()
    counter.receive(fluid, "1 L", "4.00")
    counter.receive(fluid, "5 L", "25.00")
    counter.receive(part, "10", "6.00")
    car = counter.car()
    lines = [
        LABOUR,
        LineTyped(kind=LineKind.FLUID, item="Halden MT-1", quantity="2"),
        LineTyped(kind=LineKind.PART, item="Crush washer", quantity="2"),
    ]
    order_id = counter.order(car, lines)
    counter.agree(order_id)
    counter.record(order_id, car.unit_id, fluid, ["2 L"])
    return counter, order_id


def test_that_finishing_cut_anywhere_leaves_all_or_nothing(floor: Floor) -> None:
    _counter, order_id = prepared_order(floor.desk)
    _before, after, statements = assert_all_or_nothing(floor, "finish", str(order_id))
    assert statements > 15
    issued = ask(floor.url, "SELECT sum(quantity), sum(cost_minor) FROM stock_move WHERE kind = 'issue'")
    assert [tuple(map(int, row)) for row in issued] == [(-2_002_000, -1020)]
    assert len(after["next_due"]) == 1


def test_that_billing_cut_anywhere_leaves_all_or_nothing_and_no_gap(floor: Floor) -> None:
    counter, order_id = prepared_order(floor.desk)
    counter.finish(order_id)
    before, after, statements = assert_all_or_nothing(floor, "invoice", str(order_id))
    assert statements > 15
    assert (before["invoice"], len(after["invoice_line"])) == ([], 3)
    second = counter.order(counter.car("KT 4472"))
    counter.agree(second)
    counter.finish(second)
    counter.bill(second)
    numbers = ask(floor.url, "SELECT count(*), min(number), max(number) FROM invoice")
    assert numbers == [(2, 1001, 1002)]


def test_that_a_job_cut_anywhere_leaves_all_or_nothing_and_no_gap(floor: Floor) -> None:
    # Finishing and billing are its end and were cut everywhere; the whole of it is cut in steps.
    before, after, statements = assert_all_or_nothing(floor, "job", str(JOBS / "us.json"), step=STEP)
    assert statements > 200
    assert (before["shop"], len(after["shop"]), len(after["invoice"])) == ([], 1, 1)
    numbers = ask(floor.url, "SELECT name, next_number FROM number_series ORDER BY name")
    assert numbers == [("credit note", 1), ("invoice", 1002), ("work order", 1002)]


def test_that_a_job_sent_again_after_the_kill_is_kept_once(floor: Floor) -> None:
    with killer(floor.url, "job", str(JOBS / "us.json")) as process:
        assert process.dies_after(50)
        assert not process.dies_after(1_000_000)
        assert not process.dies_after(1_000_000)  # the reply was lost, so it is asked once more
    assert ask(floor.url, "SELECT count(*) FROM invoice") == [(1,)]
    other = run(floor.desk, document("us", new_id=True, deliveries=[], odometer__reading="84500 mi"))
    assert other.invoice.number == 1002
