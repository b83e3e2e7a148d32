"""Text from people: what is dropped, what is kept, what is refused, and how it is found again."""

import time
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.text import clean, match_key, plate_key, required

ANY_TEXT = st.text(alphabet=st.characters(), max_size=200)


def test_that_invisible_controls_and_direction_marks_are_dropped() -> None:
    assert clean("Ann\x00e \u202eLee\u202c\u2066\x1b", field="name", most=40) == "Anne Lee"


def test_that_halves_of_broken_characters_are_dropped() -> None:
    assert clean("A\ud800B\udfffC\uffff", field="name", most=40) == "ABC"


def test_that_letters_of_every_script_and_markup_are_kept_as_typed() -> None:
    for name in ("Søren Ødegård", "Żółć", "李小龍", "محمد", "<img src=x>", "O'Neil & Sons"):
        assert clean(name, field="name", most=40) == name


def test_that_accents_are_composed() -> None:
    assert clean("Rene\u0301e", field="name", most=10) == "Renée"


def test_that_line_ends_are_kept_only_where_lines_are_wanted() -> None:
    typed = "noise\r\nwhen cold\ttoday\x0c"
    assert clean(typed, field="note", most=40, lines=True) == "noise\nwhen cold today"
    assert clean("noise\r\nwhen cold", field="note", most=40) == "noise when cold"


def test_that_too_long_is_refused_with_the_length_and_the_limit() -> None:
    with pytest.raises(RuleBroken) as refused:
        clean("x" * 41, field="name", most=40)
    assert refused.value.field == "name"
    assert "41" in refused.value.sentence
    assert "40" in refused.value.sentence


def test_that_a_pile_of_accents_is_refused_quickly() -> None:
    began = time.perf_counter()
    with pytest.raises(RuleBroken):
        clean("a" + "\u0301\u0316" * 10_000, field="name", most=40_000)
    assert time.perf_counter() - began < 1


def test_that_an_empty_required_text_is_refused_by_its_label() -> None:
    with pytest.raises(RuleBroken, match="Name") as refused:
        required(" \u200e\x00 ", field="customer.name", label="Name", most=40)
    assert refused.value.field == "customer.name"


@given(ANY_TEXT)
def test_that_cleaning_twice_changes_nothing_more(text: str) -> None:
    once = clean(text, field="note", most=400, lines=True)
    assert clean(once, field="note", most=400, lines=True) == once
    assert unicodedata.is_normalized("NFC", once)
    assert not any(unicodedata.category(c) in ("Cc", "Cs") for c in once if c != "\n")


@given(ANY_TEXT)
def test_that_keys_are_stable(text: str) -> None:
    assert match_key(match_key(text)) == match_key(text)
    assert plate_key(plate_key(text)) == plate_key(text)


def test_that_a_name_is_found_without_its_case_and_accents() -> None:
    assert match_key("  Søren  ØDEGÅRD ") == match_key("soren odegard")
    assert match_key("Straße") == match_key("STRASSE")
    assert match_key("ﬁne Æon") == "fine aeon"


def test_that_plates_are_compared_by_letters_and_digits_only() -> None:
    assert plate_key("ab-12 · cd") == "AB12CD"
    assert plate_key("ＡＢ１２") == "AB12"
    assert plate_key("Ö 7") == "Ö7"
