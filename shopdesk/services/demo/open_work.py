"""The work that stands open when the demo is looked at: quoted, approved, in the bays, to be billed."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from shopdesk.domain.methods import ServiceMethod
from shopdesk.services.acting import Writing
from shopdesk.services.demo.days import ZONE, Years
from shopdesk.services.demo.plan import PlannedService, Twist, Visit
from shopdesk.services.demo.visiting import Order

#: The shop opens at 7:40; work of the day is spread from then (or three hours ago) to now.
_OPENS = timedelta(hours=7, minutes=40)
_AT_LEAST = timedelta(hours=3)


@dataclass(frozen=True, kw_only=True, slots=True)
class Scene:
    """One open work order: how far into the day it begins (0 to 1), and what becomes of it.

    ``transmission``: whether it needs a vehicle whose level is set by an overflow tube.
    ``play`` is given the order, and a way to name moments between its beginning and now (0 to 1).
    """

    begins: float
    transmission: bool
    play: Callable[["Running"], None]
    twist: Twist = Twist.NONE
    quoted: bool = True
    agreed: bool = True
    bay: int | None = None
    particulars: dict[str, Any]


@dataclass(frozen=True, kw_only=True, slots=True)
class Running:
    """What a scene plays with."""

    years: Years
    order: Order
    begins: datetime
    now: datetime

    def at(self, share: float) -> datetime:
        """Give the instant at a share of the time between the scene's beginning and now."""
        return self.begins + (self.now - self.begins) * share

    def then(self, share: float, moment: Callable[[Writing], None], *, at_counter: bool = False) -> None:
        """Have a moment of the order's come, in its bay or at the counter."""
        crew, order = self.years.crew, self.order
        actor = crew.counter if at_counter else crew.bays[order.bay % len(crew.bays)]
        self.years.at(self.at(share), lambda: crew.step("open work", order.work_order_id, moment, actor))


def _half_filled(running: Running) -> None:
    running.then(0.2, running.order.into_the_bay)
    running.then(0.9, lambda writing: running.order.type_half(writing, running.at(0.2)))


def _in_the_bay(running: Running) -> None:
    running.then(0.5, running.order.into_the_bay)


def _finished(running: Running) -> None:
    running.then(0.15, running.order.into_the_bay)
    running.then(0.85, lambda writing: running.order.finish(writing, running.at(0.15)))


def _billed(running: Running) -> None:
    running.then(0.1, running.order.into_the_bay)
    running.then(0.7, lambda writing: running.order.finish(writing, running.at(0.1)))
    running.then(
        0.9, lambda writing: running.order.bill(writing, paid=False, collected=False), at_counter=True
    )


def _waits_for(reason: str) -> Callable[[Running], None]:
    def play(running: Running) -> None:
        running.then(0.5, lambda writing: running.order.wait(writing, reason), at_counter=True)

    return play


def _nothing_yet(_running: Running) -> None:
    """The work order stays as it was taken in."""


def _scene(begins: float, play: Callable[[Running], None], **more: Any) -> Scene:
    values: dict[str, Any] = {"transmission": True, "particulars": {}, **more}
    return Scene(begins=begins, play=play, **values)


#: The first five make a small demo.
SCENES: Sequence[Scene] = (
    _scene(0.05, _half_filled, particulars={"waits_here": True}, bay=0),
    _scene(0.0, _finished),
    _scene(0.02, _billed),
    _scene(
        0.4, _waits_for("Filter kit on order: comes tomorrow morning"), particulars={"parked": "Yard, row B"}
    ),
    _scene(0.6, _waits_for("Customer wants to ask at home first"), agreed=False),
    _scene(0.1, _half_filled, bay=1),
    _scene(0.5, _in_the_bay, transmission=False, bay=2),
    _scene(0.0, _finished, twist=Twist.OVERFLOW_MISSING),
    _scene(0.03, _billed, transmission=False),
    _scene(0.7, _nothing_yet, particulars={"waits_here": True}),
    _scene(0.85, _nothing_yet, quoted=False, agreed=False, transmission=False),
    _scene(0.3, _waits_for("No answer on the telephone: try again after four"), agreed=False),
)


def expect_open_work(years: Years, now: datetime) -> None:
    """Note the moments of the work that is open at ``now``."""
    opens = min(_opening_time(now), now - _AT_LEAST)
    free = _free_vehicles(years)
    for at, scene in enumerate(SCENES[: years.plan.size.open_work]):
        number = next((at for at in free if _fits(years, at, scene)), free[0])
        free.remove(number)
        _expect(years, scene, number, at, (opens + (now - opens) * scene.begins, now))


def _opening_time(now: datetime) -> datetime:
    local = now.astimezone(ZONE)
    return local.replace(hour=0, minute=0, second=0, microsecond=0) + _OPENS


def _free_vehicles(years: Years) -> list[int]:
    """Vehicles that were not here for some weeks, except the main job's; those seen last come first."""
    last = {visit.vehicle: visit.on for visit in years.plan.visits}
    rested = [at for at in last if at and (years.plan.today - last[at]).days > 25]
    others = [at for at in last if at and at not in rested]
    return [*sorted(rested, key=lambda at: (last[at], at), reverse=True), *others]


def _fits(years: Years, number: int, scene: Scene) -> bool:
    return any(sheet.runs_out == scene.transmission for sheet in years.plan.vehicles[number].sheets)


def _expect(years: Years, scene: Scene, number: int, at: int, span: tuple[datetime, datetime]) -> None:
    begins, now = span
    sheets = years.plan.vehicles[number].sheets
    unit = next((at for at, sheet in enumerate(sheets) if sheet.runs_out == scene.transmission), 0)
    service = PlannedService(unit=unit, method=ServiceMethod.SINGLE, twist=scene.twist)
    visit = Visit(vehicle=number, on=begins.astimezone(ZONE).date(), services=(service,), slot=at)

    def take_in() -> None:
        car = years.car(number)
        order = Order(
            crew=years.crew, car=car, visit=visit, bay=at if scene.bay is None else scene.bay, timed=True
        )
        more = {"quoted": scene.quoted, "agreed": scene.agreed, **scene.particulars}
        if scene.bay is None:
            more["bay"] = ""
        years.crew.step("take in", car.vehicle_id, lambda writing: order.take_in(writing, **more))
        scene.play(Running(years=years, order=order, begins=begins, now=now))

    years.at(begins, take_in)
