"""Taking in step by step: each once, and going on from where it stopped."""

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.stages import Stage
from shopdesk.services.acting import Actor
from shopdesk.services.customers import AddCustomer, CustomerKept
from shopdesk.services.odometers import OdometerKept, ReadOdometer
from shopdesk.services.vehicles import AddVehicle, AnswerDuty, ChangeKeeper, VehicleKept
from shopdesk.services.work import OpenWorkOrder, WorkOrderKept
from shopdesk.ui.presenters.intake_plan import Said, plan_of
from shopdesk.ui.presenters.taking_in import take_in
from shopdesk.ui.presenters.uids import Uids

ACTOR = Actor(person_id=1, station_id=1)
ORDER = {
    "reading": "61,250", "reason": "", "promised_at": "", "complaint": "Shifts late", "key_tag": "7",
    "waits_here": "yes", "driver": "", "po_number": "", "origin": "", "comeback_cause": "",
}  # fmt: skip
CUSTOMER = {"name": "Nadia Fell", "kind": "person", "phones": "303 555 0199", "emails": ""}
VEHICLE = {"plate": "HX 22", "vin": "", "year": "2018", "make": "", "model": "", "unusual_vin": ""}


@dataclass
class Rooms:
    """Keeps what it is told, once per id; refuses the steps named in ``refuses``."""

    refuses: set[str] = field(default_factory=set)
    kept: dict[str, Any] = field(default_factory=dict)
    steps: list[str] = field(default_factory=list)

    def _keep(self, step: str, command: Any) -> int:
        if step in self.refuses:
            raise RuleBroken(f"no {step}", step)
        if command.uid not in self.kept:
            self.kept[command.uid] = command
            self.steps.append(step)
        return list(self.kept).index(command.uid) + 1

    def add_customer(self, command: AddCustomer) -> CustomerKept:
        return CustomerKept(customer_id=self._keep("customer", command), notes=("unusual number",))

    def add_vehicle(self, command: AddVehicle) -> VehicleKept:
        return VehicleKept(vehicle_id=self._keep("vehicle", command))

    def change_keeper(self, command: ChangeKeeper) -> VehicleKept:
        self._keep("keeper", command)
        return VehicleKept(vehicle_id=command.vehicle_id)

    def read_odometer(self, command: ReadOdometer) -> OdometerKept:
        return OdometerKept(odometer_id=self._keep("reading", command), tenths=612_500, unit="mi")

    def answer_duty(self, command: AnswerDuty) -> VehicleKept:
        self._keep("duty", command)
        return VehicleKept(vehicle_id=command.vehicle_id)

    def open(self, command: OpenWorkOrder) -> WorkOrderKept:
        return WorkOrderKept(work_order_id=self._keep("order", command), number=1002, stage=Stage.QUOTED)


def said(**changes: Any) -> Said:
    given: dict[str, Any] = {
        "customer": CUSTOMER, "vehicle": VEHICLE, "order": ORDER, "today": date(2026, 11, 25),
        "duty": {"loads": True},
    }  # fmt: skip
    return Said(**(given | changes))


def test_that_everything_new_is_kept_in_order_and_handed_on() -> None:
    rooms = Rooms()
    done = take_in(rooms, rooms, plan_of(said(), ACTOR, Uids()))
    assert rooms.steps == ["customer", "vehicle", "duty", "reading", "order"]
    assert done.order is not None
    order = list(rooms.kept.values())[-1]
    assert (order.customer_id, order.vehicle_id, order.odometer_id) == (1, 2, 4)
    assert order.waits_here
    assert done.notes == ("unusual number",)


def test_that_asking_twice_keeps_nothing_twice() -> None:
    rooms, uids = Rooms(), Uids()
    first = take_in(rooms, rooms, plan_of(said(), ACTOR, uids))
    again = take_in(rooms, rooms, plan_of(said(), ACTOR, uids))
    assert again.order == first.order
    assert rooms.steps == ["customer", "vehicle", "duty", "reading", "order"]


def test_that_a_refusal_tells_what_is_kept_and_the_next_try_goes_on_from_there() -> None:
    rooms, uids = Rooms(refuses={"reading"}), Uids()
    stopped = take_in(rooms, rooms, plan_of(said(), ACTOR, uids))
    assert stopped.order is None
    assert stopped.refusal is not None
    assert stopped.refusal.field == "reading"
    assert "customer" in stopped.kept_sentence()
    rooms.refuses.clear()
    chosen = said(customer_id=stopped.customer_id, vehicle_id=stopped.vehicle_id)
    done = take_in(rooms, rooms, plan_of(chosen, ACTOR, uids))
    assert done.order is not None
    assert rooms.steps.count("customer") == rooms.steps.count("vehicle") == 1


def test_that_nothing_is_said_to_be_kept_when_nothing_is() -> None:
    rooms = Rooms(refuses={"customer"})
    stopped = take_in(rooms, rooms, plan_of(said(), ACTOR, Uids()))
    assert stopped.kept_sentence() == ""
    assert rooms.steps == []


def test_that_a_known_vehicle_can_change_hands_on_the_way() -> None:
    rooms = Rooms()
    done = take_in(rooms, rooms, plan_of(said(vehicle_id=9, takes_over=True, duty={}), ACTOR, Uids()))
    assert rooms.steps == ["customer", "keeper", "reading", "order"]
    keeper = next(command for command in rooms.kept.values() if isinstance(command, ChangeKeeper))
    assert (keeper.vehicle_id, keeper.customer_id, done.vehicle_id) == (9, 1, 9)


def test_that_a_reading_kept_before_is_used_and_none_is_made_up() -> None:
    rooms = Rooms()
    take_in(rooms, rooms, plan_of(said(customer_id=3, vehicle_id=9, reading_id=77), ACTOR, Uids()))
    assert rooms.steps == ["duty", "order"]
    silent = Rooms()
    take_in(silent, silent, plan_of(said(order=ORDER | {"reading": " "}), ACTOR, Uids()))
    assert "reading" not in silent.steps
