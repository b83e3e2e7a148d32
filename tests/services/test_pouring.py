"""Out of which containers a service's fluid came, checked against what was put in; and what is billed."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.pricing import BillingRule
from shopdesk.services.cards import SaveCard
from shopdesk.services.containers import EventKind, NoteContainer
from shopdesk.services.pouring import PourCheck, SaySources, SourceTyped
from shopdesk.services.shelf_settings import ChangeShelfSetting
from tests.services.floors import Floor
from tests.services.stockroom import Job, Stockroom, stockroom


@pytest.fixture
def room(floor: Floor) -> Stockroom:
    return stockroom(floor.desk, floor.url)


def said(room: Stockroom, job: Job, *sources: SourceTyped) -> PourCheck:
    return room.desk.pours.say(SaySources(actor=room.actor, record_id=job.record_id, sources=sources))


def taken(room: Stockroom) -> dict[int, int]:
    rows = room.ask(
        "SELECT container_id, -sum(quantity) FROM stock_move WHERE record_id IS NOT NULL GROUP BY 1"
    )
    return {container: int(quantity) for container, quantity in rows}


def test_that_a_job_draws_from_the_containers_it_names(room: Stockroom) -> None:
    fluid = room.fluid(package="4 l")
    old, new = room.receive(fluid, "4 l", "20.00", lot="A"), room.receive(fluid, "4 l", "28.00", lot="B")
    job = room.vehicle().priced().serviced(fluid, "3.5 l")
    check = said(
        room,
        job,
        SourceTyped(container_id=new, before="4 l", after="1.02 l", within="20 ml"),
        SourceTyped(container_id=old, quantity="0.5 l", within="20 ml"),
    )
    assert (check.given_ul, check.difference_ul, check.agrees) == (3_480_000, -20_000, True)
    (drawn,) = job.finished().drawn
    assert drawn.cost_minor == 1_750  # costs leave oldest layer first, whatever was poured
    assert taken(room) == {new: 2_980_000, old: 520_000}
    assert {row.id: row.on_hand for row in room.desk.stock.containers(fluid)} == {
        new: 1_020_000,
        old: 3_480_000,
    }
    assert room.faults() == []


def test_that_a_difference_beyond_the_readings_is_told(room: Stockroom) -> None:
    fluid = room.fluid(package="4 l")
    can = room.receive(fluid, "4 l", "20.00")
    job = room.vehicle().priced().serviced(fluid, "3.2 l")
    check = said(room, job, SourceTyped(container_id=can, before="4 l", after="0.5 l", within="20 ml"))
    assert (check.difference_ul, check.agrees) == (300_000, False)
    assert check.sentence == "The containers gave 3.50 L, but 3.20 L was put in: 0.30 L more."
    assert room.desk.pours.check(job.record_id) == check


def test_that_another_product_is_part_of_what_was_put_in(room: Stockroom) -> None:
    fluid, modifier = room.fluid(package="20 l"), room.fluid("Friction modifier", package="118 ml", claims=())
    pail, bottle = room.receive(fluid, "20 l", "100.00"), room.receive(modifier, "118 ml", "9.00")
    job = room.vehicle().priced().serviced(fluid, "3.5 l")
    said(
        room,
        job,
        SourceTyped(container_id=pail, quantity="3.382 l"),
        SourceTyped(container_id=bottle, quantity="118 ml"),
    )
    assert {each.item_id: each.quantity for each in job.finished().drawn} == {
        fluid: 3_382_000,
        modifier: 118_000,
    }
    assert taken(room) == {pail: 3_382_000, bottle: 118_000}
    billed = room.desk.pours.billed(job.record_id)
    assert billed is not None
    assert (billed.used_ul, billed.quantity_milli) == (3_382_000, 3_400)
    assert room.faults() == []


def test_that_each_billing_rule_bills_its_own_quantity(room: Stockroom) -> None:
    fluid = room.fluid(package="1 l")
    room.receive(fluid, "20 l", "100.00")
    job = room.vehicle().priced().serviced(fluid, "3.21 l")

    def billed() -> int:
        found = room.desk.pours.billed(job.record_id)
        assert found is not None
        return found.quantity_milli

    assert billed() == 3_300  # measured, up to the next tenth
    change = {"actor": room.actor, "key": "billing_rule"}
    room.desk.shelf_rules.change(ChangeShelfSetting(**change, value=BillingRule.WHOLE_CONTAINERS.value))
    assert billed() == 4_000
    room.desk.cards.save(SaveCard(actor=room.actor, item_id=fluid, version=0, billing_rule=BillingRule.SHEET))
    assert billed() == 3_500
    job.finished()
    assert sum(taken(room).values()) == 3_210_000  # what was used is another number


def test_that_the_last_saying_stands_and_not_after_the_finish(room: Stockroom) -> None:
    fluid = room.fluid(package="4 l")
    one, two = room.receive(fluid, "4 l", "20.00"), room.receive(fluid, "4 l", "20.00")
    job = room.vehicle().priced().serviced(fluid, "3.5 l")
    said(room, job, SourceTyped(container_id=one, quantity="3.5 l"))
    said(room, job, SourceTyped(container_id=two, quantity="3.5 l"))
    job.finished()
    assert taken(room) == {two: 3_500_000}
    with pytest.raises(RuleBroken, match="finished"):
        said(room, job, SourceTyped(container_id=one, quantity="3.5 l"))


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"before": "5 l", "after": "1 l"}, "more than the container can hold"),
        ({"before": "3 l", "after": "3.1 l"}, "not more in it"),
        ({"before": "3 l"}, "Nothing is written"),
        ({"quantity": "-1 l"}, "below zero"),
    ],
)
def test_that_impossible_readings_are_refused(room: Stockroom, typed: dict[str, Any], sentence: str) -> None:
    fluid = room.fluid(package="4 l")
    can = room.receive(fluid, "4 l", "20.00")
    job = room.vehicle().priced().serviced(fluid, "3.5 l")
    with pytest.raises(RuleBroken, match=sentence):
        said(room, job, SourceTyped(container_id=can, **typed))
    assert room.ask("SELECT count(*) FROM record_draw") == [(0,)]


def test_that_an_expired_container_needs_a_reason_and_one_put_aside_is_barred(room: Stockroom) -> None:
    fluid = room.fluid(package="4 l")
    old = room.receive(fluid, "4 l", "20.00", best_before=date(2026, 10, 1))
    job = room.vehicle().priced().serviced(fluid, "3.5 l")
    with pytest.raises(RuleBroken, match="has passed"):
        said(room, job, SourceTyped(container_id=old, quantity="3.5 l"))
    said(
        room,
        job,
        SourceTyped(container_id=old, quantity="3.5 l", reason="sealed, blender says two years more"),
    )
    told = [
        each.entry for each in room.desk.bay.record(job.record_id).entries if each.entry.field == "deviation"
    ]
    assert [(each.value_text, each.reason) for each in told] == [
        ("Clear ATF #1: used after its best-before day", "sealed, blender says two years more")
    ]
    room.desk.containers.note(
        NoteContainer(actor=room.actor, container_id=old, kind=EventKind.QUARANTINED, reason="cloudy")
    )
    with pytest.raises(RuleBroken, match="put aside"):
        said(room, job, SourceTyped(container_id=old, quantity="3.5 l", reason="again"))
    assert room.faults() == []
