"""Deviations that follow from the shelf: entries of the service record, so that every paper tells them."""

from sqlalchemy import func, select

from shopdesk.persistence.tables.service import service_entry
from shopdesk.services.acting import Writing

_FIELD = "deviation"


def deviate(writing: Writing, record_id: int, sentence: str, reason: str) -> int:
    """Note that something was done otherwise, with its reason; gives the entry's id."""
    return _entry(writing, record_id, value_text=sentence[:2000], reason=reason)


def withdraw(writing: Writing, record_id: int, entry_id: int, reason: str) -> None:
    """Take a deviation back: a later entry that corrects it to nothing."""
    _entry(writing, record_id, corrects_id=entry_id, reason=reason)


def _entry(writing: Writing, record_id: int, **values: object) -> int:
    last = writing.connection.execute(
        select(func.max(service_entry.c.round)).where(
            service_entry.c.record_id == record_id, service_entry.c.field == _FIELD
        )
    ).scalar()
    return writing.add_chained(
        service_entry, record_id=record_id, field=_FIELD, round=(last or 0) + 1, typed="", **values
    )
