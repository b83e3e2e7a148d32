"""Whoever stands at the counter is found by what they say: a plate, four digits, half a name, a number."""

from __future__ import annotations

from datetime import date

import pytest

from shopdesk.services.customers import AddCustomer, EditCustomer
from shopdesk.services.desk import Desk
from shopdesk.services.findable import FoundKind, query_words
from shopdesk.services.finding import RebuildIndex
from shopdesk.services.setup import FirstRun
from shopdesk.services.vehicles import AddVehicle, ChangeKeeper, EditVehicle
from shopdesk.services.work import EditWorkOrder, OpenWorkOrder
from tests.services.floors import Floor
from tests.services.shopfloor import ask, document, run

VIN = "1M8GDM9AXKP042788"  # 49 CFR 565's usual example number; its check digit is X


@pytest.fixture
def shop(desk: Desk) -> Desk:
    """A shop with nobody in it yet."""
    desk.setup.first_run(
        FirstRun(actor=desk.actor(), name="Quillfern Driveline", owner="R", currency="USD", place="MS")
    )
    return desk


def _customer(desk: Desk, name: str, *phones: str) -> int:
    command = AddCustomer(actor=desk.actor(), name=name, phones=phones)
    return desk.intake.add_customer(command).customer_id


def _rename(desk: Desk, customer_id: int, name: str, *phones: str) -> None:
    version = desk.intake.customer(customer_id).version
    desk.intake.edit_customer(
        EditCustomer(actor=desk.actor(), customer_id=customer_id, version=version, name=name, phones=phones)
    )


def _vehicle(desk: Desk, customer_id: int, plate: str, vin: str = "", model: str = "Pinion 6") -> int:
    command = AddVehicle(
        actor=desk.actor(),
        customer_id=customer_id,
        plate=plate,
        vin=vin,
        make="Northgate",
        model=model,
        year=2019,
    )
    return desk.intake.add_vehicle(command).vehicle_id


def _found(desk: Desk, typed: str) -> list[tuple[FoundKind, int]]:
    return [(view.kind, view.subject_id) for view in desk.finding.find(typed)]


def _order(desk: Desk, vehicle_id: int, customer_id: int) -> int:
    command = OpenWorkOrder(actor=desk.actor(), vehicle_id=vehicle_id, customer_id=customer_id)
    return desk.work.open(command).work_order_id


@pytest.mark.parametrize(
    "typed",
    ["r", "rh", "Rhéa", "sandoval", "RHEA SAND", "sandoval rhea", "o'b", "ob", "brien", "rheasandoval"],
)
def test_that_a_customer_is_found_by_any_part_of_the_name(typed: str, shop: Desk) -> None:
    customer_id = _customer(shop, "Rhea Sandoval-O’Brien")
    _customer(shop, "Imre Quist")
    assert _found(shop, typed) == [(FoundKind.CUSTOMER, customer_id)]


@pytest.mark.parametrize("typed", ["oyvind", "Øyvind", "STRASSE", "strasse-lecki", "lecki", "Łęcki øy"])
def test_that_letters_of_other_languages_are_found_with_and_without_their_marks(
    typed: str, shop: Desk
) -> None:
    customer_id = _customer(shop, "Øyvind Straße-Łęcki")
    assert _found(shop, typed) == [(FoundKind.CUSTOMER, customer_id)]


@pytest.mark.parametrize(
    "typed", ["0188", "88", "555 0188", "(303) 555-0188", "3035550188", "+1 303 555 0188"]
)
def test_that_a_customer_is_found_by_the_end_of_the_telephone_number(typed: str, shop: Desk) -> None:
    customer_id = _customer(shop, "Imre Okonjo", "303 555 0188")
    _customer(shop, "Someone Else", "303 555 0142")
    assert _found(shop, typed) == [(FoundKind.CUSTOMER, customer_id)]
    assert shop.finding.find(typed)[0].detail == "303 555 0188"


@pytest.mark.parametrize(
    "typed", ["kt-44", "KT4471", "4471", "t 44", "71 northgate", "pinion okonjo 2019", "042788", "2788", VIN]
)
def test_that_a_vehicle_is_found_by_plate_vin_words_and_keeper(typed: str, shop: Desk) -> None:
    keeper = _customer(shop, "Imre Okonjo")
    vehicle_id = _vehicle(shop, keeper, "KT 4471", VIN)
    _vehicle(shop, _customer(shop, "Somebody Else"), "XX 1000", model="Cardan 3")
    found = shop.finding.find(typed)
    assert [(view.kind, view.subject_id) for view in found] == [(FoundKind.VEHICLE, vehicle_id)]
    assert (found[0].shown, found[0].detail) == ("KT 4471 · 2019 Northgate Pinion 6", "Imre Okonjo")


def test_that_digits_of_another_script_find_the_same_plate(shop: Desk) -> None:
    vehicle_id = _vehicle(shop, _customer(shop, "Imre Okonjo"), "KT 4471")
    assert _found(shop, "٤٤٧١") == [(FoundKind.VEHICLE, vehicle_id)]


@pytest.mark.parametrize("typed", ["", "   ", "-", "#", "\u202e", "%", "_", "zebra"])
def test_that_nothing_is_found_by_nothing(typed: str, shop: Desk) -> None:
    _customer(shop, "Imre Okonjo", "303 555 0188")
    assert shop.finding.find(typed) == ()


