"""Percentages as people write them, kept as whole millionths."""

import re
from fractions import Fraction
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken

_PATTERN = re.compile(r"(?P<whole>[0-9]{1,3})(?:[.,](?P<part>[0-9]{1,4}))?\s*%?")


def read_percent(text: str, *, field: str) -> int:
    """Read "8.25", "8,25 %" or "0" as millionths (82 500); 0 to 100 %, four decimals at most."""
    found = _PATTERN.fullmatch(text.strip())
    if found is None:
        raise RuleBroken(_("Write a percentage such as 8.25; at most four decimals."), field)
    part = found["part"] or ""
    ppm = Fraction(int(found["whole"] + part), 10 ** len(part)) * 10_000
    if ppm > 1_000_000:
        raise RuleBroken(_("A percentage here lies between 0 and 100."), field)
    return int(ppm)
