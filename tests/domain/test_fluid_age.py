"""Average fluid age through a unit's history, known and unknown."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.fluid_age import Beginning, Serviced, age_now
from shopdesk.domain.renewal import FreshShare, settled_age


def share(likely: float, low: float | None = None, high: float | None = None) -> FreshShare:
    return FreshShare(
        share=likely,
        low=likely if low is None else low,
        high=likely if high is None else high,
        assumption="mixing",
    )


UNSAID = FreshShare(share=None, low=None, high=None, assumption="", reason="Cannot be said: not measured.")


def test_that_fluid_of_a_new_unit_is_as_old_as_what_was_run() -> None:
    age = age_now(Beginning(), (), 35_000)
    assert (age.average, age.at_least, age.at_most) == (35_000, 35_000, 35_000)


def test_that_each_service_takes_its_share_off() -> None:
    age = age_now(
        Beginning(), (Serviced(run=30_000, share=share(0.5)), Serviced(run=30_000, share=share(0.5))), 0
    )
    assert age.average == 22_500  # (30,000·½ + 30,000)·½


def test_that_the_bounds_are_carried_with_the_low_and_the_high_share() -> None:
    # Computed: 35,000 mi and a share of 0.463 to 0.534: at most 18,795 mi; the high share would say 16,310.
    age = age_now(Beginning(), (Serviced(run=35_000, share=share(0.499, 0.463, 0.534)),), 0)
    assert (age.average, age.at_least, age.at_most) == (17_535, 16_310, 18_795)


def test_that_an_unknown_history_stays_unknown_and_is_bounded_by_the_vehicles_own() -> None:
    age = age_now(Beginning(age=None, at_most=80_000), (Serviced(run=0, share=share(0.5)),), 1_000)
    assert (age.average, age.at_least, age.at_most) == (None, 1_000, 41_000)
    assert "not known" in age.reason


def test_that_a_used_unit_is_bounded_by_nothing() -> None:
    age = age_now(Beginning(age=None), (Serviced(run=10_000, share=share(0.5)),), 5_000)
    assert (age.average, age.at_least, age.at_most) == (None, 5_000, None)


def test_that_a_service_that_was_not_measured_takes_nothing_off_the_most() -> None:
    age = age_now(Beginning(), (Serviced(run=30_000, share=UNSAID),), 2_000)
    assert (age.average, age.at_least, age.at_most) == (None, 2_000, 32_000)
    assert age.reason == UNSAID.reason


def test_that_a_run_backward_is_a_bug() -> None:
    with pytest.raises(ValueError, match="backward"):
        age_now(Beginning(), (), -1)


@given(
    st.lists(st.tuples(st.integers(0, 60_000), st.floats(0.05, 0.95), st.floats(0, 0.05)), max_size=8),
    st.integers(0, 60_000),
)
def test_that_the_average_lies_between_its_bounds(steps: list[tuple[int, float, float]], since: int) -> None:
    services = [Serviced(run=run, share=share(f, f - wide, min(1.0, f + wide))) for run, f, wide in steps]
    age = age_now(Beginning(), services, since)
    assert age.average is not None
    assert age.at_least is not None
    assert age.at_most is not None
    assert age.at_least - len(steps) <= age.average <= age.at_most + len(steps)
    assert age.at_most <= sum(run for run, *_rest in steps) + since + len(steps)


@pytest.mark.parametrize(("interval", "part"), [(30_000, 0.43), (60_000, 0.6)])
def test_that_many_equal_services_come_near_the_settled_age(interval: int, part: float) -> None:
    # Against a simulation of its own: the age just before each service tends to L/f.
    age = age_now(Beginning(), [Serviced(run=interval, share=share(part))] * 40, interval)
    simulated = 0.0
    for _service in range(40):
        simulated = (simulated + interval) * (1 - part)
    assert age.average == pytest.approx(simulated + interval, rel=1e-3)
    assert age.average == pytest.approx(settled_age(interval, part), rel=1e-3)
