"""A document's lines: what they come to, that they add up, and what quantity is billed."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.pricing import BillingRule, LineKind, PricedLine, billed_quantity_milli, net_of, price
from shopdesk.domain.tax import TaxRate, TaxRounding

TAX = TaxRate(name="Sales tax", rate_ppm=82_500)
OTHER_TAX = TaxRate(name="Other tax", rate_ppm=10_000)
QUART_UL = 946_353


def line(kind: LineKind, price_minor: int, quantity_milli: int = 1000, **more: object) -> PricedLine:
    return PricedLine(
        kind=kind, text="a line", quantity_milli=quantity_milli, unit_price_minor=price_minor, **more
    )


LINES = st.lists(
    st.builds(
        PricedLine,
        kind=st.sampled_from([kind for kind in LineKind if kind is not LineKind.DISCOUNT]),
        text=st.just("a line"),
        quantity_milli=st.integers(0, 20_000),
        unit_price_minor=st.integers(0, 50_000),
        rates=st.sampled_from([(), (TAX,), (OTHER_TAX,), (TAX, OTHER_TAX)]),
    ),
    max_size=12,
)


@given(LINES, st.sampled_from(TaxRounding))
def test_that_every_paper_adds_up(lines: list[PricedLine], rounding: TaxRounding) -> None:
    totals = price(lines, rounding)
    assert sum(each.net_minor for each in totals.lines) == totals.net_minor
    assert sum(each.tax_minor for each in totals.lines) == totals.tax_minor
    assert sum(each.tax_minor for each in totals.by_rate) == totals.tax_minor
    assert totals.labour_minor + totals.parts_minor + totals.other_minor == totals.net_minor
    assert totals.net_minor + totals.tax_minor == totals.total_minor


@given(LINES)
def test_that_tax_by_rate_is_within_half_a_cent_and_a_line_within_one_cent_a_rate(
    lines: list[PricedLine],
) -> None:
    totals = price(lines, TaxRounding.RATE)
    for each in totals.by_rate:
        exact = Fraction(each.base_minor * each.rate.rate_ppm, 1_000_000)
        assert abs(each.tax_minor - exact) <= Fraction(1, 2)
    for priced, total in zip(lines, totals.lines, strict=True):
        exact = sum((Fraction(total.net_minor * r.rate_ppm, 10**6) for r in priced.rates), Fraction())
        assert abs(total.tax_minor - exact) < max(1, len(priced.rates))


def test_that_the_kinds_are_summed_apart() -> None:
    kinds = (LineKind.LABOUR, LineKind.FLUID, LineKind.PART, LineKind.FEE, LineKind.SUBLET)
    totals = price([line(kind, 100 * 2**place) for place, kind in enumerate(kinds)], TaxRounding.LINE)
    assert (totals.labour_minor, totals.parts_minor, totals.other_minor) == (100, 600, 2400)


def test_that_a_quantity_in_thousandths_is_rounded_half_up() -> None:
    assert net_of(line(LineKind.FLUID, 1299, 3200)) == 4157  # 41.568
    assert net_of(line(LineKind.FLUID, 1, 500)) == 1
    assert net_of(line(LineKind.FLUID, 1, 499)) == 0


def test_that_a_discount_line_takes_its_amount_and_its_tax_off() -> None:
    lines = [
        line(LineKind.PART, 10_000, rates=(TAX,)),
        line(LineKind.DISCOUNT, 1_000, rates=(TAX,)),
    ]
    for rounding, tax in ((TaxRounding.LINE, 825 - 83), (TaxRounding.RATE, 743)):  # 82.5 and 742.5
        totals = price(lines, rounding)
        assert (totals.net_minor, totals.other_minor, totals.tax_minor) == (9_000, -1_000, tax)


def test_that_a_discount_on_a_line_is_taken_before_tax_and_never_turns_it_round() -> None:
    assert net_of(line(LineKind.PART, 1_000, discount_minor=1_000)) == 0
    with pytest.raises(RuleBroken, match="more than the line"):
        net_of(line(LineKind.PART, 1_000, discount_minor=1_001))


def test_that_discounts_are_never_more_than_what_they_are_taken_from() -> None:
    with pytest.raises(RuleBroken, match="discounts"):
        price([line(LineKind.PART, 100), line(LineKind.DISCOUNT, 101)], TaxRounding.LINE)
    with pytest.raises(RuleBroken, match="discounts"):
        price([line(LineKind.LABOUR, 5_000), line(LineKind.DISCOUNT, 101, rates=(TAX,))], TaxRounding.RATE)


def test_that_negative_figures_and_a_tax_twice_are_refused() -> None:
    for wrong in (
        line(LineKind.PART, -1),
        line(LineKind.PART, 1, -1),
        line(LineKind.PART, 9, rates=(TAX, TAX)),
    ):
        with pytest.raises(RuleBroken, match="a line"):
            price([wrong], TaxRounding.LINE)


def test_that_an_empty_document_comes_to_nothing() -> None:
    assert price([], TaxRounding.RATE).total_minor == 0


def measured(pumped_ul: int, step_milli: int = 100) -> int:
    return billed_quantity_milli(
        BillingRule.MEASURED_STEP, pumped_ul=pumped_ul, sale_unit_ul=QUART_UL, step_milli=step_milli
    )


def test_that_the_measured_quantity_is_rounded_up_to_the_step() -> None:
    assert measured(3_028_329) == 3200  # 3.2 qt as kept
    assert measured(3_028_329 + 1_000) == 3300
    assert measured(3_028_329, 500) == 3500
    assert measured(1) == 100
    assert measured(0) == 0


@given(st.integers(1, 400))
def test_that_a_quantity_typed_on_a_step_is_billed_as_typed(tenths: int) -> None:
    pumped = Fraction(946_352_946, 1000) * tenths / 10
    assert measured(int(pumped + Fraction(1, 2))) == tenths * 100


def test_that_whole_containers_are_billed_whole() -> None:
    def bottles(pumped_ul: int) -> int:
        return billed_quantity_milli(
            BillingRule.WHOLE_CONTAINERS, pumped_ul=pumped_ul, sale_unit_ul=QUART_UL, package_ul=QUART_UL
        )

    assert bottles(3_028_329) == 4000
    assert bottles(4 * QUART_UL) == 4000
    assert bottles(4 * QUART_UL + 1_000) == 5000
    assert bottles(5) == 1000


def test_that_the_sheet_quantity_is_billed_unless_nothing_was_put_in() -> None:
    def by_sheet(pumped_ul: int, sheet_ul: int | None = 4_000_000) -> int:
        return billed_quantity_milli(
            BillingRule.SHEET, pumped_ul=pumped_ul, sale_unit_ul=1_000_000, sheet_ul=sheet_ul
        )

    assert by_sheet(3_028_329) == 4000
    assert by_sheet(0) == 0
    with pytest.raises(RuleBroken, match="unit sheet"):
        by_sheet(1, None)


@pytest.mark.parametrize("rule", BillingRule)
def test_that_a_missing_figure_is_named(rule: BillingRule) -> None:
    with pytest.raises(RuleBroken, match="is needed"):
        billed_quantity_milli(rule, pumped_ul=1_000_000, sale_unit_ul=QUART_UL, step_milli=0)


def test_that_an_impossible_volume_is_a_bug() -> None:
    with pytest.raises(ValueError, match="below zero"):
        billed_quantity_milli(BillingRule.SHEET, pumped_ul=-1, sale_unit_ul=1)
