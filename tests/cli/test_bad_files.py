"""A file that is no job is refused with a sentence; the shop does not even begin to be made."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.job_file import MOST_BYTES, read_job_file
from tests.cli.asking import SCHEMAS, ask, job_file, written
from tests.services.floors import Floor
from tests.services.shopfloor import GONE, contents, document


def text(**changes: Any) -> str:
    return json.dumps(document("us", **changes), ensure_ascii=False)


GOOD = text()
DEEP = '{"format":"shopdesk-job/1","service":' + "[" * 900 + "]" * 900 + "}"
TOO_DEEP = "[" * 120_000 + "]" * 120_000
MANY_KEYS = "{" + ",".join(f'"k{n}":1' for n in range(20_000)) + ',"k7":2}'
MANY_FAULTS = GOOD.replace('"lines": [', '"lines": [' + "{}," * 60_000, 1)
WIDE_AND_DEEP = "[" * 500 + ",".join(['""'] * 60_000) + "]" * 500

FILES: dict[str, tuple[bytes, str]] = {
    "nothing": (b"", "not JSON: line 1, column 1"),
    "a word": (b"job", "not JSON"),
    "a list": (b"[]", "must be an object"),
    "half": (GOOD[: len(GOOD) // 2].encode(), "not JSON: line 1"),
    "two jobs": ((GOOD + GOOD).encode(), "not JSON"),
    "UTF-16": (GOOD.encode("utf-16"), "not UTF-8 text (byte 0)"),
    "Latin-1": (text(customer__name="Øyvind").encode("latin-1"), "not UTF-8 text (byte"),
    "NUL bytes": (b"\0" * 100, "not JSON"),
    "two megabytes": (b" " * 2_000_000, "larger than a job can be"),
    "deep": (DEEP.encode(), "nested too deeply"),
    "too deep": (TOO_DEEP.encode(), "nested too deeply"),
    "wide and deep": (WIDE_AND_DEEP.encode(), "nested too deeply"),
    "a key twice": (b'{"format":"shopdesk-job/1","format":"shopdesk-job/1"}', '"format" stands twice'),
    "many keys, one twice": (MANY_KEYS.encode(), '"k7" stands twice'),
    "many faults": (MANY_FAULTS.encode(), "This is missing"),
    "a PDF": (b"%PDF-1.4\n%\xe2\xe3\xcf\xd3", "not UTF-8 text"),
    "an open text": (b'{"format":"shopdesk', "not JSON"),
    "a comment": (b"// job\n{}", "not JSON"),
    "another format": (text(format="shopdesk-job/2").encode(), "must be"),
}


@pytest.mark.parametrize("name", FILES)
def test_that_what_is_no_job_is_refused(one_floor: Floor, tmp_path: Path, name: str) -> None:
    content, words = FILES[name]
    before = contents(one_floor.url)
    file = tmp_path / "job.json"
    file.write_bytes(content)
    said = ask(one_floor.desk, "job", file)
    assert (said.code, said.out) == (2, "")
    assert said.err.startswith(f"{file}: ")
    assert words in said.err
    assert len(said.err) < 1000
    assert contents(one_floor.url) == before


READING = '"reading": "84310 mi"'
PLACED: dict[str, tuple[str, str, str]] = {
    "a fraction": ('"volume": "3.785 L"', '"volume": 3.785', "/service/put_in/volume"),
    "not a number": ('"volume": "3.785 L"', '"volume": NaN', "/service/put_in/volume"),
    "infinite": ('"volume": "3.785 L"', '"volume": -Infinity', "/service/put_in/volume"),
    "a huge whole number": ('"year": 2019', '"year": ' + "9" * 5000, "/vehicle/year"),
    "a large whole number": ('"year": 2019', '"year": 99999999', "/vehicle/year"),
    "a negative year": ('"year": 2019', '"year": -2019', "/vehicle/year"),
    "truth for a number": ('"year": 2019', '"year": true', "/vehicle/year"),
    "a number for truth": ('"vehicle_level": true', '"vehicle_level": 1', "/service/vehicle_level"),
    "words for truth": ('"vehicle_level": true', '"vehicle_level": "yes"', "/service/vehicle_level"),
    "nothing": ('"volume": "3.785 L"', '"volume": null', "/service/put_in/volume"),
    "a list for an object": ('"customer": {', '"customer": [], "x": {', ""),
    "a key twice": ('"volume": "3.785 L"', '"volume": "3 L", "volume": "3.785 L"', "/service/put_in"),
    "an unknown key": ('"volume": "3.785 L"', '"volume": "3.785 L", "pumped": "1"', "/service/put_in/pumped"),
    "an unknown section": ('"payment": {', '"pay\\u001b[31mment": {', "/pay\\u001b[31mment"),
    "a missing key": ('"volume": "3.785 L", ', "", "/service/put_in/volume"),
    "half a character": ('"Imre Okonjo"', '"Imre \\ud83d Okonjo"', "/customer/name"),
    "half a character in a key": ('"payment": {', '"\\ud83d": {', ""),
    "no such word": ('"method": "drain and fill"', '"method": "flush"', "/service/method"),
    "a negative count": ('_s": 5, "veh', '_s": -5, "veh', "/service/selector_dwell_s"),
    "a wrong id": ('"id": "5f0e9a1c', '"id": "5f0e9a1', "/id"),
    "an id with a line end": ('1d90a7f001"', '1d90a7f001\\n"', "/id"),
    "a wrong day": (READING, READING + ', "on": "2026-02-30"', "/odometer/on"),
    "a day of another form": (
        READING,
        READING + ', "on": "25.11.2026"',
        "/odometer/on",
    ),
    "the first day of all": (
        READING,
        READING + ', "on": "0001-01-01"',
        "/odometer/on",
    ),
    "a day to come": (READING, READING + ', "on": "2026-11-26"', "/odometer/on"),
    "done in the far future": (
        '"method": "drain and fill"',
        '"method": "drain and fill", "done_on": "2199-01-01"',
        "/service/done_on",
    ),
    "an instant without its offset": (
        '"key_tag": "7"',
        '"key_tag": "7", "promised_at": "2026-11-25T17:00:00"',
        "/work_order/promised_at",
    ),
    "an instant before all time": (
        '"key_tag": "7"',
        '"key_tag": "7", "promised_at": "0001-01-01T00:00:00+14:00"',
        "/work_order/promised_at",
    ),
    "an instant after all time": (
        '"how": "phone"',
        '"how": "phone", "given_at": "9999-12-31T23:59:59-14:00"',
        "/consent/given_at",
    ),
    "too many rounds": ('"within": "30 mL"', '"within": "30 mL", "round": 100', "/service/put_in/round"),
    "no rounds": ('"within": "30 mL"', '"within": "30 mL", "round": 0', "/service/put_in/round"),
}


@pytest.mark.parametrize("name", PLACED)
def test_that_a_fault_in_a_file_is_named_by_its_place(one_floor: Floor, tmp_path: Path, name: str) -> None:
    old, new, place = PLACED[name]
    original = job_file("us").read_text(encoding="utf-8")
    assert original.count(old) >= 1
    file = tmp_path / "job.json"
    file.write_text(original.replace(old, new, 1), encoding="utf-8")
    before = contents(one_floor.url)
    said = ask(one_floor.desk, "job", file)
    assert (said.code, said.out) == (2, "")
    assert said.err.startswith(f"{file}: {place}: " if place else f"{file}: "), said.err
    assert said.err.count("\n") == 1
    assert contents(one_floor.url) == before


def test_that_a_file_that_is_not_there_is_said(one_floor: Floor, tmp_path: Path) -> None:
    for file in (tmp_path / "none.json", tmp_path):
        said = ask(one_floor.desk, "job", file)
        assert said.code == 2
        assert said.err.startswith(f"{file}: The file cannot be read: ")


def test_that_a_byte_order_mark_is_no_fault(tmp_path: Path) -> None:
    file = tmp_path / "job.json"
    file.write_bytes(b"\xef\xbb\xbf" + GOOD.encode())
    assert read_job_file(file, SCHEMAS / "job.json") == document("us")


def test_that_the_largest_file_is_read_and_one_byte_more_is_not(tmp_path: Path) -> None:
    file = tmp_path / "job.json"
    file.write_bytes(GOOD.encode().ljust(MOST_BYTES))
    assert read_job_file(file, SCHEMAS / "job.json")["format"] == "shopdesk-job/1"
    file.write_bytes(GOOD.encode().ljust(MOST_BYTES + 1))
    with pytest.raises(RuleBroken):
        read_job_file(file, SCHEMAS / "job.json")


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        (
            {"items__0__claims": [{"specification": "HX-6", "basis": "licensed"}]},
            "/items/0/claims/0/licence_no",
        ),
        (
            {"items__0__claims": [{"specification": "HX-6", "basis": "claims to meet"}] * 2},
            "/items/0/claims/1/specification",
        ),
        ({"items__0__sale_unit": "each"}, "/items/0/sale_unit"),
        ({"items__1__kind": "fluid"}, "/items/1/sale_unit"),
        ({"items__0__package": "0 L"}, "/items/0/package"),
        ({"items__0__tax_class": "luxury"}, "/items/0/tax_class"),
        ({"deliveries__0__item": "Nothing known"}, "/deliveries/0/item"),
        ({"deliveries__0__quantity": "0 L"}, "/deliveries/0/quantity"),
        ({"customer__name": " "}, "/customer/name"),
        ({"customer__phones": ["by letter"]}, "/customer/phones"),
        ({"customer__phones": ["٣" * 61]}, "/customer/phones"),
        ({"customer__emails": ["no address"]}, "/customer/emails"),
        ({"vehicle__vin": "1111111111111111I"}, "/vehicle/vin"),
        ({"vehicle__vin": "123"}, "/vehicle/vin"),
        ({"vehicle__vin": "", "vehicle__plate": ""}, "/vehicle/plate"),
        ({"vehicle__odometer_unit": "km"}, "/odometer/reading"),
        ({"sheet__window_low": GONE}, "/sheet/window_low"),
        ({"sheet__service_fill": "8 L"}, "/sheet/service_fill"),
        ({"sheet__total": "0 L"}, "/sheet/total"),
        ({"sheet__torques__1": {"plug": "fill plug", "torque": "1 N*m"}}, "/sheet/torques/1/plug"),
        ({"sheet__maker_normal__months": 0}, "/sheet/maker_normal/months"),
        ({"sheet__source": ""}, "/sheet/source"),
        ({"lines": []}, "/lines"),
        ({"lines__0__quantity": "0"}, "/lines/0/quantity"),
        ({"lines__0__unit_price": ""}, "/lines/0/unit_price"),
        ({"lines__1__item": "Nothing known"}, "/lines/1/item"),
        ({"consent__said": ""}, "/consent/said"),
        ({"consent__up_to": "220.99"}, "/consent/up_to"),
        ({"service__fluid": "Nothing known"}, "/service/fluid"),
        ({"service__fluid": GONE}, "/service/fluid"),
        ({"payment__amount": "225.12"}, "/payment/amount"),
        ({"work_order__wheel_off": True}, "/work_order/wheel_torque"),
        ({"shop__currency": "XQQ"}, "/shop/currency"),
        ({"shop__locale": "tlh"}, "/shop/locale"),
        ({"shop__locale": "en_US.UTF-8"}, "/shop/locale"),
        ({"shop__zone": "Mars/Base"}, "/shop/zone"),
        ({"shop__paper_size": "A0"}, "/shop/paper_size"),
        ({"shop__label_size": ""}, "/shop/label_size"),
        ({"shop__tax_name": ""}, "/shop/tax_name"),
        ({"shop__first_invoice": 0}, "/shop/first_invoice"),
        ({"shop": GONE}, "/shop"),
        ({"sheet__kind": "CVT", "items__0__name": "\u0000"}, "/items/0/name"),
    ],
)
def test_that_a_rule_broken_late_still_names_its_place(
    one_floor: Floor, tmp_path: Path, changes: dict[str, Any], place: str
) -> None:
    before = contents(one_floor.url)
    said = ask(one_floor.desk, "job", written(document("us", **changes), tmp_path))
    assert said.code == 2
    assert said.err.startswith(f"{tmp_path / 'job.json'}: {place}: "), said.err
    assert contents(one_floor.url) == before
