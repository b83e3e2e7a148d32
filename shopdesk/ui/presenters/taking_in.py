"""A work order taken in at the counter: who, what, how far it has run, and the order, in this order.

Each step is one command of its own. A step that is refused stops the rest; what was kept before it
stays kept and is handed back, so that the next try goes on from there.
"""

from dataclasses import dataclass, replace
from gettext import gettext as _
from typing import Protocol

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.customers import AddCustomer, CustomerKept
from shopdesk.services.odometers import OdometerKept, ReadOdometer
from shopdesk.services.vehicles import AddVehicle, AnswerDuty, ChangeKeeper, VehicleKept
from shopdesk.services.work import OpenWorkOrder, WorkOrderKept


class IntakeRoom(Protocol):
    """The room where customers and vehicles are taken in."""

    def add_customer(self, command: AddCustomer) -> CustomerKept:
        """Take a customer in."""

    def add_vehicle(self, command: AddVehicle) -> VehicleKept:
        """Take a vehicle in."""

    def change_keeper(self, command: ChangeKeeper) -> VehicleKept:
        """Note that a vehicle changed hands."""

    def read_odometer(self, command: ReadOdometer) -> OdometerKept:
        """Keep a reading."""

    def answer_duty(self, command: AnswerDuty) -> VehicleKept:
        """Keep how it is driven."""


class WorkRoom(Protocol):
    """The room where work orders are opened."""

    def open(self, command: OpenWorkOrder) -> WorkOrderKept:
        """Open a work order."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Plan:
    """What is to be kept. An id stands for what is there already; ids inside later commands are filled in."""

    customer: AddCustomer | int
    vehicle: AddVehicle | int
    keeper: ChangeKeeper | None = None
    reading: ReadOdometer | int | None = None
    duty: AnswerDuty | None = None
    order: OpenWorkOrder


@dataclass(frozen=True, kw_only=True, slots=True)
class TakenIn:
    """How far it went: what is kept now, and the refusal that stopped it, if one did."""

    customer_id: int | None = None
    customer_is_new: bool = False
    vehicle_id: int | None = None
    vehicle_is_new: bool = False
    odometer_id: int | None = None
    order: WorkOrderKept | None = None
    notes: tuple[str, ...] = ()
    refusal: RuleBroken | None = None

    def kept_sentence(self) -> str:
        """Say what is kept although the work order is not open yet."""
        kept = [_("the customer")] if self.customer_is_new else []
        kept += [_("the vehicle")] if self.vehicle_is_new else []
        kept += [_("the odometer reading")] if self.odometer_id is not None else []
        if not kept:
            return ""
        return _("Already kept: {what}. The work order is not open yet.").format(what=", ".join(kept))


def take_in(intake: IntakeRoom, work: WorkRoom, plan: Plan) -> TakenIn:
    """Keep everything in order, each once; stop at the first refusal."""
    done = TakenIn()
    try:
        done = _customer(intake, plan, done)
        done = _vehicle(intake, plan, done)
        done = _use(intake, plan, done)
        return replace(done, order=_order(work, plan, done))
    except _Stopped as stop:
        return replace(stop.done, refusal=stop.refusal)


class _Stopped(Exception):  # carries what was kept out of a step
    def __init__(self, done: TakenIn, refusal: RuleBroken) -> None:
        super().__init__(refusal.sentence)
        self.done = done
        self.refusal = refusal


def _customer(intake: IntakeRoom, plan: Plan, done: TakenIn) -> TakenIn:
    if isinstance(plan.customer, int):
        return replace(done, customer_id=plan.customer)
    try:
        kept = intake.add_customer(plan.customer)
    except RuleBroken as refusal:
        raise _Stopped(done, refusal) from refusal
    return replace(done, customer_id=kept.customer_id, customer_is_new=True, notes=kept.notes)


def _vehicle(intake: IntakeRoom, plan: Plan, done: TakenIn) -> TakenIn:
    customer_id = done.customer_id or 0
    try:
        if isinstance(plan.vehicle, int):
            if plan.keeper is not None:
                intake.change_keeper(replace(plan.keeper, vehicle_id=plan.vehicle, customer_id=customer_id))
            return replace(done, vehicle_id=plan.vehicle)
        kept = intake.add_vehicle(replace(plan.vehicle, customer_id=customer_id))
    except RuleBroken as refusal:
        raise _Stopped(done, refusal) from refusal
    return replace(done, vehicle_id=kept.vehicle_id, vehicle_is_new=True, notes=(*done.notes, *kept.notes))


def _use(intake: IntakeRoom, plan: Plan, done: TakenIn) -> TakenIn:
    vehicle_id = done.vehicle_id or 0
    try:
        if plan.duty is not None:
            intake.answer_duty(replace(plan.duty, vehicle_id=vehicle_id))
        if isinstance(plan.reading, int) or plan.reading is None:
            return replace(done, odometer_id=plan.reading)
        kept = intake.read_odometer(replace(plan.reading, vehicle_id=vehicle_id))
    except RuleBroken as refusal:
        raise _Stopped(done, refusal) from refusal
    return replace(done, odometer_id=kept.odometer_id)


def _order(work: WorkRoom, plan: Plan, done: TakenIn) -> WorkOrderKept:
    command = replace(
        plan.order,
        customer_id=done.customer_id or 0,
        vehicle_id=done.vehicle_id or 0,
        odometer_id=done.odometer_id,
    )
    try:
        return work.open(command)
    except RuleBroken as refusal:
        raise _Stopped(done, refusal) from refusal
