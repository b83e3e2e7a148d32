"""Hostile texts in every field of every paper: printed as they stand, never read as anything else."""

import unicodedata
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from enum import Enum

import pytest

from shopdesk.documents.estimate import render_estimate
from shopdesk.documents.fonts import Fonts
from shopdesk.documents.sticker import render_sticker
from shopdesk.documents.stock import LETTER, SIXTY_TWO_BY_HUNDRED_MM
from tests.documents import examples
from tests.documents.reading import letters, solid, texts
from tests.documents.test_papers import every_sheet

HOSTILE = (
    "<img src='/etc/hostname'>",
    "<b>bold</b> & <i>so on</i>",
    "a &amp; b &#60; c < d > e",
    "</para><para><font size=90>",
    "<a href='javascript:alert(1)'>x</a>",
    "%s {name} {0} %(who)d \\n \\u0041",
    "=1+1 ; DROP TABLE invoice; --",
    "Żółć Ωμέγα Щука Nguyễn",
    "quote \" ' ` backslash \\ (paren) [x]",
)


def with_text(value: object, text: str) -> object:
    """A paper's data with every text replaced, however deep; QR text stays."""
    if isinstance(value, Enum):
        return value
    if isinstance(value, str):
        return text if value else value
    if isinstance(value, tuple):
        return tuple(with_text(part, text) for part in value)
    if is_dataclass(value) and not isinstance(value, type):
        names = [field.name for field in fields(value) if field.name != "qr_text"]
        return replace(value, **{name: with_text(getattr(value, name), text) for name in names})
    return value


@every_sheet
@pytest.mark.parametrize("text", HOSTILE)
def test_that_a_hostile_text_in_every_field_prints_as_itself(
    render: Callable[..., bytes], paper: object, text: str, fonts: Fonts
) -> None:
    pdf = render(with_text(paper, text), size=LETTER, fonts=fonts)
    shown = solid("".join(texts(pdf)))
    for word in text.split():
        assert word in shown
    assert b"/Subtype /Image" not in pdf
    assert b"/URI" not in pdf
    assert b"/JavaScript" not in pdf


@every_sheet
def test_that_direction_marks_and_controls_vanish_and_the_words_keep_their_order(
    render: Callable[..., bytes], paper: object, fonts: Fonts
) -> None:
    pdf = render(with_text(paper, "abc\u202edef\u202c \u2067ghi\u2069\x00\x07"), size=LETTER, fonts=fonts)
    shown = "".join(texts(pdf))
    assert "abcdef ghi" in " ".join(shown.split())
    printed = (letter for letter in shown if letter not in "\r\n")
    assert not [letter for letter in printed if unicodedata.category(letter) in ("Cc", "Cf")]


@every_sheet
def test_that_characters_without_a_glyph_are_seen_as_missing(
    render: Callable[..., bytes], paper: object, fonts: Fonts
) -> None:
    shown = "".join(texts(render(with_text(paper, "x漢字😀y"), size=LETTER, fonts=fonts)))
    assert "x���y" in shown


@every_sheet
@pytest.mark.parametrize(
    "text", ["W" * 2000, "word " * 400, "line\n" * 60], ids=["one word", "words", "lines"]
)
def test_that_2000_characters_in_every_field_end_and_stay_within_the_paper(
    render: Callable[..., bytes], paper: object, text: str, fonts: Fonts
) -> None:
    pdf = render(with_text(paper, text), size=LETTER, fonts=fonts)
    pages = texts(pdf)
    assert len(pages) > 2
    for page in range(len(pages)):
        for letter in letters(pdf, page):
            assert letter.left >= 0
            assert letter.right <= LETTER.width
            assert letter.bottom >= 0
            assert letter.top <= LETTER.height


def test_that_no_letter_of_a_2000_character_word_is_lost(fonts: Fonts) -> None:
    word = "".join("漢" if at % 50 == 0 else "§" for at in range(2000))
    pdf = render_estimate(replace(examples.ESTIMATE, asked=word), size=LETTER, fonts=fonts)
    shown = "".join(texts(pdf))
    assert (shown.count("§"), shown.count("�")) == (1960, 40)


@pytest.mark.parametrize("text", HOSTILE)
def test_that_a_hostile_text_on_a_sticker_prints_as_itself(text: str, fonts: Fonts) -> None:
    paper = replace(examples.STICKER, item=text, shop_name=text, phone=text)
    pdf = render_sticker(paper, label=SIXTY_TWO_BY_HUNDRED_MM, fonts=fonts)
    assert solid("".join(texts(pdf))).count(solid(text)) == 3
