"""Whether a product suits a unit: what it claims, and what the shop and the customer accept.

The four grounds are the trade's own: the vehicle maker's own product, licensed with a number,
claimed by its blender to meet the specification, said by its blender to be suitable for use.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from gettext import gettext as _

from shopdesk.domain.words import N_


class ClaimBasis(StrEnum):
    """On what ground a product is said to suit a specification, strongest first."""

    MAKERS_OWN = N_("maker's own")
    LICENSED = N_("licensed")
    CLAIMS = N_("claims to meet")
    SUITABLE = N_("suitable for use")


class Substitution(StrEnum):
    """What may be put in without asking again: the shop's rule, or a customer's own.

    "claims to meet" and "suitable for use" are both the blender's own word: one rule for the two.
    """

    ONLY_MAKERS_OWN = N_("only the maker's own")
    LICENSED = N_("licensed or better")
    CLAIMS = N_("the blender's claim is enough")
    ASK = N_("ask each time")


_ACCEPTED: dict[Substitution, frozenset[ClaimBasis]] = {
    Substitution.ONLY_MAKERS_OWN: frozenset({ClaimBasis.MAKERS_OWN}),
    Substitution.LICENSED: frozenset({ClaimBasis.MAKERS_OWN, ClaimBasis.LICENSED}),
    Substitution.CLAIMS: frozenset(ClaimBasis),
    Substitution.ASK: frozenset({ClaimBasis.MAKERS_OWN}),
}


class MatchVerdict(StrEnum):
    """What follows from claim and rule."""

    FITS = N_("fits")
    AGAINST_THE_RULE = N_("weaker than the rule accepts")
    UNKNOWN = N_("no claim on record")
    NO_SPECIFICATION = N_("specification not known")


class RuleOf(StrEnum):
    """Whose rule decided."""

    SHOP = N_("the shop's rule")
    CUSTOMER = N_("the customer's rule")


@dataclass(frozen=True, kw_only=True, slots=True)
class ProductClaim:
    """One claim of a product; specifications are compared by their id."""

    specification_id: int
    basis: ClaimBasis
    licence_no: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Match:
    """A product against a unit's specification."""

    verdict: MatchVerdict
    rule: Substitution
    rule_of: RuleOf
    basis: ClaimBasis | None = None
    licence_no: str = ""

    @property
    def needs_reason(self) -> bool:
        """Say whether putting it in must be explained."""
        return self.verdict is not MatchVerdict.FITS


def strength(basis: ClaimBasis) -> int:
    """Give 0 for the strongest ground, one more for each weaker one."""
    return list(ClaimBasis).index(basis)


def match(
    specification_id: int | None,
    claims: Iterable[ProductClaim],
    *,
    shop_rule: Substitution,
    customer_rule: Substitution | None = None,
) -> Match:
    """Judge a product. A customer's own rule, where one is on record, stands in place of the shop's."""
    rule = customer_rule or shop_rule
    rule_of = RuleOf.CUSTOMER if customer_rule else RuleOf.SHOP
    if specification_id is None:
        return Match(verdict=MatchVerdict.NO_SPECIFICATION, rule=rule, rule_of=rule_of)
    known = [claim for claim in claims if claim.specification_id == specification_id]
    if not known:
        return Match(verdict=MatchVerdict.UNKNOWN, rule=rule, rule_of=rule_of)
    claim = min(known, key=lambda each: strength(each.basis))
    fits = claim.basis in _ACCEPTED[rule]
    return Match(
        verdict=MatchVerdict.FITS if fits else MatchVerdict.AGAINST_THE_RULE,
        rule=rule,
        rule_of=rule_of,
        basis=claim.basis,
        licence_no=claim.licence_no,
    )


def match_sentence(found: Match, *, product: str, specification: str) -> str:
    """Say in one sentence on what ground a product is used, for screens, invoices and records."""
    words = {"product": product, "specification": specification, "rule": _(found.rule)}
    if found.verdict is MatchVerdict.NO_SPECIFICATION:
        return _("{product}: the unit sheet names no specification.").format(**words)
    if found.basis is None:
        return _("{product} carries no claim for {specification} on record.").format(**words)
    basis = _(found.basis) + (f" ({found.licence_no})" if found.licence_no else "")
    if found.verdict is MatchVerdict.FITS and found.rule_of is RuleOf.CUSTOMER:
        sentence = _("{product}, {basis}: {specification}. The customer accepts: {rule}.")
    elif found.verdict is MatchVerdict.FITS:
        sentence = _("{product}, {basis}: {specification}.")
    elif found.rule_of is RuleOf.CUSTOMER:
        sentence = _("{product}, {basis}: {specification}. The customer's rule is: {rule}.")
    else:
        sentence = _("{product}, {basis}: {specification}. The shop's rule is: {rule}.")
    return sentence.format(basis=basis, **words)
