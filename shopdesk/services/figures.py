"""Figures as people read them: in the shop's units and language, each with its unit.

Papers and screens use the same texts, so that a figure on a screen and on paper is one figure.
"""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from gettext import gettext as _
from zoneinfo import ZoneInfo

from babel.dates import format_date, format_datetime, format_time
from babel.numbers import format_currency, format_decimal

from shopdesk.domain import units
from shopdesk.domain.units import convert_tenths
from shopdesk.services.shopfacts import ShopFacts

#: What a unit is called on screens and papers.
SHOWN_UNIT: dict[str, str] = {
    "qt": "qt",
    "l": "L",
    "ml": "mL",
    "gal": "gal",
    "degf": "°F",
    "degc": "°C",
    "lbf*ft": "ft-lb",
    "nm": "N·m",
    "mi": "mi",
    "km": "km",
    "each": "",
    "h": "h",
}


def shown_unit(unit: str) -> str:
    """Give a unit's name as it is printed."""
    return SHOWN_UNIT.get(unit, unit)


@dataclass(frozen=True, slots=True)
class Figures:
    """Writes figures for one shop. Integers in, text out; no figure goes without its unit."""

    shop: ShopFacts

    def number(self, value: Fraction | int, places: int, *, keep_zeros: bool = True) -> str:
        """Write a number rounded half up to ``places`` decimals."""
        scaled = Fraction(value) * 10**places
        rounded = (abs(scaled.numerator) * 2 + scaled.denominator) // (2 * scaled.denominator)
        exact = Decimal(rounded if scaled >= 0 else -rounded).scaleb(-places)
        tail = ("0" if keep_zeros else "#") * places
        pattern = "#,##0." + tail if places else "#,##0"
        return str(format_decimal(exact, format=pattern, locale=self.shop.locale))

    def money(self, minor: int, *, sign: bool = True) -> str:
        """Write an amount; with its currency's sign, or plain for columns."""
        amount = Decimal(minor).scaleb(-self.shop.currency.digits)
        if sign:
            return str(format_currency(amount, self.shop.currency.code, locale=self.shop.locale))
        return self.number(Fraction(amount), self.shop.currency.digits)

    def volume(self, ul: int, *, places: int | None = None) -> str:
        """Write a volume in the shop's unit: quarts to a hundredth, litres to a hundredth."""
        unit = self.shop.volume_unit
        shown = units.from_ul(ul, f"imp {unit}" if self.shop.imperial and unit == "qt" else unit)
        return f"{self.number(shown, 2 if places is None else places)} {shown_unit(unit)}"

    def tank(self, ul: int) -> str:
        """Write the size of a drum or tank as rules and plates do: gallons where the shop has quarts."""
        if self.shop.volume_unit != "qt":
            return self.volume(ul)
        gallons = units.from_ul(ul, "imp gal" if self.shop.imperial else "gal")
        return f"{self.number(gallons, 2, keep_zeros=False)} {shown_unit('gal')}"

    def volume_both(self, ul: int) -> str:
        """Write a volume in the shop's unit with the other system's beside it."""
        other = "ml" if self.shop.volume_unit == "l" else "l"
        beside = units.from_ul(ul, other)
        return f"{self.volume(ul)} ({self.number(beside, 0 if other == 'ml' else 2)} {shown_unit(other)})"

    def temperature(self, mc: int, unit: str | None = None) -> str:
        """Write a temperature exactly enough that a bound and a reading beyond it never look alike."""
        unit = unit or self.shop.temperature_unit
        return f"{self.number(units.from_mc(mc, unit), 2, keep_zeros=False)} {shown_unit(unit)}"

    def window(self, low_mc: int | None, high_mc: int | None) -> str:
        """Write a temperature window in both scales, the shop's first."""
        if low_mc is None or high_mc is None:
            return ""
        first = self.shop.temperature_unit
        second = "degc" if first == "degf" else "degf"
        texts = [
            f"{self._degrees(low_mc, unit)}–{self._degrees(high_mc, unit)} {shown_unit(unit)}"
            for unit in (first, second)
        ]
        return " / ".join(texts)

    def _degrees(self, mc: int, unit: str) -> str:
        return self.number(units.from_mc(mc, unit), 1, keep_zeros=False)

    def torque(self, mnm: int) -> str:
        """Write a torque in the shop's unit with the other beside it."""
        first = self.shop.torque_unit
        second = "nm" if first == "lbf*ft" else "lbf*ft"
        texts = [
            f"{self.number(units.from_mnm(mnm, unit), 1, keep_zeros=False)} {shown_unit(unit)}"
            for unit in (first, second)
        ]
        return f"{texts[0]} ({texts[1]})"

    def length(self, um: int) -> str:
        """Write a length in millimetres with inches beside it."""
        mm = self.number(units.from_um(um, "mm"), 1, keep_zeros=False)
        return f"{mm} mm ({self.number(units.from_um(um, 'in'), 2)} in)"

    def distance(self, tenths: int, unit: str) -> str:
        """Write a distance in whole units of the dial it was read from."""
        return f"{self.number(tenths // 10, 0)} {unit}"

    def distance_in(self, tenths: int, unit: str, shown: str) -> str:
        """Write a distance converted to another unit, rounded down."""
        return self.distance(convert_tenths(tenths, unit, shown, down=True), shown)

    def percent(self, share: float) -> str:
        """Write a share of one as whole per cent."""
        return f"{self.number(Fraction(share) * 100, 0)} %"

    def rate(self, ppm: int) -> str:
        """Write a tax rate in per cent, without needless zeros."""
        return f"{self.number(Fraction(ppm, 10_000), 4, keep_zeros=False)} %"

    def quantity(self, milli: int, unit: str) -> str:
        """Write a billed quantity without needless zeros."""
        return f"{self.number(Fraction(milli, 1000), 3, keep_zeros=False)} {shown_unit(unit)}".rstrip()

    def pieces(self, milli: int) -> str:
        """Write a count of pieces."""
        return self.number(Fraction(milli, 1000), 3, keep_zeros=False)

    def stock(self, base: str, quantity: int) -> str:
        """Write what is on the shelf in an item's base unit."""
        return self.volume(quantity) if base == "ul" else _("{n} pcs").format(n=self.pieces(quantity))

    def day(self, on: date) -> str:
        """Write a day with its month in letters, so that 03/04 is never misread."""
        return str(format_date(on, "d MMM yyyy", locale=self.shop.locale))

    def day_of(self, at: datetime) -> str:
        """Write the day an instant falls on in the shop's zone."""
        return self.day(at.astimezone(ZoneInfo(self.shop.zone)).date())

    def long_day(self, on: date) -> str:
        """Write a day with its weekday, for headings."""
        return str(format_date(on, "EEEE, d MMMM yyyy", locale=self.shop.locale))

    def sticker_day(self, on: date) -> str:
        """Write a day for a sticker: 04 MAR 2027."""
        return str(format_date(on, "dd MMM yyyy", locale=self.shop.locale)).upper().replace(".", "")

    def clock(self, at: datetime) -> str:
        """Write the time of day in the shop's zone, as its language and country do: 4:30 PM, 16:30."""
        local = at.astimezone(ZoneInfo(self.shop.zone))
        return _plain_spaces(str(format_time(local, "short", locale=self.shop.locale)))

    def stamp(self, at: datetime) -> str:
        """Write an instant in the shop's zone, with the zone."""
        local = at.astimezone(ZoneInfo(self.shop.zone))
        zone = str(format_datetime(local, "zzz", locale=self.shop.locale))
        return f"{self.day(local.date())} {self.clock(at)} {zone}"


def _plain_spaces(shown: str) -> str:
    """A narrow no-break space before AM and PM is not in every type a paper may be printed in."""
    return " ".join(shown.split())
