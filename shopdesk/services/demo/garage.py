"""The vehicles that come to the demo shop: invented makes, their units, plates and numbers."""

from collections.abc import Mapping
from dataclasses import dataclass
from random import Random
from typing import Any

from shopdesk.domain.methods import UnitKind
from shopdesk.domain.vin import check_digit
from shopdesk.services.demo.sheets import SHEETS

PLATE_PLACE = "LM"
_VIN_LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789"
_YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"


@dataclass(frozen=True, kw_only=True, slots=True)
class UnitDesign:
    """A unit a model carries, by its sheet; ``label`` is what the shop calls it."""

    sheet: str
    label: str

    @property
    def kind(self) -> UnitKind:
        """Which kind of unit the sheet is for."""
        return UnitKind(SHEETS[self.sheet].values["kind"])


@dataclass(frozen=True, kw_only=True, slots=True)
class Model:
    """An invented model. ``maker_code`` begins with 0, which stands for no region of the world."""

    make: str
    name: str
    maker_code: str
    units: tuple[UnitDesign, ...]
    of_a_hundred: int
    dial: str = "mi"


def _unit(sheet: str, label: str) -> UnitDesign:
    return UnitDesign(sheet=sheet, label=label)


MODELS = (
    Model(
        make="Tervane",
        name="Teasel",
        maker_code="0TV",
        of_a_hundred=20,
        units=(_unit("TV6-A", "6-speed automatic"),),
    ),
    Model(
        make="Tervane",
        name="Teasel All-Wheel",
        maker_code="0TV",
        of_a_hundred=10,
        units=(
            _unit("TV6-A", "6-speed automatic"),
            _unit("TV-P2", "power transfer unit"),
            _unit("TV-R1", "rear differential"),
        ),
    ),
    Model(
        make="Korvend",
        name="Oxbow 4WD",
        maker_code="0KR",
        of_a_hundred=18,
        units=(
            _unit("KX8-R", "8-speed automatic"),
            _unit("KX-T2", "transfer case"),
            _unit("KX-F1", "front differential"),
            _unit("KX-R3", "rear differential"),
        ),
    ),
    Model(
        make="Padrick",
        name="Tumbrel 25",
        maker_code="0PD",
        of_a_hundred=10,
        units=(_unit("KX8-R", "8-speed automatic"), _unit("KX-R3", "rear differential")),
    ),
    Model(make="Brindow", name="Mica", maker_code="0BD", of_a_hundred=16, units=(_unit("BC2", "CVT"),)),
    Model(
        make="Ulvane",
        name="Tessel",
        maker_code="0UV",
        of_a_hundred=10,
        units=(_unit("UD7-W", "7-speed dual clutch"),),
    ),
    Model(
        make="Ulvane",
        name="Tessel Sport",
        maker_code="0UV",
        of_a_hundred=4,
        dial="km",
        units=(_unit("UG5", "5-speed gearbox"),),
    ),
    Model(
        make="Tervane",
        name="Teasel Manual",
        maker_code="0TV",
        of_a_hundred=5,
        units=(_unit("UG5", "5-speed gearbox"),),
    ),
    Model(
        make="Brindow",
        name="Mica Hybrid",
        maker_code="0BD",
        of_a_hundred=4,
        units=(_unit("BH1", "hybrid transaxle"),),
    ),
    Model(
        make="Brindow",
        name="Mica Electric",
        maker_code="0BD",
        of_a_hundred=3,
        units=(_unit("BE1", "reduction gear"),),
    ),
)


def plate(number: int, rng: Random) -> str:
    """Give an invented plate; ``number`` tells it from every other."""
    letters = "ABCDEFGHJKLMNPRSTVWXYZ"
    return f"{rng.choice(letters)}{rng.choice(letters)} {1000 + (number * 37) % 9000}"


def vin(model: Model, year: int, serial: int, rng: Random) -> str:
    """Give a number with a right check digit and a maker code that no maker has."""
    middle = "".join(rng.choice(_VIN_LETTERS) for _each in range(5))
    end = f"{_YEAR_CODES[(year - 1980) % 30]}T{serial:06d}"
    return f"{model.maker_code}{middle}{check_digit(f'{model.maker_code}{middle}0{end}')}{end}"


def particulars(model: Model, number: int, year: int, rng: Random) -> Mapping[str, Any]:
    """Give a vehicle's fields as the counter types them; one in four has no VIN noted."""
    return {
        "plate": plate(number, rng),
        "plate_place": PLATE_PLACE,
        "vin": vin(model, year, 1000 + number * 17, rng) if rng.random() < 0.75 else "",
        "make": model.make,
        "model": model.name,
        "year": year,
        "odometer_unit": model.dial,
    }
