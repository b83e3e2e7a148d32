"""Labels, count sheets and orders, read back."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shopdesk.documents.container_label import (
    LEAST_PICTOGRAM,
    ContainerLabel,
    UsedOilLabel,
    render_container_label,
    render_container_label_sheet,
    render_used_oil_label,
)
from shopdesk.documents.count_sheet import CountSheetLine, CountSheetPaper, render_count_sheet
from shopdesk.documents.facts import Party, ShopHead
from shopdesk.documents.fonts import Fonts
from shopdesk.documents.pictograms import pictogram
from shopdesk.documents.purchase_order import OrderPaper, OrderPaperLine, render_purchase_order
from shopdesk.documents.stock import A4, LETTER, SIXTY_TWO_BY_HUNDRED_MM, TWO_BY_TWO_INCH, PaperSize, mm
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.hazards import Pictogram
from tests.documents.reading import letters, line_of, picture, sizes, texts, words

DEFERRAL = "These reminders do not replace the vehicle maker's service information"
LABEL = ContainerLabel(
    shop="Gearhouse",
    product="Gear 75W-90",
    maker="Marlstone Blending",
    signal_word="Warning",
    hazards="May cause an allergic skin reaction.",
    pictograms=(Pictogram.EXCLAMATION_MARK, Pictogram.ENVIRONMENT),
    facts=(("Lot", "L-2611"), ("Opened", "")),
    sheet="sheet.pdf of 1 Mar 2026",
    emergency="+1 202-555-0110",
)
SHOP = ShopHead(name="Gearhouse", address=("4 Mill Lane",))


def test_that_a_label_names_product_hazards_and_where_the_sheet_is(fonts: Fonts) -> None:
    pdf = render_container_label(LABEL, label=SIXTY_TWO_BY_HUNDRED_MM, fonts=fonts)
    said = words(pdf)
    hazards = ("WARNING", "allergic skin reaction", "Exclamation mark", "Environment")
    others = ("Gear 75W-90", "L-2611", "sheet.pdf of 1 Mar 2026", "+1 202-555-0110", DEFERRAL)
    for part in (*hazards, *others):
        assert part in said
    assert "Opened" not in said
    assert "SECONDARY" not in said
    second = render_container_label(
        replace(LABEL, secondary=True), label=SIXTY_TWO_BY_HUNDRED_MM, fonts=fonts
    )
    assert "SECONDARY CONTAINER" in words(second)
    (box,) = sizes(pdf)
    assert box[2:] == pytest.approx((mm(100), mm(62)), abs=mm(0.1))


def test_that_nothing_leaves_the_label_and_the_same_facts_give_the_same_bytes(fonts: Fonts) -> None:
    pdf = render_container_label(LABEL, label=SIXTY_TWO_BY_HUNDRED_MM, fonts=fonts)
    _left, _bottom, width, height = sizes(pdf)[0]
    assert all(
        each.left >= 0 and each.right <= width and each.bottom >= 0 and each.top <= height
        for each in letters(pdf)
    )
    assert pdf == render_container_label(LABEL, label=SIXTY_TWO_BY_HUNDRED_MM, fonts=fonts)


def test_that_what_does_not_fit_is_refused_and_a_sheet_of_paper_takes_it(fonts: Fonts) -> None:
    assert "WARNING" in words(render_container_label(LABEL, label=TWO_BY_TWO_INCH, fonts=fonts))
    three = replace(LABEL, pictograms=(*LABEL.pictograms, Pictogram.FLAME))
    with pytest.raises(RuleBroken, match="no room for these pictograms") as refused:
        render_container_label(three, label=TWO_BY_TWO_INCH, fonts=fonts)
    assert refused.value.field == "pictograms"
    long = replace(LABEL, hazards="Harmful if swallowed. " * 120)
    with pytest.raises(RuleBroken, match="too long"):
        render_container_label(long, label=SIXTY_TWO_BY_HUNDRED_MM, fonts=fonts)
    every = replace(LABEL, pictograms=tuple(Pictogram)[:4])
    assert "Gas cylinder" in words(render_container_label_sheet(every, size=A4, fonts=fonts))


@pytest.mark.parametrize("which", Pictogram)
def test_that_a_pictogram_is_a_dark_symbol_in_a_frame_on_its_corner(which: Pictogram, fonts: Fonts) -> None:
    only = replace(LABEL, pictograms=(which,))
    drawn = pictogram(which, 0, 0, 100)
    inside = [
        abs(float(x) - 50) + abs(float(y) - 50)
        for stroke in drawn.strokes[2:]
        for kind, *numbers in stroke.path
        for x, y in zip(numbers[-2::2], numbers[-1::2], strict=True)
        if kind != "z"
    ]
    assert inside
    assert max(inside) < 45  # every corner of the symbol keeps clear of the frame at 47
    pdf = render_container_label_sheet(only, size=LETTER, fonts=fonts)
    grey = picture(pdf, dpi=100)
    without = picture(
        render_container_label_sheet(replace(LABEL, pictograms=()), size=LETTER, fonts=fonts), dpi=100
    )
    assert sum(grey.histogram()[:128]) > sum(without.histogram()[:128]) + 1_000
    assert pytest.approx(mm(15)) == LEAST_PICTOGRAM


@pytest.mark.parametrize("size", [LETTER, A4], ids=lambda size: size.name)
def test_that_a_used_oil_vessel_says_used_oil_and_never_waste(size: PaperSize, fonts: Fonts) -> None:
    # 40 CFR 279.22(c)(1): containers are "labeled or marked clearly with the words 'Used Oil'".
    paper = UsedOilLabel(shop="Gearhouse", vessel="Drum by the door", facts=(("Holds", "208 L"),))
    pdf = render_used_oil_label(paper, size=size, fonts=fonts)
    assert "USED OIL" in words(pdf)
    assert "waste" not in words(pdf).lower()
    big = line_of(pdf, "USEDOIL")
    assert min(letter.top - letter.bottom for letter in big) > mm(15)


def test_that_a_count_sheet_lists_every_container_with_boxes_and_no_figures_to_count_towards(
    fonts: Fonts,
) -> None:
    lines = tuple(
        CountSheetLine(
            item=f"Fluid {n}", container=f"Can {n}", lot=f"lot {n}", size="4.00 L", how="dip or weigh"
        )
        for n in range(60)
    )
    paper = CountSheetPaper(shop=SHOP, number="7", date="25 Nov 2026", note="month's end", lines=lines)
    pdf = render_count_sheet(paper, size=A4, fonts=fonts)
    assert len(texts(pdf)) > 1
    said = words(pdf)
    assert all(f"Fluid {n}" in said and f"lot {n}" in said for n in range(60))
    assert "Ledger" not in said
    assert DEFERRAL in said
    shown = render_count_sheet(
        replace(paper, lines=(replace(lines[0], expected="3.20 L"),)), size=A4, fonts=fonts
    )
    assert "Ledger" in words(shown)
    assert "3.20 L" in words(shown)


def test_that_an_order_says_packages_codes_and_total(fonts: Fonts) -> None:
    line = OrderPaperLine(
        item="Clear ATF",
        codes="Q-77",
        packages="24",
        package="1 L",
        price="€5.00",
        amount="€120.00",
        note="for work order 1007",
    )
    paper = OrderPaper(
        shop=SHOP,
        number="12",
        date="25 Nov 2026",
        supplier=Party(name="Quarry Street Supply", lines=("Fordham",)),
        lines=(line,),
        total="€120.00",
        account_no="GH-77",
        note="Back door.",
    )
    said = words(render_purchase_order(paper, size=LETTER, fonts=fonts))
    for part in (
        "Order 12",
        "Quarry Street Supply",
        "Q-77 · for work order 1007",
        "24 × 1 L",
        "€120.00",
        "GH-77",
        "Back door.",
        DEFERRAL,
    ):
        assert part in said
