"""Words of the shelf: what is to order, deliveries as they are typed, and lines of the ledger."""

from dataclasses import replace
from datetime import date

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.stock import MoveKind
from shopdesk.services.acting import Actor
from shopdesk.services.items import Claim, ClaimBasis, EditItem, ItemKind, ItemView, SaveItem
from shopdesk.services.stock import SHORT_REASON, ContainerRow, MoveRow, OnHandRow
from shopdesk.ui.presenters.items import (
    claims_in,
    claims_of,
    field_of_refusal,
    item_command,
    item_texts,
    particulars,
    sale_unit_choices,
    usual_texts,
)
from shopdesk.ui.presenters.shelf import (
    container_state,
    cost_words,
    find_item,
    holds_some,
    item_line,
    move_words,
    pieces_first,
    quantity_words,
    shelf_note,
    signed_money,
    signed_stock,
    stands,
    tiles,
    unit_cost,
)
from tests.ui.presenters.shops import METRIC_FIGURES, US, US_FIGURES

ACTOR = Actor(person_id=1, station_id=1)
QUART = 946_353
ATF = ItemView(
    id=1,
    version=3,
    kind=ItemKind.FLUID,
    name="Halden ATF-6",
    maker="Halden",
    part_number="H-6",
    density_kg_m3=860,
    package_quantity=4 * QUART,
    package_text="1 gal",
    sale_unit="qt",
    price_minor=1140,
    tax_class_id=1,
    tax_class="parts and fluids",
    order_at=7_570_824,
    fill_to=37_854_118,
    claims=(Claim(specification="HX-6", basis=ClaimBasis.LICENSED, licence_no="L-1"),),
)
WASHER = replace(
    ATF,
    id=2,
    kind=ItemKind.PART,
    name="Washer",
    part_number="W-18",
    sale_unit="each",
    claims=(),
    order_at=None,
)
ON_SHELF = OnHandRow(
    item_id=1,
    kind=ItemKind.FLUID,
    name="Halden ATF-6",
    base="ul",
    on_hand=12 * QUART,
    cost_minor=7200,
    order_at=8 * QUART,
    fill_to=40 * QUART,
    package_quantity=4 * QUART,
    sale_unit="qt",
    count_due=False,
)
MOVE = MoveRow(
    id=9,
    on_date=date(2026, 11, 25),
    kind=MoveKind.ISSUE,
    quantity=-4 * QUART,
    cost_minor=-2400,
    level_after=8 * QUART,
    work_order_number=1001,
    lot="H6",
    container="",
    document_no="",
    reason="",
    person="Rhea",
)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({}, ("plain", "")),
        ({"on_hand": 8 * QUART}, ("late", "To order")),
        ({"on_hand": -QUART, "count_due": True}, ("soon", "Count it")),
        ({"on_hand": 0, "order_at": None}, ("late", "None left")),
        ({"on_hand": QUART, "order_at": None}, ("plain", "")),
    ],
)
def test_that_the_shelf_says_how_an_item_stands(change: dict[str, object], said: tuple[str, str]) -> None:
    assert stands(replace(ON_SHELF, **change)) == said  # type: ignore[arg-type]


def test_that_what_is_to_order_comes_first_on_the_shelf_and_among_parts() -> None:
    low = replace(ON_SHELF, item_id=2, name="Z", on_hand=0)
    part = replace(ON_SHELF, item_id=3, kind=ItemKind.PART, base="milli_each", on_hand=9000, order_at=2000)
    low_part = replace(part, item_id=4, on_hand=1000)
    rows = (ON_SHELF, low, part, low_part)
    assert [tile.glass.item_id for tile in tiles(rows, US_FIGURES)] == [2, 1]
    assert [row.item_id for row in pieces_first(rows)] == [4, 3]
    assert shelf_note(rows) == "2 to order"
    assert shelf_note([replace(ON_SHELF, on_hand=-1, count_due=True)]) == "1 to order · 1 to count"


def test_that_an_item_is_found_by_name_or_part_number_without_regard_to_case() -> None:
    assert find_item((ATF, WASHER), " halden atf-6 ") is ATF
    assert find_item((ATF, WASHER), "w-18") is WASHER
    for typed in ("", "halden", "x" * 5000):
        with pytest.raises(RuleBroken) as refused:
            find_item((ATF, WASHER), typed)
        assert refused.value.field == "item"


def test_that_a_quantity_is_read_by_the_kind_of_the_item() -> None:
    assert quantity_words(US_FIGURES, ItemKind.FLUID, "12") == "12.00 qt (11.36 L)"
    assert quantity_words(METRIC_FIGURES, ItemKind.FLUID, "12 qt") == "11,36 L (11.356 mL)"
    assert quantity_words(US_FIGURES, ItemKind.PART, "12") == "12 pcs"
    with pytest.raises(RuleBroken):
        quantity_words(US_FIGURES, ItemKind.PART, "12 qt")


