"""The bay: the service record of one unit, entry by entry, and finishing the work.

Entries are facts with who, when and at which station. What follows from them (the proof of the
level, the balance, the fresh share) is always worked out from the entries, never kept by hand.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from gettext import gettext as _

from sqlalchemy import select, update

from shopdesk.domain import text, units
from shopdesk.domain.errors import Conflict, NotFound, RuleBroken
from shopdesk.domain.methods import ServiceMethod, UnitKind
from shopdesk.domain.record import FIELDS, SEVERAL, Entry, EntryKind, Facts, Outcome, Setting, work_out
from shopdesk.domain.stages import Stage
from shopdesk.domain.usedoil import came_out_ul
from shopdesk.persistence.tables.service import instrument, service_entry, service_record
from shopdesk.persistence.tables.shop import person
from shopdesk.persistence.tables.stock import item
from shopdesk.persistence.tables.units import unit
from shopdesk.services import duedates
from shopdesk.services.acting import AnyRow, Command, Office, Reading, Writing, new_uid
from shopdesk.services.job_draws import draw_fluids, draw_parts
from shopdesk.services.matching import keep_match
from shopdesk.services.sheets import SheetView, sheet_view
from shopdesk.services.stock import Drawn
from shopdesk.services.typed import Typed, under
from shopdesk.services.used_oil import flow_in
from shopdesk.services.work import move_stage, the_work_order


@dataclass(frozen=True, kw_only=True, slots=True)
class OpenRecord(Command):
    """Starts the service record of one unit; the sheet's newest revision is the one it is held to.

    A fluid that does not suit the unit by claim and rule needs a ``match_reason``.
    """

    work_order_id: int
    unit_id: int
    service_method: ServiceMethod = ServiceMethod.SINGLE
    item_id: int | None = None
    done_on: date | None = None
    match_reason: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class EntryTyped:
    """One thing measured or seen, as typed.

    ``value`` is text in the field's kind, or empty where the entry withdraws the one it corrects;
    ``within`` is "you can read it to ±" for volumes;
    ``temperature`` that of the fluid when it was read; ``at`` when it was done, if anybody noted it.
    """

    field: str
    value: str
    round: int = 1
    within: str = ""
    temperature: str = ""
    instrument_id: int | None = None
    at: datetime | None = None
    reason: str = ""
    corrects_id: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Enter(Command):
    """Adds entries to a service record.

    ``seen`` is the last of its entries that was read before these were typed; None: nobody looked.
    """

    record_id: int
    entries: tuple[EntryTyped, ...]
    seen: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class ChangeRecord(Command):
    """Another method, fluid or day for a record that was read at ``version`` and is not finished."""

    record_id: int
    version: int
    service_method: ServiceMethod
    item_id: int | None
    done_on: date
    match_reason: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class FinishWork(Command):
    """Ends the work: stock is drawn, next due is worked out."""

    work_order_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class RecordKept:
    """Which service record."""

    record_id: int
    entry_ids: tuple[int, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Finished:
    """What finishing did: what left the shelf, and the records that were closed."""

    work_order_id: int
    record_ids: tuple[int, ...]
    drawn: tuple[Drawn, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class KeptEntry:
    """An entry with who made it and when it reached the database."""

    entry: Entry
    typed: str
    person: str
    at_utc: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class RecordView:
    """A service record: its sheet, its entries and what follows from them.

    ``facts`` are the entries that stand; in a preview those that were typed and not kept count too.
    """

    record_id: int
    version: int
    uid: str
    work_order_id: int
    unit_id: int
    unit_label: str
    unit_kind: UnitKind
    vehicle_id: int
    service_method: ServiceMethod
    item_id: int | None
    item_name: str
    done_on: date
    finished: bool
    sheet: SheetView
    setting: Setting
    total_ul: int | None
    entries: tuple[KeptEntry, ...]
    outcome: Outcome
    facts: Facts = field(compare=False, repr=False)
    people: tuple[str, ...] = field(default=())


def open_record(writing: Writing, command: OpenRecord) -> RecordKept:
    """Start a service record and bring the work order into the bay."""
    order = the_work_order(writing, command.work_order_id)
    thing = writing.one(unit, command.unit_id, _("That unit is not there any more."))
    if thing.vehicle_id != order.vehicle_id:
        raise RuleBroken(_("That unit belongs to another vehicle."), "unit_id")
    if thing.sheet_id is None:
        raise RuleBroken(_("This unit has no unit sheet yet; choose or type one first."), "sheet")
    _check_new(writing, command)
    sheet = sheet_view(writing, sheet_id=thing.sheet_id)
    record_id = writing.add(
        service_record,
        uid=new_uid(),
        work_order_id=order.id,
        unit_id=thing.id,
        sheet_revision_id=sheet.revision_id,
        service_method=command.service_method.value,
        item_id=command.item_id,
        done_on=command.done_on or writing.today,
        odometer_id=order.odometer_in_id,
        opened_utc=writing.now,
    )
    keep_match(writing, record_id, command.match_reason)
    if Stage(order.stage) in (Stage.QUOTED, Stage.AUTHORISED):
        move_stage(writing, order.id, Stage.IN_THE_BAY)
    return RecordKept(record_id=record_id)


def _check_new(writing: Writing, command: OpenRecord) -> None:
    known = select(service_record.c.id).where(
        service_record.c.work_order_id == command.work_order_id, service_record.c.unit_id == command.unit_id
    )
    if writing.connection.execute(known).first() is not None:
        raise RuleBroken(_("This work order already has a service record of that unit."), "unit_id")
    _check_day(writing, command.done_on)


def _check_day(writing: Writing, done_on: date | None) -> None:
    if done_on is not None and not 1900 <= done_on.year <= writing.today.year + 1:
        raise RuleBroken(_("The day the work was done lies too far from today."), "done_on")


def change_record(writing: Writing, command: ChangeRecord) -> RecordKept:
    """Change how a service is done, with what, or when; what was measured stays as it is."""
    row = writing.one(service_record, command.record_id, _("That service record is not there."))
    if row.version != command.version:
        raise Conflict(_("Somebody else changed this service record meanwhile; look at it again."))
    if row.finished_utc is not None:
        raise RuleBroken(_("This service record is finished; its fluid and method stay as they are."), "item")
    _check_day(writing, command.done_on)
    writing.change(
        service_record,
        row.id,
        service_method=command.service_method.value,
        item_id=command.item_id,
        done_on=command.done_on,
    )
    if command.item_id != row.item_id or command.match_reason.strip():
        keep_match(writing, row.id, command.match_reason)
    return RecordKept(record_id=row.id)


#: Work whose records are closed: they are corrected with a reason, no longer written.
_CLOSED = (Stage.FINISHED, Stage.INVOICED, Stage.COLLECTED)


def enter(writing: Writing, command: Enter) -> RecordKept:
    """Keep entries; each is read by its field's rule, and none is kept when one is refused.

    Entries that cannot all be so (more spilled than put in) are refused too: a record that nothing
    follows from could not be shown, nor corrected. Once the work is finished a correction says why, and
    the shelf follows what was put in.
    """
    record = writing.one(service_record, command.record_id, _("That service record is not there."))
    closed = Stage(the_work_order(writing, record.work_order_id).stage) in _CLOSED
    rows = []
    _refuse_unseen(writing, command)
    for at, typed_entry in enumerate(command.entries):
        with under(f"entries/{at}"):
            values = read_entry(writing, typed_entry)
            _check_correction(writing, record.id, typed_entry, closed=closed)
        rows.append({"record_id": record.id, "value_int": None, "value_text": None, **values})
    ids = writing.add_many_chained(service_entry, rows)
    writing.connection.execute(
        update(service_record)
        .where(service_record.c.id == record.id)
        .values(version=service_record.c.version + 1)
    )
    record_view(writing, record.id)
    if closed:
        _close_record(writing, record.id, record.work_order_id)
    return RecordKept(record_id=record.id, entry_ids=ids)


def _refuse_unseen(writing: Writing, command: Enter) -> None:
    """Refuse to put another value over one that somebody else kept and that nobody here has seen."""
    if command.seen is None:
        return
    entries = service_entry.c
    newer = select(entries.field, entries.round).where(
        entries.record_id == command.record_id, entries.id > command.seen
    )
    unseen = {(row.field, row.round) for row in writing.connection.execute(newer)}
    for at, entry in enumerate(command.entries):
        if (entry.field, entry.round) in unseen and entry.field not in SEVERAL:
            sentence = _("Somebody else kept a value here meanwhile.")
            raise Conflict(sentence, f"/entries/{at}/value")


def _check_correction(writing: Writing, record_id: int, entry: EntryTyped, *, closed: bool) -> None:
    if entry.corrects_id is None:
        return
    if closed and not entry.reason.strip():
        raise RuleBroken(_("The work is finished: say why what was recorded is changed."), "reason")
    earlier = writing.one(service_entry, entry.corrects_id, _("The entry to correct is not there."))
    if earlier.record_id != record_id or earlier.field != entry.field:
        raise RuleBroken(
            _("A correction names an entry of the same field in the same record."), "corrects_id"
        )


def read_entry(reading: Reading, entry: EntryTyped, typed: Typed | None = None) -> dict[str, object]:
    """Give an entry's columns, or refuse with the field it is about."""
    rule = FIELDS.get(entry.field)
    if rule is None:
        raise RuleBroken(_("There is no such thing to record."), "field")
    if not 1 <= entry.round <= (99 if rule.rounds else 1):
        raise RuleBroken(_("Rounds are counted from 1."), "round")
    if entry.at is not None and entry.at.tzinfo is None:
        raise RuleBroken(_("The time it was done needs its time zone."), "at")
    read = typed or reading.typed_here()  # type: ignore[attr-defined]
    values = {
        "field": entry.field,
        "round": entry.round,
        "typed": text.clean(entry.value, field="value", most=200) if rule.kind is not EntryKind.TEXT else "",
        "instrument_id": entry.instrument_id,
        "measured_at": entry.at,
        "corrects_id": entry.corrects_id,
        "reason": text.clean(entry.reason, field="reason", most=1000),
    }
    if entry.corrects_id is not None and not entry.value.strip():
        return values | {"value_int": None, "value_text": None, "half_width": None, "temp_mc": None}
    return values | _READERS[rule.kind](read, entry) | _extras(reading, read, entry)


