"""Fills the service record: what was measured, what follows, and how far it can be trusted."""

from collections.abc import Callable
from gettext import gettext as _

from shopdesk.documents import service_record as paper
from shopdesk.documents.facts import VehicleBlock
from shopdesk.domain.budget import Term
from shopdesk.domain.deviations import deviations
from shopdesk.domain.level import Arrived, Balance, arrived_words
from shopdesk.domain.proof import Condition, ConditionKey
from shopdesk.domain.record import FIELDS, Entry, EntryKind, Facts
from shopdesk.domain.record_code import fingerprint
from shopdesk.persistence.tables.vehicles import vehicle
from shopdesk.services.acting import AnyRow, Reading
from shopdesk.services.bay import RecordView, record_view
from shopdesk.services.duedates import due_after
from shopdesk.services.figures import Figures
from shopdesk.services.fluid_ages import age_after, age_words
from shopdesk.services.paper_parts import fluid_used, party, shop_head, vehicle_block
from shopdesk.services.photos import PhotoKind, PhotoRow, PhotoSubject, photo_bytes, photos_of
from shopdesk.services.record_code import signed_code
from shopdesk.services.signing import signer_of
from shopdesk.services.vehicles import vehicle_words
from shopdesk.services.window_chart import window_chart
from shopdesk.services.work import the_work_order


def service_record_paper(reading: Reading, record_id: int, *, personal: bool) -> paper.ServiceRecordPaper:
    """Give the service record's content; without ``personal`` it names no person, plate or VIN."""
    view = record_view(reading, record_id)
    order = the_work_order(reading, view.work_order_id)
    figures = Figures(reading.shop)
    facts = Facts(each.entry for each in view.entries)
    fluid = fluid_used(reading, view)
    due, due_reason = due_words(reading, figures, view)
    signer = signer_of(reading)
    fresh = view.outcome.fresh
    return paper.ServiceRecordPaper(
        shop=shop_head(reading.shop),
        number=f"{order.number}-{record_id}",
        work_order=str(order.number),
        date=figures.day(view.done_on),
        owner=party(reading, order.customer_id) if personal else None,
        vehicle=_vehicle(reading, order, view, personal=personal),
        service=_(view.service_method),
        facts=tuple(measured_fact(figures, entry) for entry in told_entries(facts)),
        level_verdict=view.outcome.proof.sentence,
        conditions=tuple(_condition(figures, each) for each in view.outcome.proof.conditions),
        balance=balance_rows(figures, view.outcome.balance),
        balance_result=balance_words(figures, view.outcome.balance),
        balance_note=" ".join(view.outcome.balance.assumptions),
        deviations=tuple(
            paper.Deviation(what=each.what, reason=each.reason)
            for each in deviations(facts, view.outcome, view.sheet.body)
        ),
        new_fluid=figures.percent(fresh.share) if fresh.share is not None else fresh.reason,
        new_fluid_range=fresh_range(figures, view),
        new_fluid_assumption=fresh.assumption,
        average_age=age_words(figures, *age_after(reading, record_id)),
        next_due=due,
        next_due_reason=due_reason,
        fluids=(fluid,) if fluid else (),
        specification=view.sheet.specification,
        source=source_words(figures, view, personal=personal),
        technicians=view.people if personal else (),
        evidence_id=view.uid[:8],
        qr_text=signed_code(reading, view, signer, personal=personal) if signer else "",
        key_fingerprint=fingerprint(signer.public_key) if signer else "",
        photos=photos_on_paper(reading, record_id, personal=personal),
        chart=window_chart(reading, figures, view),
    )


def _vehicle(reading: Reading, order: AnyRow, view: RecordView, *, personal: bool) -> VehicleBlock:
    block = vehicle_block(reading, order, view.unit_label)
    if personal:
        return block
    row = reading.one(vehicle, order.vehicle_id, _("That vehicle is not there."))
    return VehicleBlock(description=vehicle_words(row), unit=view.unit_label, odometer_in=block.odometer_in)


