"""Odometer readings: doubted aloud, kept with a reason, and counted on across replaced instruments."""

from __future__ import annotations

from datetime import date

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.methods import UnitKind
from shopdesk.domain.odometer import distance_run
from shopdesk.services.acting import Reading
from shopdesk.services.odometers import OdometerHistory, OdometerKept, ReadOdometer, history
from shopdesk.services.vehicles import AnswerDuty, DutyTyped
from shopdesk.services.work import OpenWorkOrder
from tests.services.counter import Counter
from tests.services.floors import Floor
from tests.services.shopfloor import contents, document, run


def read(
    counter: Counter, vehicle_id: int, shown: str, on: date | None = None, **more: object
) -> OdometerKept:
    """Read the odometer of a vehicle."""
    command = ReadOdometer(actor=counter.actor, vehicle_id=vehicle_id, reading=shown, on=on, **more)  # type: ignore[arg-type]
    return counter.desk.intake.read_odometer(command)


def known(floor: Floor, vehicle_id: int) -> OdometerHistory:
    """Give a vehicle's history."""
    with floor.desk.office.reading() as reading:
        assert isinstance(reading, Reading)
        return history(reading, vehicle_id)


DOUBTFUL = {
    "lower": ("83900", "an odometer only goes up"),
    "over 400 mi a day": ("86000", "over 400 mi"),
    "a digit too many": ("843500", "One digit too many or too few"),
    "miles written as kilometers": ("135800", "Miles written as kilometers"),
}


@pytest.mark.parametrize("name", DOUBTFUL)
def test_that_a_doubtful_reading_is_kept_only_with_a_reason(floor: Floor, name: str) -> None:
    shown, words = DOUBTFUL[name]
    counter = Counter(floor.desk)
    car = counter.car()
    read(counter, car.vehicle_id, "84310", date(2026, 11, 23))
    before = contents(floor.url)
    with pytest.raises(RuleBroken) as refusal:
        read(counter, car.vehicle_id, shown)
    assert words in refusal.value.sentence
    assert refusal.value.sentence.endswith("Give a reason to keep it as it is.")
    assert contents(floor.url) == before
    kept = read(counter, car.vehicle_id, shown, reason="read twice, it shows that")
    assert any(words in doubt for doubt in kept.doubts)
    assert [fact.doubtful for fact in known(floor, car.vehicle_id).facts] == [False, True]


def test_that_an_ordinary_reading_is_kept_without_a_question(floor: Floor) -> None:
    counter = Counter(floor.desk)
    car = counter.car()
    read(counter, car.vehicle_id, "84,310", date(2026, 10, 1))
    kept = read(counter, car.vehicle_id, "86100")
    assert (kept.tenths, kept.unit, kept.doubts) == (861_000, "mi", ())


def test_that_a_replaced_odometer_counts_on_from_the_distance_run(floor: Floor) -> None:
    counter = Counter(floor.desk)
    car = counter.car()
    read(counter, car.vehicle_id, "84000", date(2026, 1, 1))
    read(counter, car.vehicle_id, "90000", date(2026, 6, 1))
    read(counter, car.vehicle_id, "12", date(2026, 6, 2), new_instrument=True, reason="cluster replaced")
    read(counter, car.vehicle_id, "3012", date(2026, 10, 1))
    found = known(floor, car.vehicle_id)
    assert [segment.number for segment in found.segments] == [1, 2]
    run_at = distance_run(found.facts, found.segments)
    assert run_at == (840_000, 900_000, 900_000, 930_000)


def test_that_a_reading_from_before_the_replacement_belongs_to_the_old_instrument(floor: Floor) -> None:
    counter = Counter(floor.desk)
    car = counter.car()
    read(counter, car.vehicle_id, "90000", date(2026, 6, 1))
    read(counter, car.vehicle_id, "12", date(2026, 6, 2), new_instrument=True, reason="cluster replaced")
    found_later = read(counter, car.vehicle_id, "84000", date(2026, 1, 1))  # from an old bill
    assert found_later.doubts == ()
    found = known(floor, car.vehicle_id)
    assert distance_run(found.facts, found.segments) == (840_000, 900_000, 900_000)


