"""A unit over its services: rows, the fluid's age with its bounds, the usual refill and what was lost."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from shopdesk.domain.level import Arrived
from shopdesk.domain.proof import ProofVerdict
from shopdesk.services.desk import Desk
from shopdesk.services.figures import Figures
from shopdesk.services.fluid_ages import age_after, age_words
from tests.documents.reading import words
from tests.services.floors import Floor
from tests.services.shopfloor import document, run

Services = tuple[tuple[str, str], ...]


def _serve(floor: Floor, on: str, odometer: str, **changes: Any) -> int:
    """Keep another service of the same unit on a day, and give its record."""
    floor.clock.at = datetime.combine(date.fromisoformat(on), floor.clock.at.timetz(), UTC)
    content = document(
        "us",
        new_id=True,
        odometer__reading=odometer,
        service__done_on=on,
        **{"odometer__reason": "read twice", **changes},
    )
    for section in ("shop", "deliveries"):
        if floor.desk.setup.is_set_up():
            content.pop(section, None)
    return run(floor.desk, content).record_id


def test_that_every_service_is_a_row_with_what_was_recorded(floor: Floor) -> None:
    _serve(floor, "2024-03-01", "40000 mi")
    _serve(floor, "2026-03-01", "70000 mi", service__drained__volume="3.10 L")
    history = floor.desk.unit_histories.of(1)
    assert [row.done_on.isoformat() for row in history.services] == ["2024-03-01", "2026-03-01"]
    assert [row.shown_tenths for row in history.services] == [400_000, 700_000]
    assert [row.drained_ul for row in history.services] == [3_030_000, 3_100_000]
    last = history.services[-1]
    assert (last.put_in_ul, last.ran_out_ul, last.refill_ul) == (3_785_000, 500_000, 3_240_000)
    assert (last.open_mc, last.close_mc) == (36_111, 40_000)
    assert (last.appearance, last.odour, last.particles) == (2, 0, 1)
    assert last.verdict is ProofVerdict.PROVEN
    assert last.arrived is Arrived.LOW
    assert last.deficit_ul == floor.desk.bay.record(last.record_id).outcome.balance.delta_ul


def test_that_the_age_is_bounded_by_what_is_known(floor: Floor) -> None:
    record_id = _serve(floor, "2024-03-01", "40000 mi")
    second = _serve(floor, "2026-03-01", "70000 mi")
    history = floor.desk.unit_histories.of(1)
    fresh = [floor.desk.bay.record(each).outcome.fresh for each in (record_id, second)]
    first, last = history.services
    # Unknown before: at most the vehicle's own distance, less the low bound of what was renewed.
    low = [each.low or 0 for each in fresh]
    high = [each.high or 0 for each in fresh]
    assert first.age_run.average is None
    assert abs((first.age_run.at_most or 0) - (1 - low[0]) * 400_000) <= 1
    assert abs((last.age_run.at_most or 0) - (1 - low[1]) * ((1 - low[0]) * 400_000 + 300_000)) <= 2
    assert abs((last.age_run.at_least or 0) - (1 - high[1]) * 300_000) <= 1
    assert last.age_days.at_most is not None
    with floor.desk.office.reading() as reading:
        run_age, days_age, unit = age_after(reading, second)
        told = age_words(Figures(reading.shop), run_age, days_age, unit)
    assert (run_age, days_age) == (last.age_run, last.age_days)
    assert told.startswith(f"{(last.age_run.at_least or 0) // 10:,} mi to ")
    assert "months" in told
    assert "Average fluid age" in words(floor.desk.papers.service_record(second).content)
    assert history.age_run == last.age_run  # nothing was run since


def test_that_a_used_unit_has_no_bound(floor: Floor) -> None:
    _serve(floor, "2024-03-01", "40000 mi")
    with floor.desk.office.scratch() as (connection, _now):
        connection.exec_driver_sql("UPDATE unit SET installed_tenths = 300000")
    history = floor.desk.unit_histories.of(1)
    assert history.services[0].age_run.at_most is None
    with floor.desk.office.reading() as reading:
        told = age_words(Figures(reading.shop), *age_after(reading, 1))
    assert told.startswith("not known: ")


def test_that_a_distance_that_is_not_the_actual_one_says_nothing(floor: Floor) -> None:
    _serve(floor, "2024-03-01", "40000 mi", odometer__actual=False)
    history = floor.desk.unit_histories.of(1)
    assert history.services[0].age_run.at_most is None
    assert "odometer" in history.services[0].age_run.reason


def test_that_a_unit_without_services_says_so(floor: Floor) -> None:
    done = run(floor.desk, document("us"))
    with floor.desk.office.scratch() as (connection, _now):
        connection.exec_driver_sql("UPDATE service_record SET finished_utc = NULL")
    history = floor.desk.unit_histories.of(done.unit_id)
    assert (history.services, history.usual, history.hint) == ((), None, None)
    assert history.loss.per_1000_mi_ul is None


def test_that_an_unusual_refill_is_hinted_at_from_eight_on(one_floor: Floor) -> None:
    desk = one_floor.desk
    for month in range(1, 9):
        _serve(one_floor, f"2024-{month:02d}-01", f"{40 + 2 * month}000 mi")
    before = desk.unit_histories.of(1)
    assert before.usual is not None
    assert (before.usual.n, before.usual.median_ul, before.hint) == (8, 3_240_000, None)
    odd = _serve(one_floor, "2025-03-01", "60000 mi", service__put_in__volume="5.2 L")
    after = desk.unit_histories.of(1)
    assert after.hint is not None
    assert after.hint.away_ul == 1_415_000
    assert desk.unit_histories.hint(odd) == after.hint


def test_that_loss_is_told_for_the_distance_between_proven_services(floor: Floor) -> None:
    _serve(floor, "2024-03-01", "40000 mi")
    second = _serve(floor, "2026-03-01", "70000 mi")
    loss = floor.desk.unit_histories.of(1).loss
    deficit = floor.desk.bay.record(second).outcome.balance.delta_ul or 0
    assert loss.n == 1
    assert abs((loss.per_1000_mi_ul or 0) - deficit / 30) <= 1
    assert loss.shown
    _serve(floor, "2026-09-01", "80000 mi", service__engine="off")  # not as the sheet asks: not proven
    _serve(floor, "2026-11-01", "85000 mi")
    assert floor.desk.unit_histories.of(1).loss.n == 1


def test_that_a_level_that_was_only_looked_at_renews_nothing(floor: Floor, desk: Desk) -> None:
    _serve(floor, "2024-03-01", "40000 mi")
    before = desk.unit_histories.of(1).services[-1].age_run
    content = document("us", new_id=True, odometer__reading="50000 mi")
    for name in ("drained", "put_in", "spilled", "ran_out"):
        del content["service"][name]
    for section in ("shop", "deliveries"):
        del content[section]
    content["service"]["method"] = "level check only"
    content["service"].pop("fluid", None)
    content["odometer"]["reason"] = "read twice"
    floor.clock.at = datetime(2026, 11, 25, 17, tzinfo=UTC)
    run(desk, content)
    after = desk.unit_histories.of(1).services[-1].age_run
    assert after.at_most == (before.at_most or 0) + 100_000
