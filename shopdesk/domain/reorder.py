"""When to order and how much: the owner's marks come first, the formula is a hint beside them.

Reorder point = mean daily demand · lead time + z·σ·√(lead time), z from the wanted service level
(the normal distribution). Eight lumpy fluids are no normal distribution: the hint says what it
rests on, and with too little history there is none.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import NormalDist

LEAST_DAYS_WITH_DEMAND = 5
"""Fewer days on which anything was used are no basis for a hint (common practice, no source)."""


def z_of(service_level_ppm: int) -> float:
    """Give the standard normal quantile of a service level in millionths (950,000: 1.6449)."""
    if not 500_000 <= service_level_ppm < 1_000_000:
        raise ValueError("a service level lies from one half to below one")
    return NormalDist().inv_cdf(service_level_ppm / 1_000_000)


def reorder_point(mean_over_lead: Fraction, sigma_over_lead: float, z: float) -> float:
    """Give lead-time demand plus safety stock, in the unit of the demand."""
    return float(mean_over_lead) + z * sigma_over_lead


@dataclass(frozen=True, kw_only=True, slots=True)
class Demand:
    """Daily demand seen over ``days``: mean and standard deviation a day, in the item's base unit."""

    days: int
    days_with_demand: int
    mean: Fraction
    sigma: float


def demand_of(daily: Sequence[int]) -> Demand:
    """Give mean and sample standard deviation of a run of days; days without use are zeros in it."""
    days = len(daily)
    if days == 0:
        return Demand(days=0, days_with_demand=0, mean=Fraction(0), sigma=0.0)
    mean = Fraction(sum(daily), days)
    squares = sum((each - mean) ** 2 for each in daily)
    sigma = math.sqrt(squares / (days - 1)) if days > 1 else 0.0
    return Demand(days=days, days_with_demand=sum(1 for each in daily if each), mean=mean, sigma=sigma)


@dataclass(frozen=True, kw_only=True, slots=True)
class ReorderHint:
    """The formula's order mark with what it rests on; quantities in the base unit."""

    point: int
    lead_demand: int
    safety: int
    lead_days: int
    service_level_ppm: int
    demand: Demand


def reorder_hint(demand: Demand, *, lead_days: int, service_level_ppm: int) -> ReorderHint | None:
    """Give the hint, or None when there is too little history to say anything."""
    if demand.days_with_demand < LEAST_DAYS_WITH_DEMAND or lead_days <= 0:
        return None
    lead_demand = demand.mean * lead_days
    sigma = demand.sigma * math.sqrt(lead_days)
    point = reorder_point(lead_demand, sigma, z_of(service_level_ppm))
    return ReorderHint(
        point=math.ceil(point),
        lead_demand=math.ceil(lead_demand),
        safety=math.ceil(point) - math.ceil(lead_demand),
        lead_days=lead_days,
        service_level_ppm=service_level_ppm,
        demand=demand,
    )


def whole_packages(quantity: int, package: int) -> int:
    """Give how many whole packages hold at least ``quantity``; none for nothing or less.

    A package kept to the microlitre may miss its round number by one: a millionth is let pass.
    """
    if package <= 0:
        raise ValueError("a package holds something")
    return max(0, -((package // 1_000_000 - quantity) // package))


def packages_to_order(
    *, available: int, on_order: int, order_at: int | None, fill_to: int | None, package: int
) -> int:
    """Give whole packages to order by the owner's marks: from at or below ``order_at`` up to ``fill_to``.

    ``available`` is on hand less what is reserved. Without an order mark nothing is suggested.
    """
    coming = available + on_order
    if order_at is None or coming > order_at:
        return 0
    return max(1, whole_packages((fill_to if fill_to is not None else order_at) - coming, package))


def days_of_cover(available: int, demand: Demand) -> int | None:
    """Give for how many whole days the shelf lasts at the mean use; None when nothing was used."""
    if demand.mean <= 0:
        return None
    return max(0, int(Fraction(available) / demand.mean))
