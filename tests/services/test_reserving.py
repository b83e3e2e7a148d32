"""Setting goods aside: never more than is free, also when two stations ask at once."""

from __future__ import annotations

import threading
from datetime import date

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.pricing import LineKind
from shopdesk.domain.stages import Stage
from shopdesk.launch import open_desk
from shopdesk.services.bay import FinishWork
from shopdesk.services.lines import LineTyped
from shopdesk.services.reserving import Release, Reserve, ReserveWork
from shopdesk.services.work import MoveStage
from tests.services.floors import Floor
from tests.services.stockroom import LABOUR, Job, Stockroom, stockroom


@pytest.fixture
def room(floor: Floor) -> Stockroom:
    return stockroom(floor.desk, floor.url)


def fluid_line(quantity: str) -> LineTyped:
    return LineTyped(kind=LineKind.FLUID, item="Clear ATF", quantity=quantity)


def test_that_the_second_job_is_told_what_is_left(room: Stockroom) -> None:
    fluid = room.fluid()
    room.receive(fluid, "6 l", "30.00")
    first = room.vehicle("AA 1").priced(LABOUR, fluid_line("4"))
    second = room.vehicle("BB 2").priced(LABOUR, fluid_line("3"))
    kept = room.desk.reserving.reserve_work(ReserveWork(actor=room.actor, work_order_id=first.order_id))
    assert [(row.item_id, row.quantity, row.free) for row in kept.rows] == [(fluid, 4_000_000, 2_000_000)]
    again = {"actor": room.actor, "work_order_id": second.order_id}
    with pytest.raises(RuleBroken, match=r"Clear ATF: 3\.00 L wanted, 2\.00 L free"):
        room.desk.reserving.reserve_work(ReserveWork(**again))
    assert room.desk.reserving.of(second.order_id) == ()
    room.desk.reserving.reserve_work(ReserveWork(**again, anyway_reason="delivery tomorrow"))
    assert room.ask("SELECT work_order_id, quantity, anyway_reason FROM reservation ORDER BY 1") == [
        (first.order_id, 4_000_000, ""),
        (second.order_id, 3_000_000, "delivery tomorrow"),
    ]
    room.desk.reserving.release(Release(actor=room.actor, work_order_id=first.order_id))
    assert room.desk.reserving.of(second.order_id)[0].free == 3_000_000


def test_that_finished_work_holds_nothing_back_any_more(room: Stockroom) -> None:
    fluid = room.fluid()
    room.receive(fluid, "6 l", "30.00")
    job = room.vehicle("AA 1").priced(LABOUR, fluid_line("4"))
    room.desk.reserving.reserve(Reserve(actor=room.actor, work_order_id=job.order_id, item_id=fluid))
    job.serviced(fluid, "3.5 l").finished()
    other = room.vehicle("BB 2").priced(LABOUR, fluid_line("2.5"))
    kept = room.desk.reserving.reserve(Reserve(actor=room.actor, work_order_id=other.order_id, item_id=fluid))
    assert (kept.quantity, kept.free) == (2_500_000, 0)
    with pytest.raises(RuleBroken, match="finished or cancelled"):
        room.desk.reserving.reserve(
            Reserve(actor=room.actor, work_order_id=job.order_id, item_id=fluid, quantity="1 l")
        )


def test_that_what_is_expired_or_put_aside_is_not_promised(room: Stockroom) -> None:
    fluid = room.fluid()
    room.receive(fluid, "6 l", "30.00", best_before=date(2026, 1, 1))
    job = room.vehicle().priced(LABOUR, fluid_line("1"))
    with pytest.raises(RuleBroken, match=r"0\.00 L free"):
        room.desk.reserving.reserve_work(ReserveWork(actor=room.actor, work_order_id=job.order_id))


def at_once(room: Stockroom, jobs: list[Job], ask: str) -> list[str]:
    """Let a station of its own for each job do the same at one moment; gives what they were told."""
    told: list[str] = []
    gun = threading.Barrier(len(jobs))

    def station(job: Job) -> None:
        desk = open_desk(room.url)
        try:
            gun.wait()
            if ask == "reserve":
                desk.reserving.reserve_work(ReserveWork(actor=room.actor, work_order_id=job.order_id))
            else:
                desk.bay.finish(FinishWork(actor=room.actor, work_order_id=job.order_id))
            told.append("kept")
        except RuleBroken as refusal:
            told.append(refusal.sentence)
        finally:
            desk.close()

    threads = [threading.Thread(target=station, args=(job,)) for job in jobs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return told


def test_that_two_stations_never_both_get_the_last_litre(room: Stockroom) -> None:
    fluid = room.fluid()
    room.receive(fluid, "1 l", "5.00")
    jobs = [room.vehicle(f"AA {n}").priced(LABOUR, fluid_line("1")) for n in range(4)]
    told = at_once(room, jobs, "reserve")
    assert told.count("kept") == 1
    assert all("0.00 L free" in sentence for sentence in told if sentence != "kept")
    assert room.ask("SELECT sum(quantity) FROM reservation") == [(1_000_000,)]


def test_that_what_two_stations_used_is_always_taken_and_flagged(room: Stockroom) -> None:
    fluid = room.fluid()
    room.receive(fluid, "1 l", "5.00")
    jobs = [room.vehicle(f"AA {n}").priced().serviced(fluid, "1 l") for n in range(3)]
    assert at_once(room, jobs, "finish") == ["kept"] * 3
    assert room.ask("SELECT sum(quantity), sum(cost_minor) FROM stock_move") == [(-2_000_000, 0)]
    (row,) = room.desk.stock.on_hand()
    assert row.count_due
    assert room.faults() == []


def test_that_a_cancelled_job_frees_what_it_held(room: Stockroom) -> None:
    fluid = room.fluid()
    room.receive(fluid, "4 l", "20.00")
    job = room.vehicle().priced(LABOUR, fluid_line("4"))
    room.desk.reserving.reserve_work(ReserveWork(actor=room.actor, work_order_id=job.order_id))
    room.desk.work.move(MoveStage(actor=room.actor, work_order_id=job.order_id, stage=Stage.CANCELLED))
    other = room.vehicle("BB 2").priced(LABOUR, fluid_line("4"))
    kept = room.desk.reserving.reserve_work(ReserveWork(actor=room.actor, work_order_id=other.order_id))
    assert kept.rows[0].free == 0
