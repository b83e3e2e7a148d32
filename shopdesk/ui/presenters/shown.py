"""What a record must tell for its figures to be shown: the shop's own, or one brought from another."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from gettext import gettext as _
from typing import Protocol

from shopdesk.domain.methods import ServiceMethod
from shopdesk.domain.record import FIELDS, Entry, Facts, Outcome
from shopdesk.services.figures import Figures
from shopdesk.services.verifying_files import Judged, SeenEntry


class Told(Protocol):
    """An entry, with who made it and when it was kept where that is known."""

    @property
    def entry(self) -> Entry: ...
    @property
    def person(self) -> str: ...
    @property
    def at_utc(self) -> datetime | None: ...


class Shown(Protocol):
    """A record: its entries and what follows from them."""

    @property
    def entries(self) -> Sequence[Told]: ...
    @property
    def outcome(self) -> Outcome: ...
    @property
    def total_ul(self) -> int | None: ...
    @property
    def service_method(self) -> ServiceMethod: ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Recomputed:
    """A judged record as its figures are shown: worked out anew from its entries."""

    entries: tuple[SeenEntry, ...]
    outcome: Outcome
    total_ul: int | None
    service_method: ServiceMethod


def recomputed(judged: Judged) -> Recomputed | None:
    """Give a judged record for its figures; None where only a code was brought."""
    if judged.evidence is None or judged.verification is None:
        return None
    setting = judged.evidence.setting
    return Recomputed(
        entries=judged.entries,
        outcome=judged.verification.outcome,
        total_ul=setting.total_ul,
        service_method=setting.method,
    )


def facts_of(view: Shown) -> Facts:
    """Give the entries of a record that stand."""
    return Facts(each.entry for each in view.entries)


def reading_rows(view: Shown, fields: Iterable[str], figures: Figures) -> list[tuple[str, str]]:
    """Give the readings of some fields that stand: value, temperature, tool, who and when."""
    facts = facts_of(view)
    standing = {entry.id for field in fields for entry in facts.all(field)}
    return [
        (label_of(each.entry), told_words(each, figures))
        for each in view.entries
        if each.entry.id in standing
    ]


def told_words(told: Told, figures: Figures) -> str:
    """Give one reading in a line, with who read it and when."""
    at = told.entry.measured_at or told.at_utc
    parts = (reading_words(told.entry, figures), told.person, figures.stamp(at) if at else "")
    return ", ".join(part for part in parts if part)


def label_of(entry: Entry) -> str:
    """Give an entry's name, with its round where there are several."""
    label = _(FIELDS[entry.field].label)
    return label if entry.round == 1 else _("{label}, round {n}").format(label=label, n=entry.round)


def reading_words(entry: Entry, figures: Figures) -> str:
    """Give a reading with its temperature, how well it can be read, and the tool."""
    from shopdesk.services.record_paper import value_words

    parts = [value_words(figures, entry)]
    if entry.temp_mc is not None:
        parts.append(_("at {temperature}").format(temperature=figures.temperature(entry.temp_mc)))
    if entry.half_width is not None and FIELDS[entry.field].kind.value == "volume":
        parts.append(f"± {figures.volume(entry.half_width, places=3)}")
    if entry.instrument:
        parts.append(entry.instrument)
    return ", ".join(parts)
