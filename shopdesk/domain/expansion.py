"""Thermal expansion of lubricating oils: every volume can be brought to 15 °C.

Generalised lubricating oils, base 15 °C (Table 54D of the 1980 petroleum measurement tables):
alpha = 0.6278 / density15, VCF = exp(-alpha·dT·(1 + 0.8·alpha·dT)), V15 = V(t)·VCF(t). The formula
and its constant were read in two secondary sources whose 15 °C and 60 °F forms agree to 1.1e-5;
the primary standard was not at hand.
"""

import math
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken

LEAST_DENSITY, MOST_DENSITY = 801, 1164
"""Base densities in kg/m³ for which the generalised correction holds."""

_K1 = 0.6278
_BASE_MC = 15_000


def vcf(density15_kg_m3: int, temp_mc: int) -> float:
    """Volume correction factor to 15 °C, without unit, for a fluid at ``temp_mc`` (1/1000 °C).

    Raises RuleBroken (field ``density``) outside the densities the correction holds for.
    """
    alpha, rise = _alpha(density15_kg_m3), (temp_mc - _BASE_MC) / 1000
    return math.exp(-alpha * rise * (1 + 0.8 * alpha * rise))


def vcf_per_degree(density15_kg_m3: int, temp_mc: int) -> float:
    """How much the factor falls for one more °C (positive, 1/°C): the slope's size."""
    alpha, rise = _alpha(density15_kg_m3), (temp_mc - _BASE_MC) / 1000
    return vcf(density15_kg_m3, temp_mc) * alpha * (1 + 1.6 * alpha * rise)


def _alpha(density15_kg_m3: int) -> float:
    if not LEAST_DENSITY <= density15_kg_m3 <= MOST_DENSITY:
        raise RuleBroken(
            _("The density at 15 °C must lie between {least} and {most} kg/m³.").format(
                least=LEAST_DENSITY, most=MOST_DENSITY
            ),
            field="density",
        )
    return _K1 / density15_kg_m3
