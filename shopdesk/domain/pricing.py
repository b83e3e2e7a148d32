"""What a document's lines come to, and what quantity of a fluid is billed.

Every paper adds up: the lines' nets to the net, the lines' taxes and the rates' taxes to the
tax, net and tax to the total.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.money import round_half_up
from shopdesk.domain.tax import RateTotal, TaxRate, TaxRounding, tax_lines


class LineKind(StrEnum):
    """What a line stands for; a discount line takes its amount off."""

    LABOUR = "labour"
    FLUID = "fluid"
    PART = "part"
    FEE = "fee"
    DISCOUNT = "discount"
    SUBLET = "sublet"


@dataclass(frozen=True, kw_only=True, slots=True)
class PricedLine:
    """A line before it is added up.

    ``quantity_milli`` counts thousandths of the sale unit, ``unit_price_minor`` is the price of
    one. All are at least zero, also on a discount line, whose net amount then is below zero.
    """

    kind: LineKind
    text: str
    quantity_milli: int
    unit_price_minor: int
    discount_minor: int = 0
    rates: tuple[TaxRate, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class LineTotal:
    """A line's amount before tax, and its tax, in minor units."""

    net_minor: int
    tax_minor: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Totals:
    """A document added up, in minor units; labour, parts (with fluids) and other make the net."""

    lines: tuple[LineTotal, ...]
    by_rate: tuple[RateTotal, ...]
    labour_minor: int
    parts_minor: int
    other_minor: int
    net_minor: int
    tax_minor: int
    total_minor: int


def net_of(line: PricedLine) -> int:
    """The line's amount before tax: quantity times price, rounded half up, less its discount."""
    if min(line.quantity_milli, line.unit_price_minor, line.discount_minor) < 0:
        raise RuleBroken(
            _('Quantity, price and discount of "{text}" cannot be below zero.').format(text=line.text)
        )
    if len(set(line.rates)) < len(line.rates):
        raise RuleBroken(_('"{text}" carries the same tax twice.').format(text=line.text))
    gross = round_half_up(Fraction(line.quantity_milli * line.unit_price_minor, 1000))
    net = gross - line.discount_minor
    if net < 0:
        raise RuleBroken(_('The discount on "{text}" is more than the line comes to.').format(text=line.text))
    return -net if line.kind is LineKind.DISCOUNT else net


def price(lines: Sequence[PricedLine], rounding: TaxRounding) -> Totals:
    """Add up a document. Raises RuleBroken when discounts are more than they are taken from."""
    nets = [net_of(line) for line in lines]
    taxed = tax_lines(nets, [line.rates for line in lines], rounding)
    net, tax = sum(nets), sum(taxed.line_taxes)
    if net < 0 or any(total.base_minor < 0 for total in taxed.by_rate):
        raise RuleBroken(_("The discounts are more than the lines they are taken from."))
    labour = _sum_of(lines, nets, LineKind.LABOUR)
    parts = _sum_of(lines, nets, LineKind.FLUID, LineKind.PART)
    return Totals(
        lines=tuple(LineTotal(net_minor=n, tax_minor=t) for n, t in zip(nets, taxed.line_taxes, strict=True)),
        by_rate=taxed.by_rate,
        labour_minor=labour,
        parts_minor=parts,
        other_minor=net - labour - parts,
        net_minor=net,
        tax_minor=tax,
        total_minor=net + tax,
    )


def _sum_of(lines: Sequence[PricedLine], nets: Sequence[int], *kinds: LineKind) -> int:
    return sum(net for line, net in zip(lines, nets, strict=True) if line.kind in kinds)


class BillingRule(StrEnum):
    """What quantity of a fluid is billed, apart from what was put in."""

    MEASURED_STEP = "measured to a step"
    WHOLE_CONTAINERS = "whole containers"
    SHEET = "sheet quantity"


# Volumes and sale units are kept to the microlitre; a drop's fifth must not bill a further step.
_GRACE_UL = 10


def billed_quantity_milli(
    rule: BillingRule,
    *,
    pumped_ul: int,
    sale_unit_ul: int,
    step_milli: int = 100,
    package_ul: int | None = None,
    sheet_ul: int | None = None,
) -> int:
    """The quantity billed, in thousandths of the sale unit; nothing put in bills nothing.

    MEASURED_STEP rounds up to ``step_milli`` thousandths, WHOLE_CONTAINERS up to whole packages
    of ``package_ul``, SHEET takes ``sheet_ul``. Raises RuleBroken when the rule's figure is missing.
    """
    if pumped_ul < 0 or sale_unit_ul <= 0:
        raise ValueError("a volume below zero or a sale unit of nothing")
    if pumped_ul == 0:
        return 0
    if rule is BillingRule.MEASURED_STEP:
        step = _figure(step_milli, _("the step to which the measured quantity is rounded up"))
        return step * _ceiling(Fraction((pumped_ul - _GRACE_UL) * 1000, sale_unit_ul * step))
    if rule is BillingRule.WHOLE_CONTAINERS:
        package = _figure(package_ul, _("the size of a container"))
        billed_ul = package * _ceiling(Fraction(pumped_ul - _GRACE_UL, package))
    else:
        billed_ul = _figure(sheet_ul, _("the quantity on the unit sheet"))
    return round_half_up(Fraction(billed_ul * 1000, sale_unit_ul))


def _figure(value: int | None, name: str) -> int:
    if value is None or value <= 0:
        raise RuleBroken(_("To bill this fluid, {name} is needed.").format(name=name), "billing")
    return value


def _ceiling(value: Fraction) -> int:
    """The next whole number up, at least one."""
    return max(1, -(-value.numerator // value.denominator))
