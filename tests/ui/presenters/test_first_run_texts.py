"""What a new shop is offered."""

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.presenters.first_run import (
    UNIT_SETS,
    currency_offers,
    found,
    key_or_typed,
    locale_offers,
    unit_set_of,
    usual_locale,
    usual_values,
    zone_offers,
)


@pytest.mark.parametrize(
    ("locale", "currency", "units", "paper"),
    [("en_US", "USD", "us", "Letter"), ("de_DE", "EUR", "metric", "A4"), ("en_GB", "GBP", "miles", "A4"),
     ("fr_CA", "CAD", "metric", "Letter"), ("ja_JP", "JPY", "metric", "A4")],
)  # fmt: skip
def test_that_a_country_brings_its_usual_values(locale: str, currency: str, units: str, paper: str) -> None:
    usual = usual_values(locale)
    assert (usual["currency"], usual["units"], usual["paper_size"]) == (currency, units, paper)
    assert unit_set_of(usual) == units


def test_that_a_mix_of_units_is_none_of_the_sets() -> None:
    assert unit_set_of(UNIT_SETS["us"] | {"distance_unit": "km"}) == ""


def test_that_a_machine_without_a_language_gets_the_usual_one() -> None:
    assert usual_locale("C") == "en_US"
    assert usual_locale("de_AT.UTF-8") == "de_AT"


@pytest.mark.parametrize(("typed", "code"), [("usd", "USD"), ("US Dollar", "USD"), ("swiss", "CHF"),
                                             ("EUR · Euro", "EUR")])  # fmt: skip
def test_that_a_currency_is_found_by_letters_or_name(typed: str, code: str) -> None:
    assert found(typed, currency_offers(), "", "currency").key == code


def test_that_a_currency_that_is_not_clear_is_refused_with_a_few_that_fit() -> None:
    with pytest.raises(RuleBroken, match="More than one fits"):
        found("dollar", currency_offers(), "none", "currency")
    with pytest.raises(RuleBroken, match="none"):
        found("groats", currency_offers(), "none", "currency")


def test_that_places_and_languages_are_found() -> None:
    assert found("denver", zone_offers(), "", "zone").key == "America/Denver"
    assert found("English, United States", locale_offers(), "", "locale").key == "en_US"
    assert key_or_typed("zz top", locale_offers()) == "zz top"
