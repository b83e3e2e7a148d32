"""The next-due sticker: exact size, big numbers, a symbol that scans at the printer's own resolution."""

from dataclasses import fields, replace

import pytest

from shopdesk.documents.fonts import Fonts
from shopdesk.documents.qr import qr_matrix
from shopdesk.documents.sticker import StickerPaper, render_sticker, render_sticker_sheet, sheet_places
from shopdesk.documents.stock import (
    A4,
    LABEL_SIZES,
    LETTER,
    POINTS_PER_MM,
    TWO_BY_TWO_INCH,
    LabelSize,
    PaperSize,
    mm,
)
from shopdesk.domain.errors import RuleBroken
from tests.documents import examples
from tests.documents.reading import letters, line_of, picture, sizes, solid, symbols, texts, words

every_label = pytest.mark.parametrize("label", LABEL_SIZES.values(), ids=LABEL_SIZES)
ONE_NUMBER = replace(examples.STICKER, due_date="")
ONE_DATE = replace(examples.STICKER, due_odometer="", odometer_unit="")
NONE = replace(examples.STICKER, due_date="", due_odometer="", odometer_unit="")
INCHES = {"2x2 in": (50.8, 50.8), "50x50 mm": (50.0, 50.0), "62x100 mm": (100.0, 62.0)}


@every_label
def test_that_the_page_is_the_label_to_a_tenth_of_a_millimetre(label: LabelSize, fonts: Fonts) -> None:
    (box,) = sizes(render_sticker(examples.STICKER, label=label, fonts=fonts))
    measured = ((box[2] - box[0]) / POINTS_PER_MM, (box[3] - box[1]) / POINTS_PER_MM)
    assert measured == pytest.approx(INCHES[label.name], abs=0.1)


@every_label
@pytest.mark.parametrize("paper", [examples.STICKER, ONE_NUMBER, ONE_DATE, NONE])
def test_that_every_glyph_stands_inside_a_margin_of_one_and_a_half_millimetres(
    label: LabelSize, paper: StickerPaper, fonts: Fonts
) -> None:
    found = letters(render_sticker(paper, label=label, fonts=fonts))
    assert found
    for letter in found:
        assert letter.left >= mm(1.5) - 0.02
        assert letter.bottom >= mm(1.5) - 0.02
        assert letter.right <= label.width - mm(1.5) + 0.02
        assert letter.top <= label.height - mm(1.5) + 0.02


