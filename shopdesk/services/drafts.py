"""What was typed and not saved yet, kept for each form, subject and station."""

import json
from collections.abc import Mapping

from sqlalchemy import ColumnElement, delete, insert, select, update

from shopdesk.persistence import canonical
from shopdesk.persistence.tables.journal import draft
from shopdesk.services.acting import Office


class DraftStore:
    """Keeps drafts of one station. A draft is no fact: it is overwritten and dropped freely."""

    def __init__(self, office: Office, station_id: int) -> None:
        self._office = office
        self._station_id = station_id

    def load_draft(self, form: str, subject: str) -> Mapping[str, str] | None:
        """Give the texts kept for a form, or None."""
        with self._office.reading() as reading:
            body = reading.connection.execute(select(draft.c.body).where(*self._key(form, subject))).scalar()
        if body is None:
            return None
        kept: dict[str, str] = json.loads(body)
        return kept

    def save_draft(self, form: str, subject: str, texts: Mapping[str, str]) -> None:
        """Keep the texts in the place of older ones."""
        body = canonical.canonical_json({name: _whole(text) for name, text in texts.items()})
        with self._office.scratch() as (connection, now):
            changed = connection.execute(
                update(draft)
                .where(*self._key(form, subject))
                .values(body=body, saved_at=now, version=draft.c.version + 1)
            )
            if changed.rowcount == 0:
                connection.execute(
                    insert(draft).values(
                        form=form, subject=subject, station_id=self._station_id, body=body, saved_at=now
                    )
                )

    def drop_draft(self, form: str, subject: str) -> None:
        """Forget the texts; nothing to forget is no error."""
        with self._office.scratch() as (connection, _now):
            connection.execute(delete(draft).where(*self._key(form, subject)))

    def _key(self, form: str, subject: str) -> tuple[ColumnElement[bool], ...]:
        return (draft.c.form == form, draft.c.subject == subject, draft.c.station_id == self._station_id)


def _whole(text: str) -> str:
    """Keep whatever was typed: half a character (a lone surrogate) becomes a mark instead of an error."""
    return text.encode("utf-16", "surrogatepass").decode("utf-16", "replace").replace("\0", "")
