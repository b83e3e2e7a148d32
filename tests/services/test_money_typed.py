"""Amounts as a counter types them: with the shop's own sign or code, in every country's way of showing it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.numerals import NumberStyle
from shopdesk.services.figures import Figures
from shopdesk.services.items import SaveItem
from shopdesk.services.shopfacts import currency_of
from shopdesk.services.typed import Typed
from tests.services.counter import Counter
from tests.services.floors import Floor

SHOPS = [
    ("USD", "en_US"), ("CAD", "en_CA"), ("CAD", "fr_CA"), ("MXN", "es_MX"), ("GBP", "en_GB"),
    ("EUR", "de_DE"), ("CHF", "de_CH"), ("SEK", "sv_SE"), ("DKK", "da_DK"), ("PLN", "pl_PL"),
    ("JPY", "ja_JP"), ("BRL", "pt_BR"),
]  # fmt: skip


def typed_in(floor: Floor, code: str, locale: str, style: NumberStyle = NumberStyle.PERSON) -> Typed:
    Counter(floor.desk)
    shop = replace(floor.desk.setup.shop(), currency=currency_of(code), locale=locale)
    return Typed(shop=shop, style=style)


@pytest.mark.parametrize(("code", "locale"), SHOPS)
def test_that_an_amount_as_the_shop_shows_it_is_read_back(one_floor: Floor, code: str, locale: str) -> None:
    typed = typed_in(one_floor, code, locale)
    minor = 155 * 10**typed.shop.currency.digits
    shown = Figures(typed.shop).money(minor)
    assert typed.money(shown, "price") == minor
    assert typed.money(f"155 {code}", "price") == minor


@pytest.mark.parametrize("text", ["€15.50", "CA$15.50", "15.50 EUR"])
def test_that_another_countrys_money_is_refused(one_floor: Floor, text: str) -> None:
    with pytest.raises(RuleBroken, match="not an amount in USD") as refused:
        typed_in(one_floor, "USD", "en_US").money(text, "price")
    assert refused.value.field == "price"


def test_that_a_yen_sign_of_any_keyboard_is_read(one_floor: Floor) -> None:
    typed = typed_in(one_floor, "JPY", "ja_JP")
    assert typed.money("\u00a5155", "price") == typed.money("\uffe5155", "price") == 155


def test_that_a_file_writes_the_amount_alone(one_floor: Floor) -> None:
    strict = typed_in(one_floor, "USD", "en_US", NumberStyle.STRICT)
    assert strict.money("15.50", "price") == 1550
    with pytest.raises(RuleBroken):
        strict.money("$15.50", "price")


def test_that_a_price_with_a_dollar_sign_is_kept(one_floor: Floor) -> None:
    counter = Counter(one_floor.desk)
    command = SaveItem(actor=counter.actor, name="Dexel 5", package="1 qt", sale_unit="qt", price="$15.50")
    one_floor.desk.items.save(command)
    assert [item.price_minor for item in one_floor.desk.items.all() if item.name == "Dexel 5"] == [1550]