@every_label
@pytest.mark.parametrize(
    ("paper", "number"),
    [
        (examples.STICKER, "04 MAR 2030"),
        (examples.STICKER, "148,240"),
        (ONE_NUMBER, "148,240"),
        (ONE_DATE, "04 MAR 2030"),
    ],
)
def test_that_numerals_are_at_least_five_millimetres_high(
    label: LabelSize, paper: StickerPaper, number: str, fonts: Fonts
) -> None:
    image = picture(render_sticker(paper, label=label, fonts=fonts), dpi=1200)
    pdf = render_sticker(paper, label=label, fonts=fonts)
    figure = next(letter for letter in line_of(pdf, number) if letter.text in "012")
    scale = 1200 / 72
    left, right = int(figure.left * scale) + 2, int(figure.right * scale) - 2
    middle = int((label.height - (figure.top + figure.bottom) / 2) * scale)
    column = image.crop((left, 0, right, image.height)).point(lambda shade: 255 if shade < 128 else 0)
    reach = int(mm(6) * scale)
    box = column.crop((0, middle - reach // 2, column.width, middle + reach // 2)).getbbox()
    assert box is not None
    assert (box[3] - box[1]) / scale / POINTS_PER_MM >= 5.0


@every_label
@pytest.mark.parametrize("dpi", [203, 300])
def test_that_the_symbol_scans_from_the_label_printed_at_its_own_dots(
    label: LabelSize, dpi: int, fonts: Fonts
) -> None:
    pdf = render_sticker(examples.STICKER, label=replace(label, dpi=dpi), fonts=fonts)
    assert symbols(pdf, dpi=dpi) == [examples.STICKER.qr_text]


@every_label
def test_that_modules_are_whole_dots_and_the_quiet_zone_is_four_modules_of_white(
    label: LabelSize, fonts: Fonts
) -> None:
    paper = examples.STICKER
    image = picture(render_sticker(paper, label=label, fonts=fonts), dpi=label.dpi)
    dark = image.point(lambda shade: 255 if shade < 128 else 0)
    side = qr_matrix(paper.qr_text).side
    dots = 3  # the fewest whole dots of 1/203 inch that reach 0.33 mm: 0.375 mm
    left, top = _corner_of_symbol(dark.size, dark.load(), side * dots)
    quiet = 4 * dots
    outer = (left - quiet, top - quiet, left + side * dots + quiet, top + side * dots + quiet)
    ring = dark.crop(outer)
    ring.paste(0, (quiet, quiet, quiet + side * dots, quiet + side * dots))
    assert ring.getbbox() is None
    modules = [
        [
            {
                dark.getpixel((left + column * dots + dx, top + row * dots + dy))
                for dx in (0, 1, 2)
                for dy in (0, 1, 2)
            }
            for column in range(side)
        ]
        for row in range(side)
    ]
    assert all(len(module) == 1 for line in modules for module in line)


def _corner_of_symbol(size: tuple[int, int], pixels: object, side: int) -> tuple[int, int]:
    """The top left dot of the symbol: a corner that begins 21 dark dots (7 modules of 3) both ways and
    closes."""
    width, height = size
    for top in range(height - side):
        for left in range(width - side):
            across = all(pixels[left + step, top] for step in range(21))  # type: ignore[index]
            if across and not pixels[left + 21, top] and not pixels[left - 1, top]:  # type: ignore[index]
                down = all(pixels[left, top + step] for step in range(21))  # type: ignore[index]
                if down and not pixels[left, top + 21] and not pixels[left, top - 1]:  # type: ignore[index]
                    return left, top
    raise AssertionError("no symbol on the label")


def test_that_both_numbers_stand_with_whichever_comes_first(fonts: Fonts) -> None:
    shown = words(render_sticker(examples.STICKER, label=TWO_BY_TWO_INCH, fonts=fonts))
    assert "04 MAR 2030 148,240 mi whichever comes first" in shown
    assert "Done 04 MAR 2027 at 118,247 mi" in shown
    assert "Next due Automatic transmission fluid" in shown


@pytest.mark.parametrize("paper", [ONE_NUMBER, ONE_DATE, NONE])
def test_that_one_number_or_none_says_nothing_of_whichever(paper: StickerPaper, fonts: Fonts) -> None:
    assert "whichever" not in words(render_sticker(paper, label=TWO_BY_TWO_INCH, fonts=fonts))


def test_that_without_a_number_the_sticker_says_inspect(fonts: Fonts) -> None:
    assert "INSPECT" in words(render_sticker(NONE, label=TWO_BY_TWO_INCH, fonts=fonts))
    own = replace(NONE, instead="CHECK LEVEL")
    assert "CHECK LEVEL" in words(render_sticker(own, label=TWO_BY_TWO_INCH, fonts=fonts))


def test_that_the_sticker_has_no_field_for_a_person_plate_or_vin() -> None:
    assert {field.name for field in fields(StickerPaper)} == {
        "shop_name",
        "phone",
        "item",
        "done_on",
        "done_odometer",
        "due_date",
        "due_odometer",
        "odometer_unit",
        "instead",
        "qr_text",
    }


def test_that_the_sticker_carries_the_closing_sentence(fonts: Fonts) -> None:
    shown = words(render_sticker(examples.STICKER, label=TWO_BY_TWO_INCH, fonts=fonts))
    assert "If they differ, follow those." in shown


@pytest.mark.parametrize("odometer", ["999,999", "1,234,567"])
def test_that_long_odometers_fit_the_smallest_label(odometer: str, fonts: Fonts) -> None:
    paper = replace(examples.STICKER, due_odometer=odometer, odometer_unit="km")
    assert odometer in words(render_sticker(paper, label=TWO_BY_TWO_INCH, fonts=fonts))


@pytest.mark.parametrize(
    "field", ["item", "shop_name", "phone", "done_on", "due_odometer", "due_date", "instead"]
)
def test_that_a_text_that_does_not_fit_is_refused_by_its_field_and_never_cut(
    field: str, fonts: Fonts
) -> None:
    base = NONE if field == "instead" else examples.STICKER
    with pytest.raises(RuleBroken) as refused:
        render_sticker(replace(base, **{field: "W" * 2000}), label=TWO_BY_TWO_INCH, fonts=fonts)
    assert refused.value.field == field


def test_that_a_symbol_too_large_for_the_label_is_refused(fonts: Fonts) -> None:
    with pytest.raises(RuleBroken):
        render_sticker(replace(examples.STICKER, qr_text="k" * 900), label=TWO_BY_TWO_INCH, fonts=fonts)


@pytest.mark.parametrize("size", [LETTER, A4], ids=lambda size: size.name)
def test_that_a_sheet_begins_at_the_place_asked_for_and_runs_on(size: PaperSize, fonts: Fonts) -> None:
    places = sheet_places(size, TWO_BY_TWO_INCH)
    papers = [replace(examples.STICKER, item=f"Item {at}") for at in range(places)]
    pdf = render_sticker_sheet(papers, size=size, label=TWO_BY_TWO_INCH, fonts=fonts, start=places - 1)
    pages = texts(pdf)
    assert len(pages) == 2
    assert "Item 1" in pages[0]
    assert "Item 2" in pages[1]
    assert sum(solid(page).count("whichevercomesfirst") for page in pages) == places
    assert len(symbols(pdf, 0)) == 2


def test_that_a_sheet_prints_its_only_sticker_at_its_true_size(fonts: Fonts) -> None:
    alone = render_sticker(examples.STICKER, label=TWO_BY_TWO_INCH, fonts=fonts)
    sheet = render_sticker_sheet([examples.STICKER], size=A4, label=TWO_BY_TWO_INCH, fonts=fonts)
    first, second = line_of(alone, "04 MAR 2030"), line_of(sheet, "04 MAR 2030")
    assert second[-1].right - second[0].left == pytest.approx(first[-1].right - first[0].left, abs=0.01)


@pytest.mark.parametrize("start", [0, -1, 10_000])
def test_that_a_place_the_sheet_does_not_have_is_refused(start: int, fonts: Fonts) -> None:
    with pytest.raises(RuleBroken) as refused:
        render_sticker_sheet([examples.STICKER], size=A4, label=TWO_BY_TWO_INCH, fonts=fonts, start=start)
    assert refused.value.field == "start"
