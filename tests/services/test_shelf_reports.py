"""What the shelf's books add up to: value, shrinkage, billed against used, history, hints, coming days."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from shopdesk.domain.counting import CountMethod
from shopdesk.domain.pricing import LineKind
from shopdesk.domain.stages import Stage
from shopdesk.domain.stock import CostMethod, MoveKind
from shopdesk.services.buying import MoveOrder, OrderLineTyped, OrderState, SaveOrder, SaveSupplier
from shopdesk.services.containers import TakeOff
from shopdesk.services.counting import Count
from shopdesk.services.items import Claim, ClaimBasis
from shopdesk.services.lines import LineTyped
from shopdesk.services.outlook import Enough
from shopdesk.services.reserving import ReserveWork
from shopdesk.services.shelf_settings import ChangeShelfSetting
from shopdesk.services.work import EditWorkOrder, MoveStage
from tests.services.floors import Floor
from tests.services.stockroom import LABOUR, Job, Stockroom, stockroom

MONTH = date(2026, 11, 1)


@pytest.fixture
def room(floor: Floor) -> Stockroom:
    return stockroom(floor.desk, floor.url)


def line(item: str, quantity: str, unit_id: int | None = None) -> LineTyped:
    return LineTyped(kind=LineKind.FLUID, item=item, quantity=quantity, unit_id=unit_id)


@pytest.mark.parametrize(
    ("method", "used", "left"), [(CostMethod.FIFO, 720_000, 895_500), (CostMethod.AVERAGE, 725_294, 890_206)]
)
def test_that_openstaxs_example_goes_through_the_ledger(
    floor: Floor, method: CostMethod, used: int, left: int
) -> None:
    # OpenStax, Principles of Financial Accounting, chapter 10, module m67891: FIFO 7,200 sold and 8,955
    # left; moving average 7,253 and 8,902 (unrounded, computed: 7252.94 and 8902.06).
    room = stockroom(floor.desk, floor.url, cost_method=method)
    part = room.part()
    room.receive(part, "150", "3150.00")
    _sell(room, "120")
    room.receive(part, "225", "6075.00")
    _sell(room, "180")
    room.receive(part, "210", "6930.00")
    (row,) = room.desk.shelf_reports.value().rows
    assert (row.in_minor, row.used_minor, row.left_minor) == (1_615_500, used, left)
    assert row.on_hand == 285_000


def _sell(room: Stockroom, quantity: str) -> None:
    part = LineTyped(kind=LineKind.PART, item="Crush washer 14 x 20", quantity=quantity)
    room.vehicle(f"V {quantity}").priced(LABOUR, part).finished()


def test_that_cost_in_is_used_otherwise_gone_and_left(room: Stockroom) -> None:
    fluid = room.fluid()
    can = room.receive(fluid, "10 l", "50.00")
    room.vehicle().priced().serviced(fluid, "3.5 l").finished()
    off = TakeOff(actor=room.actor, item_id=fluid, kind=MoveKind.WASTE, quantity="1 l", reason="dirty")
    room.desk.containers.take_off(off)
    count = Count(
        actor=room.actor,
        item_id=fluid,
        container_id=can,
        method=CountMethod.WHOLE,
        whole="5",
        reason="missing",
    )
    room.desk.counting.count(count)
    (row,) = room.desk.shelf_reports.value().rows
    assert (row.in_minor, row.used_minor, row.other_minor, row.left_minor) == (5_000, 1_750, 750, 2_500)
    assert [(each.quantity, each.cost_minor) for each in row.layers] == [(5_000_000, 2_500)]


def test_that_shrinkage_is_told_against_what_counting_can_show(room: Stockroom) -> None:
    fluid = room.fluid(package="60 l")
    keg = room.receive(fluid, "60 l", "300.00")
    room.vehicle().priced().serviced(fluid, "3.5 l").finished()
    glass = {"actor": room.actor, "item_id": fluid, "container_id": keg, "method": CountMethod.SIGHT_GLASS}
    room.desk.counting.count(Count(**glass, reading="56 l", within="0.5 l", temperature="20 degC"))
    (row,) = room.desk.shelf_reports.shrinkage(MONTH)
    found = row.shrinkage
    assert (row.counts, found.lost, found.used, found.alarming) == (1, 500_000, 3_500_000, False)
    room.desk.counting.count(
        Count(**glass, reading="52 l", within="0.5 l", temperature="20 degC", reason="tap dripped")
    )
    (row,) = room.desk.shelf_reports.shrinkage(MONTH)
    assert (row.counts, row.shrinkage.lost, row.shrinkage.alarming) == (2, 4_500_000, True)
    assert row.cost_minor == 2_250
    assert room.desk.shelf_reports.shrinkage(date(2026, 10, 5)) == ()


def test_that_billed_and_used_stand_side_by_side(room: Stockroom) -> None:
    fluid = room.fluid()
    room.receive(fluid, "10 l", "50.00")
    job = room.vehicle().priced(LABOUR, line("Clear ATF", "4")).serviced(fluid, "3.6 l")
    assert room.desk.shelf_reports.billed_against_used(MONTH) == ()
    job.finished()
    (row,) = room.desk.shelf_reports.billed_against_used(MONTH)
    assert (row.billed_ul, row.used_ul, row.difference_ul) == (4_000_000, 3_600_000, 400_000)


def test_that_a_products_picture_has_a_line_and_dots(floor: Floor) -> None:
    room = stockroom(floor.desk, floor.url)
    fluid = room.fluid(order_at="4 l", fill_to="20 l")
    can = room.receive(fluid, "10 l", "50.00", on=date(2026, 11, 20))
    room.vehicle().priced().serviced(fluid, "3.5 l").finished()
    floor.clock.forward(days=1)
    room.desk.counting.count(
        Count(
            actor=room.actor,
            item_id=fluid,
            container_id=can,
            method=CountMethod.WHOLE,
            whole="6",
            reason="lost",
        )
    )
    history = room.desk.shelf_reports.history(fluid, date(2026, 11, 22))
    assert [(point.on_date.day, point.level) for point in history.line] == [
        (22, 10_000_000),
        (25, 6_500_000),
        (26, 6_000_000),
    ]
    assert [(dot.on_date.day, dot.counted, dot.expected, dot.two_u) for dot in history.dots] == [
        (26, 6_000_000, 6_500_000, 0)
    ]
    assert (history.order_at, history.fill_to) == (4_000_000, 20_000_000)


def test_that_the_owners_marks_come_first_and_the_hint_says_its_basis(floor: Floor) -> None:
    room = stockroom(floor.desk, floor.url)
    fluid = room.fluid(order_at="5 l", fill_to="20 l")
    room.receive(fluid, "40 l", "200.00")
    room.desk.shelf_rules.change(ChangeShelfSetting(actor=room.actor, key="lead_days", value="5"))
    for n in range(6):
        room.vehicle(f"AA {n}").priced().serviced(fluid, "4 l").finished()
        floor.clock.forward(days=2)
    (row,) = room.desk.ordering_hints.rows()
    assert (row.on_hand, row.packages, row.cover_days) == (16_000_000, 0, 8)  # 24 L in 12 days
    assert row.hint is not None
    assert row.hint.lead_demand == 10_000_000
    assert "12 days of use" in row.basis
    job = room.vehicle("BB 1").priced(LABOUR, line("Clear ATF", "12"))
    room.desk.reserving.reserve_work(ReserveWork(actor=room.actor, work_order_id=job.order_id))
    (row,) = room.desk.ordering_hints.rows()
    assert (row.reserved, row.packages) == (12_000_000, 16)  # 4 L are free: up to 20 L
    who = room.desk.buying.save_supplier(SaveSupplier(actor=room.actor, name="Quarry")).supplier_id
    lines = (OrderLineTyped(item_id=fluid, packages="16", price="5.00"),)
    order = room.desk.buying.save_order(SaveOrder(actor=room.actor, supplier_id=who, lines=lines))
    move = MoveOrder(actor=room.actor, order_id=order.order_id, version=1, state=OrderState.ORDERED)
    room.desk.buying.move_order(move)
    (row,) = room.desk.ordering_hints.rows()
    assert (row.on_order, row.packages) == (16_000_000, 0)


def test_that_too_little_history_gives_no_hint(room: Stockroom) -> None:
    room.receive(room.fluid(), "4 l", "20.00")
    (row,) = room.desk.ordering_hints.rows()
    assert (row.hint, row.cover_days) == (None, None)
    assert row.basis.startswith("No hint")


def promised(room: Stockroom, job: Job, days: int) -> Job:
    at = datetime(2026, 11, 25, 16, tzinfo=UTC) + timedelta(days=days)
    version = room.desk.board.work_order(job.order_id).version
    room.desk.work.edit(
        EditWorkOrder(actor=room.actor, work_order_id=job.order_id, version=version, promised_at=at)
    )
    return job


def test_that_the_coming_days_are_served_in_their_order_with_what_may_stand_in(room: Stockroom) -> None:
    fluid, other = room.fluid(), room.fluid("Second ATF")
    room.fluid("Unsuitable", claims=(Claim(specification="ZZ-9", basis=ClaimBasis.MAKERS_OWN),))
    room.receive(fluid, "5 l", "25.00")
    room.receive(other, "3 l", "18.00")
    later = promised(room, room.vehicle("AA 1").priced(LABOUR, line("Clear ATF", "4")), 3)
    sooner = promised(room, room.vehicle("BB 2").priced(LABOUR, line("Clear ATF", "4")), 1)
    far = promised(room, room.vehicle("CC 3").priced(LABOUR, line("Clear ATF", "4")), 30)
    view = room.desk.outlooks.until(date(2026, 12, 2))
    assert [row.work_order_id for row in view.rows] == [sooner.order_id, later.order_id]
    first, second = view.rows
    assert (first.from_shelf, first.verdict) == (4_000_000, Enough.YES)
    assert (second.from_shelf, second.lacking, second.verdict) == (1_000_000, 0, Enough.WITH_SUBSTITUTE)
    assert [(each.name, each.quantity) for each in second.instead] == [("Second ATF", 3_000_000)]
    assert view.verdict is Enough.WITH_SUBSTITUTE
    whole = room.desk.outlooks.until(date(2026, 12, 31))
    assert (whole.rows[2].work_order_id, whole.rows[2].lacking) == (far.order_id, 4_000_000)
    assert whole.verdict is Enough.NO
    room.desk.work.move(MoveStage(actor=room.actor, work_order_id=far.order_id, stage=Stage.CANCELLED))
    assert len(room.desk.outlooks.until(date(2026, 12, 31)).rows) == 2
