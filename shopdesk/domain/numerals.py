"""Numbers as people and job files write them, read into exact fractions.

Nothing here evaluates anything: a number is digits, at most one decimal mark and, where a
person typed it, thousands marks that are beyond doubt. Everything else is refused.
"""

import re
import string
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken

MOST_CHARACTERS = 40

#: Finishes a refusal: what is expected, with an example. Put into words only when it is needed,
#: because every look into the translations takes far longer than reading a number.
Wanted = Callable[[], str]

_SPLIT = re.compile(r"(?P<sign>[+-]?)(?P<number>\.?[0-9][0-9 .,]*)(?P<rest>.*)", re.DOTALL)
_STRICT = re.compile(r"[0-9]+(\.[0-9]+)?")
# A group of thousands never begins with zero: "0,125" is an eighth.
_DOT_DECIMAL = re.compile(
    r"(?:[0-9]+|[1-9][0-9]{0,2}(?: [0-9]{3})+|[1-9][0-9]{0,2}(?:,[0-9]{3})+)?(?:\.[0-9]+)?"
)
_COMMA_DECIMAL = re.compile(r"(?:[0-9]+|[1-9][0-9]{0,2}(?: [0-9]{3})+|[1-9][0-9]{0,2}(?:\.[0-9]{3})+),[0-9]+")
_GROUPS_ONLY = re.compile(r"[1-9][0-9]{0,2}(?:(?:,[0-9]{3}){2,}|(?:\.[0-9]{3}){2,})")
_UNCLEAR_COMMA = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_UNCLEAR_DOT = re.compile(r"[1-9][0-9]{0,2}\.[0-9]{3}")
_NARROW_SPACES = str.maketrans({"\u00a0": " ", "\u202f": " ", "\u2009": " ", "\u2212": "-"})


class NumberStyle(StrEnum):
    """Who wrote the number, and so which marks can be trusted."""

    STRICT = "strict"
    """A job file: a dot is the decimal mark and nothing groups thousands."""

    PERSON = "person"
    """A person: dot or comma decimals; thousands marks only where there is one way to read them."""


