"""Reads what people typed, in the shop's units on screen and with written units in files."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from gettext import gettext as _
from unicodedata import normalize

from babel.numbers import get_currency_symbol

from shopdesk.domain import text, units
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.money import read_money
from shopdesk.domain.units import Measured, NumberStyle
from shopdesk.services.shopfacts import ShopFacts

_DIRECTION = "\u200e\u200f"


@dataclass(frozen=True, kw_only=True, slots=True)
class Typed:
    """Readers of typed text. Each raises RuleBroken with a sentence and the field it is about."""

    shop: ShopFacts
    style: NumberStyle

    def _default(self, unit: str) -> str | None:
        return unit if self.style is NumberStyle.PERSON else None

    def volume(self, text: str, field: str) -> Measured:
        """Read a volume; the value is in microlitres."""
        return units.read_volume(
            text,
            field=field,
            default=self._default(self.shop.volume_unit),
            style=self.style,
            imperial=self.shop.imperial,
        )

    def temperature(self, text: str, field: str) -> Measured:
        """Read a temperature; the value is in thousandths of a degree Celsius."""
        return units.read_temperature(
            text, field=field, default=self._default(self.shop.temperature_unit), style=self.style
        )

    def temperature_step(self, text: str, field: str) -> Measured:
        """Read a difference of temperatures ("± 2 degC"); the value is in thousandths of a degree Celsius."""
        read = self.temperature(text, field)
        zero = units.to_mc(Fraction(0), read.unit)
        return Measured(typed=read.typed, value=abs(read.value - zero), unit=read.unit)

    def torque(self, text: str, field: str) -> Measured:
        """Read a torque; the value is in millinewton metres."""
        return units.read_torque(
            text, field=field, default=self._default(self.shop.torque_unit), style=self.style
        )

    def distance(self, text: str, field: str, unit: str | None = None) -> Measured:
        """Read a distance; the value is in tenths of the unit read. ``unit`` is the dial's own."""
        default = self._default(unit or self.shop.distance_unit)
        return units.read_distance(text, field=field, default=default, style=self.style)

    def length(self, text: str, field: str) -> Measured:
        """Read a length at a level edge or a tool; the value is in micrometres. Its unit is always typed."""
        return units.read_length(text, field=field, style=self.style)

    def shelf_length(self, text: str, field: str) -> int:
        """Read a container's height, a dip or a washer's size, from 0 to 10 m, in micrometres."""
        read = units.read_length(text, field=field, style=self.style, least_um=0, most_um=10_000_000)
        return read.value

    def mass(self, text: str, field: str) -> int:
        """Read what a scale shows, in milligrams. Its unit is always typed."""
        return units.read_mass(text, field=field, style=self.style).value

    def money(self, text: str, field: str) -> int:
        """Read an amount of the shop's currency, in minor units; a person may write its sign with it."""
        currency = self.shop.currency
        signs = currency_signs(currency.code, self.shop.locale) if self.style is NumberStyle.PERSON else ()
        return read_money(text, currency, field=field, style=self.style, signs=signs)

    def pieces(self, text: str, field: str) -> int:
        """Read a count of pieces, hours or sale units, in thousandths."""
        return units.read_count(text, field=field, style=self.style)


@cache
def currency_signs(code: str, locale: str) -> tuple[str, ...]:
    """Give a currency's sign as the shop's figures show it, and as it is told from others ("$", "US$").

    Both are CLDR's, read through Babel; a wide "￥" is also given as keyboards have it, and marks of
    direction, which nobody types, are left out.
    """
    signs = [str(get_currency_symbol(code, locale=each)).strip(_DIRECTION) for each in (locale, "en_001")]
    return tuple(dict.fromkeys((*signs, *(normalize("NFKC", sign) for sign in signs))))


def key_of(name: str, *, field: str, most: int) -> str:
    """Give the form in which a name is compared, or refuse one that cannot be kept in ``most`` characters.

    Some letters become several when case and accents are taken away.
    """
    key = text.match_key(text.clean(name, field=field, most=most))
    if len(key) > most:
        raise RuleBroken(_("This name has letters that take too much room; please shorten it."), field)
    return key


@contextmanager
def under(path: str) -> Iterator[None]:
    """Name the fields of refusals below ``path``: ``put_in`` becomes ``/service/put_in``."""
    try:
        yield
    except RuleBroken as refusal:
        if not refusal.field.startswith("/"):  # already a whole path
            refusal.field = f"{path}/{refusal.field}" if refusal.field else path
        raise