#: Entries that stand elsewhere on the paper.
_TOLD_ELSEWHERE = ("deviation", "step", "filter_renewed")


def told_entries(facts: Facts) -> tuple[Entry, ...]:
    """Give the entries that are printed as readings, in the order of the fields."""
    return tuple(entry for field in FIELDS if field not in _TOLD_ELSEWHERE for entry in facts.all(field))


def measured_fact(figures: Figures, entry: Entry) -> paper.MeasuredFact:
    """Give one reading with its temperature and how well it can be read."""
    rule = FIELDS[entry.field]
    label = _(rule.label)
    if rule.rounds and entry.round > 1:
        label = _("{label}, round {n}").format(label=label, n=entry.round)
    return paper.MeasuredFact(
        what=label,
        value=value_words(figures, entry),
        at=figures.temperature(entry.temp_mc) if entry.temp_mc is not None else "",
        instrument=_instrument(figures, entry),
    )


def value_words(figures: Figures, entry: Entry) -> str:
    """Give an entry's value with its unit, in the shop's units."""
    rule, value = FIELDS[entry.field], entry.value_int
    if value is None:
        said = entry.value_text or ""
        return _(said) if rule.choices and said else said
    writers: dict[EntryKind, Callable[[int], str]] = {
        EntryKind.VOLUME: figures.volume_both,
        EntryKind.TEMPERATURE: figures.temperature,
        EntryKind.TORQUE: figures.torque,
        EntryKind.LENGTH: figures.length,
        EntryKind.SECONDS: lambda seconds: _("{n} s").format(n=seconds),
        EntryKind.YES_NO: lambda yes: _("yes") if yes else _("no"),
        EntryKind.GRADE: lambda grade: f"{grade}: {_(rule.choices[grade])}",
    }
    return writers[rule.kind](value)


def _instrument(figures: Figures, entry: Entry) -> str:
    if entry.half_width is None:
        return entry.instrument
    return f"{entry.instrument} ± {figures.volume(entry.half_width)}".strip()


def _condition(figures: Figures, condition: Condition) -> paper.LevelCondition:
    return paper.LevelCondition(
        text=condition.text,
        state=paper.ConditionState(condition.state.value),
        value=condition_value(figures, condition),
    )


#: What a paper without names may show: a plate or a face is on neither.
_SHOWS_NOBODY = (PhotoKind.FLUID, PhotoKind.MAGNET)
_MOST_PHOTOS = 4


def photos_on_paper(reading: Reading, record_id: int, *, personal: bool) -> tuple[paper.PhotoOnPaper, ...]:
    """Give up to four pictures of a record, the newest of each kind first."""
    rows = photos_of(reading, PhotoSubject.RECORD, record_id)
    shown = [row for row in reversed(rows) if personal or row.kind in _SHOWS_NOBODY]
    newest = {row.kind: row.photo_id for row in reversed(shown)}
    kinds = list(PhotoKind)
    shown.sort(key=lambda row: (newest[row.kind] != row.photo_id, kinds.index(row.kind)))
    return tuple(_photo_on_paper(reading, row) for row in shown[:_MOST_PHOTOS])


def _photo_on_paper(reading: Reading, row: PhotoRow) -> paper.PhotoOnPaper:
    caption = f"{_(row.kind)}: {row.note}" if row.note else _(row.kind)
    return paper.PhotoOnPaper(
        jpeg=photo_bytes(reading, row.photo_id),
        width=row.width,
        height=row.height,
        caption=caption[:1].upper() + caption[1:],
    )


_IN_DEGREES = {ConditionKey.WINDOW_OPEN, ConditionKey.WINDOW_CLOSE, ConditionKey.WINDOW_READING}


