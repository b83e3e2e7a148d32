"""Sales tax: which rates apply on a day, and how the tax of lines is rounded.

Whether labour, parts or fees are taxed differs from place to place, so a rate belongs to a tax
class and a place, never to the program.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.money import round_half_up, round_to_sum


class TaxRounding(StrEnum):
    """Where the tax is rounded to the minor unit, half up."""

    LINE = "line"
    """The tax of each line at each of its rates."""

    RATE = "rate"
    """The tax of all lines together at each rate; lines share it, so that every paper adds up."""


@dataclass(frozen=True, kw_only=True, slots=True)
class TaxRate:
    """A named rate in millionths: 8.25 % is 82 500. A combined rate is one rate."""

    name: str
    rate_ppm: int


@dataclass(frozen=True, kw_only=True, slots=True)
class DatedRate:
    """A rate for a tax class, place and kind of customer, from a day to a day (both included).

    An empty ``place`` or ``customer_kind`` stands for any; ``to_on`` None has no end.
    """

    name: str
    rate_ppm: int
    from_on: date
    to_on: date | None = None
    tax_class: str
    place: str = ""
    customer_kind: str = ""

    def is_for(self, tax_class: str, place: str, customer_kind: str, on: date) -> bool:
        """Whether the rate applies to this kind of line on this day."""
        return (
            self.tax_class == tax_class
            and self.place in ("", place)
            and self.customer_kind in ("", customer_kind)
            and self.from_on <= on
            and (self.to_on is None or on <= self.to_on)
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class RateTotal:
    """One rate on a document: the net amount it was taken from, and the tax, in minor units."""

    rate: TaxRate
    base_minor: int
    tax_minor: int


@dataclass(frozen=True, kw_only=True, slots=True)
class TaxedLines:
    """The tax of every line and of every rate; both add up to the same sum."""

    line_taxes: tuple[int, ...]
    by_rate: tuple[RateTotal, ...]


def rates_on(
    rates: Sequence[DatedRate], *, tax_class: str, place: str, customer_kind: str, on: date
) -> tuple[TaxRate, ...]:
    """The rates that apply, in the order given; none means that no tax is taken.

    Raises RuleBroken when two rates of one name apply on the same day.
    """
    found = [rate for rate in rates if rate.is_for(tax_class, place, customer_kind, on)]
    names = [rate.name for rate in found]
    for name in names:
        if names.count(name) > 1:
            sentence = _('There are two rates called "{name}" for "{tax_class}" on {day}. Please end one.')
            raise RuleBroken(sentence.format(name=name, tax_class=tax_class, day=on.isoformat()), "tax_rate")
    return tuple(TaxRate(name=rate.name, rate_ppm=rate.rate_ppm) for rate in found)


def exact_tax(net_minor: int, rate: TaxRate) -> Fraction:
    """The tax before rounding, in minor units."""
    return Fraction(net_minor * rate.rate_ppm, 1_000_000)


def tax_lines(nets: Sequence[int], rates: Sequence[Sequence[TaxRate]], rounding: TaxRounding) -> TaxedLines:
    """The tax on lines of these net amounts, each with its own rates (half up, see TaxRounding)."""
    line_taxes = [0] * len(nets)
    by_rate = []
    for rate in dict.fromkeys(rate for line in rates for rate in line):
        places = [place for place, line in enumerate(rates) if rate in line]
        exact = [exact_tax(nets[place], rate) for place in places]
        if rounding is TaxRounding.LINE:
            taxes = tuple(round_half_up(tax) for tax in exact)
        else:
            taxes = round_to_sum(exact, round_half_up(sum(exact, Fraction())))
        for place, tax in zip(places, taxes, strict=True):
            line_taxes[place] += tax
        base = sum(nets[place] for place in places)
        by_rate.append(RateTotal(rate=rate, base_minor=base, tax_minor=sum(taxes)))
    return TaxedLines(line_taxes=tuple(line_taxes), by_rate=tuple(by_rate))
