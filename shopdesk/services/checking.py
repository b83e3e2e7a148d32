"""What a check of the shop's records says, and how it reads them: in short pages.

On a SQLite without safe write-ahead logging no writer can commit while a read is open, so nothing
here keeps one open for longer than a page: every page is true in itself, as rows that are checked
together are written together.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from gettext import ngettext

from sqlalchemy import Table, select

from shopdesk.services.acting import AnyRow, Office, Reading

PAGE = 500
"""Rows that are read in one transaction."""

MOST_OF_ONE_SUBJECT = 100
"""So many findings of one table are told; the rest is counted."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Finding:
    """Something that is not as it must be: of which table, which row (0: of none), and what."""

    subject: str
    subject_id: int
    sentence: str


class Report:
    """Gathers what a check finds and counts what it looked at."""

    def __init__(self) -> None:
        self._findings: list[Finding] = []
        self._told: Counter[str] = Counter()
        self.looked_at: Counter[str] = Counter()

    def say(self, subject: str, subject_id: int, sentence: str) -> None:
        """Note a finding."""
        self._told[subject] += 1
        if self._told[subject] <= MOST_OF_ONE_SUBJECT:
            self._findings.append(Finding(subject=subject, subject_id=subject_id, sentence=sentence))

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Every finding in the order of the check, and how many more there are of a table."""
        more = {subject: told - MOST_OF_ONE_SUBJECT for subject, told in self._told.items()}
        return (*self._findings, *(_more(subject, n) for subject, n in more.items() if n > 0))


def _more(subject: str, n: int) -> Finding:
    sentence = ngettext("{n} more finding of this kind.", "{n} more findings of this kind.", n)
    return Finding(subject=subject, subject_id=0, sentence=sentence.format(n=n))


def pages(office: Office, table: Table, page: int = PAGE) -> Iterator[tuple[Reading, Sequence[AnyRow]]]:
    """Give all rows of a table by id, page by page, each with the transaction it was read in."""
    after = 0
    wanted = select(table).order_by(table.c.id).limit(page)
    while True:
        with office.reading() as reading:
            rows = reading.connection.execute(wanted.where(table.c.id > after)).all()
            if not rows:
                return
            yield reading, rows
        after = rows[-1].id
