"""The catalogue and the tax rates as the set-up page changes them, on both engines."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.services.desk import Desk
from shopdesk.services.items import EditItem, ItemKind, SaveItem
from shopdesk.services.setup import AddTaxRate, EndTaxRate
from tests.services.shopfloor import document, run


@pytest.fixture
def shop(desk: Desk) -> Desk:
    run(desk, document("us"))
    return desk


def edit(shop: Desk, **changes: str) -> EditItem:
    goods = next(each for each in shop.items.all() if each.name == "Halden ATF-6")
    values = {"name": goods.name, "package": "1 gal", "sale_unit": "qt", "price": "12.10", **changes}
    return EditItem(
        actor=shop.actor(), item_id=goods.id, version=goods.version, kind=ItemKind.FLUID, **values
    )


def test_that_an_item_keeps_its_ledger_under_a_new_name(shop: Desk) -> None:
    kept = shop.items.edit(edit(shop, name="Halden ATF-6 Plus", tax_class="fees"))
    changed = shop.items.item(kept.item_id)
    assert (changed.name, changed.price_minor, changed.tax_class) == ("Halden ATF-6 Plus", 1210, "fees")
    assert len(shop.stock.ledger(kept.item_id)) == 2
    assert len([each for each in shop.items.all() if each.kind is ItemKind.FLUID]) == 1


def test_that_two_people_never_overwrite_one_another_in_the_catalogue(shop: Desk) -> None:
    late = edit(shop, price="9.99")
    shop.items.edit(edit(shop, price="12.50"))
    with pytest.raises(Conflict):
        shop.items.edit(late)
    assert shop.items.item(late.item_id).price_minor == 1250


def test_that_a_name_already_on_the_list_is_refused(shop: Desk) -> None:
    shop.items.save(
        SaveItem(actor=shop.actor(), name="Halden Gear", package="1 qt", sale_unit="qt", price="14")
    )
    with pytest.raises(RuleBroken) as refused:
        shop.items.edit(edit(shop, name="HALDEN GEAR"))
    assert refused.value.field == "name"


def rate(shop: Desk, percent: str, **days: date | None) -> AddTaxRate:
    return AddTaxRate(
        actor=shop.actor(),
        tax_class="parts and fluids",
        name="Sales tax",
        percent=percent,
        citation="Marrow Code 3-9 (invented)",
        **{"from_on": date(2027, 1, 1), "to_on": None, **days},  # type: ignore[arg-type]
    )


def test_that_a_new_rate_ends_the_one_it_follows_the_day_before(shop: Desk) -> None:
    shop.setup.add_tax_rate(rate(shop, "8.5"))
    rows = [row for row in shop.setup.tax_rates() if row.tax_class == "parts and fluids"]
    assert [(row.rate_ppm, row.from_on, row.to_on) for row in rows] == [
        (82_500, date(2000, 1, 1), date(2026, 12, 31)),
        (85_000, date(2027, 1, 1), None),
    ]


def test_that_two_rates_of_one_name_never_apply_on_one_day(shop: Desk) -> None:
    shop.setup.add_tax_rate(rate(shop, "8.5"))
    before = shop.setup.tax_rates()
    for days in ({"from_on": date(2026, 6, 1)}, {"from_on": date(2027, 1, 1)}):
        with pytest.raises(RuleBroken) as refused:
            shop.setup.add_tax_rate(rate(shop, "9", **days))
        assert refused.value.field == "from_on"
    assert shop.setup.tax_rates() == before


def test_that_a_rate_is_ended_once(shop: Desk) -> None:
    row = shop.setup.tax_rates()[0]
    ended = EndTaxRate(actor=shop.actor(), rate_id=row.id, to_on=date(2026, 12, 31))
    shop.setup.end_tax_rate(ended)
    assert shop.setup.tax_rates()[0].to_on == date(2026, 12, 31)
    again = replace(ended, uid="another", to_on=date(2027, 6, 30))
    with pytest.raises(RuleBroken) as refused:
        shop.setup.end_tax_rate(again)
    assert refused.value.field == "to_on"
