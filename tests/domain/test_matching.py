"""Which product suits a unit, by whose rule."""

import pytest

from shopdesk.domain.matching import (
    ClaimBasis,
    Match,
    MatchVerdict,
    ProductClaim,
    RuleOf,
    Substitution,
    match,
    match_sentence,
)


def judged(basis: ClaimBasis, rule: Substitution) -> Match:
    return match(1, [ProductClaim(specification_id=1, basis=basis)], shop_rule=rule)


@pytest.mark.parametrize(
    ("rule", "accepted"),
    [
        (Substitution.ONLY_MAKERS_OWN, 1),
        (Substitution.LICENSED, 2),
        (Substitution.CLAIMS, 4),
        (Substitution.ASK, 1),
    ],
)
def test_that_each_rule_accepts_the_stronger_grounds(rule: Substitution, accepted: int) -> None:
    fitting = [not judged(basis, rule).needs_reason for basis in ClaimBasis]
    assert fitting == [True] * accepted + [False] * (4 - accepted)


def test_that_the_customers_rule_stands_in_place_of_the_shops() -> None:
    claims = [ProductClaim(specification_id=1, basis=ClaimBasis.CLAIMS)]
    shop = match(1, claims, shop_rule=Substitution.LICENSED)
    own = match(1, claims, shop_rule=Substitution.LICENSED, customer_rule=Substitution.CLAIMS)
    assert (shop.verdict, shop.rule_of) == (MatchVerdict.AGAINST_THE_RULE, RuleOf.SHOP)
    assert (own.verdict, own.rule_of) == (MatchVerdict.FITS, RuleOf.CUSTOMER)


def test_that_the_strongest_claim_for_the_specification_counts() -> None:
    claims = [
        ProductClaim(specification_id=1, basis=ClaimBasis.SUITABLE),
        ProductClaim(specification_id=1, basis=ClaimBasis.LICENSED, licence_no="L-7"),
        ProductClaim(specification_id=2, basis=ClaimBasis.MAKERS_OWN),
    ]
    found = match(1, claims, shop_rule=Substitution.LICENSED)
    assert (found.basis, found.licence_no, found.verdict) == (ClaimBasis.LICENSED, "L-7", MatchVerdict.FITS)


def test_that_a_product_without_a_claim_and_a_unit_without_a_specification_need_a_reason() -> None:
    other = [ProductClaim(specification_id=2, basis=ClaimBasis.MAKERS_OWN)]
    assert match(1, other, shop_rule=Substitution.CLAIMS).verdict is MatchVerdict.UNKNOWN
    assert match(None, other, shop_rule=Substitution.CLAIMS).verdict is MatchVerdict.NO_SPECIFICATION
    assert match(1, other, shop_rule=Substitution.CLAIMS).needs_reason


def test_that_the_sentence_names_the_ground_and_whose_rule_it_was() -> None:
    words = {"product": "Clear ATF", "specification": "TX-6"}
    claims = [ProductClaim(specification_id=1, basis=ClaimBasis.CLAIMS)]
    by_customer = match(1, claims, shop_rule=Substitution.LICENSED, customer_rule=Substitution.CLAIMS)
    assert match_sentence(by_customer, **words) == (
        "Clear ATF, claims to meet: TX-6. The customer accepts: the blender's claim is enough."
    )
    against = match(1, claims, shop_rule=Substitution.LICENSED)
    assert "The shop's rule is: licensed or better." in match_sentence(against, **words)
    assert "no claim for TX-6" in match_sentence(match(1, [], shop_rule=Substitution.ASK), **words)
