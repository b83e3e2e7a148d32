"""Numbers as typed: one clear reading or a sentence, never a guess and never a hang."""

import time
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.numerals import NumberStyle, Threes, Written, read_number, read_whole

STRICT, PERSON = NumberStyle.STRICT, NumberStyle.PERSON


def wanted() -> str:
    return "a volume such as 3.2 qt"


def number(text: str, style: NumberStyle = STRICT, threes: Threes = Threes.UNCLEAR) -> Fraction:
    return read_number(text, field="f", wanted=wanted, style=style, threes=threes).number


def refusal(text: str, style: NumberStyle = STRICT, threes: Threes = Threes.UNCLEAR) -> str:
    with pytest.raises(RuleBroken) as refused:
        number(text, style, threes)
    assert refused.value.field == "f"
    return refused.value.sentence


NOT_ONE_NUMBER = (
    *("9**9**9 qt", "1e5", "1E+5 qt", "1_000", "NaN", "inf", "-inf", "(1+2)", "1/2 qt", "", "   "),
    *("３.2 qt", "٣ qt", "½ qt", "3.2\x00 qt", "\u202e3.2 qt", "3.2\u200b qt", "\t3.2 qt", "3.2\n"),
    *("x" * 10_000, "9" * 10_000, "\u0301" * 10_000, "--3", "3.2.1", "3,,2", ",5", "3.", "<img src=x>"),
    *("3 1/2 qt", "0,125,000", "12,34,567", "1.234,567.8", "3 2", "1,2345,6"),
)


@pytest.mark.parametrize("style", [STRICT, PERSON])
@pytest.mark.parametrize("text", NOT_ONE_NUMBER)
def test_that_what_is_not_one_clear_number_is_refused_with_an_example(text: str, style: NumberStyle) -> None:
    assert "3.2 qt" in refusal(text, style)


def test_that_a_job_file_has_dots_only() -> None:
    assert number("3.2 qt") == Fraction(16, 5)
    assert "comma" in refusal("3,2 qt")
    assert "comma" in refusal("1,000.5 qt")
    assert "3.2 qt" in refusal("1 000 qt")
    assert "3.2 qt" in refusal(".5 qt")


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("3.2", "3.2"),
        ("3,2", "3.2"),
        (".5", "0.5"),
        ("0,125", "0.125"),
        ("1.234", "1.234"),
        ("1234,567", "1234.567"),
        ("1,234.5", "1234.5"),
        ("1.234,5", "1234.5"),
        ("1,234,567", "1234567"),
        ("1.234.567", "1234567"),
        ("84 310", "84310"),
        ("84\u202f310,5", "84310.5"),
        ("-40", "-40"),
        ("\u221240", "-40"),
    ],
)
def test_that_a_person_may_write_numbers_the_usual_ways(text: str, read: str) -> None:
    assert number(text, PERSON) == Fraction(read)


def test_that_a_comma_before_three_digits_is_asked_about_with_both_readings() -> None:
    sentence = refusal("1,234 qt", PERSON)
    assert "1234 " in sentence
    assert "1.234" in sentence


def test_that_where_no_third_decimal_exists_a_comma_groups_and_a_dot_is_asked_about() -> None:
    assert number("84,310", PERSON, Threes.GROUP) == 84_310
    assert "84310" in refusal("84.310", PERSON, Threes.GROUP)


def test_that_what_the_sentence_proposes_is_accepted() -> None:
    for proposed in ("1234 qt", "1.234 qt"):
        assert number(proposed, PERSON) > 0
    assert number("84310", PERSON, Threes.GROUP) == 84_310


def test_that_whole_numbers_have_bounds_and_no_decimals() -> None:
    assert read_whole("24", field="months", least=1, most=240) == 24
    for text in ("0", "241", "-3", "2.5", "24 months", "2,5", "1e1"):
        with pytest.raises(RuleBroken, match="from 1 to 240"):
            read_whole(text, field="months", least=1, most=240)


def answer(text: str, style: NumberStyle, threes: Threes = Threes.UNCLEAR) -> Written | RuleBroken:
    try:
        return read_number(text, field="f", wanted=wanted, style=style, threes=threes)
    except RuleBroken as refused:
        return refused


@given(st.text(max_size=60), st.sampled_from(NumberStyle), st.sampled_from(Threes))
def test_that_any_text_is_a_number_or_a_refusal(text: str, style: NumberStyle, threes: Threes) -> None:
    given_back = answer(text, style, threes)
    if isinstance(given_back, Written):
        assert given_back.typed == text.strip(" ")
        assert any(character in "0123456789" for character in text)
    else:
        assert given_back.sentence
        assert given_back.field == "f"


@given(st.text(alphabet="0123456789., -+*/e_\u00a0qtQ", max_size=45), st.sampled_from(NumberStyle))
def test_that_numberlike_text_is_answered_within_milliseconds(text: str, style: NumberStyle) -> None:
    began = time.perf_counter()
    given_back = answer(text, style)
    assert time.perf_counter() - began < 0.1
    assert isinstance(given_back, RuleBroken) or len(str(given_back.number)) < 90


@given(st.text(alphabet="0123456789.,", max_size=12))
def test_that_a_job_file_and_a_person_never_disagree_about_the_same_text(text: str) -> None:
    strict, person = answer(text, STRICT), answer(text, PERSON)
    if isinstance(strict, Written):
        assert isinstance(person, Written)
        assert person.number == strict.number


@given(st.integers(0, 10**9), st.integers(0, 6))
def test_that_a_number_written_either_way_is_read_back_exactly(digits: int, decimals: int) -> None:
    exact = Fraction(digits, 10**decimals)
    written = f"{digits // 10**decimals}.{digits % 10**decimals:0{decimals}d}" if decimals else str(digits)
    assert number(written) == exact
    assert number(written, PERSON) == exact
    if decimals not in (0, 3):
        assert number(written.replace(".", ","), PERSON) == exact
