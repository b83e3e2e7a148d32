"""Words of invoices, payments and the set-up pages."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.acting import Actor
from shopdesk.services.billing import PaymentKept, Tender
from shopdesk.services.instruments import InstrumentKind, InstrumentRow
from shopdesk.services.invoices import InvoiceRow, InvoiceView, PaymentRow
from shopdesk.services.setup import TaxRateRow
from shopdesk.ui.presenters import money, set_up
from tests.ui.presenters.shops import METRIC, US, US_FIGURES

ACTOR = Actor(person_id=1, station_id=1)
TODAY = date(2026, 11, 25)
ROW = InvoiceRow(
    id=2,
    number=1002,
    issued_on=TODAY,
    customer="Odalys Brandt",
    plate="LM 902",
    work_order_id=2,
    work_order_number=1002,
    net_minor=22100,
    tax_minor=411,
    total_minor=22511,
    open_minor=22511,
    currency="USD",
)
RATE = TaxRateRow(
    id=1,
    tax_class="parts and fluids",
    name="Sales tax",
    rate_ppm=82_500,
    from_on=date(2026, 1, 1),
    to_on=None,
    place="Marrow State",
    customer_kind="",
    citation="Marrow Code 3-9 (invented)",
)
TOOL = InstrumentRow(
    id=1,
    kind=InstrumentKind.PAN,
    name="Pan 2",
    half_width=50_000,
    half_width_from="tolerance",
    calibrated_on=None,
    due_on=None,
)


@pytest.mark.parametrize(
    ("still_open", "said", "shown"),
    [
        (22511, ("plain", "Open"), "225.11"),
        (100, ("soon", "Part paid"), "1.00"),
        (0, ("fine", "Paid"), "paid"),
    ],
)
def test_that_an_invoice_says_how_it_stands(still_open: int, said: tuple[str, str], shown: str) -> None:
    row = replace(ROW, open_minor=still_open)
    assert money.stands(row) == said
    assert money.open_words(row, US_FIGURES) == shown


def test_that_an_amount_says_what_it_leaves_and_never_takes_too_much() -> None:
    read = money.amount_reader(US_FIGURES, lambda: 22511)
    assert read("100") == "$100.00: leaves $125.11 open"
    assert read("225.11") == "$225.11: paid in full"
    for text in ("225.12", "1.001", "-5", "all"):
        with pytest.raises(RuleBroken) as refused:
            read(text)
        assert refused.value.field == "amount"


def test_that_a_payment_is_told_with_what_is_left() -> None:
    kept = PaymentKept(payment_id=1, amount_minor=10000, open_minor=12511)
    words = money.taken_sentence(ROW, kept, US_FIGURES)
    assert words == "$100.00 taken on invoice 1002; $125.11 is still open."
    paid = replace(kept, open_minor=0)
    assert money.taken_sentence(ROW, paid, US_FIGURES) == "$100.00 taken; invoice 1002 is paid."


def test_that_the_open_sum_comes_from_the_total_and_every_payment() -> None:
    payment = PaymentRow(
        id=1,
        on_date=TODAY,
        tender="check",
        amount_minor=2511,
        note="No. 88",
        taken_by="Rhea",
        at_utc=datetime(2026, 11, 25, tzinfo=UTC),
    )
    view = InvoiceView(row=replace(ROW, open_minor=20000), payments=(payment,))
    rows = dict(money.open_came_from(view, US_FIGURES))
    assert rows == {
        "Before tax": "$221.00",
        "Tax": "$4.11",
        "Total": "$225.11",
        "Check, 25 Nov 2026": "−$25.11",
    }
    assert money.payment_words(payment) == "Check, No. 88"
    assert money.tender_words("barter") == "barter"
    assert len(money.tender_choices()) == len(Tender)


def test_that_a_list_is_narrowed_by_key() -> None:
    assert money.list_filter("  #1002 ") == "1002"
    assert money.list_filter("Ökonjo") == "okonjo"


def test_that_the_shops_two_pages_leave_each_other_alone() -> None:
    texts = set_up.shop_texts(US, set_up.SHOP_FIELDS) | {"phone": "555-0199"}
    command = set_up.edit_shop(texts, US, ACTOR, "u")
    assert (command.phone, command.paper_size, command.version) == ("555-0199", "Letter", 1)
    papers = set_up.edit_shop({"paper_size": "A4"}, US, ACTOR, "u")
    assert (papers.paper_size, papers.phone) == ("A4", "555-0142")


def test_that_units_are_named_in_words() -> None:
    assert set_up.unit_choices("volume_unit", imperial=False)[0] == ("qt", "US quarts (qt)")
    assert set_up.unit_choices("volume_unit", imperial=True)[0] == ("qt", "imperial quarts (qt)")
    assert set_up.unit_choices("torque_unit", imperial=False)[0] == ("lbf*ft", "foot-pounds (ft-lb)")
    assert ("2x2 in", "2 × 2 in") in set_up.print_choices("label_size")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({}, "± 50 mL"),
        ({"kind": InstrumentKind.THERMOMETER, "half_width": 2000}, "± 2 °C"),
        ({"kind": InstrumentKind.TORQUE_WRENCH, "half_width": 3000}, "± 3 N·m"),
    ],
)
def test_that_a_tool_says_to_within_what_it_reads(change: dict[str, object], said: str) -> None:
    assert set_up.within_words(replace(TOOL, **change), METRIC) == said  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("due_on", "said"),
    [
        (None, ("plain", "")),
        (date(2026, 11, 24), ("late", "Overdue")),
        (date(2026, 12, 25), ("soon", "Soon")),
        (date(2026, 12, 26), ("fine", "Fine")),
    ],
)
def test_that_a_calibration_falls_due(due_on: date | None, said: tuple[str, str]) -> None:
    assert set_up.calibration_state(replace(TOOL, due_on=due_on), TODAY) == said


def test_that_a_tools_reading_follows_its_kind() -> None:
    assert set_up.tool_reader(US_FIGURES, lambda: InstrumentKind.PAN, "marks")("100 mL") == "100 mL"
    assert set_up.tool_reader(US_FIGURES, lambda: InstrumentKind.THERMOMETER, "tolerance")("2 C") == "2 °C"
    with pytest.raises(RuleBroken):
        set_up.tool_reader(US_FIGURES, lambda: InstrumentKind.TORQUE_WRENCH, "marks")("2 qt")
    assert all(set_up.tool_help(kind) for kind in InstrumentKind)
    assert len(set_up.tool_choices()) == len(InstrumentKind)


def test_that_a_rate_says_its_days_and_whether_it_applies() -> None:
    assert set_up.rate_state(RATE, TODAY) == ("fine", "In force")
    assert set_up.rate_state(replace(RATE, from_on=date(2027, 1, 1)), TODAY) == ("plain", "To come")
    ended = replace(RATE, to_on=date(2026, 6, 30))
    assert set_up.rate_state(ended, TODAY) == ("plain", "Ended")
    assert set_up.rate_days(RATE, US_FIGURES) == "from 1 Jan 2026"
    assert set_up.rate_days(ended, US_FIGURES) == "1 Jan 2026 to 30 Jun 2026"
    assert set_up.rate_class(RATE) == "Parts and fluids"
    assert set_up.percent_reader(US_FIGURES)("8,25") == "8.25 %"
    assert "not legal or tax advice" in set_up.not_legal_advice()


def test_that_every_word_typed_must_stand_in_a_row() -> None:
    assert set_up.fits(("PX6-A", "Automatic", "HX-6"), "automatic hx")
    assert not set_up.fits(("PX6-A", "Automatic", "HX-6"), "automatic kx")
    assert set_up.fits(("PX6-A",), "")
    assert set_up.role_words("mascot") == "mascot"
