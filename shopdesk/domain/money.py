"""Money as whole minor units of one currency (ISO 4217), and ways to split it without loss."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.numerals import NumberStyle, Threes, Wanted, checked_line, read_number
from shopdesk.domain.rounding import round_half_up as round_half_up

_MOST_MINOR = 999_999_999_999
_MINUS = re.compile(r"[+\-\u2212]?")
_CODE = re.compile(r"(?<![A-Za-z])[A-Z]{3}(?![A-Za-z])")


@dataclass(frozen=True, kw_only=True, slots=True)
class Currency:
    """A currency by its ISO 4217 code and the number of its minor digits."""

    code: str
    digits: int


def amount_text(minor: int, currency: Currency) -> str:
    """The amount with a dot and all its minor digits, without grouping: "1234.50", "-0.05"."""
    sign = "-" if minor < 0 else ""
    whole, part = divmod(abs(minor), 10**currency.digits)
    return f"{sign}{whole}.{part:0{currency.digits}d}" if currency.digits else f"{sign}{whole}"


def read_money(
    text: str,
    currency: Currency,
    *,
    field: str,
    style: NumberStyle = NumberStyle.STRICT,
    allow_negative: bool = False,
    signs: Sequence[str] = (),
) -> int:
    """Read an amount such as "249.00" into minor units; more digits than the currency has are refused.

    A person may write the currency's code or one of its ``signs`` before or after the amount; another
    currency's is refused. A job file writes the amount alone.
    """

    def wanted() -> str:
        example = amount_text(249 * 10**currency.digits, currency)
        return _("an amount such as {example}").format(example=example)

    if style is NumberStyle.PERSON:
        text = _without_sign(text, currency, signs, field, wanted)
    threes = Threes.UNCLEAR if currency.digits == 3 else Threes.GROUP
    written = read_number(text, field=field, wanted=wanted, style=style, threes=threes)
    if written.rest:
        sentence = _('"{typed}" has more than the amount in {code}. Please write only {wanted}.')
        raise RuleBroken(sentence.format(typed=written.typed, code=currency.code, wanted=wanted()), field)
    if written.decimals > currency.digits:
        sentence = _('"{typed}" has {given} decimals; {code} has {digits}. Please write {wanted}.')
        raise RuleBroken(
            sentence.format(
                typed=written.typed,
                given=written.decimals,
                code=currency.code,
                digits=currency.digits,
                wanted=wanted(),
            ),
            field,
        )
    minor = int(written.number * 10**currency.digits)
    _refuse_amount(minor, written.typed, allow_negative, field)
    return minor


def _without_sign(text: str, currency: Currency, signs: Sequence[str], field: str, wanted: Wanted) -> str:
    """Leave out the currency's own sign or code on either side; refuse another currency's."""
    typed = checked_line(text, field=field, wanted=wanted)
    minus = _MINUS.match(typed)
    before = minus[0] if minus is not None else ""
    bare = typed[len(before) :].strip()
    longest_first = sorted((*signs, currency.code), key=len, reverse=True)
    first = next((each for each in longest_first if bare.upper().startswith(each.upper())), "")
    bare = bare[len(first) :].strip()
    last = next((each for each in longest_first if bare.upper().endswith(each.upper())), "")
    bare = bare[: len(bare) - len(last)].strip()
    if _CODE.search(bare) or any(unicodedata.category(each) == "Sc" for each in bare):
        sentence = _('"{typed}" is not an amount in {code}. Please write {wanted}.')
        raise RuleBroken(sentence.format(typed=typed, code=currency.code, wanted=wanted()), field)
    return before + bare if bare else typed


def _refuse_amount(minor: int, typed: str, allow_negative: bool, field: str) -> None:
    if minor < 0 and not allow_negative:
        raise RuleBroken(_('"{typed}" is below zero.').format(typed=typed), field)
    if abs(minor) > _MOST_MINOR:
        raise RuleBroken(_('"{typed}" is too large an amount.').format(typed=typed), field)


def round_to_sum(exact: Sequence[Fraction], total: int) -> tuple[int, ...]:
    """Round each value down or up so that they add up to ``total`` (largest remainder, then first).

    ``total`` must be the sum of ``exact`` rounded down or up (ValueError otherwise).
    """
    floors = [value.numerator // value.denominator for value in exact]
    missing = total - sum(floors)
    rests = [value - floor for value, floor in zip(exact, floors, strict=True)]
    if not 0 <= missing <= sum(1 for rest in rests if rest):
        raise ValueError(f"{total} is not the rounded sum of the values")
    upwards = sorted(range(len(rests)), key=lambda place: (-rests[place], place))[:missing]
    return tuple(floor + (place in upwards) for place, floor in enumerate(floors))


def share_out(total_minor: int, weights: Sequence[int]) -> tuple[int, ...]:
    """Split an amount in the proportion of ``weights`` (each >= 0); every penny goes somewhere.

    All weights zero share equally. Negative totals split like the positive ones, negated.
    ValueError for negative weights, or when there is something to share and nobody to take it.
    """
    if any(weight < 0 for weight in weights):
        raise ValueError("weights are not below zero")
    if not weights:
        if total_minor:
            raise ValueError("nobody takes the amount")
        return ()
    whole = sum(weights)
    parts = weights if whole else [1] * len(weights)
    size = abs(total_minor)
    shares = round_to_sum([Fraction(size * part, sum(parts)) for part in parts], size)
    return shares if total_minor >= 0 else tuple(-share for share in shares)
