"""What was done otherwise than the sheet says: told with its reason, and no fault by itself."""

from collections.abc import Iterator
from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.domain.proof import ConditionState
from shopdesk.domain.record import Facts, Outcome, PlugClosed
from shopdesk.domain.sheet import Plug, SheetBody


@dataclass(frozen=True, kw_only=True, slots=True)
class Deviation:
    """One thing done otherwise; ``reason`` is empty when none was given."""

    key: str
    what: str
    reason: str = ""


def deviations(facts: Facts, outcome: Outcome, sheet: SheetBody) -> tuple[Deviation, ...]:
    """Give everything done otherwise, in the order of the work."""
    found = [
        *_order(outcome),
        *_conditions(facts, outcome),
        *(each for plug in outcome.plugs for each in _plug(facts, plug, sheet)),
        *_said(facts),
    ]
    return tuple(found)


def _order(outcome: Outcome) -> Iterator[Deviation]:
    for each in outcome.order:
        yield Deviation(key=f"order:{each.before}:{each.after}", what=each.sentence)


#: Which entry's reason explains which condition.
REASON_FIELD = {
    "attitude": "vehicle_level",
    "engine": "engine",
    "selector": "selector_cycled",
    "window_open": "open_temperature",
    "window_close": "close_temperature",
    "flow_open": "flow_at_opening",
    "flow_close": "flow_at_closing",
    "stance": "stance",
    "window_reading": "reading_temperature",
    "edge": "edge_distance",
    "marks": "between_marks",
    "drained": "drained",
    "quantity": "put_in",
}


def _conditions(facts: Facts, outcome: Outcome) -> Iterator[Deviation]:
    for condition in outcome.proof.conditions:
        if condition.state is ConditionState.NOT_MET:
            field = REASON_FIELD.get(condition.key, "")
            yield Deviation(
                key=f"condition:{condition.key}",
                what=_("Not as the sheet asks: {condition}").format(condition=condition.text),
                reason=_last_reason(facts, field),
            )


def _last_reason(facts: Facts, field: str) -> str:
    entries = facts.all(field) if field else ()
    return entries[-1].reason if entries else ""


def _plug(facts: Facts, plug: PlugClosed, sheet: SheetBody) -> Iterator[Deviation]:
    name = plug.plug.value.replace(" ", "_")
    if plug.washer == "reused":
        yield Deviation(
            key=f"washer:{plug.plug}",
            what=_("{plug}: washer reused").format(plug=_(plug.plug)),
            reason=_last_reason(facts, f"{name}_washer"),
        )
    if torque_is_off(plug, sheet):
        yield Deviation(
            key=f"torque:{plug.plug}",
            what=_("{plug}: torque differs from the sheet").format(plug=_(plug.plug)),
            reason=_last_reason(facts, f"{name}_torque"),
        )


#: Taken where the sheet gives no tolerance: 10 % either side (common practice, no source).
USUAL_TOLERANCE = 10


def torque_is_off(plug: PlugClosed, sheet: SheetBody) -> bool:
    """Say whether a recorded torque lies outside the sheet's value and tolerance, bounds included."""
    wanted = sheet.torque_of(Plug(plug.plug))
    if wanted is None or plug.torque_mnm is None:
        return False
    tolerance = wanted.tolerance_mnm
    if tolerance is None:
        tolerance = -(-wanted.torque_mnm * USUAL_TOLERANCE // 100)  # up: exactly 10 % off is inside
    return abs(plug.torque_mnm - wanted.torque_mnm) > tolerance


def _said(facts: Facts) -> Iterator[Deviation]:
    for entry in facts.all("deviation"):
        yield Deviation(key=f"said:{entry.id}", what=entry.value_text or "", reason=entry.reason)
