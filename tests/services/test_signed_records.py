"""The code on a service record: what it says, who signed it, and that no change of it passes."""

from __future__ import annotations

import random
from datetime import date
from io import BytesIO
from typing import Any

import pytest
import zxingcpp
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from PIL import Image, ImageFilter

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.record_code import LETTERS, PREFIX, CodeBroken, open_code, sealed, to_sign
from shopdesk.services.desk import Desk
from shopdesk.services.record_check import check_code, codes_of
from shopdesk.services.signing import Signer
from tests.documents.reading import picture, words
from tests.services.floors import Floor
from tests.services.shopfloor import ask, document, run


def _code(desk: Desk, *, personal: bool = True, **changes: Any) -> tuple[str, bytes]:
    """Keep a job and give its record's code, as a scanner reads it off the paper, with the paper."""
    record_id = run(desk, document("us", **changes)).record_id
    paper = desk.papers.service_record(record_id, personal=personal).content
    (code,) = codes_of(paper)
    return code, paper


def test_that_the_code_says_what_was_measured(desk: Desk) -> None:
    checked = check_code(_code(desk)[0])
    wanted = {
        "number": "1001-1",
        "shop": "Quillfern Driveline",
        "done_on": date(2026, 11, 25),
        "service_method": "drain and fill",
        "finished": 1,
        "drained": 3_030_000,
        "put_in": 3_785_000,
        "spilled": 45_000,
        "ran_out": 500_000,
        "window_low": 35_000,
        "window_high": 45_000,
        "close_temperature": 40_000,
        "verdict": "proven",
        "level_plug_washer": "reused",
        "appearance": "brown, transparent",
        "deviations": 1,
        "due_odometer": 1_143_100,
    }
    assert {name: checked.facts[name] for name in wanted} == wanted
    view = desk.bay.record(1)
    assert checked.facts["uid"] == view.uid
    assert checked.facts["arrived_by"] == view.outcome.balance.delta_ul
    told = dict(checked.told())
    assert told["Put in"] == "3.785 L (4.00 qt)"
    assert told["Closed at"] == "40 °C (104 °F)"
    assert told["Conditions"] == "7 met"
    assert told["Level"] == "set: all conditions recorded as met"


def test_that_the_paper_shows_the_key_and_what_its_code_holds(desk: Desk) -> None:
    _found, paper = _code(desk)
    text = words(paper)
    assert desk.keys.public().fingerprint in text
    for fact in ("3.20 qt (3.03 L)", "4.00 qt (3.79 L)", "97 °F", "104 °F", "reused"):
        assert fact in text


def test_that_a_code_without_names_names_nobody(desk: Desk) -> None:
    code, paper = _code(desk, personal=False)
    facts = check_code(code).facts
    assert not {"vin", "plate"} & set(facts)
    for private in ("KT 4471", "Rhea Sandoval", "Imre Okonjo", "11111111111111111"):
        assert private not in words(paper)
    with_names, _paper = codes_of(desk.papers.service_record(1).content)[0], None
    assert {"vin", "plate"} <= set(check_code(with_names).facts)


def test_that_the_signature_is_that_of_rfc_8032(floor: Floor) -> None:
    code = open_code(_code(floor.desk)[0])
    ((public_hex, private_hex),) = ask(floor.url, "SELECT public_hex, private_hex FROM signing_key")
    assert code.public_key.hex() == public_hex
    key = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(private_hex))
    assert key.sign(code.signed) == code.signature
    Ed25519PublicKey.from_public_bytes(code.public_key).verify(code.signature, code.signed)


def test_that_signing_is_that_of_the_published_example() -> None:
    # RFC 8032, section 7.1, test 2: secret key, public key, message 0x72 and its signature.
    secret = "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb"
    public = "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c"
    signature = (
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
        "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
    )
    signer = Signer(bytes.fromhex(public), bytes.fromhex(secret))
    assert signer.sign(b"\x72").hex() == signature
    assert secret not in repr(signer)


def test_that_a_change_of_any_letter_is_refused(one_desk: Desk) -> None:
    code, chance = _code(one_desk)[0], random.Random(3)
    for at in range(len(code)):
        other = chance.choice(LETTERS.replace(code[at], ""))
        with pytest.raises(RuleBroken) as refused:
            check_code(code[:at] + other + code[at + 1 :])
        assert isinstance(refused.value, CodeBroken) or at < len(PREFIX)


