"""Texts that a counter sees in a bad year: right, nearly right, and meant to break things. All seeded."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from random import Random

USUAL: dict[str, tuple[str, ...]] = {
    "name": (
        "Odalys Brandt {n}",
        "Kestrel Haulage {n} LLC",
        "Søren Ångström {n}",
        "名前 {n}",
        "O'Neill & Sons",
    ),
    "designation": ("T-{n}", "PX6-{n}"),
    "phones": ("303 555 0121", "(303) 555-0122\n303 555 0123", "+49 30 901820"),
    "phone": ("303 555 0121", "+1 303 555 0144"),
    "email": ("odalys@example.com", "desk@example.org"),
    "emails": ("odalys@example.com", "desk@example.org"),
    "address": ("12 Mill Lane\nAlder CO 80100", "Postfach 7"),
    "plate": ("LM 902", "KT 4471", "B-XY 12", "É 77"),
    "vin": ("", "1M8GDM9AXKP042788"),
    "year": ("2018", "1999", ""),
    "make": ("Northgate", ""),
    "model": ("Ridge 4WD", ""),
    "reading": ("84,310 mi", "84310", "140 000 km", "61220.4"),
    "on": ("", "25 Nov 2026", "20 Nov 2026", "2026-11-24"),
    "installed_on": ("", "20 Nov 2026"),
    "removed_on": ("", "", "", "25 Nov 2026"),
    "best_before": ("", "31 Dec 2028"),
    "calibrated_on": ("", "3 Mar 2026"),
    "due_on": ("", "3 Mar 2027"),
    "from_on": ("1 Dec 2026", "1 Jan 2027", "2027-03-01"),
    "to_on": ("", "31 Dec 2027"),
    "quantity": ("12 qt", "2 gal", "20 L", "1", "4.5 qt", "3"),
    "cost": ("81.00", "6", "1,204.50"),
    "price": ("14.20", "118", "0.35"),
    "unit": ("qt", "h", "each", "L"),
    "discount": ("", "10 %", "5", "2.5%"),
    "amount": ("0.20", "1.00", "1.50"),
    "up_to": ("", "400", "350.00"),
    "percent": ("8.25", "3", "0.5"),
    "citation": ("Notice 12, read 3 Nov 2026",),
    "item": ("Halden ATF-6", "Halden Gear 75W-90", "Crush washer 18 x 24 x 1.5"),
    "specification": ("GX-5", "PX-6"),
    "source": ("Invented workshop manual, edition 2, page 9-3",),
    "service_fill": ("4.8 qt", "4.5 L", "5.1 qt"),
    "total": ("9.1 qt", "8.6 L", ""),
    "tolerance": ("30 mL", "2 °C", "3 N·m", "1 fl oz", ""),
    "marks": ("100 mL", "", ""),
    "washer": ("18 x 24 x 1.5 aluminum", "", "new copper"),
    "months": ("48", "24", "72"),
    "distance": ("60000 mi", "45000 mi", "100 000 km"),
    "window_low": ("35 °C", "95 °F"),
    "window_high": ("45 °C", "113 °F"),
    "selector_dwell_s": ("3", "5"),
    "selector_dwell": ("3", "5"),
    "level_repeatability": ("40 mL", ""),
    "order_at": ("8 qt", "", "6"),
    "fill_to": ("40 qt", "", "24"),
    "density": ("860 kg/m3", "0.85 g/mL", ""),
    "within": ("30 mL", "1 fl oz", ""),
    "temperature": ("97 °F", "36 °C", ""),
    "torque": ("36 ft-lb", "49 N·m", ""),
    "fill_plug_torque": ("36 ft-lb", "35 ft-lb"),
    "drain_plug_torque": ("36 ft-lb", "49 N·m"),
    "level_plug_torque": ("18 ft-lb", "24 N·m"),
    "open_temperature": ("97 °F", "38 °C"),
    "close_temperature": ("104 °F", "40 °C"),
    "found_temperature": ("", "100 °F"),
    "ambient": ("72 °F", "20 °C", ""),
    "drained": ("4.6 qt", "4.4 L"),
    "put_in": ("4.8 qt", "4.5 L"),
    "spilled": ("", "50 mL", "0"),
    "ran_out": ("0.2 qt", "150 mL"),
    "found_ran_out": ("", "0.1 qt"),
    "found_added": ("", "0.1 qt"),
    "left_in_hose": ("", "30 mL"),
    "promised_at": ("4 pm", "Fri 9:30", "16:30", ""),
    "wheel_torque": ("100 ft-lb", "140 N·m", ""),
    "person": ("Odalys Brandt", "Tamsin"),
    "said": ("Go ahead as quoted.", "Yes."),
    "package": ("1 qt", "5 L", "1"),
    "sale_unit": ("qt", "L", ""),
    "owner": ("Maya Kestrel",),
    "place": ("US-CO", "Colorado", "DE"),
    "what": ("1001-1", "1002-1", "9-9"),
    "note": ("check 1044", "", "Left at the gate."),
    "text": ("Automatic fluid service", "Halden ATF-6", "Shop supplies"),
}
"""By a field's name: what somebody means who types well."""

