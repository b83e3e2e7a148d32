"""The unit sheets of the demo shop. Every value is invented; the ranges are those of the trade.

Values are written as a job file writes them, so that the same sheet can stand in one.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, kw_only=True, slots=True)
class DemoSheet:
    """A sheet's typed values (fields of SaveSheet) and what the demo's work needs to know of it.

    ``fill_ml`` is the refill for the simulated measurements; ``hours`` is the labour billed;
    ``washers`` names the item for each plug, ``filter_kit`` the filter's, empty when there is none.
    """

    values: Mapping[str, Any]
    fluid: str
    fill_ml: int
    hours: str
    work: str
    washers: Mapping[str, str]
    filter_kit: str = ""

    @property
    def runs_out(self) -> bool:
        """Whether the level is set by an overflow tube."""
        return bool(self.values["level_method"] == "overflow tube")


_SMALL, _MIDDLE, _LARGE = (
    "Crush washer 14 x 20 x 1.5",
    "Crush washer 18 x 24 x 1.5",
    "Crush washer 22 x 27 x 2",
)


def _torques(fill: int, drain: int, level: int = 0) -> list[dict[str, str]]:
    found = [
        {"plug": "fill plug", "torque": f"{fill} lbf*ft"},
        {"plug": "drain plug", "torque": f"{drain} lbf*ft"},
    ]
    return [*found, {"plug": "level plug", "torque": f"{level} lbf*ft"}] if level else found


def _tube(kind: str, specification: str, **more: Any) -> dict[str, Any]:
    """A unit whose level is set by an overflow tube at 95 to 113 degF (common practice, no source)."""
    return {
        "kind": kind,
        "specification": specification,
        "level_method": "overflow tube",
        "window_low": "95 degF",
        "window_high": "113 degF",
        "engine": "idling",
        "selector_cycled": True,
        "selector_dwell_s": 3,
        "level_repeatability": "40 mL",
        **more,
    }


def _gear(kind: str, specification: str, level_method: str, **more: Any) -> dict[str, Any]:
    tolerance = {"refill_tolerance": "0.15 qt"}
    if level_method == "fill-hole edge":
        tolerance = {"edge_offset": "3 mm", "edge_tolerance": "3 mm"}
    return {
        "kind": kind,
        "specification": specification,
        "level_method": level_method,
        "engine": "off",
        "level_repeatability": "30 mL",
        **tolerance,
        **more,
    }


def _policy(normal: tuple[int, int], severe: tuple[int, int], maker: tuple[int, int]) -> dict[str, Any]:
    """Shop policy and maker's interval, each as miles and months."""
    pairs = {"shop_normal": normal, "shop_severe": severe, "maker_normal": maker}
    return {key: {"distance": f"{miles} mi", "months": months} for key, (miles, months) in pairs.items()}


_AUTOMATIC = _policy((45_000, 48), (24_000, 20), (60_000, 72))
_CVT = _policy((36_000, 36), (22_000, 18), (48_000, 60))
_AXLE = _policy((40_000, 36), (25_000, 22), (50_000, 60))


def _sheet(name: str, page: str, values: Mapping[str, Any]) -> dict[str, Any]:
    source = f"Invented workshop notes for {name}, edition 3, page {page}"
    return {"designation": name, **values, "source": source, "checked_by": "Odalys Brannock"}


