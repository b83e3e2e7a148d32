"""Every colour and size of the window, light and dark.

Colours are named for what they mean, never for what they look like. ``fluid`` is for fluid and nothing
else, ``accent`` is for what can be done and nothing else; ``soon`` is olive, so that it is not taken for
fluid. No other module writes a colour.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final


@dataclass(frozen=True, kw_only=True, slots=True)
class Tokens:
    """One look. Each colour is ``#rrggbb`` (sRGB)."""

    window: str
    surface: str
    sunken: str
    ink: str
    ink2: str
    line: str
    edge: str
    accent: str
    accent_on: str
    accent_soft: str
    fluid: str
    fluid_soft: str
    ok: str
    ok_soft: str
    soon: str
    soon_soft: str
    late: str
    late_soft: str
    rail: str
    rail_ink: str
    paper: str
    paper_ink: str


LIGHT: Final = Tokens(
    window="#F3F1EB",
    surface="#FFFFFF",
    sunken="#E9E6DD",
    ink="#1A2329",
    ink2="#4B555C",
    line="#CFCABD",
    edge="#7C7769",
    accent="#0A5566",
    accent_on="#FFFFFF",
    accent_soft="#D9EBEE",
    fluid="#B4690E",
    fluid_soft="#F6E3C5",
    ok="#2C6A3F",
    ok_soft="#DDEEE0",
    soon="#665C00",
    soon_soft="#F1EBBB",
    late="#A3281B",
    late_soft="#F9DEDA",
    rail="#17323B",
    rail_ink="#DCE7E9",
    paper="#FFFFFF",
    paper_ink="#000000",
)

DARK: Final = Tokens(
    window="#12181C",
    surface="#1B2328",
    sunken="#0D1215",
    ink="#E7EBEC",
    ink2="#AAB6BC",
    line="#35414A",
    edge="#7D8B94",
    accent="#6CC8D8",
    accent_on="#0C1A1E",
    accent_soft="#183A42",
    fluid="#E3A64B",
    fluid_soft="#3A2C14",
    ok="#7CC694",
    ok_soft="#18301F",
    soon="#DDD36A",
    soon_soft="#302D10",
    late="#F4907F",
    late_soft="#3F1D18",
    rail="#0D1D23",
    rail_ink="#C5D3D7",
    paper="#FFFFFF",
    paper_ink="#000000",
)

# What stands on what, by token name. A test computes the contrast of each pair in both looks.
BODY_PAIRS: Final = (
    ("ink", "window"),
    ("ink", "surface"),
    ("ink", "sunken"),
    ("ink", "accent_soft"),
    ("ink", "late_soft"),
    ("ink", "soon_soft"),
    ("ink", "ok_soft"),
    ("accent_on", "accent"),
    ("rail_ink", "rail"),
    ("paper_ink", "paper"),
)
TEXT_PAIRS: Final = (
    ("ink2", "window"),
    ("ink2", "surface"),
    ("ink2", "sunken"),
    ("ink2", "accent_soft"),
    ("accent", "surface"),
    ("accent", "window"),
    ("accent", "accent_soft"),
    ("ok", "surface"),
    ("ok", "ok_soft"),
    ("soon", "surface"),
    ("soon", "soon_soft"),
    ("late", "surface"),
    ("late", "window"),
    ("late", "late_soft"),
    ("ok", "window"),
    ("soon", "window"),
    ("ok", "accent_soft"),
    ("soon", "accent_soft"),
    ("late", "accent_soft"),
)
PART_PAIRS: Final = (
    ("edge", "window"),
    ("edge", "surface"),
    ("edge", "sunken"),
    ("accent", "surface"),
    ("accent", "window"),
    ("fluid", "surface"),
    ("fluid", "sunken"),
    ("late", "surface"),
    ("rail_ink", "rail"),
)


class TextRole(StrEnum):
    """The jobs that type does."""

    NOTE = "note"
    HELP = "help"
    BODY = "body"
    CARD = "card"
    VALUE = "value"
    TITLE = "title"
    BIG = "big"


# Points at 100 %; a screen of 96 dots an inch shows 3 pixels for every 2.25 points.
POINTS: Final = {
    TextRole.NOTE: 9.0,
    TextRole.HELP: 9.5,
    TextRole.BODY: 10.5,
    TextRole.CARD: 11.5,
    TextRole.VALUE: 13.0,
    TextRole.TITLE: 15.0,
    TextRole.BIG: 17.0,
}
STRONG: Final = frozenset({TextRole.CARD, TextRole.VALUE, TextRole.TITLE, TextRole.BIG})

# Pixels at 100 %.
GAP_TIGHT: Final = 4
GAP: Final = 8
GAP_WIDE: Final = 14
GAP_PAGE: Final = 20
RADIUS_SMALL: Final = 4
RADIUS: Final = 5
RADIUS_CARD: Final = 6
CONTROL_HEIGHT: Final = 34
ROW_HEIGHT: Final = 34
FOCUS_RING: Final = 2
BAY_TARGET: Final = 56
BAY_ROW: Final = 64

# Text in per cent of the usual: above the middle one titles and labels go over two lines where they must.
LEAST_PERCENT: Final = 100
LARGE_TEXT: Final = 125
MOST_PERCENT: Final = 200
MOTION_MS: Final = 150