def _extras(reading: Reading, read: Typed, entry: EntryTyped) -> dict[str, object]:
    half_width = read.volume(entry.within, "within").value if entry.within.strip() else None
    if half_width is None and entry.instrument_id is not None:
        half_width = reading.one(
            instrument, entry.instrument_id, _("That instrument is not there.")
        ).half_width
    temperature = entry.temperature.strip()
    return {
        "half_width": half_width,
        "temp_mc": read.temperature(temperature, "temperature").value if temperature else None,
    }


def _whole(kind: str) -> Callable[[Typed, EntryTyped], dict[str, object]]:
    def read(typed: Typed, entry: EntryTyped) -> dict[str, object]:
        return {"value_int": getattr(typed, kind)(entry.value, "value").value}

    return read


def _seconds(_typed: Typed, entry: EntryTyped) -> dict[str, object]:
    return {"value_int": units.read_whole(entry.value, field="value", least=0, most=3600)}


def _yes_no(_typed: Typed, entry: EntryTyped) -> dict[str, object]:
    if entry.value not in ("yes", "no"):
        raise RuleBroken(_("The answer is yes or no."), "value")
    return {"value_int": int(entry.value == "yes")}


def _choice(_typed: Typed, entry: EntryTyped) -> dict[str, object]:
    choices = FIELDS[entry.field].choices
    if entry.value not in choices:
        sentence = _("Choose one of: {choices}.")
        raise RuleBroken(sentence.format(choices=", ".join(_(choice) for choice in choices)), "value")
    return {"value_text": entry.value}