SHEETS: Mapping[str, DemoSheet] = {
    "TV6-A": DemoSheet(
        values=_sheet(
            "TV6-A",
            "7-14",
            {
                **_tube("automatic", "TX-6", service_fill="3.2 qt", total="7 L"),
                **_AUTOMATIC,
                "torques": _torques(36, 36, 18),
                "washers": [{"plug": "drain plug", "text": "18 x 24 x 1.5 aluminium"}],
                "cautions": ["The inner tube is hand tight only."],
            },
        ),
        fluid="Marlstone ATF 6",
        fill_ml=3030,
        hours="1.4",
        work="Automatic transmission fluid service",
        washers={"fill plug": _MIDDLE, "drain plug": _MIDDLE, "level plug": _SMALL},
    ),
    "KX8-R": DemoSheet(
        values=_sheet(
            "KX8-R",
            "4-2",
            {
                **_tube("automatic", "KX-8", service_fill="5 qt", total="9.6 qt"),
                **_AUTOMATIC,
                "torques": _torques(26, 20, 15),
                "washers": [{"plug": "drain plug", "text": "14 x 20 x 1.5 copper"}],
                "cautions": ["Pan and filter are one piece and come down hot and full."],
            },
        ),
        fluid="Marlstone ATF 8",
        fill_ml=4730,
        hours="1.8",
        work="Automatic transmission fluid service",
        washers={"fill plug": _MIDDLE, "drain plug": _SMALL, "level plug": _SMALL},
        filter_kit="Pan with filter KX8",
    ),
    "BC2": DemoSheet(
        values=_sheet(
            "BC2",
            "9-31",
            {
                **_tube("CVT", "BC-2", service_fill="3.9 qt", total="7.4 qt"),
                **_CVT,
                "selector_dwell_s": 5,
                "torques": _torques(23, 25, 9),
                "washers": [{"plug": "drain plug", "text": "14 x 20 x 1.5 copper, never reused"}],
                "cautions": ["Only fluid to BC-2: the belt does not forgive another."],
            },
        ),
        fluid="Marlstone CVT B",
        fill_ml=3690,
        hours="1.3",
        work="CVT fluid service",
        washers={"fill plug": _SMALL, "drain plug": _SMALL, "level plug": _SMALL},
    ),
    "UD7-W": DemoSheet(
        values=_sheet(
            "UD7-W",
            "2-8",
            {
                **_tube("dual clutch", "UD-7", service_fill="5.2 qt", total="6.9 qt"),
                **_CVT,
                "flow_at_closing": ["drip", "pulse"],
                "torques": _torques(33, 33, 33),
                "washers": [{"plug": "drain plug", "text": "22 x 27 x 2 aluminium"}],
                "cautions": ["A pulse every half minute is the cooler and no excess."],
            },
        ),
        fluid="Marlstone DCT W",
        fill_ml=4920,
        hours="1.6",
        work="Dual clutch fluid service",
        washers={"fill plug": _LARGE, "drain plug": _LARGE, "level plug": _LARGE},
        filter_kit="Filter UD7",
    ),
    "UG5": DemoSheet(
        values=_sheet(
            "UG5",
            "3-3",
            {
                **_gear("manual gearbox", "UG-4", "fill-hole edge", service_fill="2.3 qt", total="2.4 qt"),
                **_AXLE,
                "torques": _torques(29, 29),
                "washers": [{"plug": "drain plug", "text": "22 x 27 x 2 aluminium"}],
            },
        ),
        fluid="Marlstone Gear 75W-85",
        fill_ml=2180,
        hours="0.8",
        work="Manual gearbox oil service",
        washers={"fill plug": _LARGE, "drain plug": _LARGE},
    ),
    "KX-T2": DemoSheet(
        values=_sheet(
            "KX-T2",
            "5-6",
            {
                **_gear("transfer case", "KX-T", "measured refill", service_fill="1.5 qt", total="1.6 qt"),
                **_AXLE,
                "torques": _torques(22, 22),
                "washers": [{"plug": "drain plug", "text": "18 x 24 x 1.5 aluminium"}],
                "cautions": ["The clutch pack knows only its own fluid."],
            },
        ),
        fluid="Marlstone Transfer T",
        fill_ml=1420,
        hours="0.7",
        work="Transfer case fluid service",
        washers={"fill plug": _MIDDLE, "drain plug": _MIDDLE},
    ),
    "KX-F1": DemoSheet(
        values=_sheet(
            "KX-F1",
            "6-2",
            {
                **_gear(
                    "front differential", "KX-90", "fill-hole edge", service_fill="1.3 qt", total="1.4 qt"
                ),
                **_AXLE,
                "torques": _torques(35, 35),
                "washers": [{"plug": "drain plug", "text": "18 x 24 x 1.5 aluminium"}],
            },
        ),
        fluid="Marlstone Gear 75W-90",
        fill_ml=1230,
        hours="0.6",
        work="Front differential oil service",
        washers={"fill plug": _MIDDLE, "drain plug": _MIDDLE},
    ),
    "KX-R3": DemoSheet(
        values=_sheet(
            "KX-R3",
            "6-9",
            {
                **_gear(
                    "rear differential", "KX-90", "fill-hole edge", service_fill="2.6 qt", total="2.7 qt"
                ),
                **_AXLE,
                "torques": _torques(35, 40),
                "washers": [{"plug": "drain plug", "text": "22 x 27 x 2 aluminium"}],
                "cautions": ["A limited-slip axle needs its additive: look at the tag on the cover."],
            },
        ),
        fluid="Marlstone Gear 75W-90",
        fill_ml=2460,
        hours="0.7",
        work="Rear differential oil service",
        washers={"fill plug": _LARGE, "drain plug": _LARGE},
    ),
    "TV-R1": DemoSheet(
        values=_sheet(
            "TV-R1",
            "7-40",
            {
                **_gear(
                    "rear differential", "KX-90", "fill-hole edge", service_fill="0.6 qt", total="0.65 qt"
                ),
                **_AXLE,
                "torques": _torques(29, 29),
                "washers": [{"plug": "drain plug", "text": "18 x 24 x 1.5 aluminium"}],
            },
        ),
        fluid="Marlstone Gear 75W-90",
        fill_ml=560,
        hours="0.6",
        work="Rear differential oil service",
        washers={"fill plug": _MIDDLE, "drain plug": _MIDDLE},
    ),
    "TV-P2": DemoSheet(
        values=_sheet(
            "TV-P2",
            "7-36",
            {
                **_gear(
                    "power transfer unit", "KX-90", "measured refill", service_fill="0.5 qt", total="0.55 qt"
                ),
                **_AXLE,
                "torques": _torques(24, 24),
                "washers": [{"plug": "drain plug", "text": "14 x 20 x 1.5 copper"}],
                "cautions": ["Sits beside the exhaust: let it cool."],
            },
        ),
        fluid="Marlstone Gear 75W-90",
        fill_ml=470,
        hours="0.6",
        work="Power transfer unit oil service",
        washers={"fill plug": _SMALL, "drain plug": _SMALL},
    ),
    "BH1": DemoSheet(
        values=_sheet(
            "BH1",
            "9-70",
            {
                **_gear("hybrid transaxle", "BH-1", "measured refill", service_fill="3.8 qt", total="4.1 qt"),
                **_CVT,
                "torques": _torques(29, 29),
                "washers": [{"plug": "drain plug", "text": "18 x 24 x 1.5 aluminium"}],
                "cautions": ["Ready light off, key out of the car, before anything is opened."],
            },
        ),
        fluid="Marlstone Hybrid Drive",
        fill_ml=3600,
        hours="0.9",
        work="Hybrid transaxle fluid service",
        washers={"fill plug": _MIDDLE, "drain plug": _MIDDLE},
    ),
    "BE1": DemoSheet(
        values=_sheet(
            "BE1",
            "9-88",
            {
                **_gear("reduction gear", "BH-1", "measured refill", service_fill="1.4 qt", total="1.5 qt"),
                **_AXLE,
                "torques": _torques(30, 30),
                "washers": [{"plug": "drain plug", "text": "14 x 20 x 1.5 copper"}],
                "cautions": ["Orange cables are live: isolate first."],
            },
        ),
        fluid="Marlstone Hybrid Drive",
        fill_ml=1325,
        hours="0.8",
        work="Reduction gear oil service",
        washers={"fill plug": _SMALL, "drain plug": _SMALL},
    ),
}
