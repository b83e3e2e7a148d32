"""The order of work: what contradicts it and what does not."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

import pytest

from shopdesk.domain.methods import LevelMethod, ServiceMethod, UnitKind
from shopdesk.domain.order import Precedence, Step, out_of_order, sheet_order, usual_order

START = datetime(2026, 11, 2, 15, 0, tzinfo=UTC)
TUBE = usual_order(LevelMethod.OVERFLOW_TUBE, UnitKind.AUTOMATIC, True)
GEARBOX = usual_order(LevelMethod.FILL_HOLE, UnitKind.MANUAL, True)
USUAL = (
    Step.FILL_PLUG_LOOSENED,
    Step.DRAINED,
    Step.DRAIN_PLUG_TORQUED,
    Step.FILLED,
    Step.FILL_PLUG_TORQUED,
    Step.ENGINE_STARTED,
    Step.SELECTOR_CYCLED,
    Step.LEVEL_SET,
    Step.LEVEL_PLUG_TORQUED,
    Step.LEAK_CHECKED,
    Step.WHEEL_TORQUED,
)


def timed(*steps: Step) -> dict[Step, list[datetime]]:
    """Each step a minute after the one before it; a step may come again."""
    done: dict[Step, list[datetime]] = {}
    for minute, step in enumerate(steps):
        done.setdefault(step, []).append(START + timedelta(minutes=minute))
    return done


def wrong(steps: Sequence[Step], rules: Sequence[Precedence] = TUBE) -> list[tuple[Step, Step]]:
    return [(each.before, each.after) for each in out_of_order(timed(*steps), rules)]


def test_that_the_usual_order_with_the_fill_plug_torqued_before_the_engine_starts_is_in_order() -> None:
    assert wrong(USUAL) == []


def test_that_the_fill_plug_may_also_be_torqued_at_the_end() -> None:
    steps = [step for step in USUAL if step is not Step.FILL_PLUG_TORQUED]
    steps.insert(steps.index(Step.LEAK_CHECKED), Step.FILL_PLUG_TORQUED)
    assert wrong(steps) == []


@pytest.mark.parametrize(
    ("first", "second"),
    [
        (Step.DRAINED, Step.FILL_PLUG_LOOSENED),
        (Step.FILLED, Step.DRAINED),
        (Step.ENGINE_STARTED, Step.FILLED),
        (Step.ENGINE_STARTED, Step.FILL_PLUG_LOOSENED),
        (Step.SELECTOR_CYCLED, Step.ENGINE_STARTED),
        (Step.LEVEL_SET, Step.SELECTOR_CYCLED),
        (Step.LEVEL_SET, Step.FILLED),
        (Step.LEVEL_PLUG_TORQUED, Step.LEVEL_SET),
        (Step.LEAK_CHECKED, Step.LEVEL_PLUG_TORQUED),
        (Step.FILL_PLUG_TORQUED, Step.FILLED),
    ],
)
def test_that_two_steps_the_wrong_way_round_are_named(first: Step, second: Step) -> None:
    deviations = out_of_order(timed(first, second), TUBE)
    assert [(each.before, each.after) for each in deviations] == [(second, first)]
    assert second.value in deviations[0].sentence
    assert deviations[0].before_at > deviations[0].after_at


def test_that_a_step_without_a_time_contradicts_nothing() -> None:
    assert out_of_order({}, TUBE) == ()
    assert out_of_order({Step.DRAINED: None, Step.FILLED: [], Step.LEVEL_SET: [START]}, TUBE) == ()
    for missing in USUAL:
        assert wrong([step for step in USUAL if step is not missing]) == []


def test_that_steps_of_the_same_minute_are_in_order() -> None:
    assert out_of_order({step: [START] for step in USUAL}, TUBE) == ()


def test_that_repeats_are_in_order() -> None:
    again = (*USUAL[:8], Step.FILLED, *USUAL[7:])
    assert wrong(again) == []
    two_rounds = (*USUAL[:7], *USUAL[1:])
    assert wrong(two_rounds) == []


def test_that_a_check_as_found_before_draining_is_in_order() -> None:
    as_found = (Step.ENGINE_STARTED, Step.SELECTOR_CYCLED, Step.LEVEL_SET)
    assert wrong((*as_found, *USUAL)) == []


def test_that_filling_after_the_last_level_is_out_of_order() -> None:
    assert (Step.FILLED, Step.LEVEL_SET) in wrong((*USUAL, Step.FILLED))


def test_that_draining_after_the_last_filling_is_out_of_order() -> None:
    assert (Step.DRAINED, Step.FILLED) in wrong((*USUAL[:4], Step.DRAINED))


def test_that_driving_out_after_the_job_is_in_order() -> None:
    assert wrong((*USUAL, Step.ENGINE_STARTED)) == []


def test_that_a_level_check_may_be_topped_up_with_the_engine_running() -> None:
    rules = usual_order(
        LevelMethod.OVERFLOW_TUBE, UnitKind.CVT, True, service_method=ServiceMethod.LEVEL_CHECK
    )
    steps = (Step.ENGINE_STARTED, Step.SELECTOR_CYCLED, Step.FILL_PLUG_LOOSENED, Step.FILLED, Step.LEVEL_SET)
    assert wrong(steps, rules) == []
    assert wrong(steps) != []
    assert wrong((Step.LEVEL_SET, Step.FILLED), rules) == [(Step.FILLED, Step.LEVEL_SET)]


def test_that_engine_and_selector_have_no_place_where_the_level_does_not_need_them() -> None:
    assert wrong((Step.ENGINE_STARTED, Step.DRAINED, Step.FILLED, Step.LEVEL_SET), GEARBOX) == []
    named = {step for rule in GEARBOX for step in (rule.before, rule.after)}
    assert not named & {Step.ENGINE_STARTED, Step.SELECTOR_CYCLED}


def test_that_the_fill_plug_is_the_level_plug_of_a_fill_hole() -> None:
    steps = (Step.FILLED, Step.FILL_PLUG_TORQUED, Step.LEVEL_SET)
    assert wrong(steps, GEARBOX) == [(Step.LEVEL_SET, Step.FILL_PLUG_TORQUED)]


def test_that_a_drain_plug_is_torqued_before_filling_unless_it_holds_the_tube() -> None:
    steps = (Step.DRAINED, Step.FILLED, Step.DRAIN_PLUG_TORQUED)
    assert wrong(steps, GEARBOX) == [(Step.DRAIN_PLUG_TORQUED, Step.FILLED)]
    assert wrong(steps) == []


def test_that_a_unit_without_plugs_has_no_rules_about_them() -> None:
    rules = usual_order(LevelMethod.OVERFLOW_TUBE, UnitKind.AUTOMATIC, False, has_fill_plug=False)
    named = {step for rule in rules for step in (rule.before, rule.after)}
    assert not named & {Step.FILL_PLUG_LOOSENED, Step.FILL_PLUG_TORQUED, Step.DRAIN_PLUG_TORQUED}
    assert Step.DRAINED in named


def test_that_a_sheets_own_list_is_a_lenient_order() -> None:
    rules = sheet_order((Step.DRAINED, Step.FILLED, Step.LEVEL_SET))
    assert wrong((Step.FILLED, Step.DRAINED), rules) == [(Step.DRAINED, Step.FILLED)]
    assert wrong((Step.DRAINED, Step.FILLED, Step.DRAINED, Step.LEVEL_SET, Step.FILLED), rules) == []


def test_that_a_time_without_a_zone_is_a_mistake() -> None:
    with pytest.raises(ValueError, match="zone"):
        out_of_order({Step.DRAINED: [START.replace(tzinfo=None)], Step.FILLED: [START]}, TUBE)
