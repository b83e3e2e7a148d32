"""What a job file's figures come to, on both engines: balance, proof, fresh share, next due, money."""

from __future__ import annotations

from typing import Any

import pytest

from shopdesk.domain.budget import VolumeReading
from shopdesk.domain.deviations import deviations
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.intervals import DecidedBy, Layer
from shopdesk.domain.level import Arrived, work_out_balance
from shopdesk.domain.methods import ServiceMethod
from shopdesk.domain.proof import ConditionKey, ConditionState, ProofVerdict
from shopdesk.domain.record import Facts
from shopdesk.services.desk import Desk
from shopdesk.services.job import JobView
from tests.services.shopfloor import GONE, document, run


def view(desk: Desk, content: dict[str, Any]) -> JobView:
    """Keep a job and give what follows from it."""
    return desk.jobs.view(run(desk, content))


def test_that_the_fixed_point_comes_in_0_21_litres_low(desk: Desk) -> None:
    # P 3.785 L, S 0.045 L, O 0.50 L, D 3.03 L at one temperature: common practice, no source.
    balance = view(desk, document("fixed_point")).outcome.balance
    assert balance.delta_ul is not None
    assert abs(balance.delta_ul - 210_000) <= 1
    assert balance.arrived is Arrived.LOW


def test_that_the_four_readings_of_the_fixed_point_alone_leave_63_millilitres(one_desk: Desk) -> None:
    # u = sqrt(100² + 30² + 20² + 25²) / sqrt(3) mL = 62.9 mL, worked out here by hand.
    shown = view(one_desk, document("fixed_point")).outcome
    four = work_out_balance(
        pumped=VolumeReading(ul=3_785_000, half_width_ul=30_000, temp_mc=40_000, temp_half_width_mc=0),
        spilled=VolumeReading(ul=45_000, half_width_ul=20_000, temp_mc=40_000, temp_half_width_mc=0),
        overflow=VolumeReading(ul=500_000, half_width_ul=25_000, temp_mc=40_000, temp_half_width_mc=0),
        drained=VolumeReading(ul=3_030_000, half_width_ul=100_000, temp_mc=40_000, temp_half_width_mc=0),
        density15=860,
        total_ul=7_000_000,
        level_temp_mc=40_000,
        level_temp_half_width_mc=0,
        level_repeatability_ul=0,
        ambient_mc=40_000,
        proof=shown.proof,
        method=ServiceMethod.SINGLE,
    )
    assert four.u_ul is not None
    assert round(four.u_ul / 1000) == 63
    assert four.delta_ul == shown.balance.delta_ul
    assert (shown.balance.u_ul or 0) > four.u_ul


def test_that_the_us_job_is_proven_with_its_seven_conditions(desk: Desk) -> None:
    proof = view(desk, document("us")).outcome.proof
    assert proof.verdict is ProofVerdict.PROVEN
    assert [each.state for each in proof.conditions] == [ConditionState.MET] * 7


def test_that_temperatures_of_the_readings_move_the_us_balance(one_desk: Desk) -> None:
    # New fluid at 68 °F in a unit at 104 °F: 3.74 L grow by about 16 mL a litre and 20 °C (0.00083 a °C).
    balance = view(one_desk, document("us")).outcome.balance
    assert balance.arrived is Arrived.LOW
    assert balance.delta_ul is not None
    assert 250_000 < balance.delta_ul < 285_000


def test_that_a_kept_job_says_the_same_next_due_after_later_work_by_another_sheet(desk: Desk) -> None:
    done = run(desk, document("us"))
    before, sticker = desk.jobs.view(done).due, desk.papers.sticker(done.record_id).content
    later = run(desk, document("fixed_point"))  # the same unit, by a sheet without intervals
    now = desk.jobs.view(later).due
    assert later.unit_id == done.unit_id
    assert now is not None
    assert now.decided_by is DecidedBy.NONE
    assert desk.jobs.view(done).due == before
    assert desk.papers.sticker(done.record_id).content == sticker


def test_that_the_us_job_is_next_due_by_the_shops_severe_interval(desk: Desk) -> None:
    due = view(desk, document("us")).due
    assert due is not None
    assert (due.layer, due.severe, due.rule_fired) == (Layer.SHOP, True, "loads")
    assert (due.odometer_tenths, due.odometer_unit) == (1_143_100, "mi")
    assert due.decided_by is DecidedBy.TIME
    assert str(due.due_on) == "2028-11-25"
    assert due.assumed_rate


def test_that_the_metric_job_is_next_due_by_the_makers_distance(desk: Desk) -> None:
    due = view(desk, document("metric")).due
    assert due is not None
    assert due.layer is Layer.MAKER
    assert not due.severe
    assert due.odometer_tenths == 1_212_400
    assert due.decided_by is DecidedBy.DISTANCE
    assert due.on_by_time is not None
    assert due.due_on is not None
    assert str(due.on_by_time) == "2030-11-24"
    assert due.due_on < due.on_by_time


