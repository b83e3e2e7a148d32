"""A service record while it is written: what was kept by mistake, another fluid, what is due afterwards."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.methods import ServiceMethod
from shopdesk.domain.record import current
from shopdesk.services.bay import ChangeRecord, Enter, EntryTyped, FinishWork, OpenRecord
from shopdesk.services.desk import Desk
from shopdesk.services.work import OpenWorkOrder
from tests.services.shopfloor import document, run


def begun(desk: Desk) -> int:
    """Begin a second record on the job's unit and give its id."""
    done = run(desk, document())
    actor = desk.actor()
    order = desk.work.open(
        OpenWorkOrder(actor=actor, vehicle_id=done.vehicle_id, customer_id=done.customer_id)
    )
    return desk.bay.open(
        OpenRecord(actor=actor, work_order_id=order.work_order_id, unit_id=done.unit_id)
    ).record_id


def enter(desk: Desk, record_id: int, **values: Any) -> int:
    entry = EntryTyped(**values)
    return desk.bay.enter(Enter(actor=desk.actor(), record_id=record_id, entries=(entry,))).entry_ids[0]


def test_that_an_entry_kept_by_mistake_is_withdrawn_and_stays_on_file(desk: Desk) -> None:
    record_id = begun(desk)
    wrong = enter(desk, record_id, field="drained", value="3 qt")
    enter(desk, record_id, field="drained", value="", corrects_id=wrong, reason="typed in the wrong field")
    view = desk.bay.record(record_id)
    assert "drained" in [str(term) for term in view.outcome.balance.missing]
    assert [each.typed for each in view.entries] == ["3 qt", ""]


def test_that_a_step_marked_done_can_be_taken_back(desk: Desk) -> None:
    record_id = begun(desk)
    step = enter(desk, record_id, field="step", value="drained")
    enter(desk, record_id, field="step", value="", corrects_id=step)
    entries = [each.entry for each in desk.bay.record(record_id).entries]
    assert current(entries) == ()


def test_that_an_empty_value_without_anything_to_correct_is_refused(one_desk: Desk) -> None:
    record_id = begun(one_desk)
    with pytest.raises(RuleBroken) as refusal:
        enter(one_desk, record_id, field="drained", value="")
    assert refusal.value.field == "entries/0/value"


def change(desk: Desk, record_id: int, version: int, **values: Any) -> None:
    given: dict[str, Any] = {
        "service_method": ServiceMethod.REPEATED,
        "item_id": 1,
        "done_on": date(2026, 11, 25),
        **values,
    }
    desk.bay.change(ChangeRecord(actor=desk.actor(), record_id=record_id, version=version, **given))


def test_that_a_record_takes_another_fluid_and_method_until_it_is_finished(desk: Desk) -> None:
    record_id = begun(desk)
    view = desk.bay.record(record_id)
    change(desk, record_id, view.version)
    changed = desk.bay.record(record_id)
    assert (changed.service_method, changed.item_id) == (ServiceMethod.REPEATED, 1)
    with pytest.raises(Conflict):
        change(desk, record_id, view.version)
    desk.bay.finish(FinishWork(actor=desk.actor(), work_order_id=view.work_order_id))
    with pytest.raises(RuleBroken) as refusal:
        change(desk, record_id, desk.bay.record(record_id).version)
    assert refusal.value.field == "item"


def test_that_what_is_due_is_known_before_the_record_is_finished(desk: Desk) -> None:
    record_id = begun(desk)
    view = desk.bay.record(record_id)
    before = desk.due.after(record_id)
    desk.bay.finish(FinishWork(actor=desk.actor(), work_order_id=view.work_order_id))
    after = desk.due.of_unit(view.unit_id)
    assert before is not None
    assert after is not None
    assert before.due == after.due


def test_that_a_level_check_alone_promises_no_new_date(one_desk: Desk) -> None:
    record_id = begun(one_desk)
    change(one_desk, record_id, 1, service_method=ServiceMethod.LEVEL_CHECK, item_id=None)
    assert one_desk.due.after(record_id) is None


def test_that_a_work_order_tells_what_it_took_from_the_shelf_and_what_is_left(desk: Desk) -> None:
    done = run(desk, document())
    fluid, washers = desk.board.work_order(done.work_order_id).from_stock
    assert (fluid.wanted, fluid.drawn, fluid.lots) == (3_785_000, 3_785_000, ("H6-2207",))
    assert (washers.wanted, washers.drawn, washers.left) == (2_000, 2_000, 8_000)


def fluid_on_hand(desk: Desk) -> int:
    return sum(row.on_hand for row in desk.stock.on_hand() if row.base == "ul")


def test_that_a_finished_record_is_corrected_with_a_reason_and_the_shelf_follows(desk: Desk) -> None:
    done = run(desk, document())
    view = desk.bay.record(done.record_id)
    assert view.finished
    standing = {each.field: each for each in current(kept.entry for kept in view.entries)}
    wrong = standing["put_in"]
    before = fluid_on_hand(desk)
    assert wrong.value_int is not None
    less = f"{(wrong.value_int - 100_000) / 1000:g} mL"
    with pytest.raises(RuleBroken, match="say why") as refusal:
        enter(desk, done.record_id, field="put_in", value=less, corrects_id=wrong.id)
    assert refusal.value.field == "entries/0/reason"
    enter(desk, done.record_id, field="put_in", value=less, corrects_id=wrong.id, reason="misread the jug")
    assert fluid_on_hand(desk) - before == 100_000
    assert desk.safekeeping.check().findings == ()