def _grade(_typed: Typed, entry: EntryTyped) -> dict[str, object]:
    most = len(FIELDS[entry.field].choices) - 1
    return {"value_int": units.read_whole(entry.value, field="value", least=0, most=most)}


def _words(_typed: Typed, entry: EntryTyped) -> dict[str, object]:
    return {"value_text": text.required(entry.value, field="value", label=_("some words"), most=2000)}


_READERS: Mapping[EntryKind, Callable[[Typed, EntryTyped], dict[str, object]]] = {
    EntryKind.VOLUME: _whole("volume"),
    EntryKind.TEMPERATURE: _whole("temperature"),
    EntryKind.TORQUE: _whole("torque"),
    EntryKind.LENGTH: _whole("length"),
    EntryKind.SECONDS: _seconds,
    EntryKind.YES_NO: _yes_no,
    EntryKind.CHOICE: _choice,
    EntryKind.GRADE: _grade,
    EntryKind.STEP: _choice,
    EntryKind.TEXT: _words,
}


def kept_entries(reading: Reading, record_id: int) -> tuple[KeptEntry, ...]:
    """Give every entry of a record, in the order they came."""
    rows = reading.connection.execute(
        select(service_entry, person.c.name.label("person"), instrument.c.name.label("instrument"))
        .join(person, person.c.id == service_entry.c.person_id)
        .outerjoin(instrument, instrument.c.id == service_entry.c.instrument_id)
        .where(service_entry.c.record_id == record_id)
        .order_by(service_entry.c.id)
    )
    return tuple(
        KeptEntry(entry=_entry(row), typed=row.typed, person=row.person, at_utc=row.at_utc) for row in rows
    )