def test_that_without_any_interval_nothing_is_due(desk: Desk) -> None:
    sheet = dict.fromkeys(("sheet__maker_normal", "sheet__shop_normal", "sheet__shop_severe"), GONE)
    due = view(desk, document("us", **sheet)).due
    assert due is not None
    assert due.decided_by is DecidedBy.NONE
    assert due.due_on is None


def test_that_the_fresh_share_of_a_single_service_is_what_was_put_in_over_total_and_overflow(
    one_desk: Desk,
) -> None:
    # f = (P − S)/(C + O) = 3.74/7.5 = 0.4987 before all volumes are brought to one temperature.
    fresh = view(one_desk, document("fixed_point")).outcome.fresh
    assert fresh.share is not None
    assert fresh.low is not None
    assert fresh.high is not None
    assert fresh.low < fresh.share < fresh.high
    assert abs(fresh.share - 3.74 / 7.5) < 0.01


def test_that_two_rounds_renew_more_than_the_sum_of_their_shares_allows(one_desk: Desk) -> None:
    fresh = view(one_desk, document("metric")).outcome.fresh
    assert fresh.share is not None
    assert 0.7 < fresh.share < 0.85
    assert (3.4 + 3.58) / 6.5 > 1  # the plain sum would say more than all of it


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("service__openings__0__temperature_at_closing", "113.1 degF"),
        ("service__openings__0__temperature_at_opening", "94.9 degF"),
        ("service__openings__0__temperature_at_closing", GONE),
        ("service__openings__0__flow_at_closing", "stream"),
        ("service__vehicle_level", False),
        ("service__vehicle_level", GONE),
        ("service__engine", "off"),
        ("service__selector_dwell_s", 2),
        ("service__selector_cycled", GONE),
        ("service__openings", GONE),
    ],
)
def test_that_low_or_high_is_said_only_with_a_proven_level(one_desk: Desk, path: str, value: Any) -> None:
    outcome = view(one_desk, document("us", **{path: value})).outcome
    assert outcome.proof.verdict is ProofVerdict.NOT_PROVEN
    assert outcome.balance.arrived is Arrived.CANNOT_SAY
    assert outcome.balance.reason.startswith("Cannot be said")


@pytest.mark.parametrize(("opening", "closing"), [("95 degF", "113 degF"), ("35 degC", "45 degC")])
def test_that_the_bounds_of_the_window_belong_to_it(one_desk: Desk, opening: str, closing: str) -> None:
    # 95–113 °F is 35–45 °C exactly; the window itself is common practice, no source.
    content = document(
        "us",
        service__openings__0__temperature_at_opening=opening,
        service__openings__0__temperature_at_closing=closing,
    )
    proof = view(one_desk, content).outcome.proof
    assert proof.verdict is ProofVerdict.PROVEN
    window = [each for each in proof.conditions if each.key.startswith("window")]
    assert [(each.low, each.high) for each in window] == [(35_000, 45_000)] * 2
    assert [each.measured for each in window] == [35_000, 45_000]


def test_that_no_flow_at_the_last_opening_says_at_least(desk: Desk) -> None:
    content = document("us", service__openings__0__flow_at_opening="none", service__ran_out=GONE)
    del content["service"]["openings"][0]["flow_at_closing"]
    del content["service"]["openings"][0]["temperature_at_closing"]
    outcome = view(desk, content).outcome
    assert outcome.proof.verdict is ProofVerdict.TOO_LOW
    assert outcome.balance.arrived is Arrived.AT_LEAST_LOW
    assert (outcome.balance.delta_ul or 0) > 700_000


@pytest.mark.parametrize("field", ["ran_out", "drained", "put_in", "spilled"])
def test_that_a_volume_that_was_not_measured_is_named(one_desk: Desk, field: str) -> None:
    names = {
        "ran_out": "ran out at level check",
        "drained": "drained",
        "put_in": "put in",
        "spilled": "spilled",
    }
    balance = view(one_desk, document("us", **{f"service__{field}": GONE})).outcome.balance
    assert balance.arrived is Arrived.CANNOT_SAY
    assert [str(term) for term in balance.missing] == [names[field]]
    assert names[field] in balance.reason
    assert balance.delta_ul is None


def test_that_a_renewed_filter_needs_what_left_in_the_old_one(one_desk: Desk) -> None:
    balance = view(one_desk, document("us", service__filter_renewed=True)).outcome.balance
    assert balance.arrived is Arrived.CANNOT_SAY
    assert "left in the old filter" in balance.reason


