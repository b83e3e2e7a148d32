"""The room where it is said out of which containers a service's fluid came, and what is billed for it."""

from shopdesk.domain.record import Facts
from shopdesk.services.acting import Office, Reading, Writing
from shopdesk.services.bay import kept_entries
from shopdesk.services.pouring import Billed, PourCheck, SaySources, billed_for, pour_check, say_sources


def facts_of(reading: Reading, record_id: int) -> Facts:
    """Give a record's entries that stand."""
    return Facts(each.entry for each in kept_entries(reading, record_id))


class Pours:
    """The room of containers and what they gave."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def say(self, command: SaySources) -> PourCheck:
        """Keep out of which containers a record's fluid came, and check it against what was put in."""

        def work(writing: Writing) -> PourCheck:
            say_sources(writing, command)
            return pour_check(writing, command.record_id, facts_of(writing, command.record_id))

        return self._office.carry_out(command, work, PourCheck)

    def check(self, record_id: int) -> PourCheck:
        """Check what the containers gave against what was put in."""
        with self._office.reading() as reading:
            return pour_check(reading, record_id, facts_of(reading, record_id))

    def billed(self, record_id: int) -> Billed | None:
        """Give what is billed for a record's fluid by its rule."""
        with self._office.reading() as reading:
            return billed_for(reading, record_id, facts_of(reading, record_id))
