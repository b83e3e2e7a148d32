"""The uncertainty budget of a volume balance: one term for each reading, and two for the level.

Each reading has a half-width a ("you can read it to ±"), u = a/√3; its temperature adds
V·dVCF/dt·u(t); the level temperature acts on the whole fill; attitude, tube lip and what one calls
a drip are the level's repeatability. All at 15 °C, in µL.
"""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from shopdesk.domain.expansion import vcf, vcf_per_degree
from shopdesk.domain.words import N_


class Term(StrEnum):
    """Names of the balance's terms."""

    PUT_IN = N_("put in")
    FOUND_ADDED = N_("added at the check as found")
    LEFT_IN_HOSE = N_("left in the hose")
    SPILLED = N_("spilled")
    RAN_OUT = N_("ran out at level check")
    FOUND_RAN_OUT = N_("ran out at the check as found")
    DRAINED = N_("drained")
    OLD_FILTER = N_("left in the old filter")
    LEVEL_TEMPERATURE = N_("level temperature")
    REPEATABILITY = N_("level repeatability")


WENT_IN: frozenset[Term] = frozenset({Term.PUT_IN, Term.FOUND_ADDED})
"""What is added in the balance; every other volume is subtracted."""

NO_VOLUME: frozenset[Term] = frozenset({Term.LEVEL_TEMPERATURE, Term.REPEATABILITY})
"""Terms that only widen the balance."""


@dataclass(frozen=True, kw_only=True, slots=True)
class VolumeReading:
    """A volume as read: µL and ± half-width in µL, at ``temp_mc`` (1/1000 °C) ± its half-width.

    For fluid that came out, the temperature is that of the fluid in the pan when read, not the
    unit's. ``None``: the caller's ambient is used, and said.
    """

    ul: int
    half_width_ul: int
    temp_mc: int | None = None
    temp_half_width_mc: int = 2000
    instrument: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class BalanceTerm:
    """One line of the budget at 15 °C: signed volume, standard uncertainty (µL), share of variance.

    ``reading_u_ul`` is the part of ``u_ul`` that comes from reading the volume, without its
    temperature. The volumes sum to the balance; the shares sum to 1, or are all 0 when nothing is uncertain.
    """

    name: Term
    v15_ul: float
    u_ul: float
    share_of_variance: float = 0.0
    instrument: str = ""
    reading_u_ul: float = 0.0


@dataclass(frozen=True, kw_only=True, slots=True)
class LevelSetting:
    """At what temperature the level was set, and how well: 1/1000 °C, µL."""

    density15: int
    temp_mc: int
    half_width_mc: int
    ambient_mc: int
    total_ul: int
    repeatability_ul: int

    @property
    def factor(self) -> float:
        """Volume correction factor at the level's temperature."""
        return vcf(self.density15, self.temp_mc)


def half_width_of_resolution(resolution_ul: int) -> int:
    """Half a scale's step in µL, rounded up: a pan marked every 100 mL is read to ±50 mL."""
    return (resolution_ul + 1) // 2


def standard_uncertainty(half_width: float) -> float:
    """u = a/√3 of a value known to ± ``half_width`` with nothing more likely inside (rectangular)."""
    return half_width / math.sqrt(3)


def root_sum_of_squares(parts: Iterable[float]) -> float:
    """Combined standard uncertainty of independent parts, same unit."""
    return math.hypot(*parts)


def budget(measured: Mapping[Term, VolumeReading], level: LevelSetting) -> tuple[BalanceTerm, ...]:
    """All terms with their shares of the variance."""
    return _with_shares([*_reading_terms(measured, level), *_level_terms(level)])


def _reading_terms(measured: Mapping[Term, VolumeReading], level: LevelSetting) -> Iterator[BalanceTerm]:
    for name, reading in measured.items():
        temp_mc, temp_half_width_mc = _temperature(name, reading, level)
        factor = vcf(level.density15, temp_mc)
        slope = vcf_per_degree(level.density15, temp_mc)
        by_reading = standard_uncertainty(reading.half_width_ul) * factor
        by_temperature = reading.ul * slope * standard_uncertainty(temp_half_width_mc / 1000)
        v15_ul = (1 if name in WENT_IN else -1) * reading.ul * factor
        u_ul = math.hypot(by_reading, by_temperature)
        yield BalanceTerm(
            name=name,
            v15_ul=v15_ul,
            u_ul=u_ul,
            instrument=reading.instrument,
            reading_u_ul=by_reading,
        )


def _temperature(name: Term, reading: VolumeReading, level: LevelSetting) -> tuple[int, int]:
    """Temperature and half-width of a reading, 1/1000 °C.

    Fluid that came out of the unit without its own temperature lay between the shop's and the
    level's; new fluid lies at the shop's.
    """
    if reading.temp_mc is not None:
        return reading.temp_mc, reading.temp_half_width_mc
    came_out = name in (Term.RAN_OUT, Term.DRAINED, Term.OLD_FILTER, Term.FOUND_RAN_OUT)
    apart = abs(level.temp_mc - level.ambient_mc) if came_out else 0
    return level.ambient_mc, max(reading.temp_half_width_mc, apart)


def _level_terms(level: LevelSetting) -> Iterator[BalanceTerm]:
    slope = vcf_per_degree(level.density15, level.temp_mc)
    by_temperature = level.total_ul * slope * standard_uncertainty(level.half_width_mc / 1000)
    yield BalanceTerm(name=Term.LEVEL_TEMPERATURE, v15_ul=0.0, u_ul=by_temperature)
    by_setting = standard_uncertainty(level.repeatability_ul) * level.factor
    yield BalanceTerm(name=Term.REPEATABILITY, v15_ul=0.0, u_ul=by_setting)


def _with_shares(terms: list[BalanceTerm]) -> tuple[BalanceTerm, ...]:
    variance = math.fsum(term.u_ul**2 for term in terms)
    if variance == 0:
        return tuple(terms)
    return tuple(replace(term, share_of_variance=term.u_ul**2 / variance) for term in terms)
