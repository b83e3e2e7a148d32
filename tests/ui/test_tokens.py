"""Contrast by the formula of WCAG 2.2 (W3C Recommendation, 5 October 2023): relative luminance
L = 0.2126 R + 0.7152 G + 0.0722 B with R, G, B linearised from sRGB (threshold 0.04045), and contrast
ratio (L1 + 0.05) / (L2 + 0.05); success criteria 1.4.3 (text 4.5:1), 1.4.6 (text 7:1), 1.4.11 (parts 3:1).
"""

import re
from colorsys import rgb_to_hls
from dataclasses import fields
from pathlib import Path

import pytest

from shopdesk.ui.theme import tokens
from shopdesk.ui.theme.tokens import DARK, LIGHT, Tokens

UI = Path(tokens.__file__).parents[1]


def luminance(colour: str) -> float:
    parts = [int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_that_the_formula_gives_the_published_ends() -> None:
    # WCAG 2.2, definition of contrast ratio: from 1:1 to 21:1.
    assert contrast("#FFFFFF", "#000000") == pytest.approx(21.0)
    assert contrast("#777777", "#777777") == pytest.approx(1.0)


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize(
    ("pairs", "least"),
    [(tokens.BODY_PAIRS, 7.0), (tokens.TEXT_PAIRS, 4.5), (tokens.PART_PAIRS, 3.0)],
    ids=["body", "text", "parts"],
)
def test_that_every_pair_can_be_read(look: Tokens, pairs: tuple[tuple[str, str], ...], least: float) -> None:
    found = {pair: contrast(getattr(look, pair[0]), getattr(look, pair[1])) for pair in pairs}
    assert {pair: ratio for pair, ratio in found.items() if ratio < least} == {}


def test_that_every_colour_is_a_whole_colour() -> None:
    for look in (LIGHT, DARK):
        for field in fields(Tokens):
            assert re.fullmatch(r"#[0-9A-F]{6}", getattr(look, field.name)), field.name


def test_that_no_other_module_writes_a_colour() -> None:
    written = re.compile(r"#[0-9A-Fa-f]{3,8}\b|GlobalColor\.(?!transparent)\w+|QColor\(\s*\d")
    found = [
        f"{path.name}: {match.group()}"
        for path in UI.rglob("*.py")
        if path.name != "tokens.py"
        for match in written.finditer(path.read_text(encoding="utf-8"))
    ]
    assert found == []


def test_that_fluid_colour_is_for_fluid_only() -> None:
    users = {
        path.name
        for path in UI.rglob("*.py")
        if re.search(r"[\"'.]fluid(_soft)?\b[\"']?", path.read_text(encoding="utf-8"))
        and path.name != "tokens.py"
    }
    drawn_as_fluid = {
        "sight_glass.py",  # what is on the shelf
        "level_chart.py",  # the same over time
        "unit_words.py",  # what was put in, and how the old fluid looked
        "plan.py",  # how much of the fluid is new
    }
    assert users <= drawn_as_fluid


def test_that_soon_cannot_be_taken_for_fluid() -> None:
    # Chosen here: at least 15 degrees apart on the colour circle, so that amber means fluid only.
    for look in (LIGHT, DARK):
        assert abs(hue(look.soon) - hue(look.fluid)) >= 15


def hue(colour: str) -> float:
    red, green, blue = (int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5))
    return 360 * rgb_to_hls(red, green, blue)[0]
