"""What is typed into the service form, turned into entries: changes, corrections, withdrawals."""

from __future__ import annotations

from datetime import UTC, datetime

from hypothesis import given
from hypothesis import strategies as st

from shopdesk.services.bay import EntryTyped
from shopdesk.services.instruments import InstrumentKind, InstrumentRow
from shopdesk.ui.presenters.record_shape import Slot, slot_of
from shopdesk.ui.presenters.record_slots import (
    Change,
    Kept,
    changes,
    field_of_refusal,
    live_entries,
    tool_kind,
    usual_tools,
)

DRAINED, LEVEL, STEP = Slot("drained"), Slot("vehicle_level"), Slot("step", 1, "drained")
SLOTS = (DRAINED, LEVEL, STEP)
TOOLS = {InstrumentKind.PAN: 7, InstrumentKind.JUG: 8}


def kept(**changed: object) -> Kept:
    values = {
        "entry_id": 31,
        "value": "3.03 L",
        "within": "",
        "temperature": "104 °F",
        "reason": "",
        "instrument": "Pan",
        "person": "Rhea Sandoval",
        "at_utc": datetime(2026, 11, 25, 17, 0, tzinfo=UTC),
        "words": "3.20 qt (3.03 L)",
        **changed,
    }
    return Kept(**values)  # type: ignore[arg-type]


def texts(**changed: str) -> dict[str, str]:
    return {"drained:1": "3.03 L", "drained:1:temperature": "104 °F", **changed}


def test_that_nothing_typed_is_nothing_to_keep() -> None:
    assert changes({}, {}, TOOLS, SLOTS) == ()


def test_that_what_is_kept_already_is_not_kept_again() -> None:
    assert changes(texts(), {"drained:1": kept()}, TOOLS, SLOTS) == ()


def test_that_a_new_value_carries_its_tool_and_temperature() -> None:
    (change,) = changes(texts(), {}, TOOLS, SLOTS)
    assert change.entry == EntryTyped(field="drained", value="3.03 L", temperature="104 °F", instrument_id=7)


def test_that_a_spread_that_is_typed_stands_in_place_of_the_tool() -> None:
    (change,) = changes(texts(**{"drained:1:within": "100 mL"}), {}, TOOLS, SLOTS)
    assert (change.entry.within, change.entry.instrument_id) == ("100 mL", None)


def test_that_another_temperature_alone_corrects_the_entry() -> None:
    (change,) = changes(texts(**{"drained:1:temperature": "90"}), {"drained:1": kept()}, TOOLS, SLOTS, "typo")
    assert (change.entry.corrects_id, change.entry.value, change.entry.reason) == (31, "3.03 L", "typo")


def test_that_an_emptied_field_withdraws_and_keeps_nothing_else_of_it() -> None:
    (change,) = changes(
        {"drained:1": "", "drained:1:temperature": "104 °F"}, {"drained:1": kept()}, TOOLS, SLOTS
    )
    assert change.entry == EntryTyped(field="drained", value="", corrects_id=31)


def test_that_a_ticked_step_says_which_step() -> None:
    (change,) = changes({"step:drained": "yes"}, {}, TOOLS, SLOTS)
    assert change.entry == EntryTyped(field="step", value="drained")


def test_that_a_temperature_without_its_value_is_not_kept() -> None:
    assert changes({"drained:1:temperature": "104"}, {}, TOOLS, SLOTS) == ()


@given(st.dictionaries(st.sampled_from(["drained:1", "drained:1:within", "vehicle_level:1"]), st.text()))
def test_that_any_texts_are_taken_as_they_are(typed: dict[str, str]) -> None:
    for change in changes(typed, {}, TOOLS, SLOTS):
        assert change.entry.value == typed[change.slot.name].strip()


def test_that_a_refusal_finds_the_field_it_is_about() -> None:
    sent = (
        Change(slot=LEVEL, entry=EntryTyped(field="vehicle_level", value="yes")),
        Change(slot=DRAINED, entry=EntryTyped(field="drained", value="x")),
    )
    assert field_of_refusal("entries/1/value", sent) == "drained:1"
    assert field_of_refusal("entries/1/within", sent) == "drained:1:within"
    assert field_of_refusal("entries/9/value", sent) == "entries/9/value"
    assert field_of_refusal("item", sent) == "item"


def test_that_a_slots_name_reads_back() -> None:
    for slot in (DRAINED, STEP, Slot("put_in", 3)):
        assert slot_of(slot.name) == slot
        assert slot_of(f"{slot.name}:reason") == slot


def test_that_what_came_out_is_read_in_the_pan_and_what_went_in_on_the_jug() -> None:
    assert tool_kind("ran_out") is InstrumentKind.PAN
    assert tool_kind("put_in") is InstrumentKind.JUG
    assert tool_kind("open_temperature") is InstrumentKind.THERMOMETER
    assert tool_kind("engine") is None


def tool(number: int, kind: InstrumentKind, name: str) -> InstrumentRow:
    return InstrumentRow(
        id=number, kind=kind, name=name, half_width=1, half_width_from="", calibrated_on=None, due_on=None
    )


def test_that_the_tool_used_last_is_offered_else_the_only_one() -> None:
    rows = [
        tool(1, InstrumentKind.PAN, "Pan 1"),
        tool(2, InstrumentKind.PAN, "Pan 2"),
        tool(3, InstrumentKind.JUG, "Jug"),
    ]
    assert usual_tools(rows, {})[InstrumentKind.PAN] is None
    assert usual_tools(rows, {})[InstrumentKind.JUG] == 3
    assert usual_tools(rows, {"drained:1": kept(instrument="Pan 2")})[InstrumentKind.PAN] == 2


def test_that_typed_grades_and_answers_count_before_they_are_kept() -> None:
    sent = (
        Change(slot=Slot("particles"), entry=EntryTyped(field="particles", value="3")),
        Change(slot=LEVEL, entry=EntryTyped(field="vehicle_level", value="no", reason="slope")),
        Change(slot=STEP, entry=EntryTyped(field="step", value="drained")),
    )
    grade, level = live_entries(sent)
    assert (grade.value_int, level.value_int, level.reason) == (3, 0, "slope")