def _entry(row: AnyRow) -> Entry:
    return Entry(
        id=row.id,
        field=row.field,
        round=row.round,
        value_int=row.value_int,
        value_text=row.value_text,
        half_width=row.half_width,
        temp_mc=row.temp_mc,
        measured_at=row.measured_at,
        instrument=row.instrument or "",
        corrects_id=row.corrects_id,
        reason=row.reason,
    )


def _record_row(reading: Reading, record_id: int) -> AnyRow:
    row = reading.connection.execute(
        select(
            service_record,
            unit.c.label,
            unit.c.kind,
            unit.c.vehicle_id,
            unit.c.total_ul.label("unit_total_ul"),
            item.c.name.label("item_name"),
            item.c.density_kg_m3,
        )
        .join(unit, unit.c.id == service_record.c.unit_id)
        .outerjoin(item, item.c.id == service_record.c.item_id)
        .where(service_record.c.id == record_id)
    ).one_or_none()
    if row is None:
        raise NotFound(_("That service record is not there."), "record_id")
    return row


def record_view(reading: Reading, record_id: int, extra: Iterable[Entry] = ()) -> RecordView:
    """Give a record and what follows from it; ``extra`` are entries typed but not kept yet."""
    row = _record_row(reading, record_id)
    sheet = sheet_view(reading, revision_id=row.sheet_revision_id)
    kept = kept_entries(reading, record_id)
    total = row.unit_total_ul or sheet.total_ul
    setting = Setting(
        sheet=sheet.body,
        kind=UnitKind(row.kind),
        method=ServiceMethod(row.service_method),
        total_ul=total,
        service_fill_ul=sheet.service_fill_ul,
        density_kg_m3=row.density_kg_m3,
    )
    facts = Facts([*(each.entry for each in kept), *extra])
    return RecordView(
        record_id=row.id,
        version=row.version,
        uid=row.uid,
        work_order_id=row.work_order_id,
        unit_id=row.unit_id,
        unit_label=row.label,
        unit_kind=UnitKind(row.kind),
        vehicle_id=row.vehicle_id,
        service_method=ServiceMethod(row.service_method),
        item_id=row.item_id,
        item_name=row.item_name or "",
        done_on=row.done_on,
        finished=row.finished_utc is not None,
        sheet=sheet,
        setting=setting,
        total_ul=total,
        entries=kept,
        outcome=work_out(facts, setting),
        facts=facts,
        people=tuple(dict.fromkeys(each.person for each in kept)),
    )


