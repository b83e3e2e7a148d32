"""The same request twice, at once or one after the other, and two people at one record, on both engines."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from threading import Barrier
from typing import TypeVar

import pytest

from shopdesk.domain.errors import Conflict, RuleBroken, SameIdOtherContent
from shopdesk.services.acting import new_uid
from shopdesk.services.bay import FinishWork
from shopdesk.services.billing import IssueInvoice, TakePayment, Tender
from shopdesk.services.customers import AddCustomer, EditCustomer
from shopdesk.services.desk import Desk
from shopdesk.services.setup import PRINT_CHOICES, UNIT_CHOICES, AddPerson, EditShop
from shopdesk.services.vehicles import EditVehicle
from shopdesk.services.work import EditWorkOrder, SetLines
from tests.services.counter import LABOUR, Counter
from tests.services.floors import Floor
from tests.services.shopfloor import ask, contents, document, run

T = TypeVar("T")


def at_once(*works: object) -> list[object]:
    """Do all of these in threads that start together; give what each gave or refused."""
    start = Barrier(len(works))

    def one(work: object) -> object:
        start.wait(timeout=20)
        try:
            return work()  # type: ignore[operator]
        except RuleBroken as refusal:
            return refusal

    with ThreadPoolExecutor(len(works)) as pool:
        return list(pool.map(one, works))


def test_that_the_same_request_again_gives_the_first_answer_and_changes_nothing(floor: Floor) -> None:
    counter = Counter(floor.desk)
    command = AddCustomer(actor=counter.actor, name="Imre Okonjo", phones=("303 555 0188",))
    first = floor.desk.intake.add_customer(command)
    before = contents(floor.url)
    assert floor.desk.intake.add_customer(command) == first
    assert contents(floor.url) == before


def test_that_the_same_request_from_another_person_is_still_the_same(one_floor: Floor) -> None:
    counter = Counter(one_floor.desk)
    command = AddCustomer(actor=counter.actor, name="Imre Okonjo")
    first = one_floor.desk.intake.add_customer(command)
    helper = one_floor.desk.setup.add_person(AddPerson(actor=counter.actor, name="Tove Lind"))
    other = replace(command, actor=replace(counter.actor, person_id=helper.id))
    assert one_floor.desk.intake.add_customer(other) == first


def test_that_a_used_id_with_other_content_is_refused(floor: Floor) -> None:
    counter = Counter(floor.desk)
    command = AddCustomer(actor=counter.actor, name="Imre Okonjo")
    floor.desk.intake.add_customer(command)
    before = contents(floor.url)
    with pytest.raises(SameIdOtherContent):
        floor.desk.intake.add_customer(replace(command, name="Somebody Else"))
    assert contents(floor.url) == before


def test_that_one_request_sent_four_times_at_once_is_carried_out_once(floor: Floor) -> None:
    counter = Counter(floor.desk)
    order_id = counter.order(counter.car())
    counter.agree(order_id)
    counter.finish(order_id)
    uid = new_uid()
    answers = at_once(*[lambda: counter.bill(order_id, uid)] * 4)
    assert answers[1:] == answers[:1] * 3
    assert ask(floor.url, "SELECT count(*), max(number) FROM invoice") == [(1, 1001)]


def test_that_one_job_sent_three_times_at_once_is_kept_once(floor: Floor) -> None:
    run(floor.desk, document("us"))
    again = document("us", new_id=True, deliveries=[], odometer__reading="84500 mi")
    answers = at_once(*[lambda: run(floor.desk, again)] * 3)
    assert answers[1:] == answers[:1] * 2
    assert ask(floor.url, "SELECT count(*) FROM work_order") == [(2,)]


def test_that_a_lost_reply_is_not_paid_twice(floor: Floor) -> None:
    counter = Counter(floor.desk)
    order_id = counter.order(counter.car())
    counter.agree(order_id)
    counter.finish(order_id)
    billed = counter.bill(order_id)
    payment = TakePayment(
        actor=counter.actor, invoice_id=billed.invoice_id, tender=Tender.CASH, amount="40.00"
    )
    first = floor.desk.billing.take_payment(payment)
    assert (first.amount_minor, first.open_minor) == (4000, 6000)
    assert floor.desk.billing.take_payment(payment) == first
    assert ask(floor.url, "SELECT count(*), sum(amount_minor) FROM payment") == [(1, 4000)]


def test_that_a_customer_changed_meanwhile_is_not_written_over(floor: Floor) -> None:
    counter = Counter(floor.desk)
    customer_id = counter.customer()
    read = floor.desk.intake.customer(customer_id)
    first = EditCustomer(
        actor=counter.actor, customer_id=customer_id, version=read.version, name="Imre A. Okonjo"
    )
    floor.desk.intake.edit_customer(first)
    with pytest.raises(Conflict):
        floor.desk.intake.edit_customer(replace(first, uid=new_uid(), name="Imre B. Okonjo"))
    assert floor.desk.intake.customer(customer_id).name == "Imre A. Okonjo"


def test_that_a_vehicle_changed_meanwhile_is_not_written_over(floor: Floor) -> None:
    counter = Counter(floor.desk)
    vehicle_id = counter.car().vehicle_id
    read = floor.desk.intake.vehicle(vehicle_id)
    first = EditVehicle(
        actor=counter.actor, vehicle_id=vehicle_id, version=read.version, plate="KT 4472", odometer_unit="mi"
    )
    floor.desk.intake.edit_vehicle(first)
    with pytest.raises(Conflict):
        floor.desk.intake.edit_vehicle(replace(first, uid=new_uid(), plate="KT 4473"))
    assert floor.desk.intake.vehicle(vehicle_id).plate == "KT 4472"


def test_that_a_work_order_changed_meanwhile_is_not_written_over(floor: Floor) -> None:
    counter = Counter(floor.desk)
    order_id = counter.order(counter.car())
    version = counter.version(order_id)
    first = EditWorkOrder(actor=counter.actor, work_order_id=order_id, version=version, bay="1")
    floor.desk.work.edit(first)
    with pytest.raises(Conflict):
        floor.desk.work.edit(replace(first, uid=new_uid(), bay="2"))
    with pytest.raises(Conflict):
        floor.desk.work.set_lines(
            SetLines(actor=counter.actor, work_order_id=order_id, version=version, lines=(LABOUR, LABOUR))
        )
    assert floor.desk.board.work_order(order_id).bay == "1"
    assert len(floor.desk.board.work_order(order_id).lines) == 1


def test_that_of_two_people_editing_at_once_one_wins_and_one_is_told(floor: Floor) -> None:
    counter = Counter(floor.desk)
    customer_id = counter.customer()
    version = floor.desk.intake.customer(customer_id).version
    edits = [
        EditCustomer(actor=counter.actor, customer_id=customer_id, version=version, name=f"Imre {letter}.")
        for letter in "AB"
    ]
    answers = at_once(*[lambda edit=edit: floor.desk.intake.edit_customer(edit) for edit in edits])
    assert sum(isinstance(answer, Conflict) for answer in answers) == 1
    kept = edits[0].name if isinstance(answers[1], Conflict) else edits[1].name
    assert floor.desk.intake.customer(customer_id).name == kept


def test_that_the_shops_page_changed_meanwhile_is_not_written_over(one_desk: Desk) -> None:
    counter = Counter(one_desk)
    shop = one_desk.setup.shop()
    shown = {name: getattr(shop, name) for name in (*UNIT_CHOICES, *PRINT_CHOICES)}
    first = EditShop(actor=counter.actor, version=shop.version, name="Quillfern", **shown)
    one_desk.setup.edit_shop(first)
    with pytest.raises(Conflict):
        one_desk.setup.edit_shop(replace(first, uid=new_uid(), name="Other"))
    assert one_desk.setup.shop().name == "Quillfern"


def test_that_a_job_and_invoices_side_by_side_never_wait_for_each_other_in_a_ring(floor: Floor) -> None:
    run(floor.desk, document("us"))
    counter = Counter.__new__(Counter)
    counter.desk, counter.actor = floor.desk, floor.desk.actor()
    orders = []
    for letter in "ABC":
        order_id = counter.order(counter.car(f"KT 447{letter}"))
        counter.agree(order_id)
        counter.finish(order_id)
        orders.append(order_id)
    base = {"deliveries": [], "vehicle__vin": ""}
    jobs = [
        document("us", new_id=True, vehicle__plate=f"QF {n}", customer__name=f"N{n}", **base)
        for n in range(3)
    ]
    answers = at_once(
        *[lambda content=content: run(floor.desk, content) for content in jobs],
        *[lambda order=order: counter.bill(order) for order in orders],
    )
    assert [answer for answer in answers if isinstance(answer, RuleBroken)] == []
    assert ask(floor.url, "SELECT count(*), min(number), max(number) FROM invoice") == [(7, 1001, 1007)]
    assert floor.desk.safekeeping.check().findings == ()


def test_that_finishing_twice_is_refused_and_draws_once(floor: Floor) -> None:
    counter = Counter(floor.desk)
    item_id = counter.fluid()
    counter.receive(item_id, "5 L", "20.00")
    order_id = counter.ready(counter.car(), item_id, "2 L")
    answers = at_once(
        *[lambda: floor.desk.bay.finish(FinishWork(actor=counter.actor, work_order_id=order_id))] * 2
    )
    assert sum(isinstance(answer, RuleBroken) for answer in answers) == 1
    assert floor.desk.stock.on_hand()[0].on_hand == 3_000_000


def test_that_one_work_order_is_billed_once(floor: Floor) -> None:
    counter = Counter(floor.desk)
    order_id = counter.order(counter.car())
    counter.agree(order_id)
    counter.finish(order_id)
    answers = at_once(
        *[lambda: floor.desk.billing.issue(IssueInvoice(actor=counter.actor, work_order_id=order_id))] * 3
    )
    assert sum(isinstance(answer, RuleBroken) for answer in answers) == 2
    assert ask(floor.url, "SELECT count(*) FROM invoice") == [(1,)]
