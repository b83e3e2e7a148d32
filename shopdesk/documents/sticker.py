"""The next-due sticker: two big numbers, and nothing that names a person."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class StickerPaper:
    """`due_date` has its month in letters ("04 MAR 2027"); `due_odometer` the digits, `odometer_unit` "mi"
    or "km".

    With neither of the two, `instead` is printed large ("INSPECT"). There is no field for a person, plate
    or VIN.
    """

    shop_name: str
    phone: str
    item: str
    done_on: str
    done_odometer: str = ""
    due_date: str = ""
    due_odometer: str = ""
    odometer_unit: str = ""
    instead: str = ""
    qr_text: str = ""
