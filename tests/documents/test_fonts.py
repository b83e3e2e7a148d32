"""What the typeface can print, and what happens with the rest."""

from pathlib import Path

import pytest

from shopdesk.documents.fonts import Face, Fonts


def test_that_latin_greek_cyrillic_and_vietnamese_have_glyphs(fonts: Fonts) -> None:
    assert fonts.missing_glyphs("Ågård Łódź Σίσυφος Жёлтый Nguyễn ½ ± ° × − – € £ N·m µL") == ()


def test_that_characters_without_a_glyph_are_named_once_in_their_order(fonts: Fonts) -> None:
    assert fonts.missing_glyphs("漢a字漢 😀 שלום ▲◆●") == (
        "漢",
        "字",
        "😀",
        "ש",
        "ל",
        "ו",
        "ם",
        "▲",
        "◆",
        "●",
    )


def test_that_characters_without_a_glyph_print_as_the_replacement_mark(fonts: Fonts) -> None:
    assert fonts.printable("漢x😀") == "�x�"


def test_that_controls_and_direction_marks_do_not_print(fonts: Fonts) -> None:
    assert fonts.printable("a\x00b\x1bc\u202ed\u200fe\u2066f\ufeff") == "abcdef"
    assert fonts.missing_glyphs("\x00\u202e\u200d") == ()


def test_that_line_breaks_stay_and_spaces_the_font_lacks_do_not_break(fonts: Fonts) -> None:
    assert fonts.printable("a\r\nb\tc\n1\u202f240\u3000km") == "a\nb c\n1\u202f240\u00a0km"
    assert fonts.missing_glyphs("1\u3000km") == ()


def test_that_decomposed_letters_are_composed(fonts: Fonts) -> None:
    assert fonts.printable("e\u0301") == "é"


@pytest.mark.parametrize("face", list(Face))
def test_that_figures_are_all_of_one_width_so_that_sums_align(fonts: Fonts, face: Face) -> None:
    assert len({fonts.width(figure, face, 10) for figure in "0123456789"}) == 1


def test_that_a_width_is_the_sum_of_the_fonts_own_advances(fonts: Fonts) -> None:
    # Advances read from the file's hmtx table with fontTools: every figure 600 of 1000 units.
    assert fonts.width("2027", Face.REGULAR, 10) == pytest.approx(24.0)


def test_that_a_missing_font_file_is_not_replaced_by_another_typeface(tmp_path: Path) -> None:
    with pytest.raises(Exception, match=r"IBMPlexSans-Regular\.ttf"):
        Fonts(tmp_path)
