"""Lines as texts: read back as the same line, worked out while one types, kept as a draft."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.money import Currency
from shopdesk.domain.tax import TaxRounding
from shopdesk.domain.units import NumberStyle
from shopdesk.services.shopfacts import ShopFacts
from shopdesk.services.typed import Typed
from shopdesk.ui.presenters.line_texts import (
    NAMES,
    LineTexts,
    flat,
    is_blank,
    net_of,
    net_of_all,
    place_of,
    typed_line,
    unflat,
)


def typed() -> Typed:
    values = dict.fromkeys(ShopFacts.__dataclass_fields__, "")
    shop = ShopFacts(
        **{  # type: ignore[arg-type]
            **values,
            "currency": Currency(code="USD", digits=2),
            "tax_rounding": TaxRounding.RATE,
            "volume_unit": "qt",
            "imperial": False,
        }
    )
    return Typed(shop=shop, style=NumberStyle.PERSON)


def test_that_a_line_comes_to_quantity_times_price_less_discount() -> None:
    assert net_of(LineTexts(text="Work", quantity="1.4", price="118.00", discount="5"), typed()) == 16_020


def test_that_a_line_that_cannot_be_read_comes_to_nothing_yet() -> None:
    assert net_of(LineTexts(text="Work", quantity="1.4", price="12 qt"), typed()) is None
    lines = [LineTexts(text="a", price="10"), LineTexts(text="b", price="?"), LineTexts()]
    assert net_of_all(lines, typed()) == (1_000, 1)


def test_that_only_a_part_has_a_condition() -> None:
    assert typed_line(LineTexts(kind="labour", condition="used")).condition == ""
    assert typed_line(LineTexts(kind="part", condition="used")).condition == "used"


def test_that_an_untouched_line_is_blank() -> None:
    assert is_blank(LineTexts())
    assert not is_blank(LineTexts(price="1"))


lines = st.lists(st.fixed_dictionaries(dict.fromkeys(NAMES, st.text(max_size=20))), max_size=4)


@given(lines)
def test_that_a_draft_gives_back_the_very_lines(found: list[dict[str, str]]) -> None:
    wanted = tuple(LineTexts(**line) for line in found)
    assert unflat(flat(wanted)) == wanted


@given(st.dictionaries(st.text(), st.text()))
def test_that_a_damaged_draft_gives_lines_all_the_same(texts: dict[str, str]) -> None:
    assert len(unflat(texts)) <= 9999


def test_that_a_refusal_finds_its_line_and_cell() -> None:
    assert place_of("lines/2/unit_price") == (2, "price")
    assert place_of("lines/0/item") == (0, "text")
    assert place_of("/lines/0/tax_class") == (0, "text")
    assert place_of("stage") is None
