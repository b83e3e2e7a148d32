"""What the demo shop asks for a visit: labour, fluid, washers, filters, and the used oil."""

from collections import Counter
from collections.abc import Iterator, Sequence

from shopdesk.domain.methods import ServiceMethod
from shopdesk.domain.pricing import LineKind
from shopdesk.services.demo.plan import PlannedService, PlannedVehicle, Story, Twist, Visit
from shopdesk.services.demo.sheets import DemoSheet
from shopdesk.services.lines import LineTyped

LABOUR_PRICE = "124.00"
_ML_A_QUART = 946.353
#: What is put in beyond the refill: what runs out at the level, and what is spilled.
_BEYOND_REFILL_ML = 450


def lines_for(vehicle: PlannedVehicle, visit: Visit, units: Sequence[int]) -> tuple[LineTyped, ...]:
    """Give a visit's lines; a comeback costs nothing."""
    if visit.story is Story.COMEBACK:
        text = "Looked at again: weep at the drain plug, level checked. No charge."
        return (LineTyped(kind=LineKind.LABOUR, text=text, quantity="0.5", unit_price="0.00"),)
    found: list[LineTyped] = []
    for planned in visit.services:
        found += _service_lines(vehicle.sheets[planned.unit], planned, units[planned.unit])
    found += _washer_lines(vehicle, visit.services)
    if any(planned.method is not ServiceMethod.LEVEL_CHECK for planned in visit.services):
        found.append(LineTyped(kind=LineKind.FEE, text="Used oil and filter handling", unit_price="6.00"))
    return tuple(found)


def grown_line() -> LineTyped:
    """What came on top by telephone where more was found."""
    text = "Breather hose of the unit renewed: it was split"
    return LineTyped(kind=LineKind.LABOUR, text=text, quantity="0.4", unit_price=LABOUR_PRICE)


def _service_lines(sheet: DemoSheet, planned: PlannedService, unit_id: int) -> Iterator[LineTyped]:
    if planned.method is ServiceMethod.LEVEL_CHECK:
        text = "Fluid level checked at temperature"
        yield LineTyped(
            kind=LineKind.LABOUR, text=text, quantity="0.6", unit_price=LABOUR_PRICE, unit_id=unit_id
        )
        return
    hours = float(sheet.hours) * (1 + 0.45 * (planned.rounds - 1)) + (0.6 if planned.new_filter else 0)
    yield LineTyped(
        kind=LineKind.LABOUR,
        text=_work_words(sheet, planned),
        quantity=f"{hours:.1f}",
        unit_price=LABOUR_PRICE,
        unit_id=unit_id,
    )
    beyond = _BEYOND_REFILL_ML if sheet.runs_out else 40
    quarts = -(-(sheet.fill_ml * planned.rounds + beyond) // _ML_A_QUART)
    quantity = f"{quarts:.0f}"
    yield LineTyped(kind=LineKind.FLUID, item=sheet.fluid, quantity=quantity, unit_id=unit_id)
    if planned.new_filter:
        yield LineTyped(kind=LineKind.PART, item=sheet.filter_kit, quantity="1", unit_id=unit_id)


def _work_words(sheet: DemoSheet, planned: PlannedService) -> str:
    if planned.rounds > 1:
        return f"{sheet.work}, drained and filled {planned.rounds} times"
    if planned.new_filter:
        return f"{sheet.work} with filter"
    return f"{sheet.work}, level set at temperature" if sheet.runs_out else sheet.work


def _washer_lines(vehicle: PlannedVehicle, services: Sequence[PlannedService]) -> Iterator[LineTyped]:
    needed: Counter[str] = Counter()
    for planned in services:
        washers = dict(vehicle.sheets[planned.unit].washers)
        if planned.method is ServiceMethod.LEVEL_CHECK:
            washers = {plug: item for plug, item in washers.items() if plug == "level plug"}
        if planned.twist is Twist.WASHER_REUSED:
            del washers["drain plug"]
        needed.update(washers.values())
    for item, count in needed.items():
        yield LineTyped(kind=LineKind.PART, item=item, quantity=str(count))
