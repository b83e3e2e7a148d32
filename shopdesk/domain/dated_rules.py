"""Figures from rules of law, offered as dated data: none is in force until the shop chooses it.

Each carries where it is written and stays marked "unchecked until a person checks it": they were
gathered from summaries, some of them secondary, and the program gives no legal advice. The shop
may change a figure when it chooses it; what it chose is kept with its dates.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction
from gettext import gettext as _

from shopdesk.domain.unit_factors import to_ul
from shopdesk.domain.words import N_


class RuleKey(StrEnum):
    """Which figure; the value is also its name on screens."""

    SELF_HAUL_MOST = N_("most used oil a shop takes away itself")
    CAPACITY_LEAST = N_("smallest oil container that counts")
    CAPACITY_MOST = N_("total oil capacity above which a plan is needed")


@dataclass(frozen=True, kw_only=True, slots=True)
class OfferedRule:
    """A figure that the shop may choose; volumes in µL."""

    key: RuleKey
    place: str
    value_ul: int
    from_on: date
    citation: str
    text: str


def unchecked_sentence() -> str:
    """Say what stands beside every figure that nobody has checked."""
    return _("Unchecked until a person checks it. This is no legal advice.")


def _gallons(gallons: int) -> int:
    return to_ul(Fraction(gallons), "gal")


_US = "United States (federal)"

OFFERED: tuple[OfferedRule, ...] = (
    OfferedRule(
        key=RuleKey.SELF_HAUL_MOST,
        place=_US,
        value_ul=_gallons(55),
        from_on=date(1993, 3, 8),
        citation="40 CFR 279.24",
        text=N_(
            "A shop takes at most 55 gallons at a time in its own vehicle to a collection or aggregation "
            "point; more goes with a carrier that has an EPA identification number."
        ),
    ),
    OfferedRule(
        key=RuleKey.CAPACITY_LEAST,
        place=_US,
        value_ul=_gallons(55),
        from_on=date(2002, 8, 16),
        citation="40 CFR 112.1(d)(5)",
        text=N_("Containers of less than 55 gallons are not counted."),
    ),
    OfferedRule(
        key=RuleKey.CAPACITY_MOST,
        place=_US,
        value_ul=_gallons(1320),
        from_on=date(2002, 8, 16),
        citation="40 CFR 112.1(d)(2)(ii)",
        text=N_(
            "Shell capacity of oil containers above ground, new and used, full or empty; "
            "more than 1,320 gallons may need a spill plan."
        ),
    ),
)
"""Dates and paragraph numbers are from memory; trade summaries were read for the figures."""
