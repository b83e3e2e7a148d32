"""The service section of a job file as entries of a service record, each with its place in the file."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from gettext import gettext as _
from typing import Any

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.bay import EntryTyped

#: Measured volumes: one object, or a list of them with one for each round.
VOLUMES = (
    "found_ran_out",
    "found_added",
    "container_before",
    "drained",
    "put_in",
    "spilled",
    "ran_out",
    "old_filter",
    "left_in_hose",
    "container_after",
)
_YES_NO = (
    "filter_renewed",
    "selector_cycled",
    "vehicle_level",
    "milky",
    "picture_taken",
    "customer_called",
)
_TEXTS = ("ambient", "engine", "stance", "marks_read", "found_temperature", "stop_decision", "stop_consent")
_OPENING = (
    ("open_temperature", "temperature_at_opening", "opened_at"),
    ("close_temperature", "temperature_at_closing", "closed_at"),
    ("reading_temperature", "reading_temperature", "read_at"),
    ("edge_distance", "edge_distance", "read_at"),
    ("between_marks", "between_marks", "read_at"),
    ("flow_at_opening", "flow_at_opening", ""),
    ("flow_at_closing", "flow_at_closing", ""),
)


@dataclass(frozen=True, kw_only=True, slots=True)
class PlacedEntry:
    """An entry and where it stands in the file: ``path``, and the key of its value below that."""

    entry: EntryTyped
    path: str
    value_key: str = ""

    def place_of(self, field: str) -> str:
        """Give the JSON path of one of the entry's fields."""
        key = self.value_key if field == "value" else field
        return f"{self.path}/{key}" if key else self.path


def service_entries(service: Mapping[str, Any]) -> tuple[PlacedEntry, ...]:
    """Give every entry of the section, in the order of the work."""
    return (
        *_steps(service),
        *(entry for field in VOLUMES if field in service for entry in _volumes(field, service[field])),
        *_singles(service),
        *_openings(service.get("openings", ())),
        *_plugs(service),
        *_grades(service.get("condition", {})),
        *_words(service),
    )


def _at(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None


def _volumes(field: str, given: Mapping[str, Any] | Sequence[Mapping[str, Any]]) -> Iterator[PlacedEntry]:
    one = isinstance(given, Mapping)
    rounds: set[int] = set()
    for at, volume in enumerate((given,) if isinstance(given, Mapping) else given):
        number = volume.get("round", at + 1)
        if number in rounds:  # the later one would silently stand for both
            sentence = _("Round {n} stands here twice; add the two volumes up, or number them apart.")
            raise RuleBroken(sentence.format(n=number), f"/service/{field}/{at}/round")
        rounds.add(number)
        yield PlacedEntry(
            entry=EntryTyped(
                field=field,
                value=volume["volume"],
                round=number,
                within=volume.get("within", ""),
                temperature=volume.get("temperature", ""),
                at=_at(volume.get("at")),
                reason=volume.get("reason", ""),
            ),
            path=f"/service/{field}" if one else f"/service/{field}/{at}",
            value_key="volume",
        )


def _singles(service: Mapping[str, Any]) -> Iterator[PlacedEntry]:
    for field in _YES_NO:
        if field in service:
            yield _plain(field, _said(service[field]), f"/service/{field}")
    if "selector_dwell_s" in service:
        yield _plain("selector_dwell", str(service["selector_dwell_s"]), "/service/selector_dwell_s")
    for field in _TEXTS:
        if field in service:
            yield _plain(field, service[field], f"/service/{field}")


def _plain(field: str, value: str, path: str, number: int = 1) -> PlacedEntry:
    return PlacedEntry(entry=EntryTyped(field=field, value=value, round=number), path=path)


def _openings(openings: Sequence[Mapping[str, Any]]) -> Iterator[PlacedEntry]:
    for at, opening in enumerate(openings):
        for field, key, time_key in _OPENING:
            if key in opening:
                entry = EntryTyped(
                    field=field,
                    value=_said(opening[key]),
                    round=at + 1,
                    at=_at(opening.get(time_key)) if time_key else None,
                    reason=opening.get("reason", ""),
                )
                yield PlacedEntry(entry=entry, path=f"/service/openings/{at}", value_key=key)


def _said(value: str | bool) -> str:
    """A yes or no in a file is true or false."""
    return value if isinstance(value, str) else "yes" if value else "no"


def _plugs(service: Mapping[str, Any]) -> Iterator[PlacedEntry]:
    for kind, plural in (("torque", "torques"), ("washer", "washers")):
        for plug, value in service.get(plural, {}).items():
            field, path = f"{plug.replace(' ', '_')}_{kind}", f"/service/{plural}/{plug}"
            if isinstance(value, str):
                yield _plain(field, value, path)
            else:
                entry = EntryTyped(field=field, value=value["value"], reason=value["reason"])
                yield PlacedEntry(entry=entry, path=path, value_key="value")


def _grades(condition: Mapping[str, Any]) -> Iterator[PlacedEntry]:
    for field, grade in condition.items():
        yield _plain(field, str(grade), f"/service/condition/{field}")


def _steps(service: Mapping[str, Any]) -> Iterator[PlacedEntry]:
    for at, step in enumerate(service.get("steps", ())):
        entry = EntryTyped(field="step", value=step["step"], round=at + 1, at=_at(step.get("at")))
        yield PlacedEntry(entry=entry, path=f"/service/steps/{at}", value_key="step")


def _words(service: Mapping[str, Any]) -> Iterator[PlacedEntry]:
    for at, deviation in enumerate(service.get("deviations", ())):
        entry = EntryTyped(
            field="deviation", value=deviation["what"], round=at + 1, reason=deviation.get("reason", "")
        )
        yield PlacedEntry(entry=entry, path=f"/service/deviations/{at}", value_key="what")
    for at, note in enumerate(service.get("notes", ())):
        yield _plain("note", note, f"/service/notes/{at}", at + 1)