def test_that_a_second_replacement_counts_on_from_the_last_day_not_the_last_entry(one_floor: Floor) -> None:
    counter = Counter(one_floor.desk)
    car = counter.car()
    read(counter, car.vehicle_id, "90000", date(2026, 6, 1))
    read(counter, car.vehicle_id, "84000", date(2026, 1, 1))  # entered after it, read before it
    read(counter, car.vehicle_id, "5", date(2026, 6, 2), new_instrument=True, reason="cluster replaced")
    read(counter, car.vehicle_id, "3005", date(2026, 9, 2))
    read(counter, car.vehicle_id, "7", date(2026, 9, 3), new_instrument=True, reason="replaced again")
    found = known(one_floor, car.vehicle_id)
    assert distance_run(found.facts, found.segments) == (840_000, 900_000, 900_000, 930_000, 930_000)


def test_that_only_a_standing_reading_of_the_same_vehicle_is_corrected(floor: Floor) -> None:
    counter = Counter(floor.desk)
    car, other = counter.car(), counter.car(plate="OTHER 1")
    wrong = read(counter, car.vehicle_id, "84310", date(2026, 10, 1))
    with pytest.raises(RuleBroken, match="not one of this vehicle's standing readings"):
        read(counter, other.vehicle_id, "50000", corrects_id=wrong.odometer_id)
    right = {"reason": "misread", "corrects_id": wrong.odometer_id}
    read(counter, car.vehicle_id, "83410", date(2026, 10, 1), **right)
    with pytest.raises(RuleBroken, match="not one of this vehicle's standing readings"):
        read(counter, car.vehicle_id, "83400", date(2026, 10, 1), **right)
    assert [fact.tenths for fact in known(floor, car.vehicle_id).facts] == [834_100]


def test_that_an_odometer_that_nothing_standing_was_read_at_is_not_replaced(floor: Floor) -> None:
    """Its only reading was corrected to a day before it was put in, and so belongs to the one before it."""
    counter = Counter(floor.desk)
    car = counter.car()
    read(counter, car.vehicle_id, "90000", date(2026, 6, 1))
    new = {"new_instrument": True, "reason": "cluster replaced"}
    only = read(counter, car.vehicle_id, "12", date(2026, 6, 2), **new)
    right = {"reason": "read a month earlier, at the old one", "corrects_id": only.odometer_id}
    read(counter, car.vehicle_id, "89000", date(2026, 5, 2), **right)
    assert {fact.segment for fact in known(floor, car.vehicle_id).facts} == {1}
    before = contents(floor.url)
    with pytest.raises(RuleBroken, match="keep a reading of it first") as refusal:
        read(counter, car.vehicle_id, "5", date(2026, 9, 3), **new)
    assert refusal.value.field == "reading"
    assert contents(floor.url) == before
    kept = read(counter, car.vehicle_id, "3012", date(2026, 9, 2))
    assert kept.doubts == ()
    read(counter, car.vehicle_id, "5", date(2026, 9, 3), **new)
    assert [each.number for each in known(floor, car.vehicle_id).segments] == [1, 2, 3]


def test_that_a_replaced_odometer_needs_a_reason(one_floor: Floor) -> None:
    counter = Counter(one_floor.desk)
    car = counter.car()
    with pytest.raises(RuleBroken, match="why the odometer was replaced"):
        read(counter, car.vehicle_id, "12", new_instrument=True)


def test_that_distance_since_the_service_runs_across_the_replaced_instrument(floor: Floor) -> None:
    done = run(floor.desk, document("us"))
    counter = Counter.__new__(Counter)
    counter.desk, counter.actor = floor.desk, floor.desk.actor()
    before = floor.desk.due.of_unit(done.unit_id)
    new = read(counter, done.vehicle_id, "5", new_instrument=True, reason="cluster replaced")
    floor.clock.forward(days=100)
    read(counter, done.vehicle_id, "5005")
    after = floor.desk.due.of_unit(done.unit_id)
    assert new.tenths == 50
    assert before is not None
    assert after is not None
    assert after.due.on_by_distance is not None
    assert before.due.on_by_distance is not None
    # 5,000 mi in 100 days, read off two instruments, instead of the 33 mi a day that were assumed: sooner.
    assert after.due.on_by_distance < before.due.on_by_distance
    assert floor.desk.safekeeping.check().findings == ()


def test_that_an_odometer_that_is_not_actual_leaves_only_the_time(floor: Floor) -> None:
    content = document("us", odometer={"reading": "84310 mi", "actual": False})
    due = floor.desk.jobs.view(run(floor.desk, content)).due
    assert due is not None
    assert due.odometer_tenths is None
    assert due.on_by_distance is None
    assert str(due.due_on) == "2028-11-25"


