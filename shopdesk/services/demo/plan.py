"""What happens in the demo shop, planned from a seed before any of it is carried out."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from enum import StrEnum
from random import Random
from typing import Any

from shopdesk.domain.methods import ServiceMethod
from shopdesk.services.customers import CustomerKind
from shopdesk.services.demo import cast, garage
from shopdesk.services.demo.garage import MODELS, Model
from shopdesk.services.demo.sheets import SHEETS, DemoSheet

MAIN_CUSTOMER = "Imke Sandrock"
MAIN_PHONE = "555-0101"
MAIN_PLATE = "QF 2204"
"""Whom and which vehicle the demo's main job is for; it has no open work."""

#: Only small units are drained and filled three times; the shelf is stocked for that.
_SMALL_FILL_ML = 3500


class Twist(StrEnum):
    """What is out of the ordinary about one service."""

    NONE = "none"
    NO_FLOW_FIRST = "no flow at the first opening, topped up and repeated"
    OVERFLOW_MISSING = "what ran out was not measured"
    WASHER_REUSED = "a washer was reused"
    CLOSED_TOO_HOT = "closed above the window"


class Story(StrEnum):
    """What is out of the ordinary about one visit."""

    NONE = "none"
    COMEBACK = "comeback"
    NEW_ODOMETER = "odometer replaced"
    LOWER_READING = "reads lower than before"
    CANCELLED = "cancelled after the quote"
    WORK_GREW = "more work agreed to by phone"
    WHEEL_OFF = "a wheel came off for access"


@dataclass(frozen=True, kw_only=True, slots=True)
class Size:
    """How large a demo is: how much of everything, and over how many days."""

    persons: int
    companies: int
    fleets: int
    fleet_vehicles: int
    vehicles: int
    orders: int
    open_work: int
    days: int = 730
    lapsed: int = 4


FULL = Size(persons=51, companies=6, fleets=3, fleet_vehicles=6, vehicles=80, orders=250, open_work=12)
SMALL = Size(persons=4, companies=0, fleets=1, fleet_vehicles=2, vehicles=6, orders=14, open_work=5, lapsed=1)
"""Enough for a test of a page: a few of everything, made in about a second."""


@dataclass(frozen=True, kw_only=True, slots=True)
class PlannedCustomer:
    """A customer's fields as typed, and for a fleet how its order numbers begin and who drives."""

    fields: Mapping[str, Any]
    po_prefix: str = ""
    drivers: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class PlannedVehicle:
    """A vehicle, whose it is, and how far it runs; distances in whole units of its dial."""

    model: Model
    fields: Mapping[str, Any]
    customer: int
    starts_at: int
    a_day: float
    severe: str

    @property
    def sheets(self) -> tuple[DemoSheet, ...]:
        """The sheets of its units, in power order."""
        return tuple(SHEETS[unit.sheet] for unit in self.model.units)


@dataclass(frozen=True, kw_only=True, slots=True)
class PlannedService:
    """One unit's service: which of the vehicle's units, and how it goes."""

    unit: int
    method: ServiceMethod
    rounds: int = 1
    new_filter: bool = False
    twist: Twist = Twist.NONE


@dataclass(frozen=True, kw_only=True, slots=True)
class Visit:
    """One visit: day and slot of the day, what is done, and what was odd about it."""

    vehicle: int
    on: date
    services: tuple[PlannedService, ...]
    slot: int = 0
    story: Story = Story.NONE
    comes_back_from: "Visit | None" = None


@dataclass(kw_only=True)
class Plan:
    """Everybody, every vehicle and every visit of the demo, in the order of time."""

    today: date
    size: Size
    customers: list[PlannedCustomer] = field(default_factory=list)
    vehicles: list[PlannedVehicle] = field(default_factory=list)
    visits: list[Visit] = field(default_factory=list)
    sold_vehicle: int | None = None
    phoned_vehicle: int | None = None

    @property
    def begins(self) -> date:
        """The shop's first day."""
        return self.today - timedelta(days=self.size.days)

    def visits_of(self, vehicle: int) -> list[Visit]:
        """A vehicle's visits, oldest first."""
        return [visit for visit in self.visits if visit.vehicle == vehicle]


