"""How far a charge may go above what the customer agreed to.

Amounts are compared before tax, because estimates often leave sales tax out. What is allowed
above is rounded down: 10 % of 85.55 is 8.55, never 8.56.
"""

from dataclasses import dataclass
from enum import StrEnum
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.money import Currency, amount_text


class Take(StrEnum):
    """Which of a percentage and an amount counts when a place sets both."""

    LESSER = "lesser"
    GREATER = "greater"


@dataclass(frozen=True, kw_only=True, slots=True)
class Tolerance:
    """What a place lets a bill exceed the agreed amount by; nothing set allows nothing.

    ``percent_ppm`` is in millionths (10 % is 100 000), ``cap_minor`` bounds the result.
    """

    percent_ppm: int | None = None
    amount_minor: int | None = None
    take: Take = Take.LESSER
    cap_minor: int | None = None


def allowed_above(authorised_minor: int, tolerance: Tolerance) -> int:
    """The most that may be charged above the agreed net amount, in minor units, rounded down."""
    limits = []
    if tolerance.percent_ppm is not None:
        limits.append(authorised_minor * tolerance.percent_ppm // 1_000_000)
    if tolerance.amount_minor is not None:
        limits.append(tolerance.amount_minor)
    if not limits:
        return 0
    above = min(limits) if tolerance.take is Take.LESSER else max(limits)
    return above if tolerance.cap_minor is None else min(above, tolerance.cap_minor)


def missing_consent(net_minor: int, authorised_net_minor: int, tolerance: Tolerance) -> int:
    """The net amount for which no consent is recorded, in minor units; zero when all is agreed."""
    return max(0, net_minor - authorised_net_minor - allowed_above(authorised_net_minor, tolerance))


def check_charge(
    net_minor: int,
    authorised_net_minor: int,
    tolerance: Tolerance,
    *,
    currency: Currency,
    field: str = "",
) -> None:
    """Refuse a charge above the agreed amount and the tolerance, naming the sum without consent."""
    missing = missing_consent(net_minor, authorised_net_minor, tolerance)
    if not missing:
        return
    sentence = _(
        "Before tax this comes to {net} {code}; the customer agreed to {agreed} and {above} more is "
        "allowed. Consent for a further {missing} {code} is missing: ask and record it first."
    )
    raise RuleBroken(
        sentence.format(
            net=amount_text(net_minor, currency),
            agreed=amount_text(authorised_net_minor, currency),
            above=amount_text(allowed_above(authorised_net_minor, tolerance), currency),
            missing=amount_text(missing, currency),
            code=currency.code,
        ),
        field,
    )
