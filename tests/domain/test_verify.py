"""A second technician's verdict: planted errors are found by their named rules, clean records raise none."""

from dataclasses import replace
from datetime import timedelta

import pytest

from shopdesk.domain.methods import LevelMethod, ServiceMethod
from shopdesk.domain.order import Step
from shopdesk.domain.proof import ProofVerdict
from shopdesk.domain.record import Facts
from shopdesk.domain.stop_rule import StopState, stop_rule
from shopdesk.domain.verify import Evidence, Rule, Stated, Verdict, Weight, verify
from tests.domain.planted_errors import (
    PLANTED,
    Planted,
    added,
    changed,
    entry_of,
    step_at,
    without,
)
from tests.domain.records_by_seed import clean


@pytest.mark.parametrize("seed", range(30))
def test_that_a_clean_record_raises_no_alarm(seed: int) -> None:
    found = verify(clean(seed))
    assert found.findings == ()
    assert found.verdict is Verdict.CONSISTENT
    assert found.outcome.proof.verdict is ProofVerdict.PROVEN


def test_that_three_hundred_more_clean_records_raise_none_either() -> None:
    alarmed = [seed for seed in range(30, 330) if verify(clean(seed)).findings]
    assert alarmed == []


@pytest.mark.parametrize("planted", PLANTED, ids=[each.name for each in PLANTED])
def test_that_a_planted_error_is_found_by_its_named_rule(planted: Planted) -> None:
    for seed in (5, 41, 78):
        base = clean(seed, planted.method)
        assert not verify(base).finds(planted.rule)
        found = verify(planted.plant(base))
        assert found.finds(planted.rule)
        weights = {each.weight for each in found.findings if each.rule is planted.rule}
        assert weights == {planted.weight}
        if planted.weight is Weight.CONTRADICTS:
            assert found.verdict is Verdict.CONTRADICTORY
        else:
            assert found.verdict is Verdict.INCOMPLETE


def test_that_at_least_thirty_errors_are_planted_and_every_rule_has_one() -> None:
    assert len(PLANTED) >= 30
    assert len({each.name for each in PLANTED}) == len(PLANTED)
    assert {each.rule for each in PLANTED} == set(Rule)


def test_that_every_finding_has_its_sentence() -> None:
    for planted in PLANTED:
        for finding in verify(planted.plant(clean(11, planted.method))).findings:
            assert finding.sentence.endswith((".", "?"))
            assert "{" not in finding.sentence


def tube(seed: int = 5) -> Evidence:
    return clean(seed, LevelMethod.OVERFLOW_TUBE)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("close_temperature", 46_000),
        ("drain_plug_torque", 60_000),
        ("selector_dwell", 1),
        ("vehicle_level", 0),
    ],
)
def test_that_what_was_done_otherwise_with_a_reason_is_no_finding(field: str, value: int) -> None:
    silent = verify(changed(tube(), field, value_int=value))
    told = verify(changed(tube(), field, value_int=value, reason="no other way on this lift"))
    assert silent.verdict is Verdict.CONTRADICTORY
    assert told.findings == ()


def test_that_steps_exchanged_with_a_reason_are_no_finding() -> None:
    exchanged = step_at(tube(), Step.FILL_PLUG_LOOSENED, 30)
    assert verify(exchanged).finds(Rule.ORDER)
    entries = tuple(
        replace(entry, reason="fill plug was seized")
        if entry.field == "step" and entry.value_text == Step.FILL_PLUG_LOOSENED.value
        else entry
        for entry in exchanged.entries
    )
    assert not verify(replace(exchanged, entries=entries)).finds(Rule.ORDER)


def test_that_times_that_nobody_noted_contradict_nothing() -> None:
    evidence = tube()
    silent = replace(evidence, entries=tuple(replace(e, measured_at=None) for e in evidence.entries))
    assert verify(silent).verdict is Verdict.CONSISTENT


def test_that_going_on_with_consent_in_writing_keeps_the_stop_rule() -> None:
    evidence = changed(tube(), "odour", value_int=3)
    for field, value in (
        ("picture_taken", 1),
        ("customer_called", 1),
        ("stop_decision", "go on anyway"),
        ("stop_consent", "signed on revision 2"),
    ):
        evidence = added(evidence, field, value)
    assert stop_rule(Facts(evidence.entries)).state is StopState.GONE_ON
    assert verify(evidence).verdict is Verdict.CONSISTENT


def test_that_no_service_after_a_stop_only_lacks_what_was_not_done() -> None:
    evidence = changed(tube(), "particles", value_int=4)
    for field in ("put_in", "spilled", "ran_out", "container_before", "container_after"):
        evidence = without(evidence, field)
    stopped = replace(evidence, fluid_taken_ul=0)
    assert verify(stopped).finds(Rule.STOP)
    decided = verify(added(stopped, "stop_decision", "no service"))
    assert not decided.finds(Rule.STOP)
    assert decided.verdict is Verdict.INCOMPLETE


def test_that_figures_told_rightly_are_no_finding() -> None:
    evidence = tube()
    outcome = verify(evidence).outcome
    assert outcome.fresh.share is not None
    right = Stated(
        proven=True, delta_ul=outcome.balance.delta_ul, fresh_percent=round(outcome.fresh.share * 100)
    )
    assert verify(replace(evidence, stated=right)).verdict is Verdict.CONSISTENT
    assert verify(replace(evidence, stated=replace(right, proven=False))).finds(Rule.STATED)


def test_that_a_correction_takes_the_place_of_what_it_corrects() -> None:
    wrong = changed(tube(), "close_temperature", value_int=70_000)
    entry = entry_of(wrong, "close_temperature")
    right = added(
        wrong,
        "close_temperature",
        41_000,
        corrects_id=entry.id,
        reason="digits exchanged",
        measured_at=entry.measured_at,
    )
    assert verify(wrong).verdict is Verdict.CONTRADICTORY
    assert not verify(right).finds(Rule.WINDOW_CLOSE)


def test_that_a_level_check_only_needs_neither_drain_nor_its_plugs() -> None:
    evidence = tube(6)
    for field in (
        "drained",
        "drain_plug_torque",
        "drain_plug_washer",
        "fill_plug_torque",
        "fill_plug_washer",
    ):
        evidence = without(evidence, field)
    checked = replace(
        evidence,
        setting=replace(evidence.setting, method=ServiceMethod.LEVEL_CHECK),
        entries=tuple(e for e in evidence.entries if e.field != "step" or e.value_text == "level set"),
    )
    assert verify(checked).findings == ()


def test_that_an_empty_record_is_incomplete_and_nothing_worse() -> None:
    found = verify(replace(tube(), entries=(), fluid_taken_ul=None))
    assert found.verdict is Verdict.INCOMPLETE
    assert found.finds(Rule.VOLUME_MISSING)


def test_that_clocks_may_differ_by_some_minutes() -> None:
    evidence = tube()
    last = max(e.measured_at for e in evidence.entries if e.measured_at)
    assert verify(replace(evidence, now=last - timedelta(minutes=4))).findings == ()
    assert verify(replace(evidence, now=last - timedelta(minutes=6))).finds(Rule.FUTURE)
