"""The schemas that are published and the code that reads and writes by them say the same."""

from __future__ import annotations

import dataclasses
import json
from enum import StrEnum
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from shopdesk.domain.duty import DUTY_QUESTIONS
from shopdesk.domain.methods import LevelMethod, ServiceMethod, UnitKind
from shopdesk.domain.order import Step
from shopdesk.domain.pricing import LineKind
from shopdesk.domain.proof import ConditionState, EngineState, Flow, Marks, Stance
from shopdesk.domain.record import APPEARANCE, FIELDS, ODOUR, PARTICLES, WASHERS, StopDecision
from shopdesk.domain.sheet import Plug
from shopdesk.domain.stock import CostMethod
from shopdesk.domain.tax import TaxRounding
from shopdesk.services.acting import Command
from shopdesk.services.bay import EntryTyped
from shopdesk.services.billing import TakePayment, Tender
from shopdesk.services.customers import AddCustomer, CustomerKind
from shopdesk.services.desk import Desk
from shopdesk.services.items import SALE_UNITS, Claim, ClaimBasis, ItemKind, SaveItem
from shopdesk.services.lines import CONDITIONS, LineTyped
from shopdesk.services.odometers import OdometerSource, ReadOdometer
from shopdesk.services.setup import UNIT_CHOICES, FirstRun
from shopdesk.services.sheets import IntervalTyped, SaveSheet, TorqueTyped, WasherNeed
from shopdesk.services.stock import Receive
from shopdesk.services.vehicles import AddUnit, AddVehicle
from shopdesk.services.work import ConsentHow, EditWorkOrder, OpenWorkOrder, PartsChoice, RecordConsent
from tests.cli.asking import SCHEMAS, ask, job_file

Schema = dict[str, Any]
JOB: Schema = json.loads((SCHEMAS / "job.json").read_text(encoding="utf-8"))
RESULT: Schema = json.loads((SCHEMAS / "job-result.json").read_text(encoding="utf-8"))

#: Fields that a file cannot give: who asks, and what the job itself finds out.
COMMAND_FIELDS = {field.name for field in dataclasses.fields(Command)}


def at(path: str) -> Schema:
    """Give the part of the job's schema that stands at a path of keys; ``*`` is a list's item."""
    found = JOB
    for step in path.split("/"):
        found = found["items"] if step == "*" else found["properties"][step]
        while "anyOf" in found:
            found = found["anyOf"][0]
        if "$ref" in found:
            found = JOB["$defs"][found["$ref"].rpartition("/")[2]]
    return found


SECTIONS: list[tuple[str, type, set[str]]] = [
    ("shop", FirstRun, set()),
    ("items/*", SaveItem, set()),
    ("items/*/claims/*", Claim, set()),
    ("deliveries/*", Receive, {"item_id"}),
    ("customer", AddCustomer, set()),
    ("vehicle", AddVehicle, {"customer_id"}),
    ("odometer", ReadOdometer, {"vehicle_id", "corrects_id"}),
    ("sheet", SaveSheet, set()),
    ("sheet/torques/*", TorqueTyped, set()),
    ("sheet/washers/*", WasherNeed, set()),
    ("sheet/maker_normal", IntervalTyped, set()),
    ("sheet/maker_severe", IntervalTyped, set()),
    ("sheet/shop_normal", IntervalTyped, set()),
    ("sheet/shop_severe", IntervalTyped, set()),
    ("unit", AddUnit, {"vehicle_id", "kind", "sheet_id"}),
    ("lines/*", LineTyped, {"unit_id"}),
    ("consent", RecordConsent, {"work_order_id"}),
    ("payment", TakePayment, {"invoice_id"}),
]


@pytest.mark.parametrize(("path", "command", "found_out"), SECTIONS, ids=[path for path, *_ in SECTIONS])
def test_that_a_section_has_the_fields_of_its_command(path: str, command: type, found_out: set[str]) -> None:
    fields = {field.name for field in dataclasses.fields(command)} - COMMAND_FIELDS - found_out
    keys = set(at(path)["properties"])
    if path == "deliveries/*":
        keys -= {"item"}  # named instead of numbered
    assert keys == fields


@pytest.mark.parametrize(("path", "command", "found_out"), SECTIONS, ids=[path for path, *_ in SECTIONS])
def test_that_a_section_demands_what_its_command_cannot_do_without(
    path: str, command: type, found_out: set[str]
) -> None:
    needed = {
        field.name
        for field in dataclasses.fields(command)
        if field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
    }
    demanded = set(at(path).get("required", ())) - {"item"}
    assert demanded == needed - COMMAND_FIELDS - found_out


def test_that_the_work_order_section_is_opening_and_the_torque_that_editing_adds() -> None:
    opening = {field.name for field in dataclasses.fields(OpenWorkOrder)} - COMMAND_FIELDS
    found_out = {"vehicle_id", "customer_id", "odometer_id", "origin_work_order_id", "comeback_cause"}
    keys = set(at("work_order")["properties"])
    assert keys == (opening - found_out) | {"wheel_torque"}
    assert keys <= {field.name for field in dataclasses.fields(EditWorkOrder)}


def test_that_a_measured_volume_has_the_fields_of_an_entry() -> None:
    fields = {field.name for field in dataclasses.fields(EntryTyped)}
    renamed = {"volume": "value"}
    keys = {renamed.get(key, key) for key in JOB["$defs"]["measured"]["properties"]}
    assert keys == fields - {"field", "instrument_id", "corrects_id"}


