"""When old fluid calls for a stop, and what lifts it."""

import pytest

from shopdesk.domain.record import Entry, Facts
from shopdesk.domain.stop_rule import Needed, StopState, stop_rule


def facts(**values: int | str) -> Facts:
    return Facts(
        Entry(
            id=at,
            field=field,
            value_int=value if isinstance(value, int) else None,
            value_text=value if isinstance(value, str) else None,
        )
        for at, (field, value) in enumerate(values.items(), 1)
    )


def test_that_ordinary_fluid_stops_nothing() -> None:
    assert stop_rule(facts(appearance=2, odour=2, particles=2, milky=0)).state is StopState.CLEAR
    assert stop_rule(facts()).state is StopState.CLEAR


@pytest.mark.parametrize(
    "found",
    [{"appearance": 3}, {"appearance": 4}, {"odour": 3}, {"particles": 3}, {"particles": 4}, {"milky": 1}],
)
def test_that_grade_three_burnt_metal_or_milky_stops(found: dict[str, int]) -> None:
    stop = stop_rule(facts(**found))
    assert stop.state is StopState.STOPPED
    assert stop.holds
    assert len(stop.reasons) == 1
    assert stop.needed == (Needed.PICTURE, Needed.CALL, Needed.DECISION)
    assert stop.sentence.startswith("Stop")


def test_that_going_on_takes_picture_call_and_consent_in_writing() -> None:
    told = {"odour": 3, "picture_taken": 1, "customer_called": 1}
    undecided = stop_rule(facts(**told))
    assert undecided.needed == (Needed.DECISION,)
    said_only = stop_rule(facts(**told, stop_decision="go on anyway"))
    assert said_only.needed == (Needed.CONSENT,)
    assert said_only.holds
    written = stop_rule(
        facts(**told, stop_decision="go on anyway", stop_consent="signed on the estimate, rev. 2")
    )
    assert written.state is StopState.GONE_ON
    assert not written.holds
    assert written.needed == ()


def test_that_no_service_ends_it() -> None:
    stop = stop_rule(facts(particles=4, stop_decision="no service"))
    assert stop.state is StopState.NO_SERVICE
    assert stop.holds


def test_that_milky_is_named_once() -> None:
    assert len(stop_rule(facts(appearance=4, milky=1)).reasons) == 1
    assert len(stop_rule(facts(appearance=3, milky=1)).reasons) == 2
