"""What the shop has set up about itself, as the other rooms need it."""

from dataclasses import dataclass
from gettext import gettext as _

from babel.numbers import get_currency_precision
from sqlalchemy import Connection, select

from shopdesk.domain.errors import NotFound
from shopdesk.domain.money import Currency
from shopdesk.domain.stock import CostMethod
from shopdesk.domain.tax import TaxRounding
from shopdesk.persistence.tables.shop import shop


@dataclass(frozen=True, kw_only=True, slots=True)
class ShopFacts:
    """The shop's name, place, units and money rules. Units are the short names of domain.units."""

    name: str
    address: str
    phone: str
    email: str
    registration_text: str
    currency: Currency
    place: str
    locale: str
    zone: str
    volume_unit: str
    temperature_unit: str
    torque_unit: str
    distance_unit: str
    imperial: bool
    cost_method: CostMethod
    tax_rounding: TaxRounding
    paper_size: str
    label_size: str
    warranty_text: str
    version: int


def currency_of(code: str) -> Currency:
    """Give the currency with the number of digits of its minor unit (CLDR, by Babel)."""
    return Currency(code=code, digits=get_currency_precision(code))


def is_set_up(connection: Connection) -> bool:
    """Say whether the shop was set up in this database."""
    return connection.execute(select(shop.c.id)).one_or_none() is not None


def read_shop(connection: Connection) -> ShopFacts:
    """Give what the shop has set up; NotFound when this database has no shop yet."""
    row = connection.execute(select(shop)).one_or_none()
    if row is None:
        raise NotFound(_("This shop is not set up yet: its name, units, currency and taxes are missing."))
    return ShopFacts(
        currency=currency_of(row.currency),
        cost_method=CostMethod(row.cost_method),
        tax_rounding=TaxRounding(row.tax_rounding),
        **{name: getattr(row, name) for name in _AS_KEPT},
    )


def neutral_shop() -> ShopFacts:
    """Give the units in which figures are told where there is no shop: SI first, the other beside it."""
    return ShopFacts(
        name="",
        address="",
        phone="",
        email="",
        registration_text="",
        currency=Currency(code="XXX", digits=0),
        place="",
        locale="en_US",
        zone="UTC",
        volume_unit="l",
        temperature_unit="degc",
        torque_unit="nm",
        distance_unit="km",
        imperial=False,
        cost_method=CostMethod.FIFO,
        tax_rounding=TaxRounding.RATE,
        paper_size="A4",
        label_size="50x50 mm",
        warranty_text="",
        version=1,
    )


_AS_KEPT = (
    "name",
    "address",
    "phone",
    "email",
    "registration_text",
    "place",
    "locale",
    "zone",
    "volume_unit",
    "temperature_unit",
    "torque_unit",
    "distance_unit",
    "imperial",
    "paper_size",
    "label_size",
    "warranty_text",
    "version",
)