def test_that_a_forger_who_mends_the_checks_is_still_refused(one_desk: Desk) -> None:
    opened = open_code(_code(one_desk)[0])
    better = {**opened.facts, "ran_out": 0}
    forged = sealed(to_sign(better, opened.public_key), opened.signature)
    with pytest.raises(CodeBroken, match="signature does not fit"):
        check_code(forged)
    own = Ed25519PrivateKey.generate()
    signed = to_sign(better, own.public_key().public_bytes_raw())
    resigned = sealed(signed, own.sign(signed))
    assert not check_code(resigned).key_named
    for key in (one_desk.keys.public().public_hex, one_desk.keys.public().fingerprint):
        with pytest.raises(CodeBroken, match="another key"):
            check_code(resigned, key=key)


def test_that_the_shops_own_key_is_known_again(one_desk: Desk) -> None:
    code, _paper = _code(one_desk)
    key = one_desk.keys.public()
    assert check_code(code, key=key.public_hex).key_named
    assert check_code(code, key=f"Key: {key.fingerprint.lower()}\n").key_named
    with pytest.raises(RuleBroken, match="64 hexadecimal digits"):
        check_code(code, key="none")


def test_that_a_shop_has_one_key_and_keeps_it(floor: Floor) -> None:
    desk = floor.desk
    first = _code(desk)[0]
    assert codes_of(desk.papers.service_record(1).content) == (first,)
    assert ask(floor.url, "SELECT count(*) FROM signing_key") == [(1,)]
    assert desk.keys.public() == desk.keys.public()


def test_that_a_shop_from_before_keys_gets_one_at_its_next_record(one_floor: Floor) -> None:
    desk = one_floor.desk
    record_id = run(desk, document("us")).record_id
    for statement in (
        "DROP TRIGGER guard_signing_key_delete",
        "DROP TRIGGER guard_chain_delete",
        "DELETE FROM signing_key",
    ):
        with desk.office.scratch() as (connection, _now):
            connection.exec_driver_sql(statement)
    made = codes_of(desk.papers.service_record(record_id).content)[0]
    assert check_code(made, key=desk.keys.public().fingerprint).key_named
    assert codes_of(desk.papers.service_record(record_id).content) == (made,)


def test_that_a_key_whose_halves_do_not_fit_is_found_by_the_check(one_floor: Floor) -> None:
    desk = one_floor.desk
    run(desk, document("us"))
    with desk.office.scratch() as (connection, _now):
        connection.exec_driver_sql("DROP TRIGGER guard_signing_key_update")
        connection.exec_driver_sql(f"UPDATE signing_key SET public_hex = '{'0' * 64}'")
    said = {finding.sentence for finding in desk.safekeeping.check().findings}
    assert "The two halves of the key do not belong together." in said


def _photographed(paper: bytes) -> Image.Image:
    """Give the last page as a telephone sees it: held by hand, a little crooked, in poor light, blurred."""
    page = picture(paper, page=2, dpi=250).convert("L")
    crooked = page.rotate(4, expand=True, fillcolor=255, resample=Image.Resampling.BICUBIC)
    wide, high = crooked.size
    corners = (0.02 * wide, 0.01 * high, 0, 0.98 * high, wide, high, 0.97 * wide, 0)
    tilted = crooked.transform(crooked.size, Image.Transform.QUAD, corners, Image.Resampling.BICUBIC)
    small = tilted.resize((1500, 1500 * high // wide), Image.Resampling.LANCZOS)
    dark = small.filter(ImageFilter.GaussianBlur(0.6)).point(lambda level: 40 + level * 5 // 10)
    noise = Image.effect_noise(dark.size, 20)
    return Image.blend(dark, noise, 0.1)


def test_that_the_code_is_read_from_a_telephones_picture(one_desk: Desk) -> None:
    code, paper = _code(one_desk)
    buffer = BytesIO()
    page = _photographed(paper)
    assert max(page.size) < 2200
    page.save(buffer, "JPEG", quality=70)
    assert codes_of(buffer.getvalue()) == (code,)
    assert code in [found.text for found in zxingcpp.read_barcodes(page)]


def test_that_a_picture_without_a_code_is_refused_with_advice() -> None:
    buffer = BytesIO()
    Image.new("L", (600, 600), 255).save(buffer, "PNG")
    with pytest.raises(RuleBroken, match="good light"):
        codes_of(buffer.getvalue())


def test_that_another_square_code_is_none_of_ours(one_desk: Desk) -> None:
    run(one_desk, document("us"))
    with pytest.raises(RuleBroken, match="not that of a service record"):
        codes_of(one_desk.papers.sticker(1).content)


@pytest.mark.parametrize("content", [b"%PDF-1.7\nbroken", b"%PDF-", b"\xff\xd8\xff\xe0\x00", b"GIF89a", b""])
def test_that_a_file_that_cannot_be_read_is_refused(content: bytes) -> None:
    with pytest.raises(RuleBroken):
        codes_of(content)
