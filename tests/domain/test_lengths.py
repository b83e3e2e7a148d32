"""Lengths and weights are read exactly, with their unit always typed."""

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.units import NumberStyle, from_um, read_length, read_mass


@pytest.mark.parametrize(
    ("text", "um", "unit"),
    [
        ("5 mm", 5_000, "mm"),
        ("0.5 cm", 5_000, "cm"),
        ("0.2 in", 5_080, "in"),
        ("-3 mm", -3_000, "mm"),
        ("0 mm", 0, "mm"),
    ],
)
def test_that_lengths_are_read_into_micrometres(text: str, um: int, unit: str) -> None:
    found = read_length(text, field="edge")
    assert (found.value, found.unit) == (um, unit)


@pytest.mark.parametrize(
    "text", ["5", "5 m", "5 ft", "5 qt", "5 mm 2", "600 mm", "-300 mm", "1/4 in", "", "9**9 mm"]
)
@pytest.mark.parametrize("style", NumberStyle)
def test_that_what_is_no_length_here_is_refused(text: str, style: NumberStyle) -> None:
    with pytest.raises(RuleBroken) as caught:
        read_length(text, field="edge", style=style)
    assert caught.value.field == "edge"


def test_that_an_inch_is_exactly_25_4_millimetres() -> None:
    # NIST SP 811 appendix B.8: inch 2.54 cm, exact.
    assert from_um(25_400, "in") == 1
    assert read_length("1 in", field="edge").value == 25_400


def test_that_a_pound_is_exactly_0_45359237_kilograms() -> None:
    # NIST SP 811 appendix B.8: pound (avoirdupois) 0.45359237 kg, exact.
    assert read_mass("100 lb", field="gross").value == 45_359_237
    assert [read_mass(text, field="gross").value for text in ("18.4 kg", "12 g")] == [18_400_000, 12_000]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("18.4", "has no unit"),
        ("18.4 qt", "is a volume; a weight is wanted here, such as 18.4 kg"),
        ("-1 kg", "below zero"),
        ("5001 kg", "0 to 5000 kg"),
    ],
)
def test_that_what_no_scale_shows_is_refused(text: str, words: str) -> None:
    with pytest.raises(RuleBroken, match=words) as caught:
        read_mass(text, field="gross")
    assert caught.value.field == "gross"