def make_plan(today: date, size: Size, rng: Random) -> Plan:
    """Plan a demo that ends the evening before ``today``; the open work of today comes on top."""
    plan = Plan(today=today, size=size)
    plan.customers = _customers(size, rng)
    plan.vehicles = _vehicles(plan, rng)
    _plan_visits(plan, rng)
    return plan


def _customers(size: Size, rng: Random) -> list[PlannedCustomer]:
    first, last = list(cast.FIRST_NAMES), list(cast.LAST_NAMES)
    rng.shuffle(first)
    rng.shuffle(last)
    names = [MAIN_CUSTOMER, *(f"{a} {b}" for a, b in zip(first, last, strict=True))][: size.persons]
    found = [
        PlannedCustomer(fields=_fields(name, CustomerKind.PERSON, at, rng)) for at, name in enumerate(names)
    ]
    for name in cast.COMPANIES[: size.companies]:
        found.append(PlannedCustomer(fields=_fields(name, CustomerKind.COMPANY, len(found), rng)))
    for name, drivers, prefix in cast.FLEETS[: size.fleets]:
        fields = _fields(name, CustomerKind.FLEET, len(found), rng)
        found.append(PlannedCustomer(fields=fields, po_prefix=prefix, drivers=drivers))
    for at, warning in enumerate(cast.CUSTOMER_WARNINGS, start=1):
        found[at] = replace(found[at], fields={**found[at].fields, "warning": warning})
    return found


def _fields(name: str, kind: CustomerKind, number: int, rng: Random) -> dict[str, Any]:
    mail = f"{''.join(c for c in name.casefold() if c.isascii() and c.isalpha())}@mail.example"
    street = f"{rng.randint(1, 98)} {rng.choice(cast.STREETS)}\n{rng.choice(cast.TOWNS)}, Larkmoor"
    return {
        "name": name,
        "kind": kind,
        "phones": (f"555-01{number + 1:02d}",),
        "emails": (mail,) if rng.random() < 0.6 else (),
        "address": street if rng.random() < 0.8 else "",
    }


def _vehicles(plan: Plan, rng: Random) -> list[PlannedVehicle]:
    owners = _owners(plan)
    models = _models(len(owners) - 1, rng)
    found = []
    for number, (owner, model) in enumerate(zip(owners, [MODELS[0], *models], strict=True)):
        fleet = bool(plan.customers[owner].po_prefix)
        year = plan.begins.year - rng.randint(1, 4 if fleet else 12)
        values = {**garage.particulars(model, number, year, rng)}
        if number == 0:
            values["plate"] = MAIN_PLATE
        if 0 < number <= len(cast.VEHICLE_WARNINGS):
            values["warning"] = cast.VEHICLE_WARNINGS[number - 1]
        a_day = rng.uniform(42, 50) if fleet else rng.uniform(22, 46)
        found.append(
            PlannedVehicle(
                model=model,
                fields=values,
                customer=owner,
                starts_at=round((plan.begins.year - year + rng.random()) * a_day * 330)
                + rng.randint(900, 6000),
                a_day=a_day,
                severe=_severe(fleet, rng),
            )
        )
    return found


def _severe(fleet: bool, rng: Random) -> str:
    if fleet:
        return rng.choice(("for_hire", "stop_and_go", "loads"))
    return rng.choice(("short_trips", "loads", "rough_roads")) if rng.random() < 0.3 else ""


def _owners(plan: Plan) -> list[int]:
    size = plan.size
    single = range(size.persons + size.companies)
    fleets = range(size.persons + size.companies, len(plan.customers))
    owners = [*single, *(fleet for fleet in fleets for _each in range(size.fleet_vehicles))]
    seconds = range(1, 1 + size.vehicles - len(owners))
    return [*owners, *seconds]


