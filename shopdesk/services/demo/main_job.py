"""The demo's main job: one finished service, from the customer to the papers, as a job file holds it."""

from typing import Any
from uuid import uuid4

from shopdesk.domain import text
from shopdesk.services.demo.garage import PLATE_PLACE
from shopdesk.services.demo.plan import MAIN_CUSTOMER, MAIN_PHONE, MAIN_PLATE
from shopdesk.services.demo.sheets import SHEETS
from shopdesk.services.desk import Desk

#: A vehicle that the demo shop never saw would come with this reading.
_FIRST_READING = 84_310
#: Further at each run, so that the job can be done again the same day.
_RUN = 12
_SHEET = "TV6-A"
_WASHER = "Crush washer 18 x 24 x 1.5"


def main_job(desk: Desk, uid: str = "") -> dict[str, Any]:
    """Give the job's document for an open demo shop; without ``uid`` it is a new job every time."""
    sheet = SHEETS[_SHEET]
    return {
        "format": "shopdesk-job/1",
        "id": uid or str(uuid4()),
        "deliveries": [
            {"item": sheet.fluid, "quantity": "4 qt", "cost": "24.40", "lot": "DEMO"},
            {"item": _WASHER, "quantity": "3", "cost": "1.65"},
        ],
        "customer": {"name": MAIN_CUSTOMER, "phones": [MAIN_PHONE]},
        "vehicle": {
            "plate": MAIN_PLATE,
            "plate_place": PLATE_PLACE,
            "make": "Tervane",
            "model": "Teasel",
            "odometer_unit": "mi",
        },
        "odometer": {"reading": f"{_next_reading(desk)} mi"},
        "duty": {"short_trips": False, "loads": True},
        "sheet": dict(sheet.values),
        "unit": {"label": "6-speed automatic"},
        "work_order": {
            "complaint": "Shifts late when cold. Towed a boat all summer.",
            "key_tag": "7",
            "bay": "1",
            "parts_choice": "dispose of them",
        },
        "lines": [
            {
                "kind": "labour",
                "text": "Automatic transmission fluid service, level set at temperature",
                "quantity": "1.4",
                "unit_price": "124.00",
            },
            {"kind": "fluid", "item": sheet.fluid, "quantity": "4"},
            {"kind": "part", "item": _WASHER, "quantity": "3"},
            {"kind": "fee", "text": "Used oil and filter handling", "unit_price": "6.00"},
        ],
        "consent": {
            "person": MAIN_CUSTOMER,
            "relation": "owner",
            "how": "phone",
            "reached_at": MAIN_PHONE,
            "said": "Go ahead with the fluid service as quoted.",
        },
        "service": _service(sheet.fluid),
        "payment": {"tender": "card"},
    }


def _service(fluid: str) -> dict[str, Any]:
    """What was measured: the unit came in about 0.2 L low, and its level was set in its window."""
    torque = {each["plug"]: each["torque"] for each in SHEETS[_SHEET].values["torques"]}
    return {
        "method": "drain and fill",
        "fluid": fluid,
        "drained": {"volume": "3.03 L", "within": "50 mL", "temperature": "104 degF"},
        "put_in": {"volume": "3.785 L", "within": "30 mL", "temperature": "68 degF"},
        "spilled": {"volume": "45 mL", "within": "20 mL", "temperature": "68 degF"},
        "ran_out": {"volume": "500 mL", "within": "25 mL", "temperature": "104 degF"},
        "ambient": "68 degF",
        "engine": "idling",
        "selector_cycled": True,
        "selector_dwell_s": 5,
        "vehicle_level": True,
        "openings": [
            {
                "temperature_at_opening": "97 degF",
                "temperature_at_closing": "104 degF",
                "flow_at_opening": "stream",
                "flow_at_closing": "drip",
            }
        ],
        "torques": torque,
        "washers": dict.fromkeys(torque, "new washer"),
        "condition": {"appearance": 2, "odour": 0, "particles": 1},
    }


def _next_reading(desk: Desk) -> int:
    """Give what the vehicle's dial shows now: a little more than it ever did."""
    found = desk.intake.vehicles(contains=text.plate_key(MAIN_PLATE), most=1)
    readings = desk.intake.vehicle(found[0].id).readings if found else ()
    return _RUN + max((each.tenths // 10 for each in readings), default=_FIRST_READING - _RUN)