LEVEL_CHECK = {
    "service__method": "level check only",
    "service__drained": GONE,
    "service__put_in": {"volume": "0.25 L", "within": "10 mL", "temperature": "40 degC"},
    "service__spilled": {"volume": "0 mL", "within": "5 mL"},
    "service__ran_out": {"volume": "40 mL", "within": "10 mL", "temperature": "40 degC"},
}


def test_that_a_level_check_with_nothing_drained_finds_a_low_unit(desk: Desk) -> None:
    seen = view(desk, document("us", **LEVEL_CHECK))
    balance = seen.outcome.balance
    assert balance.missing == ()
    assert balance.arrived is Arrived.LOW
    assert balance.delta_ul is not None
    assert abs(balance.delta_ul - 210_000) < 2_000


def test_that_a_level_check_sets_no_next_due(desk: Desk) -> None:
    assert view(desk, document("us", **LEVEL_CHECK)).due is None


def test_that_a_level_check_leaves_the_date_of_the_last_change_as_it_was(desk: Desk) -> None:
    before = view(desk, document("us")).due
    later = document("us", new_id=True, deliveries=[], odometer__reading="84500 mi", **LEVEL_CHECK)
    after = view(desk, later).due
    assert before is not None
    assert after is not None
    assert (after.odometer_tenths, after.on_by_time) == (before.odometer_tenths, before.on_by_time)


def steps(*pairs: tuple[str, str]) -> list[dict[str, str]]:
    """Give steps with the time each was done at, within one afternoon."""
    return [{"step": step, "at": f"2026-11-25T{at}:00-07:00"} for step, at in pairs]


IN_ORDER = (
    ("fill plug loosened", "13:00"),
    ("drained", "13:05"),
    ("drain plug torqued", "13:20"),
    ("filled", "13:30"),
    ("fill plug torqued", "13:40"),
    ("engine started", "13:45"),
    ("selector cycled", "13:50"),
    ("level set", "14:00"),
    ("level plug torqued", "14:05"),
    ("leak checked", "14:10"),
)


def told(desk: Desk, content: dict[str, Any]) -> list[str]:
    """Give the deviations of a job that the service record would print."""
    record = desk.bay.record(run(desk, content).record_id)
    facts = Facts(each.entry for each in record.entries)
    return [each.what for each in deviations(facts, record.outcome, record.sheet.body)]


def test_that_torquing_the_fill_plug_before_the_engine_starts_is_in_order(desk: Desk) -> None:
    content = document("us", service__steps=steps(*IN_ORDER), service__washers=GONE)
    assert told(desk, content) == []


def test_that_starting_the_engine_before_filling_is_told(one_desk: Desk) -> None:
    early = [(step, "13:10" if step == "engine started" else at) for step, at in IN_ORDER]
    content = document("us", service__steps=steps(*early), service__washers=GONE)
    found = told(one_desk, content)
    assert any("“filled” comes before “engine started”" in each for each in found)


def test_that_a_reused_washer_is_told_and_does_not_spoil_the_proof(one_desk: Desk) -> None:
    done = run(one_desk, document("us"))
    record = one_desk.bay.record(done.record_id)
    facts = Facts(each.entry for each in record.entries)
    found = deviations(facts, record.outcome, record.sheet.body)
    assert [(each.what, each.reason) for each in found] == [
        ("level plug: washer reused", "none of this size in stock")
    ]
    assert record.outcome.proof.verdict is ProofVerdict.PROVEN


def test_that_a_torque_beyond_its_tolerance_is_told(one_desk: Desk) -> None:
    # 36 lbf·ft, 10 % either side where the sheet gives none: common practice, no source.
    assert (
        told(one_desk, document("us", service__torques={"drain plug": "39.5 lbf*ft"}, service__washers=GONE))
        == []
    )
    other = document("us", new_id=True, service__torques={"drain plug": "39.7 lbf*ft"}, service__washers=GONE)
    assert told(one_desk, other) == ["drain plug: torque differs from the sheet"]


def test_that_an_opening_before_the_last_does_not_count(one_desk: Desk) -> None:
    good = document("us")["service"]["openings"][0]
    openings = [{"temperature_at_opening": "90 degF", "flow_at_opening": "none"}, good]
    proof = view(one_desk, document("us", service__openings=openings)).outcome.proof
    assert proof.verdict is ProofVerdict.PROVEN
    assert proof.state_of(ConditionKey.WINDOW_OPEN) is ConditionState.MET


def test_that_two_readings_of_one_round_are_refused_rather_than_one_forgotten(one_desk: Desk) -> None:
    twice = [{"volume": "3 L", "round": 1}, {"volume": "1 L", "round": 1}]
    with pytest.raises(RuleBroken) as refusal:
        run(one_desk, document("us", service__put_in=twice))
    assert refusal.value.field == "/service/put_in/1/round"
