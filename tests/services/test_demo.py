"""The demo shop: what is in it, that it follows from its seed, and that half of one is never left."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.intervals import DueState
from shopdesk.domain.stages import Stage
from shopdesk.domain.stock import MoveKind
from shopdesk.domain.vin import read_vin
from shopdesk.launch import open_desk
from shopdesk.services.acting import Clock
from shopdesk.services.buying import OrderState
from shopdesk.services.demo import cast
from shopdesk.services.demo.back_room import CARRIER, REBUILT
from shopdesk.services.demo.make import demo_clock, ensure_demo, make_demo
from shopdesk.services.demo.plan import FULL, SMALL, Plan, Story, Twist, make_plan
from shopdesk.services.demo.sheets import SHEETS
from shopdesk.services.demo.shelf import ITEMS
from shopdesk.services.demo.twists import add_twists
from shopdesk.services.desk import Desk
from tests.services.shopfloor import StandingClock

REBUILT_FROM = "Hobs Gearbox Parts"
NOW = datetime(2026, 11, 25, 17, 36, tzinfo=UTC)


def small_demo(file: Path, *, now: datetime = NOW, seed: int = 20) -> Desk:
    """Give a small demo open at ``now``."""
    ensure_demo(str(file), open_desk, now=now, seed=seed, size=SMALL).close()
    return open_desk(str(file), clock=StandingClock(now))


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """A small demo that the tests only look at."""
    desk = small_demo(tmp_path_factory.mktemp("demo") / "demo.db")
    yield desk
    desk.close()


def planned(today: date, seed: int) -> Plan:
    rng = Random(seed)
    plan = make_plan(today, FULL, rng)
    add_twists(plan, rng)
    return plan


def told(desk: Desk) -> list[object]:
    """Give what a person sees of a shop: its orders, records, bills, shelf and what is due."""
    orders = desk.board.work_orders(most=500)
    records = [
        [
            (kept.entry.field, kept.entry.round, kept.typed, kept.person)
            for kept in desk.bay.record(row.record_id).entries
        ]
        for order in orders
        for row in desk.board.work_order(order.id).records
    ]
    return [
        [(row.number, row.stage, row.plate, row.customer, row.work, row.opened_utc) for row in orders],
        records,
        [(row.number, row.total_minor, row.open_minor) for row in desk.invoices.list(most=500)],
        [(row.name, row.on_hand, row.cost_minor) for row in desk.stock.on_hand()],
        desk.due.within(2000),
    ]


def test_that_a_small_demo_has_a_few_of_everything(demo: Desk) -> None:
    orders = demo.board.work_orders(most=500)
    assert len(orders) == SMALL.orders
    assert len(demo.intake.vehicles(most=500)) == SMALL.vehicles
    assert {Stage.QUOTED, Stage.AUTHORISED, Stage.IN_THE_BAY, Stage.FINISHED, Stage.INVOICED} <= {
        row.stage for row in orders
    }
    assert any(row.waiting_reason for row in orders)
    assert any(row.open_minor for row in demo.invoices.list(only_open=True))


def test_that_everything_worked_out_in_the_demo_is_as_the_check_works_it_out(demo: Desk) -> None:
    assert demo.safekeeping.check().findings == ()


def test_that_the_work_in_the_bay_stands_half_filled_in_its_record(demo: Desk) -> None:
    in_bay = demo.board.work_orders(stages=(Stage.IN_THE_BAY,))
    record = demo.board.work_order(in_bay[0].id).records[0]
    view = demo.bay.record(record.record_id)
    fields = {kept.entry.field for kept in view.entries}
    assert not view.finished
    assert "drained" in fields
    assert "open_temperature" not in fields


def test_that_one_order_came_short_and_the_next_is_still_to_come(demo: Desk) -> None:
    waiting = [demo.buying.order(row.id) for row in demo.buying.orders() if row.state is OrderState.ORDERED]
    to_come, short = waiting
    assert {view.name for view in demo.buying.suppliers()} == {short.supplier.name, REBUILT_FROM}
    assert [line.received for line in to_come.lines] == [0, 0]
    jugs, washers = short.lines
    assert (jugs.received, jugs.damaged) == (6 * jugs.package_quantity, jugs.package_quantity)
    assert (jugs.open, washers.open) == (2 * jugs.package_quantity, 0)


def test_that_the_delivery_kept_its_lot_and_its_freight_and_a_deposit_is_out(demo: Desk) -> None:
    boxes = demo.containers.all()
    (delivered,) = [box for box in boxes if box.lot == "KX8-0447"]
    assert delivered.document_no == "LLS-30418"
    fluids = [box for box in boxes if box.lot]
    assert fluids
    assert all(box.good_until for box in fluids)
    assert [box.item for box in fluids if box.opened_on] != []
    (core,) = demo.cores.owed()
    assert (core.item, core.pieces_milli, core.amount_minor) == (REBUILT, 1000, 15_000)


def test_that_a_count_booked_small_differences_each_with_a_reason(demo: Desk) -> None:
    (row,) = demo.counting.sheets()
    sheet = demo.counting.sheet(row.sheet_id)
    differing = {
        line.item: line for line in sheet.lines if abs(line.difference) > 50_000 or line.kind == "part"
    }
    washer = differing.pop("Crush washer 14 x 20 x 1.5")
    (short,) = [line for line in differing.values() if line.counted]
    assert (row.closed, washer.difference, short.item) == (True, -1000, "Marlstone ATF 6")
    assert -160_000 <= short.difference <= -145_000
    for line in (washer, short):
        booked = [move for move in demo.stock.ledger(line.item_id) if move.kind is MoveKind.COUNT]
        assert line.difference in [move.quantity for move in booked if move.reason]


def test_that_used_oil_came_from_jobs_and_one_pick_up_took_it_away(demo: Desk) -> None:
    moves = [move for vessel in demo.used_oil.vessels() for move in demo.used_oil.ledger(vessel.id)]
    (haul,) = [move for move in moves if move.kind == "haul"]
    assert haul.carrier == CARRIER
    assert haul.document_no
    drained = sum(move.quantity_ul for move in moves if move.kind == "job")
    held = sum(vessel.held_ul for vessel in demo.used_oil.vessels())
    assert drained + haul.quantity_ul == held > 0
    capacity = demo.used_oil.capacity().total
    assert capacity is not None


def test_that_a_fluid_carries_its_hazard_words_and_the_day_of_its_safety_sheet(demo: Desk) -> None:
    (gear,) = [item for item in demo.items.all() if item.name == "Marlstone Gear 75W-90"]
    card = demo.cards.card(gear.id)
    assert card.hazard_text
    assert card.pictograms
    assert card.sds_on is not None


def test_that_something_is_overdue_in_the_demo(demo: Desk) -> None:
    assert DueState.OVERDUE in {row.state for row in demo.due.within(30)}


def test_that_telephone_numbers_are_of_the_kind_kept_for_invention(demo: Desk) -> None:
    # 555-0100 to 555-0199 are set aside for made-up numbers in North America (from memory).
    phones = [row.phone for row in demo.intake.customers(most=500)]
    assert all(re.fullmatch(r"555-01\d\d", phone) for phone in [*phones, str(cast.SHOP["phone"])])
    assert len(set(phones)) == len(phones) > 3


def test_that_plates_differ_and_numbers_have_a_right_check_digit_and_no_maker(demo: Desk) -> None:
    vehicles = demo.intake.vehicles(most=500)
    assert len({row.plate_key for row in vehicles}) == len(vehicles)
    numbers = [row.vin for row in vehicles if row.vin]
    assert numbers
    assert all(vin.startswith("0") and read_vin(vin).notes == () for vin in numbers)


def test_that_every_sheet_says_that_its_values_are_invented(demo: Desk) -> None:
    sheets = demo.sheets.all()
    assert len(sheets) == len(SHEETS)
    assert all(view.source.startswith("Invented") for view in sheets)


def test_that_every_fluid_a_sheet_needs_claims_its_specification(demo: Desk) -> None:
    claims = {item.name: {claim.specification for claim in item.claims} for item in demo.items.all()}
    assert all(sheet.values["specification"] in claims[sheet.fluid] for sheet in SHEETS.values())
    parts = {
        item for sheet in SHEETS.values() for item in (*sheet.washers.values(), sheet.filter_kit) if item
    }
    assert parts <= set(ITEMS)


def test_that_the_same_seed_and_day_give_the_same_shop_and_another_seed_another(
    demo: Desk, tmp_path: Path
) -> None:
    again, other = small_demo(tmp_path / "again.db"), small_demo(tmp_path / "other.db", seed=21)
    try:
        assert told(again) == told(demo)
        assert told(other) != told(demo)
    finally:
        again.close()
        other.close()


@pytest.mark.parametrize(
    "now",
    [
        datetime(2027, 1, 3, 8, 10, tzinfo=UTC),  # a Sunday, ten past one at night in the shop's zone
        datetime(2028, 2, 29, 23, 50, tzinfo=UTC),
        datetime(2026, 3, 8, 9, 30, tzinfo=UTC),  # half an hour after the clocks went forward there
    ],
)
def test_that_the_demo_ends_at_the_moment_it_is_asked_for(tmp_path: Path, now: datetime) -> None:
    desk = small_demo(tmp_path / "demo.db", now=now)
    try:
        orders = desk.board.work_orders(most=500)
        assert max(row.stage_utc for row in orders) <= now
        assert max(row.opened_utc for row in orders) > now - timedelta(hours=20)
        assert desk.safekeeping.check().findings == ()
    finally:
        desk.close()


def test_that_the_demo_is_made_on_postgresql_too(postgres_url: str) -> None:
    clock = demo_clock(NOW, SMALL)
    desk = open_desk(postgres_url, clock=clock)
    try:
        make_demo(desk, clock, now=NOW, size=SMALL)
        assert len(desk.board.work_orders(most=500)) == SMALL.orders
        assert desk.safekeeping.check().findings == ()
    finally:
        desk.close()


def test_that_a_demo_stopped_in_the_making_leaves_nothing(tmp_path: Path) -> None:
    def stop(share: float) -> None:
        if share > 0.5:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        ensure_demo(str(tmp_path / "demo.db"), open_desk, now=NOW, size=SMALL, progress=stop)
    assert list(tmp_path.iterdir()) == []


def test_that_a_demo_that_is_there_is_opened_and_not_made_again(tmp_path: Path) -> None:
    file = tmp_path / "demo.db"
    small_demo(file).close()
    opened: list[tuple[str, Clock | None]] = []

    def noting(address: str, *, clock: Clock | None = None, announce: object = None) -> Desk:
        opened.append((address, clock))
        return open_desk(address)

    ensure_demo(str(file), noting, size=SMALL, now=NOW + timedelta(days=1)).close()
    assert opened == [(str(file), None)]


def test_that_a_demo_of_weeks_ago_is_made_anew_and_the_old_one_kept_beside(tmp_path: Path) -> None:
    file, later = tmp_path / "demo.db", NOW + timedelta(days=21)
    small_demo(file).close()
    desk = ensure_demo(str(file), open_desk, size=SMALL, now=later)
    try:
        assert later - desk.board.work_orders(most=1)[0].opened_utc < timedelta(days=3)
    finally:
        desk.close()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["demo.db", "demo.db.before"]


def test_that_a_demo_is_refused_where_no_file_can_be(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(RuleBroken, match="cannot be made"):
        ensure_demo(str(tmp_path / "file" / "demo.db"), open_desk, now=NOW, size=SMALL)


@pytest.mark.parametrize("today", [date(2026, 11, 25), date(2027, 1, 3), date(2028, 2, 29)])
@pytest.mark.parametrize("seed", [1, 20])
def test_that_the_plan_of_two_years_holds_what_a_shop_meets(today: date, seed: int) -> None:
    plan = planned(today, seed)
    assert len(plan.customers) == 60
    assert len({customer.fields["name"] for customer in plan.customers}) == 60
    assert len(plan.vehicles) == 80
    assert len(plan.visits) == FULL.orders - FULL.open_work
    assert {visit.vehicle for visit in plan.visits} == set(range(80))
    assert {visit.story for visit in plan.visits} == set(Story)
    twists = Counter(service.twist for visit in plan.visits for service in visit.services)
    assert set(twists) == set(Twist)
    assert twists[Twist.WASHER_REUSED] == 1
    assert any(service.rounds > 1 for visit in plan.visits for service in visit.services)
    assert plan.sold_vehicle is not None
    assert plan.phoned_vehicle is not None


@pytest.mark.parametrize("today", [date(2026, 11, 25), date(2027, 1, 3)])
def test_that_the_shop_works_on_working_days_and_never_on_more_than_it_can(today: date) -> None:
    plan = planned(today, 20)
    by_day = Counter(visit.on for visit in plan.visits)
    assert max(by_day.values()) <= 5
    assert all(day.weekday() < 5 and plan.begins <= day < today for day in by_day)
    assert plan.visits == sorted(plan.visits, key=lambda visit: (visit.on, visit.slot))


def test_that_the_whole_demo_holds_two_years_of_work_that_adds_up(tmp_path: Path) -> None:
    now = datetime(2026, 3, 4, 18, 5, tzinfo=UTC)
    file = str(tmp_path / "demo.db")
    ensure_demo(file, open_desk, now=now).close()
    desk = open_desk(file, clock=StandingClock(now))
    try:
        orders = desk.board.work_orders(most=1000)
        assert len(orders) == FULL.orders == 250
        assert {row.stage for row in orders} == set(Stage)
        assert timedelta(days=690) < now - min(row.opened_utc for row in orders) < timedelta(days=740)
        _assert_orders(desk, [row.id for row in orders])
        _assert_shelf(desk)
        _assert_vehicles(desk)
        assert sum(1 for row in desk.due.within(30) if row.state is DueState.OVERDUE) >= 3
        assert desk.safekeeping.check().findings == ()
    finally:
        desk.close()


def _assert_orders(desk: Desk, order_ids: list[int]) -> None:
    views = [desk.board.work_order(order_id) for order_id in order_ids]
    assert sum(1 for view in views if view.comeback_cause and view.origin_number) == 1
    assert any(view.po_number for view in views)
    methods = {record.method for view in views for record in view.records}
    assert {"level check only", "drain and fill", "repeated drain and fill"} <= methods


def _assert_shelf(desk: Desk) -> None:
    rows = desk.stock.on_hand()
    low = [row.name for row in rows if row.order_at is not None and row.on_hand < row.order_at]
    assert low == ["Marlstone CVT B"]
    moves = [move for row in rows for move in desk.stock.ledger(row.item_id, most=1000)]
    assert min(move.level_after for move in moves) >= 0


def _assert_vehicles(desk: Desk) -> None:
    assert len(desk.intake.customers(most=1000)) == 60
    vehicles = [desk.intake.vehicle(row.id) for row in desk.intake.vehicles(most=1000)]
    assert len(vehicles) == 80
    readings = [reading for vehicle in vehicles for reading in vehicle.readings]
    doubtful = [reading for reading in readings if reading.doubt]
    assert len(doubtful) >= 3
    assert all(reading.reason for reading in doubtful)
    assert {reading.segment for reading in readings} == {1, 2}
    assert any(vehicle.warning for vehicle in vehicles)
    assert max(len(vehicle.units) for vehicle in vehicles) == 4
