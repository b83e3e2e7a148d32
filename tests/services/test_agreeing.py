"""From the estimate to the bill: consent, stages, wheels, taxes; and that an issued invoice stands."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.pricing import LineKind
from shopdesk.domain.stages import FOLLOWS, Stage
from shopdesk.domain.tax import TaxRounding
from shopdesk.services.billing import TakePayment, Tender
from shopdesk.services.customers import EditCustomer
from shopdesk.services.desk import Desk
from shopdesk.services.lines import LineTyped
from shopdesk.services.papers import KeepPaper
from shopdesk.services.setup import AddTaxRate
from shopdesk.services.work import MakeEstimate
from tests.documents.reading import words
from tests.services.counter import LABOUR, Counter
from tests.services.floors import Floor
from tests.services.shopfloor import StandingClock, ask, contents, document, run


def line(price: str, kind: LineKind = LineKind.LABOUR, tax_class: str = "", quantity: str = "1") -> LineTyped:
    """Give a line of one price."""
    return LineTyped(kind=kind, text="Work", unit_price=price, tax_class=tax_class, quantity=quantity)


def test_that_nothing_is_billed_without_consent(floor: Floor) -> None:
    counter = Counter(floor.desk)
    order_id = counter.order(counter.car())
    counter.move(order_id, Stage.IN_THE_BAY)
    counter.finish(order_id)
    before = contents(floor.url)
    with pytest.raises(RuleBroken, match="consent is not recorded"):
        counter.bill(order_id)
    assert contents(floor.url) == before


def test_that_a_bill_above_the_consent_names_the_missing_sum(floor: Floor) -> None:
    counter = Counter(floor.desk)
    order_id = counter.order(counter.car())
    counter.agree(order_id)
    counter.lines(order_id, [LABOUR, line("12.34")])
    counter.move(order_id, Stage.IN_THE_BAY)
    counter.finish(order_id)
    before = contents(floor.url)
    with pytest.raises(RuleBroken, match=r"further 12\.34 USD is missing") as refusal:
        counter.bill(order_id)
    assert "comes to 112.34 USD; the customer agreed to 100.00" in refusal.value.sentence
    assert contents(floor.url) == before  # no number was used up


def test_that_a_further_consent_lets_the_bill_go_out_with_the_number_that_was_kept_back(
    floor: Floor,
) -> None:
    counter = Counter(floor.desk)
    order_id = counter.order(counter.car())
    counter.agree(order_id)
    counter.lines(order_id, [LABOUR, line("12.34")])
    counter.move(order_id, Stage.IN_THE_BAY)
    counter.finish(order_id)
    with pytest.raises(RuleBroken):
        counter.bill(order_id)
    counter.agree(order_id)
    billed = counter.bill(order_id)
    assert (billed.number, billed.net_minor) == (1001, 11_234)


def test_that_consent_is_compared_before_tax(one_desk: Desk) -> None:
    counter = Counter(one_desk, tax="8.25")
    order_id = counter.order(counter.car(), [line("100.00", LineKind.PART)])
    counter.agree(order_id, up_to="100.00")
    counter.finish(order_id)
    billed = counter.bill(order_id)
    assert (billed.net_minor, billed.tax_minor, billed.total_minor) == (10_000, 825, 10_825)


def test_that_consent_needs_an_estimate_and_an_estimate_needs_lines(one_desk: Desk) -> None:
    counter = Counter(one_desk)
    order_id = counter.order(counter.car(), [])
    with pytest.raises(RuleBroken, match="add a line first"):
        one_desk.work.estimate(MakeEstimate(actor=counter.actor, work_order_id=order_id))
    counter.lines(order_id, [LABOUR])
    counter.agree(order_id)
    assert one_desk.board.work_order(order_id).agreed_minor == 10_000


def test_that_an_estimate_stays_as_it_was_when_lines_change(one_desk: Desk) -> None:
    counter = Counter(one_desk)
    order_id = counter.order(counter.car())
    counter.agree(order_id)
    counter.lines(order_id, [line("999.00")])
    one_desk.work.estimate(MakeEstimate(actor=counter.actor, work_order_id=order_id))
    kept = one_desk.board.work_order(order_id).estimates
    assert sorted((each.revision, each.net_minor) for each in kept) == [(1, 10_000), (2, 99_900)]


def test_that_papers_of_an_evening_carry_the_shops_own_day(one_floor: Floor) -> None:
    one_floor.clock.at = datetime(2026, 11, 26, 2, 30, tzinfo=UTC)  # still the 25th in Denver
    done = run(one_floor.desk, document("us"))
    papers = one_floor.desk.papers
    made = [papers.estimate(done.work_order_id), papers.service_record(done.record_id)]
    told = [words(paper.content) for paper in made]
    assert all("25 Nov 2026" in text and "26 Nov 2026" not in text for text in told)


def test_that_a_wheel_that_was_off_needs_its_torque_before_the_end(floor: Floor) -> None:
    counter = Counter(floor.desk)
    order_id = counter.order(counter.car(), wheel_off=True)
    counter.agree(order_id)
    before = contents(floor.url)
    with pytest.raises(RuleBroken, match="wheel-nut torque"):
        counter.finish(order_id)
    assert contents(floor.url) == before
    counter.wheel_torque(order_id, "89 ft-lb")
    counter.finish(order_id)
    paper = words(floor.desk.papers.invoice(counter.bill(order_id).invoice_id).content)
    # 89 lbf·ft = 120.67 N·m (1 lbf·ft = 1.3558179483 N·m, NIST SP 811, B.8).
    assert "its nuts were set to 89 ft-lb (120.7 N·m)" in paper
    assert "checked again after 50 to 100 mi" in paper


ALLOWED_BY_HAND = {
    (now, then) for now in Stage for then in FOLLOWS[now] if then not in (Stage.FINISHED, Stage.INVOICED)
}


def brought_to(counter: Counter, stage: Stage) -> int:
    """Bring a new work order to a stage the way it is reached at work."""
    order_id = counter.order(counter.car(f"KT {stage.name[:8]}"))
    if stage is Stage.QUOTED:
        return order_id
    if stage is Stage.CANCELLED:
        counter.move(order_id, Stage.CANCELLED)
        return order_id
    counter.agree(order_id)
    steps = (Stage.IN_THE_BAY, Stage.FINISHED, Stage.INVOICED, Stage.COLLECTED)
    for step in steps[: steps.index(stage) + 1] if stage in steps else ():
        if step is Stage.FINISHED:
            counter.finish(order_id)
        elif step is Stage.INVOICED:
            counter.bill(order_id)
        else:
            counter.move(order_id, step)
    return order_id


@pytest.mark.parametrize("now", Stage)
def test_that_a_stage_moves_only_to_one_that_may_follow(one_floor: Floor, now: Stage) -> None:
    counter = Counter(one_floor.desk)
    order_id = brought_to(counter, now)
    for then in Stage:
        if (now, then) in ALLOWED_BY_HAND:
            continue
        with pytest.raises(RuleBroken) as refusal:
            counter.move(order_id, then)
        assert refusal.value.field == "stage"
        assert one_floor.desk.board.work_order(order_id).stage is now


@pytest.mark.parametrize(("now", "then"), sorted(ALLOWED_BY_HAND))
def test_that_each_move_that_may_follow_is_made(one_desk: Desk, now: Stage, then: Stage) -> None:
    counter = Counter(one_desk)
    order_id = brought_to(counter, now)
    counter.move(order_id, then)
    assert one_desk.board.work_order(order_id).stage is then


def test_that_an_invoiced_work_order_changes_no_more(one_desk: Desk) -> None:
    counter = Counter(one_desk)
    order_id = brought_to(counter, Stage.INVOICED)
    for change in (lambda: counter.lines(order_id, []), lambda: counter.wheel_torque(order_id, "90 ft-lb")):
        with pytest.raises(RuleBroken, match="does not change any more"):
            change()
    with pytest.raises(RuleBroken):
        counter.bill(order_id)


def test_that_only_finished_work_is_billed(one_desk: Desk) -> None:
    counter = Counter(one_desk)
    for stage in (Stage.QUOTED, Stage.AUTHORISED, Stage.IN_THE_BAY, Stage.CANCELLED, Stage.COLLECTED):
        with pytest.raises(RuleBroken, match="an invoice is issued when the work is finished"):
            counter.bill(brought_to(counter, stage))


@pytest.mark.parametrize(
    ("rounding", "taxes"),
    # 45.30 at 5 % is 2.265, 33.45 at 10 % is 3.345; twice the former is 4.53 in one sum, 4.54 line by line.
    [(TaxRounding.RATE, {"Five": 453, "Ten": 335}), (TaxRounding.LINE, {"Five": 454, "Ten": 335})],
)
def test_that_taxes_of_several_rates_add_up_to_what_is_printed(
    floor: Floor, rounding: TaxRounding, taxes: dict[str, int]
) -> None:
    counter = Counter(floor.desk, tax="0", tax_rounding=rounding)
    for name, percent, tax_class in (("Five", "5", "parts and fluids"), ("Ten", "10", "labour")):
        floor.desk.setup.add_tax_rate(
            AddTaxRate(
                actor=counter.actor, tax_class=tax_class, name=name, percent=percent, from_on=date(2020, 1, 1)
            )
        )
    order_id = counter.order(
        counter.car(), [line("45.30", LineKind.PART), line("45.30", LineKind.PART), line("33.45")]
    )
    counter.agree(order_id)
    counter.finish(order_id)
    billed = counter.bill(order_id)
    assert (billed.net_minor, billed.tax_minor) == (12_405, sum(taxes.values()))
    assert billed.total_minor == 12_405 + sum(taxes.values())
    sums = ask(floor.url, "SELECT rate_text, sum(tax_minor) FROM invoice_line GROUP BY rate_text")
    assert {name: int(tax) for name, tax in sums} == taxes
    paper = words(floor.desk.papers.invoice(billed.invoice_id).content)
    for name, tax in taxes.items():
        assert f"{name} {'5' if name == 'Five' else '10'} % on" in paper
        assert f"{tax / 100:.2f}" in paper


def test_that_a_rate_counts_from_its_day_and_older_invoices_keep_theirs(
    floor: Floor, clock: StandingClock
) -> None:
    counter = Counter(floor.desk, tax="8.25")
    tomorrow = AddTaxRate(
        actor=counter.actor,
        tax_class="parts and fluids",
        name="Sales tax",
        percent="9",
        from_on=date(2026, 11, 26),
    )
    floor.desk.setup.add_tax_rate(tomorrow)
    billed = []
    for letter, days in (("A", 0), ("B", 1)):
        clock.forward(days=days)
        order_id = counter.order(counter.car(f"KT {letter}"), [line("100.00", LineKind.PART)])
        counter.agree(order_id)
        counter.finish(order_id)
        billed.append(counter.bill(order_id))
    assert [each.tax_minor for each in billed] == [825, 900]
    assert "Sales tax 8.25 % on" in words(floor.desk.papers.invoice(billed[0].invoice_id).content)
    assert "Sales tax 9 % on" in words(floor.desk.papers.invoice(billed[1].invoice_id).content)


def test_that_the_place_typed_with_spaces_around_it_is_taxed_all_the_same(one_desk: Desk) -> None:
    done = run(one_desk, document("us", shop__place="  Marrow\u00a0State "))
    assert done.invoice.tax_minor == 411  # 49.80 at 8.25 % is 4.1085


def test_that_a_discount_above_its_line_is_refused(one_floor: Floor) -> None:
    counter = Counter(one_floor.desk)
    order_id = counter.order(counter.car())
    before = contents(one_floor.url)
    with pytest.raises(RuleBroken, match="more than the line comes to"):
        counter.lines(
            order_id, [LineTyped(kind=LineKind.LABOUR, text="Work", unit_price="10.00", discount="10.01")]
        )
    assert contents(one_floor.url) == before


def test_that_a_payment_never_exceeds_what_is_open(floor: Floor) -> None:
    counter = Counter(floor.desk)
    order_id = brought_to(counter, Stage.INVOICED)
    invoice_id = floor.desk.board.work_order(order_id).invoice
    assert invoice_id is not None

    def pay(amount: str) -> int:
        command = TakePayment(
            actor=counter.actor, invoice_id=invoice_id.id, tender=Tender.CARD, amount=amount
        )
        return floor.desk.billing.take_payment(command).open_minor

    assert pay("60.00") == 4000
    for amount in ("40.01", "0.00", "-1.00"):
        with pytest.raises(RuleBroken):
            pay(amount)
    assert pay("") == 0
    with pytest.raises(RuleBroken, match="Nothing is open"):
        pay("")
    assert [int(paid) for (paid,) in ask(floor.url, "SELECT sum(amount_minor) FROM payment")] == [10_000]


def test_that_a_new_address_leaves_an_issued_invoice_as_it_was(floor: Floor) -> None:
    done = run(floor.desk, document("us"))
    actor = floor.desk.actor()
    before = floor.desk.papers.invoice(done.invoice.invoice_id).content
    floor.desk.papers.keep(KeepPaper(actor=actor, kind="invoice", subject_id=done.invoice.invoice_id))
    read = floor.desk.intake.customer(done.customer_id)
    floor.desk.intake.edit_customer(
        EditCustomer(
            actor=actor,
            customer_id=read.id,
            version=read.version,
            name="Imre Okonjo-Vale",
            address="9 New Street\nElsewhere",
        )
    )
    assert floor.desk.papers.invoice(done.invoice.invoice_id).content == before
    assert "2 Weir Lane" in words(before)
    assert "Elsewhere" in words(floor.desk.papers.estimate(done.work_order_id).content)
    assert floor.desk.safekeeping.check().findings == ()


def test_that_an_invoice_made_again_from_what_it_froze_is_the_same_to_the_byte(floor: Floor) -> None:
    done = run(floor.desk, document("metric"))
    first = floor.desk.papers.invoice(done.invoice.invoice_id)
    again = floor.desk.papers.invoice(done.invoice.invoice_id)
    assert (first.content, first.sha) == (again.content, again.sha)
