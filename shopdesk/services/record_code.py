"""A service record's facts as its code holds them, signed by the shop."""

from collections.abc import Iterator
from fractions import Fraction
from gettext import gettext as _

from shopdesk.domain.code_fields import CODE_FIELD, CONDITIONS, STATES
from shopdesk.domain.deviations import deviations
from shopdesk.domain.level_rules import Marks
from shopdesk.domain.proof import Proof
from shopdesk.domain.record import FIELDS, EntryKind, Facts
from shopdesk.domain.record_code import CodeValue, conditions_number, sealed, to_sign
from shopdesk.domain.rounding import round_half_up
from shopdesk.persistence.tables.vehicles import odometer_reading, vehicle
from shopdesk.services.acting import AnyRow, Reading
from shopdesk.services.bay import RecordView
from shopdesk.services.duedates import due_after
from shopdesk.services.signing import Signer
from shopdesk.services.vehicles import vehicle_words
from shopdesk.services.work import the_work_order

_Pairs = Iterator[tuple[str, CodeValue | None]]

_SUMMED = (
    "drained",
    "put_in",
    "spilled",
    "ran_out",
    "old_filter",
    "left_in_hose",
    "found_added",
    "found_ran_out",
)
_SINGLE = (
    "fill_plug_torque",
    "drain_plug_torque",
    "level_plug_torque",
    "fill_plug_washer",
    "drain_plug_washer",
    "level_plug_washer",
    "appearance",
    "odour",
    "particles",
)


def signed_code(reading: Reading, view: RecordView, signer: Signer, *, personal: bool) -> str:
    """Give a record's code; without ``personal`` it holds no VIN and no plate."""
    known = _facts(reading, view, personal=personal)
    facts = {name: value for name, value in known if value is not None and value != ""}
    signed = to_sign(facts, signer.public_key)
    return sealed(signed, signer.sign(signed))


def _facts(reading: Reading, view: RecordView, *, personal: bool) -> _Pairs:
    order = the_work_order(reading, view.work_order_id)
    yield "uid", view.uid
    yield "number", f"{order.number}-{view.record_id}"
    yield "shop", reading.shop.name
    yield "done_on", view.done_on
    yield "service_method", view.service_method.value
    yield "finished", int(view.finished)
    yield from _vehicle(reading, order, view, personal=personal)
    facts = Facts(each.entry for each in view.entries)
    yield from _volumes(facts, view)
    yield from _level(facts, view)
    yield from _fluid(facts, view)
    yield from _due(reading, view)


def _vehicle(reading: Reading, order: AnyRow, view: RecordView, *, personal: bool) -> _Pairs:
    row = reading.one(vehicle, order.vehicle_id, _("That vehicle is not there."))
    yield "vehicle", vehicle_words(row)
    yield "unit", view.unit_label
    if personal:
        yield "vin", row.vin
        yield "plate", row.plate
    if order.odometer_in_id is not None:
        dial = reading.one(odometer_reading, order.odometer_in_id, _("That reading is not there."))
        if dial.source == "read" and dial.actual and not dial.doubt:
            yield "odometer", dial.value_tenths
            yield "odometer_unit", row.odometer_unit


def _volumes(facts: Facts, view: RecordView) -> _Pairs:
    for name in _SUMMED:
        yield name, facts.total_ul(name)
    yield "fillings", len(facts.rounds("put_in")) or None
    balance = view.outcome.balance
    yield "arrived", balance.arrived.value
    yield "arrived_by", balance.delta_ul
    yield "arrived_within", balance.two_u_ul


def _level(facts: Facts, view: RecordView) -> _Pairs:
    level, proof = view.sheet.body.level, view.outcome.proof
    yield "level_method", level.method.value
    marks = facts.word("marks_read")
    low, high = level.window(Marks(marks) if marks else None)
    yield "window_low", low
    yield "window_high", high
    opened = facts.last("open_temperature") or facts.last("reading_temperature")
    for name, entry in (
        ("open_temperature", opened),
        ("close_temperature", facts.last("close_temperature")),
        ("edge_distance", facts.last("edge_distance")),
    ):
        yield name, entry.value_int if entry else None
    yield "verdict", proof.verdict.value
    yield "conditions", conditions_number(_states(proof), CONDITIONS)


def _states(proof: Proof) -> dict[str, int]:
    return {str(each.key): STATES.index(each.state.value) for each in proof.conditions}


def _fluid(facts: Facts, view: RecordView) -> _Pairs:
    yield "product", view.item_name
    yield "specification", view.sheet.specification
    fresh = view.outcome.fresh
    for name, share in (
        ("new_fluid", fresh.share),
        ("new_fluid_low", fresh.low),
        ("new_fluid_high", fresh.high),
    ):
        yield name, None if share is None else round_half_up(Fraction(share) * 1000)
    for name in _SINGLE:
        yield name, _single(facts, name)
    yield "deviations", len(deviations(facts, view.outcome, view.sheet.body))


def _single(facts: Facts, name: str) -> CodeValue | None:
    number = facts.number(name)
    if number is not None and FIELDS[name].kind is EntryKind.GRADE:
        return CODE_FIELD[name].choices[number]
    return facts.word(name) if number is None else number


def _due(reading: Reading, view: RecordView) -> _Pairs:
    worked_out = due_after(reading, view.record_id)
    if worked_out is None:
        return
    due = worked_out.due
    yield "due_on", due.on_by_time
    if due.odometer_tenths is not None and due.odometer_unit is not None:
        yield "due_odometer", due.odometer_tenths
        yield "due_odometer_unit", due.odometer_unit
