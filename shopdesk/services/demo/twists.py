"""Strews what is out of the ordinary over the plan: each twist and story where it can happen."""

from collections.abc import Callable, Collection
from dataclasses import replace
from datetime import timedelta
from random import Random
from typing import Any

from shopdesk.domain.methods import ServiceMethod
from shopdesk.services.demo.plan import Plan, PlannedService, Story, Twist, Visit


def add_twists(plan: Plan, rng: Random) -> None:
    """Change the plan's visits in place; a small plan has room for a few of them only."""
    several = 1 if plan.size.orders < 100 else 4
    for kind in (Twist.NO_FLOW_FIRST, Twist.OVERFLOW_MISSING, Twist.CLOSED_TOO_HOT):
        _strew(plan, kind, several, rng)
    _ensure_repeated(plan)
    _comeback(plan, rng)
    told = _tell_stories(plan, several, rng)
    ordinary = [visit.vehicle for visit in plan.visits if visit.vehicle not in told]
    plan.phoned_vehicle = next(iter(ordinary), None)
    plan.sold_vehicle = _to_sell(plan)
    plan.visits.sort(key=lambda visit: (visit.on, visit.slot))


def _is_plain(plan: Plan, visit: Visit) -> bool:
    """Whether the visit's first service is an ordinary one of a unit with an overflow tube."""
    first = visit.services[0]
    runs_out = plan.vehicles[visit.vehicle].sheets[first.unit].runs_out
    return runs_out and first.method is ServiceMethod.SINGLE and _is_ordinary(visit) and visit.vehicle != 0


def _is_ordinary(visit: Visit) -> bool:
    twisted = any(service.twist is not Twist.NONE or service.rounds > 1 for service in visit.services)
    return visit.story is Story.NONE and not twisted


def _pick(plan: Plan, rng: Random, fits: Callable[[Visit], bool]) -> int | None:
    found = [at for at, visit in enumerate(plan.visits) if fits(visit)]
    return rng.choice(found) if found else None


def _with_first(visit: Visit, **changes: Any) -> Visit:
    return replace(visit, services=(replace(visit.services[0], **changes), *visit.services[1:]))


def _strew(plan: Plan, kind: Twist, count: int, rng: Random) -> None:
    for _each in range(count):
        at = _pick(plan, rng, lambda visit: _is_plain(plan, visit))
        if at is not None:
            plan.visits[at] = _with_first(plan.visits[at], twist=kind)


def _ensure_repeated(plan: Plan) -> None:
    """The latest ordinary service becomes a repeated one when the seed gave none."""
    if any(service.rounds > 1 for visit in plan.visits for service in visit.services):
        return
    for at in [at for at, visit in enumerate(plan.visits) if _is_plain(plan, visit)][-1:]:
        changes = {"method": ServiceMethod.REPEATED, "rounds": 2, "new_filter": False}
        plan.visits[at] = _with_first(plan.visits[at], **changes)


def _comeback(plan: Plan, rng: Random) -> None:
    """A reused washer weeps: the vehicle is back twelve days later, and only the level is checked."""
    last = plan.today - timedelta(days=20)
    at = _pick(plan, rng, lambda visit: _is_plain(plan, visit) and visit.on < last)
    if at is None:
        return
    before = _with_first(plan.visits[at], twist=Twist.WASHER_REUSED)
    plan.visits[at] = before
    on = before.on + timedelta(days=12)
    on += timedelta(days=7 - on.weekday() if on.weekday() > 4 else 0)
    check = PlannedService(unit=before.services[0].unit, method=ServiceMethod.LEVEL_CHECK)
    _drop_one(plan, before.vehicle, rng)
    plan.visits.append(
        Visit(
            vehicle=before.vehicle,
            on=on,
            slot=4,
            services=(check,),
            story=Story.COMEBACK,
            comes_back_from=before,
        )
    )


def _drop_one(plan: Plan, vehicle: int, rng: Random) -> None:
    """The comeback takes the place of another visit, so that the number of work orders stays."""
    often = {number for number in range(len(plan.vehicles)) if len(plan.visits_of(number)) > 1}
    at = _pick(plan, rng, lambda visit: visit.vehicle in often - {vehicle} and _is_ordinary(visit))
    if at is not None:
        del plan.visits[at]


def _tell_stories(plan: Plan, several: int, rng: Random) -> Collection[int]:
    """Give each story to a vehicle without one that was here before; gives the vehicles that have one now."""
    later = {
        (visit.vehicle, visit.on)
        for vehicle in range(len(plan.vehicles))
        for visit in plan.visits_of(vehicle)[1:]
    }
    counts = {
        Story.NEW_ODOMETER: 1,
        Story.LOWER_READING: 1,
        Story.CANCELLED: several - 1,
        Story.WORK_GREW: several,
        Story.WHEEL_OFF: several,
    }
    told = {0} | {visit.vehicle for visit in plan.visits if not _is_ordinary(visit)}
    for story in [story for story, count in counts.items() for _each in range(count)]:
        at = _pick(plan, rng, lambda v: (v.vehicle, v.on) in later and v.vehicle not in told)
        if at is not None:
            told.add(plan.visits[at].vehicle)
            plan.visits[at] = replace(plan.visits[at], story=story)
    return told


def _to_sell(plan: Plan) -> int | None:
    """Choose a person's vehicle with two visits or more; it changes hands half-way."""
    for number, vehicle in enumerate(plan.vehicles):
        is_persons = vehicle.customer < plan.size.persons
        if number and is_persons and number != plan.phoned_vehicle and len(plan.visits_of(number)) > 1:
            return number
    return None
