"""From what stands on the page of a new work order to the commands that keep it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from shopdesk.services.acting import Actor
from shopdesk.services.odometers import ReadOdometer
from shopdesk.services.vehicles import AnswerDuty, ChangeKeeper, DutyTyped
from shopdesk.services.work import OpenWorkOrder
from shopdesk.ui.presenters.customers import add_customer
from shopdesk.ui.presenters.taking_in import Plan
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.presenters.vehicles import add_vehicle


@dataclass(frozen=True, kw_only=True, slots=True)
class Said:
    """What the page says. An id stands for what was chosen; texts are those of the forms.

    ``duty`` are the answers that are new, ``reading_id`` a reading that an earlier try kept.
    """

    customer: Mapping[str, str] = field(default_factory=dict)
    customer_id: int | None = None
    vehicle: Mapping[str, str] = field(default_factory=dict)
    vehicle_id: int | None = None
    takes_over: bool = False
    order: Mapping[str, str]
    promised_at: datetime | None = None
    duty: Mapping[str, bool] = field(default_factory=dict)
    reading_id: int | None = None
    today: date


def plan_of(said: Said, actor: Actor, uids: Uids) -> Plan:
    """Give the plan; RuleBroken when a text cannot be one (the model year)."""
    return Plan(
        customer=said.customer_id
        or add_customer(said.customer, actor, uids.of("customer", dict(said.customer))),
        vehicle=said.vehicle_id
        or add_vehicle(said.vehicle, actor, uids.of("vehicle", dict(said.vehicle)), customer_id=0),
        keeper=_keeper(said, actor, uids),
        reading=said.reading_id or _reading(said, actor, uids),
        duty=_duty(said, actor, uids),
        order=_order(said, actor, uids),
    )


def _keeper(said: Said, actor: Actor, uids: Uids) -> ChangeKeeper | None:
    if not said.takes_over or said.vehicle_id is None:
        return None
    uid = uids.of("keeper", said.vehicle_id, said.customer_id, dict(said.customer))
    return ChangeKeeper(actor=actor, uid=uid, vehicle_id=0, customer_id=0, on=said.today)


def _reading(said: Said, actor: Actor, uids: Uids) -> ReadOdometer | None:
    typed, reason = said.order["reading"], said.order["reason"]
    if not typed.strip():
        return None
    uid = uids.of("reading", said.vehicle_id, typed, reason)
    return ReadOdometer(actor=actor, uid=uid, vehicle_id=0, reading=typed, reason=reason)


def _duty(said: Said, actor: Actor, uids: Uids) -> AnswerDuty | None:
    if not said.duty:
        return None
    answers = tuple(DutyTyped(question=key, yes=yes) for key, yes in said.duty.items())
    uid = uids.of("duty", said.vehicle_id, answers)
    return AnswerDuty(actor=actor, uid=uid, vehicle_id=0, answers=answers)


def _order(said: Said, actor: Actor, uids: Uids) -> OpenWorkOrder:
    texts = said.order
    origin = texts["origin"]
    return OpenWorkOrder(
        actor=actor,
        uid=uids.of("order", dict(texts), said.promised_at),
        vehicle_id=0,
        customer_id=0,
        complaint=texts["complaint"],
        promised_at=said.promised_at,
        key_tag=texts["key_tag"],
        waits_here=bool(texts["waits_here"]),
        driver=texts["driver"],
        po_number=texts["po_number"],
        origin_work_order_id=int(origin) if origin else None,
        comeback_cause=texts["comeback_cause"] if origin else "",
    )
