"""Which tax rates apply, and that their tax adds up in both directions."""

from dataclasses import replace
from datetime import date

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.tax import DatedRate, TaxRate, TaxRounding, rates_on, tax_lines

STATE = DatedRate(
    name="State tax",
    rate_ppm=62_500,
    from_on=date(2024, 1, 1),
    to_on=date(2025, 6, 30),
    tax_class="parts",
    place="Sample County",
)
RAISED = replace(STATE, rate_ppm=65_000, from_on=date(2025, 7, 1), to_on=None)
LOCAL = DatedRate(name="Local tax", rate_ppm=20_000, from_on=date(2020, 1, 1), tax_class="parts")
RATES = (STATE, RAISED, LOCAL)


def names(on: date, **choice: str) -> list[tuple[str, int]]:
    asked = {"tax_class": "parts", "place": "Sample County", "customer_kind": "private"} | choice
    found = rates_on(RATES, on=on, **asked)
    return [(rate.name, rate.rate_ppm) for rate in found]


def test_that_a_rate_counts_from_its_first_to_its_last_day() -> None:
    assert ("State tax", 62_500) in names(date(2024, 1, 1))
    assert ("State tax", 62_500) in names(date(2025, 6, 30))
    assert names(date(2025, 7, 1)) == [("State tax", 65_000), ("Local tax", 20_000)]
    assert names(date(2023, 12, 31)) == [("Local tax", 20_000)]


def test_that_class_place_and_customer_decide() -> None:
    day = date(2025, 1, 1)
    assert names(day, tax_class="labour") == []
    assert names(day, place="Elsewhere") == [("Local tax", 20_000)]
    exempt_only = (replace(LOCAL, customer_kind="fleet"),)
    assert rates_on(exempt_only, tax_class="parts", place="", customer_kind="private", on=day) == ()


def test_that_two_rates_of_one_name_on_one_day_are_refused() -> None:
    overlapping = (STATE, replace(RAISED, from_on=date(2025, 6, 1)))
    with pytest.raises(RuleBroken, match="State tax"):
        rates_on(
            overlapping, tax_class="parts", place="Sample County", customer_kind="", on=date(2025, 6, 15)
        )


def test_that_several_rates_on_one_line_each_take_their_tax() -> None:
    rates = (TaxRate(name="State", rate_ppm=62_500), TaxRate(name="Local", rate_ppm=20_000))
    taxed = tax_lines([995], [rates], TaxRounding.LINE)
    assert [total.tax_minor for total in taxed.by_rate] == [62, 20]
    assert taxed.line_taxes == (82,)


def test_that_a_line_without_rates_takes_no_tax() -> None:
    taxed = tax_lines([1000, 995], [(), (TaxRate(name="Tax", rate_ppm=82_500),)], TaxRounding.RATE)
    assert taxed.line_taxes == (0, 82)
    assert taxed.by_rate[0].base_minor == 995
