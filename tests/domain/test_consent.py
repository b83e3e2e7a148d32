"""What may be charged above the agreed amount."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.consent import Take, Tolerance, allowed_above, check_charge, missing_consent
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.money import Currency

USD = Currency(code="USD", digits=2)
TEN_PERCENT = Tolerance(percent_ppm=100_000)
NONE = Tolerance()


def test_that_ten_percent_of_85_55_is_8_55_and_never_8_56() -> None:
    assert allowed_above(8_555, TEN_PERCENT) == 855


def test_that_nothing_set_allows_nothing() -> None:
    assert allowed_above(100_000, NONE) == 0


def test_that_the_lesser_or_the_greater_counts_and_the_cap_bounds_it() -> None:
    both = {"percent_ppm": 100_000, "amount_minor": 2_500}
    assert allowed_above(10_000, Tolerance(**both)) == 1_000
    assert allowed_above(100_000, Tolerance(**both)) == 2_500
    assert allowed_above(10_000, Tolerance(**both, take=Take.GREATER)) == 2_500
    assert allowed_above(100_000, Tolerance(**both, take=Take.GREATER)) == 10_000
    assert allowed_above(100_000, Tolerance(**both, take=Take.GREATER, cap_minor=5_000)) == 5_000
    assert allowed_above(10_000, Tolerance(amount_minor=2_500)) == 2_500


def test_that_a_charge_up_to_the_allowed_amount_passes() -> None:
    check_charge(8_555 + 855, 8_555, TEN_PERCENT, currency=USD)
    assert missing_consent(8_555 + 855, 8_555, TEN_PERCENT) == 0


def test_that_one_cent_more_is_refused_and_the_missing_sum_is_named() -> None:
    with pytest.raises(RuleBroken) as refused:
        check_charge(8_555 + 855 + 1, 8_555, TEN_PERCENT, currency=USD, field="lines")
    assert refused.value.field == "lines"
    for part in ("94.11 USD", "85.55", "8.55", "0.01 USD"):
        assert part in refused.value.sentence


@given(st.integers(0, 10**9), st.integers(0, 10**9), st.integers(0, 10**6))
def test_that_what_is_missing_is_exactly_what_lifts_the_refusal(net: int, agreed: int, ppm: int) -> None:
    tolerance = Tolerance(percent_ppm=ppm)
    missing = missing_consent(net, agreed, tolerance)
    check_charge(net - missing, agreed, tolerance, currency=USD)
    if missing:
        with pytest.raises(RuleBroken):
            check_charge(net - missing + 1, agreed, tolerance, currency=USD)
