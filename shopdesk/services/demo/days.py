"""The years of work, day by day: customers come, vehicles are served, bills are paid."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from heapq import heappop, heappush
from zoneinfo import ZoneInfo

from shopdesk.services.acting import Writing
from shopdesk.services.customers import AddCustomer, add_customer
from shopdesk.services.demo import cast
from shopdesk.services.demo.crew import Crew
from shopdesk.services.demo.measuring import minutes_for
from shopdesk.services.demo.plan import Plan, PlannedVehicle, Story, Visit
from shopdesk.services.demo.visiting import Car, Order
from shopdesk.services.odometers import OdometerSource, ReadOdometer
from shopdesk.services.vehicles import (
    AddUnit,
    AddVehicle,
    AnswerDuty,
    ChangeKeeper,
    DutyTyped,
    VehicleKept,
    add_unit,
    add_vehicle,
    answer_duty,
)

ZONE = ZoneInfo(str(cast.SHOP["zone"]))
_SLOTS = (time(7, 40), time(9, 50), time(12, 40), time(15, 0), time(16, 20))
#: Up to so many days before today the technicians note when each step was done.
_TIMED_DAYS = 120


@dataclass(kw_only=True)
class Years:
    """Carries a plan out."""

    crew: Crew
    plan: Plan
    cars: dict[int, Car] = field(default_factory=dict)
    orders: dict[Visit, Order] = field(default_factory=dict)
    _customer_ids: dict[int, int] = field(default_factory=dict)
    _happenings: list[tuple[datetime, int, Callable[[], None]]] = field(default_factory=list)
    _noted: int = 0

    def expect_everything(self) -> None:
        """Note every moment of the plan."""
        for visit in self.plan.visits:
            self._expect(visit)
        self._expect_phone_reading()
        self._expect_sale()

    def work(self, until: datetime, progress: Callable[[float], None]) -> None:
        """Let everything happen in the order of time, up to ``until``; says how much of it is done."""
        begins = self.crew.clock.now()
        while self._happenings and self._happenings[0][0] < until:
            at, _number, do = heappop(self._happenings)
            self.crew.clock.set(at)
            do()
            progress((at - begins) / (until - begins))

    def at(self, at: datetime, do: Callable[[], None]) -> None:
        """Have something happen at an instant; within one instant the order of noting stays."""
        heappush(self._happenings, (at, self._noted, do))
        self._noted += 1

    def _expect(self, visit: Visit) -> None:
        comes = datetime.combine(visit.on, _SLOTS[visit.slot], ZONE)
        self.at(comes, lambda: self._have_visit(visit, comes))
        if self.of_fleet(visit):
            waits = timedelta(days=14 + (visit.on.toordinal() + visit.vehicle) % 20, hours=3)
            self.at(comes + waits, lambda: self._pay(visit))

    def of_fleet(self, visit: Visit) -> bool:
        """Whether the visit's vehicle is a fleet's, which pays by transfer some weeks later."""
        return bool(self.plan.customers[self.plan.vehicles[visit.vehicle].customer].po_prefix)

    def _have_visit(self, visit: Visit, comes: datetime) -> None:
        """Carry a whole visit out in one transaction, its moments one after the other."""
        before = visit.comes_back_from
        order = Order(
            crew=self.crew,
            car=self.car(visit.vehicle),
            visit=visit,
            bay=visit.slot,
            timed=(self.plan.today - visit.on).days <= _TIMED_DAYS,
            origin=None if before is None else self.orders[before],
        )
        self.orders[visit] = order
        through = self._turned_down if visit.story is Story.CANCELLED else self._served
        self.crew.step("visit", visit.vehicle, lambda writing: through(writing, order, comes))

    def _turned_down(self, writing: Writing, order: Order, comes: datetime) -> None:
        order.take_in(writing, agreed=False)
        self.crew.moment(writing, comes + timedelta(minutes=45))
        order.cancel(writing)

    def _served(self, writing: Writing, order: Order, comes: datetime) -> None:
        visit = order.visit
        begins = comes + timedelta(minutes=20)
        ends = begins + timedelta(minutes=5 + max(minutes_for(each) for each in visit.services))
        order.take_in(writing)
        self.crew.moment(writing, begins, order.bay)
        order.into_the_bay(writing)
        if visit.story is Story.WORK_GREW:
            self.crew.moment(writing, begins + timedelta(minutes=30))
            order.grow(writing)
        self.crew.moment(writing, ends, order.bay)
        order.finish(writing, begins)
        self.crew.moment(writing, ends + timedelta(minutes=15))
        order.bill(writing, paid=not self.of_fleet(visit))

    def _pay(self, visit: Visit) -> None:
        order = self.orders[visit]
        self.crew.step("pay", order.work_order_id, order.pay)

    def car(self, number: int) -> Car:
        """Give a vehicle, taken in with its keeper and units when it comes for the first time."""
        if number not in self.cars:
            self.cars[number] = self._meet(number)
        return self.cars[number]

    def _meet(self, number: int) -> Car:
        planned = self.plan.vehicles[number]
        met: list[Car] = []
        self.crew.step("meet", number, lambda writing: met.append(self._met(writing, planned)))
        return met[0]

    def _met(self, writing: Writing, planned: PlannedVehicle) -> Car:
        keeper_id = self._customer_ids.get(planned.customer)
        if keeper_id is None:
            keeper_id = self._add_customer(writing, planned.customer)
        command = self.crew.command(AddVehicle, customer_id=keeper_id, **planned.fields)
        vehicle_id = add_vehicle(writing, command, keeper_id).vehicle_id
        unit_ids = [self._add_unit(writing, planned, at, vehicle_id) for at in range(len(planned.sheets))]
        if planned.severe:
            self._answer(writing, vehicle_id, planned.severe)
        return Car(
            planned=planned,
            vehicle_id=vehicle_id,
            unit_ids=tuple(unit_ids),
            keeper=self.plan.customers[planned.customer],
            keeper_id=keeper_id,
            shown=planned.starts_at,
            seen_on=self.plan.begins,
        )

    def _add_customer(self, writing: Writing, number: int) -> int:
        command = self.crew.command(AddCustomer, **self.plan.customers[number].fields)
        self._customer_ids[number] = add_customer(writing, command).customer_id
        return self._customer_ids[number]

    def _add_unit(self, writing: Writing, planned: PlannedVehicle, at: int, vehicle_id: int) -> int:
        design = planned.model.units[at]
        command = self.crew.command(
            AddUnit,
            vehicle_id=vehicle_id,
            kind=design.kind,
            sheet_id=self.crew.sheet_ids[design.sheet],
            label=design.label,
        )
        return add_unit(writing, command).unit_id

    def _answer(self, writing: Writing, vehicle_id: int, question: str) -> VehicleKept:
        answers = tuple(
            DutyTyped(question=key, yes=key == question) for key in ("short_trips", "loads", question)
        )
        unique = tuple({answer.question: answer for answer in answers}.values())
        return answer_duty(writing, self.crew.command(AnswerDuty, vehicle_id=vehicle_id, answers=unique))

    def _expect_phone_reading(self) -> None:
        """A customer reads a figure out on the telephone, with one digit too many."""
        number = self.plan.phoned_vehicle
        if number is None:
            return
        on = self.plan.visits_of(number)[0].on + timedelta(days=40)
        self.at(datetime.combine(on, time(11, 20), ZONE), lambda: self._phone_reading(number))

    def _phone_reading(self, number: int) -> None:
        car = self.cars[number]
        command = self.crew.command(
            ReadOdometer,
            vehicle_id=car.vehicle_id,
            reading=f"{car.shown * 10 + 4} {car.planned.model.dial}",
            source=OdometerSource.STATED,
            reason="As read out on the telephone; to be read again at the next visit.",
        )
        self.crew.desk.intake.read_odometer(command)

    def _expect_sale(self) -> None:
        number = self.plan.sold_vehicle
        if number is None:
            return
        visits = self.plan.visits_of(number)
        between = visits[0].on + (visits[1].on - visits[0].on) / 2
        self.at(datetime.combine(between, time(17, 5), ZONE), lambda: self._sell(number, between))

    def _sell(self, number: int, on: date) -> None:
        """The vehicle goes to somebody else from the list; its history stays with it."""
        car = self.cars[number]
        buyer = next(
            at
            for at, customer_id in self._customer_ids.items()
            if at < self.plan.size.persons and customer_id != car.keeper_id and at != 0
        )
        car.keeper, car.keeper_id = self.plan.customers[buyer], self._customer_ids[buyer]
        command = self.crew.command(ChangeKeeper, vehicle_id=car.vehicle_id, customer_id=car.keeper_id, on=on)
        self.crew.desk.intake.change_keeper(command)
