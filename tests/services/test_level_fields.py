"""Levels by numbers, the check as found and the stop decision, through sheet, job file and record."""

from __future__ import annotations

from typing import Any

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.level import Arrived
from shopdesk.domain.level_rules import Stance
from shopdesk.domain.proof import ProofVerdict
from shopdesk.domain.record import Facts
from shopdesk.domain.stop_rule import StopState, stop_rule
from shopdesk.services.bay import Enter, EntryTyped
from shopdesk.services.desk import Desk
from shopdesk.services.figures import Figures
from shopdesk.services.record_paper import value_words
from tests.services.shopfloor import GONE, document, run


def axle(**changes: Any) -> dict[str, Any]:
    """The US job with an axle whose level stands a number of millimetres below the edge of its hole."""
    given: dict[str, Any] = {
        "sheet__kind": "rear differential",
        "sheet__level_method": "fill-hole edge",
        "sheet__window_low": GONE,
        "sheet__window_high": GONE,
        "sheet__engine": "off",
        "sheet__selector_cycled": GONE,
        "sheet__selector_dwell_s": GONE,
        "sheet__edge_offset": "5 mm",
        "sheet__edge_tolerance": "0.1 in",
        "sheet__stance": "raised, wheels hanging",
        "service__engine": "off",
        "service__stance": "raised, wheels hanging",
        "service__openings": [{"edge_distance": "7.5 mm", "read_at": "2026-11-25T09:40:00-07:00"}],
        "service__found_temperature": "68 degF",
        "service__found_added": {"volume": "0.25 L", "within": "20 mL", "temperature": "68 degF"},
        **changes,
    }
    return document(**given)


def test_that_an_axle_is_proven_by_the_number_at_its_edge(desk: Desk) -> None:
    done = run(desk, axle())
    view = desk.bay.record(done.record_id)
    level = view.sheet.body.level
    assert (level.edge_offset_um, level.edge_tolerance_um, level.stance) == (5_000, 2_540, Stance.HANGING)
    edge = next(each for each in view.outcome.proof.conditions if each.key == "edge")
    assert (edge.measured, edge.low, edge.high) == (7_500, 2_460, 7_540)
    assert view.outcome.proof.verdict is ProofVerdict.PROVEN


def test_that_a_check_as_found_is_told_and_leaves_the_shelf(desk: Desk) -> None:
    done = run(desk, axle())
    found = desk.bay.record(done.record_id).outcome.found
    assert found is not None
    assert (found.arrived, found.delta_ul) == (Arrived.LOW, 250_000)
    fluid = desk.board.work_order(done.work_order_id).from_stock[0]
    assert fluid.wanted == fluid.drawn == 3_785_000 + 250_000


@pytest.mark.parametrize(
    ("path", "value", "place"),
    [
        ("sheet__edge_offset", "5", "/sheet/edge_offset"),
        ("sheet__edge_offset", "5 qt", "/sheet/edge_offset"),
        ("sheet__edge_tolerance", "-1 mm", "/sheet/edge_tolerance"),
        ("sheet__refill", "2 mm", "/sheet/refill"),
        ("sheet__cold_low", "5 mm", "/sheet/cold_low"),
        ("service__openings__0__edge_distance", "9 m", "/service/openings/0/edge_distance"),
        ("service__found_temperature", "9 mm", "/service/found_temperature"),
    ],
)
def test_that_a_wrong_quantity_names_its_place(one_desk: Desk, path: str, value: str, place: str) -> None:
    with pytest.raises(RuleBroken) as refusal:
        run(one_desk, axle(**{path: value}))
    assert refusal.value.field == place


def test_that_a_stop_with_consent_in_writing_is_kept_with_the_record(one_desk: Desk) -> None:
    done = run(
        one_desk,
        axle(
            service__condition={"particles": 3},
            service__milky=False,
            service__picture_taken=True,
            service__customer_called=True,
            service__stop_decision="go on anyway",
            service__stop_consent="signed on the estimate, revision 2",
        ),
    )
    entries = [each.entry for each in one_desk.bay.record(done.record_id).entries]
    assert stop_rule(Facts(entries)).state is StopState.GONE_ON


def test_that_a_length_is_written_in_millimetres_and_inches(one_desk: Desk) -> None:
    done = run(one_desk, axle())
    entry = EntryTyped(field="edge_distance", value="-0.2 in", round=2)
    one_desk.bay.enter(Enter(actor=one_desk.actor(), record_id=done.record_id, entries=(entry,)))
    view = one_desk.bay.record(done.record_id)
    kept = [each.entry for each in view.entries if each.entry.field == "edge_distance"][-1]
    assert kept.value_int == -5_080
    assert view.outcome.proof.verdict is ProofVerdict.NOT_PROVEN
    figures = Figures(one_desk.setup.shop())
    assert value_words(figures, kept).replace("−", "-") == "-5.1 mm (-0.20 in)"
