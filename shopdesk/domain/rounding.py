"""The one way this program rounds."""

from fractions import Fraction


def round_half_up(value: Fraction) -> int:
    """Round to the nearest integer, halves away from zero (2.5 to 3, -2.5 to -3).

    For amounts this is the rule of the Streamlined Sales and Use Tax Agreement, section 324.
    """
    doubled = abs(value) * 2 + 1
    size = doubled.numerator // (2 * doubled.denominator)
    return size if value >= 0 else -size
