"""Where a text that found nothing belongs."""

import pytest

from shopdesk.ui.presenters.new_text import field_for


@pytest.mark.parametrize(
    ("typed", "form", "field"),
    [
        ("Nadia Fell", "customer", "name"),
        ("303 555 0199", "customer", "phones"),
        ("+1 (303) 555-0199", "customer", "phones"),
        ("KT 4471", "vehicle", "plate"),
        ("11111111111111111", "vehicle", "vin"),
        ("1M8GDM9AXKP042788", "vehicle", "vin"),
        ("Harrow", "customer", "name"),
        ("", "customer", "name"),
    ],
)
def test_that_a_text_goes_where_it_fits(typed: str, form: str, field: str) -> None:
    assert field_for(typed) == (form, field)