_UNITS = (
    "qt", "qts", "quarts", "L", "l", "mL", "ml", "cc", "gal", "fl oz", "pt", "cup", "°C", "degF", "C", "F",
    "K", "N·m", "Nm", "ft-lb", "lbf*ft", "in-lb", "mi", "km", "miles", "m", "kg", "lb", "psi", "bar", "%",
    "$", "€", "USD", "h", "min", "s", "furlong", "µL", "uL", "Q", "x", "qt qt", "L/min", "qt²", "m**3",
)  # fmt: skip
_NEAR = (
    "4.85 qt", "5,1 L", "-0", "-0 qt", "+0", "5.", ".5", "5,", "5.1.2", "1,234.50", "1.234,50", "1,23",
    "12,34,5",
    "0x10", "1e3", "1e999", "-1e-9", "1_000", "NaN", "inf", "-inf", "∞", "½ qt", "1 1/2 qt", "5 1/4", "1/0",
    "9" * 30, "9" * 400, "0.000000001 qt", "99999999 gal", "-5 qt", "−5 qt", "5–6 qt", "5 to 6", "~5", "5?",
    "4 qt 8 oz", "5'", '5"', "(5)", "5 qt.", "QT 5", "$5", "5 $", "5 USD", "USD", "$", "5 EUR", "£3", "100 %",
    "101%", "-1 %", "0 %", "8.25%", "8,25 %", "١٢٣", "１２", "१२ qt", "௫", "Ⅳ", "5\u00a0qt", "5\u2009L",
    "5\u202fqt",
)  # fmt: skip
_DAYS = (
    "today", "yesterday", "tomorrow", "31 Feb 2026", "29 Feb 2027", "29 Feb 2028", "2026-13-01", "2026-02-30",
    "13/13/2026", "1/2/26", "1.2.2026", "0/0/0", "1 Jan 0001", "31 Dec 9999", "1 Jan 10000", "Nov", "25",
    "25 Nov", "Friday", "next week", "25 Nov 2026 25:00", "16:30", "4 pm", "4:75 pm", "24:00", "00:00",
    "noon",
    "mañana", "13 pm", "0 am", "-1 days", "+999999 days", "in 3 h", "2026-11-25T12:00:00Z",
)  # fmt: skip
_NAMES = (
    "303 555 0121", "+1 (303) 555-0121 x5", "+999 1", "0", "911", "1234567890123456789", "tel:303", "a@b",
    "a@b.c", "@", "x@@y.com", "me@exämple.com", "KT 4471", "kt-4471", "ÄÖ Ü 1", "'; DROP TABLE vehicle; --",
    '" or 1=1', "Robert\\", "%s%n", "{0}", "{name}", "${HOME}", "=1+1", "+cmd|' /C calc'!A0", "-2+3",
    "@SUM(A1)",
    "1M8GDM9AXKP042788", "1M8GDM9AXKP04278O", "IOQ", "../../etc/passwd", "C:\\CON", "null", "None",
    "undefined",
    "true", "O'Neill & Sons <Ltd>", "&amp;", "&lt;b&gt;", "<b>x</b>", "<img src='file:///etc/passwd'>",
    "<script>alert(1)</script>", "<a href='javascript:1'>x</a>", "</para><para>", "<font color=red>",
    "\\u202e",
    "]]>", "<!--", "new", "0", "-1", "yes", "no",
)  # fmt: skip
_STRANGE = (
    "", " ", "\u00a0", "\u200b", "\t", "\n", "\r\n", "a\nb", "a\tb", "\0", "a\0b", "\x01\x02\x1b[31m", "\x7f",
    "\x85", "\u2028", "\u202ereversed\u202c", "\u2066x\u2069", "مرحبا", "שלום 12", "abc\u200fשלום",
    "a\u0300" * 20,
    "a" + "\u0300" * 60, "Z" + "\u0335" * 29, "名前", "👩‍🔧", "🇺🇸", "𝟝 qt", "ﬁ", "İ", "ß", "ǅ", "\ufeffx",
    "\ufffe",
    "\U0010ffff", "\ud800", "a\udfffb", "Å", "A\u030a", "ﷺ", "a\u034fb", "…", "—", "“”", "\u00ad", "x" * 300,
    "word " * 60, "\n" * 40, "0" * 64,
)  # fmt: skip
_POOLS = (_NEAR, _DAYS, _NAMES, _STRANGE)
LONG = 10_000
"""Characters of the longest texts typed."""


def hostile(dice: Random) -> str:
    """Give a text nobody should type."""
    kind = dice.random()
    if kind < 0.003:
        return dice.choice(("x", "9", "<b>", "é ", "\n", "👩")) * LONG
    if kind < 0.25:
        return f"{_number(dice)}{dice.choice(('', ' ', '  '))}{dice.choice(_UNITS)}"
    if kind < 0.9:
        return dice.choice(dice.choice(_POOLS))
    pieces = (dice.choice(dice.choice(_POOLS))[: dice.randrange(1, 12)] for _ in range(dice.randrange(1, 5)))
    return "".join(pieces)


def text_for(name: str, dice: Random, wild: float, here: Mapping[str, Sequence[str]]) -> str:
    """Give a text for a field: a hostile one with the chance ``wild``, else what is usual ``here``."""
    if dice.random() < wild:
        return hostile(dice)
    known = {**USUAL, **here}
    usual = next((known[key] for key in _keys(name) if key in known), ("", "", "Lot 12", "A 4"))
    return dice.choice(usual).replace("{n}", str(dice.randrange(10**7)))


def _keys(name: str) -> Iterator[str]:
    """Give what a field is called, and then the parts of its name: "claims/0/basis", "torque fill plug"."""
    parts = [part for part in re.split(r"[ /:]", name) if part and not part.isdecimal()]
    yield from (name, *reversed(parts))


def _number(dice: Random) -> str:
    whole = dice.choice((0, 1, 5, 12, 84310, 10**9, -3, dice.randrange(10_000)))
    form = dice.choice(("{n}", "{n}.5", "{n},5", "{n:,}", "{n}.000", "+{n}", "{n}.123456789"))
    return form.format(n=whole)