class Threes(StrEnum):
    """What one mark followed by exactly three digits means (PERSON style)."""

    UNCLEAR = "unclear"
    """A comma may group a thousand or begin decimals: ask. A dot begins decimals."""

    GROUP = "group"
    """What is read has no third decimal: a comma groups thousands, and a dot is asked about."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Written:
    """A number split from what follows it.

    ``typed`` is the text without outer spaces, ``decimals`` how many stood after the mark,
    ``rest`` whatever came behind the number (a unit, or something wrong).
    """

    typed: str
    number: Fraction
    decimals: int
    rest: str


def checked_line(text: str, *, field: str, wanted: Wanted) -> str:
    """Return ``text`` without outer spaces, or refuse what no number or unit can contain.

    Quick for any length.
    """
    if len(text) > MOST_CHARACTERS:
        sentence = _("This has {length} characters, too many for a number. Please write {wanted}.")
        raise RuleBroken(sentence.format(length=len(text), wanted=wanted()), field)
    line = text.strip(" ")
    if not line:
        raise RuleBroken(_("Nothing is written here. Please write {wanted}.").format(wanted=wanted()), field)
    for character in line:
        _refuse_character(character, field, wanted)
    return line


def _refuse_character(character: str, field: str, wanted: Wanted) -> None:
    if character.isascii() and character.isprintable():
        return
    category = unicodedata.category(character)
    if category.startswith("C") or category in ("Zl", "Zp"):
        sentence = _("This contains an invisible character. Please write {wanted}.")
    elif category.startswith("N") and character not in "²³":
        sentence = _("Only the digits 0 to 9 are read here. Please write {wanted}.")
    else:
        return
    raise RuleBroken(sentence.format(wanted=wanted()), field)


def read_number(
    text: str, *, field: str, wanted: Wanted, style: NumberStyle, threes: Threes = Threes.UNCLEAR
) -> Written:
    """Read the number at the start of ``text`` exactly; what follows it is left to the caller.

    Raises RuleBroken, with ``wanted`` in the sentence, for anything that is not one clear number.
    """
    typed = checked_line(text, field=field, wanted=wanted)
    line = typed.translate(_NARROW_SPACES) if style is NumberStyle.PERSON else typed
    match = _SPLIT.fullmatch(line)
    if match is None:
        raise RuleBroken(
            _('"{typed}" does not begin with a number. Please write {wanted}.').format(
                typed=typed, wanted=wanted()
            ),
            field,
        )
    digits, rest = match["number"].rstrip(" "), match["rest"].strip(" ")
    _refuse_tail(typed, rest, field, wanted)
    plain = _plain(digits, typed, field, wanted, style, threes)
    number = Fraction(plain) * (-1 if match["sign"] == "-" else 1)
    return Written(typed=typed, number=number, decimals=len(plain.partition(".")[2]), rest=rest)


def _refuse_tail(typed: str, rest: str, field: str, wanted: Wanted) -> None:
    """Refuse what looks like more of the number: 1e5, 1_000, 9**9, 1/2."""
    if rest and rest[0] in string.punctuation:
        raise RuleBroken(_not_one_number(typed, wanted), field)
    if re.match(r"[eE][+-]?[0-9]", rest):
        sentence = _('"{typed}" is written with an exponent. Please write the number out: {wanted}.')
        raise RuleBroken(sentence.format(typed=typed, wanted=wanted()), field)


def _plain(digits: str, typed: str, field: str, wanted: Wanted, style: NumberStyle, threes: Threes) -> str:
    """The number with a dot as decimal mark and nothing else."""
    if style is NumberStyle.STRICT:
        return _plain_strict(digits, typed, field, wanted)
    if threes is Threes.GROUP and _UNCLEAR_COMMA.fullmatch(digits):
        return digits.replace(",", "")
    if _UNCLEAR_COMMA.fullmatch(digits):
        whole, thousandths = digits.replace(",", ""), digits.replace(",", ".")
        sentence = _('"{typed}" can be read as {whole} or as {thousandths}. Please write one of these.')
        raise RuleBroken(sentence.format(typed=typed, whole=whole, thousandths=thousandths), field)
    if threes is Threes.GROUP and _UNCLEAR_DOT.fullmatch(digits):
        sentence = _('"{typed}" has three decimals, too many here. If {whole} is meant, please write that.')
        raise RuleBroken(sentence.format(typed=typed, whole=digits.replace(".", "")), field)
    if _GROUPS_ONLY.fullmatch(digits):
        return re.sub("[.,]", "", digits)
    if _DOT_DECIMAL.fullmatch(digits):
        return re.sub("[ ,]", "", digits)
    if _COMMA_DECIMAL.fullmatch(digits):
        return re.sub("[ .]", "", digits).replace(",", ".")
    raise RuleBroken(_not_one_number(typed, wanted), field)


def _plain_strict(digits: str, typed: str, field: str, wanted: Wanted) -> str:
    if _STRICT.fullmatch(digits):
        return digits
    if "," in digits:
        sentence = _(
            '"{typed}" has a comma. Please write a dot before decimals and nothing between '
            "thousands: {wanted}."
        )
        raise RuleBroken(sentence.format(typed=typed, wanted=wanted()), field)
    raise RuleBroken(_not_one_number(typed, wanted), field)


def _not_one_number(typed: str, wanted: Wanted) -> str:
    return _('"{typed}" is not one clear number. Please write {wanted}.').format(typed=typed, wanted=wanted())


def read_whole(text: str, *, field: str, least: int, most: int) -> int:
    """Read a whole number written in the digits 0 to 9, from ``least`` to ``most`` inclusive."""

    def wanted() -> str:
        return _("a whole number from {least} to {most}").format(least=least, most=most)

    written = read_number(text, field=field, wanted=wanted, style=NumberStyle.STRICT)
    if written.rest or written.decimals:
        sentence = _('"{typed}" is not a whole number. Please write {wanted}.')
        raise RuleBroken(sentence.format(typed=written.typed, wanted=wanted()), field)
    if not least <= written.number <= most:
        sentence = _("{typed} is outside what is possible here. Please write {wanted}.")
        raise RuleBroken(sentence.format(typed=written.typed, wanted=wanted()), field)
    return int(written.number)