def test_that_a_cost_says_what_one_sale_unit_costs_once_the_quantity_can_be_read() -> None:
    assert cost_words(US_FIGURES, ATF, "16 qt", "96") == "$6.00 a qt"
    assert cost_words(US_FIGURES, ATF, "sixteen", "96") == "$96.00"
    assert cost_words(US_FIGURES, WASHER, "3", "10") == "$3.33 each"
    assert cost_words(US_FIGURES, None, "", "10") == "$10.00"
    assert unit_cost(US_FIGURES, "qt", 0, 500) == ""


def test_that_an_item_line_says_kind_package_and_what_is_there() -> None:
    assert item_line(ATF, 12 * QUART, US_FIGURES) == "Fluid · comes in 1 gal · 12.00 qt on hand"
    assert item_line(ATF, None, US_FIGURES) == "Fluid · comes in 1 gal"


def test_that_a_move_names_its_work_order_its_document_or_that_it_wants_counting() -> None:
    assert move_words(MOVE) == "Work order 1001"
    received = replace(MOVE, kind=MoveKind.RECEIVE, work_order_number=None, document_no="D-118")
    assert move_words(received) == "Received, D-118"
    assert move_words(replace(MOVE, kind=MoveKind.RETURN)) == "Came back from a job, work order 1001"
    short = replace(MOVE, reason=SHORT_REASON)
    assert move_words(short) == "Count it: work order 1001 took more than there was"
    assert all(move_words(replace(received, kind=kind)) for kind in MoveKind)


def test_that_moves_carry_their_sign() -> None:
    assert signed_stock(US_FIGURES, "ul", -4 * QUART) == "−4.00 qt"
    assert signed_stock(US_FIGURES, "milli_each", 2000) == "+2 pcs"
    assert (signed_money(US_FIGURES, -2400), signed_money(US_FIGURES, 0)) == ("−$24.00", "")


def test_that_a_container_is_empty_past_its_date_or_to_be_counted() -> None:
    today = date(2026, 11, 25)
    row = ContainerRow(
        id=1,
        label="Drum 7",
        lot="",
        on_hand=QUART,
        capacity=None,
        received_on=today,
        best_before=date(2026, 11, 24),
        state="in use",
    )
    assert container_state(row, today) == ("late", "Past its date")
    assert container_state(replace(row, best_before=today), today) == ("plain", "")
    assert container_state(replace(row, on_hand=0), today) == ("plain", "Empty")
    assert container_state(replace(row, on_hand=-1), today) == ("soon", "Count it")
    assert [holds_some(replace(row, on_hand=n), "ul") for n in (1, -1, 1000)] == [False, False, True]


def test_that_an_items_texts_make_the_command_that_keeps_it_as_it_is() -> None:
    command = item_command(item_texts(ATF, US), ACTOR, "u", ATF)
    assert isinstance(command, EditItem)
    assert (command.item_id, command.version, command.price) == (1, 3, "11.40")
    assert (command.order_at, command.fill_to, command.density) == ("8 qt", "40 qt", "860 kg/m3")
    assert command.claims == ATF.claims


def test_that_a_part_carries_neither_density_nor_claims() -> None:
    texts = usual_texts(US, "Filter") | item_texts(ATF, US) | {"kind": "part", "sale_unit": "each"}
    command = item_command(texts, ACTOR, "u", None)
    assert type(command) is SaveItem
    assert (command.density, command.claims) == ("", ())
    assert [key for key, _words in sale_unit_choices(ItemKind.PART)] == ["each"]


def test_that_a_refused_claim_is_found_again_in_its_row() -> None:
    texts = {"claims/0/specification": "", "claims/2/specification": "B", "claims/1/specification": "A"}
    assert claims_in(texts) == 3
    claims, rows = claims_of(texts)
    assert ([claim.specification for claim in claims], rows) == (["A", "B"], (1, 2))
    assert field_of_refusal("claims/1/licence_no", rows) == "claims/2/licence_no"
    assert field_of_refusal("price", rows) == "price"


def test_that_particulars_are_told_in_the_shops_units() -> None:
    told = dict(particulars(ATF, US_FIGURES))
    assert (told["Price"], told["Order at"], told["Taxed as"]) == (
        "$11.40 a qt",
        "8.00 qt",
        "Parts and fluids",
    )
    assert told["Density"] == "860 kg/m³ at 15 °C"
    assert dict(particulars(ATF, METRIC_FIGURES))["Order at"] == "7,57 L"