def _models(count: int, rng: Random) -> list[Model]:
    """Give so many models in their proportions (largest remainder), in an order of the seed."""
    whole = [(model, model.of_a_hundred * count / 100) for model in MODELS]
    found = [model for model, share in whole for _each in range(int(share))]
    by_rest = sorted(whole, key=lambda pair: int(pair[1]) - pair[1])
    found += [model for model, _share in by_rest][: count - len(found)]
    rng.shuffle(found)
    return found


def _plan_visits(plan: Plan, rng: Random) -> None:
    wanted = plan.size.orders - plan.size.open_work
    lapsed = _lapsed(plan)
    counts = _visit_counts(plan, wanted, lapsed)
    days: dict[date, int] = {}
    for vehicle, count in enumerate(counts):
        window = (0, 135) if vehicle in lapsed else (2, plan.size.days - 4)
        served: dict[int, date] = {}
        for at in range(count):
            begin, end = window
            offset = begin + int((at + rng.uniform(0.08, 0.97)) / count * (end - begin))
            on = _working_day(plan.begins + timedelta(days=offset), days)
            plan.visits.append(
                Visit(
                    vehicle=vehicle,
                    on=on,
                    slot=days[on] - 1,
                    services=_services(plan.vehicles[vehicle], served, on, rng),
                )
            )
    plan.visits.sort(key=lambda visit: (visit.on, visit.slot))


def _lapsed(plan: Plan) -> frozenset[int]:
    """Vehicles in severe use that have not been seen for long: what they had done is overdue or soon due."""
    severe = [at for at, vehicle in enumerate(plan.vehicles) if vehicle.severe and at]
    others = [at for at, _vehicle in enumerate(plan.vehicles) if at and at not in severe]
    return frozenset((severe + others)[: plan.size.lapsed])


def _visit_counts(plan: Plan, wanted: int, lapsed: frozenset[int]) -> list[int]:
    def weight(at: int) -> float:
        if at in lapsed:
            return 0.0
        return 2.0 if plan.customers[plan.vehicles[at].customer].po_prefix else 1.0

    weights = [weight(at) for at in range(len(plan.vehicles))]
    free = wanted - len(weights)
    counts = [1 + int(free * each / sum(weights)) for each in weights]
    for at in sorted(range(len(weights)), key=lambda at: (-weights[at], at))[: wanted - sum(counts)]:
        counts[at] += 1
    return counts


def _working_day(on: date, days: dict[date, int]) -> date:
    """Give this day or the next working one that has room for another visit."""
    while on.weekday() > 4 or days.get(on, 0) >= 4:
        on += timedelta(days=1)
    days[on] = days.get(on, 0) + 1
    return on


def _services(
    vehicle: PlannedVehicle, served: dict[int, date], on: date, rng: Random
) -> tuple[PlannedService, ...]:
    """The unit that waited longest, often with a second one; a level check where it was done lately."""
    waiting = sorted(range(len(vehicle.sheets)), key=lambda unit: (served.get(unit, date.min), unit))
    chosen = sorted(waiting[: 1 if len(waiting) == 1 else rng.choice((1, 1, 1, 2, 2))])
    services = []
    for unit in chosen:
        lately = unit in served and (on - served[unit]).days < 75
        services.append(_service(vehicle.sheets[unit], unit, lately, rng))
        served[unit] = on
    return tuple(services)


def _service(sheet: DemoSheet, unit: int, lately: bool, rng: Random) -> PlannedService:
    if not sheet.runs_out:
        return PlannedService(unit=unit, method=ServiceMethod.SINGLE)
    if lately:
        return PlannedService(unit=unit, method=ServiceMethod.LEVEL_CHECK)
    if sheet.filter_kit:
        return PlannedService(unit=unit, method=ServiceMethod.SINGLE, new_filter=rng.random() < 0.25)
    if rng.random() < 0.12:
        rounds = rng.choice((2, 2, 3)) if sheet.fill_ml < _SMALL_FILL_ML else 2
        return PlannedService(unit=unit, method=ServiceMethod.REPEATED, rounds=rounds)
    return PlannedService(unit=unit, method=ServiceMethod.SINGLE)
