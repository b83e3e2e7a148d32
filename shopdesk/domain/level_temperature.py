"""What the temperature at which a level is set is worth in fluid.

The level is a fixed place, so the unit always holds C there; how much fluid that is at 15 °C
depends on the temperature. Set at T1 the unit holds C·VCF(T1), at T2 C·VCF(T2).
"""

from shopdesk.domain.expansion import vcf, vcf_per_degree


def per_degree_ul(total_ul: int, density15: int, temp_mc: int) -> int:
    """How many µL the level changes for one °C at ``temp_mc`` (1/1000 °C), the unit holding ``total_ul``.

    Computed: 7 L at 40 °C and 860 kg/m³ give 5.26 mL.
    """
    return round(total_ul * vcf_per_degree(density15, temp_mc) / vcf(density15, temp_mc))


def what_if_ul(total_ul: int, density15: int, *, set_at_mc: int, other_mc: int) -> int:
    """How much more fluid, in µL at ``set_at_mc``, the unit holds than if set at ``other_mc``.

    Positive: set at the other (hotter) temperature it would hold less, that is stand lower.
    """
    kept, other = vcf(density15, set_at_mc), vcf(density15, other_mc)
    return round(total_ul * (kept - other) / kept)