def test_that_the_service_section_names_every_field_of_a_record() -> None:
    renamed = {
        "selector_dwell_s": "selector_dwell",
        "steps": "step",
        "deviations": "deviation",
        "notes": "note",
    }
    said = {renamed.get(key, key) for key in at("service")["properties"]} - {
        "method", "fluid", "fluid_reason", "done_on", "openings", "torques", "washers", "condition"
    }  # fmt: skip
    said |= set(at("service/condition")["properties"])
    said |= {"open_temperature", "close_temperature", "flow_at_opening", "flow_at_closing"}
    said |= {"reading_temperature", "edge_distance", "between_marks"}
    for kind in ("torque", "washer"):
        said |= {f"{plug.replace(' ', '_')}_{kind}" for plug in at(f"service/{kind}s")["properties"]}
    assert said == set(FIELDS)


ENUMS: list[tuple[str, type[StrEnum]]] = [
    ("shop/cost_method", CostMethod),
    ("shop/tax_rounding", TaxRounding),
    ("items/*/kind", ItemKind),
    ("items/*/claims/*/basis", ClaimBasis),
    ("customer/kind", CustomerKind),
    ("odometer/source", OdometerSource),
    ("sheet/kind", UnitKind),
    ("sheet/level_method", LevelMethod),
    ("sheet/engine", EngineState),
    ("sheet/flow_at_opening/*", Flow),
    ("sheet/flow_at_closing/*", Flow),
    ("sheet/torques/*/plug", Plug),
    ("sheet/washers/*/plug", Plug),
    ("work_order/parts_choice", PartsChoice),
    ("lines/*/kind", LineKind),
    ("consent/how", ConsentHow),
    ("service/method", ServiceMethod),
    ("service/engine", EngineState),
    ("service/stance", Stance),
    ("service/marks_read", Marks),
    ("service/stop_decision", StopDecision),
    ("sheet/stance", Stance),
    ("service/openings/*/flow_at_opening", Flow),
    ("service/openings/*/flow_at_closing", Flow),
    ("service/steps/*/step", Step),
    ("payment/tender", Tender),
]


@pytest.mark.parametrize(("path", "words"), ENUMS, ids=[path for path, _ in ENUMS])
def test_that_the_words_to_choose_from_are_those_of_the_code(path: str, words: type[StrEnum]) -> None:
    assert at(path)["enum"] == [word.value for word in words]


LISTS: list[tuple[str, tuple[str, ...]]] = [
    ("items/*/sale_unit", SALE_UNITS),
    ("lines/*/condition", CONDITIONS),
    ("vehicle/odometer_unit", ("mi", "km")),
    *((f"shop/{field}", choices) for field, choices in UNIT_CHOICES.items()),
    *((f"service/washers/{plug.value}", WASHERS) for plug in Plug),
]


@pytest.mark.parametrize(("path", "choices"), LISTS, ids=[path for path, _ in LISTS])
def test_that_lists_to_choose_from_are_those_of_the_code(path: str, choices: tuple[str, ...]) -> None:
    assert tuple(at(path)["enum"]) == choices


def test_that_every_list_of_words_in_the_schema_is_compared_with_the_code() -> None:
    known = [tuple(word.value for word in words) for _path, words in ENUMS] + [
        choices for _, choices in LISTS
    ]
    assert {tuple(words) for words in _all_enums(JOB)} == set(known)


def _all_enums(part: Any) -> list[list[str]]:
    if isinstance(part, dict):
        own = [part["enum"]] if "enum" in part else []
        return own + [words for value in part.values() for words in _all_enums(value)]
    return [words for value in part for words in _all_enums(value)] if isinstance(part, list) else []


@pytest.mark.parametrize(
    ("field", "grades"), [("appearance", APPEARANCE), ("odour", ODOUR), ("particles", PARTICLES)]
)
def test_that_grades_reach_as_far_as_their_words(field: str, grades: tuple[str, ...]) -> None:
    shown = at(f"service/condition/{field}")
    assert (shown["minimum"], shown["maximum"]) == (0, len(grades) - 1)


def test_that_the_duty_section_asks_the_questions_of_the_code() -> None:
    assert list(at("duty")["properties"]) == [key for key, _text in DUTY_QUESTIONS]


def test_that_plugs_with_torques_and_washers_are_those_of_the_code() -> None:
    plugs = [plug.value for plug in Plug]
    assert list(at("service/torques")["properties"]) == plugs
    assert list(at("service/washers")["properties"]) == plugs


def test_that_no_object_of_either_schema_takes_unknown_keys() -> None:
    assert _open_objects(JOB, "") == []
    assert _open_objects(RESULT, "") == []


def _open_objects(part: Any, path: str) -> list[str]:
    if isinstance(part, list):
        return [found for at_, value in enumerate(part) for found in _open_objects(value, f"{path}/{at_}")]
    if not isinstance(part, dict):
        return []
    own = [path] if "properties" in part and part.get("additionalProperties") is not False else []
    return own + [found for key, value in part.items() for found in _open_objects(value, f"{path}/{key}")]


def test_that_both_schemas_are_schemas() -> None:
    for schema in (JOB, RESULT):
        Draft202012Validator.check_schema(schema)
        assert schema["$schema"] == Draft202012Validator.META_SCHEMA["$schema"]


@pytest.mark.parametrize("name", ["us", "metric", "fixed_point"])
def test_that_what_a_job_answers_is_as_its_schema_says(one_desk: Desk, name: str) -> None:
    said = ask(one_desk, "job", job_file(name), "--json")
    assert said.code == 0
    faults = [fault.message for fault in Draft202012Validator(RESULT).iter_errors(said.data)]
    assert faults == []


def test_that_states_of_conditions_in_the_answer_are_those_of_the_code() -> None:
    conditions = RESULT["properties"]["proof"]["properties"]["conditions"]["items"]["properties"]
    assert conditions["state"]["enum"] == [state.value for state in ConditionState]