def test_that_a_very_long_query_is_cut_and_finds_nothing_wrong(shop: Desk) -> None:
    _customer(shop, "Imre Okonjo")
    assert shop.finding.find("imre" * 5000) == ()
    assert shop.finding.find("imre " * 5000) != ()


def test_that_work_orders_and_invoices_are_found_by_number_with_whose_they_are(desk: Desk) -> None:
    done = run(desk, document("us"))
    work_order = (FoundKind.WORK_ORDER, done.work_order_id)
    invoice = (FoundKind.INVOICE, done.invoice.invoice_id)
    for typed in (str(done.work_order_number), f"#{done.work_order_number}", "#100", "001"):
        assert _found(desk, typed) == [work_order, invoice]
    shown = desk.finding.find("#1001")
    assert [view.shown for view in shown] == ["Work order 1001", "Invoice 1001"]
    assert {view.detail for view in shown} == {"KT 4471 · Imre Okonjo"}


def test_that_a_number_sign_asks_for_numbers_only(shop: Desk) -> None:
    customer_id = _customer(shop, "Imre Okonjo", "303 555 0188")
    vehicle_id = _vehicle(shop, customer_id, "1001")
    order_id = _order(shop, vehicle_id, customer_id)
    assert set(_found(shop, "1001")) == {(FoundKind.VEHICLE, vehicle_id), (FoundKind.WORK_ORDER, order_id)}
    assert _found(shop, "#1001") == [(FoundKind.WORK_ORDER, order_id)]


def test_that_a_work_order_is_found_by_the_customers_own_order_number(shop: Desk) -> None:
    customer_id = _customer(shop, "Fleet of Marrow")
    order_id = _order(shop, _vehicle(shop, customer_id, "KT 1"), customer_id)
    edit = EditWorkOrder(actor=shop.actor(), work_order_id=order_id, version=1, po_number="PO-77/B")
    shop.work.edit(edit)
    assert _found(shop, "po-77") == [(FoundKind.WORK_ORDER, order_id)]
    assert _found(shop, "77b") == []


def test_that_a_new_name_is_found_on_the_customer_his_vehicles_and_his_papers(shop: Desk) -> None:
    customer_id = _customer(shop, "Imre Okonjo", "303 555 0188")
    vehicle_id = _vehicle(shop, customer_id, "KT 4471")
    order_id = _order(shop, vehicle_id, customer_id)
    _rename(shop, customer_id, "Imre Quist", "303 555 0188")
    assert _found(shop, "okonjo") == []
    assert _found(shop, "quist") == [(FoundKind.CUSTOMER, customer_id), (FoundKind.VEHICLE, vehicle_id)]
    assert shop.finding.find("kt")[0].detail == "Imre Quist"
    assert [view.detail for view in shop.finding.find("#1001")] == ["KT 4471 · Imre Quist"]
    assert _found(shop, "#1001") == [(FoundKind.WORK_ORDER, order_id)]


def test_that_a_new_telephone_number_takes_the_place_of_the_old_one(shop: Desk) -> None:
    customer_id = _customer(shop, "Imre Okonjo", "303 555 0188")
    _rename(shop, customer_id, "Imre Okonjo", "303 555 0142")
    assert _found(shop, "0188") == []
    assert _found(shop, "0142") == [(FoundKind.CUSTOMER, customer_id)]


def test_that_a_new_plate_and_a_new_keeper_are_found(shop: Desk) -> None:
    first, second = _customer(shop, "Imre Okonjo"), _customer(shop, "Rhea Quist")
    vehicle_id = _vehicle(shop, first, "KT 4471")
    edit = EditVehicle(actor=shop.actor(), vehicle_id=vehicle_id, version=1, plate="ZZ 9", odometer_unit="mi")
    shop.intake.edit_vehicle(edit)
    change = ChangeKeeper(
        actor=shop.actor(), vehicle_id=vehicle_id, customer_id=second, on=date(2026, 11, 25)
    )
    shop.intake.change_keeper(change)
    assert _found(shop, "kt") == []
    assert _found(shop, "zz9 quist") == [(FoundKind.VEHICLE, vehicle_id)]
    assert _found(shop, "okonjo") == [(FoundKind.CUSTOMER, first)]


def test_that_only_so_many_are_given_as_are_asked_for(shop: Desk) -> None:
    for n in range(5):
        _customer(shop, f"Imre {n}")
    assert len(shop.finding.find("imre", 3)) == 3


def test_that_a_refused_command_leaves_nothing_to_be_found(shop: Desk) -> None:
    customer_id = _customer(shop, "Imre Okonjo")
    command = EditCustomer(actor=shop.actor(), customer_id=customer_id, version=9, name="Other Name")
    with pytest.raises(Exception, match="meanwhile"):
        shop.intake.edit_customer(command)
    assert _found(shop, "other") == []


def test_that_an_index_made_again_is_the_same_index(floor: Floor) -> None:
    desk = floor.desk
    run(desk, document("us"))
    run(desk, document("metric"))
    words = (
        "SELECT d.kind, d.subject_id, d.shown, t.pos, t.tok FROM find_token t JOIN find_doc d ON d.id = t.doc"
    )
    before = sorted(ask(floor.url, words))
    made = desk.finding.rebuild(RebuildIndex(actor=desk.actor()))
    assert made.documents == 8
    assert sorted(ask(floor.url, words)) == before
    assert len(before) > 60


def test_that_what_is_typed_becomes_words_as_the_index_keeps_them() -> None:
    assert query_words(" Straße  #12 ab-c #x (7) \u202e№9") == ["strasse", "#12", "abc", "x", "7", "no9"]
