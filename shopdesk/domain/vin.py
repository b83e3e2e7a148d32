"""Vehicle identification numbers: 17 characters, a check digit where makers use it, a year code.

Rules of 49 CFR 565.13 and 565.15. A wrong check digit is a note, never a refusal: it is
compulsory in North America only. Impossible characters or a wrong length are refused, unless
the number is marked as old or unusual.
"""

import re
from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken

LENGTH = 17
_MOST_UNUSUAL = 25
_VALUES = {
    **{digit: int(digit) for digit in "0123456789"},
    **dict(zip("ABCDEFGH", range(1, 9), strict=True)),
    **dict(zip("JKLMN", range(1, 6), strict=True)),
    "P": 7,
    "R": 9,
    **dict(zip("STUVWXYZ", range(2, 10), strict=True)),
}
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
_REMAINDERS = "0123456789X"
_YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
_FIRST_YEAR, _CYCLE = 1980, 30
_NORTH_AMERICA = "12345"
_WELL_FORMED = re.compile(r"[A-HJ-NPR-Z0-9]{17}")
_UNUSUAL = re.compile(r"[A-Z0-9]+")


@dataclass(frozen=True, kw_only=True, slots=True)
class VinReading:
    """A number as kept (capitals, no spaces or hyphens) and sentences on what is odd about it."""

    vin: str
    notes: tuple[str, ...] = ()


def read_vin(text: str, *, field: str = "vin", unusual: bool = False) -> VinReading:
    """Read a VIN as typed. ``unusual`` lets old and odd numbers of 1 to 25 letters and digits pass.

    Raises RuleBroken for impossible characters or lengths. Spaces and hyphens are left out.
    """
    if len(text) > 4 * _MOST_UNUSUAL:
        raise RuleBroken(
            _("A VIN has 17 characters; this text has {length}.").format(length=len(text)), field
        )
    # Capitals of other scripts can be A to Z: "ſ" must not pass as S.
    vin = re.sub("[ -]", "", text).upper() if text.isascii() else text
    if not vin:
        raise RuleBroken(_("The VIN is empty; it has 17 letters and digits."), field)
    if _WELL_FORMED.fullmatch(vin):
        return VinReading(vin=vin, notes=_check_digit_notes(vin))
    problem = _problem(vin)
    if not unusual or not _UNUSUAL.fullmatch(vin) or len(vin) > _MOST_UNUSUAL:
        raise RuleBroken(problem, field)
    return VinReading(vin=vin, notes=(problem,))


def _problem(vin: str) -> str:
    """Say which character or what length keeps this from being a VIN."""
    for place, character in enumerate(vin, start=1):
        if character in "IOQ":
            sentence = _("A VIN has no letters I, O and Q; character {place} is {letter}. Is it 1 or 0?")
            return sentence.format(place=place, letter=character)
        if character not in _VALUES:
            sentence = _(
                "A VIN has only the letters A to Z and the digits 0 to 9; character {place} is neither."
            )
            return sentence.format(place=place)
    return _("A VIN has 17 characters; this one has {length}.").format(length=len(vin))


def check_digit(vin: str) -> str:
    """The digit (or X) that belongs at place 9 of a well-formed VIN; ValueError for others."""
    if not _WELL_FORMED.fullmatch(vin):
        raise ValueError("not 17 characters of a VIN")
    total = sum(_VALUES[character] * weight for character, weight in zip(vin, _WEIGHTS, strict=True))
    return _REMAINDERS[total % 11]


def _check_digit_notes(vin: str) -> tuple[str, ...]:
    right = check_digit(vin)
    if vin[8] == right:
        return ()
    if vin[0] in _NORTH_AMERICA:
        sentence = _(
            "The check digit (character 9) is {is_digit} and should be {right}: "
            "compare the number with the vehicle."
        )
    else:
        sentence = _(
            "Character 9 is {is_digit}; as a check digit it would be {right}. Many makers outside "
            "North America do not use one: compare the number with the vehicle."
        )
    return (sentence.format(is_digit=vin[8], right=right),)


def model_years(vin: str, *, heavy: bool = False) -> tuple[int, ...]:
    """The model years that place 10 can mean, oldest first; empty when it means none.

    Two years, 30 apart, unless the number begins in North America and the vehicle is not
    ``heavy`` (over 10,000 lb, or a trailer): then place 7 is a digit up to 2009 and a letter since.
    """
    if not _WELL_FORMED.fullmatch(vin) or vin[9] not in _YEAR_CODES:
        return ()
    first = _FIRST_YEAR + _YEAR_CODES.index(vin[9])
    if heavy or vin[0] not in _NORTH_AMERICA:
        return (first, first + _CYCLE)
    return (first,) if vin[6].isdigit() else (first + _CYCLE,)
