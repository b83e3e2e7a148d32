"""Cautions: each has its line, each job and step shows those it needs."""

import pytest

from shopdesk.domain.cautions import (
    DEFERRAL,
    Caution,
    caution_text,
    cautions_for,
    cautions_for_step,
    deferral,
)
from shopdesk.domain.methods import LevelMethod, ServiceMethod, UnitKind
from shopdesk.domain.order import Step


def job(
    kind: UnitKind,
    *,
    level: LevelMethod = LevelMethod.OVERFLOW_TUBE,
    service: ServiceMethod = ServiceMethod.SINGLE,
    wheel_off: bool = False,
) -> tuple[Caution, ...]:
    return cautions_for(kind, level_method=level, service_method=service, wheel_off=wheel_off)


def test_that_every_caution_has_one_line_of_its_own() -> None:
    texts = [caution_text(caution) for caution in Caution]
    assert len(set(texts)) == len(Caution) == 14
    assert all(text and "\n" not in text for text in texts)


def test_that_the_selectors_caution_names_under_brake_and_wheel() -> None:
    text = caution_text(Caution.SELECTOR)
    assert "Nobody under the vehicle while the selector is cycled" in text
    assert "Foot on the brake" in text
    assert "No gear with a wheel off or hanging" in text


def test_that_the_deferral_is_the_agreed_sentence() -> None:
    assert deferral() == DEFERRAL
    assert DEFERRAL == (
        "These reminders do not replace the vehicle maker's service information, the product's safety data "
        "sheet, or the rules where you work. If they differ, follow those."
    )


def test_that_an_automatic_job_shows_all_but_high_voltage_each_once() -> None:
    cautions = job(UnitKind.AUTOMATIC)
    assert set(cautions) == set(Caution) - {Caution.HIGH_VOLTAGE}
    assert len(cautions) == len(set(cautions))


@pytest.mark.parametrize("kind", [UnitKind.HYBRID_TRANSAXLE, UnitKind.REDUCTION_GEAR])
def test_that_high_voltage_comes_first_where_there_is_any(kind: UnitKind) -> None:
    assert job(kind)[0] is Caution.HIGH_VOLTAGE
    for step in Step:
        shown = cautions_for_step(step, kind=kind, level_method=LevelMethod.FILL_HOLE)
        assert shown[0] is Caution.HIGH_VOLTAGE


def test_that_a_wheel_off_brings_the_selectors_caution_to_every_job() -> None:
    assert Caution.SELECTOR not in job(UnitKind.REAR_DIFFERENTIAL)
    assert Caution.SELECTOR in job(UnitKind.REAR_DIFFERENTIAL, wheel_off=True)


def test_that_a_level_check_does_not_speak_of_draining_but_of_hot_fluid() -> None:
    cautions = job(UnitKind.CVT, service=ServiceMethod.LEVEL_CHECK)
    assert Caution.BEFORE_DRAINING not in cautions
    assert Caution.DRAIN in cautions


def test_that_the_inner_tube_is_spoken_of_only_where_there_is_one() -> None:
    assert Caution.INNER_TUBE in job(UnitKind.CVT)
    assert Caution.INNER_TUBE not in job(UnitKind.CVT, level=LevelMethod.DIPSTICK)


@pytest.mark.parametrize("kind", UnitKind)
@pytest.mark.parametrize("level", LevelMethod)
def test_that_every_step_shows_something_and_nothing_its_job_leaves_out(
    kind: UnitKind, level: LevelMethod
) -> None:
    whole = set(job(kind, level=level, wheel_off=True))
    shown = [set(cautions_for_step(step, kind=kind, level_method=level)) for step in Step]
    assert all(shown)
    assert set().union(*shown) == whole