def condition_value(figures: Figures, condition: Condition) -> str:
    """Give what a condition was judged by, with its bounds."""
    if condition.measured is None:
        return condition.detail
    if condition.key in _IN_DEGREES:
        bounds = figures.window(condition.low, condition.high)
        return (
            f"{figures.temperature(condition.measured)} ({bounds})"
            if bounds
            else figures.temperature(condition.measured)
        )
    if condition.key == ConditionKey.SELECTOR:
        return _("{n} s").format(n=condition.measured)
    if condition.key == ConditionKey.EDGE:
        return _("{length} below the edge").format(length=figures.length(condition.measured))
    return figures.volume(condition.measured)


_SIGNS = {
    Term.PUT_IN: "+",
    Term.FOUND_ADDED: "+",
    Term.FOUND_RAN_OUT: "−",
    Term.LEFT_IN_HOSE: "−",
    Term.SPILLED: "−",
    Term.RAN_OUT: "−",
    Term.DRAINED: "−",
    Term.OLD_FILTER: "−",
}


def balance_rows(figures: Figures, balance: Balance) -> tuple[paper.BalanceRow, ...]:
    """Give the terms of the balance as they enter it, at 15 °C, and their sum at the level."""
    rows = [
        paper.BalanceRow(
            sign=_SIGNS.get(term.name, "±"),
            what=_(term.name.value),
            value=figures.volume(abs(round(term.v15_ul))) if term.name in _SIGNS else "",
            at=figures.temperature(15_000) if term.name in _SIGNS else "",
            spread=f"± {figures.volume(round(2 * term.u_ul), places=3)}",
        )
        for term in balance.terms
    ]
    if balance.delta_ul is not None and balance.two_u_ul is not None:
        rows.append(
            paper.BalanceRow(
                sign="=",
                what=_("difference at the level's temperature"),
                value=figures.volume(balance.delta_ul),
                spread=f"± {figures.volume(balance.two_u_ul)}",
            )
        )
    return tuple(rows)


def balance_words(figures: Figures, balance: Balance) -> str:
    """Say how the unit came in: low or high by how much, or why that cannot be said."""
    words = arrived_words(balance.arrived)
    if balance.arrived in (Arrived.LOW, Arrived.HIGH, Arrived.AT_LEAST_LOW) and balance.delta_ul is not None:
        spread = f" ± {figures.volume(balance.two_u_ul)}" if balance.two_u_ul is not None else ""
        return f"{words[:1].upper()}{words[1:]} {figures.volume(abs(balance.delta_ul))}{spread}."
    return balance.reason or f"{words[:1].upper()}{words[1:]}."


def fresh_range(figures: Figures, view: RecordView) -> str:
    """Give the bounds of the fresh share, empty when it cannot be said."""
    fresh = view.outcome.fresh
    if fresh.low is None or fresh.high is None:
        return ""
    return _("{low} to {high}").format(low=figures.percent(fresh.low), high=figures.percent(fresh.high))


def due_words(reading: Reading, figures: Figures, view: RecordView) -> tuple[str, str]:
    """Give when the unit is next due after this record in one line, and the reason."""
    worked_out = due_after(reading, view.record_id)
    if worked_out is None:
        return "", ""
    due = worked_out.due
    parts = []
    if due.odometer_tenths is not None and due.odometer_unit is not None:
        parts.append(figures.distance(due.odometer_tenths, due.odometer_unit))
    if due.on_by_time is not None:
        parts.append(figures.day(due.on_by_time))
    if len(parts) == 2:
        parts = [_("{distance} or {day}, whichever comes first").format(distance=parts[0], day=parts[1])]
    return "".join(parts) or _("no date"), due.reason


def source_words(figures: Figures, view: RecordView, *, personal: bool) -> str:
    """Say where the sheet's values were read and, with ``personal``, who checked them."""
    words = [view.sheet.source]
    if personal and view.sheet.checked_by:
        words.append(_("checked by {name}").format(name=view.sheet.checked_by))
    words.append(
        _("sheet revision {n} of {day}").format(
            n=view.sheet.revision, day=figures.day_of(view.sheet.written_utc)
        )
    )
    return ", ".join(words)
