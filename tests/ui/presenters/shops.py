"""Shops for texts: an American one and a metric one. Everything is invented."""

from shopdesk.domain.money import Currency
from shopdesk.domain.stock import CostMethod
from shopdesk.domain.tax import TaxRounding
from shopdesk.services.figures import Figures
from shopdesk.services.shopfacts import ShopFacts

US = ShopFacts(
    name="Quillfern Driveline",
    address="14 Tannery Row",
    phone="555-0142",
    email="desk@quillfern.example",
    registration_text="",
    currency=Currency(code="USD", digits=2),
    place="Marrow State",
    locale="en_US",
    zone="America/Denver",
    volume_unit="qt",
    temperature_unit="degf",
    torque_unit="lbf*ft",
    distance_unit="mi",
    imperial=False,
    cost_method=CostMethod.FIFO,
    tax_rounding=TaxRounding.RATE,
    paper_size="Letter",
    label_size="2x2 in",
    warranty_text="",
    version=1,
)
METRIC = ShopFacts(
    **{name: getattr(US, name) for name in ShopFacts.__slots__}
    | {
        "volume_unit": "l",
        "temperature_unit": "degc",
        "torque_unit": "nm",
        "distance_unit": "km",
        "locale": "de_DE",
        "currency": Currency(code="EUR", digits=2),
    }
)
US_FIGURES = Figures(US)
METRIC_FIGURES = Figures(METRIC)