def records_of(reading: Reading, work_order_id: int) -> tuple[int, ...]:
    """Give the ids of a work order's service records."""
    return tuple(
        reading.connection.execute(
            select(service_record.c.id)
            .where(service_record.c.work_order_id == work_order_id)
            .order_by(service_record.c.id)
        ).scalars()
    )


def finish_work(writing: Writing, command: FinishWork) -> Finished:
    """Finish a work order: close its records, draw its stock, work out what is due next."""
    order = the_work_order(writing, command.work_order_id)
    if order.wheel_off and order.wheel_torque_mnm is None:
        sentence = _("A wheel was off: record the wheel-nut torque before the work is finished.")
        raise RuleBroken(sentence, "wheel_torque")
    if Stage(order.stage) is Stage.AUTHORISED:
        move_stage(writing, order.id, Stage.IN_THE_BAY)
    drawn: list[Drawn] = []
    record_ids = records_of(writing, order.id)
    for record_id in record_ids:
        drawn += _close_record(writing, record_id, order.id)
    drawn += draw_parts(writing, order.id)
    move_stage(writing, order.id, Stage.FINISHED)
    return Finished(work_order_id=order.id, record_ids=record_ids, drawn=tuple(drawn))


def _close_record(writing: Writing, record_id: int, work_order_id: int) -> list[Drawn]:
    view = record_view(writing, record_id)
    if not view.finished:
        writing.connection.execute(
            update(service_record).where(service_record.c.id == record_id).values(finished_utc=writing.now)
        )
        duedates.refresh(writing, view.unit_id)
    facts = Facts(each.entry for each in view.entries)
    came_out = (facts.total_ul(field) for field in ("drained", "ran_out", "found_ran_out", "old_filter"))
    flow_in(writing, work_order_id, record_id, came_out_ul(*came_out))
    put_in = facts.used_ul() or 0
    if view.item_id is None:
        if put_in:
            raise RuleBroken(_("Say which fluid was put in, so that it leaves the shelf."), "item")
        return []
    return draw_fluids(writing, view.item_id, put_in, work_order_id, record_id)


class Bay:
    """The room where services are done and recorded."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def open(self, command: OpenRecord) -> RecordKept:
        """Start a service record."""
        return self._office.carry_out(command, lambda writing: open_record(writing, command), RecordKept)

    def change(self, command: ChangeRecord) -> RecordKept:
        """Change a record's method, fluid or day."""
        return self._office.carry_out(command, lambda writing: change_record(writing, command), RecordKept)

    def enter(self, command: Enter) -> RecordKept:
        """Keep entries."""
        return self._office.carry_out(command, lambda writing: enter(writing, command), RecordKept)

    def finish(self, command: FinishWork) -> Finished:
        """Finish a work order."""
        return self._office.carry_out(command, lambda writing: finish_work(writing, command), Finished)

    def record(self, record_id: int) -> RecordView:
        """Give a record and what follows from it."""
        with self._office.reading() as reading:
            return record_view(reading, record_id)

    def preview(self, command: Enter) -> RecordView:
        """Give what would follow if these entries were kept; nothing is written.

        Raises RuleBroken for an entry that cannot be read, as ``enter`` would.
        """
        with self._office.reading() as reading:
            typed = reading.typed(command.style)
            extra = []
            for at, typed_entry in enumerate(command.entries):
                with under(f"entries/{at}"):
                    values = read_entry(reading, typed_entry, typed)
                del values["typed"], values["instrument_id"]
                extra.append(Entry(id=-1 - at, **values))  # type: ignore[arg-type]
            return record_view(reading, command.record_id, extra)
