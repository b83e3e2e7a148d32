"""What this shop usually puts into a designation, and whether one refill is unlike the others."""

from collections.abc import Iterable

from sqlalchemy import select

from shopdesk.domain.methods import ServiceMethod, lets_fluid_run_out
from shopdesk.domain.record import Entry, Facts
from shopdesk.domain.unit_history import Outlier, outlier_hint
from shopdesk.persistence.tables.service import service_entry, service_record
from shopdesk.persistence.tables.units import sheet_revision
from shopdesk.services.acting import Reading

#: The shop's newest refills of a designation; older ones say nothing more about what is usual.
MOST_REFILLS = 200

_REFILL_FIELDS = ("put_in", "spilled", "ran_out")


def refill_ul(facts: Facts, *, runs_out: bool) -> int | None:
    """Give what stayed in the unit; None where a part of it was not measured."""
    put_in, spilled = facts.total_ul("put_in"), facts.total_ul("spilled")
    ran_out = facts.total_ul("ran_out") if runs_out else facts.total_ul("ran_out") or 0
    if put_in is None or spilled is None or ran_out is None:
        return None
    return put_in - spilled - ran_out


def refills_of(reading: Reading, sheet_id: int) -> dict[int, int]:
    """Give the shop's newest refills of a designation by one drain and fill, in µL by record."""
    records = reading.connection.execute(
        select(service_record.c.id, sheet_revision.c.level_method)
        .join(sheet_revision, sheet_revision.c.id == service_record.c.sheet_revision_id)
        .where(
            sheet_revision.c.sheet_id == sheet_id,
            service_record.c.finished_utc.is_not(None),
            service_record.c.service_method == ServiceMethod.SINGLE.value,
        )
        .order_by(service_record.c.id.desc())
        .limit(MOST_REFILLS)
    ).all()
    methods = {row.id: row.level_method for row in records}
    found: dict[int, int] = {}
    for record_id, entries in _entries_of(reading, methods):
        refill = refill_ul(Facts(entries), runs_out=lets_fluid_run_out(methods[record_id]))
        if refill is not None:
            found[record_id] = refill
    return found


def _entries_of(reading: Reading, record_ids: Iterable[int]) -> Iterable[tuple[int, list[Entry]]]:
    rows = reading.connection.execute(
        select(service_entry)
        .where(service_entry.c.record_id.in_(list(record_ids)), service_entry.c.field.in_(_REFILL_FIELDS))
        .order_by(service_entry.c.id)
    )
    by_record: dict[int, list[Entry]] = {}
    for row in rows:
        entry = Entry(
            id=row.id,
            field=row.field,
            round=row.round,
            value_int=row.value_int,
            corrects_id=row.corrects_id,
        )
        by_record.setdefault(row.record_id, []).append(entry)
    return by_record.items()


def hint_for(refills: dict[int, int], record_id: int | None) -> Outlier | None:
    """Say that a record's refill is unusual among the shop's others; None when it is not, or too few."""
    if record_id is None or record_id not in refills:
        return None
    others = [ul for other, ul in refills.items() if other != record_id]
    return outlier_hint(refills[record_id], others)
