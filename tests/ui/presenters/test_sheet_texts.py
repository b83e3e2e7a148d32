"""Which fields a sheet has, and that its texts make the command that keeps it as it is."""

from dataclasses import fields, replace
from datetime import UTC, datetime

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.intervals import Interval, Layer
from shopdesk.domain.level_rules import EngineState, Flow, LevelRules, Stance
from shopdesk.domain.methods import LevelMethod, UnitKind
from shopdesk.domain.sheet import Plug, PlugTorque, SheetBody, WasherNeed
from shopdesk.domain.units import NumberStyle
from shopdesk.services.acting import Actor
from shopdesk.services.sheets import SaveSheet, SheetView, read_body
from shopdesk.services.typed import Typed
from shopdesk.ui.presenters.sheet_words import (
    distance_reader,
    kind_choices,
    level_words,
    method_choices,
    months_reader,
    revision_words,
    steps_words,
    temperature_reader,
)
from shopdesk.ui.presenters.sheets import (
    asked,
    check_designation,
    field_of_refusal,
    sheet_command,
    sheet_texts,
    sometimes,
    usual_texts,
)
from tests.ui.presenters.shops import METRIC, US, US_FIGURES

ACTOR = Actor(person_id=1, station_id=1)
VIEW = SheetView(
    sheet_id=1,
    revision_id=4,
    revision=2,
    designation="PX6-A",
    kind=UnitKind.AUTOMATIC,
    specification="HX-6",
    specification_id=1,
    service_fill_ul=3_028_329,
    total_ul=7_000_000,
    body=SheetBody(
        level=LevelRules(
            method=LevelMethod.OVERFLOW_TUBE,
            window_low_mc=35_000,
            window_high_mc=45_000,
            engine=EngineState.IDLING,
            selector_cycled=True,
            selector_dwell_s=3,
            stance=Stance.ON_WHEELS,
            flow_at_closing=frozenset({Flow.DRIP, Flow.PULSE}),
        ),
        level_repeatability_ul=40_000,
        torques=(
            PlugTorque(plug=Plug.DRAIN, torque_mnm=48_809),
            PlugTorque(plug=Plug.LEVEL, torque_mnm=24_405, tolerance_mnm=2_000),
        ),
        washers=(WasherNeed(plug=Plug.DRAIN, text="18 x 24 x 1.5"),),
        maker_normal=Interval(layer=Layer.MAKER, distance_tenths=600_000, distance_unit="mi", months=72),
        shop_severe=Interval(layer=Layer.SHOP, none_needed=True),
        cautions=("The tube is soft.",),
    ),
    source="Invented manual",
    checked_by="Rhea",
    written_utc=datetime(2026, 11, 2, 18, 0, tzinfo=UTC),
)


@pytest.mark.parametrize("shop", [US, METRIC])
def test_that_a_sheets_texts_read_back_as_the_same_sheet(shop: object) -> None:
    command = sheet_command(sheet_texts(VIEW, shop), ACTOR, "u")  # type: ignore[arg-type]
    body = read_body(Typed(shop=shop, style=NumberStyle.PERSON), command)  # type: ignore[arg-type]
    assert replace(body, steps=()) == VIEW.body
    assert (command.source, command.checked_by, command.kind) == (
        "Invented manual",
        "Rhea",
        UnitKind.AUTOMATIC,
    )


@pytest.mark.parametrize("method", LevelMethod)
@pytest.mark.parametrize("kind", UnitKind)
def test_that_every_field_of_the_command_is_asked_for_somewhere(method: LevelMethod, kind: UnitKind) -> None:
    texts = usual_texts(kind) | {"level_method": method.value, "selector_cycled": "yes"}
    wanted = asked(texts)
    assert wanted <= sometimes()
    assert ("window_low" in wanted) == (method is not LevelMethod.MEASURED_REFILL)
    assert ("torque level plug" in wanted) == (method is LevelMethod.OVERFLOW_TUBE)


def test_that_no_field_of_the_command_is_forgotten() -> None:
    every = {*sheet_texts(VIEW, US), *sometimes()}
    named = {name.split("/")[0] for name in every} | {"torques", "washers"}
    wanted = {field.name for field in fields(SaveSheet)} - {"actor", "uid", "style"}
    assert wanted <= named | {"maker_severe", "shop_normal"}
    assert {f"{layer}/months" for layer in ("maker_severe", "shop_normal")} <= every


def test_that_what_is_not_asked_for_is_not_sent() -> None:
    texts = sheet_texts(VIEW, US) | {"level_method": "fill-hole edge", "has_drain_plug": ""}
    command = sheet_command(texts, ACTOR, "u")
    assert (command.engine, command.selector_cycled, command.torques, command.washers) == (
        None,
        False,
        (),
        (),
    )
    assert command.window_low == "95 °F"
    texts |= {"maker_normal/none_needed": "yes"}
    interval = sheet_command(texts, ACTOR, "u").maker_normal
    assert (interval.distance, interval.months, interval.none_needed) == ("", None, True)


@pytest.mark.parametrize(
    ("name", "text"),
    [("maker_normal/months", "six"), ("maker_normal/months", "0"), ("selector_dwell_s", "3.5")],
)
def test_that_a_number_that_is_not_whole_is_refused_beside_its_field(name: str, text: str) -> None:
    with pytest.raises(RuleBroken) as refused:
        sheet_command(sheet_texts(VIEW, US) | {name: text}, ACTOR, "u")
    assert refused.value.field == name


def test_that_a_refusal_finds_its_field_again() -> None:
    command = sheet_command(sheet_texts(VIEW, US), ACTOR, "u")
    assert field_of_refusal("torques/1/tolerance", command) == "tolerance level plug"
    assert field_of_refusal("torques/0/plug", command) == "torque drain plug"
    assert field_of_refusal("washers", command) == "washer drain plug"
    assert field_of_refusal("flow_at_opening", command) == "flow_at_opening/stream"
    assert field_of_refusal("maker_normal/distance", command) == "maker_normal/distance"


def test_that_a_designation_is_taken_once_without_regard_to_case() -> None:
    check_designation("PX7", ["px6-a"])
    with pytest.raises(RuleBroken):
        check_designation(" px6-A", ["px6-a"])


def test_that_values_are_said_in_both_systems_while_they_are_typed() -> None:
    assert temperature_reader(US_FIGURES, "window_low")("35 C") == "95 °F (35 °C)"
    assert distance_reader(US_FIGURES, "maker_normal/distance")("60,000") == "60,000 mi (96,560 km)"
    assert [months_reader("m")(text) for text in ("72", "12", "18", "6")] == ["6 years", "1 year", "", ""]


def test_that_lists_say_how_a_level_is_set_and_which_revision_it_is() -> None:
    assert level_words(VIEW, US_FIGURES) == "Overflow tube, 95–113 °F / 35–45 °C"
    assert revision_words(VIEW, US_FIGURES).startswith("Revision 2, 2 Nov 2026 11:00 AM")
    assert revision_words(VIEW, US_FIGURES).endswith("checked by Rhea")
    assert ("CVT", "CVT") in kind_choices()
    assert len(method_choices()) == len(LevelMethod)


def test_that_the_order_of_work_follows_the_method() -> None:
    steps = steps_words(usual_texts(UnitKind.REAR_DIFFERENTIAL))
    assert steps.index("Level set") < steps.index("Fill plug torqued")
    assert "Engine started" not in steps
