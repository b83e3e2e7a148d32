"""Which fluid suits a unit, by whose rule, and what stands in the record when it does not."""

from __future__ import annotations

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.matching import MatchVerdict, RuleOf, Substitution
from shopdesk.services.bay import ChangeRecord, OpenRecord
from shopdesk.services.items import Claim, ClaimBasis
from shopdesk.services.matching import SetCustomerRule
from shopdesk.services.paper_parts import fluid_used
from shopdesk.services.shelf_settings import ChangeShelfSetting
from tests.documents.reading import words
from tests.services.floors import Floor
from tests.services.shopfloor import document, run
from tests.services.stockroom import Job, Stockroom, stockroom


@pytest.fixture
def room(floor: Floor) -> Stockroom:
    return stockroom(floor.desk, floor.url)


def claim(basis: ClaimBasis, specification: str = "TX-6") -> tuple[Claim, ...]:
    licence = "L-77" if basis is ClaimBasis.LICENSED else ""
    return (Claim(specification=specification, basis=basis, licence_no=licence),)


def strict(room: Stockroom) -> None:
    room.desk.shelf_rules.change(
        ChangeShelfSetting(actor=room.actor, key="substitution", value="licensed or better")
    )


def told(room: Stockroom, job: Job) -> list[tuple[str, str]]:
    """Give what the record says was done otherwise, with reasons."""
    view = room.desk.bay.record(job.record_id)
    return [
        (entry.entry.value_text or "", entry.entry.reason)
        for entry in view.entries
        if entry.entry.field == "deviation"
    ]


def test_that_fluids_are_offered_by_ground_and_shelf(room: Stockroom) -> None:
    job = room.vehicle()
    weak = room.fluid("Weak", claims=claim(ClaimBasis.SUITABLE))
    licensed = room.fluid("Licensed", claims=claim(ClaimBasis.LICENSED))
    room.fluid("Other", claims=claim(ClaimBasis.MAKERS_OWN, "ZZ-1"))
    room.receive(weak, "4 l", "20.00")
    offered = room.desk.matching.for_unit(job.unit_id, job.customer_id)
    assert [(each.item_id, each.match.needs_reason) for each in offered] == [(licensed, False), (weak, False)]
    assert offered[0].sentence == "Licensed, licensed (L-77): TX-6."
    strict(room)
    offered = room.desk.matching.for_unit(job.unit_id, job.customer_id)
    assert [each.match.verdict for each in offered] == [MatchVerdict.FITS, MatchVerdict.AGAINST_THE_RULE]


def test_that_a_misfit_needs_a_reason_and_stands_in_the_record(room: Stockroom) -> None:
    job, other = room.vehicle().priced(), room.fluid("Other", claims=claim(ClaimBasis.CLAIMS, "ZZ-1"))
    open_it = {"actor": room.actor, "work_order_id": job.order_id, "unit_id": job.unit_id, "item_id": other}
    with pytest.raises(RuleBroken, match="no claim for TX-6 on record") as refused:
        room.desk.bay.open(OpenRecord(**open_it))
    assert refused.value.field == "match_reason"
    assert room.ask("SELECT count(*) FROM service_record") == [(0,)]
    job.record_id = room.desk.bay.open(OpenRecord(**open_it, match_reason="customer brought it")).record_id
    assert told(room, job) == [("Other carries no claim for TX-6 on record.", "customer brought it")]
    kept = room.desk.matching.of_record(job.record_id)
    assert kept is not None
    assert (kept.verdict, kept.reason) == (MatchVerdict.UNKNOWN, "customer brought it")
    assert room.faults() == []


def test_that_another_choice_withdraws_the_deviation(room: Stockroom) -> None:
    job, other = room.vehicle().priced(), room.fluid("Other", claims=())
    good = room.fluid()
    job.record_id = room.desk.bay.open(
        OpenRecord(
            actor=room.actor,
            work_order_id=job.order_id,
            unit_id=job.unit_id,
            item_id=other,
            match_reason="try",
        )
    ).record_id
    view = room.desk.bay.record(job.record_id)
    change = {
        "actor": room.actor,
        "record_id": job.record_id,
        "service_method": view.service_method,
        "done_on": view.done_on,
    }
    room.desk.bay.change(ChangeRecord(**change, version=view.version, item_id=good))
    kept = room.desk.matching.of_record(job.record_id)
    assert kept is not None
    assert (kept.verdict, kept.item_id) == (MatchVerdict.FITS, good)
    standing = room.desk.bay.record(job.record_id).entries
    corrected = {entry.entry.corrects_id for entry in standing}
    open_deviations = [
        entry
        for entry in standing
        if entry.entry.field == "deviation" and entry.entry.id not in corrected and entry.entry.value_text
    ]
    assert open_deviations == []
    with pytest.raises(RuleBroken, match="no claim"):
        room.desk.bay.change(
            ChangeRecord(**change, version=room.desk.bay.record(job.record_id).version, item_id=other)
        )
    assert room.faults() == []


def test_that_the_customers_rule_stands_in_place_of_the_shops(room: Stockroom, floor: Floor) -> None:
    strict(room)
    job, fluid = room.vehicle().priced(), room.fluid()
    rule = {"actor": room.actor, "customer_id": job.customer_id}
    with pytest.raises(RuleBroken, match="what the customer said"):
        room.desk.matching.set_customer_rule(SetCustomerRule(**rule, rule=Substitution.CLAIMS))
    room.desk.matching.set_customer_rule(
        SetCustomerRule(**rule, rule=Substitution.CLAIMS, said="any fluid that claims it, 25 Nov")
    )
    job.serviced(fluid, "3.5 l")
    kept = room.desk.matching.of_record(job.record_id)
    assert kept is not None
    assert (kept.rule_of, kept.rule) == (RuleOf.CUSTOMER, Substitution.CLAIMS)
    assert kept.sentence == (
        "Clear ATF, claims to meet: TX-6. The customer accepts: the blender's claim is enough."
    )
    room.receive(fluid, "4 l", "20.00")
    job.finished()
    with floor.desk.office.reading() as reading:
        used = fluid_used(reading, room.desk.bay.record(job.record_id))
    assert used is not None
    assert used.claim == "claims to meet: TX-6. The customer accepts: the blender's claim is enough"
    assert "customer accepts" in words(room.desk.papers.service_record(job.record_id).content)
    room.desk.matching.set_customer_rule(SetCustomerRule(**rule, rule=None))
    match, sentence = room.desk.matching.judge(fluid, job.unit_id, job.customer_id)
    assert match.needs_reason
    assert "The shop's rule is: licensed or better." in sentence


def test_that_a_job_file_gives_its_reason_in_the_service(floor: Floor) -> None:
    content = document("us", new_id=True)
    for each in content["items"]:
        each["claims"] = []
    with pytest.raises(RuleBroken) as refused:
        run(floor.desk, content)
    assert refused.value.field == "/service/fluid_reason"
    content["service"]["fluid_reason"] = "nothing else was on the shelf"
    done = run(floor.desk, content)
    kept = floor.desk.matching.of_record(done.record_id)
    assert kept is not None
    assert kept.verdict is MatchVerdict.UNKNOWN