def test_that_what_is_due_by_distance_follows_a_new_reading_on_every_unit(floor: Floor) -> None:
    run(floor.desk, document("us"))
    other = document(
        "us", new_id=True, deliveries=[], odometer__reading="84500 mi", sheet__designation="FD-1",
        sheet__kind="front differential", unit__label="Front differential",
    )  # fmt: skip
    done = run(floor.desk, other)
    floor.clock.forward(days=60)
    later = document(
        "us", new_id=True, deliveries=[], odometer={"reading": "94310 mi"}, duty={"for_hire": True},
        sheet__designation="TC-1", sheet__kind="transfer case", unit__label="Transfer case",
    )  # fmt: skip
    run(floor.desk, later)
    units = {unit.kind: unit for unit in floor.desk.intake.vehicle(done.vehicle_id).units}
    assert set(units) == {UnitKind.AUTOMATIC, UnitKind.FRONT_DIFFERENTIAL, UnitKind.TRANSFER_CASE}
    assert floor.desk.safekeeping.check().findings == ()  # which works every next due out again


def test_that_how_a_vehicle_is_driven_moves_what_is_due(floor: Floor) -> None:
    done = run(floor.desk, document("us", duty={"loads": False}))
    before = floor.desk.due.of_unit(done.unit_id)
    floor.desk.intake.answer_duty(
        AnswerDuty(
            actor=floor.desk.actor(),
            vehicle_id=done.vehicle_id,
            answers=(DutyTyped(question="stop_and_go", yes=True),),
        )
    )
    after = floor.desk.due.of_unit(done.unit_id)
    assert before is not None
    assert after is not None
    assert (before.due.severe, after.due.severe) == (False, True)
    assert (before.due.odometer_tenths, after.due.odometer_tenths) == (1_293_100, 1_143_100)
    assert floor.desk.safekeeping.check().findings == ()


def test_that_a_known_unit_goes_over_to_the_sheet_the_file_says(floor: Floor) -> None:
    first = run(floor.desk, document("us"))
    again = document(
        "us", new_id=True, deliveries=[], odometer__reading="84500 mi", sheet__designation="PX6-B"
    )
    second = run(floor.desk, again)
    assert second.unit_id == first.unit_id
    assert floor.desk.bay.record(second.record_id).sheet.designation == "PX6-B"
    assert floor.desk.bay.record(first.record_id).sheet.designation == "PX6-A"


def test_that_a_correction_says_why_and_is_not_doubted_for_what_it_corrects(floor: Floor) -> None:
    counter = Counter(floor.desk)
    car = counter.car()
    read(counter, car.vehicle_id, "61000", date(2026, 11, 1))
    wrong = read(counter, car.vehicle_id, "612400", date(2026, 11, 23), reason="typed in a hurry")
    with pytest.raises(RuleBroken, match="why the reading is corrected") as refusal:
        read(counter, car.vehicle_id, "61240", date(2026, 11, 23), corrects_id=wrong.odometer_id)
    assert refusal.value.field == "reason"
    right = {"reason": "a digit too many", "corrects_id": wrong.odometer_id}
    assert read(counter, car.vehicle_id, "61240", date(2026, 11, 23), **right).doubts == ()
    assert [fact.tenths for fact in known(floor, car.vehicle_id).facts] == [610_000, 612_400]
    rows = floor.desk.intake.vehicle(car.vehicle_id).readings
    assert [(row.tenths, row.corrected) for row in rows] == [
        (612_400, False),
        (6_124_000, True),
        (610_000, False),
    ]


def test_that_open_work_goes_on_with_the_corrected_reading(floor: Floor) -> None:
    counter = Counter(floor.desk)
    car = counter.car()
    wrong = read(counter, car.vehicle_id, "93410", date(2026, 11, 23))
    order = counter.desk.work.open(
        OpenWorkOrder(
            actor=counter.actor,
            vehicle_id=car.vehicle_id,
            customer_id=counter.desk.intake.vehicle(car.vehicle_id).keeper_id,
            odometer_id=wrong.odometer_id,
        )
    )
    right = {"reason": "misread", "corrects_id": wrong.odometer_id}
    read(counter, car.vehicle_id, "83410", date(2026, 11, 23), **right)
    assert floor.desk.board.work_order(order.work_order_id).odometer_in_tenths == 834_100
