"""Money: exact reading, no penny lost."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.money import (
    Currency,
    amount_text,
    read_money,
    round_half_up,
    round_to_sum,
    share_out,
)
from shopdesk.domain.numerals import NumberStyle

USD = Currency(code="USD", digits=2)
JPY = Currency(code="JPY", digits=0)
KWD = Currency(code="KWD", digits=3)
PERSON = NumberStyle.PERSON


def refusal(text: str, currency: Currency = USD, style: NumberStyle = NumberStyle.STRICT) -> str:
    with pytest.raises(RuleBroken) as refused:
        read_money(text, currency, field="price", style=style)
    assert refused.value.field == "price"
    return refused.value.sentence


def test_that_amounts_are_read_into_minor_units() -> None:
    assert read_money("249.00", USD, field="f") == 24_900
    assert read_money("249", USD, field="f") == 24_900
    assert read_money("249.5", USD, field="f") == 24_950
    assert read_money("249", JPY, field="f") == 249
    assert read_money("1.005", KWD, field="f") == 1005


def test_that_a_person_may_write_an_amount_the_usual_ways() -> None:
    for text in ("1,234.50", "1.234,50", "1234,50", "1 234.50"):
        assert read_money(text, USD, field="f", style=PERSON) == 123_450
    assert read_money("1,234", USD, field="f", style=PERSON) == 123_400
    assert "1234" in refusal("1.234", USD, PERSON)
    assert "1.234" in refusal("1,234", KWD, PERSON)


def test_that_more_digits_than_the_currency_has_are_refused() -> None:
    assert "3 decimals" in refusal("249.000")
    assert "JPY has 0" in refusal("249.0", JPY)


def test_that_only_the_amount_is_read() -> None:
    assert "249.00" in refusal("249.00 USD")
    assert "249.00" in refusal("$249")
    assert "comma" in refusal("249,00")
    assert "below zero" in refusal("-1.00")
    assert "too large" in refusal("10000000000.00")
    assert read_money("-1.00", USD, field="f", allow_negative=True) == -100


@pytest.mark.parametrize(
    "text",
    [
        "$15.50",
        "$ 15.50",
        "15.50$",
        "15.50 $",
        "USD 15.50",
        "15.50 USD",
        "15.5 usd",
        "US$15.50",
        "$15.50 USD",
    ],
)
def test_that_a_person_may_write_the_currencys_own_sign_or_code(text: str) -> None:
    assert read_money(text, USD, field="f", style=PERSON, signs=("$", "US$")) == 1550


@pytest.mark.parametrize(
    "text", ["€15.50", "15.50 €", "£15.50", "CA$15.50", "15.50 EUR", "EUR 15.50", "$15 EUR"]
)
def test_that_another_currencys_sign_or_code_is_refused(text: str) -> None:
    with pytest.raises(RuleBroken, match="not an amount in USD") as refused:
        read_money(text, USD, field="price", style=PERSON, signs=("$", "US$"))
    assert refused.value.field == "price"
    assert text in refused.value.sentence


@pytest.mark.parametrize(
    "text", ["$", "USD", "$$15", "$1$5", "15 $ 50", "fifteen $", "$15 each", "$1e5", "$15/2"]
)
def test_that_a_sign_does_not_make_an_amount_of_anything_else(text: str) -> None:
    with pytest.raises(RuleBroken) as refused:
        read_money(text, USD, field="price", style=PERSON, signs=("$",))
    assert refused.value.field == "price"


def test_that_a_minus_stands_before_or_after_the_sign() -> None:
    for text in ("-$15.50", "$-15.50", "- $ 15.50", "\u2212$15.50"):
        with pytest.raises(RuleBroken, match="below zero"):
            read_money(text, USD, field="f", style=PERSON, signs=("$",))
        assert read_money(text, USD, field="f", style=PERSON, signs=("$",), allow_negative=True) == -1550


@given(
    st.integers(0, 10**9),
    st.sampled_from([USD, JPY, KWD]),
    st.sampled_from(["", "¤", "kr", "{code}"]),
    st.booleans(),
    st.sampled_from(["", " ", "\u00a0"]),
)
def test_that_an_amount_with_its_sign_is_read_as_without(
    minor: int, currency: Currency, sign: str, before: bool, gap: str
) -> None:
    amount, own = amount_text(minor, currency), sign.format(code=currency.code)
    text = f"{own}{gap}{amount}" if before else f"{amount}{gap}{own}"
    try:
        plain = read_money(amount, currency, field="f", style=PERSON)
    except RuleBroken:  # three decimals of a person are asked about
        return
    assert read_money(text, currency, field="f", style=PERSON, signs=("¤", "kr")) == plain


@given(st.text(alphabet="$€kr USD0123456789.,-+eE/", max_size=12))
def test_that_whatever_stands_with_a_sign_is_read_or_refused_beside_its_field(text: str) -> None:
    try:
        minor = read_money(text, USD, field="price", style=PERSON, signs=("$", "US$"))
    except RuleBroken as refused:
        said = (refused.field, bool(refused.sentence))
    else:
        said = ("price", "€" not in text)
        assert minor >= 0
    assert said == ("price", True)


def test_that_halves_are_rounded_away_from_zero() -> None:
    halves = [Fraction(n, 2) for n in (-5, -3, -1, 1, 3, 5)]
    assert [round_half_up(half) for half in halves] == [-3, -2, -1, 1, 2, 3]


@given(st.fractions())
def test_that_rounding_moves_by_a_half_at_most_and_is_symmetric(value: Fraction) -> None:
    assert abs(round_half_up(value) - value) <= Fraction(1, 2)
    assert round_half_up(-value) == -round_half_up(value)


@given(st.integers(-(10**12), 10**12), st.sampled_from([USD, JPY, KWD]))
def test_that_an_amount_written_out_is_read_back(minor: int, currency: Currency) -> None:
    if abs(minor) > 999_999_999_999:
        return
    text = amount_text(minor, currency)
    assert read_money(text, currency, field="f", allow_negative=True) == minor


@given(st.integers(-(10**9), 10**9), st.lists(st.integers(0, 10**6), min_size=1, max_size=12))
def test_that_sharing_out_loses_no_penny_and_moves_none_by_more_than_one(
    total: int, weights: list[int]
) -> None:
    shares = share_out(total, weights)
    assert sum(shares) == total
    whole = sum(weights)
    for share, weight in zip(shares, weights, strict=True):
        exact = Fraction(total * weight, whole) if whole else Fraction(total, len(weights))
        assert abs(share - exact) < 1
    assert share_out(-total, weights) == tuple(-share for share in shares)


def test_that_the_odd_pennies_go_to_the_largest_remainders_then_to_the_first() -> None:
    assert share_out(100, [1, 1, 1]) == (34, 33, 33)
    assert share_out(5, [0, 0]) == (3, 2)
    assert share_out(0, []) == ()
    assert share_out(100, [5, 0, 5]) == (50, 0, 50)


def test_that_sharing_among_nobody_or_by_negative_weights_is_a_bug() -> None:
    with pytest.raises(ValueError, match="nobody"):
        share_out(1, [])
    with pytest.raises(ValueError, match="below zero"):
        share_out(1, [1, -1])
    with pytest.raises(ValueError, match="rounded sum"):
        round_to_sum([Fraction(1, 2)], 2)
