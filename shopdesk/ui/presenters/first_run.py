"""What a new shop is offered: usual values for its country, and what can be searched for.

Names of countries, currencies and languages are those of CLDR, read through Babel. Which units and
papers are usual where is common practice, no source; each can be changed.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from gettext import gettext as _
from zoneinfo import available_timezones

from babel import Locale
from babel.localedata import locale_identifiers
from babel.numbers import get_territory_currencies

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.text import match_key
from shopdesk.services.acting import Actor
from shopdesk.services.setup import FirstRun

USUAL_LOCALE = "en_US"
_LETTER_COUNTRIES = frozenset({"US", "CA", "MX", "PH", "CL", "CO", "VE", "CR", "GT", "SV", "DO", "PA", "PR"})
_US_UNITS = frozenset({"US", "LR", "PR", "GU", "VI"})
_METRIC_WITH_MILES = frozenset({"GB"})

#: The four units that one choice sets.
UNIT_SETS: Mapping[str, Mapping[str, str]] = {
    "us": {"volume_unit": "qt", "temperature_unit": "degf", "torque_unit": "lbf*ft", "distance_unit": "mi"},
    "metric": {"volume_unit": "l", "temperature_unit": "degc", "torque_unit": "nm", "distance_unit": "km"},
    "miles": {"volume_unit": "l", "temperature_unit": "degc", "torque_unit": "nm", "distance_unit": "mi"},
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Offer:
    """Something to pick by searching: what is kept, and its words."""

    key: str
    words: str

    def line(self) -> str:
        """Give key and words in one line, as the list shows them."""
        return f"{self.key} · {self.words}"


def unit_set_of(texts: Mapping[str, str]) -> str:
    """Name the set that the four units make, or nothing for a mix of one's own."""
    for name, units in UNIT_SETS.items():
        if all(texts.get(field) == unit for field, unit in units.items()):
            return name
    return ""


def usual_locale(system: str) -> str:
    """Give the language and country of this machine, if it says both, else the usual one."""
    name = system.replace("-", "_").partition(".")[0]
    known = {offer.key for offer in locale_offers()}
    return name if name in known else USUAL_LOCALE


def usual_values(locale: str) -> dict[str, str]:
    """Give what is usual in a locale's country: currency, units, tax name, paper and label."""
    country = locale.rpartition("_")[2]
    units = "us" if country in _US_UNITS else "miles" if country in _METRIC_WITH_MILES else "metric"
    american = country in _LETTER_COUNTRIES
    return {
        "currency": _currency_of(country),
        "units": units,
        **UNIT_SETS[units],
        "tax_name": _("Sales tax") if country == "US" else _("VAT"),
        "paper_size": "Letter" if american else "A4",
        "label_size": "2x2 in" if american else "50x50 mm",
    }


def _currency_of(country: str) -> str:
    found: Sequence[str] = get_territory_currencies(country)
    return found[0] if found else "USD"


@cache
def currency_offers() -> tuple[Offer, ...]:
    """Give every currency that is in use somewhere, with its name, by letters."""
    names = Locale("en")
    used = {code for country in names.territories for code in get_territory_currencies(str(country))}
    return tuple(Offer(key=code, words=names.currencies.get(code, code)) for code in sorted(used))


@cache
def locale_offers() -> tuple[Offer, ...]:
    """Give every language with a country ("English, United States"), by name."""
    names = Locale("en")
    offers = []
    for identifier in locale_identifiers():
        parts = identifier.split("_")
        if len(parts) == 2 and len(parts[1]) == 2 and parts[1].isupper():
            language = names.languages.get(parts[0], parts[0])
            words = f"{language}, {names.territories.get(parts[1], parts[1])}"
            offers.append(Offer(key=identifier, words=words))
    return tuple(sorted(offers, key=lambda offer: offer.words))


@cache
def zone_offers() -> tuple[Offer, ...]:
    """Give every time zone by its place."""
    names = (name for name in available_timezones() if "/" in name and not name.startswith("Etc/"))
    zones = sorted((*names, "UTC"))
    return tuple(Offer(key=name, words=name.rpartition("/")[2].replace("_", " ")) for name in zones)


def found(typed: str, offers: Sequence[Offer], sentence: str, field: str) -> Offer:
    """Give the one offer that was meant: by its key, its line, its words, or a part only it has.

    Raises RuleBroken with ``sentence`` when there is none, or naming a few when there are several.
    """
    wanted = match_key(typed.partition(" · ")[0][:100])
    exact = [offer for offer in offers if wanted in (match_key(offer.key), match_key(offer.words))]
    if exact:
        return exact[0]
    fitting = [offer for offer in offers if wanted and wanted in match_key(offer.line())]
    begun = [offer for offer in fitting if match_key(offer.words).startswith(wanted)]
    if not fitting:
        raise RuleBroken(sentence, field)
    if len(begun) == 1 or len(fitting) == 1:
        return (begun or fitting)[0]
    few = "; ".join(offer.line() for offer in (begun or fitting)[:3])
    raise RuleBroken(_("More than one fits: {few} … Write more of it.").format(few=few), field)


def key_or_typed(typed: str, offers: Sequence[Offer]) -> str:
    """Give the key that was meant, or what was typed so that the refusal is about it."""
    try:
        return found(typed, offers, "", "").key
    except RuleBroken:
        return typed.strip()


def first_run(texts: Mapping[str, str], actor: Actor, uid: str) -> FirstRun:
    """Give the command that sets the shop up."""
    usual = usual_values(key_or_typed(texts["locale"], locale_offers()))
    return FirstRun(
        actor=actor,
        uid=uid,
        name=texts["name"],
        owner=texts["owner"],
        address=texts["address"],
        phone=texts["phone"],
        email=texts["email"],
        currency=key_or_typed(texts["currency"], currency_offers()),
        place=texts["place"],
        locale=key_or_typed(texts["locale"], locale_offers()),
        zone=key_or_typed(texts["zone"], zone_offers()),
        volume_unit=texts["volume_unit"],
        temperature_unit=texts["temperature_unit"],
        torque_unit=texts["torque_unit"],
        distance_unit=texts["distance_unit"],
        tax_name=texts["tax_name"],
        tax_on_parts=texts["tax_on_parts"] or "0",
        tax_on_labour=texts["tax_on_labour"] or "0",
        tax_on_fees=texts["tax_on_fees"] or "0",
        paper_size=usual["paper_size"],
        label_size=usual["label_size"],
    )
